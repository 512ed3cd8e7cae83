"""Paths, rings and arcs, against shapely (GEOS), an independent library of plane geometry."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Point, Polygon

from palewright.plane import (
    arc,
    area,
    distance,
    distance_to_ring,
    divide_path,
    inside,
    offset_path,
    path_length,
    point_path_distance,
    ring_is_simple,
    segment_distance,
    signed_area,
)

Ring = list[tuple[float, float]]
COORDINATE = st.integers(-60, 60).map(float)
POINT = st.tuples(COORDINATE, COORDINATE)


@st.composite
def star_rings(draw: st.DrawFn) -> Ring:
    """Simple rings: corners at rising angles round a middle, radii free."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(5.0, 50.0), min_size=count, max_size=count))
    ring = [(r * math.cos(2 * math.pi * k / count), r * math.sin(2 * math.pi * k / count)) for k, r in enumerate(radii)]
    return ring if draw(st.booleans()) else ring[::-1]


@given(star_rings())
def test_area_and_sense_against_shapely(ring: Ring) -> None:
    shape = Polygon(ring)
    assert area(ring) == pytest.approx(shape.area)
    assert (signed_area(ring) > 0) == LinearRing(ring).is_ccw


@given(star_rings(), POINT)
def test_distance_to_ring_against_shapely(ring: Ring, point: tuple[float, float]) -> None:
    shape, p = Polygon(ring), Point(point)
    edge = shape.exterior.distance(p)
    assume(edge > 1e-6)
    assert inside(point, ring) == shape.contains(p)
    assert distance_to_ring(point, ring) == pytest.approx(edge if shape.contains(p) else -edge)
    assert point_path_distance(point, ring, closed=True) == pytest.approx(edge)


@given(st.lists(POINT, min_size=3, max_size=7, unique=True))
def test_simple_rings_against_shapely(ring: Ring) -> None:
    # sides that fold back on their neighbour are found by boundary.sides_that_cross, not here
    folded = any(
        abs((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) < 1e-9
        for a, b, c in zip(ring, ring[1:] + ring[:1], ring[2:] + ring[:2], strict=True)
    )
    assume(not folded)
    assert ring_is_simple(ring) == LinearRing(ring).is_simple


@given(st.lists(POINT, min_size=2, max_size=8, unique=True))
def test_path_length_against_shapely(path: Ring) -> None:
    assert path_length(path) == pytest.approx(LineString(path).length)


def test_one_point_is_a_path() -> None:
    assert point_path_distance((3.0, 4.0), [(0.0, 0.0)]) == 5.0
    assert signed_area([]) == 0.0


def test_offset_of_a_square_each_side_its_own() -> None:
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    moved = offset_path(square, [1.0, 2.0, 3.0, 4.0], closed=True)
    assert [pytest.approx(p) for p in moved] == [(4.0, 1.0), (8.0, 1.0), (8.0, 7.0), (4.0, 7.0)]
    opened = offset_path(square[:3], [1.0, 2.0])
    assert [pytest.approx(p) for p in opened] == [(0.0, 1.0), (8.0, 1.0), (8.0, 10.0)]


def test_offset_of_a_straight_corner() -> None:
    line = [(0.0, 0.0), (5.0, 0.0), (9.0, 0.0)]
    assert offset_path(line, [1.0, 1.0])[1] == pytest.approx((5.0, 1.0))
    with pytest.raises(ValueError, match="in one line"):
        offset_path(line, [1.0, 2.0])


@given(st.floats(0.05, 1.0), st.integers(4, 9))
def test_offset_of_regular_rings_against_shapely(offset: float, count: int) -> None:
    """Inside by a mitre: the buffer of shapely with mitred corners is another way to the same ring."""
    ring = [(20 * math.cos(2 * math.pi * k / count), 20 * math.sin(2 * math.pi * k / count)) for k in range(count)]
    moved = offset_path(ring, [offset] * count, closed=True)
    shrunk = Polygon(ring).buffer(-offset, join_style="mitre", mitre_limit=10.0)
    assert area(moved) == pytest.approx(shrunk.area, rel=1e-9)


def test_arc_is_on_its_circle_in_small_steps() -> None:
    points = arc((1.0, 2.0), 3.0, 0.0, math.pi / 2)
    assert points[0] == pytest.approx((4.0, 2.0))
    assert points[-1] == pytest.approx((1.0, 5.0))
    assert len(points) == 13
    assert all(math.hypot(x - 1.0, y - 2.0) == pytest.approx(3.0) for x, y in points)


def test_divide_path_counts_both_ends_and_corners_once() -> None:
    assert len(divide_path([(0.0, 0.0), (80.0, 0.0)], 8.0)) == 11
    assert len(divide_path([(0.0, 0.0), (80.1, 0.0)], 8.0)) == 12
    corner = divide_path([(0.0, 0.0), (16.0, 0.0), (16.0, 10.0)], 8.0)
    assert corner == [(0.0, 0.0), (8.0, 0.0), (16.0, 0.0), (16.0, 5.0), (16.0, 10.0)]
    # 60 rods of posts a rod apart, closed: 60 posts, not 61
    rod = 5.0292
    loop = [(0.0, 0.0), (15 * rod, 0.0), (15 * rod, 15 * rod), (0.0, 15 * rod), (0.0, 0.0)]
    assert len(divide_path(loop, rod)) == 60


@given(st.lists(POINT, min_size=2, max_size=6, unique=True), st.floats(0.5, 30.0))
def test_divided_paths_stay_on_the_path(path: Ring, longest: float) -> None:
    points = divide_path(path, longest)
    assert points[0] == path[0]
    assert all(distance(a, b) <= longest * (1 + 1e-9) for a, b in itertools.pairwise(points))
    assert all(min(segment_distance(p, a, b) for a, b in itertools.pairwise(path)) < 1e-9 for p in points)
    assert set(path) <= set(points)


def test_divide_path_refuses_nonsense() -> None:
    with pytest.raises(ValueError, match="greater than 0"):
        divide_path([(0.0, 0.0), (1.0, 0.0)], 0.0)
    with pytest.raises(ValueError, match="two points"):
        divide_path([(0.0, 0.0)], 1.0)
    with pytest.raises(ValueError, match="no length"):
        divide_path([(0.0, 0.0), (0.0, 0.0)], 1.0)
