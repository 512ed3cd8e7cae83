"""Points, directions and straight lines."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.plane import (
    add,
    along,
    angle_between,
    azimuth,
    cross,
    direction,
    distance,
    dot,
    left_of,
    line_meet,
    midpoint,
    project,
    scale,
    segment_distance,
    segments_meet,
    sub,
    turn_between,
    unit,
)

COORDINATE = st.floats(-1000.0, 1000.0)
POINT = st.tuples(COORDINATE, COORDINATE)
ANGLE = st.floats(0.0, 2.0 * math.pi, exclude_max=True)


@pytest.mark.parametrize(
    ("to", "degrees"), [((0, 1), 0), ((1, 1), 45), ((1, 0), 90), ((0, -1), 180), ((-1, 0), 270), ((-1, 1), 315)]
)
def test_azimuth_is_clockwise_from_y(to: tuple[float, float], degrees: float) -> None:
    assert math.degrees(azimuth((0.0, 0.0), to)) == pytest.approx(degrees)


@given(POINT, ANGLE, st.floats(0.1, 500.0))
def test_azimuth_and_direction_are_inverse(start: tuple[float, float], az: float, length: float) -> None:
    end = add(start, scale(direction(az), length))
    assert distance(start, end) == pytest.approx(length)
    assert math.remainder(azimuth(start, end) - az, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)


def test_left_is_left_of_travel() -> None:
    assert left_of((1.0, 0.0)) == (0.0, 1.0)
    assert turn_between((0.0, 1.0), (-1.0, 0.0)) == pytest.approx(math.pi / 2)
    assert cross((1.0, 0.0), (0.0, 1.0)) == 1.0


def test_unit_and_along_refuse_nothing() -> None:
    with pytest.raises(ValueError, match="no direction"):
        unit((0.0, 0.0))
    with pytest.raises(ValueError, match="equal"):
        along((1.0, 1.0), (1.0, 1.0), 2.0)
    assert along((0.0, 0.0), (3.0, 4.0), 10.0) == pytest.approx((6.0, 8.0))
    assert midpoint((0.0, 2.0), (4.0, 0.0)) == (2.0, 1.0)


@given(POINT, POINT, POINT)
def test_project_gives_back_the_point(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> None:
    if distance(a, b) < 1e-3:
        return
    station, off = project(p, a, b)
    d = unit(sub(b, a))
    back = add(add(a, scale(d, station)), scale(left_of(d), off))
    assert back == pytest.approx(p, abs=1e-8)
    assert dot(d, left_of(d)) == pytest.approx(0.0)


def test_lines_meet() -> None:
    assert line_meet((0.0, 0.0), (1.0, 0.0), (5.0, -3.0), (0.0, 1.0)) == pytest.approx((5.0, 3.0))
    assert line_meet((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 0.0)) is None
    assert angle_between((1.0, 0.0), (-1.0, 0.0)) == pytest.approx(math.pi)


def test_segments_meet_touch_overlap_and_miss() -> None:
    assert segments_meet((0, 0), (4, 4), (0, 4), (4, 0)) == pytest.approx((2.0, 2.0))
    assert segments_meet((0, 0), (4, 0), (4, 0), (4, 5)) == pytest.approx((4.0, 0.0))
    assert segments_meet((0, 0), (4, 0), (5, -1), (5, 1)) is None
    assert segments_meet((0, 0), (4, 0), (5, -1), (5, 1), slack=1.5) == pytest.approx((5.0, 0.0))
    assert segments_meet((0, 0), (4, 0), (2, 0), (9, 0)) == pytest.approx((2.0, 0.0))
    assert segments_meet((0, 0), (4, 0), (5, 0), (9, 0)) is None
    assert segments_meet((0, 0), (4, 0), (0, 1), (4, 1)) is None
    assert segments_meet((1, 1), (1, 1), (0, 0), (4, 4)) is None


def test_segment_distance() -> None:
    assert segment_distance((2.0, 3.0), (0.0, 0.0), (4.0, 0.0)) == 3.0
    assert segment_distance((7.0, 4.0), (0.0, 0.0), (4.0, 0.0)) == 5.0
    assert segment_distance((3.0, 4.0), (0.0, 0.0), (0.0, 0.0)) == 5.0
