"""LandXML 1.2, read: points, parcels and lines with their curves. Northing first."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from palewright.exchange.arcs import sweep_by_centre
from palewright.exchange.foreign import Sheet, check_count, refused, spot
from palewright.exchange.joining import Piece, join_pieces
from palewright.exchange.xml_in import child, children, local_name, numbers
from palewright.model import DrawnPoint
from palewright.plane import XY, distance

__all__ = ["read_landxml"]

_UNITS = {
    "foot": "ft", "ussurveyfoot": "ft US", "inch": "in", "mile": "mi", "yard": "yd",
    "meter": "m", "millimeter": "mm", "centimeter": "cm", "kilometer": "km",
}  # fmt: skip
_SLACK = 0.01
_RADIUS_SLACK = 0.05


def read_landxml(root: Any, file: str) -> Sheet:
    """CgPoints; Parcels, PlanFeatures and Alignments with Line, Curve and IrregularLine.

    Raises ProblemError: ``not-a-number``, ``not-finite``, ``unknown-point`` for a reference that leads nowhere,
    ``curve-disagrees`` for a curve whose ends are not equally far from its centre.
    """
    reader = _Reader(root, file)
    for element in root.iter():
        tag = local_name(element) if isinstance(element.tag, str) else ""
        if tag in ("Parcel", "PlanFeature", "Alignment"):
            for geometry in children(element, "CoordGeom"):
                reader.geometry(geometry, element.get("name") or "", tag)
    if reader.skipped:
        reader.sheet.caution("curves-skipped", "spirals and chains are not read; their lines are open there",
                             f"{reader.skipped} of them")  # fmt: skip
    return reader.sheet


class _Reader:
    def __init__(self, root: Any, file: str) -> None:
        self.file, self.skipped = file, 0
        self.sheet = Sheet(file, "LandXML", north="the grid of the file")
        units = child(root, "Units")
        system = next(iter(units), None) if units is not None else None
        said = system.get("linearUnit", "") if system is not None else ""
        self.sheet.unit = _UNITS.get(said.casefold(), "")
        if said and not self.sheet.unit:
            raise refused("unit-unknown", "the unit of the file is not known", file, found=said,
                          allowed=", ".join(sorted(_UNITS)))  # fmt: skip
        place = child(root, "CoordinateSystem")
        code = (place.get("epsgCode") or "").strip() if place is not None else ""
        self.sheet.crs = f"EPSG:{code}" if code.isdigit() and int(code) > 0 else ""
        self.points: dict[str, XY] = {}
        self._points(root)

    def _points(self, root: Any) -> None:
        later = []
        for element in root.iter():
            if not isinstance(element.tag, str) or local_name(element) != "CgPoint":
                continue
            check_count(len(self.points), self.file)
            name = element.get("name") or ""
            if not (element.text or "").strip() and element.get("pntRef"):
                later.append(element)
                continue
            xy, up = self._three(element)
            self.sheet.points.append(DrawnPoint(name, xy, "CgPoints", element.get("desc") or "", up))
            if name:
                self.points[name] = xy
        for element in later:
            name = element.get("name") or ""
            self.points.setdefault(name, self.place(element))

    def _three(self, element: Any) -> tuple[XY, float | None]:
        parts = numbers(element.text, self.file, local_name(element))
        if len(parts) not in (2, 3):
            raise refused("not-a-number", "a point is northing, easting and perhaps elevation", self.file,
                          line=element.sourceline or 0, found=(element.text or "")[:60])  # fmt: skip
        up = parts[2] if len(parts) == 3 else 0.0
        if up != up or abs(up) > 1e6:
            up = 0.0
        return spot(parts[1], parts[0], self.file, local_name(element)), up if len(parts) == 3 else None

    def place(self, element: Any) -> XY:
        """Place of a Start, End or Center: by reference, or by its own numbers."""
        name = element.get("pntRef")
        if name in self.points:
            return self.points[name]
        if (element.text or "").strip():
            return self._three(element)[0]
        raise refused("unknown-point", "this refers to a point that the file does not have", self.file,
                      line=element.sourceline or 0, found=name or "no name")  # fmt: skip

    def geometry(self, geometry: Any, name: str, layer: str) -> None:
        """One CoordGeom: joined, and a ring where it comes back to its beginning."""
        pieces = []
        for side in geometry:
            piece = self._side(side, layer)
            if piece is not None:
                pieces.append(piece)
        for path in join_pieces(pieces, _SLACK)[0]:
            self.sheet.put(replace(path, name=name))

    def _side(self, side: Any, layer: str) -> Piece | None:
        tag = local_name(side) if isinstance(side.tag, str) else ""
        if tag not in ("Line", "Curve", "IrregularLine"):
            self.skipped += tag in ("Spiral", "Chain")
            return None
        start, end = self._needed(side, "Start"), self._needed(side, "End")
        if tag == "Line" or start == end:
            return Piece((start, end), (), layer)
        if tag == "Curve":
            return self._curve(side, start, end, layer)
        held = child(side, "PntList2D")
        flat = numbers(held.text if held is not None else "", self.file, "PntList2D")
        middle = [spot(e, n, self.file, "PntList2D") for n, e in zip(flat[::2], flat[1::2], strict=False)]
        check_count(len(middle), self.file)
        return Piece((start, *(xy for xy in middle if xy not in (start, end)), end), (), layer)

    def _needed(self, side: Any, name: str) -> XY:
        element = child(side, name)
        if element is None:
            raise refused("shape-too-short", f"a {local_name(side)} has no {name}", self.file,
                          line=side.sourceline or 0)  # fmt: skip
        return self.place(element)

    def _curve(self, side: Any, start: XY, end: XY, layer: str) -> Piece:
        left = (side.get("rot") or "").casefold() != "cw"
        if child(side, "Center") is None:
            return Piece((start, end), ((0, self._by_radius(side, start, end, left)),), layer)
        centre = self._needed(side, "Center")
        one, two = distance(start, centre), distance(end, centre)
        said = numbers(side.get("radius"), self.file, "radius") or [one]
        if max(abs(one - two), abs(one - said[0])) > _RADIUS_SLACK or one == 0.0:
            raise refused(
                "curve-disagrees", "the ends of a curve are not as far from its centre as its radius", self.file,
                line=side.sourceline or 0, found=f"{one:.3f} and {two:.3f}, radius {said[0]:.3f}",
                allowed=f"within {_RADIUS_SLACK}", hint="northing comes first in LandXML; is it exchanged here?",
            )  # fmt: skip
        return Piece((start, end), ((0, sweep_by_centre(start, centre, end, left)),), layer)

    def _by_radius(self, side: Any, start: XY, end: XY, left: bool) -> float:
        """Sweep of a curve without a centre: less than half a circle unless its length says more."""
        radius = (numbers(side.get("radius"), self.file, "radius") or [0.0])[0]
        length = (numbers(side.get("length"), self.file, "length") or [0.0])[0]
        half = distance(start, end) / 2.0
        if not half <= radius * (1.0 + 1e-9) < 1e9:
            raise refused("curve-disagrees", "a curve has no centre, and a radius too small for its chord", self.file,
                          line=side.sourceline or 0, found=f"radius {radius:.3f}, chord {2 * half:.3f}")  # fmt: skip
        sweep = 2.0 * math.asin(min(1.0, half / radius))
        if length > math.pi * radius:
            sweep = math.tau - sweep
        return sweep if left else -sweep
