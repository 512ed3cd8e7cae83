"""The box STOP of the crew sheets: what must be settled before anybody digs, and its tags for every page."""

from __future__ import annotations

import math

from palewright.model import Finding, Ring, StringLine
from palewright.papers.clean import short
from palewright.papers.permit import asked
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.undecided import any_open, stops_open
from palewright.papers.words import say
from palewright.plane import XY, cross, midpoint, segment_distance, sub, unit

__all__ = ["stop_flags", "stops"]

_SAID = (
    "locate-expired",
    "corner-distance-not-taped",
    "corner-disagrees",
    "tape-differs",
    "tape-suspect",
    "reading-suspect",
    "angle-suspect",
    "measurements-disagree",
    "measurements-one-wrong",
    "measurements-several-wrong",
    "measurements-many-wrong",
    "measurements-one-perhaps",
    "measurements-two-perhaps",
    "measurements-contradict",
    "fence-through-building",
    "few-ties",
    "bracket-not-locatable",
)
_BESIDE_M = 3.048
"""A string this near a side and along it stands by that side [m]: 10 ft (our own choice)."""
_ALONG = math.sin(math.radians(10.0))


def stops(sheet: Sheet) -> list[str]:
    """Rules that are not met or still to ask, tapes to read first, and corners that hold nothing down."""
    lines = [line for line in (_not_met(sheet), _ask_first(sheet)) if line]
    lines = [sheet("crew.stop_line", text=line) for line in lines]
    plan = sheet.plan
    remarks = (*plan.locate.remarks, *plan.site.remarks, *plan.design.remarks, *plan.stakeout.remarks)
    lines += dict.fromkeys(say(remark, sheet.plan.settings) for remark in remarks if remark.slug in _SAID)
    lines += stops_open(sheet)
    return [*lines, *(_corners(sheet, sheet.plan.site.ring) if sheet.plan.site.ring else [])]


def stop_flags(sheet: Sheet) -> list[str]:
    """Tags for the bar of every page."""
    tags = (
        ("stop_expired_tag", sheet.plan.locate.expired),
        ("stop_tag", stops(sheet)),
        ("stop_open_tag", any_open(sheet)),
    )
    return [line for line in (_not_met(sheet), *(sheet(f"crew.{tag}") for tag, is_so in tags if is_so)) if line]


def _not_met(sheet: Sheet) -> str:
    found = _findings(sheet, "does-not")
    if not found:
        return ""
    labels = [label for finding in found for label in _labels(sheet, finding)]
    if not labels:
        return sheet("crew.stop_rules", what=", ".join(_rules(found)))
    return sheet("crew.stop_rules", what=f"{sheet('common.posts')} {ranges(labels)}")


def _ask_first(sheet: Sheet) -> str:
    found = _findings(sheet, "ask")
    parts = []
    for finding in found:
        labels = _labels(sheet, finding)
        name = short(finding.rule, 40) or asked(sheet, finding).removesuffix(".")
        parts.append(f"{sheet('common.posts')} {ranges(labels)} ({name})" if labels else name)
    return sheet("crew.stop_ask", what="; ".join(dict.fromkeys(filter(None, parts)))) if any(parts) else ""


def _findings(sheet: Sheet, verdict: str) -> list[Finding]:
    permit = sheet.plan.permit
    return [finding for finding in permit.findings if finding.verdict == verdict] if permit is not None else []


def _rules(found: list[Finding]) -> list[str]:
    return list(dict.fromkeys(short(finding.rule, 40) for finding in found))


def _labels(sheet: Sheet, finding: Finding) -> list[str]:
    """The posts of a finding, with those between its first and its last."""
    if len(finding.posts) != 2:
        return list(finding.posts)
    run = next((run for run in sheet.plan.design.runs if run.name == finding.run), None)
    every = [label for k in (run.legs if run else ()) for label in sheet.plan.design.legs[k].posts]
    order = list(dict.fromkeys(every))
    if any(label not in order for label in finding.posts):
        return list(finding.posts)
    first, last = sorted(order.index(label) for label in finding.posts)
    return order[first : last + 1]


def _corners(sheet: Sheet, ring: Ring) -> list[str]:
    """Corners by which the fence goes and that are no pin, or a pin that does not count."""
    at = {corner.name: corner.xy for corner in ring.corners}
    strings = sheet.plan.stakeout.strings
    sides = {
        course.number: course
        for course in ring.courses
        if course.start in at and course.end in at
        if any(_beside(string, at[course.start], at[course.end]) for string in strings)
    }
    used = {tie.start for tie in sheet.plan.stakeout.ties if tie.why == "tie"}
    lines, record = [], []
    for corner in ring.corners:
        ends = [str(number) for number, course in sides.items() if corner.name in (course.start, course.end)]
        if not corner.found and ends:
            key = "crew.stop_end" if len(ends) == 1 else "crew.stop_ends"
            record.append(sheet(key, corner=short(corner.name, 30), sides=", ".join(ends)))
        elif corner.found and not corner.counts and (ends or corner.name in used):
            found = short(corner.found, 40)
            lines.append(sheet("crew.stop_pin", corner=short(corner.name, 30), found=found))
    if record:
        lines.append(sheet("crew.stop_record", corners=", ".join(record)))
    return lines


def _beside(string: StringLine, a: XY, b: XY) -> bool:
    """Whether a string runs along a side."""
    if math.dist(a, b) == 0.0 or math.dist(string.start_xy, string.end_xy) == 0.0:
        return False
    turn = cross(unit(sub(b, a)), unit(sub(string.end_xy, string.start_xy)))
    return abs(turn) < _ALONG and segment_distance(midpoint(string.start_xy, string.end_xy), a, b) < _BESIDE_M
