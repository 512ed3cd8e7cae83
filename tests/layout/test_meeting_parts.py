"""Posts, cuts, leaves and barriers on slopes: laws, dense sampling and figures worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.layout.meeting_barrier import climb_at_steps, gaps_below, outside_heights
from palewright.layout.meeting_cuts import board_edges, by_length, cut_to_ground, under_bay
from palewright.layout.meeting_gates import leaf_sweep, sector
from palewright.layout.meeting_ground import ground_at, reference
from palewright.layout.meeting_posts import (
    along_slope,
    level_string,
    post_lengths,
    racked_panel,
    slope_lengths,
    stock_for,
)

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


# ---------------------------------------------------------------- posts


def test_posts_take_the_higher_bay_and_every_length_its_depth() -> None:
    ground = np.array([0.0, -0.2, -0.4])
    bottoms = np.array([[0.05, 0.05], [-0.15, -0.15]])
    found = post_lengths(ground, bottoms, bottoms + 1.8, 0.03, np.array([0.6, 0.6, 0.9]))
    assert found.top == pytest.approx([1.88, 1.88, 1.68])
    assert found.length == pytest.approx([2.48, 2.68, 2.98])
    assert found.step == pytest.approx([0.0, -0.2, 0.0])
    assert [stock_for(x, (2.4, 2.7, 3.0)) for x in found.length.tolist()] == [2.7, 2.7, 3.0]
    assert stock_for(3.1, (2.4, 2.7, 3.0)) is None
    height, drops = level_string(found.top, 0.1)
    assert height - drops == pytest.approx(found.top)
    assert drops.min() == pytest.approx(0.1)


@given(st.floats(0.01, 1e3), st.floats(0.0, 5.0))
def test_slope_both_ways_is_one_triangle(length: float, grade: float) -> None:
    level, along, rise = slope_lengths(grade, level_m=length)
    assert math.hypot(level, rise) == pytest.approx(along)
    assert slope_lengths(grade, along_m=along) == pytest.approx((level, along, rise))
    angle, up, plan = racked_panel(along, grade=grade)
    assert (plan, up) == pytest.approx((level, rise))
    assert math.tan(angle) == pytest.approx(grade)
    assert along_slope(np.array([0.0, level]), np.array([[0.0, rise]])) == pytest.approx([along])


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


def test_pickets_by_length_count_every_picket() -> None:
    groups = by_length(np.array([1.801, 1.8, 1.75, 1.7501, 1.2]), 0.05)
    assert groups == [(1.85, 1), (1.8, 2), (1.75, 1), (1.2, 1)]


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
    swing = leaf_sweep(places, 0.1 * places.xy[..., 1], 1 * IN)
    assert swing.rise / IN == pytest.approx(4.8)
    assert swing.bottom / IN == pytest.approx(5.8)
    assert swing.low_gap / IN == pytest.approx(5.8)
    assert swing.highest_at == pytest.approx((0.0, 4 * FT))
    assert swing.unknown == 0.0
    # its tip touches where 4 ft sin(angle) x 0.1 is an inch: 12.0 degrees, told within one place of the sample
    assert math.degrees(swing.angle or 0.0) == pytest.approx(math.degrees(math.asin(1 / 4.8)), abs=3.0)


def test_a_leaf_that_swings_downhill_needs_nothing_more() -> None:
    places = sector((0.0, 0.0), (0.0, 1.2), -math.pi / 2, 0.1)
    swing = leaf_sweep(places, -0.1 * places.xy[..., 0], 0.025)
    assert swing.rise == 0.0
    assert swing.angle is None
    assert swing.bottom == pytest.approx(0.025)


def test_ground_that_is_not_known_is_said() -> None:
    places = sector((0.0, 0.0), (1.0, 0.0), 1.0)
    heights = np.where(places.xy[..., 1] > 0.5, np.nan, 0.0)
    assert 0.0 < leaf_sweep(places, heights, 0.02).unknown < 1.0
    heights[0] = np.nan
    with pytest.raises(ValueError, match="no ground"):
        leaf_sweep(places, heights, 0.02)


# ---------------------------------------------------------------- barriers


def test_gap_over_soil_and_solid_in_one_bay() -> None:
    """A level bay, 1 in at its upper end, ground falling 6 in in 8 ft, a slab from 4 ft to 8 ft: 4 in at the slab's
    edge is too much over soil, 7 in at the low end too much over the slab."""
    s, z = np.array([0.0, 8 * FT]), np.array([0.0, -6 * IN])
    wide = gaps_below(s, z, s, ["stepped"], np.array([[1 * IN, 1 * IN]]), solid_m=[(4 * FT, 8 * FT)])
    assert [(x.rule, round(x.at_m / FT, 6), round(x.found_m / IN, 6)) for x in wide] == [
        ("gap-over-soil", 4.0, 4.0),
        ("gap-over-solid", 8.0, 7.0),
    ]
    assert not gaps_below(s, z, s, ["level-top"], np.array([[2 * IN, -4 * IN]]), solid_m=[(4 * FT, 8 * FT)])


@pytest.mark.parametrize("k", range(10))
def test_gaps_below_against_dense_sampling(k: int) -> None:
    rng = np.random.default_rng(k)
    s, z, posts = profile(rng, 4)
    ends = np.interp(posts, s, z)
    bottoms = np.stack([ends[:-1], ends[1:]], axis=1) + rng.uniform(0.0, 3 * IN, (4, 2))
    solid = [tuple(sorted(rng.uniform(0.0, posts[-1], 2).tolist())) for _ in range(2)]
    told = {(x.bay, x.rule) for x in gaps_below(s, z, posts, ["racked"] * 4, bottoms, solid_m=solid)}
    for i in range(4):
        at = np.linspace(posts[i], posts[i + 1], 4000)
        room = np.interp(at, posts[i : i + 2], bottoms[i]) - ground_at(s, z, at)
        on_slab = np.any([(at > a) & (at < b) for a, b in solid], axis=0)
        for rule, where, most in (("gap-over-soil", ~on_slab, 2 * IN), ("gap-over-solid", on_slab, 4 * IN)):
            worst = float((room[where] - most).max(initial=-1.0))
            if abs(worst) > 1e-4:
                assert ((i, rule) in told) == (worst > 0.0)


def test_a_step_lowers_the_outside_where_the_bays_meet() -> None:
    """Level bays with 1 in below, stepping down 6 in on an even fall. At the step the lower bay
    is lowest, at its upper post: infill of 47 in is just enough there, infill of 46 in lacks an inch."""
    posts = np.array([0.0, 8 * FT, 16 * FT])
    ground = np.array([0.0, -6 * IN, -12 * IN])
    bottoms = np.array([[1 * IN] * 2, [-5 * IN] * 2])
    assert not outside_heights((posts, ground), posts, bottoms + 47 * IN)
    low = outside_heights((posts, ground), posts, bottoms + 46 * IN)
    assert [(x.bay, x.at_m, round(x.by_m / IN, 6)) for x in low] == [(0, 0.0, 1.0), (1, 8 * FT, 1.0)]


def test_outside_ground_that_is_higher_counts() -> None:
    posts = np.array([0.0, 8 * FT])
    outside = (np.array([0.0, 4 * FT, 8 * FT]), np.array([0.0, 3 * IN, 0.0]))
    (low,) = outside_heights(outside, posts, np.full((1, 2), 50 * IN))
    assert (low.at_m, round(low.found_m / IN, 6)) == (4 * FT, 47.0)


def test_a_step_takes_from_the_distance_of_members() -> None:
    """Members 48 in apart in a bay, a step of 6 in: 42 in from the upper bay's low rail to the lower bay's top rail."""
    posts = np.arange(4) * 8 * FT
    bottoms = np.array([[0.0] * 2, [-6 * IN] * 2, [-8 * IN] * 2])
    near = climb_at_steps(posts, bottoms, (6 * IN, 54 * IN))
    assert [(x.bay, round(x.found_m / IN, 6), round(x.by_m / IN, 6)) for x in near] == [(1, 42.0, 3.0)]
    # members nearer than 45 in within a bay are another rule's matter: gaps between pickets
    assert climb_at_steps(posts, bottoms, (6 * IN, 40 * IN)) == ()
