"""What a post may stand on along one straight leg: stations sorted by what a hole there costs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from palewright.record import Record

__all__ = ["BARRED", "HAND", "PAINT", "TOLERANCE_M", "Block", "Ground", "Interval", "Piece", "joined", "lay_ground"]

#: Two stations closer than this are one station, and a bay may miss its limit by this much [m].
TOLERANCE_M: Final = 1e-9

#: What a post costs inside a paint margin, and in a hand-dig zone: one of the second outweighs any number of the first.
PAINT: Final = 1
HAND: Final = 1 << 20
BARRED: Final = 1 << 60

_COSTS: Final = {"no hole": BARRED, "hand dig": HAND, "paint": PAINT}

Interval = tuple[float, float]


class Block(Record):
    """Stations that a post centre should keep out of, already widened by the hole's radius [m].

    kind
        "no hole" (never inside), "hand dig" (inside as seldom as possible) or "paint" (the margin round a zone, zone
        included: inside as seldom as possible where that costs no post and no hand-dug hole).
    name
        the zone, as a person named it.
    The edges themselves are allowed. A block beyond the ends of the leg, or one without width, has no effect.
    """

    start_m: float
    end_m: float
    kind: str
    name: str

    def __post_init__(self) -> None:
        if self.kind not in ("no hole", "hand dig", "paint"):
            raise ValueError(f"a block is 'no hole', 'hand dig' or 'paint', not {self.kind!r}")
        if not self.start_m <= self.end_m:
            raise ValueError(f"block {self.name!r} ends ({self.end_m}) before it starts ({self.start_m})")


#: start and end [m], and what a post inside costs
Piece = tuple[float, float, int]


class Ground(NamedTuple):
    """The leg as seen by a post: ``pieces`` that cost something or lie between such, rising; the blocks ``given``.

    ``bars``: the pieces that cost something, joined where they touch, each with the least that standing in it costs.
    ``soft``, ``paint``: whether there are blocks that a post may stand in at a price, and paint margins among them.
    """

    length_m: float
    bars: Sequence[Piece]
    pieces: Sequence[Piece]
    given: Sequence[Block]
    soft: bool = False
    paint: bool = False

    @property
    def blocks(self) -> list[Block]:
        """The blocks that count: wider than nothing, and not beyond the ends of the leg."""
        end = self.length_m - TOLERANCE_M
        return [
            b for b in self.given if b.start_m < end and b.end_m > TOLERANCE_M and b.end_m - b.start_m > TOLERANCE_M
        ]

    def cost(self, station_m: float) -> int:
        """What a post costs at a station: 0 on free ground or on an edge of it, -1 where no post may stand."""
        best = 0
        for start, end, cost in self.pieces:
            if start + TOLERANCE_M < station_m < end - TOLERANCE_M:
                best = cost
                break
        else:
            touching = [c for a, b, c in self.pieces if a - TOLERANCE_M <= station_m <= b + TOLERANCE_M]
            if len(touching) > 1:
                best = min(touching)
        return -1 if best >= BARRED else best

    def named(self, station_m: float) -> str:
        """The zone one of whose edges is at a station, or ""; hard zones before soft ones."""
        low, high = station_m - 4 * TOLERANCE_M, station_m + 4 * TOLERANCE_M
        name, worth = "", 0
        for block in self.given:
            a, b = block.start_m, block.end_m
            if (low <= a <= high or low <= b <= high) and b - a > TOLERANCE_M:
                cost = _COSTS[block.kind]
                if cost > worth:
                    name, worth = block.name, cost
        return name

    def around(self, station_m: float) -> str:
        """The zone that a station is inside, or ""; hard zones before soft ones."""
        inside = [b for b in self.blocks if b.start_m < station_m < b.end_m]
        return min(inside, key=lambda block: -_COSTS[block.kind]).name if inside else ""

    def next_zone(self, station_m: float) -> str:
        """The no-hole zone that ends at or beyond a station first, else the last one before it, or ""."""
        hard = [block for block in self.blocks if block.kind == "no hole"]
        ahead = [block for block in hard if block.end_m >= station_m]
        if ahead:
            return min(ahead, key=lambda block: block.start_m).name
        return max(hard, key=lambda block: block.end_m).name if hard else ""

    def bars_above(self, allowed: int) -> list[Piece]:
        """Pieces that cost more than ``allowed``, joined where they touch, each with the least it costs."""
        result: list[Piece] = []
        for a, b, cost in self.pieces:
            if cost > allowed:
                if result and result[-1][1] >= a:
                    result[-1] = (result[-1][0], b, min(cost, result[-1][2]))
                else:
                    result.append((a, b, cost))
        return result

    def costs(self) -> list[int]:
        """What posts may cost at all, rising, 0 first."""
        return sorted({0, *(cost for _, _, cost in self.pieces if cost < BARRED)})

    def stretches(self, cost: int) -> list[Interval]:
        """Stretches on which a post costs ``cost`` or less and that hold ground that costs just that."""
        bars = self.bars_above(cost)
        starts = [-math.inf, *(b for _, b, _ in bars)]
        ends = [*(a for a, _, _ in bars), math.inf]
        found = list(zip(starts, ends, strict=True))
        if cost:
            exact = [(a, b) for a, b, piece in self.pieces if piece == cost]
            found = [(s, e) for s, e in found if any(s <= a and b <= e for a, b in exact)]
        return found

    def standable(self) -> list[Interval]:
        """Stretches on which a post may stand at whatever cost."""
        bars = self.bars_above(BARRED - 1)
        return list(zip([-math.inf, *(b for _, b, _ in bars)], [*(a for a, _, _ in bars), math.inf], strict=True))


def joined(spans: Iterable[Interval]) -> list[Interval]:
    """Intervals joined where they overlap or touch."""
    result: list[Interval] = []
    for start, end in sorted(spans):
        if result and start <= result[-1][1] + TOLERANCE_M:
            if end > result[-1][1]:
                result[-1] = (result[-1][0], end)
        else:
            result.append((start, end))
    return result


def outside(spans: Iterable[Interval], low: float, high: float, slack: float = 0.0) -> list[Interval]:
    """What of intervals lies outside the one from ``low`` to ``high``; pieces no longer than ``slack`` are dropped.

    >>> outside([(0.0, 4.0), (5.0, 6.0)], 1.0, 5.5)
    [(0.0, 1.0), (5.5, 6.0)]
    """
    rest: list[Interval] = []
    for a, b in spans:
        if low > b + slack or high < a - slack:
            rest.append((a, b))
            continue
        if a < low - slack:
            rest.append((a, low))
        if b > high + slack:
            rest.append((high, b))
    return rest


def _cut(spans: list[Piece]) -> tuple[list[Piece], list[Piece]]:
    """Bars and pieces of a :class:`Ground` where blocks are of more than one kind; edges within 1e-9 m are one.

    ``spans``: start and end of each block [m], rising, and what a post inside costs.
    """
    events: list[tuple[float, int]] = []
    ends: dict[int, float] = {}
    for a, b, cost in spans:
        if cost not in ends:
            events.append((a, cost))
            ends[cost] = b
        elif a > ends[cost] + TOLERANCE_M:
            events += (ends[cost], -cost), (a, cost)
            ends[cost] = b
        elif b > ends[cost]:
            ends[cost] = b
    events += [(b, -cost) for cost, b in ends.items()]
    events.sort()
    pieces: list[Piece] = []
    bars: list[Piece] = []
    edge, cost, first, cheapest = events[0][0], 0, 0.0, 0
    for at, change in events:
        if at > edge + TOLERANCE_M:
            pieces.append((edge, at, cost))
            if cost:
                if not cheapest:
                    first, cheapest = edge, cost
                elif cost < cheapest:
                    cheapest = cost
            elif cheapest:
                bars.append((first, edge, cheapest))
                cheapest = 0
            edge = at
        cost += change
    if cheapest:
        bars.append((first, edge, cheapest))
    return bars, pieces


def lay_ground(length_m: float, blocks: Sequence[Block]) -> Ground:
    """Sort a leg of ``length_m`` [m] by what a hole costs.

    Blocks without width or beyond the ends are left out; blocks of a kind that touch within 1e-9 m are one block.
    """
    end = length_m - TOLERANCE_M
    spans = [
        (a, b, _COSTS[block.kind])
        for block in blocks
        if (a := block.start_m) < end and (b := block.end_m) > TOLERANCE_M and b - a > TOLERANCE_M
    ]
    if not spans:
        return Ground(length_m, (), (), blocks)
    spans.sort()
    kinds = {span[2] for span in spans}
    if len(kinds) > 1:
        return Ground(length_m, *_cut(spans), blocks, True, PAINT in kinds)
    bars = [spans[0]]
    last = spans[0][1]
    for span in spans:
        if span[0] > last + TOLERANCE_M:
            bars.append(span)
            last = span[1]
        elif span[1] > last:
            last = span[1]
            bars[-1] = (bars[-1][0], last, span[2])
    soft = spans[0][2] < BARRED
    return Ground(length_m, bars, bars, blocks, soft)
