"""The pocket sum ``close``: closure and area of a deed in a text file, by the functions behind a boundary."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from palewright.boundary import (
    Deed,
    adjust_compass,
    adjust_transit,
    called_ring,
    closure,
    deed_remarks,
    prose_remarks,
    ring_area,
    run_calls,
    run_deed,
    sides_of,
    sides_that_cross,
)
from palewright.errors import Problem, ProblemError, Where
from palewright.jobfile import DeedText, read_deed_text
from palewright.model import ProseLine, Settings
from palewright.papers import say
from palewright.plan.pocket import Pocket, Value
from palewright.sources import cite

__all__ = ["pocket_close"]

_METRIC = re.compile(r"[0-9]\s*(m|cm|mm|metres?|meters?)\b")


def pocket_close(text: str, file: str = "", unit: str = "", adjust: str = "none") -> Pocket:
    """Closure and area of a deed.

    text
        one call a line, ``#`` before what is no call, or a legal description in sentences. file: named in problems.
        unit: of lengths without one.
    adjust
        "none", or the misclosure spread by the "compass" or the "transit" rule, as a comparison; a curve keeps its
        central angle.
    Returns what the contract of the pocket sums names, and beside it the length along each call, the curves, where
    sides cross, and what must be said in words. The calls are never changed.
    Raises ProblemError with every problem, each at its line. Source: plane surveying textbooks.
    """
    given = read_deed_text(text, file, unit)
    calls = given.calls
    if not calls:
        raise ProblemError(
            Problem("deed-empty", "no call stands in this file", where=Where(file), allowed="one call a line")
        )
    style = "metric" if _METRIC.search(f"1 {unit} " + " ".join(call.text for call in calls)) else "decimal-feet"
    deed = run_deed(calls, style, given.bearings)
    values = _closed(deed, adjust)
    if given.prose is not None:
        values["prose"] = _prose(given)
    values["said"] = _said(given, deed, style)
    values["style"] = style
    return Pocket(
        values,
        "latitude = L cos A, departure = L sin A; misclosure = hypotenuse of their sums; precision = perimeter /"
        " misclosure; area by coordinates of the path as called, + or - R^2 (d - sin d) / 2 for each curve"
        + _FORMULAS[adjust],
        cite("mahun"),
    )


def _closed(deed: Deed, adjust: str) -> dict[str, Value]:
    """Closure, area and points of the calls, what was solved, and the calls adjusted where that is asked for."""
    closed = closure(deed.calls, deed.lengths_m)
    points = run_calls((0.0, 0.0), deed.calls)
    values: dict[str, Value] = {
        "perimeter_m": closed.perimeter_m,
        "latitude_error_m": closed.latitude_error_m,
        "departure_error_m": closed.departure_error_m,
        "misclosure_m": closed.misclosure_m,
        "precision": closed.precision or None,
        "area_m2": ring_area(called_ring(points), deed.sweeps)[0],
        "points": [list(point) for point in points],
        "lengths_m": list(deed.lengths_m),
        "curves": _curves(deed),
        "crosses": _crosses(points, deed),
    }
    if adjust != "none":
        adjusted = (adjust_compass if adjust == "compass" else adjust_transit)(deed.calls)
        values["adjusted"] = [_call(azimuth, length) for azimuth, length in adjusted]
        values["adjusted_area_m2"] = ring_area(run_calls((0.0, 0.0), adjusted)[:-1], deed.sweeps)[0]
    missing = [_call(*deed.calls[k]) | {"call": k + 1, "what": what} for k, what in deed.gaps]
    if missing:
        values["missing"], values["also_missing"] = missing[0], missing[1:]
    return values


_FORMULAS = {
    "none": "",
    "compass": "; compass rule: correction = -error x L / perimeter",
    "transit": "; transit rule: correction = -error x |latitude| / sum |latitude|, and so for departures",
}


def _call(azimuth: float, length_m: float) -> dict[str, float | str]:
    return {"azimuth_deg": math.degrees(azimuth), "length_m": length_m}


def _curves(deed: Deed) -> list[dict[str, float | str]]:
    return [
        {
            "call": k + 1,
            "side": "left" if sweep > 0.0 else "right",
            "radius_m": length / abs(sweep),
            "delta_deg": math.degrees(abs(sweep)),
            "arc_m": length,
            "chord_m": deed.calls[k][1],
            "chord_azimuth_deg": math.degrees(deed.calls[k][0]),
        }
        for k, (sweep, length) in enumerate(zip(deed.sweeps, deed.lengths_m, strict=True))
        if sweep
    ]


def _crosses(points: Sequence[tuple[float, float]], deed: Deed) -> dict[str, float | str] | None:
    """The first two sides that cross, and where; None where none do."""
    hit = sides_that_cross(sides_of(points[:-1], deed.sweeps))
    if hit is None:
        return None
    return {"side": hit[0] + 1, "other_side": hit[1] + 1, "east_m": hit[2][0], "north_m": hit[2][1]}


def _prose(given: DeedText) -> dict[str, Value]:
    """A description as it was read: its lines, and what stands round them."""
    prose = given.prose
    assert prose is not None
    return {
        "calls": [_line(line) for line in prose.lines],
        "ties": [_line(line) for line in prose.ties],
        "begins": prose.begins,
        "noted": list(prose.noted),
        "passed": list(prose.passed),
        "areas": [{"text": area.text, "area_m2": area.m2} for area in prose.areas],
    }


def _line(line: ProseLine) -> dict[str, Value]:
    azimuth = None if line.azimuth is None else math.degrees(line.azimuth)
    return {
        "source": line.source, "read": line.text, "azimuth_deg": azimuth, "length_m": line.length_m,
        "monument": line.monument, "along": list(line.along), "noted": list(line.noted), "passed": list(line.passed),
    }  # fmt: skip


def _said(given: DeedText, deed: Deed, style: str) -> list[str]:
    """Remarks of the deed as sentences."""
    settings = Settings("", "", "", (), style, 8, "en", "letter", 30.48, True, "", 0.0127, 0.0762, None, "")
    remarks = deed_remarks(given.calls, deed, closure(deed.calls, deed.lengths_m))
    if given.prose is not None:
        area_m2 = ring_area(called_ring(run_calls((0.0, 0.0), deed.calls)), deed.sweeps)[0]
        remarks += prose_remarks(given.prose, area_m2)
    return [say(remark, settings) for remark in remarks if not remark.slug.startswith("closes")]
