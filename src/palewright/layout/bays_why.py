"""Why a leg cannot be divided, and the smallest change that would make it fit."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right

from palewright.errors import PalewrightError
from palewright.layout.bays_ground import TOLERANCE_M, Block, Ground, Interval, joined, lay_ground
from palewright.record import Record

__all__ = ["Fix", "NoDivision", "explain_none", "passable"]


#: An end is moved by this much more than the limit itself, so that rounding does not undo it [m].
_NUDGE_M = 1e-7


class Fix(Record):
    """One change that would make it fit.

    what
        "end" (the fixed post at the end of the leg moves), "zone" (one edge of it gives way), "post" or "given bay".
    name
        of the zone, or "".
    edge
        "start" or "end" of it.
    move_m
        by how much [m], to 1e-6 m; direction: "longer", "shorter" (the leg or the bay), "back", "on" (along the leg).
    """

    what: str
    name: str
    edge: str
    move_m: float
    direction: str


class NoDivision(PalewrightError):  # noqa: N818 - an answer with a reason, not a fault
    """No way to stand the posts keeps every hard rule.

    cause
        "length", "longest bay", "shortest bay", "zone" or "given bays"; ``zone``: its name or "".
    fixes
        changes that would make it fit, each by itself, smallest first.
    """

    def __init__(self, cause: str, zone: str = "", fixes: tuple[Fix, ...] = ()) -> None:
        self.cause = cause
        self.zone = zone
        self.fixes = fixes
        super().__init__(f"no division: {cause}" + (f" {zone}" if zone else ""))


def reachable(ground: Ground, shortest: float, longest: float) -> list[list[Interval]]:
    """Stations where a post can stand, by number of bays from the start, as far as the leg (and a bay more) goes.

    A stretch that fewer bays reach already is left out: it leads nowhere new.
    """
    free = ground.standable()
    ends = [b for _, b in free]
    lo, hi = shortest - TOLERANCE_M, longest + TOLERANCE_M
    limit = ground.length_m + longest
    layers: list[list[Interval]] = [[(0.0, 0.0)]]
    seen: list[Interval] = []
    while layers[-1]:
        spans: list[Interval] = []
        for a, b in layers[-1]:
            u, v = a + lo, min(b + hi, limit)
            g = bisect_left(ends, u)
            while g < len(free) and free[g][0] <= v and u <= v:
                spans.append((max(u, free[g][0]), min(v, free[g][1])))
                g += 1
        spans = [span for span in joined(spans) if not _within(seen, span)]
        if spans:
            first = max(0, bisect_left(seen, (spans[0][0], spans[0][0])) - 1)
            seen[first:] = joined([*seen[first:], *spans])
        layers.append(spans)
    return layers[:-1]


def _within(seen: list[Interval], span: Interval) -> bool:
    """Whether one of the intervals, which are apart and rising, holds the span (to a tenth of the tolerance)."""
    at = bisect_right(seen, (span[0] + TOLERANCE_M / 10, math.inf)) - 1
    return at >= 0 and seen[at][0] <= span[0] + TOLERANCE_M / 10 and span[1] <= seen[at][1] + TOLERANCE_M / 10


def passable(ground: Ground, shortest: float, longest: float) -> bool:
    """Whether any number of bays gets from one end to the other."""
    end = ground.length_m
    lo, hi = shortest - TOLERANCE_M, longest + TOLERANCE_M
    return any(a + lo <= end <= b + hi for spans in reachable(ground, shortest, longest) for a, b in spans)


def explain_none(ground: Ground, shortest: float, longest: float) -> NoDivision:
    """Name the cause and the smallest changes, for a leg that cannot be divided."""
    fixes = [*_move_end(ground, shortest, longest)]
    free = lay_ground(ground.length_m, ())
    if not passable(free, shortest, longest):
        return NoDivision("shortest bay", "", tuple(sorted(fixes, key=lambda f: f.move_m)))
    names = []
    furthest = max(b for spans in reachable(ground, shortest, longest) for _, b in spans)
    # bays that may vary by half of the longest forget within a few bays what lies behind them
    behind = furthest - 4.0 * longest if shortest <= longest / 2.0 else -longest
    for block in ground.blocks:
        near = block.end_m >= behind and block.start_m <= furthest + longest
        if near and block.kind == "no hole" and _without(ground, block, None, shortest, longest):
            names.append(block.name)
            fixes += _narrow(ground, block, shortest, longest)
    fixes.sort(key=lambda f: f.move_m)
    zone = next(
        (fix.name for fix in fixes if fix.what == "zone"), names[0] if names else _dead_end(ground, shortest, longest)
    )
    return NoDivision("zone", zone, tuple(fixes))


def _dead_end(ground: Ground, shortest: float, longest: float) -> str:
    """The no-hole zone in which the reachable stations run out."""
    furthest = max(b for spans in reachable(ground, shortest, longest) for _, b in spans)
    ahead = [b for b in ground.blocks if b.kind == "no hole" and b.end_m > furthest]
    return min(ahead, key=lambda b: b.start_m).name if ahead else ""


def _without(ground: Ground, block: Block, change: Block | None, shortest: float, longest: float) -> bool:
    """Whether it fits with one block taken away, or changed."""
    blocks = [b for b in ground.blocks if b is not block]
    if change is not None:
        blocks.append(change)
    return passable(lay_ground(ground.length_m, blocks), shortest, longest)


def _narrow(ground: Ground, block: Block, shortest: float, longest: float) -> list[Fix]:
    """How far one edge of a block must give way, by halving to 1e-7 m; each edge by itself."""
    fixes = []
    for edge in ("start", "end"):
        low, high = 0.0, block.end_m - block.start_m
        while high - low > 1e-7:
            middle = (low + high) / 2.0
            if edge == "start":
                change = Block(block.start_m + middle, block.end_m, block.kind, block.name)
            else:
                change = Block(block.start_m, block.end_m - middle, block.kind, block.name)
            if _without(ground, block, change, shortest, longest):
                high = middle
            else:
                low = middle
        fixes.append(Fix("zone", block.name, edge, high, "on" if edge == "start" else "back"))
    return fixes


def _move_end(ground: Ground, shortest: float, longest: float) -> list[Fix]:
    """How far the end post must move, shorter and longer: the nearest stations that some number of bays reaches."""
    end = ground.length_m
    lo, hi = shortest - TOLERANCE_M, longest + TOLERANCE_M
    shorter, longer = -1.0, -1.0
    for spans in reachable(ground, shortest, longest):
        for a, b in spans:
            u, v = a + lo, b + hi
            within = min(_NUDGE_M, (v - u) / 2.0)
            if v <= end and (shorter < 0.0 or end - v + within < shorter):
                shorter = end - v + within
            if u >= end and (longer < 0.0 or u - end + within < longer):
                longer = u - end + within
    fixes = []
    if shorter >= 0.0:
        fixes.append(Fix("end", "", "end", shorter, "shorter"))
    if longer >= 0.0:
        fixes.append(Fix("end", "", "end", longer, "longer"))
    return fixes
