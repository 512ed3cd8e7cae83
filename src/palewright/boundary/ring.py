"""From a boundary as written to a ring: corners, sides, closure, area, status, and all that must be said of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from palewright import notation
from palewright.boundary.adjust import adjust_compass, adjust_transit
from palewright.boundary.calls import called_ring, closure, closure_of_points, ring_area, run_calls, sides_of
from palewright.boundary.corners import corner_names, corners_of, unknown_names
from palewright.boundary.crossing import sides_that_cross
from palewright.boundary.deed import Deed, run_deed
from palewright.boundary.status import line_status
from palewright.boundary.suspects import find_suspects
from palewright.errors import Problem, ProblemError
from palewright.model import (
    ArcSide,
    BoundarySpec,
    Call,
    Closure,
    Course,
    Measurement,
    PointSpec,
    Reason,
    Remark,
    Ring,
)
from palewright.plane import XY, Side, azimuth, distance, side_length

__all__ = ["LEAST_PRECISION", "REFUSED_PRECISION", "build_ring", "deed_remarks", "ring_sides"]

REFUSED_PRECISION = 50.0
"""Calls that close worse than 1:50 are taken for a typing error and refused (common practice); real deeds of the
eighteenth and nineteenth century close between 1:100 and 1:1000 and are computed with a caution."""
LEAST_PRECISION = 5000.0
"""Least closure of a residential lot by WAC 332-130-090; worse calls are computed and are no proof of a boundary."""


def build_ring(
    spec: BoundarySpec,
    start: XY,
    through: Sequence[XY],
    points: Mapping[str, PointSpec],
    measured: Sequence[Measurement] = (),
    style: str = "feet-inches",
) -> tuple[Ring, tuple[Remark, ...], tuple[Reason, ...]]:
    """The ring of a boundary as written.

    spec
        by calls (``start`` is where they begin [m]) or by points (``through`` holds their places [m]).
    points
        named points of the job: a found monument described there counts for the corner of that name.
    measured
        tapes and directions, for the status. style: how lengths are printed in problems.
    Returns the ring, remarks (what closing proves, status of the lines) and reasons.
    Raises ProblemError with every problem: does not close, crosses itself, unknown corner or side, ...
    Area is of the path as called, its end joined to its beginning, not adjusted, arcs included; a side goes from corner
    to corner and keeps its call as its words. A last side that is a curve keeps its central angle between its corners.
    """
    names = corner_names(spec)
    remarks: list[Remark] = []
    if spec.calls:
        deed = run_deed(spec.calls, style, spec.bearings)
        called = run_calls(start, deed.calls)
        xys = called[:-1]
        closed = closure(deed.calls, deed.lengths_m)
        remarks += deed_remarks(spec.calls, deed, closed)
    else:
        deed = Deed((), (), ())
        called = xys = list(through)
        if len(xys) < 3:
            raise ProblemError(_too_few(spec, f"{len(xys)} corners"))
        closed = closure_of_points(xys)
        remarks.append(Remark("boundary-by-points", "note", "boundary", (("corners", len(xys)),)))
    problems, sides = _shape_problems(spec, names, xys, deed, style)
    problems += _closing_problems(spec, closed, deed, style) if spec.calls else []
    corners = corners_of(spec, names, xys, points)
    problems += unknown_names(spec, names)
    if problems:
        raise ProblemError(problems)
    courses = _courses_by_calls(spec, names, deed, sides) if spec.calls else _courses_by_points(spec, names, xys)
    size, clockwise = ring_area(called_ring(called) if spec.calls else xys, deed.sweeps)
    if spec.prose is not None:
        from palewright.boundary.prose_said import prose_remarks

        remarks += prose_remarks(spec.prose, size)
    status, said = line_status(corners, courses, measured)
    ring = Ring(corners, courses, closed, size, clockwise, status, spec.record, deed.north or spec.bearings, spec.prose)
    return ring, (*remarks, *said), _reasons(ring, deed)


def ring_sides(ring: Ring) -> tuple[Side, ...]:
    """The sides of a ring from corner to corner, straight or arcs, for distances, insets and drawings."""
    places = [corner.xy for corner in ring.corners]
    arcs = [course.arc.sweep if course.arc is not None else 0.0 for course in ring.courses]
    return tuple(sides_of(places, arcs))


def _too_few(spec: BoundarySpec, found: str) -> Problem:
    return Problem(
        "boundary-too-short",
        "a boundary needs at least three sides",
        where=spec.at,
        found=found,
        hint="give every call or corner in order; the first is not repeated at the end",
    )


def _courses_by_calls(
    spec: BoundarySpec, names: Sequence[str], deed: Deed, sides: Sequence[Side]
) -> tuple[Course, ...]:
    yards = dict(spec.yards)
    n = len(names)
    rows = []
    for k, (az, length) in enumerate(deed.calls):
        side, call = sides[k], spec.calls[k]
        arc = ArcSide(side.centre, side.radius, side.sweep, side_length(side)) if side.sweep else None
        rows.append(
            Course(
                k + 1, names[k], names[(k + 1) % n], az, length, call.text, yards.get(k + 1, ""), arc, about=call.about
            )
        )
    return tuple(rows)


def _courses_by_points(spec: BoundarySpec, names: Sequence[str], xys: Sequence[XY]) -> tuple[Course, ...]:
    yards = dict(spec.yards)
    n = len(xys)
    rows = []
    for k, xy in enumerate(xys):
        far = xys[(k + 1) % n]
        name, end = names[k], names[(k + 1) % n]
        rows.append(Course(k + 1, name, end, azimuth(xy, far), distance(xy, far), "", yards.get(k + 1, "")))
    return tuple(rows)


def _shape_problems(
    spec: BoundarySpec, names: Sequence[str], xys: Sequence[XY], deed: Deed, style: str
) -> tuple[list[Problem], list[Side]]:
    """What is wrong with the shape of the ring, and its sides where nothing is."""
    n = len(xys)
    found = [
        Problem(
            "side-without-length",
            f"side {k + 1} of the boundary has no length",
            where=spec.at,
            found=f"{names[k]} and {names[(k + 1) % n]} are in one place",
            hint="the first corner is not repeated at the end",
        )
        for k, xy in enumerate(xys)
        if distance(xy, xys[(k + 1) % n]) < 1e-6
    ]
    if found:
        return found, []
    sides = sides_of(xys, deed.sweeps)
    hit = sides_that_cross(sides)
    if hit is not None:
        one, two, at = hit
        off = notation.show_length(distance(xys[two], at), style)
        found.append(
            Problem(
                "boundary-crosses-itself",
                f"sides {one + 1} and {two + 1} of the boundary cross or touch",
                where=spec.calls[two].at if two < len(spec.calls) else spec.at,
                found=f"side {one + 1} from {names[one]}, side {two + 1} from {names[two]}, {off} from {names[two]}",
                hint="check the bearings of both (N for S, E for W), or the order of the corners",
            )
        )
    return found, sides


def _closing_problems(spec: BoundarySpec, closed: Closure, deed: Deed, style: str) -> list[Problem]:
    if closed.precision == 0.0 or closed.precision >= REFUSED_PRECISION:
        return []
    off = notation.show_length(closed.misclosure_m, style)
    hints = []
    for suspect in find_suspects(deed.calls, dict(deed.other_side)):
        text = spec.calls[suspect.index].text or f"call {suspect.index + 1}"
        if suspect.slip == "length":
            slip = f"were {notation.show_length(suspect.length_m, style)} long"
        else:
            slip = {
                "north-south": "had N and S exchanged",
                "east-west": "had E and W exchanged",
                "reversed": "ran the other way",
                "left out": "were left out",
                "other side": "turned to the other side",
            }[suspect.slip]
        hints.append(f"call {suspect.index + 1} ({text}) {slip}")
    hint = "they would close if " + ", or if ".join(hints) + ": read the deed again" if hints else ""
    return [
        Problem(
            "boundary-does-not-close",
            f"the calls miss their beginning by {off}, 1:{closed.precision:.0f}",
            where=spec.at,
            found=f"{len(spec.calls)} calls, {notation.show_length(closed.perimeter_m, style)} round",
            allowed=f"1:{REFUSED_PRECISION:.0f} or better; worse is taken for a typing error",
            hint=hint or "read every call again; one may be missing, or two may be wrong",
            source="common practice",
        )
    ]


def deed_remarks(calls: Sequence[Call], deed: Deed, closed: Closure) -> list[Remark]:
    """What must be said of calls: what was solved, how they close, how curves join, what the deed says of itself."""
    remarks = _solved_remarks(deed)
    checked = len(deed.gaps) < 2 and "both" not in dict(deed.gaps).values()
    precise = (("precision", round(closed.precision)), ("misclosure_m", closed.misclosure_m))
    around = ("perimeter_m", closed.perimeter_m)
    if checked and closed.precision == 0.0:
        remarks.append(Remark("closes-exactly", "note", "boundary", (around,)))
    elif checked and closed.precision < LEAST_PRECISION:
        limit = ("limit", round(LEAST_PRECISION))
        remarks.append(Remark("closes-poorly", "caution", "boundary", (*precise, around, limit)))
    elif checked:
        remarks.append(Remark("closes-arithmetic-only", "note", "boundary", (*precise, around)))
    remarks += deed.remarks
    if deed.north:
        magnetic = deed.north.lower().startswith("magnetic")
        slug, level = ("bearings-magnetic", "caution") if magnetic else ("bearings-counted-from", "note")
        remarks.append(Remark(slug, level, "boundary", (("name", deed.north),)))
    about = [str(k + 1) for k, call in enumerate(calls) if call.about]
    if about:
        remarks.append(Remark("calls-more-or-less", "caution", "boundary", (("calls", ", ".join(about)),)))
    return remarks


_SOLVED = {"length": "call-length-solved", "direction": "call-direction-solved", "both": "call-solved"}


def _solved_remarks(deed: Deed) -> list[Remark]:
    remarks = []
    for k, what in deed.gaps:
        az, length = deed.calls[k]
        args = (("call", k + 1), ("length_m", length), ("azimuth_deg", round(math.degrees(az), 4)))
        if len(deed.gaps) == 1:
            remarks.append(Remark(_SOLVED[what], "caution", "boundary", args))
        else:
            said = (*args, ("what", what), ("bearing", notation.show_bearing(az)))
            remarks.append(Remark("call-solved-unchecked", "caution", "boundary", said))
    return remarks


def _reasons(ring: Ring, deed: Deed) -> tuple[Reason, ...]:
    about, closed, status = "boundary", ring.closure, ring.status
    rows = [Reason(about, "perimeter", closed.perimeter_m, "m", "sum of the sides", (("sides", len(ring.courses)),))]
    if deed.calls:
        rows += _closing_reasons(closed, deed)
    if closed.precision:
        rows += [_adjusted_reason(closed, deed, "compass"), _adjusted_reason(closed, deed, "transit")]
    rows += [
        Reason(about, f"arc of side {course.number}", course.arc.length_m, "m", "radius x central angle",
               (("radius_m", course.arc.radius_m), ("central angle_rad", abs(course.arc.sweep))))
        for course in ring.courses if course.arc is not None
    ]  # fmt: skip
    area = "half the sum of x1 y2 - x2 y1 over the path as called, its end joined to its beginning, not adjusted"
    if any(deed.sweeps):
        area += "; arcs: R^2 (angle - sin angle) / 2 each, out of the ring added, into it taken off"
    rows.append(Reason(about, "area", ring.area_m2, "m2", area, (("corners", len(ring.corners)),)))
    found = (
        ("corners found", status.found),
        ("found but not counted", status.more),
        ("corners", status.total),
        ("why", status.why),
    )
    rule = "two found corners that agree with the record, or one and a measured direction"
    located = "located" if status.located else "not located"
    return (*rows, Reason(about, "line", located, "", rule, found, "common practice"))


def _closing_reasons(closed: Closure, deed: Deed) -> list[Reason]:
    about = "boundary"
    sums = (("sum of latitudes", closed.latitude_error_m), ("sum of departures", closed.departure_error_m))
    over = (("perimeter", closed.perimeter_m), ("misclosure", closed.misclosure_m))
    worst = (("taken for a typing error below", REFUSED_PRECISION),)
    least = "least closure of a residential lot; worse calls are computed and prove nothing"
    ratio = "perimeter / misclosure; 0 where the calls close exactly"
    return [
        Reason(about, "misclosure", closed.misclosure_m, "m", "square root of (latitudes^2 + departures^2)", sums),
        Reason(about, "precision", closed.precision, "", ratio, over),
        Reason(about, "least precision", LEAST_PRECISION, "", least, worst, "wac332-130"),
        *(
            Reason(about, f"length of call {k + 1}", deed.calls[k][1], "m", "what the other calls leave open",
                   (("solved for", what),))
            for k, what in deed.gaps
        ),
    ]  # fmt: skip


def _adjusted_reason(closed: Closure, deed: Deed, rule: str) -> Reason:
    adjusted = (adjust_compass if rule == "compass" else adjust_transit)(deed.calls)
    size, _ = ring_area(run_calls((0.0, 0.0), adjusted)[:-1], deed.sweeps)
    formula = "for comparison only: the misclosure spread over the calls; nothing is drawn by it"
    inputs = (("misclosure_m", closed.misclosure_m),)
    return Reason("boundary", f"area by the {rule} rule", size, "m2", formula, inputs, "mahun")
