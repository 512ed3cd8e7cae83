"""Slopes, cuts and leaves on real ground: laws, dense sampling and figures worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.layout.grade import racked_panel, slope_lengths
from palewright.layout.meeting_cuts import board_edges, cut_to_ground, under_bay
from palewright.layout.meeting_gates import leaf_sweep, sector
from palewright.layout.meeting_ground import reference

from .meeting_ground_builder import FT, IN, profile

# ---------------------------------------------------------------- where a height is measured from


@pytest.mark.parametrize("k", range(12))
def test_ground_within_a_distance_against_dense_sampling(k: int) -> None:
    rng = np.random.default_rng(k)
    s, z, _ = profile(rng, 4)
    within = float(rng.uniform(0.05, 4.0))
    for how, pick in (("highest within", np.max), ("lowest within", np.min)):
        at, ref = reference(s, z, how, within_m=within)
        for x in rng.uniform(s[0], s[-1], 200):
            window = np.concatenate([np.clip([x - within, x + within], s[0], s[-1]), s[np.abs(s - x) <= within]])
            assert np.interp(x, at, ref) == pytest.approx(pick(np.interp(window, s, z)), abs=1e-9)


def test_higher_side_takes_the_crossings_too() -> None:
    at, ref = reference(
        np.array([0.0, 4.0]), np.array([0.0, 1.0]), "higher side", beside=(np.array([0.0, 4.0]), np.array([1.0, 0.0]))
    )
    assert at.tolist() == [0.0, 2.0, 4.0]
    assert ref.tolist() == [1.0, 0.5, 1.0]


def test_an_unknown_way_of_measuring() -> None:
    with pytest.raises(ValueError, match="no such way"):
        reference(np.array([0.0, 1.0]), np.zeros(2), "by eye")


# ---------------------------------------------------------------- slopes


@given(st.floats(0.01, 1e3), st.floats(0.0, 5.0))
def test_slope_both_ways_is_one_triangle(length: float, grade: float) -> None:
    level, along, rise = slope_lengths(grade, level_m=length)
    assert math.hypot(level, rise) == pytest.approx(along)
    assert slope_lengths(grade, along_m=along) == pytest.approx((level, along, rise))
    angle, up, plan = racked_panel(along, grade=grade)
    assert (plan, up) == pytest.approx((level, rise))
    assert math.tan(angle) == pytest.approx(grade)


def test_one_length_and_one_slope_only() -> None:
    for wrong in ({}, {"level_m": 1.0, "along_m": 1.0}):
        with pytest.raises(ValueError, match="level length"):
            slope_lengths(0.1, **wrong)
    with pytest.raises(ValueError, match="rise or the grade"):
        racked_panel(1.0)
    with pytest.raises(ValueError, match="whole length"):
        racked_panel(1.0, rise_m=1.0)


# ---------------------------------------------------------------- cuts


@pytest.mark.parametrize("k", range(10))
def test_scribed_boards_never_come_nearer_than_the_gap(k: int) -> None:
    rng = np.random.default_rng(k)
    s, z, posts = profile(rng, 3, roughness_in=3.0)
    top = float(z.max()) + 1.8
    edges = board_edges(posts[1], posts[2], 5.5 * IN, float(rng.choice([0.0, 0.5 * IN, -1 * IN])))
    assert edges[0, 0] == posts[1]
    assert edges[-1, 1] <= posts[2] + 1e-12
    cuts = cut_to_ground(s, z, edges, (posts[1], posts[2]), (top, top), 1 * IN)
    for (a, b), bottom in zip(edges, cuts.bottom, strict=True):
        at = np.unique(np.concatenate([np.linspace(a, b, 50), s[(s > a) & (s < b)]]))
        room = np.interp(at, (a, b), bottom) - np.interp(at, s, z)
        assert room.min() >= 1 * IN - 1e-9
        assert room.min() <= 1 * IN + 1e-9  # and no board is cut higher than it must
    assert cuts.length == pytest.approx(top - cuts.bottom)
    assert cuts.blank == pytest.approx(cuts.length.max(axis=1))


def test_the_wedge_under_a_level_bay() -> None:
    """8 ft level over a fall of 8 in, 1 in at the upper end: above 4 in from 3 ft on, and 9 in at the low end."""
    start, end, tall = under_bay(
        np.array([0.0, 8 * FT]), np.array([0.0, -8 * IN]), (0.0, 8 * FT), (1 * IN, 1 * IN), 2 * IN, 4 * IN
    )
    assert (start / FT, end / FT, tall / IN) == pytest.approx((3.0, 8.0, 7.0))
    assert under_bay(np.array([0.0, 2.0]), np.zeros(2), (0.0, 2.0), (0.05, 0.05), 0.02, 0.1) == (0.0, 0.0, 0.0)


# ---------------------------------------------------------------- leaves


def test_a_leaf_that_swings_uphill() -> None:
    """4 ft leaf along level ground, opening through 90 degrees towards ground that rises 10 %: 4.8 in higher."""
    places = sector((0.0, 0.0), (4 * FT, 0.0), math.pi / 2, 0.05)
    swing = leaf_sweep(0.1 * places[..., 1], 1 * IN)
    assert swing.bottom / IN == pytest.approx(5.8)
    assert swing.closed_lowest == 0.0
    assert swing.unknown == 0.0


def test_a_leaf_that_swings_downhill_needs_nothing_more() -> None:
    places = sector((0.0, 0.0), (0.0, 1.2), -math.pi / 2, 0.1)
    assert leaf_sweep(-0.1 * places[..., 0], 0.025).bottom == pytest.approx(0.025)


def test_ground_that_is_not_known_is_said() -> None:
    places = sector((0.0, 0.0), (1.0, 0.0), 1.0)
    heights = np.where(places[..., 1] > 0.5, np.nan, 0.0)
    assert 0.0 < leaf_sweep(heights, 0.02).unknown < 1.0
    heights[0] = np.nan
    with pytest.raises(ValueError, match="no ground"):
        leaf_sweep(heights, 0.02)
