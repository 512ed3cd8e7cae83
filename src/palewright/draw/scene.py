"""The scene: primitives in page millimetres, drawn once and written by many back ends.

The page has its origin at the top left, x to the right, y **down** [mm]. Angles of texts and arcs are
counter-clockwise as the eye sees them, from the direction of +x [rad]. ``docs/scene.md`` lists every field.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Sequence
from typing import Any

from palewright.record import Record

__all__ = [
    "LAYERS",
    "SCENE_VERSION",
    "Arc",
    "Circle",
    "Hatch",
    "Line",
    "Polygon",
    "Polyline",
    "Primitive",
    "Scene",
    "Text",
    "View",
    "hatch_lines",
    "schema",
    "to_json",
]

XY = tuple[float, float]

SCENE_VERSION = 1

LAYERS: dict[str, str] = {
    "boundary": "lines and corners of the property",
    "building": "what stands there",
    "lot": "drives, trees, pools and walls of a plot plan",
    "street": "curb and edge of the pavement of a plot plan",
    "easement": "easements of a plot plan",
    "setback": "setback lines and sight triangles of a plot plan",
    "removal": "an old fence to pull or leave",
    "zone-gas": "keep clear: gas, oil, steam",
    "zone-electric": "keep clear: electric power",
    "zone-water": "keep clear: drinking water",
    "zone-sewer": "keep clear: sewer and drain",
    "zone-communication": "keep clear: communication, signal",
    "zone-reclaimed": "keep clear: reclaimed water, irrigation",
    "zone-other": "keep clear: anything else, and the ring round a found pin",
    "fence": "line of post centres, side marks",
    "post": "posts and wall brackets",
    "hole": "holes, at true size",
    "gate": "leaves, hinges, swings, latches",
    "ground": "ground line of an elevation",
    "infill": "boards, rails, panels, mesh of an elevation",
    "string": "strings, stakes, crossings",
    "check": "ties, diagonals and triangles that prove a corner",
    "dimension": "dimension lines and their figures",
    "label": "names and numbers",
    "match": "match lines between sheets",
    "sheet": "frame, title block, notes, key",
}


class _Drawn(Record, kw_only=True):
    layer: str
    colour: str = "#000000"
    space: str = "model"
    id: str = ""


class _Stroked(_Drawn, kw_only=True):
    stroke_mm: float = 0.25
    dash: tuple[float, ...] = ()


class Hatch(Record):
    """Parallel lines in a polygon: ``angle`` [rad], ``gap_mm`` apart, ``stroke_mm`` wide; ``cross`` for both ways."""

    angle: float
    gap_mm: float
    stroke_mm: float = 0.13
    cross: bool = False


class Line(_Stroked, kw_only=True):
    """A straight line from ``a`` to ``b``."""

    a: XY
    b: XY


class Polyline(_Stroked, kw_only=True):
    """An open chain of straight lines."""

    points: tuple[XY, ...]


class Polygon(_Stroked, kw_only=True):
    """A closed ring, filled with ``fill`` ("" for none) and ``hatch``; ``stroke_mm`` 0 for no outline."""

    points: tuple[XY, ...]
    fill: str = ""
    hatch: Hatch | None = None


class Circle(_Stroked, kw_only=True):
    """A circle, filled with ``fill`` ("" for none)."""

    centre: XY
    radius_mm: float
    fill: str = ""


class Arc(_Stroked, kw_only=True):
    """Part of a circle: from angle ``start``, ``sweep`` counter-clockwise as seen [rad] (negative: clockwise)."""

    centre: XY
    radius_mm: float
    start: float
    sweep: float


class Text(_Drawn, kw_only=True):
    """One line of text whose baseline starts, is centred or ends at ``at``.

    anchor
        "start", "middle" or "end". angle: counter-clockwise as seen [rad].
    size_mm
        type size; capitals are 0.714 of it.
    weight
        "regular" or "bold". role: what it is for ("post-label", "dimension", ...).
    width_mm
        how wide it is set, from the widths of the font; halo: white behind it, so that it may cross a line.
    """

    text: str
    at: XY
    size_mm: float
    anchor: str = "start"
    angle: float = 0.0
    weight: str = "regular"
    role: str = "note"
    width_mm: float = 0.0
    halo: bool = False


Primitive = Line | Polyline | Polygon | Circle | Arc | Text

_KINDS: dict[str, type[Any]] = {
    "line": Line,
    "polyline": Polyline,
    "polygon": Polygon,
    "circle": Circle,
    "arc": Arc,
    "text": Text,
}
_NAMES = {kind: name for name, kind in _KINDS.items()}


class View(Record):
    """How metres become millimetres on the page, at a true scale.

    denominator
        1 : denominator. origin: the point in the world [m] that falls on ``offset`` on the page [mm].
    rotation
        the world turned counter-clockwise on the page [rad]. words: the scale as the sheet prints it.

    >>> view = View(200.0, (10.0, 5.0), 0.0, (100.0, 80.0), "1:200")
    >>> view.to_page((12.0, 5.0))
    (110.0, 80.0)
    >>> view.to_world((110.0, 80.0))
    (12.0, 5.0)
    """

    denominator: float
    origin: XY
    rotation: float
    offset: XY
    words: str

    @property
    def mm_per_m(self) -> float:
        """Millimetres on the page for one metre."""
        return 1000.0 / self.denominator

    def to_page(self, p: XY) -> XY:
        """Page point [mm] of a world point [m]."""
        k = 1000.0 / self.denominator
        x, y = (p[0] - self.origin[0]) * k, (p[1] - self.origin[1]) * k
        if self.rotation:
            c, s = math.cos(self.rotation), math.sin(self.rotation)
            x, y = x * c - y * s, x * s + y * c
        return (self.offset[0] + x, self.offset[1] - y)

    def to_world(self, q: XY) -> XY:
        """World point [m] of a page point [mm]."""
        k = self.denominator / 1000.0
        x, y = (q[0] - self.offset[0]) * k, (self.offset[1] - q[1]) * k
        if self.rotation:
            c, s = math.cos(-self.rotation), math.sin(-self.rotation)
            x, y = x * c - y * s, x * s + y * c
        return (self.origin[0] + x, self.origin[1] + y)


class Scene(Record):
    """One sheet: its size [mm], title, primitives in drawing order, and the view of its model part.

    kind
        "plan", "stakeout", "checks", "network", "elevation", "index" or "plot". alt: a sentence for someone
        who cannot see it.
    local
        True where the drawing has no north: its coordinates are local.
    """

    width_mm: float
    height_mm: float
    title: str
    primitives: tuple[Primitive, ...]
    view: View | None = None
    kind: str = "plan"
    alt: str = ""
    language: str = "en"
    local: bool = False

    def texts(self) -> Iterator[Text]:
        """The texts of the scene."""
        return (p for p in self.primitives if isinstance(p, Text))


def hatch_lines(ring: Sequence[XY], hatch: Hatch) -> list[tuple[XY, XY]]:
    """The lines of a hatch inside a ring (even-odd rule) [mm], on multiples of the gap from the page origin.

    >>> hatch_lines([(0.5, 0.5), (4.5, 0.5), (4.5, 2.5), (0.5, 2.5)], Hatch(0.0, 1.0))
    [((0.5, 1.0), (4.5, 1.0)), ((0.5, 2.0), (4.5, 2.0))]
    """
    angles = (hatch.angle, hatch.angle + math.pi / 2) if hatch.cross else (hatch.angle,)
    out: list[tuple[XY, XY]] = []
    for angle in angles:
        c, s = math.cos(angle), -math.sin(angle)
        turned = [(x * c + y * s, y * c - x * s) for x, y in ring]
        low, high = min(v for _, v in turned), max(v for _, v in turned)
        for k in range(math.ceil(low / hatch.gap_mm), math.floor(high / hatch.gap_mm) + 1):
            v = k * hatch.gap_mm
            cuts = sorted(
                ax + (v - ay) / (by - ay) * (bx - ax)
                for (ax, ay), (bx, by) in zip(turned, [*turned[1:], turned[0]], strict=True)
                if (ay > v) != (by > v)
            )
            out += [
                ((u0 * c - v * s, u0 * s + v * c), (u1 * c - v * s, u1 * s + v * c))
                for u0, u1 in zip(cuts[::2], cuts[1::2], strict=False)
                if u1 - u0 > 1e-6
            ]
    return out


def _clean(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 4)
    if isinstance(value, tuple | list):
        return [_clean(v) for v in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: _clean(getattr(value, f.name)) for f in dataclasses.fields(value)}
    return value


def to_json(scene: Scene) -> dict[str, Any]:
    """The scene as plain data (millimetres to four decimals), version and all; polygons carry the lines of their hatch.

    >>> to_json(Scene(100.0, 50.0, "t", (Line(layer="sheet", a=(0.0, 0.0), b=(1.0, 2.0)),)))["primitives"][0]["b"]
    [1.0, 2.0]
    """
    primitives = []
    for p in scene.primitives:
        item = {"type": _NAMES[type(p)], **_clean(p)}
        if isinstance(p, Polygon) and p.hatch is not None:
            item["hatch_lines"] = _clean(hatch_lines(p.points, p.hatch))
        primitives.append(item)
    view = scene.view
    return {
        "palewright_scene": SCENE_VERSION,
        "width_mm": scene.width_mm,
        "height_mm": scene.height_mm,
        "title": scene.title,
        "kind": scene.kind,
        "alt": scene.alt,
        "language": scene.language,
        "local": scene.local,
        "view": None
        if view is None
        else {f.name: getattr(view, f.name) for f in dataclasses.fields(view)}
        | {"origin": list(view.origin), "offset": list(view.offset)},
        "primitives": primitives,
    }


_NUMBER, _WORD, _FLAG = {"type": "number"}, {"type": "string"}, {"type": "boolean"}
_PAIR = {"type": "array", "items": _NUMBER, "minItems": 2, "maxItems": 2}
_POINTS = {"type": "array", "items": _PAIR}


def _fixed(properties: dict[str, Any], optional: dict[str, Any] | None = None, null: bool = False) -> dict[str, Any]:
    """An object (``null``: or nothing) that has all of some properties, perhaps the optional ones, and no other."""
    return {
        "type": ["object", "null"] if null else "object",
        "properties": properties | (optional or {}),
        "required": list(properties),
        "additionalProperties": False,
    }


_HATCH = _fixed({"angle": _NUMBER, "gap_mm": _NUMBER, "stroke_mm": _NUMBER, "cross": _FLAG}, null=True)
_BY_TYPE: dict[str, dict[str, Any]] = {
    "str": _WORD,
    "float": _NUMBER,
    "bool": _FLAG,
    "XY": _PAIR,
    "tuple[XY, ...]": _POINTS,
    "tuple[float, ...]": {"type": "array", "items": _NUMBER},
    "Hatch | None": _HATCH,
}


def _primitive_schema(name: str, kind: type[Any]) -> dict[str, Any]:
    properties: dict[str, Any] = {"type": {"const": name}}
    properties |= {f.name: _BY_TYPE[str(f.type)] for f in dataclasses.fields(kind)}
    properties["layer"] = {"enum": sorted(LAYERS)}
    properties["space"] = {"enum": ["model", "sheet", "detail"]}
    return _fixed(properties, {"hatch_lines": {"type": "array", "items": _POINTS}} if name == "polygon" else None)


def schema() -> dict[str, Any]:
    """JSON Schema of :func:`to_json`, made from the records themselves."""
    view = {"denominator": _NUMBER, "origin": _PAIR, "rotation": _NUMBER, "offset": _PAIR, "words": _WORD}
    top = {
        "palewright_scene": {"const": SCENE_VERSION},
        "width_mm": _NUMBER,
        "height_mm": _NUMBER,
        "title": _WORD,
        "kind": {"enum": ["plan", "stakeout", "checks", "network", "elevation", "index", "plot"]},
        "alt": _WORD,
        "language": _WORD,
        "local": _FLAG,
        "view": _fixed(view, null=True),
        "primitives": {
            "type": "array",
            "items": {"oneOf": [_primitive_schema(name, kind) for name, kind in _KINDS.items()]},
        },
    }
    about = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Palewright scene"}
    return about | _fixed(top)
