"""DXF, read with ezdxf: lines, polylines with bulges, arcs, circles, points, and blocks as far as they hold these."""

from __future__ import annotations

import importlib
import itertools
import logging
import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from palewright.errors import NotationError, ProblemError
from palewright.exchange.foreign import DAMAGED, Sheet, check_count, refused, spot, unit_size
from palewright.exchange.joining import Piece, join_pieces
from palewright.model import DrawnPath, DrawnPoint
from palewright.notation import parse_length
from palewright.plane import XY

__all__ = ["read_dxf"]

_UNITS = {
    1: "in", 2: "ft", 3: "mi", 4: "mm", 5: "cm", 6: "m", 7: "km", 10: "yd", 21: "ft US", 22: "in US", 23: "yd US",
    24: "mi US",
}  # fmt: skip
_SLACK_M = 0.003
_DEEPEST = 4
_MOST_ENTITIES = 200_000
_MOST_DIMENSIONS = 1_000
_INCHES = (3, 4)
_CURVES = ("SPLINE", "ELLIPSE", "HELIX")


def read_dxf(path: Path, data: bytes, unit: str = "") -> Sheet:
    """The modelspace of a drawing in its own units.

    path, data
        the file and its bytes. unit: of a person, over that of the header ($INSUNITS).
    Lines and arcs of one layer are joined end to end. Raises ProblemError: ``file-broken``, ``not-finite``,
    ``units-contradict``.
    """
    file = path.name
    if not data.startswith(b"AutoCAD Binary DXF") and not data.rstrip(b"\x00 \r\n\t\x1a").endswith(b"EOF"):
        raise refused("file-broken", "the drawing has no end", file, hint="was the file cut off?")
    ezdxf = importlib.import_module("ezdxf")
    said = _Heard()
    try:
        with said:
            doc = ezdxf.readfile(str(path))
        sheet = Sheet(file, "DXF", unit=_UNITS.get(int(doc.header.get("$INSUNITS", 0)), ""))
        if not unit:
            _units_agree(doc, sheet)
        reader = _Reader(sheet)
        reader.entities(doc.modelspace(), 0)
    except MemoryError:
        raise
    except Exception as error:  # a reader of foreign files fails in many ways, all of them the file's fault
        if isinstance(error, ValueError) and hasattr(error, "problems"):
            raise
        found = f"{type(error).__name__}: {' '.join(str(error).split())[:100]}"
        raise refused("file-broken", "the drawing cannot be read", file, found=found, hint=DAMAGED) from None
    if said.words:
        sheet.caution("library-warned", "the library that reads drawings was not content", said.words[0])
    known = unit or sheet.unit
    reader.finish(_SLACK_M / unit_size(known, file) if known else 0.001)
    return sheet


def _units_agree(doc: Any, sheet: Sheet) -> None:
    """Refuse a drawing that says one unit and counts in another: a lot in inches that says feet is 144 times too large.

    Drawings that show lengths in feet and inches ($LUNITS 3, engineering, and 4, architectural) count one unit as one
    inch (DXF reference, header variables). A dimension whose text was typed says what its length really is.
    """
    if sheet.unit and sheet.unit not in ("in", "in US") and int(doc.header.get("$LUNITS", 2)) in _INCHES:
        raise _contradicting(sheet, "lengths shown in feet and inches, which count one unit as one inch ($LUNITS)")
    if not sheet.unit:
        return
    size = unit_size(sheet.unit, sheet.file)
    ratios = []
    for entity in itertools.islice(doc.modelspace().query("DIMENSION"), _MOST_DIMENSIONS):
        typed = str(entity.dxf.get("text", ""))
        length = _typed_length(typed)
        drawn = float(entity.get_measurement()) if length and entity.dimtype in (0, 1) else 0.0
        if length and drawn > 0.0:
            ratios.append((length / (drawn * size), typed))
    wrong = [text for ratio, text in ratios if ratio > 2.0 or ratio < 0.5]
    if wrong and len(wrong) == len(ratios):
        raise _contradicting(sheet, f"dimensions that read {wrong[0]} and more are drawn in another unit")


def _typed_length(text: str) -> float:
    """The length that a dimension was given as text [m]; 0 where it shows what it measures, or something else."""
    try:
        return parse_length(text).m if any(char.isdigit() for char in text) and "<>" not in text else 0.0
    except NotationError:
        return 0.0


def _contradicting(sheet: Sheet, found: str) -> ProblemError:
    return refused(
        "units-contradict", "the drawing says one unit and counts in another", sheet.file,
        found=f"{sheet.unit} in its header; {found}", allowed="one unit",
        hint="say the unit of its coordinates with --unit, after comparing one length with the ground",
    )  # fmt: skip


class _Heard(logging.Handler):
    """What the library would print goes here instead, while this is open."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.log = logging.getLogger("ezdxf")

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one message."""
        self.words.append(record.getMessage()[:120])

    def __enter__(self) -> None:
        self.before = self.log.propagate
        self.log.propagate = False
        self.log.addHandler(self)

    def __exit__(self, *what: object) -> None:
        self.log.propagate = self.before
        self.log.removeHandler(self)


class _Reader:
    def __init__(self, sheet: Sheet) -> None:
        self.sheet, self.pieces, self.count, self.held = sheet, list[Piece](), 0, 0
        self.skipped: dict[str, int] = {}

    def entities(self, held: Iterable[Any], depth: int) -> None:
        for entity in held:
            self.held += 1
            if self.held > _MOST_ENTITIES:
                raise refused("too-many-points", "the drawing has more things than are read", self.sheet.file,
                              allowed=f"at most {_MOST_ENTITIES:,}")  # fmt: skip
            kind, layer = entity.dxftype(), str(entity.dxf.get("layer", "0"))
            if kind == "INSERT":
                self._block(entity, depth)
            elif kind in _CURVES:
                self.skipped[kind] = self.skipped.get(kind, 0) + 1
            else:
                self._one(entity, kind, layer)

    def _block(self, entity: Any, depth: int) -> None:
        if depth >= _DEEPEST or entity.mcount > 1:
            self.skipped["INSERT"] = self.skipped.get("INSERT", 0) + 1
            return
        self.entities(entity.virtual_entities(), depth + 1)

    def _one(self, entity: Any, kind: str, layer: str) -> None:
        match kind:
            case "LINE":
                ends = (self._flat(entity.dxf.start), self._flat(entity.dxf.end))
                self.pieces.append(Piece(ends, (), layer))
            case "LWPOLYLINE":
                rows = [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
                self._polyline(entity, rows, bool(entity.closed), layer)
            case "POLYLINE" if entity.is_2d_polyline or entity.is_3d_polyline:
                places = [(v.dxf.location.x, v.dxf.location.y, float(v.dxf.get("bulge", 0.0))) for v in entity.vertices]
                self._polyline(entity, places, bool(entity.is_closed), layer, flat=not entity.is_2d_polyline)
            case "ARC":
                self._arc(entity, layer)
            case "CIRCLE":
                self._circle(entity, layer)
            case "POINT":
                spot_, name = entity.dxf.location, ""
                height = float(spot_.z) if math.isfinite(spot_.z) and spot_.z else None
                self.sheet.points.append(DrawnPoint(name, self._flat(spot_), layer, height_m=height))

    def _flat(self, place: Any) -> XY:
        self.count += 1
        check_count(self.count, self.sheet.file)
        return spot(float(place[0]), float(place[1]), self.sheet.file, "coordinates")

    def _upright(self, entity: Any) -> float:
        """1 for an entity drawn from above, -1 from below, 0 for one in another plane."""
        up = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
        if abs(up[0]) > 1e-9 or abs(up[1]) > 1e-9:
            self.skipped[entity.dxftype()] = self.skipped.get(entity.dxftype(), 0) + 1
            return 0.0
        return math.copysign(1.0, up[2])

    def _polyline(
        self, entity: Any, rows: Sequence[tuple[float, float, float]], closed: bool, layer: str, flat: bool = False
    ) -> None:
        sign = 1.0 if flat else self._upright(entity)
        if not sign or len(rows) < 2:
            return
        points = tuple(self._flat((sign * x, y)) for x, y, _ in rows)
        last = len(rows) if closed else len(rows) - 1
        arcs = tuple((k, sign * 4.0 * math.atan(rows[k][2])) for k in range(last) if rows[k][2])
        if not all(abs(sweep) < math.tau - 1e-6 for _, sweep in arcs):
            raise refused("not-finite", "the bulge of a polyline is not a number", self.sheet.file)
        if closed:
            self.sheet.rings.append(DrawnPath("", points, True, layer, arcs))
        else:
            self.pieces.append(Piece(points, arcs, layer))

    def _arc(self, entity: Any, layer: str) -> None:
        sign = self._upright(entity)
        if not sign:
            return
        (cx, cy), radius = self._flat(entity.dxf.center), float(entity.dxf.radius)
        ends = [math.radians(float(angle)) for angle in (entity.dxf.start_angle, entity.dxf.end_angle)]
        sweep = (ends[1] - ends[0]) % math.tau or math.tau
        places = [self._flat((sign * (cx + radius * math.cos(a)), cy + radius * math.sin(a))) for a in ends]
        if sweep < math.tau - 1e-9:
            self.pieces.append(Piece((places[0], places[1]), ((0, sign * sweep),), layer))

    def _circle(self, entity: Any, layer: str) -> None:
        sign = self._upright(entity)
        if not sign:
            return
        (cx, cy), r = self._flat(entity.dxf.center), float(entity.dxf.radius)
        corners = [(cx + r, cy), (cx, cy + r), (cx - r, cy), (cx, cy - r)]
        points = tuple(self._flat((sign * x, y)) for x, y in corners)
        arcs = tuple((k, sign * math.pi / 2.0) for k in range(4))
        self.sheet.rings.append(DrawnPath("", points, True, layer, arcs))

    def finish(self, slack: float) -> None:
        """Join what was drawn one by one, and say what was not read."""
        made, branches = join_pieces(self.pieces, slack)
        for path in made:
            self.sheet.put(path)
        if branches:
            self.sheet.caution("lines-branch", "three lines or more meet in a place; nothing is joined there",
                               f"{branches} places", "draw the lot as one closed polyline")  # fmt: skip
        if self.skipped:
            found = ", ".join(f"{count} {kind}" for kind, count in sorted(self.skipped.items()))
            self.sheet.caution("curves-skipped", "some things of the drawing were not read", found,
                               "turn them into lines and arcs first")  # fmt: skip
