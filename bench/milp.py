"""The same question as ``palewright.layout.bays.divide``, put to HiGHS: an independent model for benchmarks and tests.

Nothing of the layout room is used here: merging zones, counting and bounds are written again, in another way.

Model for n bays: x[k] the station of post k; y[k, g] = 1 when post k stands on piece g of the leg; lo and hi the
shortest and the longest bay [m].

    sum over g of y[k, g] = 1
    sum over g of start[g] y[k, g] <= x[k] <= sum over g of end[g] y[k, g]
    lo <= x[k] - x[k - 1] <= hi,   shortest <= lo <= L / n <= hi <= longest
    minimise  A (hand-dug) + B (paint) + hi - lo,   A > B n + spread,  B > spread

Pieces are clipped to what the limits of the bays let post k reach from both ends, so most posts have one piece and no
binary. The other way to put it has a binary for each zone and number of posts before it. Where a post meets one zone
the two are the same; where it meets several, the rows above are the hull of its pieces and the other rows are not: so
this one is the tighter. ``order`` adds rows that say that posts keep their order; it is no faster with them.
``presolve`` False turns the simplification of the model off: with it HiGHS once stopped at a spread 17 mm too great
(tests/layout/test_bays_highs.py).
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

_EDGE = 1e-9


@dataclass(frozen=True)
class Answer:
    """What HiGHS says: bays, posts in hand-dig zones and paint margins, spread [m], seconds inside the solver."""

    bays: int
    hand: int
    paint: int
    spread_m: float
    seconds: float


def pieces(length: float, zones: Sequence[tuple[float, float, str]]) -> list[tuple[float, float, int, int]]:
    """The leg cut at every edge: (start, end, hand, paint) for each piece on which a post may stand."""
    edges = sorted({0.0, length, *(e for a, b, _ in zones for e in (a, b) if 0.0 < e < length)})
    kept = [edges[0]]
    for edge in edges[1:]:
        if edge - kept[-1] > _EDGE:
            kept.append(edge)
    result: list[tuple[float, float, int, int]] = []
    for a, b in pairwise(kept):
        middle = 0.5 * (a + b)
        kinds = {kind for start, end, kind in zones if start < middle < end}
        if "no hole" in kinds:
            continue
        label = (int("hand dig" in kinds), int("paint" in kinds))
        if result and result[-1][1] == a and result[-1][2:] == label:
            result[-1] = (result[-1][0], b, *label)
        else:
            result.append((a, b, *label))
    return result


class _Rows:
    """Rows of a sparse constraint matrix."""

    def __init__(self) -> None:
        self.row: list[int] = []
        self.col: list[int] = []
        self.val: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        for col, val in terms:
            self.row.append(len(self.low))
            self.col.append(col)
            self.val.append(val)
        self.low.append(low)
        self.high.append(high)


def solve_bays(
    n: int,
    length: float,
    shortest: float,
    longest: float,
    ground: Sequence[tuple[float, float, int, int]],
    order: bool = False,
    presolve: bool = True,
) -> tuple[Answer | None, float]:
    """The best layout of exactly ``n`` bays, or None; and the seconds spent inside HiGHS."""
    low = [max(k * shortest, length - (n - k) * longest) for k in range(n + 1)]
    high = [min(k * longest, length - (n - k) * shortest) for k in range(n + 1)]
    at_lo, at_hi = n - 1, n
    lower = [*low[1:n], shortest, length / n]
    upper = [*high[1:n], length / n, longest]
    if any(a > b + _EDGE for a, b in zip(lower, upper, strict=True)):
        return None, 0.0
    rows = _Rows()
    weight_paint = longest - shortest + 1.0
    weight_hand = weight_paint * (n + 1)
    cost: list[float] = [0.0] * (n - 1) + [-1.0, 1.0]
    hand_at: list[tuple[int, int, int]] = []
    before: list[tuple[int, int]] = []
    fixed_hand = fixed_paint = 0
    for k in range(1, n):
        mine = [
            (max(a, low[k]), min(b, high[k]), h, p, g)
            for g, (a, b, h, p) in enumerate(ground)
            if a <= high[k] + _EDGE and b >= low[k] - _EDGE
        ]
        if not mine:
            return None, 0.0
        if len(mine) == 1:
            a, b, h, p, _ = mine[0]
            lower[k - 1], upper[k - 1] = min(a, b), max(a, b)
            fixed_hand += h
            fixed_paint += p
            before = []
            continue
        first = len(cost)
        now = []
        for i, (_, _, h, p, g) in enumerate(mine):
            cost.append(weight_hand * h + weight_paint * p)
            lower.append(0.0)
            upper.append(1.0)
            hand_at.append((first + i, h, p))
            now.append((first + i, g))
        rows.add([(y, 1.0) for y, _ in now], 1.0, 1.0)
        rows.add([(k - 1, 1.0), *((y, -piece[0]) for (y, _), piece in zip(now, mine, strict=True))], 0.0, np.inf)
        rows.add([(k - 1, 1.0), *((y, -piece[1]) for (y, _), piece in zip(now, mine, strict=True))], -np.inf, 0.0)
        if order and before:
            for g in sorted({g for _, g in now}):
                rows.add(
                    [*((y, 1.0) for y, h in now if h <= g), *((y, -1.0) for y, h in before if h <= g)], -np.inf, 0.0
                )
        before = now
    for k in range(1, n + 1):
        terms = ([(k - 1, 1.0)] if k < n else []) + ([(k - 2, -1.0)] if k > 1 else [])
        end = length if k == n else 0.0
        rows.add([*terms, (at_hi, -1.0)], -np.inf, -end)
        rows.add([*terms, (at_lo, -1.0)], -end, np.inf)
    whole = np.zeros(len(cost))
    whole[n + 1 :] = 1
    matrix = coo_array((rows.val, (rows.row, rows.col)), shape=(len(rows.low), len(cost))).tocsr()
    constraints, bounds = LinearConstraint(matrix, rows.low, rows.high), Bounds(np.array(lower), np.array(upper))
    started = time.perf_counter()
    result = milp(
        np.array(cost),
        constraints=constraints,
        bounds=bounds,
        integrality=whole,
        options={"mip_rel_gap": 0.0, "presolve": presolve},
    )
    seconds = time.perf_counter() - started
    if result.status == 2:
        return None, seconds
    if result.status != 0:
        raise RuntimeError(f"HiGHS stopped with status {result.status}: {result.message}")
    hand = fixed_hand + sum(h for y, h, _ in hand_at if result.x[y] > 0.5)
    paint = fixed_paint + sum(p for y, _, p in hand_at if result.x[y] > 0.5)
    return Answer(n, hand, paint, float(result.x[at_hi] - result.x[at_lo]), seconds), seconds


def solve(
    length: float,
    shortest: float,
    longest: float,
    zones: Sequence[tuple[float, float, str]],
    order: bool = False,
    presolve: bool = True,
) -> Answer | None:
    """Fewest bays first: numbers of bays are tried from the least that the longest bay allows."""
    ground = pieces(length, zones)
    total = 0.0
    for n in range(max(1, math.ceil(length / (longest + _EDGE))), math.floor(length / max(shortest, 1e-3)) + 1):
        answer, seconds = solve_bays(n, length, shortest, longest, ground, order, presolve)
        total += seconds
        if answer is not None:
            return Answer(n, answer.hand, answer.paint, answer.spread_m, total)
    return None
