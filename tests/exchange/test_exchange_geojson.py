"""GeoJSON: refused without north or place; valid by RFC 7946; distances on the globe are those of the plan."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sample_plan import sample_plan

from palewright.errors import ProblemError
from palewright.exchange import to_geojson
from palewright.model import Plan
from palewright.survey import WGS84_A, WGS84_F, local_to_geographic

PLAN = sample_plan()
ANCHOR = ("NE", 40.0, -105.0)


def slug(plan: Plan, anchor: tuple[str, float, float] | None = ANCHOR) -> str:
    with pytest.raises(ProblemError) as caught:
        to_geojson(plan, anchor)
    (problem,) = caught.value.problems
    return problem.slug


def positions(geometry: dict[str, Any]) -> Iterator[list[float]]:
    parts = geometry["coordinates"]
    if geometry["type"] == "Point":
        yield parts
    elif geometry["type"] == "LineString":
        yield from parts
    else:
        for ring in parts:
            yield from ring


def ground(one: list[float], two: list[float]) -> float:
    """Distance on the ellipsoid by the radii of curvature at 40 degrees (Snyder, USGS PP 1395): good to 1e-5 on a lot."""
    e2 = WGS84_F * (2 - WGS84_F)
    w = 1 - e2 * math.sin(math.radians(40.0)) ** 2
    meridian, normal = WGS84_A * (1 - e2) / w**1.5, WGS84_A / math.sqrt(w)
    middle = math.radians((one[1] + two[1]) / 2)
    return math.hypot(
        math.radians(two[1] - one[1]) * meridian, math.radians(two[0] - one[0]) * normal * math.cos(middle)
    )


def test_refused_without_north() -> None:
    assert slug(replace(PLAN, site=replace(PLAN.site, north=False))) == "geographic-needs-north"
    assert slug(replace(PLAN, settings=replace(PLAN.settings, north=False))) == "geographic-needs-north"


def test_refused_with_magnetic_bearings() -> None:
    magnetic = replace(PLAN, settings=replace(PLAN.settings, north_basis="magnetic needle of 6 Nov 1812"))
    assert slug(magnetic) == "geographic-needs-true-north"
    turned = replace(PLAN, settings=replace(PLAN.settings, north_basis="magnetic, turned to true by 9.5 degrees"))
    assert to_geojson(turned, ANCHOR)["features"]


def test_refused_without_a_place_or_with_a_wrong_one() -> None:
    assert slug(PLAN, None) == "geographic-needs-place"
    assert slug(PLAN, ("nowhere", 40.0, -105.0)) == "unknown-point"
    assert slug(PLAN, ("NE", 89.5, 0.0)) == "geographic-out-of-range"
    assert slug(PLAN, ("NE", 40.0, 181.0)) == "geographic-out-of-range"
    assert slug(PLAN, ("NE", math.nan, 0.0)) == "geographic-out-of-range"
    assert slug(PLAN, ("NE", 0.0, -180.0)) == "geographic-out-of-range"


def test_the_rules_of_the_format() -> None:
    """RFC 7946: sections 3 (types), 3.1.1 (longitude first), 3.1.6 (rings), 3.2 (features), 4 (no crs)."""
    made = to_geojson(PLAN, ANCHOR)
    assert made["type"] == "FeatureCollection"
    assert "crs" not in made
    for feature in made["features"]:
        assert set(feature) == {"type", "geometry", "properties"}
        assert feature["type"] == "Feature"
        geometry = feature["geometry"]
        assert geometry["type"] in ("Point", "LineString", "Polygon")
        spots = list(positions(geometry))
        assert all(len(p) == 2 and -180 <= p[0] <= 180 and -90 <= p[1] <= 90 for p in spots)
        assert all(abs(p[0] + 105) < 0.01 and abs(p[1] - 40) < 0.01 for p in spots)
        if geometry["type"] == "LineString":
            assert len(spots) >= 2
        if geometry["type"] == "Polygon":
            for ring in geometry["coordinates"]:
                assert len(ring) >= 4
                assert ring[0] == ring[-1]
                assert sum((b[0] - a[0]) * (b[1] + a[1] - 80) for a, b in itertools.pairwise(ring)) < 0
    assert json.loads(json.dumps(made, allow_nan=False)) == made


def test_a_clockwise_boundary_is_turned_round() -> None:
    ring = PLAN.site.ring
    assert ring is not None
    turned = replace(ring, corners=ring.corners[::-1])
    made = to_geojson(replace(PLAN, site=replace(PLAN.site, ring=turned)), ANCHOR)
    (shape,) = [f["geometry"]["coordinates"][0] for f in made["features"] if f["properties"]["what"] == "boundary"]
    assert sum((b[0] - a[0]) * (b[1] + a[1] - 80) for a, b in itertools.pairwise(shape)) < 0


def test_everything_of_the_plan_is_there() -> None:
    made = to_geojson(PLAN, ANCHOR)
    count: dict[str, int] = {}
    for feature in made["features"]:
        what = feature["properties"]["what"]
        count[what] = count.get(what, 0) + 1
    assert count == {
        "boundary": 1, "building": len(PLAN.site.buildings), "old fence": len(PLAN.site.removals),
        "zone": len(PLAN.site.zones), "fence": len(PLAN.design.legs), "gate": len(PLAN.design.gates),
        "post": len(PLAN.design.posts), "corner": 4, "string": len(PLAN.stakeout.strings),
        "stake": 2 * len(PLAN.stakeout.strings),
    }  # fmt: skip


def test_distances_between_posts_are_those_of_the_plan() -> None:
    made = to_geojson(PLAN, ("post 1", 40.0, -105.0))
    spots = {
        f["properties"]["label"]: f["geometry"]["coordinates"]
        for f in made["features"]
        if f["properties"]["what"] == "post"
    }
    assert spots["1"] == [-105.0, 40.0]
    places = {post.label: post.xy for post in PLAN.design.posts}
    for one, two in itertools.combinations(places, 2):
        # 9 decimals of a degree are 0.1 mm; the formula of the check is good to 1e-5
        assert ground(spots[one], spots[two]) == pytest.approx(math.dist(places[one], places[two]), rel=2e-5, abs=3e-4)


@given(st.floats(-80, 80), st.floats(-179, 179), st.floats(-2000, 2000), st.floats(-2000, 2000))
def test_a_plane_and_back(lat: float, lon: float, east: float, north: float) -> None:
    """Back by rectangular coordinates written out independently; the plane leaves the ellipsoid by d2 / 2R, up to 0.7 m."""
    lat, lon = math.radians(lat), math.radians(lon)
    e2 = WGS84_F * (2 - WGS84_F)

    def rectangular(phi: float, lam: float) -> tuple[float, float, float]:
        n = WGS84_A / math.sqrt(1 - e2 * math.sin(phi) ** 2)
        return n * math.cos(phi) * math.cos(lam), n * math.cos(phi) * math.sin(lam), n * (1 - e2) * math.sin(phi)

    got = local_to_geographic((east, north), lat, lon)
    d = [b - a for a, b in zip(rectangular(lat, lon), rectangular(*got), strict=True)]
    back_east = -math.sin(lon) * d[0] + math.cos(lon) * d[1]
    back_north = -math.sin(lat) * (math.cos(lon) * d[0] + math.sin(lon) * d[1]) + math.cos(lat) * d[2]
    # the foot on the ellipsoid lies a height h = d2 / 2R below the plane, seen under d / R: at most 0.3 mm at 2.8 km
    assert (back_east, back_north) == pytest.approx((east, north), abs=4e-4)


@pytest.mark.parametrize("bad", [((math.nan, 0.0), 0.5, 0.5), ((0.0, 0.0), 1.57, 0.5), ((0.0, 0.0), 0.5, math.inf)])
def test_out_of_range(bad: tuple[tuple[float, float], float, float]) -> None:
    with pytest.raises(ValueError, match=r"anchor|finite"):
        local_to_geographic(*bad)
