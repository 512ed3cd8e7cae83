"""Foreign files that must be refused: every refusal has a name, a place and a hint, and nothing is read past it."""

from __future__ import annotations

import json
import math
import zipfile
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from tests.exchange import foreign_files as files

from palewright.errors import Problem, ProblemError
from palewright.exchange import MOST_BYTES, Asked, import_file

SWAPPED = [(lat, lon) for lon, lat in files.LOT]


def problem(path: Path, ring: str = "", **asked: Any) -> Problem:
    with pytest.raises(ProblemError) as caught:
        import_file(path, Asked(**asked), ring)
    (found,) = caught.value.problems
    assert found.where.file == path.name or found.slug.startswith("unit-")
    return found


def slug(path: Path, content: str | bytes, ring: str = "", **asked: Any) -> str:
    if isinstance(content, str):
        content = content.encode()
    path.write_bytes(content)
    return problem(path, ring, **asked).slug


# ---------------------------------------------------------------- the file itself


def test_a_file_of_200_megabytes_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "big.geojson"
    with path.open("wb") as file:
        file.truncate(200_000_000)

    def no_reading(self: Path) -> bytes:
        raise AssertionError("the file was read")

    monkeypatch.setattr(Path, "read_bytes", no_reading)
    found = problem(path)
    assert (found.slug, found.found) == ("file-too-large", "200,000,000 bytes")
    assert f"{MOST_BYTES:,}" in found.allowed


def test_files_that_are_none(tmp_path: Path) -> None:
    assert problem(tmp_path / "nothing.dxf").slug == "file-missing"
    assert problem(tmp_path).slug == "file-missing"
    assert slug(tmp_path / "empty.geojson", b"") == "file-empty"
    assert slug(tmp_path / "blank.geojson", b" \n\t ") == "file-empty"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("lot.pdf", b"%PDF-1.7\n"),
        ("lot.geojson", b"\x89PNG\r\n\x1a\n"),
        ("lot.dwg", b"AC1032\x00\x00"),
        ("lot.db", b"SQLite format 3\x00" + bytes(100)),
        ("lot.shx", b"\x00\x00\x27\x0a" + bytes(100)),
        ("lot.xml", b"<?xml version='1.0'?><html><body/></html>"),
        ("lot.csv", b"\x00\x01\x02\x03"),
        ("lot", b"hello"),
    ],
)
def test_files_of_the_wrong_kind(tmp_path: Path, name: str, content: bytes) -> None:
    path = tmp_path / name
    assert slug(path, content) == "unknown-kind"
    assert "GeoJSON" in problem(path).allowed or name == "lot.csv"


@pytest.mark.parametrize(
    "name", ["lot.geojson", "lot.kml", "lot.gpx", "lot.xml", "lot.dxf", "lot.gpkg", "lot.shp", "lot.zip"]
)
def test_truncated_files(tmp_path: Path, name: str) -> None:
    made = files.write_all(tmp_path)[name]
    data = made.read_bytes()
    assert slug(made, data[: len(data) * 3 // 5]) == "file-broken"


def test_a_shapefile_without_its_parts(tmp_path: Path) -> None:
    path = files.gis(tmp_path / "lot.shp")
    (tmp_path / "lot.shx").unlink()
    assert problem(path).slug == "file-broken"


# ---------------------------------------------------------------- XML meant to do harm

BOMB = (
    '<?xml version="1.0"?><!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True))
    + "]><kml><Document><name>&i;</name></Document></kml>"
)
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE kml [<!ENTITY x SYSTEM "file:///etc/passwd">]><kml><name>&x;</name></kml>'
LATE = '<?xml version="1.0"?>' + " " * 5000 + '<!DOCTYPE kml [<!ENTITY x "y">]><kml>&x;</kml>'


@pytest.mark.parametrize("text", [BOMB, OUTSIDE, LATE, BOMB.encode("utf-16")])
def test_entities_are_refused(tmp_path: Path, text: str | bytes) -> None:
    assert slug(tmp_path / "bomb.kml", text) == "xml-doctype"


def test_xml_nested_without_end(tmp_path: Path) -> None:
    deep = "<kml>" + "<Folder>" * 100 + "</Folder>" * 100 + "</kml>"
    assert slug(tmp_path / "deep.kml", deep) == "file-broken"
    very = "<kml>" + "<Folder>" * 100_000 + "</Folder>" * 100_000 + "</kml>"
    assert slug(tmp_path / "very.kml", very) == "file-broken"


# ---------------------------------------------------------------- numbers


@pytest.mark.parametrize("bad", ["NaN", "Infinity", "-Infinity"])
def test_json_without_numbers(tmp_path: Path, bad: str) -> None:
    assert slug(tmp_path / "lot.json", '{"type": "Point", "coordinates": [' + bad + ", 40]}") == "file-broken"


def test_numbers_too_large(tmp_path: Path) -> None:
    assert slug(tmp_path / "a.json", '{"type": "Point", "coordinates": [1e999, 40]}') == "not-finite"
    assert slug(tmp_path / "b.json", '{"type": "Point", "coordinates": [1' + "0" * 400 + ", 40]}") == "not-geojson"
    for word in ("nan", "inf", "-inf", "1e300"):
        assert slug(tmp_path / "c.kml", files.kml().replace("-105.0,40.0,0", f"{word},40.0,0")) == "not-finite"
        assert slug(tmp_path / "d.gpx", files.gpx().replace('lat="40.0"', f'lat="{word}"', 1)) == "not-finite"
        assert slug(tmp_path / "e.xml", files.landxml().replace("0 100<", f"{word} 100<")) == "not-finite"
        assert slug(tmp_path / "f_pnezd.csv", f"1,{word},5,,\n", unit="ft") == "not-finite"


def test_words_in_place_of_numbers(tmp_path: Path) -> None:
    assert slug(tmp_path / "a.json", '{"type": "Point", "coordinates": ["-105", 40]}') == "not-geojson"
    assert slug(tmp_path / "b.kml", files.kml().replace("-105.0,40.0,0", "west,40.0,0")) == "not-a-number"
    assert slug(tmp_path / "c.kml", files.kml().replace("-105.0,40.0,0", "-105.0, 40.0,0")) == "not-a-number"
    assert slug(tmp_path / "d.gpx", files.gpx().replace(' lat="40.0"', "", 1)) == "not-a-number"
    assert slug(tmp_path / "e.xml", files.landxml().replace("0 100<", "0 100 3 4<")) == "not-a-number"
    path = tmp_path / "f_pnezd.csv"
    assert slug(path, "1,1000,5000,,\n2,north,5000,,\n", unit="ft") == "not-a-number"
    assert problem(path, unit="ft").where.line == 2


def test_a_dxf_with_a_number_that_is_none(tmp_path: Path) -> None:
    text = files.dxf(tmp_path / "lot.dxf").read_text()
    at = text.index("AcDbLine")
    assert slug(tmp_path / "bad.dxf", text[:at] + text[at:].replace("100.0", "nan", 1)) in ("not-finite", "file-broken")


# ---------------------------------------------------------------- axes, units, sizes, places


def test_exchanged_axes_are_found(tmp_path: Path) -> None:
    """Latitude first: a longitude of -105 cannot be a latitude; one of -75 would be in the Antarctic."""
    assert slug(tmp_path / "west.geojson", files.geojson(SWAPPED)) == "axes-swapped"
    assert slug(tmp_path / "west.kml", files.kml(SWAPPED)) == "axes-swapped"
    east = [(lat, lon + 30) for lat, lon in SWAPPED]
    assert slug(tmp_path / "east.geojson", files.geojson(east)) == "axes-swapped"


def test_exchanged_axes_are_found_by_a_place_nearby(tmp_path: Path) -> None:
    """50 north, 14 east, exchanged, is 14 north, 50 east: a good place for a lot, only another one."""
    bohemia = [(50.0 + x + 105, 14.0 + y - 40) for x, y in files.LOT]
    path = tmp_path / "lot.geojson"
    path.write_text(files.geojson(bohemia))
    assert import_file(path).drawn.frame is not None
    assert problem(path, near=(50.1, 14.1)).slug == "axes-swapped"
    assert problem(path, near=(40.0, -105.0)).slug == "far-from-site"
    assert import_file(path, Asked(near=(14.1, 50.1))).drawn.frame is not None


def test_exchanged_columns_of_a_point_list_are_found_by_its_grid(tmp_path: Path) -> None:
    """State plane, California zone 5: E 6,500,000 ft US, N 1,900,000 ft US; exchanged it lies outside the zone."""
    path = tmp_path / "control_pnezd.csv"
    assert slug(path, "1,6500000,1900000,,\n2,6500100,1900000,,\n", crs="EPSG:2229") == "axes-swapped"
    assert import_file(path, Asked(crs="EPSG:2229", order="PENZD")).drawn.frame is not None


def test_projected_numbers_called_degrees(tmp_path: Path) -> None:
    mercator = [(x * 100_000, y * 100_000) for x, y in files.LOT]
    assert slug(tmp_path / "a.geojson", files.geojson(mercator)) == "outside-crs"


def test_a_file_without_a_unit_is_asked_for_it(tmp_path: Path) -> None:
    assert problem(files.dxf(tmp_path / "none.dxf", unit=0)).slug == "unit-not-said"
    assert slug(tmp_path / "a_pnezd.csv", files.pnezd()) == "unit-not-said"
    assert problem(files.gis(tmp_path / "lot.gpkg", crs=None)).slug == "unit-not-said"
    assert problem(files.dxf(tmp_path / "odd.dxf"), unit="cubits").slug == "unit-unknown"
    assert slug(tmp_path / "a.xml", files.landxml("furlong")) == "unit-unknown"


def test_feet_and_survey_feet_are_not_mixed(tmp_path: Path) -> None:
    """International feet in the header, a grid in US survey feet: 2 ppm, which is 13 ft at 6,500,000 ft."""
    path = files.dxf(tmp_path / "lot.dxf", unit=2)
    found = problem(path, crs="EPSG:2229")
    assert found.slug == "unit-conflict"
    assert "ft US" in found.hint
    system = '<CoordinateSystem epsgCode="2229"/>'
    assert slug(tmp_path / "lot.xml", files.landxml("foot", system=system)) == "unit-conflict"


@pytest.mark.parametrize(
    ("side", "unit", "doubtful"),
    [(104.355, "ft", False), (104.355 * 0.3048, "ft", True), (104.355 * 12, "ft", True), (104.355 * 12, "in", False)],
)
def test_a_quarter_acre_in_another_unit_than_said_is_doubted(
    tmp_path: Path, side: float, unit: str, doubtful: bool
) -> None:
    """A quarter acre is 10,890 sq ft, a square of 104.355 ft (an acre: 43,560 sq ft)."""
    path = tmp_path / "lot.dxf"
    doc = ezdxf.new()
    doc.modelspace().add_lwpolyline([(0, 0), (side, 0), (side, side), (0, side)], close=True)
    doc.saveas(path)
    cautions = {caution.slug for caution in import_file(path, Asked(unit=unit)).drawn.cautions}
    assert ("unit-doubtful" in cautions) == doubtful
    sure = import_file(path, Asked(unit=unit, any_size=True)).drawn.cautions
    assert "unit-doubtful" not in {caution.slug for caution in sure}


@pytest.mark.parametrize(("factor", "unit"), [(0.01, "ft"), (5280, "ft"), (1, "mi"), (1, "mm")])
def test_unlikely_sizes_are_asked_about(tmp_path: Path, factor: float, unit: str) -> None:
    """A lot 1 ft wide, one 100 miles wide, and slips of the unit."""
    path = tmp_path / "lot.dxf"
    doc = ezdxf.new()
    square = [(x * factor, y * factor) for x, y in ((0, 0), (100, 0), (100, 100), (0, 100))]
    doc.modelspace().add_lwpolyline(square, close=True)
    doc.saveas(path)
    found = problem(path, unit=unit)
    assert found.slug == "size-unlikely"
    assert "--any-size" in found.hint
    assert import_file(path, Asked(unit=unit, any_size=True)).drawn.rings


def test_a_grid_far_away_from_its_zone(tmp_path: Path) -> None:
    path = files.dxf(tmp_path / "lot.dxf", unit=21)
    assert problem(path, crs="EPSG:2229").slug == "outside-crs"
    assert problem(path, crs="EPSG:1").slug == "crs-unknown"
    assert problem(path, crs="EPSG:4978").slug == "crs-not-usable"


# ---------------------------------------------------------------- rings and layers


def test_rings_that_cannot_be_a_lot(tmp_path: Path) -> None:
    a, b, c, d = files.LOT
    crossing = tmp_path / "bow.geojson"
    assert slug(crossing, files.geojson([a, b, d, c])) == "ring-crosses-itself"
    assert problem(crossing).found == "sides 2 and 4"
    assert slug(tmp_path / "flat.geojson", files.geojson([a, b, a, b])) in ("ring-crosses-itself", "ring-too-short")
    one = json.loads(files.geojson())
    one["features"][0]["geometry"]["coordinates"][0].pop()
    assert slug(tmp_path / "open.geojson", json.dumps(one)) == "ring-open"
    assert slug(tmp_path / "open.kml", files.kml().replace("-105.0,40.0,0</", "-105.001,40.0,0</")) == "ring-open"
    assert slug(tmp_path / "dot.geojson", files.geojson([a, a, a, a])) == "ring-too-short"
    many = [(-105 + math.cos(k / 400) / 1e3, 40 + math.sin(k / 400) / 1e3) for k in range(2500)]
    assert slug(tmp_path / "many.geojson", files.geojson(many)) == "too-many-corners"


def test_which_ring_and_which_layer(tmp_path: Path) -> None:
    path = files.gis(tmp_path / "lots.gpkg", copies=3)
    found = problem(path)
    assert (found.slug, found.allowed) == ("which-ring", "lot 7, lot 8, lot 9")
    assert problem(path, ring="lot 1").slug == "unknown-ring"
    files.gis(tmp_path / "other.gpkg").rename(tmp_path / "x")
    assert problem(path, layer="houses").slug == "unknown-layer"
    assert problem(files.dxf(tmp_path / "lot.dxf"), layer="houses").slug == "unknown-layer"
    folder = tmp_path / "two"
    folder.mkdir()
    files.gis(folder / "a.shp"), files.gis(folder / "b.shp")
    (tmp_path / "two.zip").write_bytes(files.zipped(folder))
    assert problem(tmp_path / "two.zip").slug == "which-layer"
    assert problem(tmp_path / "two.zip", layer="c").slug == "unknown-layer"
    assert import_file(tmp_path / "two.zip", Asked(layer="B")).drawn.rings


def test_files_with_nothing_in_them(tmp_path: Path) -> None:
    assert slug(tmp_path / "a.geojson", '{"type": "FeatureCollection", "features": []}') == "drawing-empty"
    assert slug(tmp_path / "b.kml", files.XML + "<kml><Document/></kml>") == "drawing-empty"
    ezdxf.new().saveas(tmp_path / "c.dxf")
    assert problem(tmp_path / "c.dxf").slug == "drawing-empty"
    assert slug(tmp_path / "d_pnezd.csv", "# nothing\n") == "drawing-empty"
    assert problem(files.gis(tmp_path / "e.gpkg", copies=0)).slug == "drawing-empty"


def test_zips_that_are_none(tmp_path: Path) -> None:
    folder = tmp_path / "kmz"
    folder.mkdir()
    (folder / "doc.kml").write_text(files.kml())
    assert slug(tmp_path / "lot.kmz", files.zipped(folder)) == "unknown-kind"
    assert slug(tmp_path / "no.zip", b"PK\x03\x04" + bytes(50)) == "file-broken"


def test_a_zip_that_swells(tmp_path: Path) -> None:
    import zipfile

    path = tmp_path / "swell.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as box:
        box.writestr("lot.shp", bytes(60_000_000))
    assert path.stat().st_size < 100_000
    assert problem(path).slug == "file-too-large"


def test_curves_and_references_that_disagree(tmp_path: Path) -> None:
    assert slug(tmp_path / "a.xml", files.landxml().replace('radius="100"', 'radius="90"')) == "curve-disagrees"
    assert (
        slug(tmp_path / "b.xml", files.landxml().replace('<End pntRef="1"/>', '<End pntRef="9"/>')) == "unknown-point"
    )
    assert slug(tmp_path / "c.xml", files.landxml().replace('<End pntRef="1"/>', "")) == "shape-too-short"


@pytest.mark.parametrize(
    "text",
    [
        "[]", "7", '"x"', '{"type": "Banana"}', '{"type": "Feature", "geometry": 3}', '{"type": "FeatureCollection"}',
        '{"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [0, 0]]]}', '{"type": "Point", "coordinates": [true, 1]}',
        '{"type": "LineString", "coordinates": [[0, 0]]}', '{"type": "MultiPoint", "coordinates": 3}',
    ],
)  # fmt: skip
def test_json_that_is_no_geojson(tmp_path: Path, text: str) -> None:
    assert slug(tmp_path / "x.geojson", text) in ("not-geojson", "unknown-kind")


def test_json_nested_too_deeply(tmp_path: Path) -> None:
    assert slug(tmp_path / "deep.json", '{"a":' * 100_000 + "1" + "}" * 100_000) == "file-broken"


def test_lists_of_points_without_an_order(tmp_path: Path) -> None:
    assert slug(tmp_path / "points.csv", files.pnezd(), unit="ft") == "csv-order-not-said"
    assert slug(tmp_path / "points.csv", files.pnezd(), unit="ft", order="PXYZ") == "csv-order-not-said"
    assert slug(tmp_path / "points.csv", "1,2\n", unit="ft", order="PNEZD") == "file-broken"


def test_more_points_than_a_job_names(tmp_path: Path) -> None:
    rows = "".join(f"{k},{k * 0.01:.2f},{k * 0.02:.2f},,\n" for k in range(5001))
    assert slug(tmp_path / "many_pnezd.csv", rows, unit="ft") == "too-many-points"


def test_shapes_of_one_name_are_told_apart_quickly(tmp_path: Path) -> None:
    """Twenty thousand lots called "lot": each has a name of its own, the last one too."""
    a, b, c, d = files.LOT
    lot = {"type": "Polygon", "coordinates": [[*map(list, (a, b, c, d)), list(a)]]}
    features = [{"type": "Feature", "properties": {"name": "lot"}, "geometry": lot}] * 20_000
    path = tmp_path / "lots.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    assert import_file(path, ring="lot (20000)").drawn.rings[0].name == "lot (20000)"


@pytest.mark.parametrize("blanks", [0, 5_000_000])
def test_a_part_of_a_zip_that_leads_to_another_file_is_not_followed(tmp_path: Path, blanks: int) -> None:
    """GDAL knows a virtual layer by its first words, whatever the name of the file; it would list what stands beside."""
    source = (
        '<OGRVRTDataSource><OGRVRTLayer name="a"><SrcDataSource>{}</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>'
    )
    (tmp_path / "secret.csv").write_text("x,y\n1,2\n")
    with zipfile.ZipFile(tmp_path / "lot.zip", "w") as box:
        box.writestr("lot.shp", source.format(tmp_path / "secret.csv") + " " * blanks)
    assert problem(tmp_path / "lot.zip").slug == "file-broken"
