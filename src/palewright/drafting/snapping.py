"""Where a place under the mouse snaps to: points, lines, right angles, whole bays, round lengths; and typed lengths."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterator, Sequence
from contextlib import suppress

from palewright.drafting.sight_records import Item, Sight
from palewright.drafting.speech import Speech, settings_of
from palewright.drafting.taped import mark_m
from palewright.errors import ProblemError
from palewright.layout.kinds import resolve
from palewright.model import Job
from palewright.notation import parse_length
from palewright.plane import XY, add, angle_between, distance, inside, left_of, project, scale, sub, unit
from palewright.record import Record

__all__ = ["Aim", "Hints", "Snap", "hints_of", "snap"]

_TURN = math.radians(5.0)
"""A direction this near a right angle or a straight line is taken for it (our own choice)."""
_ROUND = {"feet-inches": 0.3048, "decimal-feet": 0.3048, "metric": 0.1}
_SAME_M = 1e-6
_HELD_M = 0.00029
"""How exactly a length is held by coordinates at marks; what is saved holds it to 0.3 mm."""
_HAND = 32
"""How many marks a place may be beside the direction meant, to hold a length: 4 in of an eighth each."""
_BESIDE_M = 3.05
"""A post no further off than this, 10 ft, is beside a place (our own choice); an end of a fence may be anywhere."""


class Aim(Record):
    """What a hand points at: ``at`` [m], ``near_m`` how far it reaches, ``what`` it is about to place.

    so_far
        the places of the chain that is being drawn, the last of them its start. about: the thing that is dragged.
    reads
        a length that was typed: it wins over the mouse, whose direction stays.
    """

    at: XY
    near_m: float
    what: str = "point"
    so_far: tuple[XY, ...] = ()
    about: str = ""
    reads: str = ""


class Snap(Record):
    """Where it falls [m], what it fell on, words for it, the length of the leg that it ends, the thing that it fell on.

    to
        "point", "corner", "start", "line", "inset", "right angle", "whole bays", "round length", "typed length" or "";
        "abreast": square across from a post or an end of another fence, as the line goes that is drawn or lain on.
    """

    at: XY
    to: str = ""
    text: str = ""
    length: str = ""
    about: str = ""


class Hints(Record):
    """Lengths of a job that are worth snapping to [m]: longest bays, insets of its runs; the mark of its tape."""

    bays: tuple[float, ...] = ()
    insets: tuple[float, ...] = ()
    mark: float = 0.0


_NONE = Hints()


def hints_of(job: Job) -> Hints:
    """The lengths that a job asks for; a fence that cannot be read has none."""
    bays = set()
    for spec in job.fences:
        with suppress(ProblemError):
            bays.add(resolve(spec).longest_m)
    insets = {run.inset.distance_m for run in job.runs if run.inset is not None}
    mark = mark_m(job.print_style, job.fraction)
    return Hints(tuple(sorted(bay for bay in bays if bay > 0.0)), tuple(sorted(insets)), mark)


@functools.lru_cache(maxsize=64)
def _speech(printed: str, language: str) -> Speech:
    return Speech(settings_of(Job("", print_style=printed)), language)


def snap(sight: Sight, aim: Aim, hints: Hints = _NONE) -> Snap:
    """The nearest thing worth falling on, or the place itself.

    A named point or a corner comes first, then a typed length, then a direction, then a length along it, then a line.
    What falls on nothing is at a mark of the tape, so that it stands where it will be saved; where only the length
    counts, the place nearest by that has it and is at a mark.
    Raises ProblemError when a typed length cannot be read.
    """
    speech = _speech(sight.print, sight.language)
    chain = aim.so_far or _before(sight, aim)
    start = chain[-1] if chain else None
    point = None if aim.reads else _point(sight, aim, speech)
    if point is not None:
        return _measured(point, start, speech)
    if start is None or distance(start, aim.at) < _SAME_M:
        return _on_line(sight, aim, hints, speech) or Snap(_at_mark(aim.at, hints.mark))
    toward, said = _direction(sight, aim.at, chain, speech, aim.near_m)
    if aim.reads:
        length = float(parse_length(aim.reads, unit="m" if sight.print == "metric" else "ft").m)
        at = add(start, scale(toward, length))
        return _measured(Snap(at if said else _so_far(start, at, hints.mark), "typed length", said), start, speech)
    if not said:
        found = _on_line(sight, aim, hints, speech)
        if found is not None:
            return _measured(found, start, speech)
    far = project(aim.at, start, add(start, toward))[0]
    across = _abreast(sight, aim, add(start, scale(toward, far)), toward, speech)
    length, to, words = _length(sight.print, far, aim, hints, speech)
    at = add(start, scale(toward, length))
    if across is not None and (to != "whole bays" or distance(across.at, aim.at) < distance(at, aim.at)):
        text = ", ".join(part for part in (said, across.text) if part)
        return _measured(Snap(across.at, "abreast", text, "", across.about), start, speech)
    if not said:
        at = _so_far(start, at, hints.mark) if to else _at_mark(at, hints.mark)
    text = ", ".join(part for part in (said, words) if part)
    return _measured(Snap(at, "right angle" if said else to, text), start, speech)


def _at_mark(at: XY, mark: float) -> XY:
    """The place whose coordinates are at marks of the tape."""
    return (round(at[0] / mark) * mark, round(at[1] / mark) * mark) if mark else at


def _so_far(start: XY, at: XY, mark: float) -> XY:
    """The place at marks of the tape as far from the start, nearest by; itself where there is none."""
    if not mark:
        return at
    length, found = distance(start, at), []
    for axis in (0, 1):
        first = round(at[axis] / mark)
        for along in (k * mark for k in range(first - _HAND, first + _HAND + 1)):
            beside = math.sqrt(max(length**2 - (along - start[axis]) ** 2, 0.0))
            across = start[1 - axis] + math.copysign(beside, at[1 - axis] - start[1 - axis])
            place = _at_mark((along, across) if axis == 0 else (across, along), mark)
            if abs(distance(start, place) - length) <= _HELD_M:
                found.append(place)
    return min(found, key=lambda place: distance(place, at), default=at)


def _measured(found: Snap, start: XY | None, speech: Speech) -> Snap:
    """The same with the length of the leg that it ends."""
    if start is None:
        return found
    return Snap(found.at, found.to, found.text, speech.length(distance(start, found.at)), found.about)


def _point(sight: Sight, aim: Aim, speech: Speech) -> Snap | None:
    """The nearest named point, corner of the property, corner of a building, or place of the chain itself."""
    near: list[tuple[float, Snap]] = []
    for item in sight.items:
        if item.id != aim.about and item.centre is not None and item.kind in ("point", "corner"):
            near.append((distance(item.centre, aim.at), Snap(item.centre, "point", item.text or item.id, "", item.id)))
        elif item.kind == "building" and item.id != aim.about:
            said = speech("snap.corner_of", what=item.text or item.id)
            near += [(distance(p, aim.at) + _SAME_M, Snap(p, "corner", said, "", item.id)) for p in item.points]
    near += [(distance(p, aim.at), Snap(p, "start", speech("snap.start"))) for p in aim.so_far[:1]]
    far, found = min(near, key=lambda one: one[0], default=(math.inf, None))
    return found if far <= aim.near_m else None


def _before(sight: Sight, aim: Aim) -> tuple[XY, ...]:
    """The places before a point that is dragged: those of the leg of a run that ends at it, or begins there."""
    item = next((one for one in sight.items if one.id == aim.about), None)
    if item is None or item.centre is None:
        return ()
    legs = [one for one in sight.items if one.kind == "dimension" and one.id.startswith("leg ")]
    for leg in legs:
        if distance(leg.points[-1], item.centre) < aim.near_m:
            earlier = [one for one in legs if one.about == leg.about and one.points[-1] == leg.points[0]]
            return (*(one.points[0] for one in earlier[:1]), leg.points[0])
    return next((leg.points[-1:] for leg in legs if distance(leg.points[0], item.centre) < aim.near_m), ())


def _directions(sight: Sight, chain: Sequence[XY]) -> Iterator[tuple[XY, str]]:
    """Directions worth keeping to: of the leg before, of walls and sides; each straight on and square."""
    if len(chain) > 1 and distance(chain[-2], chain[-1]) > _SAME_M:
        yield unit(sub(chain[-1], chain[-2])), "leg"
    for item in sight.items:
        if item.kind in ("side", "building") and len(item.points) > 1 and item.arc is None:
            ring = (*item.points, item.points[0]) if item.closed else item.points
            for a, b in itertools.pairwise(ring):
                if distance(a, b) > _SAME_M:
                    yield unit(sub(b, a)), item.kind


def _direction(sight: Sight, at: XY, chain: Sequence[XY], speech: Speech, near_m: float) -> tuple[XY, str]:
    """The direction from the end of the chain, turned to the nearest one worth keeping to, and words for it."""
    start = chain[-1]
    meant, far = unit(sub(at, start)), distance(start, at)
    best, said = meant, ""
    least = min(_TURN, math.asin(min(1.0, near_m / far)) if far > near_m else _TURN)
    for one, of in _directions(sight, chain):
        ways = (
            (one, "straight"),
            (left_of(one), "square"),
            (scale(one, -1.0), "straight"),
            (scale(left_of(one), -1.0), "square"),
        )
        for way, how in ways:
            turn = angle_between(way, meant)
            if turn < least - 1e-12:
                best, least, said = way, turn, speech(f"snap.{how}_{of}")
    return best, said


def _length(style: str, far: float, aim: Aim, hints: Hints, speech: Speech) -> tuple[float, str, str]:
    """The length along a leg [m]: whole bays for a run, else a round one, else as it is."""
    if aim.what == "run":
        for bay in hints.bays:
            count = round(far / bay)
            if count and abs(count * bay - far) <= aim.near_m:
                return count * bay, "whole bays", speech("snap.bays", count=count, bay=speech.length(bay))
    step = _ROUND.get(style, 0.3048)
    whole = round(far / step) * step
    return (whole, "round length", "") if whole > 0.0 and abs(whole - far) <= aim.near_m else (far, "", "")


def _on_line(sight: Sight, aim: Aim, hints: Hints, speech: Speech) -> Snap | None:
    """The nearest side, inset of a side, wall of a building, or run."""
    near: list[tuple[float, Snap, XY]] = []
    ring = [item.points[0] for item in sight.items if item.kind == "side"]
    for item in sight.items:
        if item.kind not in ("side", "building", "run") or item.arc is not None or item.id == aim.about:
            continue
        name = item.id.removeprefix(f"{item.kind} ")
        words = speech(f"snap.on_{item.kind}", name=name)
        near += [(far, Snap(at, "line", words, "", item.id), way) for far, at, way in _feet(item, aim.at, 0.0)]
        if item.kind == "side":
            for inset in hints.insets:
                words = speech("snap.inset", name=name, inset=speech.length(inset))
                feet = (*_feet(item, aim.at, inset), *_feet(item, aim.at, -inset))
                near += [(far, Snap(at, "inset", words, "", item.id), way) for far, at, way in feet if inside(at, ring)]
    far, found, way = min(near, key=lambda one: one[0], default=(math.inf, Snap(aim.at), (0.0, 0.0)))
    if far > aim.near_m:
        return None
    across = None if found.about.startswith("run ") else _abreast(sight, aim, found.at, way, speech)
    return found if across is None else Snap(across.at, "abreast", f"{found.text}, {across.text}", "", across.about)


def _abreast(sight: Sight, aim: Aim, at: XY, way: XY, speech: Speech) -> Snap | None:
    """The place within reach, on a line through ``at``, that is square across from a post or an end of another fence.

    Only where a fence is drawn, and none where what it is across from lies on the line itself. Ends come first.
    """
    if aim.what != "run":
        return None
    near: list[tuple[bool, float, Snap]] = []
    for item in sight.items:
        ends = () if item.kind != "run" or item.closed else (item.points[0], item.points[-1]) if item.points else ()
        posts = (item.centre,) if item.kind == "post" and item.centre is not None else ()
        said = speech("snap.abreast_end" if ends else "snap.abreast_post", name=item.id.split(" ", 1)[-1])
        for one in (*ends, *posts):
            along, beside = project(one, at, add(at, way))
            place = add(at, scale(way, along))
            if abs(beside) > _SAME_M and (ends or abs(beside) <= _BESIDE_M):
                near.append((not ends, distance(place, aim.at), Snap(place, "abreast", said, "", item.id)))
    return min((one for one in near if one[1] <= aim.near_m), key=lambda one: one[:2], default=(False, 0.0, None))[2]


def _feet(item: Item, at: XY, beside: float) -> Iterator[tuple[float, XY, XY]]:
    """How far a place is from the parts of a line, ``beside`` it to the left [m], where it falls, and their ways."""
    ring = (*item.points, item.points[0]) if item.closed else item.points
    for a, b in itertools.pairwise(ring):
        if distance(a, b) < _SAME_M:
            continue
        station, offset = project(at, a, b)
        if 0.0 <= station <= distance(a, b):
            way = unit(sub(b, a))
            yield abs(offset - beside), add(add(a, scale(way, station)), scale(left_of(way), beside)), way
