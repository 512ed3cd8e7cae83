"""Outputs under readers and validators that are not ours, and back through our own readers.

sources: rfc7946
"""

from __future__ import annotations

import csv
import io
import math
import sqlite3
import xml.etree.ElementTree as ET
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import geojson_validator
import gpxpy
import numpy as np
import pyogrio
import pytest
import shapely
from geojson_pydantic import FeatureCollection
from lxml import etree
from pyogrio import raw
from tests.exchange import foreign_files as files
from tests.sample_plan import sample_plan

from palewright.draw import to_dxf
from palewright.errors import ProblemError
from palewright.exchange import (
    Asked,
    import_file,
    list_file,
    to_geojson,
    to_geopackage,
    to_gpx,
    to_kml,
    to_landxml,
    to_pnezd,
    to_shapefile,
)
from palewright.jobfile import read_text
from palewright.model import Plan
from palewright.plan import make_plan
from palewright.plan.exporting import FORMATS, export
from palewright.plane import area
from palewright.survey import geographic_to_local

PLAN = sample_plan()
ANCHOR = ("NE", 40.0, -105.0)
PLACE = "NE, 40.0, -105.0"
RING = [corner.xy for corner in PLAN.site.ring.corners]  # type: ignore[union-attr]
POSTS = {f"post {post.label}": post.xy for post in PLAN.design.posts}
KML = "{http://www.opengis.net/kml/2.2}"
GLOBE = ("geojson", "geopackage", "shapefile", "kml", "gpx")
NASTY = 'Lot <7> & "Co", ñ 樹 \x01 \x0b'


def nasty() -> Plan:
    """A plan whose words would break a careless writer."""
    return replace(PLAN, settings=replace(PLAN.settings, title=NASTY))


def local(longitude: float, latitude: float) -> tuple[float, float]:
    """A place on the globe as it stands in the plan."""
    origin = next(point.xy for point in PLAN.site.points if point.name == "NE")
    place = (math.radians(latitude), math.radians(longitude))
    east, north = geographic_to_local(place, math.radians(40.0), math.radians(-105.0))
    return east + origin[0], north + origin[1]


# ---------------------------------------------------------------- validators


def test_geojson_under_two_validators() -> None:
    made = to_geojson(nasty(), ANCHOR)
    assert len(FeatureCollection.model_validate(made).features) == len(made["features"])
    assert geojson_validator.validate_structure(made) == {}
    found = geojson_validator.validate_geometries(made)
    assert found["invalid"] == {}
    assert set(found["problematic"]) <= {"excessive_coordinate_precision"}  # nine decimals are meant


def test_kml_under_the_published_schema() -> None:
    text = to_kml(nasty(), ANCHOR)
    assert files.kml_problems(text) == []
    folder = etree.fromstring(text.encode()).findall(f"{KML}Document/{KML}Folder")
    assert [mark.findtext(f"{KML}name") for mark in folder] == [
        "boundary", "corner", "building", "old fence", "zone", "fence", "gate", "string", "stake", "post"
    ]  # fmt: skip


def test_gpx_under_an_independent_reader() -> None:
    read = gpxpy.parse(to_gpx(nasty(), ANCHOR))
    assert (read.version, read.creator) == ("1.1", "Palewright")
    spots = {point.name: local(point.longitude, point.latitude) for point in read.waypoints}
    for name, xy in POSTS.items():
        assert spots[name] == pytest.approx(xy, abs=3e-4)
    assert {"SW", "SE", "NE", "NW", "stake S1"} <= spots.keys()
    tracks = {track.name: track.segments[0].points for track in read.tracks}
    assert len(tracks["boundary"]) == 5
    assert len(tracks) == 1 + len(PLAN.design.legs)


@pytest.mark.parametrize("form", ["kml", "gpx", "geojson"])
def test_gdal_reads_the_texts(tmp_path: Path, form: str) -> None:
    path = tmp_path / f"plan.{form}"
    path.write_bytes(export(nasty(), form, PLACE))
    count = 0
    for layer, kind in pyogrio.list_layers(str(path)):
        if kind is not None:
            _, _, shapes, _ = raw.read(str(path), layer=layer)
            count += len(shapes)
    assert count >= len(PLAN.design.posts) + len(PLAN.design.legs)


def points_of(path: Path, layer: str) -> dict[str, tuple[float, float]]:
    about, _, shapes, data = raw.read(str(path), layer=layer)
    assert about["crs"] == "EPSG:4326"
    names = dict(zip(about["fields"], data, strict=True))["name"]
    places = [shapely.from_wkb(shape) for shape in shapes]
    return {str(name): local(place.x, place.y) for name, place in zip(names, places, strict=True)}


def test_geopackage_under_sqlite_and_gdal(tmp_path: Path) -> None:
    data = to_geopackage(nasty(), ANCHOR)
    assert data == to_geopackage(nasty(), ANCHOR), "the same bytes every time"
    path = tmp_path / "plan.gpkg"
    path.write_bytes(data)
    base = sqlite3.connect(path)
    assert base.execute("pragma integrity_check").fetchone() == ("ok",)
    assert base.execute("pragma application_id").fetchone() == (0x47504B47,)
    layers = base.execute("select table_name, srs_id from gpkg_contents order by table_name").fetchall()
    base.close()
    assert layers == [("areas", 4326), ("lines", 4326), ("points", 4326)]
    spots = points_of(path, "points")
    for name, xy in POSTS.items():
        assert spots[name] == pytest.approx(xy, abs=3e-4)


def test_shapefiles_under_gdal(tmp_path: Path) -> None:
    data = to_shapefile(nasty(), ANCHOR)
    assert data == to_shapefile(nasty(), ANCHOR)
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        assert box.testzip() is None
        box.extractall(tmp_path)
    assert {path.suffix for path in tmp_path.iterdir()} == {".shp", ".shx", ".dbf", ".prj", ".cpg"}
    assert points_of(tmp_path / "points.shp", "points")["post 1"] == pytest.approx(POSTS["post 1"], abs=3e-4)
    _, _, shapes, _ = raw.read(str(tmp_path / "areas.shp"))
    assert np.all(shapely.is_valid(shapely.from_wkb(shapes)))


def test_landxml_closes_and_has_the_area(tmp_path: Path) -> None:
    """No schema is to be had: the root, the units, references that lead somewhere, closure and area."""
    text = to_landxml(nasty(), "2026-05-04")
    root = ET.fromstring(text)
    space = "{http://www.landxml.org/schema/LandXML-1.2}"
    assert (root.tag, root.get("version"), root.get("date")) == (f"{space}LandXML", "1.2", "2026-05-04")
    assert root.find(f"{space}Units/{space}Imperial").get("linearUnit") == "foot"  # type: ignore[union-attr]
    names = [point.get("name") for point in root.iter(f"{space}CgPoint")]
    assert len(set(names)) == len(names)
    assert {end.get("pntRef") for end in root.iter() if end.get("pntRef")} <= set(names)
    parcel = root.find(f"{space}Parcels/{space}Parcel")
    assert parcel is not None
    north = east = twice = 0.0
    for line in parcel.iter(f"{space}Line"):
        (n, e), (n2, e2) = ([float(v) for v in end.text.split()] for end in line)  # type: ignore[union-attr]
        north, east, twice = north + n2 - n, east + e2 - e, twice + e * n2 - e2 * n
    assert (north, east) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert abs(twice) / 2 == pytest.approx(area(RING) / 0.3048**2, rel=1e-9)
    assert float(parcel.get("area", "0")) == pytest.approx(abs(twice) / 2, abs=0.001)


def test_pnezd_is_what_a_collector_takes() -> None:
    rows = list(csv.reader(io.StringIO(to_pnezd(nasty()))))
    assert all(len(row) == 5 for row in rows)
    assert [row[0] for row in rows] == [str(k) for k in range(1, len(rows) + 1)]
    found = {row[4]: (float(row[2]) * 0.3048, float(row[1]) * 0.3048) for row in rows}
    for name, xy in POSTS.items():
        assert found[name] == pytest.approx(xy, abs=2e-5)
    assert {"corner SW", "stake S1"} <= found.keys()
    assert all(row[3] == "" for row in rows), "no height is known"


def test_an_arc_of_the_boundary_goes_out_as_a_curve(tmp_path: Path) -> None:
    """A quarter circle of radius 100 ft by curve call: LandXML keeps the arc, GeoJSON has chords within 5 mm of it."""
    source = tmp_path / "lot.xml"
    source.write_text(files.landxml())
    plan = make_plan(read_text(import_file(source).text))
    again = tmp_path / "again.xml"
    again.write_text(to_landxml(plan))
    (ring,) = import_file(again).drawn.rings
    ((_, sweep),) = ring.arcs
    assert sweep == pytest.approx(math.pi / 2, abs=1e-4)
    globe = replace(plan, settings=replace(plan.settings, north_basis="true north"))
    shape = to_geojson(globe, ("P1", 40.0, -105.0))["features"][0]["geometry"]["coordinates"][0]
    flat = [
        geographic_to_local((math.radians(y), math.radians(x)), math.radians(40.0), math.radians(-105.0))
        for x, y in shape
    ]
    quarter = math.pi * 30.48**2 / 4
    # chords within 5 mm of an arc of 47.9 m take away at most two thirds of that strip
    assert 0.0 < quarter - area(flat[:-1]) < 0.005 * 47.9


def test_a_metric_plan_is_written_in_metres() -> None:
    metric = replace(PLAN, settings=replace(PLAN.settings, print_style="metric"))
    assert '<Metric areaUnit="squareMeter" linearUnit="meter"' in to_landxml(metric) or "Metric linear" in to_landxml(
        metric
    )
    first = next(csv.reader(io.StringIO(to_pnezd(metric))))
    assert (float(first[2]), float(first[1])) == pytest.approx(RING[0], abs=1e-4)


# ---------------------------------------------------------------- there and back


@pytest.mark.parametrize("form", [*GLOBE, "landxml", "pnezd-csv", "dxf"])
def test_there_and_back(tmp_path: Path, form: str) -> None:
    """What is written is read again: the boundary to 1 mm, and every post where the format holds posts."""
    endings = {"geopackage": "gpkg", "shapefile": "zip", "landxml": "xml", "pnezd-csv": "csv"}
    path = tmp_path / f"plan-pnezd.{endings.get(form, form)}"
    path.write_bytes(export(PLAN, form, PLACE))
    layer = {"geopackage": "areas", "shapefile": "areas", "kml": "boundary", "dxf": "boundary"}.get(form, "")
    asked = Asked(layer=layer, unit="ft" if form == "pnezd-csv" else "")
    if form != "pnezd-csv":
        rings = {name: size for kind, name, size, *_ in list_file(path, asked) if kind == "ring"}
        ring = "boundary" if "boundary" in rings else max(rings, key=lambda name: rings[name])
        got = import_file(path, asked, ring).drawn
        (lot,) = got.rings
        sides = sorted(math.dist(a, b) for a, b in zip(lot.points, (*lot.points[1:], lot.points[0]), strict=True))
        wanted = sorted(math.dist(a, b) for a, b in zip(RING, (*RING[1:], RING[0]), strict=True))
        assert sides == pytest.approx(wanted, abs=1e-3)
        assert area(lot.points) == pytest.approx(area(RING), rel=1e-5)
    else:
        got = import_file(path, asked).drawn
    if form in ("geojson", "gpx", "landxml", "pnezd-csv"):
        spots = {(point.words if form == "pnezd-csv" else point.name): point.xy for point in got.points}
        shift = (0.0, 0.0) if form in ("landxml", "pnezd-csv") else RING[0]
        for name, xy in POSTS.items():
            key = name.removeprefix("post ") if form == "geojson" and name not in spots else name
            if key in spots:
                assert (spots[key][0] + shift[0], spots[key][1] + shift[1]) == pytest.approx(xy, abs=2e-3)
        assert sum(name in spots for name in POSTS) == len(POSTS) or form == "geojson"


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize("form", GLOBE)
def test_formats_on_the_globe_are_refused_without_north_or_place(form: str) -> None:
    lost = replace(PLAN, site=replace(PLAN.site, north=False))
    magnetic = replace(PLAN, settings=replace(PLAN.settings, north_basis="magnetic needle of 1812"))
    cases: list[tuple[Plan, str, str]] = [
        (lost, PLACE, "geographic-needs-north"),
        (magnetic, PLACE, "geographic-needs-true-north"),
        (PLAN, "", "geographic-needs-place"),
        (PLAN, "nowhere, 40, -105", "unknown-point"),
        (PLAN, "NE, 95, -105", "place-unreadable"),
    ]
    for plan, place, slug in cases:
        with pytest.raises(ProblemError) as caught:
            export(plan, form, place)
        assert caught.value.problems[0].slug == slug


@pytest.mark.parametrize("form", ["landxml", "pnezd-csv", "dxf"])
def test_local_formats_need_no_north(form: str) -> None:
    lost = replace(PLAN, site=replace(PLAN.site, north=False))
    assert export(lost, form)
    assert "LOCAL: " in to_landxml(lost)


def test_the_command_names_the_formats_of_the_engine() -> None:
    from palewright.cli import export as command

    assert command.FORMATS == FORMATS


def test_dxf_has_what_the_plan_has(tmp_path: Path) -> None:
    import ezdxf

    to_dxf(PLAN, tmp_path / "plan.dxf")
    assert not ezdxf.readfile(tmp_path / "plan.dxf").audit().errors


def test_the_boundary_of_our_own_drawing_is_found_among_its_rings(tmp_path: Path) -> None:
    path = tmp_path / "plan.dxf"
    path.write_bytes(export(PLAN, "dxf", ""))
    got = import_file(path).drawn
    assert area(got.rings[0].points) == pytest.approx(area(RING), rel=1e-5)
    assert got.paths == got.points == ()
    assert [caution.slug for caution in got.cautions] == ["ring-chosen"]


def test_missing_gis_libraries_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    import importlib

    def none(name: str, *rest: Any) -> Any:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", none)
    with pytest.raises(ProblemError) as caught:
        to_geopackage(PLAN, ANCHOR)
    assert caught.value.problems[0].slug == "gis-extra-missing"
