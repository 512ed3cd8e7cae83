"""GeoJSON (RFC 7946), read."""

from __future__ import annotations

import json
from typing import Any

from palewright.exchange.foreign import WGS84, Sheet, check_count, refused, spot
from palewright.model import DrawnPath, DrawnPoint
from palewright.plane import XY

__all__ = ["name_of", "read_geojson"]

_DEEPEST = 8
_NAMES = ("name", "title", "parcel", "parcel_id", "parcelid", "apn", "pin", "lot", "id", "label", "objectid", "fid")
_LONLAT = ("CRS84", "EPSG::4326", "EPSG:4326")


def read_geojson(data: bytes, file: str) -> Sheet:
    """Points, lines and polygons of a GeoJSON document, longitude and latitude unless an old ``crs`` says otherwise.

    Raises ProblemError: ``file-broken``, ``not-geojson``, ``not-finite``.
    """
    try:
        top = json.loads(data.decode("utf-8-sig"), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", 0)
        raise refused("file-broken", "this is not a whole JSON document", file, line=line, found=str(error)[:120],
                      hint="was the file cut off?") from None  # fmt: skip
    reader = _Reader(file)
    reader.crs(top)
    reader.thing(top, "", "", 0)
    if reader.coarse:
        reader.sheet.caution(
            "coordinates-coarse", "places are written too coarsely for a fence: six decimals of a degree are 0.11 m",
            f"{reader.decimals} decimals", "ask for the file with eight decimals, or measure on site",
        )  # fmt: skip
    return reader.sheet


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is not a number of JSON")


class _Reader:
    def __init__(self, file: str) -> None:
        self.file, self.count, self.decimals = file, 0, 0
        self.sheet = Sheet(file, "GeoJSON", crs=WGS84)

    @property
    def coarse(self) -> bool:
        """Whether no coordinate of a geographic file has seven decimals."""
        return self.sheet.crs == WGS84 and 0 < self.decimals < 7

    def crs(self, top: Any) -> None:
        """The ``crs`` member of the format before RFC 7946."""
        said = top.get("crs") if isinstance(top, dict) else None
        if not isinstance(said, dict) or not isinstance(said.get("properties"), dict):
            return
        name = str(said["properties"].get("name", ""))
        if name and not name.endswith(_LONLAT):
            self.sheet.crs = name
            self.sheet.caution("crs-in-geojson", "the file names a coordinate system, which GeoJSON no longer does; it "
                               "was used", name[:60])  # fmt: skip

    def thing(self, it: Any, name: str, layer: str, depth: int) -> None:
        """One GeoJSON object and everything in it."""
        if not isinstance(it, dict) or depth > _DEEPEST:
            raise self._wrong("an object of GeoJSON is expected", it)
        kind = it.get("type")
        if kind == "FeatureCollection":
            for feature in self._list(it.get("features")):
                self.thing(feature, "", layer, depth + 1)
        elif kind == "Feature":
            said = it.get("properties")
            facts: dict[str, Any] = said if isinstance(said, dict) else {}
            told = name_of(facts) or _word(it.get("id"))
            if it.get("geometry") is not None:
                self.thing(it["geometry"], told, _word(facts.get("what") or facts.get("layer")), depth + 1)
        elif kind == "GeometryCollection":
            for shape in self._list(it.get("geometries")):
                self.thing(shape, name, layer, depth + 1)
        else:
            self.shape(kind, it.get("coordinates"), name, layer)

    def shape(self, kind: Any, held: Any, name: str, layer: str) -> None:
        """One geometry."""
        if kind == "Point":
            self.sheet.points.append(DrawnPoint(name, self.place(held), layer))
        elif kind == "LineString":
            self.sheet.paths.append(DrawnPath(name, self.line(held, 2), False, layer))
        elif kind == "Polygon":
            rings = [self._closed(ring) for ring in self._list(held)]
            if rings:
                self.sheet.rings.append(DrawnPath(name, rings[0], True, layer, holes=tuple(rings[1:])))
        elif kind in ("MultiPoint", "MultiLineString", "MultiPolygon"):
            for part in self._list(held):
                self.shape(kind.removeprefix("Multi"), part, name, layer)
        else:
            raise self._wrong("this type of geometry is not known", kind)

    def _closed(self, ring: Any) -> tuple[XY, ...]:
        points = self.line(ring, 4)
        if points[0] != points[-1]:
            raise refused("ring-open", "a ring of a polygon ends where it began", self.file,
                          found=f"begins at {points[0]}, ends at {points[-1]}")  # fmt: skip
        return points[:-1]

    def line(self, held: Any, least: int) -> tuple[XY, ...]:
        """Positions of a line."""
        points = tuple(self.place(position) for position in self._list(held))
        if len(points) < least:
            raise self._wrong(f"{least} positions or more are expected", held)
        return points

    def place(self, position: Any) -> XY:
        """One position."""
        self.count += 1
        check_count(self.count, self.file)
        if not (
            isinstance(position, list)
            and 2 <= len(position) <= 4
            and all(isinstance(v, int | float) and not isinstance(v, bool) for v in position)
        ):
            raise self._wrong("a position is two or three numbers", position)
        try:
            x, y = float(position[0]), float(position[1])
        except OverflowError:
            raise self._wrong("a position is two or three numbers", position) from None
        if self.decimals < 7:
            self.decimals = max(self.decimals, _decimals(x), _decimals(y))
        return spot(x, y, self.file, "position")

    def _list(self, held: Any) -> list[Any]:
        if not isinstance(held, list):
            raise self._wrong("a list is expected", held)
        return held

    def _wrong(self, what: str, found: Any) -> Exception:
        return refused("not-geojson", what, self.file, found=repr(found)[:80], allowed="RFC 7946")


def name_of(facts: dict[str, Any]) -> str:
    """The name that a table of facts gives a shape: the first of name, parcel, apn, lot, id, ..."""
    lower = {str(key).casefold(): value for key, value in facts.items()}
    return next((_word(lower[key]) for key in _NAMES if _word(lower.get(key))), "")


def _word(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return ""
    return str(int(value)) if isinstance(value, float) and value.is_integer() else str(value)


def _decimals(value: float) -> int:
    text = repr(value)
    return 9 if "e" in text else len(text.partition(".")[2].rstrip("0"))
