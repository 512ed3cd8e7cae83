"""Strips, stretches and distances: sums by hand, and shapely as the judge on random lots, arcs among their sides."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from palewright.permit import (
    depth_of,
    house_depth,
    inner_side,
    nearest_of_segment,
    parts_between,
    polygon,
    step_along,
    stretches,
    strip,
)
from palewright.plane import Side, path_of_sides, side_between, side_points, sides_area

SQUARE = [Side((0, 0), (10, 0)), Side((10, 0), (10, 10)), Side((10, 10), (0, 10)), Side((0, 10), (0, 0))]


def ring_of(points: list[tuple[float, float]]) -> list[Side]:
    return [Side(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]


def test_strip_of_a_square_by_hand() -> None:
    ring = strip(SQUARE, 1, 3.0)
    assert [edge.a for edge in ring] == [(10, 0), (10, 10), (7.0, 10.0), (7.0, 0.0)]
    assert abs(sides_area(ring)) == pytest.approx(30.0)


def test_strip_beside_a_slanting_side_ends_on_it() -> None:
    # a right triangle with legs of 10 along the axes: the strip along the x axis, 2 wide, is a trapezium of 10 and 8
    ring = strip(ring_of([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]), 0, 2.0)
    assert abs(sides_area(ring)) == pytest.approx((10.0 + 8.0) / 2.0 * 2.0)


def test_strip_along_an_arc_is_part_of_an_annulus() -> None:
    # quarter of a circle of radius 20 with both radii as sides; the strip along the arc: pi/4 (20^2 - 15^2)
    quarter = [
        Side((0.0, 0.0), (20.0, 0.0)),
        side_between((20.0, 0.0), (0.0, 20.0), math.pi / 2),
        Side((0.0, 20.0), (0.0, 0.0)),
    ]
    assert abs(sides_area(strip(quarter, 1, 5.0))) == pytest.approx(math.pi / 4 * (400.0 - 225.0))


def test_a_strip_that_the_curve_does_not_allow() -> None:
    quarter = [
        Side((0.0, 0.0), (20.0, 0.0)),
        side_between((20.0, 0.0), (0.0, 20.0), math.pi / 2),
        Side((0.0, 20.0), (0.0, 0.0)),
    ]
    with pytest.raises(ValueError, match="sharply"):
        strip(quarter, 1, 25.0)


def test_strip_at_a_reentrant_corner_ends_square() -> None:
    # an L: beside the inner corner (5, 5) the strip along (5, 5)-(5, 10) must not run on into the other leg
    ell = ring_of([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (5.0, 5.0), (5.0, 10.0), (0.0, 10.0)])
    assert abs(sides_area(strip(ell, 3, 2.0))) == pytest.approx(10.0)


def test_depth_behind_an_arc_both_ways() -> None:
    bulge = side_between((10.0, 0.0), (0.0, 10.0), math.pi / 2)  # round (0, 0), the lot inside of it
    assert depth_of((3.0, 4.0), bulge, True) == pytest.approx(5.0)
    assert depth_of((3.0, 4.0), bulge, False) == pytest.approx(-5.0)
    assert house_depth([(3.0, 4.0), (0.0, 6.0), (1.0, 1.0)], bulge, True) == pytest.approx(4.0)
    # seen from outside the circle, the nearest place of a wall is its middle: (8, 0)-(8, 8) turned by 45 degrees
    wall = [(12.0, -1.0), (12.0, 1.0), (14.0, 0.0)]
    assert house_depth(wall, bulge, False) == pytest.approx(2.0)


def test_a_step_along_an_arc_is_an_arc_length() -> None:
    bulge = side_between((10.0, 0.0), (0.0, 10.0), math.pi / 2)
    assert step_along(bulge, (10.0, 0.0), 10.0 * math.pi / 6) == pytest.approx((10 * math.cos(math.pi / 6), 5.0))
    assert step_along(bulge, (10.0, 0.0), -10.0 * math.pi / 6) == pytest.approx((10 * math.cos(math.pi / 6), -5.0))


def test_stretches_across_an_arc_by_hand() -> None:
    # the line y = 6 through the circle of radius 10: x from 0 to 8 inside the quarter
    quarter = [
        Side((0.0, 0.0), (10.0, 0.0)),
        side_between((10.0, 0.0), (0.0, 10.0), math.pi / 2),
        Side((0.0, 10.0), (0.0, 0.0)),
    ]
    assert stretches((-3.0, 6.0), (12.0, 6.0), polygon(quarter)) == [pytest.approx((3.0, 11.0))]


def test_a_line_on_the_edge_is_not_inside() -> None:
    assert stretches((0.0, 10.0), (10.0, 10.0), polygon(SQUARE)) == []


@st.composite
def convex(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Corners on a circle, counter-clockwise, never close together."""
    count = draw(st.integers(3, 8))
    gaps = [draw(st.floats(1.0, 3.0)) for _ in range(count)]
    turns = [2 * math.pi * sum(gaps[:k]) / sum(gaps) for k in range(count)]
    size = draw(st.floats(10.0, 60.0))
    return [(size * math.cos(t), size * math.sin(t)) for t in turns]


@st.composite
def curved(draw: st.DrawFn) -> list[Side]:
    """A convex ring one of whose sides is an arc that bulges out."""
    points = draw(convex())
    sides = ring_of(points)
    k = draw(st.integers(0, len(points) - 1))
    sides[k] = side_between(sides[k].a, sides[k].b, draw(st.floats(0.1, 1.2)))
    return sides


def area_of(sides: list[Side] | tuple[Side, ...]) -> shapely.Polygon:
    return shapely.Polygon(path_of_sides(sides, 1e-7))


@given(convex(), st.integers(0, 7), st.floats(0.02, 0.3))
@settings(max_examples=80, deadline=None)
def test_strip_against_shapely(points: list[tuple[float, float]], k: int, share: float) -> None:
    """A strip of a convex lot is what the lot has in common with a band along the side."""
    sides = ring_of(points)
    side = sides[k % len(sides)]
    lot = shapely.Polygon(points)
    least = min(math.dist(s.a, s.b) for s in sides)
    width = share * least * 0.5
    (ax, ay), (bx, by) = side.a, side.b
    length = math.dist(side.a, side.b)
    ux, uy = (bx - ax) / length, (by - ay) / length
    corners = [(ax - 500 * ux, ay - 500 * uy), (bx + 500 * ux, by + 500 * uy)]
    band = shapely.Polygon([*corners, *((x - uy * width, y + ux * width) for x, y in reversed(corners))])
    assert abs(sides_area(strip(sides, k % len(sides), width))) == pytest.approx(lot.intersection(band).area, rel=1e-9)


place = st.tuples(st.floats(-70, 70), st.floats(-70, 70))


@given(curved(), place, place)
@settings(max_examples=80, deadline=None)
def test_stretches_against_shapely(sides: list[Side], a: tuple[float, float], b: tuple[float, float]) -> None:
    assume(math.dist(a, b) > 0.5)
    found = sum(high - low for low, high in stretches(a, b, polygon(sides)))
    assert found == pytest.approx(shapely.LineString([a, b]).intersection(area_of(sides)).length, abs=2e-3)
    cut = parts_between(a, b, sides)
    assert cut[0][0] == 0.0
    assert sum(high - low for low, high, _ in cut) == pytest.approx(math.dist(a, b))


@given(curved(), place, place)
@settings(max_examples=80, deadline=None)
def test_nearest_against_shapely(sides: list[Side], a: tuple[float, float], b: tuple[float, float]) -> None:
    assume(math.dist(a, b) > 0.5)
    for side in sides:
        far, at = nearest_of_segment(a, b, side)
        judge = shapely.LineString([a, b]).distance(shapely.LineString(side_points(side, 1e-7)))
        assert far == pytest.approx(judge, abs=2e-6)
        assert shapely.LineString([a, b]).distance(shapely.Point(at)) < 1e-6


@given(curved(), st.floats(0.05, 2.0))
@settings(max_examples=50, deadline=None)
def test_a_moved_side_keeps_its_distance(sides: list[Side], off: float) -> None:
    left = sides_area(sides) > 0.0
    for side in sides:
        moved = inner_side(side, off, left)
        for p in side_points(moved, 1e-4, 5):
            assert depth_of(p, side, left) == pytest.approx(off, abs=1e-9)
