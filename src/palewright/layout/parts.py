"""Parts of a run that follow the ground in their own way: where they lie along it, and the posts at their ends."""

from __future__ import annotations

import itertools
from dataclasses import replace

from palewright.errors import Problem
from palewright.layout.frame import Fixed, Frame, LegFrame, Part, Trace, outline_of
from palewright.layout.openings import TOUCH, way_from
from palewright.layout.say import Say
from palewright.model import Site, StretchSpec

__all__ = ["place_parts", "stand_change"]

_SAME = 1e-6


def place_parts(frame: Frame, site: Site, say: Say, problems: list[Problem]) -> None:
    """The parts of every run, and a fixed post where the way that it follows the ground changes.

    Gates stand already. A part that would end inside another fixed post, or nearer than their sections allow, ends at
    that post. What cannot be goes to ``problems``.
    """
    for trace in frame.traces:
        found: list[tuple[float, float, StretchSpec]] = []
        for spec in trace.spec.stretches:
            found += [(*span, spec) for span in _spans(frame, trace, spec, site, say, problems)]
        found.sort(key=lambda item: item[:2])
        over = [
            _overlap(trace, one, two, end - start, say)
            for (_, end, one), (start, _, two) in itertools.pairwise(found)
            if start < end - _SAME
        ]
        if over:
            problems += over
            continue
        trace.parts = [Part(start, end, spec.follows, spec.steps) for start, end, spec in found]
        _set_changes(frame, trace, found, say, problems)


def _spans(
    frame: Frame, trace: Trace, spec: StretchSpec, site: Site, say: Say, problems: list[Problem]
) -> list[tuple[float, float]]:
    """From which station to which a part lies [m]; two where it goes over the beginning of a loop; none where wrong."""
    places = [_station(frame, trace, place, site) for place in (spec.start, spec.end)]
    length = sum(frame.legs[k].length for k in frame.legs_of[trace.index])
    for at, (from_m, point) in zip(places, (spec.start, spec.end), strict=True):
        if at is None:
            names = ", ".join(vertex.name for vertex in trace.vertices if vertex.name)
            problems.append(
                Problem(
                    "stretch-off-run",
                    f"a stretch of run {trace.spec.name} begins or ends beyond the straight piece after its point",
                    spec.at,
                    found=f"{say.m(from_m)} from {point}" if from_m else point,
                    allowed=f"a place on the straight piece after one of: {names}",
                    hint="count from the point before it, as for gates",
                )
            )
    start, end = places
    if start is None or end is None:
        return []
    if trace.closed and end <= start + _SAME:
        return [(a, b) for a, b in ((start, length), (0.0, end)) if b - a > _SAME]
    start, end = sorted((start, end))
    if end - start > _SAME:
        return [(start, end)]
    problems.append(Problem("stretch-empty", f"a stretch of run {trace.spec.name} ends where it begins", spec.at))
    return []


def _station(frame: Frame, trace: Trace, place: tuple[float, str], site: Site) -> float | None:
    """The station of a place along a run [m], read as that of a gate; None where it is not on the piece it means."""
    way = way_from(frame, trace, place[1], site)
    if way is None:
        return None
    forward, legs, _ = way
    leg, begins = next(((leg, at) for leg, at in reversed(legs) if place[0] >= at), legs[0])
    along = max(place[0] - begins, 0.0)
    if along > leg.length + TOUCH:
        return None
    along = min(along, leg.length)
    return leg.from_m + (along if forward else leg.length - along)


def _overlap(trace: Trace, one: StretchSpec, two: StretchSpec, by_m: float, say: Say) -> Problem:
    return Problem(
        "stretches-overlap",
        f"two stretches of run {trace.spec.name} lie over each other",
        two.at,
        found=f"{one.follows} and {two.follows} over {say.m(by_m)}",
        allowed="one way to follow the ground at every place",
    )


def _set_changes(
    frame: Frame, trace: Trace, found: list[tuple[float, float, StretchSpec]], say: Say, problems: list[Problem]
) -> None:
    """A fixed post at every end of a part where the fence follows the ground in two ways."""
    specs = {at: spec for start, end, spec in found for at in (start, end)}
    for at in sorted(specs):
        sides = at - 2.0 * _SAME, at + 2.0 * _SAME
        before, after = (trace.follows_at(side) or "best" for side in sides)
        alike = before == after and trace.steps_at(sides[0]) == trace.steps_at(sides[1])
        leg = next(
            (leg for k in frame.legs_of[trace.index] if (leg := frame.legs[k]).from_m < at < leg.from_m + leg.length),
            None,
        )
        if leg is None or alike:
            continue
        gate = next((o for o in leg.openings if o.low_m < at - leg.from_m < o.high_m), None)
        if gate is not None:
            problems.append(
                Problem(
                    "stretch-in-gate",
                    f"a stretch of run {trace.spec.name} begins or ends in the opening of gate {gate.name}",
                    specs[at].at,
                    found=f"{say.m(at)} along the run",
                    allowed=f"up to {say.m(leg.from_m + gate.low_m)}, or from {say.m(leg.from_m + gate.high_m)} on",
                )
            )
            continue
        stands = stand_change(leg, at - leg.from_m, f"{before} to {after}")
        moved = leg.from_m + stands
        trace.parts = [
            replace(part, from_m=_moved(part.from_m, at, moved), to_m=_moved(part.to_m, at, moved))
            for part in trace.parts
        ]


def _moved(end: float, at: float, to: float) -> float:
    return to if abs(end - at) < _SAME else end


def stand_change(leg: LegFrame, at_m: float, change: str) -> float:
    """A post of its own at a station of a leg, or the fixed post that stands there already; its station [m]."""
    half = outline_of(leg.trace.kind.post("change")).half_width
    near = min(leg.fixed, key=lambda fixed: abs(fixed.at_m - at_m) - fixed.reach_m)
    if abs(near.at_m - at_m) < near.reach_m + half:
        return near.at_m
    place = sum(fixed.at_m < at_m for fixed in leg.fixed)
    leg.fixed.insert(place, Fixed(at_m, half, change=change))
    for opening in leg.openings:
        opening.low_post += opening.low_post >= place
        opening.high_post += opening.high_post >= place
    return at_m
