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
        self.least: list[float] = []
        self.most: list[float] = []

    def add(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        for col, val in terms:
            self.row.append(len(self.least))
            self.col.append(col)
            self.val.append(val)
        self.least.append(low)
        self.most.append(high)

    def constraints(self, columns: int) -> LinearConstraint:
        """The rows, for so many columns."""
        shape = (len(self.least), columns)
        return LinearConstraint(coo_array((self.val, (self.row, self.col)), shape=shape).tocsr(), self.least, self.most)


class _Model(_Rows):
    """The model for ``n`` bays, as in the head of this module; ``empty`` where a post has no piece to stand on."""

    def __init__(self, n: int, length: float, shortest: float, longest: float) -> None:
        super().__init__()
        self.n, self.length = n, length
        self.low = [max(k * shortest, length - (n - k) * longest) for k in range(n + 1)]
        self.high = [min(k * longest, length - (n - k) * shortest) for k in range(n + 1)]
        self.lower = [*self.low[1:n], shortest, length / n]
        self.upper = [*self.high[1:n], length / n, longest]
        self.weight_paint = longest - shortest + 1.0
        self.weight_hand = self.weight_paint * (n + 1)
        self.cost: list[float] = [0.0] * (n - 1) + [-1.0, 1.0]
        self.paid_at: list[tuple[int, int, int]] = []
        self.hand = self.paint = 0
        self.empty = any(a > b + _EDGE for a, b in zip(self.lower, self.upper, strict=True))

    def stand(self, ground: Sequence[tuple[float, float, int, int]], order: bool) -> None:
        """Let every post choose a piece of the ground that it can reach."""
        before: list[tuple[int, int]] = []
        for k in range(1, self.n):
            mine = [
                (max(a, self.low[k]), min(b, self.high[k]), h, p, g)
                for g, (a, b, h, p) in enumerate(ground)
                if a <= self.high[k] + _EDGE and b >= self.low[k] - _EDGE
            ]
            if not mine:
                self.empty = True
                return
            if len(mine) > 1:
                before = self.choose(k, mine, before if order else [])
                continue
            a, b, h, p, _ = mine[0]
            self.lower[k - 1], self.upper[k - 1] = min(a, b), max(a, b)
            self.hand += h
            self.paint += p
            before = []

    def choose(
        self, k: int, mine: Sequence[tuple[float, float, int, int, int]], before: Sequence[tuple[int, int]]
    ) -> list[tuple[int, int]]:
        """Binaries for the pieces of post ``k``; ``before``: those of the post before it, where order is asked for."""
        first = len(self.cost)
        now = [(first + i, piece[4]) for i, piece in enumerate(mine)]
        for y, (_, _, h, p, _) in enumerate(mine, first):
            self.cost.append(self.weight_hand * h + self.weight_paint * p)
            self.lower.append(0.0)
            self.upper.append(1.0)
            self.paid_at.append((y, h, p))
        self.add([(y, 1.0) for y, _ in now], 1.0, 1.0)
        for end, low, high in ((0, 0.0, np.inf), (1, -np.inf, 0.0)):
            edges = [(y, -piece[end]) for (y, _), piece in zip(now, mine, strict=True)]
            self.add([(k - 1, 1.0), *edges], low, high)
        for g in sorted({g for _, g in now}) if before else ():
            terms = [*((y, 1.0) for y, h in now if h <= g), *((y, -1.0) for y, h in before if h <= g)]
            self.add(terms, -np.inf, 0.0)
        return now

    def bays(self) -> None:
        """Every bay between the shortest and the longest."""
        n = self.n
        for k in range(1, n + 1):
            terms = ([(k - 1, 1.0)] if k < n else []) + ([(k - 2, -1.0)] if k > 1 else [])
            end = self.length if k == n else 0.0
            self.add([*terms, (n, -1.0)], -np.inf, -end)
            self.add([*terms, (n - 1, -1.0)], -end, np.inf)


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
    model = _Model(n, length, shortest, longest)
    if not model.empty:
        model.stand(ground, order)
    if model.empty:
        return None, 0.0
    model.bays()
    whole = np.zeros(len(model.cost))
    whole[n + 1 :] = 1
    cost, constraints = np.array(model.cost), model.constraints(len(model.cost))
    bounds = Bounds(np.array(model.lower), np.array(model.upper))
    options = {"mip_rel_gap": 0.0, "presolve": presolve}
    started = time.perf_counter()
    result = milp(cost, constraints=constraints, bounds=bounds, integrality=whole, options=options)
    seconds = time.perf_counter() - started
    if result.status == 2:
        return None, seconds
    if result.status != 0:
        raise RuntimeError(f"HiGHS stopped with status {result.status}: {result.message}")
    chosen = [(h, p) for y, h, p in model.paid_at if result.x[y] > 0.5]
    hand, paint = model.hand + sum(h for h, _ in chosen), model.paint + sum(p for _, p in chosen)
    return Answer(n, hand, paint, float(result.x[n] - result.x[n - 1]), seconds), seconds


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
