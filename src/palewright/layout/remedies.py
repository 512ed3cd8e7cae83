"""What to change where nothing fits: the smallest moves, each tried before it is told."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.errors import Problem
from palewright.layout.bays import BayRules, Block, Fix, NoDivision, divide_between
from palewright.layout.frame import Fixed, Frame, LegFrame
from palewright.layout.say import Say
from palewright.layout.zones import TOUCHING, ZoneBox, spans
from palewright.record import Record

__all__ = ["Tried", "named", "no_room", "posts_overlap"]

_TRIES = 12
_FAR = 1e6


class Tried(Record):
    """The stretch that could not be divided [m], measured as bays are: level, or along the slope.

    Its fixed posts, where it begins and its length, the rules, and the given bays at both ends.
    """

    one: Fixed
    two: Fixed
    begin_m: float
    length_m: float
    rules: BayRules
    first: Sequence[float]
    last: Sequence[float]


def named(frame: Frame, fixed: Fixed) -> str:
    """How a problem names a fixed post."""
    if fixed.node is not None:
        return f"the one at {frame.nodes[fixed.node].thing}"
    if fixed.change:
        return f"the one of the change from {fixed.change}"
    return "the one of gate " + " and ".join(fixed.gates)


def no_room(
    frame: Frame, leg: LegFrame, tried: Tried, boxes: Sequence[ZoneBox], error: NoDivision, say: Say
) -> Problem:
    """Nothing fits between two fixed posts: which zone or rule is the cause, and the smallest move that helps."""
    one, two = tried.one, tried.two
    fixes = []
    for fix in error.fixes:
        move = _end_move(frame, leg, tried, boxes, fix, say) if fix.what == "end" else fix.move_m
        if move is not None:
            fixes.append(Fix(fix.what, fix.name, fix.edge, move, fix.direction))
    fixes.sort(key=lambda fix: fix.move_m)
    spec = leg.trace.spec
    kind = leg.trace.kind
    shortest = kind.shortest_m if spec.shortest_m is None else spec.shortest_m
    cause = {
        "zone": f"{error.zone or 'a zone'} is in the way, and no bay may be longer than {say.m(kind.longest_m)}",
        "longest bay": f"a given bay is longer than the longest bay, {say.m(kind.longest_m)}",
        "shortest bay": f"a bay would be shorter than {say.m(shortest)}",
        "given bays": "the given bays are longer together than the room for them",
    }.get(error.cause, error.cause)
    return Problem(
        "no-room",
        f"no way to stand the posts of run {spec.name} between {named(frame, one)} and {named(frame, two)}",
        spec.at,
        found=f"{say.m(two.at_m - one.at_m)} between their centres, and {cause}",
        allowed=f"bays of {say.m(shortest)} to {say.m(kind.longest_m)}",
        hint="; or ".join(_remedy(fix, named(frame, two), say) for fix in fixes[:3]) or _around(error),
    )


def _around(error: NoDivision) -> str:
    """What is left where no one move helps."""
    if error.cause == "zone":
        return f"no one move helps: lead the run round {error.zone or 'that ground'}, or check its width"
    return "no one move helps: change the longest or the shortest bay, or the given bays"


def _remedy(fix: Fix, far: str, say: Say) -> str:
    """One change that would make it fit, in words."""
    move = say.m(fix.move_m)
    if fix.what == "zone":
        return f"the {fix.edge} of {fix.name} gives way by {move}"
    if fix.what == "post":
        return f"move the post after the given bays {move} {fix.direction}"
    if fix.what == "given bay":
        return f"make the given bay {move} shorter"
    return f"move {far} so that the piece is {move} {fix.direction}"


def _end_move(frame: Frame, leg: LegFrame, tried: Tried, boxes: Sequence[ZoneBox], fix: Fix, say: Say) -> float | None:
    """How far the end of a stretch must move so that it can be divided and its own holes are clear of the zones [m].

    In whole marks, as it is told. A gate moves with its post. None where no such move was found.
    """
    hard = [box for box in boxes if box.zone.kind in ("no hole", "pin")]
    sign = -1.0 if fix.direction == "shorter" else 1.0
    two = tried.two
    holes = _holes(frame, leg, two, hard)
    radius = leg.trace.kind.hole("line").diameter_m / 2.0
    blocks = [
        Block(leg.along(low) - tried.begin_m, leg.along(high) - tried.begin_m, "no hole", box.zone.name)
        for box in hard
        for low, high in spans(box, leg.a, leg.d, _FAR, radius)
    ]
    move = say.up(fix.move_m)
    for _ in range(_TRIES):
        move = _clear(move, sign, holes, say)
        length = tried.length_m + sign * move
        if two.at_m + sign * move - tried.one.at_m < tried.one.reach_m + two.reach_m + say.mark:
            return None  # the two posts would stand in each other
        ahead = [block for block in blocks if block.end_m > 0.0 and block.start_m < length]
        try:
            divide_between(length, tried.rules, ahead, tried.first, tried.last)
        except NoDivision as error:
            more = next((f.move_m for f in error.fixes if f.what == "end" and f.direction == fix.direction), None)
            if more is None:
                return None
            move = max(say.up(move + more), move + say.mark)
        else:
            return move
    return None


def _holes(frame: Frame, leg: LegFrame, two: Fixed, hard: Sequence[ZoneBox]) -> list[tuple[float, float, float]]:
    """Where the holes that move together must not come: station of the hole and both ends of the span [m]."""
    gate = leg.trace.kind.hole("gate").diameter_m / 2.0
    holes: list[tuple[float, float]] = []
    if two.node is None:
        holes.append((two.at_m, gate))
        index = leg.fixed.index(two)
        for opening in leg.openings:
            other = leg.fixed[opening.high_post]
            if opening.low_post == index and other.node is None:
                holes.append((other.at_m, gate))
    elif not frame.nodes[two.node].bracket:
        holes.append((two.at_m, frame.nodes[two.node].radius))
    return [
        (at, low, high) for at, radius in holes for box in hard for low, high in spans(box, leg.a, leg.d, _FAR, radius)
    ]


def _clear(move: float, sign: float, holes: Sequence[tuple[float, float, float]], say: Say) -> float:
    """The smallest move of at least this much that brings every hole out of every span [m]."""
    moved = True
    while moved:
        moved = False
        for at, low, high in holes:
            if low + TOUCHING < at + sign * move < high - TOUCHING:
                move = max(say.up(at - low if sign < 0.0 else high - at), move + say.mark)
                moved = True
    return move


def posts_overlap(frame: Frame, leg: LegFrame, one: Fixed, two: Fixed, say: Say) -> Problem:
    """Two neighbouring fixed posts stand in each other, or touch; of a gate beside it, a start that fits."""
    spec = leg.trace.spec
    least = one.reach_m + two.reach_m
    gap = two.at_m - one.at_m
    return Problem(
        "posts-overlap",
        f"two posts of run {spec.name} would stand in each other: {named(frame, one)}, {named(frame, two)}",
        spec.at,
        found=f"{say.m(gap)} between their centres",
        allowed=f"more than {say.m(least)}",
        hint=_gate_start(leg, one, two, least - gap, say) or f"move one of them by {say.m(say.beyond(least - gap))}",
    )


def _gate_start(leg: LegFrame, one: Fixed, two: Fixed, over: float, say: Say) -> str:
    """The nearest start, in whole marks, at which a gate clears the post beside it by something; "" if none does."""
    for opening in leg.openings:
        low, high = leg.fixed[opening.low_post], leg.fixed[opening.high_post]
        if low.node is not None or high.node is not None or len(low.gates) > 1 or len(high.gates) > 1:
            continue
        if low is two:
            beside = leg.fixed[opening.high_post + 1]
            room = beside.at_m - high.at_m - beside.reach_m - high.reach_m
        elif high is one:
            beside = leg.fixed[opening.low_post - 1]
            room = low.at_m - beside.at_m - low.reach_m - beside.reach_m
        else:
            continue
        later = (low is two) == opening.forward
        now = opening.spec.starts_m
        start = say.beyond(now + over) if later else say.short_of(now - over)
        if start < 0.0 or abs(start - now) >= room:
            continue
        what = "its middle" if opening.spec.reference == "centre" else "it"
        place = f" from {opening.spec.from_point}" if opening.spec.from_point else ""
        return f"start gate {opening.name} so that {what} lies at {'least' if later else 'most'} {say.m(start)}{place}"
    return ""
