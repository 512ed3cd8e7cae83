"""Differences and what tools explain; ellipses of two ties against the inverse of their normal matrix (numpy)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, norm

from palewright.boundary import (
    ONE_WAY,
    TWO_WAYS,
    beyond_tools,
    place_beyond_tools,
    record_sigma,
    search_radius,
    tie_axes,
)

sigmas = st.floats(1e-3, 1.0)


def test_limits_are_those_of_the_distributions() -> None:
    assert pytest.approx(norm.ppf(0.995), abs=5e-5) == ONE_WAY
    assert pytest.approx(chi2.ppf(0.99, 2)) == TWO_WAYS**2


@given(st.floats(0.05, math.pi - 0.05), sigmas, sigmas, st.floats(0.0, 6.0))
def test_axes_are_those_of_the_normal_matrix(crossing: float, one: float, two: float, turned: float) -> None:
    rows = np.array([[math.cos(turned), math.sin(turned)], [math.cos(turned + crossing), math.sin(turned + crossing)]])
    q = np.linalg.inv(rows.T @ np.diag([one**-2, two**-2]) @ rows)
    assert tie_axes(crossing, one, two) == pytest.approx(tuple(np.sqrt(np.linalg.eigvalsh(q)[::-1])), rel=1e-6)


def test_radius_of_square_ties_holds_19_of_20_places() -> None:
    rng = np.random.default_rng(7)
    places = rng.normal(0.0, 0.03, (200_000, 2))
    inside = np.hypot(*places.T) <= search_radius(math.pi / 2, 0.03, 0.03)
    assert inside.mean() == pytest.approx(0.95, abs=0.003)


@given(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), sigmas, sigmas, st.floats(-0.9, 0.9))
def test_a_place_is_judged_by_its_whole_ellipse(e: float, n: float, se: float, sn: float, r: float) -> None:
    q = np.array([[se * se, r * se * sn], [r * se * sn, sn * sn]])
    squared = float(np.array([e, n]) @ np.linalg.solve(q, np.array([e, n])))
    if abs(squared - chi2.ppf(0.99, 2)) > 1e-6 and np.linalg.det(q) > 2e-6 * np.trace(q) ** 2:
        assert place_beyond_tools((e, n), se * se, sn * sn, r * se * sn) == (squared > chi2.ppf(0.99, 2))


def test_a_place_free_along_one_line_is_judged_along_it() -> None:
    assert not place_beyond_tools((0.025, 0.0), 1e-4, 0.0, 0.0)
    assert place_beyond_tools((0.027, 0.0), 1e-4, 0.0, 0.0)


def test_out_of_range_is_refused() -> None:
    for wrong in (
        lambda: beyond_tools(0.1, -1.0),
        lambda: record_sigma(-1.0, 0.0),
        lambda: record_sigma(1.0, -1.0),
        lambda: tie_axes(0.0, 0.1, 0.1),
        lambda: tie_axes(1.0, 0.0, 0.1),
    ):
        with pytest.raises(ValueError):
            wrong()
