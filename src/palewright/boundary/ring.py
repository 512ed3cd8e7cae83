"""From a boundary as written to a ring: corners, sides, closure, area, status, and all that must be said of it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence

from palewright import notation
from palewright.boundary.calls import Solved, closure, closure_of_points, ring_area, run_calls, solve_calls
from palewright.boundary.status import line_status
from palewright.boundary.suspects import find_suspects
from palewright.errors import Problem, ProblemError, Where
from palewright.model import (
    BoundarySpec,
    Closure,
    Corner,
    Course,
    LineStatus,
    Measurement,
    PointSpec,
    Reason,
    Remark,
    Ring,
)
from palewright.plane import XY, azimuth, cross, distance, dot, segments_meet, sub

__all__ = ["LEAST_PRECISION", "REFUSED_PRECISION", "build_ring", "corner_names", "sides_that_cross"]

REFUSED_PRECISION = 50.0
"""Calls that close worse than 1:50 are taken for a typing error and refused (common practice); real deeds of the
eighteenth and nineteenth century close between 1:100 and 1:1000 and are computed with a caution."""
LEAST_PRECISION = 5000.0
"""Least closure of a residential lot by WAC 332-130-090; worse calls are computed and are no proof of a boundary."""


def corner_names(spec: BoundarySpec) -> tuple[str, ...]:
    """Names of the corners in order, made up ("corner 1") where none is given.

    Raises ProblemError for more names than corners, and for one name given to two corners.
    """
    count = len(spec.calls) if spec.calls else len(spec.through)
    given = list(spec.names)
    if len(given) > count:
        raise ProblemError(
            Problem(
                "too-many-corner-names",
                "the boundary has more corner names than corners",
                where=spec.at,
                found=f"{len(given)} names for {count} corners",
                hint="corners are named in order, beginning with the start",
            )
        )
    if not given and spec.calls and spec.start.name:
        given = [spec.start.name]
    refs = [ref.name for ref in spec.through]
    names = []
    for k in range(count):
        name = given[k] if k < len(given) and given[k] else ""
        names.append(name or (refs[k] if k < len(refs) else "") or f"corner {k + 1}")
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise ProblemError(
            Problem(
                "corner-named-twice",
                "two corners of the boundary have one name",
                where=spec.at,
                found=", ".join(twice),
                hint="give each corner its own name; the first corner is not repeated at the end",
            )
        )
    return tuple(names)


def sides_that_cross(ring: Sequence[XY]) -> tuple[int, int] | None:
    """The first two sides (0-based) that cross, touch or fold back on each other, or None.

    ring
        corners in order [m], the first not repeated. Neighbours may only share their corner.

    >>> sides_that_cross([(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)])
    (0, 2)
    """
    n = len(ring)
    for i in range(n):
        a, b = ring[i], ring[(i + 1) % n]
        c = ring[(i + 2) % n]
        u, v = sub(b, a), sub(c, b)
        if dot(u, v) < 0.0 and abs(cross(u, v)) <= 1e-9 * math.hypot(*u) * math.hypot(*v):
            return (i, (i + 1) % n)
        for j in range(i + 2, n):
            if i == 0 and j == n - 1:
                continue
            if segments_meet(a, b, ring[j], ring[(j + 1) % n]) is not None:
                return (i, j)
    return None


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
    Area is of the path as called, its end joined to its beginning, not adjusted; a side goes from corner to corner and
    keeps its call as its words.
    """
    names = corner_names(spec)
    remarks: list[Remark] = []
    if spec.calls:
        solved = _solve(spec)
        called = run_calls(start, solved.calls)
        xys = called[:-1]
        closed = closure(solved.calls)
        courses = _courses_by_calls(spec, names, solved)
        remarks += _closing_remarks(closed, solved)
    else:
        solved = Solved(())
        called = xys = list(through)
        closed = closure_of_points(xys)
        courses = _courses_by_points(spec, names, xys)
        remarks.append(Remark("boundary-by-points", "note", "boundary", (("corners", len(xys)),)))
    problems = _shape_problems(spec, names, xys)
    problems += _closing_problems(spec, closed, solved, style) if spec.calls else []
    corners = _corners(spec, names, xys, points)
    problems += _unknown(spec, names)
    if problems:
        raise ProblemError(problems)
    size, clockwise = ring_area(called)
    status, said = line_status(corners, courses, measured)
    ring = Ring(corners, courses, closed, size, clockwise, status, spec.record)
    return ring, (*remarks, *said), _reasons(ring, solved)


def _solve(spec: BoundarySpec) -> Solved:
    if len(spec.calls) < 3:
        raise ProblemError(_too_few(spec, f"{len(spec.calls)} calls"))
    for k, call in enumerate(spec.calls):
        if call.length_m is not None and not (math.isfinite(call.length_m) and call.length_m > 0.0):
            raise ProblemError(
                Problem("call-without-length", f"call {k + 1} has no length to go", where=call.at, found=call.text)
            )
    try:
        return solve_calls([(call.azimuth, call.length_m) for call in spec.calls])
    except ProblemError as error:
        raise ProblemError([problem.at(_place(spec)) for problem in error.problems]) from None


def _place(spec: BoundarySpec) -> Where:
    """The first call that lacks something, or the boundary."""
    return next((call.at for call in spec.calls if call.azimuth is None or call.length_m is None), spec.at)


def _too_few(spec: BoundarySpec, found: str) -> Problem:
    return Problem(
        "boundary-too-short",
        "a boundary needs at least three sides",
        where=spec.at,
        found=found,
        hint="give every call or corner in order; the first is not repeated at the end",
    )


def _courses_by_calls(spec: BoundarySpec, names: Sequence[str], solved: Solved) -> tuple[Course, ...]:
    yards = dict(spec.yards)
    n = len(names)
    return tuple(
        Course(k + 1, names[k], names[(k + 1) % n], az, length, spec.calls[k].text, yards.get(k + 1, ""))
        for k, (az, length) in enumerate(solved.calls)
    )


def _courses_by_points(spec: BoundarySpec, names: Sequence[str], xys: Sequence[XY]) -> tuple[Course, ...]:
    if len(xys) < 3:
        raise ProblemError(_too_few(spec, f"{len(xys)} corners"))
    yards = dict(spec.yards)
    n = len(xys)
    rows = []
    for k, xy in enumerate(xys):
        far = xys[(k + 1) % n]
        name, end = names[k], names[(k + 1) % n]
        rows.append(Course(k + 1, name, end, azimuth(xy, far), distance(xy, far), "", yards.get(k + 1, "")))
    return tuple(rows)


def _corners(
    spec: BoundarySpec, names: Sequence[str], xys: Sequence[XY], points: Mapping[str, PointSpec]
) -> tuple[Corner, ...]:
    said = {corner.name: corner for corner in spec.corners}
    rows = []
    for name, xy in zip(names, xys, strict=True):
        corner, point = said.get(name), points.get(name)
        found = (corner.found if corner else "") or (point.found if point else "")
        matches = corner.matches_record if corner else None
        if matches is None and point is not None:
            matches = point.matches_record
        rows.append(Corner(name, xy, found, matches))
    return tuple(rows)


def _unknown(spec: BoundarySpec, names: Sequence[str]) -> list[Problem]:
    found = []
    for corner in spec.corners:
        if corner.name not in names:
            near = difflib.get_close_matches(corner.name, names, n=1, cutoff=0.5)
            found.append(
                Problem(
                    "unknown-corner",
                    "the boundary has no such corner",
                    where=corner.at,
                    found=corner.name,
                    allowed=", ".join(names),
                    hint=f"nearest: {near[0]}" if near else "",
                )
            )
    found += [
        Problem(
            "unknown-side",
            "the boundary has no such side",
            where=spec.at,
            found=f"side {number} ({yard})",
            allowed=f"1 to {len(names)}",
            hint="side 1 runs from the first corner to the second",
        )
        for number, yard in spec.yards
        if not 1 <= number <= len(names)
    ]
    return found


def _shape_problems(spec: BoundarySpec, names: Sequence[str], xys: Sequence[XY]) -> list[Problem]:
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
        return found
    hit = sides_that_cross(xys)
    if hit is not None:
        one, two = hit
        found.append(
            Problem(
                "boundary-crosses-itself",
                f"sides {one + 1} and {two + 1} of the boundary cross or touch",
                where=spec.calls[two].at if two < len(spec.calls) else spec.at,
                found=f"side {one + 1} from {names[one]}, side {two + 1} from {names[two]}",
                hint="check the bearings of both (N for S, E for W), or the order of the corners",
            )
        )
    return found


def _closing_problems(spec: BoundarySpec, closed: Closure, solved: Solved, style: str) -> list[Problem]:
    if closed.precision == 0.0 or closed.precision >= REFUSED_PRECISION:
        return []
    off = notation.show_length(closed.misclosure_m, style)
    hints = []
    for suspect in find_suspects(solved.calls):
        text = spec.calls[suspect.index].text or f"call {suspect.index + 1}"
        if suspect.slip == "length":
            slip = f"were {notation.show_length(suspect.length_m, style)} long"
        else:
            slip = {
                "north-south": "had N and S exchanged",
                "east-west": "had E and W exchanged",
                "reversed": "ran the other way",
                "left out": "were left out",
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


def _closing_remarks(closed: Closure, solved: Solved) -> list[Remark]:
    remarks = []
    precision = round(closed.precision)
    if solved.what:
        az, length = solved.calls[solved.index]
        args = (("call", solved.index + 1), ("length_m", length), ("azimuth_deg", round(math.degrees(az), 4)))
        slug = {"length": "call-length-solved", "direction": "call-direction-solved", "both": "call-solved"}[
            solved.what
        ]
        remarks.append(Remark(slug, "caution", "boundary", args))
    if solved.what == "both":
        return remarks
    if closed.precision == 0.0:
        return [*remarks, Remark("closes-exactly", "note", "boundary", (("perimeter_m", closed.perimeter_m),))]
    args2 = (("precision", precision), ("misclosure_m", closed.misclosure_m), ("perimeter_m", closed.perimeter_m))
    if closed.precision < LEAST_PRECISION:
        return [*remarks, Remark("closes-poorly", "caution", "boundary", (*args2, ("limit", round(LEAST_PRECISION))))]
    return [*remarks, Remark("closes-arithmetic-only", "note", "boundary", args2)]


def _reasons(ring: Ring, solved: Solved) -> tuple[Reason, ...]:
    about, closed = "boundary", ring.closure
    rows = [Reason(about, "perimeter", closed.perimeter_m, "m", "sum of the sides", (("sides", len(ring.courses)),))]
    if solved.calls:
        inputs = (("sum of latitudes", closed.latitude_error_m), ("sum of departures", closed.departure_error_m))
        rows.append(
            Reason(about, "misclosure", closed.misclosure_m, "m", "square root of (latitudes^2 + departures^2)", inputs)
        )
        rows.append(
            Reason(
                about,
                "precision",
                closed.precision,
                "",
                "perimeter / misclosure; 0 where the calls close exactly",
                (("perimeter", closed.perimeter_m), ("misclosure", closed.misclosure_m)),
            )
        )
        rows.append(
            Reason(
                about,
                "least precision",
                LEAST_PRECISION,
                "",
                "least closure of a residential lot; worse calls are computed and prove nothing",
                (("taken for a typing error below", REFUSED_PRECISION),),
                "wac332-130",
            )
        )
        if solved.what:
            rows.append(
                Reason(
                    about,
                    f"length of call {solved.index + 1}",
                    solved.calls[solved.index][1],
                    "m",
                    "what the other calls leave open",
                    (("solved for", solved.what),),
                )
            )
    rows.append(
        Reason(
            about,
            "area",
            ring.area_m2,
            "m2",
            "half the sum of x1 y2 - x2 y1 over the path as called, its end joined to its beginning, not adjusted",
            (("corners", len(ring.corners)),),
        )
    )
    status: LineStatus = ring.status
    rows.append(
        Reason(
            about,
            "line",
            "located" if status.located else "not located",
            "",
            "two found corners that agree with the record, or one and a measured direction",
            (("corners found", status.found), ("corners", status.total), ("why", status.why)),
            "common practice",
        )
    )
    return tuple(rows)
