"""KML 2.2 and GPX 1.1, read: longitude and latitude, WGS 84."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from palewright.exchange.foreign import WGS84, Sheet, check_count, refused, spot
from palewright.exchange.xml_in import child, children, local_name, numbers, words
from palewright.model import DrawnPath, DrawnPoint
from palewright.plane import XY

__all__ = ["read_gpx", "read_kml"]

_DEEPEST = 20


def read_kml(root: Any, file: str) -> Sheet:
    """Placemarks of a KML document, in folders as deep as 20.

    Raises ProblemError: ``not-a-number``, ``not-finite``, ``ring-open``.
    """
    sheet = Sheet(file, "KML", crs=WGS84)
    _kml_folder(root, "", sheet, 0)
    sheet.caution("drawn-by-hand", "shapes in KML are often traced on a picture, metres off",
                  hint="it finds the lot; corners come from the deed and the pins")  # fmt: skip
    return sheet


def _kml_folder(parent: Any, layer: str, sheet: Sheet, depth: int) -> None:
    if depth > _DEEPEST:
        raise refused("file-broken", "folders are nested too deeply", sheet.file, allowed=f"{_DEEPEST} deep",
                      hint="save the lot in a file of its own")  # fmt: skip
    for inner in parent:
        tag = local_name(inner)
        if tag in ("Document", "Folder"):
            _kml_folder(inner, words(inner, "name") or layer, sheet, depth + 1)
        elif tag == "Placemark":
            _kml_shape(inner, words(inner, "name"), layer, sheet, depth)


def _kml_shape(parent: Any, name: str, layer: str, sheet: Sheet, depth: int) -> None:
    if depth > _DEEPEST:
        raise refused("file-broken", "shapes are nested too deeply", sheet.file, allowed=f"{_DEEPEST} deep",
                      hint="save the lot in a file of its own")  # fmt: skip
    for inner in parent:
        tag = local_name(inner)
        if tag == "Point":
            sheet.points.append(DrawnPoint(name, _tuples(inner, sheet.file)[0], layer))
        elif tag == "LineString":
            sheet.paths.append(DrawnPath(name, tuple(_tuples(inner, sheet.file, 2)), False, layer))
        elif tag == "LinearRing":
            sheet.rings.append(DrawnPath(name, _closed(inner, sheet.file), True, layer))
        elif tag == "Polygon":
            rings = [
                _closed(ring, sheet.file)
                for side in ("outerBoundaryIs", "innerBoundaryIs")
                for border in children(inner, side)
                for ring in children(border, "LinearRing")
            ]
            if rings:
                sheet.rings.append(DrawnPath(name, rings[0], True, layer, holes=tuple(rings[1:])))
        elif tag == "MultiGeometry":
            _kml_shape(inner, name, layer, sheet, depth + 1)


def _closed(ring: Any, file: str) -> tuple[XY, ...]:
    points = _tuples(ring, file, 4)
    if points[0] != points[-1]:
        raise refused("ring-open", "a ring of a polygon ends where it began", file,
                      found=f"begins at {points[0]}, ends at {points[-1]}")  # fmt: skip
    return tuple(points[:-1])


def _tuples(parent: Any, file: str, least: int = 1) -> list[XY]:
    """Places of a `coordinates` element: longitude,latitude[,altitude], blanks between them."""
    held = child(parent, "coordinates")
    text = (held.text or "") if held is not None else ""
    made = []
    for word in text.split():
        parts = numbers(word.replace(",", " "), file, "coordinates")
        if not 2 <= len(parts) <= 3:
            raise refused("not-a-number", "a place is longitude,latitude with no blank inside", file, found=word[:60])
        made.append(spot(parts[0], parts[1], file, "coordinates"))
    check_count(len(made), file)
    if len(made) < least:
        raise refused("shape-too-short", "a shape has too few places", file, found=f"{len(made)}",
                      allowed=f"{least} or more")  # fmt: skip
    return made


def read_gpx(root: Any, file: str) -> Sheet:
    """Waypoints, routes and tracks; one that ends exactly where it began is a ring.

    Raises ProblemError: ``not-a-number``, ``not-finite``.
    """
    sheet = Sheet(file, "GPX", crs=WGS84)
    for inner in root:
        tag = local_name(inner)
        if tag == "wpt":
            about = words(inner, "desc") or words(inner, "cmt")
            sheet.points.append(DrawnPoint(words(inner, "name"), _lat_lon(inner, file), "waypoints", about))
        elif tag == "rte":
            _gpx_line(children(inner, "rtept"), words(inner, "name"), "routes", sheet)
        elif tag == "trk":
            for segment in children(inner, "trkseg"):
                _gpx_line(children(segment, "trkpt"), words(inner, "name"), "tracks", sheet)
    sheet.caution("phone-accuracy", "a phone's place is good to some 5 m under open sky: it finds a lot, no corner",
                  hint="take corners from the deed, the pins and the tape")  # fmt: skip
    return sheet


def _gpx_line(points: Sequence[Any], name: str, layer: str, sheet: Sheet) -> None:
    check_count(len(points), sheet.file)
    made = tuple(_lat_lon(point, sheet.file) for point in points)
    if len(made) > 3 and made[0] == made[-1]:
        sheet.rings.append(DrawnPath(name, made[:-1], True, layer))
    elif len(made) > 1:
        sheet.paths.append(DrawnPath(name, made, False, layer))


def _lat_lon(point: Any, file: str) -> XY:
    pair = numbers(f"{point.get('lon', '?')} {point.get('lat', '?')}", file, "lat and lon")
    if len(pair) != 2:
        raise refused("not-a-number", "a point has one latitude and one longitude", file)
    return spot(pair[0], pair[1], file, "lat and lon")
