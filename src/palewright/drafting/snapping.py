"""Where a place under the mouse snaps to: points, lines, right angles, whole bays, round lengths; and typed lengths."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from palewright.drafting.hints import Hints
from palewright.drafting.sight_records import Item, Sight
from palewright.drafting.speech import Speech, settings_of
from palewright.model import Job
from palewright.notation import parse_length
from palewright.plane import XY, add, angle_between, distance, inside, left_of, line_meet, project, scale, sub, unit
from palewright.record import Record, other

__all__ = ["Aim", "Snap", "snap"]

_TURN = math.radians(5.0)
"""A direction this near a right angle or a straight line is taken for it (our own choice)."""
_ROUND = {"feet-inches": 0.3048, "decimal-feet": 0.3048, "metric": 0.1}
_SAME_M = 1e-6
_AT_M = 0.005
_EXACT_M = 1e-9
_HELD_M = 0.00029
"""How exactly a length is held by coordinates at marks; what is saved holds it to 0.3 mm."""
_LESS_M = 0.00006
"""Whole bays are this much shorter where no mark lies at their end: written to 0.03 mm they are not a hair too long."""
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

    inside
        the inset that it keeps, as it would be typed.

    to
        "point", "corner", "start", "line", "inset", "right angle", "whole bays", "round length", "typed length" or "";
        "abreast": square across from a post or an end of another fence, as the line goes that is drawn or lain on.
    """

    at: XY
    to: str = ""
    text: str = ""
    length: str = ""
    about: str = ""
    inside: str = ""


_NONE = Hints()


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
    bays = aim.what == "run" or not aim.so_far  # a corner of a run is dragged
    toward, said = _direction(sight, aim.at, chain, speech, aim.near_m)
    if aim.reads:
        length = float(parse_length(aim.reads, unit="m" if sight.print == "metric" else "ft").m)
        at = add(start, scale(toward, length))
        return _measured(Snap(at if said else _so_far(start, at, hints.mark), "typed length", said), start, speech)
    found = _on_line(sight, aim, hints, speech, (start, toward) if said else None)
    if found is not None:
        text = f"{said}, {found.text}" if said else found.text
        return _measured(Snap(found.at, found.to, text, "", found.about, found.inside), start, speech)
    far = project(aim.at, start, add(start, toward))[0]
    across = _abreast(sight, aim, add(start, scale(toward, far)), toward, speech)
    length, to, words = _length(sight.print, far, aim, hints, speech, bays)
    if said and not to:
        length = round(length / hints.mark) * hints.mark if hints.mark else length
    at = add(start, scale(toward, length))
    if across is not None and (to != "whole bays" or distance(across.at, aim.at) < distance(at, aim.at)):
        text = ", ".join(part for part in (said, across.text) if part)
        return _measured(Snap(across.at, "abreast", text, "", across.about), start, speech)
    if not said:
        at = _so_far(start, at, hints.mark, to != "whole bays") if to else _at_mark(at, hints.mark)
    if to == "whole bays" and distance(at, _at_mark(at, hints.mark)) > _SAME_M:
        at = add(start, scale(toward, length - _LESS_M)) if said else at
    text = ", ".join(part for part in (said, words) if part)
    return _measured(Snap(at, "right angle" if said else to, text), start, speech)


def _at_mark(at: XY, mark: float) -> XY:
    """The place whose coordinates are at marks of the tape."""
    return (round(at[0] / mark) * mark, round(at[1] / mark) * mark) if mark else at


def _so_far(start: XY, at: XY, mark: float, over: bool = True) -> XY:
    """The place at marks of the tape as far from the start, nearest by; itself where there is none.

    over
        it may be a hair further off, too.
    """
    if not mark:
        return at
    length, found = distance(start, at), []
    for axis in (0, 1):
        first = round(at[axis] / mark)
        for along in (k * mark for k in range(first - _HAND, first + _HAND + 1)):
            beside = math.sqrt(max(length**2 - (along - start[axis]) ** 2, 0.0))
            across = start[1 - axis] + math.copysign(beside, at[1 - axis] - start[1 - axis])
            place = _at_mark((along, across) if axis == 0 else (across, along), mark)
            beyond = distance(start, place) - length
            if -_HELD_M <= beyond <= (_HELD_M if over else _EXACT_M):
                found.append(place)
    return min(found, key=lambda place: distance(place, at), default=at)


def _measured(found: Snap, start: XY | None, speech: Speech) -> Snap:
    """The same with the length of the leg that it ends."""
    if start is None:
        return found
    return other(found, length=speech.length(distance(start, found.at)))


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


def _legs_at(sight: Sight, aim: Aim) -> list[tuple[Item, bool]]:
    """Legs of runs at a point that is dragged, and whether they end there."""
    item = next((one for one in sight.items if one.id == aim.about), None)
    if item is None or item.centre is None:
        return []
    legs = [one for one in sight.items if one.kind == "dimension" and one.id.startswith("leg ")]
    ends = [(leg, True) for leg in legs if distance(leg.points[-1], item.centre) < _AT_M]
    return [*ends, *((leg, False) for leg in legs if distance(leg.points[0], item.centre) < _AT_M)]


def _before(sight: Sight, aim: Aim) -> tuple[XY, ...]:
    """The places before a point that is dragged: those of the leg of a run that ends at it, or begins there."""
    for leg, ends in _legs_at(sight, aim)[:1]:
        if not ends:
            return (leg.points[-1],)
        earlier = (one for one in sight.items if one.kind == "dimension" and one.about == leg.about)
        return (*(one.points[0] for one in earlier if one.points[-1] == leg.points[0]), leg.points[0])[-2:]
    return ()


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


def _length(style: str, far: float, aim: Aim, hints: Hints, speech: Speech, run: bool) -> tuple[float, str, str]:
    """The length along a leg [m]: whole bays for a run, else a round one, else as it is."""
    if run:
        for bay in hints.bays:
            count = round(far / bay)
            if count and abs(count * bay - far) <= aim.near_m:
                return (
                    count * bay,
                    "whole bays",
                    speech("snap.bays" if count > 1 else "snap.bays_one", count=count, bay=speech.length(bay)),
                )
    step = _ROUND.get(style, 0.3048)
    whole = round(far / step) * step
    return (whole, "round length", "") if whole > 0.0 and abs(whole - far) <= aim.near_m else (far, "", "")


class _Line(NamedTuple):
    """A straight line worth falling on, what it is of, and what is said of it."""

    a: XY
    b: XY
    to: str
    text: str
    about: str
    inside: str = ""


def _lines(sight: Sight, aim: Aim, hints: Hints, speech: Speech) -> Iterator[_Line]:
    """Sides, their insets, walls of buildings, and runs, but those that what is dragged is a corner of."""
    held = next((item.centre for item in sight.items if item.id == aim.about and item.centre is not None), None)
    own = {aim.about, *(leg.about for leg, _ in _legs_at(sight, aim))}
    ring = [item.points[0] for item in sight.items if item.kind == "side"]
    for item in sight.items:
        if item.kind not in ("side", "building", "run") or item.arc is not None or item.id in own:
            continue
        name = item.id.removeprefix(f"{item.kind} ")
        corners = (*item.points, item.points[0]) if item.closed else item.points
        for a, b in itertools.pairwise(corners):
            if distance(a, b) < _SAME_M or (held is not None and min(distance(held, a), distance(held, b)) < _AT_M):
                continue
            yield _Line(a, b, "line", speech(f"snap.on_{item.kind}", name=name), item.id)
            for inset in hints.insets if item.kind == "side" else ():
                if inset.side in ("", item.id):
                    words = speech("snap.inset", name=name, inset=speech.length(inset.inset_m))
                    beside = scale(left_of(unit(sub(b, a))), inset.centre_m)
                    beside = (
                        beside if inside(add(scale(add(a, b), 0.5), scale(beside, 1e-3)), ring) else scale(beside, -1.0)
                    )
                    yield _Line(add(a, beside), add(b, beside), "inset", words, item.id, inset.text)


def _on_line(sight: Sight, aim: Aim, hints: Hints, speech: Speech, ray: tuple[XY, XY] | None = None) -> Snap | None:
    """The nearest place of a line within reach: at a mark along it, or where a ray from a place crosses it."""
    near = ((far, line, at) for line in _lines(sight, aim, hints, speech) for far, at in _fallen(line, aim.at, ray))
    far, line, at = min(near, key=lambda one: one[0], default=(math.inf, None, aim.at))
    if line is None or far > aim.near_m:
        return None
    if ray is None and not line.about.startswith("run "):
        across = _abreast(sight, aim, at, unit(sub(line.b, line.a)), speech)
        if across is not None:
            return Snap(across.at, "abreast", f"{line.text}, {across.text}", "", line.about, line.inside)
    return Snap(at if ray else _mark_along(line, at, hints.mark), line.to, line.text, "", line.about, line.inside)


def _fallen(line: _Line, at: XY, ray: tuple[XY, XY] | None) -> Iterator[tuple[float, XY]]:
    """Where a place falls on a line, or a ray crosses it, and how far that is from the place [m]."""
    if ray is None:
        station, offset = project(at, line.a, line.b)
        place, far = add(line.a, scale(unit(sub(line.b, line.a)), station)), abs(offset)
    else:
        met = line_meet(*ray, line.a, unit(sub(line.b, line.a)))
        if met is None or met[0] <= 0.0:
            return
        station, place = met[1], add(ray[0], scale(ray[1], met[0]))
        far = distance(place, at)
    if 0.0 <= station <= distance(line.a, line.b):
        yield far, place


def _mark_along(line: _Line, at: XY, mark: float) -> XY:
    """The place of a line nearest by that has one coordinate at a mark of the tape."""
    way = unit(sub(line.b, line.a))
    axis = 0 if abs(way[0]) >= abs(way[1]) else 1
    moved = (_at_mark(at, mark)[axis] - at[axis]) / way[axis]
    place = add(at, scale(way, moved))
    return place if 0.0 <= project(place, line.a, line.b)[0] <= distance(line.a, line.b) else at


def _abreast(sight: Sight, aim: Aim, at: XY, way: XY, speech: Speech) -> Snap | None:
    """The place within reach, on a line through ``at``, that is square across from a post or an end of another fence.

    Only where a fence is drawn, and none where what it is across from lies on the line itself. Ends come first.
    """
    if aim.what != "run":
        return None
    near: list[tuple[bool, float, XY, Item]] = []
    for item in sight.items:
        ends = item.kind == "run" and not item.closed
        if ends:
            ones: tuple[XY, ...] = (item.points[0], item.points[-1]) if item.points else ()
        elif item.kind == "post" and item.centre is not None:
            ones = (item.centre,)
        else:
            continue
        for one in ones:
            along, beside = project(one, at, add(at, way))
            place = add(at, scale(way, along))
            far = distance(place, aim.at)
            if far <= aim.near_m and abs(beside) > _SAME_M and (ends or abs(beside) <= _BESIDE_M):
                near.append((not ends, far, place, item))
    if not near:
        return None
    _, _, place, item = min(near, key=lambda one: one[:2])
    said = "snap.abreast_end" if item.kind == "run" else "snap.abreast_post"
    return Snap(place, "abreast", speech(said, name=item.id.split(" ", 1)[-1]), "", item.id)
