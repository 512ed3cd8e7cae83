"""Level pulls over a slope: never higher than is said, none more than needed, and as a crew would break them."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.stakeout import along_slope, level_pulls

FT = 0.3048


def height(ground, x):
    for (x0, y0), (x1, y1) in itertools.pairwise(ground):
        if x0 <= x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return ground[-1][1] if x > ground[-1][0] else ground[0][1]


def lies(ground, marks, a, b):
    """How high a level tape from a to b lies over what is plumbed: touching the highest ground between."""
    top = max([height(ground, a), height(ground, b), *(y for x, y in ground if a < x < b)])
    return top - min(height(ground, x) for x in (a, b, *(m for m in marks if a <= m <= b)))


def fewest(ground, marks, places, most):
    """Fewest pulls over places, by trying every way (breadth first)."""
    reached = {0}
    for count in range(1, len(places)):
        reached |= {
            j
            for i in reached
            for j in range(i + 1, len(places))
            if lies(ground, marks, places[i], places[j]) <= most + 1e-9
        }
        if len(places) - 1 in reached:
            return count
    return None


def test_an_even_slope_is_broken_as_often_as_its_fall_asks() -> None:
    """100 ft that fall 12 ft, the tape at most 5 ft over the ground: 2.4, so three pulls."""
    pulls = level_pulls([(0.0, 12 * FT), (100 * FT, 0.0)], [], 0.0, 100 * FT, 5 * FT)
    assert len(pulls) == 3
    assert [pulls[0].from_m, pulls[-1].to_m] == [0.0, 100 * FT]
    for a, b in itertools.pairwise(pulls):
        assert a.to_m == b.from_m
        assert a.to_m / FT == pytest.approx(round(a.to_m / FT))


def test_gentle_ground_needs_no_break() -> None:
    """A fall of 4 ft stays within reach of one pull."""
    (pull,) = level_pulls([(0.0, 4 * FT), (100 * FT, 0.0)], [25 * FT, 50 * FT], 0.0, 100 * FT, 5 * FT)
    assert pull.high_m == pytest.approx(4 * FT)


def test_a_break_stands_on_a_post_where_one_serves() -> None:
    """Then no mark but the post's own is needed."""
    posts = [k * 8 * FT for k in range(1, 12)]
    pulls = level_pulls([(0.0, 0.0), (96 * FT, 9 * FT)], posts, 0.0, 96 * FT, 5 * FT)
    assert len(pulls) == 2
    assert pulls[0].to_m in posts


def test_a_dip_without_a_mark_is_spanned_and_one_with_a_post_is_not() -> None:
    """Nothing has to be plumbed in the first; in the second the plumb line would be too long."""
    dip = [(0.0, 2.0), (5.0, 0.0), (10.0, 2.0)]
    assert len(level_pulls(dip, [], 0.0, 10.0, 1.5, 1.0)) == 1
    assert len(level_pulls(dip, [5.0], 0.0, 10.0, 1.5, 1.0)) > 1


def test_a_wall_higher_than_the_reach_is_said() -> None:
    """It cannot be broken: the pull over it is higher than the most."""
    pulls = level_pulls([(0.0, 0.0), (4.0, 0.0), (4.01, 3.0), (10.0, 3.0)], [], 0.0, 10.0, 1.5, 1.0)
    assert [pull.high_m > 1.5 for pull in pulls].count(True) == 1
    assert max(pull.high_m for pull in pulls) == pytest.approx(3.0)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.floats(-2.0, 2.0), min_size=2, max_size=7),
    st.lists(st.integers(1, 23), max_size=5, unique=True),
    st.floats(0.6, 2.0),
)
def test_no_way_has_fewer_pulls(heights, marks, most) -> None:
    """Against every way over the same places; no pull is higher than it says, nor than the most where any way keeps it."""
    ground = [(24.0 * k / (len(heights) - 1), y) for k, y in enumerate(heights)]
    marks = [float(m) for m in marks]
    pulls = level_pulls(ground, marks, 0.0, 24.0, most, 1.0)
    count = fewest(ground, marks, [float(x) for x in range(25)], most)
    for pull in pulls:
        assert pull.high_m == pytest.approx(lies(ground, marks, pull.from_m, pull.to_m))
    if count is not None:
        assert len(pulls) == count
        assert max(pull.high_m for pull in pulls) <= most + 1e-9


@pytest.mark.parametrize("wrong", [(5.0, 5.0, 1.5, 1.0), (0.0, 5.0, 0.0, 1.0), (0.0, 5.0, 1.5, 0.0)])
def test_limits_must_be_more_than_nothing(wrong) -> None:
    """Or there is nothing to pull."""
    with pytest.raises(ValueError, match="a pull goes"):
        level_pulls([(0.0, 0.0), (5.0, 1.0)], [], *wrong)


def test_the_slope_is_longer_than_the_level() -> None:
    """The 3-4-5 triangle; a 72 in panel racked 10 in."""
    assert along_slope(4.0, 3.0) == 5.0
    assert along_slope(math.sqrt(72.0**2 - 10.0**2), 10.0) == pytest.approx(72.0)
