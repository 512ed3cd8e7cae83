"""Corners of a boundary: their names, what was found at them, and names that it does not have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from palewright.boundary.pins import pin_weaknesses, seen_at
from palewright.errors import Problem, ProblemError
from palewright.model import BoundarySpec, Corner, CornerEvidence, PointSpec
from palewright.plane import XY

__all__ = ["corner_names", "corners_of", "unknown_names"]


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


def corners_of(
    spec: BoundarySpec, names: Sequence[str], xys: Sequence[XY], points: Mapping[str, PointSpec]
) -> tuple[Corner, ...]:
    """The corners at their places, with what the boundary or the points of the job say was found there.

    What is no pin (a lath; anything at a corner that rests on a map) is kept as ``seen`` and is not found.
    """
    said = {corner.name: corner for corner in spec.corners}
    rows = []
    for name, xy in zip(names, xys, strict=True):
        corner, point = said.get(name), points.get(name)
        found = (corner.found if corner else "") or (point.found if point else "")
        matches = corner.matches_record if corner else None
        if matches is None and point is not None:
            matches = point.matches_record
        evidence = corner.evidence if corner else CornerEvidence()
        found, seen = seen_at(found, evidence)
        made = Corner(name, xy, found, matches if found else None, replace(evidence, seen=seen))
        rows.append(replace(made, weak=pin_weaknesses(made)))
    return tuple(rows)


def unknown_names(spec: BoundarySpec, names: Sequence[str]) -> list[Problem]:
    """Problems with corners and sides that are named and that the boundary does not have."""
    found = []
    for corner in spec.corners:
        if corner.name not in names:
            import difflib

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
