"""From the bounds of every bay to the prices of a chain: windows on the grid, what is forbidden, prices."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_chain import Chain
from palewright.layout.meeting_ground import Envelope
from palewright.layout.meeting_rules import SLACK_M, Floats, GroundRules, LookWeights, StepsAt

__all__ = ["BEND_BAY_M", "PENALTIES", "broken_price", "build", "equal_steps", "first_up", "last_down"]

#: a bend is priced as for bays of this length: a change of slope looks the same in a long bay and in a short one
BEND_BAY_M = 2.4384

#: metres of post that a metre of a broken rule weighs, when no way keeps all rules: the law gives way last, and first
#: the gap that a board can close; ground is dug out only where an inch of it saves 20 in of gap
PENALTIES = {
    "most-gap": 1e3,
    "least-gap": 2e4,
    "rack": 3e4,
    "largest-step": 3e4,
    "longest-infill": 3e4,
    "legal-height": 4e4,
}

#: how far beyond the bounds elevations are tried when rules must be broken, 1 ft and 6 ft [m] (our own choice)
_BEYOND_M = 0.3048
_FARTHEST_M = 1.8288


class _Grid(NamedTuple):
    base: float
    step: float

    def values(self, first: int, count: int) -> Floats:
        return self.base + self.step * (first + np.arange(count, dtype=np.float64))


def broken_price(rule: str, missed_m: Floats | float, grid_m: float) -> Floats:
    """What a broken rule weighs [m of post]: its weight for each metre, and for one grid [m] more for being broken.

    Elevations move by whole grids. Without the charge a rule that weighs little would be kept at the cost of a sliver,
    less than a grid, of one that weighs much.

    >>> [round(float(broken_price("least-gap", missed, 0.01)), 9) for missed in (0.0, 0.002)]
    [0.0, 240.0]
    """
    missed = np.asarray(missed_m, dtype=np.float64)
    out: Floats = PENALTIES[rule] * (missed + grid_m * (missed > 2.0 * SLACK_M))
    return out


def first_up(height: float, base: float, grid: float) -> int:
    """First grid number at or above a height [m], within the slack."""
    return int(np.ceil((height - base - SLACK_M) / grid))


def last_down(height: float, base: float, grid: float) -> int:
    """Last grid number at or below a height [m], within the slack."""
    return int(np.floor((height - base + SLACK_M) / grid))


def build(
    bays: Sequence[Envelope],
    asked: Sequence[str],
    rules: GroundRules,
    weights: LookWeights,
    base_m: float,
    soft: bool = False,
    steps: StepsAt = (),
) -> Chain:
    """The chain of a stretch.

    asked
        for each bay "racked", "stepped" or "mixed" (either). base_m: elevation of grid number 0 [m]. steps: for each
        post what a step at it must keep, None where there is none; as ``rules`` say unless given.
    soft
        rules may be broken at the price of ``PENALTIES``, within a foot beyond the bounds.
    """
    grid = _Grid(base_m, rules.grid_m)
    level = {how == "stepped" for how in asked} == {True}
    posts = [(0, 0)] * (len(bays) + 1) if level else _post_windows(bays, grid, soft)
    levels = [
        _level_window(bay, grid, soft) if how != "racked" else (0, 0) for bay, how in zip(bays, asked, strict=True)
    ]
    ground = [bays[0].ground[0], *(bay.ground[1] for bay in bays)]
    steps = steps or [rules] * (len(bays) + 1)

    def racked(i: int) -> Floats | None:
        ends = grid.values(*posts[i]), grid.values(*posts[i + 1])
        if asked[i] == "stepped" or not ends[0].size or not ends[1].size:
            return None
        return _pairs(bays[i], ends, rules, weights, grid, posts[i : i + 2], soft)

    return Chain(
        [(first, _post(grid.values(first, n), z, rules, weights)) for (first, n), z in zip(posts, ground, strict=True)],
        [_level(bay, grid, window, rules, weights, soft) for bay, window in zip(bays, levels, strict=True)],
        racked,
        _step_tables([*posts, *levels], steps, rules.grid_m, weights, soft),
        weights.even * grid.step,
        [weights.new if equal else None for equal in equal_steps(steps)],
        weights.change,
        np.array([0.0, *(weights.bend * grid.step * BEND_BAY_M / bay.length for bay in bays)]),
        np.array([1.0, *(_ratio(a.length, b.length) for a, b in pairwise(bays)), 1.0]),
        [False, *("mixed" in pair for pair in pairwise(asked)), False],
    )


def _ratio(before: float, after: float) -> float:
    """Length of a bay over that of the next; 1 for bays divided evenly, but for rounding."""
    return 1.0 if abs(before - after) <= SLACK_M else before / after


def _post_windows(bays: Sequence[Envelope], grid: _Grid, soft: bool) -> list[tuple[int, int]]:
    """First grid number and count of what a racked bottom may be at each post."""
    found = []
    for k in range(len(bays) + 1):
        here = [(bays[j], t) for j, t in ((k - 1, 1.0), (k, 0.0)) if 0 <= j < len(bays)]
        low, most, legal = (
            [float(z) for bay, t in here for share, z in getattr(bay, name) if share == t]
            for name in ("low", "most", "legal")
        )
        found.append(_window(max(low), min(most), min(legal, default=np.inf), grid, soft))
    return found


def _level_window(bay: Envelope, grid: _Grid, soft: bool) -> tuple[int, int]:
    low, most = float(bay.low[:, 1].max()), float(bay.most[:, 1].min())
    return _window(low, most, float(bay.legal[:, 1].min(initial=np.inf)), grid, soft)


def _window(low: float, most: float, legal: float, grid: _Grid, soft: bool) -> tuple[int, int]:
    high = min(most, legal)
    if soft:
        # far-apart bounds (a wall in mid-bay): the penalties draw a bay to its lower bound, or down to the legal height
        near = min(low, legal)
        low, high = min(low, high) - _BEYOND_M, max(low, high) + _BEYOND_M
        low, high = max(low, near - _FARTHEST_M), min(high, near + _FARTHEST_M)
    first, last = first_up(low, grid.base, grid.step), last_down(high, grid.base, grid.step)
    return first, max(0, last - first + 1)


def _post(bottom: Floats, ground: float, rules: GroundRules, weights: LookWeights) -> Floats:
    """What a bottom at these heights costs at a post, in length beyond that on level ground."""
    out: Floats = weights.post * np.maximum(0.0, bottom - (ground + rules.target_m))
    return out


def _gap(bottom: Floats, ground: float, rules: GroundRules, weights: LookWeights) -> Floats:
    out: Floats = 0.5 * weights.gap * np.abs(bottom - (ground + rules.target_m))
    return out


def _level(
    bay: Envelope, grid: _Grid, window: tuple[int, int], rules: GroundRules, weights: LookWeights, soft: bool
) -> tuple[int, Floats, Floats, Floats]:
    """First grid number of a level bay, the price of each level, and its prices at the posts before and after."""
    level = grid.values(*window)
    price = _gap(level, bay.ground[0], rules, weights) + _gap(level, bay.ground[1], rules, weights)
    if soft:
        price = price + _missed(bay, level, level, grid.step)
    before, after = (_post(level, z, rules, weights) for z in bay.ground)
    return window[0], price, before, after


def _pairs(
    bay: Envelope,
    ends: tuple[Floats, Floats],
    rules: GroundRules,
    weights: LookWeights,
    grid: _Grid,
    windows: Sequence[tuple[int, int]],
    soft: bool,
) -> Floats | None:
    """Price of a racked bay from every u to every v, infinite where a rule forbids it; None when all are."""
    u, v = ends
    price = _gap(u, bay.ground[0], rules, weights)[:, None] + _gap(v, bay.ground[1], rules, weights)[None, :]
    limit = np.inf if rules.rack is None else rules.rack * bay.length
    if soft:
        over = np.maximum(0.0, np.abs(v[None, :] - u[:, None]) - limit)
        return price + _missed(bay, u[:, None], v[None, :], grid.step) + broken_price("rack", over, grid.step)
    least, most = np.maximum(v[0], u - limit), np.minimum(v[-1], u + limit)
    for t, z in bay.low:
        if 0.0 < t < 1.0:
            least = np.maximum(least, (z - (1.0 - t) * u) / t)
    for t, z in bay.high:
        if 0.0 < t < 1.0:
            most = np.minimum(most, (z - (1.0 - t) * u) / t)
    first = np.ceil((least - grid.base - SLACK_M) / grid.step)[:, None]
    last = np.floor((most - grid.base + SLACK_M) / grid.step)[:, None]
    number = windows[1][0] + np.arange(v.size)[None, :]
    kept = (number >= first) & (number <= last)
    return np.where(kept, price, np.inf) if kept.any() else None


def _missed(bay: Envelope, u: Floats, v: Floats, grid_m: float) -> Floats:
    """Price of how far a bottom from u to v misses the bounds of its bay, each rule at its worst place."""
    total: Floats = np.zeros(np.broadcast_shapes(u.shape, v.shape))
    for rule, points, sign in (
        ("least-gap", bay.low, 1.0),
        ("most-gap", bay.most, -1.0),
        ("legal-height", bay.legal, -1.0),
    ):
        worst: Floats = np.zeros_like(total)
        for t, z in points:
            np.maximum(worst, sign * (z - ((1.0 - t) * u + t * v)), out=worst)
        total += broken_price(rule, worst, grid_m)
    return total


def equal_steps(steps: StepsAt) -> list[bool]:
    """For each bay whether the steps at both its posts are to be alike."""
    return [bool(one and two and one.equal and two.equal) for one, two in pairwise(steps)]


def _step_tables(
    windows: Sequence[tuple[int, int]], steps: StepsAt, grid_m: float, weights: LookWeights, soft: bool
) -> list[Floats]:
    """For each post the price of a step of -n ... n grids."""
    used = [window for window in windows if window[1]]
    n = max((first + count for first, count in used), default=0) - min((first for first, _ in used), default=0) + 1
    number = np.abs(np.arange(-n, n + 1))
    made = {rules: _step_prices(number, rules, grid_m, weights, soft) for rules in set(steps)}
    return [made[rules] for rules in steps]


def _step_prices(
    number: np.ndarray, rules: GroundRules | None, grid_m: float, weights: LookWeights, soft: bool
) -> Floats:
    if rules is None:
        return np.where(number == 0, 0.0, np.inf)
    size = number * grid_m
    every = max(1, round(rules.step_multiple_m / grid_m))
    kept = (number == 0) | ((size >= rules.smallest_step_m - SLACK_M) & (number % every == 0))
    price = np.where(number == 0, 0.0, weights.step)
    over = np.maximum(0.0, size - rules.largest_step_m - SLACK_M)
    if soft:
        return np.where(kept, price + broken_price("largest-step", over, grid_m), np.inf)
    return np.where(kept & (over == 0.0), price, np.inf)
