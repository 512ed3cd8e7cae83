"""Readers of foreign files: what one invented lot becomes in every format."""

from __future__ import annotations

import json
import math
from pathlib import Path

import ezdxf
import pyproj
import pytest
import shapely
from tests.exchange import foreign_files as files

from palewright.errors import ProblemError
from palewright.exchange import Asked, import_file, list_file, read_sheet, ring_area
from palewright.jobfile import read_text
from palewright.model import Drawn
from palewright.plan import make_plan
from palewright.plane import signed_area

GEOD = pyproj.Geod(ellps="WGS84")
FT = 0.3048


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    return files.write_all(tmp_path_factory.mktemp("foreign"))


def drawn(path: Path, **asked: object) -> Drawn:
    return import_file(path, Asked(**asked)).drawn  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["lot.geojson", "lot.kml", "lot.gpx", "lot.gpkg", "lot.shp", "lot.zip"])
def test_a_lot_on_the_globe_has_its_ground_sides_and_area(made: dict[str, Path], name: str) -> None:
    """Against geodesics on the ellipsoid (GeographicLib through pyproj.Geod), not against our own plane."""
    got = drawn(made[name])
    (ring,) = got.rings
    assert got.north == "true north"
    assert ring.name == "lot 7"
    places = [*files.LOT, files.LOT[0]]
    area, _ = GEOD.geometry_area_perimeter(shapely.Polygon(files.LOT))
    assert ring_area(ring) == pytest.approx(area, rel=1e-7)
    corners = ring.points if signed_area(ring.points) > 0 else (ring.points[0], *ring.points[:0:-1])
    for k in range(4):
        azimuth, _, length = GEOD.inv(*places[k], *places[k + 1])
        (x, y), (x2, y2) = corners[k], corners[(k + 1) % 4]
        assert math.hypot(x2 - x, y2 - y) == pytest.approx(length, abs=1e-5)
        turned = math.degrees(math.atan2(x2 - x, y2 - y)) - azimuth
        assert (turned + 180) % 360 == pytest.approx(180, abs=1e-3)


@pytest.mark.parametrize("way", ["points", "calls"])
def test_every_format_makes_a_job_that_plans(made: dict[str, Path], way: str) -> None:
    for name, path in made.items():
        asked = Asked(unit="ft") if name == "pnezd.csv" else Asked()
        result = import_file(path, asked, way=way, title="Lot 7")
        job = read_text(result.text)
        assert job.title == "Lot 7"
        assert {"locate.ticket", "site.frost", "job.address"} <= {ask.path for ask in job.asks}, name
        plan = make_plan(job)
        assert (plan.site.ring is not None) == bool(result.drawn.rings), name


def test_points_keep_their_names_and_words(made: dict[str, Path]) -> None:
    text = import_file(made["lot.xml"], way="points").text
    assert "through: [P1, 1, 2]" in text
    assert "# side 2 is an arc, curve left, radius 100.00 ft, arc 157.08 ft; this is its chord" in text
    assert "2: {at: [0.0000 ft, 100.0000 ft]}   # iron pin" in text
    points = {point.name: point for point in drawn(made["pnezd.csv"], unit="ft").points}
    assert points["1"].xy == pytest.approx((5000 * FT, 1000 * FT))
    assert points["1"].height_m == pytest.approx(101.2 * FT)
    assert points["3"].words == "PK NAIL IN ROAD"
    assert points["2"].height_m is None


def test_an_arc_becomes_a_curve_call(made: dict[str, Path]) -> None:
    """A quarter circle of radius 100: the ring by calls has the area of the circle's quarter to the rounding of its parts."""
    text = import_file(made["lot.xml"]).text
    assert "names: [P1, 1, 2]" in text
    assert "# 2: iron pin" in text
    assert "- {curve: left, radius: 100.00 ft, arc: 157.08 ft, chord: N 45°00'00\" W}" in text
    ring = make_plan(read_text(text)).site.ring
    assert ring is not None
    assert ring.area_m2 / FT**2 == pytest.approx(math.pi * 100**2 / 4, abs=0.6)
    arc = ring.courses[1].arc
    assert arc is not None
    assert arc.sweep == pytest.approx(math.pi / 2, abs=1e-4)


def test_order_of_a_point_list_turns_it(made: dict[str, Path]) -> None:
    turned = drawn(made["pnezd.csv"], unit="ft", order="penzd")
    assert turned.points[0].xy == pytest.approx((1000 * FT, 5000 * FT))


def test_a_header_says_the_order(tmp_path: Path) -> None:
    path = tmp_path / "control.txt"
    path.write_text("Easting_ft\tNorthing_ft\tPoint\n10.5\t20.25\tA\n")
    (point,) = drawn(path, unit="ft US").points
    assert (point.name, point.xy) == ("A", pytest.approx((10.5 * 1200 / 3937, 20.25 * 1200 / 3937)))


def test_lines_and_an_arc_join_into_a_ring(made: dict[str, Path]) -> None:
    got = drawn(made["lot.dxf"])
    (ring,) = got.rings
    assert len(ring.points) == 4
    ((side, sweep),) = ring.arcs
    assert abs(sweep) == pytest.approx(math.pi)
    assert ring_area(ring) == pytest.approx((100 * 50 + math.pi * 50**2 / 2) * FT**2)
    assert [path.layer for path in got.paths] == ["fence"]
    assert [point.height_m for point in got.points] == pytest.approx([7.5 * FT])
    assert (side, got.unit, got.north) == (2, "ft", "")


@pytest.mark.parametrize(("code", "metres"), [(1, 0.0254), (2, 0.3048), (6, 1.0), (21, 1200 / 3937)])
def test_units_of_a_drawing(tmp_path: Path, code: int, metres: float) -> None:
    """$INSUNITS by the DXF reference: 1 in, 2 ft, 6 m, 21 US survey foot."""
    ring = drawn(files.dxf(tmp_path / "lot.dxf", code), any_size=True).rings[0]
    assert math.dist(ring.points[0], ring.points[1]) == pytest.approx(100 * metres, rel=1e-12)


def test_a_bulge_is_an_arc_and_a_mirrored_entity_is_turned_back(tmp_path: Path) -> None:
    """Bulge .2679491924 on a chord of 40: radius 40, centre (20, 34.64102), 60 degrees (tan 15 degrees, DXF reference)."""
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 6
    corners = [(0, 0, 0.2679491924), (40, 0, 0), (40, 40, 0), (0, 40, 0)]
    space = doc.modelspace()
    space.add_lwpolyline(corners, format="xyb", close=True)
    mirrored = space.add_lwpolyline([(-x, y, -b) for x, y, b in corners], format="xyb", close=True)
    mirrored.dxf.extrusion = (0, 0, -1)
    doc.saveas(tmp_path / "two.dxf")
    sheet = read_sheet(tmp_path / "two.dxf")
    for ring in sheet.rings:
        ((side, sweep),) = ring.arcs
        assert (side, math.degrees(sweep)) == (0, pytest.approx(60.0, abs=1e-7))
        # a left turn from west to east bulges south: it adds a segment R2 (D - sin D) / 2
        segment = 40**2 * (math.pi / 3 - math.sin(math.pi / 3)) / 2
        assert ring_area(ring) == pytest.approx(1600 + segment, rel=1e-9)
    for one, two in zip(sheet.rings[0].points, sheet.rings[1].points, strict=True):
        assert one == pytest.approx(two)


def test_blocks_are_opened_and_curves_counted(tmp_path: Path) -> None:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 6
    block = doc.blocks.new("LOT")
    block.add_lwpolyline([(0, 0), (30, 0), (30, 20), (0, 20)], close=True)
    doc.modelspace().add_blockref("LOT", (100, 200), dxfattribs={"rotation": 90})
    doc.modelspace().add_spline([(0, 0), (1, 1), (2, 0)])
    doc.saveas(tmp_path / "block.dxf")
    sheet = read_sheet(tmp_path / "block.dxf")
    corners = {(round(x, 9), round(y, 9)) for x, y in sheet.rings[0].points}
    assert corners == {(80, 200), (80, 230), (100, 200), (100, 230)}
    assert [caution.slug for caution in sheet.cautions] == ["curves-skipped"]


def test_a_circle_is_a_ring(tmp_path: Path) -> None:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 6
    doc.modelspace().add_circle((5, 5), 10)
    doc.saveas(tmp_path / "circle.dxf")
    (ring,) = drawn(tmp_path / "circle.dxf").rings
    assert ring_area(ring) == pytest.approx(math.pi * 100)


def test_three_ends_in_one_place_are_not_joined(tmp_path: Path) -> None:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 6
    for end in ((10, 0), (0, 10), (-10, 0)):
        doc.modelspace().add_line((0, 0), end)
    doc.saveas(tmp_path / "star.dxf")
    sheet = read_sheet(tmp_path / "star.dxf")
    assert (len(sheet.paths), len(sheet.rings)) == (3, 0)
    assert [caution.slug for caution in sheet.cautions] == ["lines-branch"]


def test_holes_are_said_and_left_out(tmp_path: Path) -> None:
    hole = [[-104.9998, 40.0001], [-104.9998, 40.0002], [-104.9997, 40.0002], [-104.9998, 40.0001]]
    outside = [*map(list, files.LOT), list(files.LOT[0])]
    path = tmp_path / "hole.json"
    path.write_text(json.dumps({"type": "Polygon", "coordinates": [outside, hole]}))
    got = drawn(path)
    assert len(got.rings[0].holes) == 1
    assert "ring-has-holes" in [caution.slug for caution in got.cautions]


def test_several_rings_are_listed_and_one_is_named(tmp_path: Path) -> None:
    path = files.gis(tmp_path / "lots.gpkg", copies=3)
    assert [row[:2] for row in list_file(path)] == [("ring", "lot 7"), ("ring", "lot 8"), ("ring", "lot 9")]
    assert import_file(path, ring="lot 8").drawn.rings[0].name == "lot 8"


def test_what_lies_far_from_the_ring_is_left_out(tmp_path: Path) -> None:
    far = {
        "type": "Feature",
        "properties": {"name": "far"},
        "geometry": {"type": "Point", "coordinates": [-105.1, 40.0]},
    }
    document = json.loads(files.geojson())
    document["features"].append(far)
    (tmp_path / "lot.geojson").write_text(json.dumps(document))
    got = drawn(tmp_path / "lot.geojson")
    assert [point.name for point in got.points] == ["pin"]
    assert "drawn-left-out" in [caution.slug for caution in got.cautions]


def test_files_that_mislead_are_cautioned(made: dict[str, Path], tmp_path: Path) -> None:
    """A traced KML, a phone's track, six decimals of a degree, and a height nobody gave."""
    slugs = {name: [c.slug for c in drawn(made[name]).cautions] for name in ("lot.kml", "lot.gpx", "lot.geojson")}
    assert slugs["lot.kml"] == ["drawn-by-hand", "height-not-given"]
    assert slugs["lot.gpx"] == ["phone-accuracy", "height-not-given"]
    assert slugs["lot.geojson"] == ["height-not-given"]
    coarse = [(round(lon, 6), round(lat, 6)) for lon, lat in files.LOT]
    (tmp_path / "coarse.geojson").write_text(files.geojson(coarse))
    assert "coordinates-coarse" in [c.slug for c in drawn(tmp_path / "coarse.geojson", height_m=1600.0).cautions]


def test_height_makes_ground_longer(made: dict[str, Path]) -> None:
    """At 1,650 m the ground is longer than the ellipsoid by 1650 / 6,370,000, a part in 3,860."""
    low, high = (drawn(made["lot.gpkg"], height_m=height).rings[0] for height in (0.0, 1650.0))
    stretch = math.dist(high.points[0], high.points[2]) / math.dist(low.points[0], low.points[2]) - 1
    assert stretch == pytest.approx(1650 / 6_370_000, rel=3e-3)


def test_the_frame_is_said_in_the_job(made: dict[str, Path]) -> None:
    text = import_file(made["lot.gpkg"], Asked(height_m=1600.0)).text
    assert "P1 lies at latitude 40.000000000, longitude -105.000000000; height 1600.0 m" in text
    assert "--place 'P1, 40.000000000, -105.000000000' --height '1600.0 m'" in text
    assert "north: true north" in text


def test_the_one_ring_that_is_no_circle_is_the_lot(tmp_path: Path) -> None:
    """Marks of corners are circles; so may a lot be, where it is alone (see above)."""
    path = files.dxf(tmp_path / "lot.dxf")
    doc = ezdxf.readfile(path)
    for place in ((0, 0), (100, 0), (100, 50)):
        doc.modelspace().add_circle(place, 1.5)
    doc.saveas(path)
    got = drawn(path)
    assert ring_area(got.rings[0]) / FT**2 == pytest.approx(5000 + math.pi * 50**2 / 2)
    (told,) = [caution for caution in got.cautions if caution.slug == "ring-chosen"]
    assert told.found.endswith("on layer lot")
    assert [path.layer for path in got.paths] == ["fence"]


def test_of_several_rings_that_on_a_layer_of_boundaries_is_the_lot_and_kept_alone(tmp_path: Path) -> None:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 2
    space = doc.modelspace()
    for layer, wide in (("house", 30), ("Boundary", 90), ("shed", 10)):
        space.add_lwpolyline([(0, 0), (wide, 0), (wide, 50), (0, 50)], close=True, dxfattribs={"layer": layer})
    space.add_line((0, 0), (5, 5), dxfattribs={"layer": "dimension"})
    doc.saveas(tmp_path / "plan.dxf")
    got = drawn(tmp_path / "plan.dxf")
    assert ring_area(got.rings[0]) / FT**2 == pytest.approx(90 * 50)
    assert got.paths == ()
    assert [caution.found for caution in got.cautions if caution.slug == "ring-chosen"] == ["ring 2 on layer Boundary"]
    rows = list_file(tmp_path / "plan.dxf")
    assert [(row[1], row[4]) for row in rows if row[0] == "ring"] == [
        ("ring 2", "Boundary"), ("ring 1", "house"), ("ring 3", "shed"),
    ]  # fmt: skip
    space.add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True, dxfattribs={"layer": "boundary"})
    doc.saveas(tmp_path / "two.dxf")
    with pytest.raises(ProblemError) as caught:
        drawn(tmp_path / "two.dxf")
    assert caught.value.problems[0].slug == "which-ring"
    assert "'ring 2' is the largest" in caught.value.problems[0].hint


def test_arcs_written_by_their_chords_are_told(tmp_path: Path) -> None:
    """Half a circle of 50 ft lies 50 ft off its chord."""
    path = files.dxf(tmp_path / "lot.dxf")
    (told,) = import_file(path, way="points").drawn.cautions
    assert (told.slug, told.severity) == ("arcs-by-chords", "caution")
    assert "up to 50' 0\" off its chord" in told.found
    assert import_file(path, way="calls").drawn.cautions == import_file(path).drawn.cautions == ()
