"""A file of another program: what kind it is by its first bytes, and its shapes by the reader of that kind."""

from __future__ import annotations

from pathlib import Path

from palewright.exchange.foreign import Asked, Sheet, read_file_bytes, refused, tidy, unit_size
from palewright.exchange.points_in import ORDERS

__all__ = ["FORMS", "read_sheet"]

FORMS = (
    "GeoJSON", "GeoPackage (.gpkg)", "shapefile (.shp, or a zip of it)", "DXF", "LandXML 1.2", "KML", "GPX",
    "point list (.csv, .txt)",
)  # fmt: skip
_TEXT = (".csv", ".txt", ".asc", ".pnezd", ".penzd", ".pts")


def read_sheet(path: Path, asked: Asked | None = None) -> Sheet:
    """The rings, lines and points of a file, in its own units, each with a name.

    Raises ProblemError: ``file-missing``, ``file-too-large`` before anything is read, ``file-empty``, ``unknown-kind``,
    ``drawing-empty``, ``unknown-layer``, and what the reader of its kind raises.
    """
    asked = asked or Asked()
    if asked.unit:
        unit_size(asked.unit, path.name)
    data = read_file_bytes(path)
    return tidy(_by_kind(path, data, asked), asked.layer)


def _by_kind(path: Path, data: bytes, asked: Asked) -> Sheet:
    file, ending = path.name, path.suffix.casefold()
    if data.startswith(b"SQLite format 3\x00"):
        from palewright.exchange.gis_in import read_gis

        if ending != ".gpkg":
            raise _unknown(file, "a database; a GeoPackage ends in .gpkg")
        return read_gis(path, "GeoPackage", asked.layer)
    if data.startswith(b"\x00\x00\x27\x0a"):
        from palewright.exchange.gis_in import read_gis

        if ending != ".shp":
            raise _unknown(file, "a part of a shapefile; name the one that ends in .shp")
        return read_gis(path, "shapefile")
    if data.startswith(b"PK\x03\x04"):
        from palewright.exchange.gis_in import read_zip

        return read_zip(data, file, asked.layer)
    if data.startswith(b"AC10"):
        raise _unknown(file, "a DWG drawing; save it as DXF")
    if data.startswith(b"AutoCAD Binary DXF") or ending == ".dxf":
        from palewright.exchange.dxf_in import read_dxf

        return read_dxf(path, data, asked.unit)
    return _by_text(file, ending, data, asked)


def _by_text(file: str, ending: str, data: bytes, asked: Asked) -> Sheet:
    head = data[:400].replace(b"\x00", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    if head[:1] in (b"{", b"["):
        from palewright.exchange.geojson_in import read_geojson

        return read_geojson(data, file)
    if head[:1] == b"<":
        return _by_root(file, data)
    if ending in _TEXT or asked.order:
        from palewright.exchange.points_in import read_points

        if asked.order and asked.order.upper() not in ORDERS:
            raise refused("csv-order-not-said", "this order of a point list is not known", file, found=asked.order,
                          allowed=" or ".join(ORDERS))  # fmt: skip
        return read_points(data, file, asked.order)
    raise _unknown(file, f"bytes that begin with {bytes(data[:8])!r}")


def _by_root(file: str, data: bytes) -> Sheet:
    from palewright.exchange.kml_in import read_gpx, read_kml
    from palewright.exchange.landxml_in import read_landxml
    from palewright.exchange.xml_in import local_name, read_xml

    root = read_xml(data, file)
    name = local_name(root)
    readers = {"kml": read_kml, "gpx": read_gpx, "landxml": read_landxml}
    reader = readers.get(name.casefold())
    if reader is None:
        raise _unknown(file, f"XML of the kind {name[:40]}")
    return reader(root, file)


def _unknown(file: str, found: str) -> Exception:
    return refused("unknown-kind", "files of this kind are not read", file, found=found, allowed=", ".join(FORMS))
