"""The question of ``palewright.layout.meeting`` put to HiGHS: an independent model for benchmarks and tests.

Bounds, hulls and windows of the layout room are not used; every knot makes its own row. In whole grids above the base:
u[i], v[i] the bottom of bay i at its two posts (one column where the bay is level by demand, or where two bays racked
by demand meet), r[i] = 1 when bay i is racked, d = u[i + 1] - v[i] the step, p and m its sign.

    low(t) <= (1 - t) u + t v <= high(t)              at every knot
    |v - u| <= rack r
    least p - most m <= d <= most p - least m, d = multiple x k, p + m <= 1
    post >= u, v above the target at the post, >= 0;   gap >= |u - target|, |v - target|
    even >= |d - d before| where three bays are level; bend >= |change of slope| where two are racked without a step
    change >= |r[i + 1] - r[i]|, change >= p + m + r[i] + r[i + 1] - 2

The objective is multiplied by a thousand, so that the absolute gap at which HiGHS stops, 1e-6, is one of 1e-9.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

_SCALE = 1e3
_BEND_BAY = 2.4384


@dataclass(frozen=True)
class Answer:
    """The bays that HiGHS chose: bottoms [m] at the two posts, which are racked, objective, seconds inside."""

    bottoms: np.ndarray
    racked: np.ndarray
    cost: float
    seconds: float


class _Model:
    def __init__(self) -> None:
        self.row: list[int] = []
        self.col: list[int] = []
        self.val: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.lower: list[float] = []
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.cost: list[float] = []

    def column(self, low: float, high: float, whole: bool, cost: float = 0.0) -> int:
        self.lower.append(low)
        self.upper.append(high)
        self.whole.append(int(whole))
        self.cost.append(cost)
        return len(self.cost) - 1

    def add(self, terms: list[tuple[int, float]], low: float, high: float) -> None:
        for col, val in terms:
            self.row.append(len(self.low))
            self.col.append(col)
            self.val.append(val)
        self.low.append(low)
        self.high.append(high)

    def solve(self) -> tuple[np.ndarray | None, float, float]:
        shape = (len(self.low), len(self.cost))
        matrix = coo_array((self.val, (self.row, self.col)), shape=shape).tocsr()
        started = time.perf_counter()
        result = milp(
            _SCALE * np.array(self.cost),
            constraints=LinearConstraint(matrix, self.low, self.high),
            bounds=Bounds(np.array(self.lower), np.array(self.upper)),
            integrality=np.array(self.whole),
            options={"mip_rel_gap": 0.0},
        )
        seconds = time.perf_counter() - started
        if result.status == 2:
            return None, np.inf, seconds
        if result.status != 0:
            raise RuntimeError(f"HiGHS stopped with status {result.status}: {result.message}")
        return result.x, result.fun / _SCALE, seconds


def solve(s: np.ndarray, z: np.ndarray, posts: np.ndarray, rules, weights, asked: list[str]) -> Answer | None:  # type: ignore[no-untyped-def]
    """The best way for one stretch, own grade; ``asked`` for each bay racked, stepped or mixed. None: no way."""
    model, n, g = _Model(), len(posts) - 1, rules.grid_m
    ground = np.interp(posts, s, z)
    base = ground[0] + rules.target_m
    target = (ground + rules.target_m - base) / g
    limits = [_limits(s, z, posts[i], posts[i + 1], rules, base) for i in range(n)]
    u, v, r = [0] * n, [0] * n, [0] * n
    for i, lim in enumerate(limits):
        if asked[i] == "stepped":
            low, high = max(a for _, a, _ in lim), min(b for *_, b in lim)
            if np.ceil(low - 1e-7) > np.floor(high + 1e-7):
                return None
            u[i] = v[i] = model.column(np.ceil(low - 1e-7), np.floor(high + 1e-7), True)
        else:
            shared = i > 0 and asked[i] == asked[i - 1] == "racked"
            ends = [(np.ceil(low - 1e-7), np.floor(high + 1e-7)) for _, low, high in (lim[0], lim[-1])]
            if any(low > high for low, high in ends):
                return None
            u[i] = v[i - 1] if shared else model.column(*ends[0], True)
            v[i] = model.column(*ends[1], True)
            for t, low, high in lim:
                model.add([(u[i], 1.0 - t), (v[i], t)], low, high)
        r[i] = model.column(float(asked[i] == "racked"), float(asked[i] != "stepped"), True)
        if asked[i] != "stepped":
            reach = max(lim[-1][2] - lim[0][1], lim[0][2] - lim[-1][1])
            rack = reach if rules.rack is None else rules.rack * (posts[i + 1] - posts[i]) / g
            model.add([(v[i], 1.0), (u[i], -1.0), (r[i], -rack)], -np.inf, 0.0)
            model.add([(u[i], 1.0), (v[i], -1.0), (r[i], -rack)], -np.inf, 0.0)
    _post_and_gap(model, u, v, target, weights, g)
    _looks(model, u, v, r, asked, posts, rules, weights)
    x, cost, seconds = model.solve()
    if x is None:
        return None
    bottoms = base + g * np.round(np.stack([x[u], x[v]], axis=1))
    return Answer(bottoms, x[r] > 0.5, cost, seconds)


def _limits(s, z, a, b, rules, base):  # type: ignore[no-untyped-def]
    """(share, low, high) at the posts and every knot of a bay, in grids above the base."""
    at = np.concatenate([[a], s[(s > a) & (s < b)], [b]])
    here = np.interp(at, s, z)
    most = np.inf if rules.legal_m is None else rules.legal_m - rules.infill_m
    return [
        (
            (x - a) / (b - a),
            (h + rules.least_m - base) / rules.grid_m,
            (h + min(rules.most_m, most) - base) / rules.grid_m,
        )
        for x, h in zip(at, here, strict=True)
    ]


def _post_and_gap(model, u, v, target, weights, g) -> None:  # type: ignore[no-untyped-def]
    n = len(u)
    for k in range(n + 1):
        post = model.column(0.0, np.inf, False, weights.post * g)
        for bottom in ({v[k - 1]} if k else set()) | ({u[k]} if k < n else set()):
            model.add([(post, 1.0), (bottom, -1.0)], -target[k], np.inf)
    for i in range(n):
        for bottom, wish in ((u[i], target[i]), (v[i], target[i + 1])):
            gap = model.column(0.0, np.inf, False, 0.5 * weights.gap * g)
            model.add([(gap, 1.0), (bottom, -1.0)], -wish, np.inf)
            model.add([(gap, 1.0), (bottom, 1.0)], wish, np.inf)


def _looks(model, u, v, r, asked, posts, rules, weights) -> None:  # type: ignore[no-untyped-def]
    g, n = rules.grid_m, len(u)
    size = np.diff(posts)
    spread = [
        max(abs(model.upper[u[i + 1]] - model.lower[v[i]]), abs(model.lower[u[i + 1]] - model.upper[v[i]]))
        for i in range(n - 1)
    ]
    most = [min(reach, rules.largest_step_m / g + 1e-7) for reach in spread]
    least = rules.smallest_step_m / g - 1e-7 if rules.smallest_step_m else 1.0
    every = max(1, round(rules.step_multiple_m / g))
    for i in range(n - 1):
        both, flags = asked[i] == asked[i + 1] == "racked", []
        if not both:
            step = [(u[i + 1], 1.0), (v[i], -1.0)]
            up, down = (model.column(0.0, 1.0, True, weights.step) for _ in range(2))
            model.add([*step, (up, -most[i]), (down, least)], -np.inf, 0.0)
            model.add([*step, (up, -least), (down, most[i])], 0.0, np.inf)
            model.add([(up, 1.0), (down, 1.0)], 0.0, 1.0)
            flags += [up, down]
            if every > 1:
                times = model.column(-np.inf, np.inf, True)
                model.add([*step, (times, -float(every))], 0.0, 0.0)
            change = model.column(0.0, 1.0, False, weights.change)
            model.add([(change, 1.0), (r[i], 1.0), (r[i + 1], -1.0)], 0.0, np.inf)
            model.add([(change, 1.0), (r[i], -1.0), (r[i + 1], 1.0)], 0.0, np.inf)
            model.add([(change, 1.0), (up, -1.0), (down, -1.0), (r[i], -1.0), (r[i + 1], -1.0)], -2.0, np.inf)
        if "stepped" not in asked[i : i + 2] and weights.bend:
            rate = g * _BEND_BAY
            terms = [
                (v[i + 1], 1 / size[i + 1]),
                (u[i + 1], -1 / size[i + 1]),
                (v[i], -1 / size[i]),
                (u[i], 1 / size[i]),
            ]
            ends = [*((u[k], v[k]) for k in (i, i + 1)), *((v[k], u[k]) for k in (i, i + 1))]
            free = 4.0 * rate * max(model.upper[a] - model.lower[b] for a, b in ends) / size.min()
            _absolute(model, [(c, rate * x) for c, x in terms], weights.bend, free, [r[i], r[i + 1]], 2, None, flags)
    for i in range(n - 2):
        if "racked" in asked[i : i + 3]:
            continue
        terms = [(u[i + 2], 1.0), (v[i + 1], -1.0), (u[i + 1], -1.0), (v[i], 1.0)]
        free = spread[i] + spread[i + 1]
        _absolute(model, terms, weights.even * g, free, r[i : i + 3], 0, weights.new if rules.equal else None)


def _absolute(model, terms, weight, free, flags, at_one, fixed, without=()) -> None:  # type: ignore[no-untyped-def]
    """Price of |terms| unless a flag is not as it must be: all 1 (``at_one`` their number) or all 0; ``without``: 0."""
    off = [(flag, -free) for flag in flags] if at_one else [(flag, free) for flag in flags]
    off += [(flag, free) for flag in without]
    slack = -free * at_one
    if fixed is None:
        price = model.column(0.0, np.inf, False, weight)
        lead = (price, 1.0)
    else:
        price = model.column(0.0, 1.0, True, fixed)
        lead = (price, free)
    for sign in (1.0, -1.0):
        merged: dict[int, float] = {}
        for col, val in [lead, *((c, -sign * x) for c, x in terms), *off]:
            merged[col] = merged.get(col, 0.0) + val
        model.add(list(merged.items()), slack, np.inf)
