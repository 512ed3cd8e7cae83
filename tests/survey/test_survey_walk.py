"""Walking, angles at a corner, and what a tape may be off."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.plane import azimuth, distance
from palewright.survey import angle_at, differs, tape_allowance, walk_points

LENGTH = st.floats(0.5, 200.0)
TURN = st.floats(-3.0, 3.0)
POINT = st.tuples(st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))
HEADING = st.floats(0.0, 6.28)


@given(POINT, HEADING, st.lists(st.tuples(TURN, LENGTH), min_size=1, max_size=8))
def test_walk_and_walk_back(start: tuple[float, float], heading: float, legs: list[tuple[float, float]]) -> None:
    """Turning round at the end and walking the same legs backward comes back to the start."""
    steps: list[tuple[str, float]] = []
    for turn, length in legs:
        steps += [("turn", turn), ("go", length)]
    there = walk_points(start, heading, steps)
    facing = heading - sum(turn for turn, _ in legs)
    back: list[tuple[str, float]] = [("turn", math.pi)]
    for turn, length in reversed(legs):
        back += [("go", length), ("turn", -turn)]
    home = walk_points(there[-1], facing, back)
    assert home[-1] == pytest.approx(start, abs=1e-8)
    assert home[:-1] == [pytest.approx(p, abs=1e-8) for p in reversed(there[:-1])]


@given(POINT, HEADING, TURN, LENGTH, LENGTH)
def test_legs_have_their_lengths_and_the_corner_its_angle(
    start: tuple[float, float], heading: float, turn: float, one: float, two: float
) -> None:
    corner, end = walk_points(start, heading, [("go", one), ("turn", turn), ("go", two)])
    assert distance(start, corner) == pytest.approx(one)
    assert distance(corner, end) == pytest.approx(two)
    assert angle_at(start, corner, end) == pytest.approx(math.pi - abs(turn), abs=1e-7)


def test_four_lefts_go_round_counter_clockwise() -> None:
    steps = [("go", 10.0), ("turn", math.pi / 2)] * 4
    points = walk_points((0.0, 0.0), 0.0, steps)
    want = [(0.0, 10.0), (-10.0, 10.0), (-10.0, 0.0), (0.0, 0.0)]
    assert points == [pytest.approx(p, abs=1e-12) for p in want]


def test_heading_is_clockwise_from_y() -> None:
    (east,) = walk_points((0.0, 0.0), math.pi / 2, [("go", 2.0)])
    assert east == pytest.approx((2.0, 0.0), abs=1e-12)
    assert azimuth((0.0, 0.0), east) == pytest.approx(math.pi / 2)


@pytest.mark.parametrize("step", [("go", -1.0), ("go", math.nan), ("turn", math.inf), ("jump", 1.0)])
def test_nonsense_is_refused(step: tuple[str, float]) -> None:
    with pytest.raises(ValueError, match="walk"):
        walk_points((0.0, 0.0), 0.0, [step])


def test_allowance_of_a_tape() -> None:
    inch = 0.0254
    assert tape_allowance(0.0) == pytest.approx(0.5 * inch)
    assert tape_allowance(100 * inch) == pytest.approx(0.5 * inch)
    assert tape_allowance(200 * inch) == pytest.approx(1.0 * inch)
    assert tape_allowance(1000 * inch) == pytest.approx(2.0 * inch)
    assert not differs(10.0, 10.0 + 0.05)
    assert differs(10.0, 10.0 + 0.0509)
    with pytest.raises(ValueError, match="negative"):
        tape_allowance(-0.1)
