"""407 real cadastral parcels, stored in web mercator: every one becomes a job, closes, has its true area, is fenced or refused.

Data: Prague-Bubenec, `momepy/datasets/bubenec.gpkg` of momepy 0.11.0 (BSD), layer plots, EPSG:3857. True areas and sides:
geodesics on the WGS 84 ellipsoid (GeographicLib through pyproj.Geod), on coordinates unprojected by pyproj alone.
"""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pyproj
import pytest
import shapely
from tests.open_data import parcels_file

from palewright.errors import ProblemError
from palewright.exchange import Asked, import_file, read_sheet, ring_area, to_geojson
from palewright.exchange.choosing import take
from palewright.exchange.draft import draft_job
from palewright.exchange.foreign import Sheet
from palewright.jobfile import read_text
from palewright.model import Drawn
from palewright.plan import make_plan

GEOD = pyproj.Geod(ellps="WGS84")
ASKED = Asked(layer="plots", any_size=True)
FENCE = """fences: {f: {kind: chain-link, fabric: 1.8 m, good side: neighbour}}
runs:
  - {name: fence, fence: f, sides: all, inside boundary: {post: 0.3 m}, follows: grade}
"""


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    return read_sheet(parcels_file(), ASKED)


@pytest.fixture(scope="module")
def lots(sheet: Sheet) -> list[tuple[Drawn, list[tuple[float, float]]]]:
    """Every parcel in its own ground frame, and its corners as longitude and latitude by pyproj alone."""
    turn = pyproj.Transformer.from_crs(3857, 4326, always_xy=True)
    return [(take(sheet, ASKED, ring), [turn.transform(*xy) for xy in ring.points]) for ring in sheet.rings]


def true_area(globe: list[tuple[float, float]]) -> float:
    return abs(GEOD.geometry_area_perimeter(shapely.Polygon(globe))[0])


def test_every_parcel_is_read(sheet: Sheet, lots: list[tuple[Drawn, list[tuple[float, float]]]]) -> None:
    assert len(sheet.rings) == len(lots) == 407
    assert sum(bool(ring.holes) for ring in sheet.rings) == 17
    counts = [len(ring.points) for ring in sheet.rings]
    assert (min(counts), max(counts)) == (4, 234)


def test_ground_sides_and_areas_are_geodesic(lots: list[tuple[Drawn, list[tuple[float, float]]]]) -> None:
    """Sides to 0.02 mm, areas to 1e-6 and 1 cm2 (a geodesic polygon of a lot is itself good to about 1 cm2)."""
    for drawn, globe in lots:
        (ring,) = drawn.rings
        assert ring_area(ring) == pytest.approx(true_area(globe), rel=1e-6, abs=1e-4)
        count = len(ring.points)
        assert count == len(globe)
        for k in range(count):
            length = GEOD.inv(*globe[k], *globe[(k + 1) % count])[2]
            assert math.dist(ring.points[k], ring.points[(k + 1) % count]) == pytest.approx(length, abs=2e-5)


def test_web_mercator_lengths_never_come_through(
    sheet: Sheet, lots: list[tuple[Drawn, list[tuple[float, float]]]]
) -> None:
    """At 50 degrees north web mercator makes areas 2.43 times too large."""
    stored = sum(shapely.Polygon(ring.points).area for ring in sheet.rings)
    assert stored / sum(true_area(globe) for _, globe in lots) == pytest.approx(2.428, abs=0.001)
    for drawn, _ in lots:
        assert "grid-not-for-measuring" in [caution.slug for caution in drawn.cautions]
        assert drawn.frame is not None
        assert 1.55 < drawn.frame.scale_east < 1.57


def test_calls_rounded_to_a_second_and_a_hundredth_of_a_foot_close(
    lots: list[tuple[Drawn, list[tuple[float, float]]]],
) -> None:
    """As a job file by calls: read, closed, and the area within what the rounding can do.

    A call is off by at most 0.005 ft along it and L x 0.5 seconds across it; the misclosure by their sum, the area by
    the perimeter times the largest displacement of a corner, which is no more.
    """
    half_foot, half_second = 0.005 * 0.3048, math.radians(0.5 / 3600)
    for drawn, globe in lots:
        ring = make_plan(read_text(draft_job(drawn, "parcel", "calls"))).site.ring
        assert ring is not None
        perimeter = ring.closure.perimeter_m
        most = len(ring.corners) * half_foot + perimeter * half_second
        assert ring.closure.misclosure_m <= most
        assert ring.closure.precision >= 3000 or ring.closure.precision == 0.0
        assert ring.area_m2 == pytest.approx(true_area(globe), abs=perimeter * most)
        assert abs(ring.area_m2 - true_area(globe)) <= 0.0025 * perimeter, "in fact far better"


def test_parcels_are_fenced_inside_or_refused_in_words(lots: list[tuple[Drawn, list[tuple[float, float]]]]) -> None:
    """Posts 0.3 m inside: three of four parcels are planned, the others are refused for a shape that holds no such fence.

    Planned: every post face 0.3 m from the line and inside it (shapely's distance, not ours). Refused: a side that the
    mitres eat up, corners so near that their posts would stand in each other, a neck in which the fence meets itself.
    """
    told: Counter[str] = Counter()
    for drawn, _ in lots:
        text = draft_job(drawn, "parcel", "points", "metric")
        begin, end = text.index("# Which fence"), text.index("# The utility locate")
        try:
            plan = make_plan(read_text(text[:begin] + FENCE + text[end:]))
        except ProblemError as error:
            told[error.problems[0].slug] += 1
            continue
        lot = shapely.Polygon(drawn.rings[0].points)
        told["planned"] += 1
        for post in plan.design.posts:
            spot = shapely.Point(post.xy)
            assert lot.contains(spot)
            assert lot.exterior.distance(spot) >= 0.3 + min(post.width_m, post.depth_m) / 2 - 1e-4
    assert sum(told.values()) == 407
    assert told.keys() <= {"planned", "inset-collapses", "posts-overlap", "run-crosses-itself"}, told
    assert told["planned"] >= 300


def test_slivers_are_asked_about(sheet: Sheet, lots: list[tuple[Drawn, list[tuple[float, float]]]]) -> None:
    """Two of the parcels are narrower than 5 ft in some direction, and are taken only when a person says so."""
    turns = np.radians(np.arange(0.0, 180.0, 0.1))
    ways = np.stack([np.cos(turns), np.sin(turns)])
    narrow = {
        drawn.rings[0].name for drawn, _ in lots if np.ptp(np.array(drawn.rings[0].points) @ ways, axis=0).min() < 1.524
    }
    assert len(narrow) == 2
    for ring in sheet.rings:
        if ring.name in narrow:
            with pytest.raises(ProblemError, match="size-unlikely"):
                take(sheet, Asked(layer="plots"), ring)
        else:
            assert take(sheet, Asked(layer="plots"), ring).rings


def test_a_parcel_goes_out_where_it_came_from(sheet: Sheet) -> None:
    """In from web mercator at 230 m, planned, out as GeoJSON: the corners of the file, to 1 mm on the ground."""
    asked = Asked(layer="plots", height_m=230.0)
    ring = next(ring for ring in sheet.rings if ring.name == "760")
    drawn = take(sheet, asked, ring)
    assert drawn.frame is not None
    plan = make_plan(read_text(draft_job(drawn, "parcel", "points", "metric")))
    made = to_geojson(plan, ("P1", drawn.frame.latitude, drawn.frame.longitude), 230.0)
    turn = pyproj.Transformer.from_crs(3857, 4326, always_xy=True)
    spots = {tuple(spot) for spot in made["features"][0]["geometry"]["coordinates"][0]}
    assert len(spots) == len(ring.points)
    for lon, lat in (turn.transform(*xy) for xy in ring.points):
        assert min(GEOD.inv(lon, lat, *spot)[2] for spot in spots) < 0.001


def test_a_parcel_by_the_front_door() -> None:
    made = import_file(parcels_file(), Asked(layer="plots"), ring="760", way="calls", title="Parcel 760")
    job = read_text(made.text)
    assert (job.title, job.print_style, job.north_basis) == ("Parcel 760", "metric", "true north")
