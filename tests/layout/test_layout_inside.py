"""Distances to the boundary against shapely, inside and across the line."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from palewright.boundary import sides_of
from palewright.layout.frame import Outline, reach
from palewright.layout.inside import Boundary

COORD = st.floats(-10, 10).map(lambda v: round(v, 3))


@st.composite
def cases(draw):
    n = draw(st.integers(3, 8))
    ring = draw(st.lists(st.tuples(COORD, COORD), min_size=n, max_size=n, unique=True))
    shape = shapely.Polygon(ring)
    assume(shape.is_valid and shape.area > 1)
    p = (draw(COORD), draw(COORD))
    w, h = draw(st.floats(0.02, 0.2)), draw(st.floats(0.02, 0.2))
    return ring, shape, p, Outline(w, h), draw(st.floats(-4, 4))


def rectangle(p, outline, axis):
    c, s = math.cos(axis), math.sin(axis)
    w, h = outline.half_width, outline.half_depth
    return shapely.Polygon(
        [(p[0] + c * i * w - s * j * h, p[1] + s * i * w + c * j * h) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    )


@settings(max_examples=200, deadline=None)
@given(cases())
def test_points_and_sections(case):
    ring, shape, p, outline, axis = case
    boundary = Boundary.of(sides_of(ring))
    far = shape.exterior.distance(shapely.Point(p))
    assume(far > 1e-6)
    signed = far if shape.contains(shapely.Point(p)) else -far
    assert boundary.distance(p) == pytest.approx(signed, abs=1e-9)
    section = rectangle(p, outline, axis)
    found = boundary.section(p, outline, axis, signed)
    if shape.contains(section):
        assert found == pytest.approx(shape.exterior.distance(section), abs=1e-9)
    elif section.area > 0 and shape.disjoint(section):
        assert found <= -shape.exterior.distance(section) + 1e-9
    else:
        assert found <= 1e-9


@settings(max_examples=200, deadline=None)
@given(cases())
def test_where_one_side_matters_it_alone_gives_the_distance(case):
    ring, shape, p, outline, axis = case
    boundary = Boundary.of(sides_of(ring))
    margin = math.hypot(outline.half_width, outline.half_depth)
    lone = boundary.lone(p, margin)
    if lone is None:
        return
    assert shape.contains(shapely.Point(p))
    far, toward = lone
    assert far == pytest.approx(shape.exterior.distance(shapely.Point(p)), abs=1e-9)
    section = rectangle(p, outline, axis)
    assert far - reach(outline, axis, toward) == pytest.approx(shape.exterior.distance(section), abs=1e-9)


def test_the_nearest_side_is_named():
    boundary = Boundary.of(sides_of([(0, 0), (10, 0), (10, 10), (0, 10)]))
    assert boundary.nearest((5, 1)) == (pytest.approx(1), 1)
    assert boundary.nearest((9, 5)) == (pytest.approx(1), 2)
    assert boundary.nearest((5, 12)) == (pytest.approx(-2), 3)


def test_reach_of_a_section():
    post = Outline(0.05, 0.10)
    assert reach(post, 0.0, (1.0, 0.0)) == 0.05
    assert reach(post, 0.0, (0.0, -1.0)) == 0.10
    assert reach(post, math.pi / 2, (1.0, 0.0)) == pytest.approx(0.10)
    # toward its own corner: half the diagonal
    d = (0.05 / math.hypot(0.05, 0.1), 0.1 / math.hypot(0.05, 0.1))
    assert reach(post, 0.0, d) == pytest.approx(math.hypot(0.05, 0.10))
    assert reach(Outline(0.03, 0.03, True), 0.7, (0.6, 0.8)) == 0.03
    assert reach(Outline(), 0.7, (0.6, 0.8)) == 0.0
