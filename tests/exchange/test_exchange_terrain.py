"""Files of ground: surfaces and grids in metres of the job, or a problem."""

from __future__ import annotations

import math
import struct
import zipfile
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pyproj
import pytest
import rasterio
from rasterio.transform import Affine

from palewright.errors import ProblemError
from palewright.exchange import terrain_grid
from palewright.exchange.terrain_in import read_terrain
from palewright.ground import Grid
from palewright.model import TerrainSpec

FOOT = 0.3048
SURVEY_FOOT = 1200.0 / 3937.0
TIN = """<?xml version="1.0"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
 <Units><Imperial linearUnit="{unit}" areaUnit="squareFoot" volumeUnit="cubicFeet" temperatureUnit="fahrenheit" pressureUnit="inHG"/></Units>{crs}
 <Surfaces><Surface name="existing"><Definition surfType="TIN">
  <Pnts><P id="1">0 0 100</P><P id="2">0 10 101</P><P id="7">20 0 102</P><P id="9">20 10 90</P></Pnts>
  <Faces><F>1 2 7</F><F i="1">2 7 9</F></Faces></Definition></Surface>{more}</Surfaces></LandXML>"""


def surface(path: Path, **more: object) -> TerrainSpec:
    return replace(TerrainSpec("surface", path.name), **more)  # type: ignore[arg-type]


def slug_of(path: Path, spec: TerrainSpec) -> str:
    with pytest.raises(ProblemError) as caught:
        read_terrain(path, spec)
    return caught.value.problems[0].slug


def test_landxml_has_northing_first_and_hidden_triangles_are_no_ground(tmp_path: Path) -> None:
    path = tmp_path / "t.xml"
    path.write_text(TIN.format(unit="USSurveyFoot", crs="", more=""))
    found = read_terrain(path, surface(path))
    assert found.points[1] == pytest.approx(np.array([10, 0, 101]) * SURVEY_FOOT)
    assert found.faces.tolist() == [[0, 1, 2]]


def test_landxml_problems(tmp_path: Path) -> None:
    path = tmp_path / "t.xml"
    two = '<Surface name="proposed"><Definition><Pnts><P id="1">0 0 0</P></Pnts></Definition></Surface>'
    path.write_text(TIN.format(unit="foot", crs="", more=two))
    assert slug_of(path, surface(path)) == "surface-which"
    assert len(read_terrain(path, surface(path, layer="existing")).points) == 4
    path.write_text(TIN.format(unit="foot", crs="", more="").replace("<F>1 2 7", "<F>1 2 8"))
    assert slug_of(path, surface(path)) == "unknown-point"
    path.write_text(TIN.format(unit="foot", crs="", more="").replace("20 0 102", "20 0 nan"))
    assert slug_of(path, surface(path)) == "not-finite"
    path.write_text(TIN.format(unit="foot", crs='<CoordinateSystem epsgCode="2229"/>', more=""))
    assert slug_of(path, surface(path)) == "terrain-not-placed"
    assert slug_of(path, surface(path, crs="EPSG:3857", same_grid=True)) == "web-mercator"


def test_dxf_faces_points_and_meshes(tmp_path: Path) -> None:
    path = tmp_path / "t.dxf"
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 2
    space = doc.modelspace()
    space.add_point((0, 0, 5))
    space.add_point((9, 0, 0))  # a mark without a height
    doc.saveas(path)
    found = read_terrain(path, surface(path))
    assert found.points.tolist() == [[0.0, 0.0, 5 * FOOT]]
    assert found.cautions == (("terrain-without-height", "1"),)
    space.add_3dface([(0, 0, 1), (10, 0, 2), (10, 10, 3), (0, 10, 4)], dxfattribs={"layer": "TIN"})
    space.add_3dface([(10, 0, 2), (20, 0, 5), (10, 10, 3)], dxfattribs={"layer": "TIN"})
    mesh = space.add_polyface(dxfattribs={"layer": "OTHER"})
    mesh.append_face([(0, 0, 7), (1, 0, 7), (0, 1, 7)])
    doc.saveas(path)
    one = read_terrain(path, surface(path, layer="tin"))
    assert len(one.points) == 5
    assert len(one.faces) == 3
    assert one.points[:, 2].max() == pytest.approx(5 * FOOT)
    assert len(read_terrain(path, surface(path)).faces) == 4
    assert read_terrain(path, surface(path, unit="m")).points[:, 2].max() == 7.0  # a person's unit over the header's
    assert slug_of(path, surface(path, layer="none")) == "drawing-empty"


def test_a_point_list_needs_a_unit_and_an_order(tmp_path: Path) -> None:
    path = tmp_path / "shots.csv"
    path.write_text("1,10,20,5.5,ground\n2,11,21,,ground\n3,12,20,6,ground\n")
    assert slug_of(path, surface(path, unit="ft")) == "csv-order-not-said"
    assert slug_of(path, surface(path, order="PNEZD")) == "unit-not-said"
    found = read_terrain(path, surface(path, order="PNEZD", unit="ft"))
    assert found.points == pytest.approx(np.array([[20, 10, 5.5], [20, 12, 6]]) * FOOT)
    assert found.cautions == (("terrain-without-height", "1"),)
    path.write_text("x,y,z\n1,2,3\n4,5,6\n7,8,10\n")
    assert read_terrain(path, surface(path, unit="m")).points.tolist() == [[1, 2, 3], [4, 5, 6], [7, 8, 10]]
    assert slug_of(path.with_suffix(".pdf"), surface(path)) == "file-missing"


ASC = "ncols 3\nnrows 2\nxllcorner 100\nyllcorner 50\ncellsize 10\nNODATA_value -9999\n1 2 3\n4 -9999 6\n"


def test_ascii_grid(tmp_path: Path) -> None:
    path = tmp_path / "dem.asc"
    path.write_text(ASC)
    spec = TerrainSpec("grid", "dem.asc", unit="ft")
    found = read_terrain(path, spec)
    assert found.affine == pytest.approx(tuple(FOOT * v for v in (10, 0, 100, 0, -10, 70)))
    assert np.isnan(found.values[1, 1])
    assert found.values[1, 2] == pytest.approx(6 * FOOT)
    assert slug_of(path, replace(spec, unit="")) == "unit-not-said"
    path.write_text(ASC.replace("xllcorner", "xllcenter").replace("yllcorner", "yllcenter"))
    assert read_terrain(path, replace(spec, unit="m")).affine == (10, 0, 95, 0, -10, 65)
    path.write_text(ASC.replace("4 -9999 6", "4 6"))
    assert slug_of(path, spec) == "file-broken"


def test_archive(tmp_path: Path) -> None:
    path = tmp_path / "dem.npz"
    np.savez(
        path, elevation=np.array([[1, 2], [3, -99]]), affine=np.array([1.0, 0, 0, 0, -1, 2]), nodata=-99, unit="ft"
    )
    found = read_terrain(path, TerrainSpec("grid", "dem.npz"))
    assert found.values[0, 1] == pytest.approx(2 * FOOT)
    assert np.isnan(found.values[1, 1])
    assert slug_of(path, TerrainSpec("grid", "dem.npz", unit="m")) == "unit-conflict"
    np.savez(path, heights=np.ones((2, 2)))
    assert slug_of(path, TerrainSpec("grid", "dem.npz", unit="m")) == "file-broken"
    path.write_bytes(b"PK\x03\x04 nothing")
    assert slug_of(path, TerrainSpec("grid", "dem.npz", unit="m")) == "file-broken"


def test_a_small_archive_that_unpacks_to_a_very_large_grid(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(terrain_grid, "MOST_CELLS", 1_000_000)
    path = tmp_path / "dem.npz"
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out,
        out.open("elevation.npy", "w", force_zip64=True) as entry,
    ):
        for _ in range(2):
            entry.write(bytes(10_000_000))
    assert path.stat().st_size < 100_000
    assert slug_of(path, TerrainSpec("grid", "dem.npz", unit="m")) == "grid-too-large"


VRT = """<VRTDataset rasterXSize="4" rasterYSize="3"><GeoTransform>0, 1, 0, 3, 0, -1</GeoTransform>
<VRTRasterBand dataType="Byte" band="1"{more}><{source}><SourceFilename relativeToVRT="{beside}">{name}</SourceFilename>
{rest}</{source}></VRTRasterBand></VRTDataset>"""


def raw(name: str, beside: int) -> str:
    """A virtual raster whose cells are the bytes of another file: what it leads to would be read as heights."""
    text = VRT.replace("<{source}>", "").replace("</{source}>", "")
    rest = "<ImageOffset>0</ImageOffset><PixelOffset>1</PixelOffset><LineOffset>4</LineOffset>"
    return text.format(more=' subClass="VRTRawRasterBand"', beside=beside, name=name, rest=rest)


@pytest.mark.parametrize("ending", ["tif", "tiff", "gpkg"])
@pytest.mark.parametrize("way", ["beside", "elsewhere", "network"])
def test_a_grid_that_leads_to_another_file_is_not_followed(tmp_path: Path, ending: str, way: str) -> None:
    (tmp_path / "secret").write_bytes(bytes(range(12)))
    text = {
        "beside": raw("secret", 1),
        "elsewhere": raw(str(tmp_path / "secret"), 0),
        "network": VRT.format(
            more="", source="SimpleSource", beside=0, rest="<SourceBand>1</SourceBand>",
            name="/vsicurl/http://127.0.0.1:9/x.tif",
        ),
    }[way]  # fmt: skip
    path = tmp_path / f"dem.{ending}"
    path.write_text(text)
    assert slug_of(path, TerrainSpec("grid", path.name, unit="m")) == "file-broken"


@pytest.mark.parametrize("beside", ["dem.tif.msk", "dem.tif.ovr", "dem.tif.aux.xml"])
def test_nothing_beside_a_grid_is_opened(tmp_path: Path, beside: str) -> None:
    path = tmp_path / "dem.tif"
    values = np.arange(12, dtype=np.float32).reshape(3, 4)
    write_tif(path, values, Affine(10, 0, 0, 0, -10, 0), unit="metre")
    (tmp_path / "secret").write_bytes(bytes([0, 255] * 6))
    (tmp_path / beside).write_text(raw("secret", 1))
    assert np.array_equal(read_terrain(path, TerrainSpec("grid", "dem.tif")).values, values)


def write_tif(path: Path, values: np.ndarray, transform: Affine | None, crs: str = "", unit: str = "") -> None:
    with rasterio.open(path, "w", driver="GTiff", height=values.shape[0], width=values.shape[1], count=1,
                       dtype=values.dtype, nodata=-1e5, **({"crs": crs} if crs else {}),
                       **({"transform": transform} if transform else {})) as out:  # fmt: skip
        out.write(values, 1)
        if unit:
            out.units = [unit]


def test_geotiff(tmp_path: Path) -> None:
    path = tmp_path / "dem.tif"
    values = np.array([[200, 201], [202, -1e5], [3e38, 204]], dtype=np.float32)
    write_tif(path, values, Affine(10, 0, 500_000, 0, -10, 4_400_000), "EPSG:32613", "metre")
    spec = TerrainSpec("grid", "dem.tif", same_grid=True)
    found = read_terrain(path, spec)
    assert found.affine == (10, 0, 500_000, 0, -10, 4_400_000)
    assert np.isnan(found.values).tolist() == [[False, False], [False, True], [True, False]]
    assert found.cautions == (("terrain-absurd", "1"),)
    assert slug_of(path, replace(spec, unit="ft")) == "unit-conflict"
    assert slug_of(path, replace(spec, same_grid=False)) == "terrain-not-placed"
    write_tif(path, values, Affine(10, 0, 500_000, 0, -10, 4_400_000), "EPSG:32613")
    assert slug_of(path, spec) == "unit-not-said"  # metres of the grid are not metres of height
    write_tif(path, values, Affine(10, 0, -1e7, 0, -10, 5e6), "EPSG:3857", "metre")
    assert slug_of(path, spec) == "web-mercator"
    path.write_bytes(path.read_bytes()[:90])
    assert slug_of(path, spec) == "file-broken"


def test_a_picture_without_a_place_is_no_grid(tmp_path: Path) -> None:
    path = tmp_path / "photo.tif"
    with pytest.warns(rasterio.errors.NotGeoreferencedWarning):
        write_tif(path, np.ones((3, 3), dtype=np.float32), None)
    assert slug_of(path, TerrainSpec("grid", "photo.tif", unit="m")) == "grid-not-placed"


@pytest.mark.parametrize("crs", ["EPSG:32613", "EPSG:4269"])
def test_a_grid_laid_under_the_job_by_its_zero(tmp_path: Path, crs: str) -> None:
    """A place so many metres east and north of the zero, by geodesics, falls on the cell that holds it."""
    lat, lon, far = 40.0150, -105.2705, 2_000.0
    geod = pyproj.Geod(ellps="GRS80")
    turn = pyproj.Transformer.from_crs(4269, crs, always_xy=True)
    size = 10.0 if crs == "EPSG:32613" else 1e-4
    x0, y0 = turn.transform(lon, lat)
    path = tmp_path / "dem.tif"
    write_tif(path, np.full((4, 4), 1600.0, dtype=np.float32), Affine(size, 0, x0, 0, -size, y0), crs, "metre")
    found = read_terrain(path, TerrainSpec("grid", "dem.tif", zero=(lat, lon)))
    assert found.to_plane is not None
    for azimuth in (20.0, 130.0, 265.0):
        there = geod.fwd(lon, lat, azimuth, far)
        wanted = turn.transform(there[0], there[1])
        lift = 1.0 + 1600.0 / 6_371_000.0  # distances on the ground are longer than on the ellipsoid
        east, north = (lift * far * f(math.radians(azimuth)) for f in (math.sin, math.cos))
        (mine,) = found.to_plane(np.array([[east, north]]))
        assert mine == pytest.approx(wanted, abs=0.01 if crs == "EPSG:32613" else 1e-7)
    spec = TerrainSpec("grid", "dem.tif", same_grid=True)
    if crs == "EPSG:4269":
        assert slug_of(path, spec) == "terrain-not-placed"  # degrees are no job's coordinates
    assert found.cautions == (() if crs == "EPSG:32613" else (("terrain-datum", "North American Datum 1983"),))


def test_a_surface_laid_under_the_job_by_its_zero(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    lat, lon = 40.0150, -105.2705
    x0, y0 = pyproj.Transformer.from_crs(4326, 32613, always_xy=True).transform(lon, lat)
    path.write_text(f"n,e,z\n{y0},{x0},1600\n{y0 + 100},{x0},1601\n{y0},{x0 + 100},1602\n")
    found = read_terrain(path, surface(path, unit="m", crs="EPSG:32613", zero=(lat, lon)))
    assert found.points[0] == pytest.approx([0.0, 0.0, 1600.0], abs=1e-6)
    scale = pyproj.Proj(32613).get_factors(lon, lat).meridional_scale
    wanted = 100.0 / scale * (1.0 + 1601.0 / 6_371_000.0)
    assert np.hypot(*found.points[1, :2]) == pytest.approx(wanted, abs=1e-3)
    assert slug_of(path, surface(path, unit="m", zero=(lat, lon))) == "terrain-not-placed"


def test_a_small_file_that_says_it_is_endless(tmp_path: Path) -> None:
    path = tmp_path / "dem.npz"
    head = b"{'descr': '<f8', 'fortran_order': False, 'shape': (1000000000, 1000000000)}".ljust(117) + b"\n"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("elevation.npy", b"\x93NUMPY\x01\x00" + struct.pack("<H", len(head)) + head)
    assert slug_of(path, TerrainSpec("grid", "dem.npz", unit="m")) == "file-broken"
    path = tmp_path / "dem.asc"
    path.write_text("ncols 1000000000\nnrows 1000000000\nxllcorner 0\nyllcorner 0\ncellsize 1\n0 0 0\n")
    assert slug_of(path, TerrainSpec("grid", "dem.asc", unit="m")) == "grid-too-large"


def test_damage_that_other_readers_fall_over(tmp_path: Path) -> None:
    """A bare array under the name of an archive, an archive of an unknown version, a size without end, cells of no size."""
    path = tmp_path / "t.npz"
    spec = TerrainSpec("grid", path.name, unit="m")
    with path.open("wb") as held:
        np.save(held, np.zeros((3, 3)))
    assert slug_of(path, spec) == "file-broken"
    np.savez(path, elevation=np.zeros((3, 3)), affine=np.array([1.0, 0, 0, 0, -1, 0]))
    data = bytearray(path.read_bytes())
    at = data.rindex(b"PK\x01\x02")
    data[at + 6 : at + 8] = b"\x80\x00"
    path.write_bytes(bytes(data))
    assert slug_of(path, spec) == "file-broken"
    path = tmp_path / "t.asc"
    path.write_text("ncols 3\nnrows 1e400\nxllcorner 0\nyllcorner 0\ncellsize 1\n0 0 0\n")
    assert slug_of(path, replace(spec, file="t.asc")) == "file-broken"
    with pytest.raises(ProblemError, match="grid-not-placed"):
        Grid(np.zeros((3, 3)), (1e-300, 0.0, 0.0, 0.0, -1.0, 0.0), 0.1)


def test_a_mark_for_no_data_that_is_not_declared(tmp_path: Path) -> None:
    """-9999 is no ground in metres or in feet, and Death Valley (-86 m) is."""
    path = tmp_path / "t.npz"
    for unit, mark in (("m", -9999.0), ("ft", -9999.0), ("m", -32767.0), ("m", 1e30)):
        np.savez(path, elevation=np.array([[-86.0, mark], [0, 0]]), affine=np.array([1.0, 0, 0, 0, -1, 0]))
        found = read_terrain(path, TerrainSpec("grid", path.name, unit=unit))
        assert np.isnan(found.values).tolist() == [[False, True], [False, False]]
        assert found.cautions == (("terrain-absurd", "1"),)


def test_points_of_a_landxml_surface_by_reference(tmp_path: Path) -> None:
    """`pntRef` names a CgPoint of the file: LandXML 1.2 schema, PointType."""
    path = tmp_path / "t.xml"
    text = TIN.format(unit="foot", crs="", more="").replace('<P id="7">20 0 102</P>', '<P id="7" pntRef="shot 7"/>')
    points = '<CgPoints><CgPoint name="shot 7">20 0 102</CgPoint><CgPoint name="flat">3 4</CgPoint></CgPoints>'
    path.write_text(text.replace("<Surfaces>", points + "<Surfaces>"))
    found = read_terrain(path, surface(path))
    assert found.points[2] == pytest.approx(np.array([0, 20, 102]) * FOOT)
    assert found.faces.tolist() == [[0, 1, 2]]
    path.write_text(path.read_text().replace('pntRef="shot 7"', 'pntRef="flat"'))
    assert slug_of(path, surface(path)) == "unknown-point"


def test_breaklines_that_no_triangle_keeps_are_told(tmp_path: Path) -> None:
    """Where a file has its triangles they keep to its breaklines; where it has not, their points count and it is said."""
    path = tmp_path / "t.xml"
    source = (
        "<SourceData><Breaklines><Breakline><PntList3D>0 5 99 20 5 98</PntList3D></Breakline></Breaklines>"
        "<DataPoints><PntList3D>0 0 100 5 5 7</PntList3D></DataPoints></SourceData><Definition"
    )
    whole = TIN.format(unit="foot", crs="", more="").replace("<Definition", source)
    path.write_text(whole)
    assert read_terrain(path, surface(path)).cautions == ()
    start, end = whole.index("<Faces>"), whole.index("</Faces>") + len("</Faces>")
    path.write_text(whole[:start] + whole[end:])
    found = read_terrain(path, surface(path))
    assert found.faces is None
    assert found.cautions == (("terrain-breaklines", "1"),)
    assert len(found.points) == 7  # four of the definition, two of the line, two given, of which one is there already
    assert (found.points / FOOT)[4] == pytest.approx([5, 0, 99])
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 6
    doc.modelspace().add_point((0, 0, 5))
    doc.modelspace().add_polyline3d([(0, 0, 1), (5, 5, 2)])
    doc.saveas(tmp_path / "t.dxf")
    assert ("terrain-breaklines", "1") in read_terrain(tmp_path / "t.dxf", surface(tmp_path / "t.dxf")).cautions
