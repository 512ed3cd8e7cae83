"""What a post may stand on along one straight leg: stations sorted by what a hole there costs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

__all__ = ["HAND", "PAINT", "TOLERANCE_M", "Block", "Ground", "Level", "lay_ground"]

#: Two stations closer than this are one station, and a bay may miss its limit by this much [m].
TOLERANCE_M: Final = 1e-9

#: What a post costs inside a paint margin, and in a hand-dig zone: one of the second outweighs any number of the first.
PAINT: Final = 1
HAND: Final = 1 << 20
_BARRED: Final = 1 << 60

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Block:
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


@dataclass(frozen=True, slots=True)
class Level:
    """Stretches [m] on which a post costs ``cost`` or less, rising; each holds some ground that costs just ``cost``."""

    cost: int
    stretches: tuple[Interval, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """The leg as seen by a post: ``levels`` by rising cost; the first is free ground. ``barred``: blocks to get over."""

    length_m: float
    levels: tuple[Level, ...]
    pieces: tuple[tuple[float, float, int], ...]
    blocks: tuple[Block, ...]

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
        return -1 if best >= _BARRED else best

    def named(self, station_m: float) -> str:
        """The zone one of whose edges is at a station, or ""; hard zones before soft ones."""
        near = [
            block
            for block in self.blocks
            if min(abs(block.start_m - station_m), abs(block.end_m - station_m)) <= 4 * TOLERANCE_M
        ]
        order = {"no hole": 0, "hand dig": 1, "paint": 2}
        near.sort(key=lambda block: order[block.kind])
        return near[0].name if near else ""


def _merged(spans: Iterable[Interval]) -> list[Interval]:
    """Intervals joined where they overlap or touch."""
    result: list[Interval] = []
    for start, end in sorted(spans):
        if result and start <= result[-1][1] + TOLERANCE_M:
            if end > result[-1][1]:
                result[-1] = (result[-1][0], end)
        else:
            result.append((start, end))
    return result


def _pieces(length_m: float, blocks: Sequence[Block]) -> list[tuple[float, float, int]]:
    """The line cut at every edge, each piece with its cost; pieces of no effect are left out."""
    kinds = {"no hole": _BARRED, "hand dig": HAND, "paint": PAINT}
    spans = [
        (span, kinds[kind])
        for kind in kinds
        for span in _merged((b.start_m, b.end_m) for b in blocks if b.kind == kind)
    ]
    if len({cost for _, cost in spans}) <= 1:
        return [(a, b, cost) for (a, b), cost in spans]
    edges: list[float] = []
    for edge in sorted({edge for span, _ in spans for edge in span}):
        if not edges or edge - edges[-1] > TOLERANCE_M:
            edges.append(edge)
    result = []
    for a, b in zip(edges, edges[1:], strict=False):
        middle = (a + b) / 2.0
        cost = sum(c for (start, end), c in spans if start < middle < end)
        result.append((a, b, cost))
    return result


def lay_ground(length_m: float, blocks: Sequence[Block]) -> Ground:
    """Sort a leg of ``length_m`` [m] by what a hole costs.

    Blocks without width or beyond the ends are left out; blocks that touch within 1e-9 m are one block.
    """
    kept = [
        b
        for b in blocks
        if b.end_m - b.start_m > TOLERANCE_M and b.start_m < length_m - TOLERANCE_M and b.end_m > TOLERANCE_M
    ]
    pieces = _pieces(length_m, kept) if kept else []
    costs = sorted({0, *(cost for _, _, cost in pieces if cost < _BARRED)})
    levels = []
    for level in costs:
        stretches: list[Interval] = []
        start, holds = -math.inf, level == 0
        for a, b, cost in pieces:
            if cost > level:
                if a > start and holds:
                    stretches.append((start, a))
                start, holds = b, level == 0
            elif cost == level:
                holds = True
        if holds:
            stretches.append((start, math.inf))
        levels.append(Level(level, tuple(stretches)))
    return Ground(length_m, tuple(levels), tuple(pieces), tuple(kept))
