"""Zones along a leg and beside holes, against shapely."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.layout.zones import box_zones, chord, clear_of, hits, near_leg, spans
from palewright.model import Zone

COORD = st.floats(-20, 20).map(lambda v: round(v, 3))
POINT = st.tuples(COORD, COORD)


def capsule_distance(p, c, e):
    return shapely.LineString([c, e]).distance(shapely.Point(p)) if c != e else math.dist(p, c)


@settings(max_examples=200, deadline=None)
@given(POINT, st.floats(0, 2 * math.pi), POINT, POINT, st.floats(0.01, 5))
def test_a_chord_is_the_whole_stretch_within_the_radius_and_no_more(a, turn, c, e, radius):
    d = (math.cos(turn), math.sin(turn))
    found = chord(a, d, c, e, radius)

    def far(t):
        return capsule_distance((a[0] + t * d[0], a[1] + t * d[1]), c, e)

    if found is None:
        assert min(far(k / 10) for k in range(-900, 901)) >= radius - 1e-6
        return
    low, high = found
    assert far(low) == pytest.approx(radius, abs=1e-6)
    assert far(high) == pytest.approx(radius, abs=1e-6)
    assert far((low + high) / 2) <= radius + 1e-9
    assert far(low - 1e-3) > radius - 1e-6
    assert far(high + 1e-3) > radius - 1e-6


def test_a_point_zone_is_a_circle():
    # 3-4-5: a circle of 5 round a point 3 off the line
    assert chord((0, 0), (1, 0), (5, 3), (5, 3), 5) == pytest.approx((1, 9))
    assert chord((0, 0), (1, 0), (5, 5.001), (5, 5.001), 5) is None


def test_a_pipe_square_across_the_leg():
    assert chord((0, 0), (1, 0), (5, -10), (5, 10), 0.75) == pytest.approx((4.25, 5.75))


def test_a_pipe_at_an_angle_covers_more():
    # 30 degrees to the leg: half width / sin 30
    c, e = (5 - 17.320508, -10), (5 + 17.320508, 10)
    assert chord((0, 0), (1, 0), c, e, 0.5) == pytest.approx((4, 6), abs=1e-6)


@settings(max_examples=120, deadline=None)
@given(
    st.lists(POINT, min_size=1, max_size=6, unique=True),
    st.booleans(),
    st.floats(0.05, 3),
    POINT,
    st.floats(0, 2 * math.pi),
    st.floats(0.05, 0.5),
)
def test_spans_of_a_path_cover_what_shapely_says_and_nothing_else(path, closed, half, a, turn, radius):
    d = (math.cos(turn), math.sin(turn))
    length = 25.0
    if closed and (len(path) < 3 or not shapely.Polygon(path).is_valid):
        closed = False
    zone = Zone("z", tuple(path), half, "no hole", closed=closed)
    (box,) = box_zones([zone])
    found = spans(box, a, d, length, radius)
    assert all(x[1] < y[0] for x, y in itertools.pairwise(found))
    if closed:
        shape = shapely.Polygon(path)
    elif len(path) > 1:
        shape = shapely.LineString(path)
    else:
        shape = shapely.Point(path[0])
    for k in range(101):
        t = length * k / 100
        p = (a[0] + t * d[0], a[1] + t * d[1])
        gap = shape.distance(shapely.Point(p)) - half - radius
        if abs(gap) < 1e-6:
            continue
        assert any(low <= t <= high for low, high in found) == (gap < 0)
        if gap > 0:
            assert clear_of(box, p, radius) == pytest.approx(gap, abs=1e-9)
        else:
            assert clear_of(box, p, radius) <= 1e-9


def test_hits_are_named_nearest_first_within_two_feet_of_the_edge():
    zones = [
        Zone("far", ((0, 2),), 0.2, "no hole"),
        Zone("gas", ((-5, 0.5), (5, 0.5)), 0.3, "hand dig", "gas"),
        Zone("near", ((0.31, 0),), 0.1, "pin"),
    ]
    found = hits(box_zones(zones), (0, 0), 0.15)
    assert [(hit.zone, round(hit.clear_m, 6)) for hit in found] == [("gas", 0.05), ("near", 0.06)]
    assert found[0].utility == "gas"


def test_only_zones_near_a_leg_are_kept_and_none_that_matters_is_lost():
    zones = [Zone(str(k), ((3.0 * k, 4.0),), 0.5, "no hole") for k in range(20)]
    kept = {box.zone.name for box in near_leg(box_zones(zones), (10, 0), (20, 4), 1.0)}
    must = {z.name for z in zones if shapely.LineString([(10, 0), (20, 4)]).distance(shapely.Point(z.points[0])) <= 1.5}
    assert must <= kept
    assert "0" not in kept
    assert "19" not in kept
