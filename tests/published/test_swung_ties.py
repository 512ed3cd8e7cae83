"""Swung ties and what a missed perpendicular reads; strength of a triangle.

Case of the swing: 1 ft missed in 20 ft reads 20.0250 ft, 0.30 in long (Navy Engineering Aid manual, swing offset).
Strengths of triangles are recomputed outside this project from the Coast and Geodetic Survey's formula (from memory).
Ellipses are held against the covariance of two distances, worked with numpy from the two directions of the tapes.

sources: navy-14069, uscgs-strength
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from palewright.errors import ProblemError
from palewright.survey import strength_of_figure, swing_excess, swung_tie, tie_gap

STRENGTHS = [(60, 60, 4.43), (90, 45, 4.43), (45, 45, 13.3), (30, 30, 39.9), (90, 20, 33.5)]


@pytest.mark.parametrize(("a", "b", "strength"), STRENGTHS)
def test_strength(a: float, b: float, strength: float) -> None:
    ours = strength_of_figure(math.radians(a), math.radians(b))
    assert ours == pytest.approx(strength, abs=0.05 if strength > 5 else 0.005)


def test_a_swing_reads_long_and_never_short() -> None:
    assert 20.0 + swing_excess(20.0, 1.0) == pytest.approx(20.0250, abs=0.00005)
    assert swing_excess(20.0, 1.0) * 12.0 == pytest.approx(0.30, abs=0.0005)
    assert swing_excess(20.0, -1.0) == swing_excess(20.0, 1.0)


@pytest.mark.parametrize("at", [(60.0, 80.0), (10.0, 30.0), (130.0, 20.0), (50.0, 500.0), (50.0, 1.0)])
def test_place_and_ellipse(at: tuple[float, float]) -> None:
    base, sigma = 100.0, 0.02
    a, b = math.hypot(*at), math.hypot(at[0] - base, at[1])
    tie = swung_tie(base, a, b, sigma)
    assert (tie.along, tie.off) == pytest.approx(at, abs=1e-7)
    rows = np.array([[at[0] / a, at[1] / a], [(at[0] - base) / b, at[1] / b]])
    axes = np.sqrt(np.linalg.eigvalsh(np.linalg.inv(rows.T @ rows))) * sigma
    assert (tie.semi_minor, tie.semi_major) == pytest.approx(tuple(axes), rel=1e-6)
    assert math.cos(tie.crossing) == pytest.approx(float(rows[0] @ rows[1]), abs=1e-9)
    drms = math.hypot(tie.semi_major or 0.0, tie.semi_minor or 0.0)
    assert drms == pytest.approx(sigma * math.sqrt(2.0) / math.sin(tie.crossing), rel=1e-9)


def test_tapes_that_do_not_meet_say_by_how_much() -> None:
    assert tie_gap(100.0, 40.0, 59.0) == pytest.approx(1.0)
    assert tie_gap(10.0, 40.0, 28.0) == pytest.approx(-2.0)
    with pytest.raises(ProblemError) as caught:
        swung_tie(100 * 0.3048, 40 * 0.3048, 59 * 0.3048)
    assert caught.value.problems[0].slug == "tie-cannot-reach"
    assert "1' 0\"" in caught.value.problems[0].what
