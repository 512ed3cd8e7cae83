"""Whether the lines of a boundary may be drawn solid: what was found, and whether it agrees with the record."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.boundary.pins import pin_weaknesses
from palewright.model import Corner, Course, LineStatus, Measurement, Remark
from palewright.plane import azimuth, distance

__all__ = ["DIRECTION_AGREES", "TAPE_FIXED_M", "TAPE_SHARE", "line_status", "record_distance", "tape_tolerance"]

TAPE_FIXED_M = 0.03048
"""Fixed part of the tolerance of a tape between two found corners: 0.1 ft [m] (common practice)."""
TAPE_SHARE = 1.0 / 1000.0
"""Part of the length that is added to it (common practice: a casual tape is good for about 1:1000 to 1:2000)."""
DIRECTION_AGREES = math.radians(1.0)
"""A measured direction agrees with the record within 1 degree (common practice: what a hand compass can read)."""


def tape_tolerance(length_m: float) -> float:
    """How far a tape between two found corners may differ from the record [m]: 0.1 ft + length / 1000.

    length_m
        record distance [m], at least 0; raises ValueError otherwise. Source: common practice.

    >>> round(tape_tolerance(30.48), 5)
    0.06096
    """
    if not length_m >= 0.0:
        raise ValueError("a distance cannot be negative")
    return TAPE_FIXED_M + TAPE_SHARE * length_m


def record_distance(a: Corner, b: Corner, courses: Sequence[Course]) -> float:
    """Distance between two corners by the record [m]: the call between neighbours, else from the points as called."""
    for course in courses:
        if {course.start, course.end} == {a.name, b.name}:
            return course.length_m
    return distance(a.xy, b.xy)


def line_status(
    corners: Sequence[Corner], courses: Sequence[Course], measured: Sequence[Measurement]
) -> tuple[LineStatus, tuple[Remark, ...]]:
    """Whether the boundary is located on the ground, and why or why not.

    corners, courses
        of the ring. A corner counts when a pin was found there that is described, matches the record and stands at the
        corner itself (:func:`palewright.boundary.pins.pin_weaknesses`).
    measured
        tapes and directions of the job; those between corners are used.
    Located: two corners count and no tape between them disagrees (:func:`tape_tolerance`); or one counts and a measured
    direction from it to another corner agrees with the record (:data:`DIRECTION_AGREES`). ``why`` is one of
    "two-corners-agree", "two-corners-not-taped", "one-corner-and-direction", "no-corner-found", "one-corner-found",
    "corners-not-compared", "pins-not-described", "pins-stand-off", "corners-disagree", "tape-disagrees",
    "direction-disagrees".
    Nothing here proves a line: that takes a licensed surveyor.
    """
    found = [c for c in corners if c.found]
    good = [c for c in found if not pin_weaknesses(c)]
    more = len(found) - len(good)
    remarks = [remark for c in corners for remark in _weak_remarks(c)]
    located, why = False, ""
    if len(good) >= 2:
        located, why = _by_tapes(good, courses, measured, remarks)
    if not located:
        turned = _by_direction(good, corners, courses, measured, remarks)
        if turned == "one-corner-and-direction" and why != "tape-disagrees":
            located, why = True, turned
        why = why or turned
    why = why or _reason(found)
    total = len(corners)
    slug, level = ("line-located", "note") if located else ("line-not-located", "caution")
    args: tuple[tuple[str, int], ...] = (("found", len(good)), ("total", total))
    remarks.append(Remark(slug, level, "boundary", (*args, ("more", more)) if more else args))
    return LineStatus(len(good), total, located, why, more), tuple(remarks)


_WEAK = {
    "kind": "pin-kind-missing",
    "mark": "pin-mark-missing",
    "match": "pin-not-compared",
    "differs": "corner-disagrees",
    "stands off": "pin-stands-off",
    "no pin": "corner-no-pin",
    "map": "corner-from-map",
    "gnss": "corner-from-gnss",
    "neighbour's fence": "corner-from-fence",
    "owner's word": "corner-from-word",
}


def _weak_remarks(corner: Corner) -> list[Remark]:
    """What keeps a corner from counting, one remark each."""
    seen = corner.found or corner.evidence.seen
    args: tuple[tuple[str, float | int | str], ...] = (("corner", corner.name), ("found", seen))
    off = corner.evidence.stands_off_m
    rows = []
    for weak in pin_weaknesses(corner):
        if weak != "record only":
            extra = (("offset_m", off),) if weak == "stands off" and off else ()
            rows.append(Remark(_WEAK[weak], "caution", f"corner {corner.name}", (*args, *extra)))
    return rows


def _reason(found: Sequence[Corner]) -> str:
    if not found:
        return "no-corner-found"
    weak = {word for corner in found for word in pin_weaknesses(corner)}
    for words, why in (
        (("differs",), "corners-disagree"),
        (("match",), "corners-not-compared"),
        (("kind", "mark"), "pins-not-described"),
        (("stands off",), "pins-stand-off"),
    ):
        if weak.intersection(words):
            return why
    return "one-corner-found"


def _by_tapes(
    good: Sequence[Corner], courses: Sequence[Course], measured: Sequence[Measurement], remarks: list[Remark]
) -> tuple[bool, str]:
    tapes: dict[frozenset[str], list[Measurement]] = {}
    for m in measured:
        if m.kind == "tape":
            tapes.setdefault(frozenset(m.points), []).append(m)
    agree, bare, wrong = False, None, False
    for a, b in itertools.combinations(good, 2):
        record = record_distance(a, b, courses)
        between = tapes.get(frozenset((a.name, b.name)), [])
        if not between and bare is None:
            bare = (a, b, record)
        off = [m for m in between if abs(m.value - record) > tape_tolerance(record)]
        for m in off:
            args = (("start", a.name), ("end", b.name), ("reads_m", m.value), ("record_m", record))
            extra = (("difference_m", abs(m.value - record)), ("allowed_m", tape_tolerance(record)))
            remarks.append(Remark("corner-tape-disagrees", "caution", "boundary", args + extra, m.at))
        wrong = wrong or bool(off)
        agree = agree or (bool(between) and not off)
    if agree:
        return True, "two-corners-agree"
    if wrong:
        return False, "tape-disagrees"
    if bare is not None:
        a, b, record = bare
        where = (("start", a.name), ("end", b.name), ("record_m", record))
        remarks.append(Remark("corner-distance-not-taped", "caution", "boundary", where))
    return True, "two-corners-not-taped"


def _by_direction(
    good: Sequence[Corner],
    corners: Sequence[Corner],
    courses: Sequence[Course],
    measured: Sequence[Measurement],
    remarks: list[Remark],
) -> str:
    places = {c.name: c for c in corners}
    good_names = {c.name for c in good}
    verdict = ""
    for m in measured:
        if m.kind != "direction" or any(name not in places for name in m.points[:2]):
            continue
        a, b = places[m.points[0]], places[m.points[1]]
        if not good_names & {a.name, b.name} or a.xy == b.xy:
            continue
        record = azimuth(a.xy, b.xy)
        off = abs(math.remainder(m.value - record, 2.0 * math.pi))
        agrees = off <= DIRECTION_AGREES
        far = max(distance(a.xy, b.xy), *(c.length_m for c in courses))
        args = (("start", a.name), ("end", b.name), ("difference_deg", round(math.degrees(off), 2)))
        slug = "located-by-direction" if agrees else "direction-disagrees"
        remarks.append(Remark(slug, "caution", "boundary", (*args, ("sideways_m", far * math.sin(off))), m.at))
        verdict = "one-corner-and-direction" if agrees else verdict or "direction-disagrees"
    return verdict
