"""Files as other programs write them, made by hand for the tests: one invented lot in each format."""

from __future__ import annotations

import importlib.util
import io
import json
import warnings
import zipfile
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import shapely
from lxml import etree
from pyogrio import raw

LOT = [(-105.0, 40.0), (-104.99951234, 40.0), (-104.99951234, 40.00041234), (-105.0, 40.00041234)]
"""Longitude and latitude of a lot of about 41.6 by 45.8 m, counter-clockwise."""
XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
LANDXML_HEAD = (
    '<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2" date="2026-05-04" time="08:00:00">'
)


def geojson(ring: list[tuple[float, float]] = LOT, **more: Any) -> str:
    lot = {"type": "Polygon", "coordinates": [[*map(list, ring), list(ring[0])]]}
    features = [
        {"type": "Feature", "properties": {"name": "lot 7"}, "geometry": lot},
        {"type": "Feature", "properties": {"name": "pin"}, "geometry": {"type": "Point", "coordinates": list(ring[0])}},
    ]
    return json.dumps({"type": "FeatureCollection", "features": features, **more})


def kml(ring: list[tuple[float, float]] = LOT) -> str:
    spots = " ".join(f"{lon},{lat},0" for lon, lat in [*ring, ring[0]])
    return (
        XML
        + '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><name>lots</name><Placemark><name>lot 7</name>'
        f"<Polygon><outerBoundaryIs><LinearRing><coordinates>{spots}</coordinates></LinearRing></outerBoundaryIs></Polygon>"
        "</Placemark></Folder></Document></kml>"
    )


def gpx(ring: list[tuple[float, float]] = LOT) -> str:
    spots = "".join(f'<trkpt lat="{lat}" lon="{lon}"><ele>1600</ele></trkpt>' for lon, lat in [*ring, ring[0]])
    return (
        XML + '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="by hand">'
        f'<wpt lat="{ring[0][1]}" lon="{ring[0][0]}"><name>pin</name><desc>5/8 in iron pin</desc></wpt>'
        f"<trk><name>lot 7</name><trkseg>{spots}</trkseg></trk></gpx>"
    )


def landxml(unit: str = "foot", parcel: str = "", system: str = "") -> str:
    """A quarter of a circle of radius 100: two straight sides and an arc, by points and by numbers."""
    sides = parcel or (
        '<Line><Start>0 0</Start><End pntRef="1"/></Line>'
        '<Curve rot="ccw" radius="100"><Start pntRef="1"/><Center>0 0</Center><End pntRef="2"/></Curve>'
        '<Line><Start pntRef="2"/><End>0 0</End></Line>'
    )
    return (
        f'{XML}{LANDXML_HEAD}<Units><Imperial linearUnit="{unit}" areaUnit="squareFoot"/></Units>{system}'
        '<CgPoints><CgPoint name="1">0 100</CgPoint><CgPoint name="2" desc="iron pin">100 0 12.5</CgPoint></CgPoints>'
        f'<Parcels><Parcel name="lot 7"><CoordGeom>{sides}</CoordGeom></Parcel></Parcels></LandXML>'
    )


def pnezd() -> str:
    return "1,1000.00,5000.00,101.2,IRON PIN\n2,1100.00,5000.00,,\n3,1100.00,5080.50,,PK NAIL, IN ROAD\n"


def dxf(path: Path, unit: int = 2) -> Path:
    """A lot of 100 by 50 with half a circle at its far end, drawn as lines and an arc; a fence on another layer."""
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = unit
    space = drawing.modelspace()
    lot = {"layer": "lot"}
    space.add_line((0, 0), (100, 0), dxfattribs=lot)
    space.add_line((100, 50), (100, 0), dxfattribs=lot)
    space.add_arc((50, 50), 50, 0, 180, dxfattribs=lot)
    space.add_line((0, 50), (0, 0), dxfattribs=lot)
    space.add_line((10, 10), (20, 10), dxfattribs={"layer": "fence"})
    space.add_point((0, 0, 7.5), dxfattribs={"layer": "pins"})
    drawing.saveas(path)
    return path


def gis(path: Path, ring: list[tuple[float, float]] = LOT, crs: str | None = "EPSG:4326", copies: int = 1) -> Path:
    """A GeoPackage or shapefile, by its ending, with the lot ``copies`` times."""
    wkb = np.array([shapely.Polygon(ring).wkb] * copies, dtype=object)
    names = [np.array([f"lot {k + 7}" for k in range(copies)], dtype=object)]
    driver = "GPKG" if path.suffix == ".gpkg" else "ESRI Shapefile"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of a file without a coordinate system, which is what is wanted
        raw.write(str(path), wkb, names, ["name"], geometry_type="Polygon", crs=crs, driver=driver, layer=path.stem)
    return path


def zipped(folder: Path) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as box:
        for path in sorted(folder.iterdir()):
            box.write(path, f"somewhere/{path.name}")
    return packed.getvalue()


def write_all(folder: Path) -> dict[str, Path]:
    """One good file of every kind, by a short name."""
    made = {name: folder / name for name in ("lot.geojson", "lot.kml", "lot.gpx", "lot.xml", "pnezd.csv")}
    texts = (geojson(), kml(), gpx(), landxml(), pnezd())
    for path, text in zip(made.values(), texts, strict=True):
        path.write_text(text, encoding="utf-8")
    made["lot.dxf"] = dxf(folder / "lot.dxf")
    made["lot.gpkg"] = gis(folder / "lot.gpkg")
    parts = folder / "parts"
    parts.mkdir()
    made["lot.shp"] = gis(parts / "lot.shp")
    made["lot.zip"] = folder / "lot.zip"
    made["lot.zip"].write_bytes(zipped(parts))
    return made


def kml_problems(text: str) -> list[str]:
    """What the published schema of KML 2.2 finds, and what it is known not to find: open rings, blanks inside a place."""
    name = "{http://www.opengis.net/kml/2.2}"
    (folder,) = importlib.util.find_spec("fastkml").submodule_search_locations  # type: ignore[union-attr,misc]
    schema = etree.XMLSchema(etree.parse(str(Path(folder) / "schema" / "ogckml22.xsd")))
    document = etree.fromstring(text.encode())
    found = [] if schema.validate(document) else [str(error) for error in schema.error_log]
    for held in document.iter(f"{name}coordinates"):
        places = held.text.split()
        found += [f"place {place}" for place in places if place.count(",") not in (1, 2)]
        if held.getparent().tag == f"{name}LinearRing" and (len(places) < 4 or places[0] != places[-1]):
            found.append("an open ring")
    return found
