"""How a run meets the ground: racked, stepped, level-top, along the grade, mixed, or the best of them.

The model, its proof and what it leaves out: docs/meeting-ground.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby, pairwise

import numpy as np

from palewright.layout.meeting_build import broken_price, build, equal_steps
from palewright.layout.meeting_chain import best_chain
from palewright.layout.meeting_checks import broken
from palewright.layout.meeting_grade import along_grade
from palewright.layout.meeting_ground import envelopes, ground_at
from palewright.layout.meeting_level import level_top
from palewright.layout.meeting_price import priced
from palewright.layout.meeting_rules import (
    OPEN,
    Floats,
    GroundBreak,
    GroundRules,
    LookWeights,
    Met,
    StepsAt,
    check_rules,
)

__all__ = ["MODES", "meet"]

MODES = ("racked", "stepped", "mixed", "level-top", "grade", "best")

_CHAIN = ("racked", "stepped", "mixed")
_EXACT = "dynamic programme over posts, exact on the grid of elevations"
_BOUND = "nothing costs less than no deviation at all"
_CLOSED = "least top above all ground of the stretch, in closed form"
_BROKEN = (
    "rules cannot all be kept: least break, weighed as printed, within a foot beyond the bounds; exact on the grid"
)


def meet(
    stations_m: Floats,
    heights_m: Floats,
    posts_m: Floats,
    rules: GroundRules,
    mode: str | Sequence[str] = "best",
    *,
    gates: Sequence[bool] = (),
    leaves_m: Sequence[float | None] = (),
    weights: LookWeights | None = None,
    measured: tuple[Floats, Floats] | None = None,
    breaks_at: Sequence[int] = (),
    steps: StepsAt = (),
    ways: Sequence[str] = ("racked", "stepped", "level-top"),
) -> Met:
    """How the fence meets the ground.

    stations_m, heights_m
        knots of the ground [m], stations not falling; straight between. posts_m: stations of the posts, rising [m],
        within the knots.
    rules, weights
        hard rules, and what looks cost.
    mode
        one of ``MODES`` for the run, or one for each bay. "best" chooses between mixed and level-top for each stretch
        between gates; it only proposes. Beside bays of another way it is mixed, or what else ``ways`` leave.
        "assumed": a bay whose ground nobody knows; the fence ends at both its posts, and nothing in it is judged.
    gates
        for each bay, whether a gate hangs in it; the fence ends at both its posts. leaves_m: bottom of each leaf [m],
        None where the highest ground of the bay and the target gap decide.
    measured
        stations and heights from which the legal height is measured [m]; own grade unless given.
    breaks_at
        numbers of the posts where a level top may change its height. steps: for each post what a step at it must keep,
        None where the fence may not step; as ``rules`` say unless given. ways: what "best" may choose from.
    Raises ProblemError for rules that contradict one another, ValueError for arrays that do not fit.

    >>> rules = GroundRules(1.8, 0.0, 0.05, 0.1)
    >>> flat = meet(np.array([0.0, 9.0]), np.zeros(2), np.array([0.0, 3, 6, 9]), rules, "racked")
    >>> flat.bottoms_m.tolist(), flat.cost, flat.breaks
    ([[0.05, 0.05], [0.05, 0.05], [0.05, 0.05]], 0.0, ())
    """
    weights = weights or LookWeights()
    check_rules(rules)
    n = len(posts_m) - 1
    gate = [*gates, *[False] * (n - len(gates))]
    asked = [mode] * n if isinstance(mode, str) else _by_bay(mode, gate, ways)
    _check_arrays(stations_m, heights_m, posts_m, asked, gate)
    own = (stations_m, heights_m) if measured is None else measured
    run = _Run(stations_m, heights_m, posts_m, rules, weights, own, tuple(breaks_at), tuple(ways))
    run.steps = steps or run.steps
    names = ["gate" if is_gate else "chain" if how in _CHAIN else how for how, is_gate in zip(asked, gate, strict=True)]
    proofs: list[str] = []
    for name, group in groupby(range(n), key=lambda i: names[i]):
        bays = list(group)
        proofs.append(run.stretch(name, bays[0], bays[-1] + 1, asked, leaves_m))
    return run.answer(dict.fromkeys(proof for proof in proofs if proof))


class _Run:
    """A run being solved stretch by stretch."""

    def __init__(
        self,
        stations: Floats,
        heights: Floats,
        posts: Floats,
        rules: GroundRules,
        weights: LookWeights,
        measured: tuple[Floats, Floats],
        breaks: tuple[int, ...],
        ways: tuple[str, ...],
    ) -> None:
        self.ground = (stations, heights)
        self.posts, self.rules, self.weights, self.measured = posts, rules, weights, measured
        self.breaks, self.ways = breaks, ways
        self.steps: StepsAt = [rules] * len(posts)
        self.at_posts = ground_at(stations, heights, posts)
        self.base = float(self.at_posts[0]) + rules.target_m
        self.modes = [""] * (len(posts) - 1)
        self.bottoms: Floats = np.zeros((len(posts) - 1, 2))
        self.tops: Floats = np.zeros((len(posts) - 1, 2))
        self.ends: list[tuple[int, int]] = []

    def stretch(self, name: str, a: int, b: int, asked: Sequence[str], leaves: Sequence[float | None]) -> str:
        """Solve the bays from a up to b, all of one family; returns the proof."""
        self.ends.append((a, b))
        if name == "gate":
            for i in range(a, b):
                self._leaf(i, leaves[i] if i < len(leaves) else None)
            return ""
        if name == "assumed":
            line = self.at_posts[a : b + 1] + self.rules.target_m
            bottoms = np.stack([line[:-1], line[1:]], axis=1)
            self._set(a, ["assumed"] * (b - a), bottoms, bottoms + self.rules.infill_m)
            return ""
        if name == "grade":
            return self._grade(a, b)
        if name == "level-top":
            return self._level_top(a, b)
        if name == "chain":
            return _EXACT if np.isfinite(self._solve(a, b, asked[a:b])) else self._least_break(a, b, asked[a:b])
        return self._best(a, b)

    def _best(self, a: int, b: int) -> str:
        """The cheaper of the best chain and a level top, of the ways it may go; where all break rules, the chain."""
        asked = [_chain_way(self.ways)] * (b - a)
        cost = self._solve(a, b, asked) if asked[0] else np.inf
        chain = self.modes[a:b], self.bottoms[a:b].copy(), self.tops[a:b].copy()
        if "level-top" in self.ways:
            self._level_top(a, b)
            level = self._parts(a, b, self._breaks(a, b))
            if not asked[0] or (not level["breaks"] and sum(level.values()) < cost):
                return f"{_EXACT}; {_CLOSED}" if asked[0] else _CLOSED
        if not np.isfinite(cost):
            return self._least_break(a, b, asked)
        self._set(a, *chain)
        return f"{_EXACT}; {_CLOSED}" if "level-top" in self.ways else _EXACT

    def _grade(self, a: int, b: int) -> str:
        posts = self.posts[a : b + 1]
        bottoms, at_once = along_grade(*self.ground, posts, self.rules, self.weights, self.measured)
        if bottoms is None:
            loose = replace(self.rules, rack=None), replace(self.weights, bend=0.0)
            self._solve(a, b, ["racked"] * (b - a), *loose, soft=True)
            self.modes[a:b] = ["grade"] * (b - a)
            return _BROKEN
        self._set(a, ["grade"] * (b - a), bottoms, bottoms + self.rules.infill_m)
        return _BOUND if at_once else _EXACT

    def _least_break(self, a: int, b: int, asked: Sequence[str]) -> str:
        self._solve(a, b, asked, soft=True)
        return _BROKEN

    def _solve(
        self,
        a: int,
        b: int,
        asked: Sequence[str],
        rules: GroundRules | None = None,
        weights: LookWeights | None = None,
        soft: bool = False,
    ) -> float:
        """The best chain of bays a up to b; its cost, infinite where the rules leave nothing."""
        bays = envelopes(*self.ground, self.posts[a : b + 1], self.rules, self.measured)
        chain = build(bays, asked, rules or self.rules, weights or self.weights, self.base, soft, self.steps[a : b + 1])
        cost, chosen = best_chain(chain)
        if chosen:
            bottoms = self.base + self.rules.grid_m * np.array([(c.start, c.end) for c in chosen], dtype=np.float64)
            self._set(a, [choice.mode for choice in chosen], bottoms, bottoms + self.rules.infill_m)
        return cost

    def _level_top(self, a: int, b: int) -> str:
        cuts = [a, *(k for k in sorted(self.breaks) if a < k < b), b]
        for start, end in pairwise(cuts):
            bottoms, tops = level_top(*self.ground, self.posts[start : end + 1], self.rules, self.base)
            self._set(start, ["level-top"] * (end - start), bottoms, tops)
        return _CLOSED

    def _leaf(self, i: int, leaf: float | None) -> None:
        """A level leaf above the highest ground of its bay."""
        if leaf is None:
            at = self.posts[i : i + 2]
            leaf = float(level_top(*self.ground, at, self.rules, self.base)[1][0, 0]) - self.rules.infill_m
        bottom = np.full((1, 2), leaf)
        self._set(i, ["gate"], bottom, bottom + self.rules.infill_m)

    def _set(self, a: int, modes: Sequence[str], bottoms: Floats, tops: Floats) -> None:
        b = a + len(modes)
        self.modes[a:b] = list(modes)
        self.bottoms[a:b], self.tops[a:b] = bottoms, tops

    def _breaks(self, a: int, b: int) -> tuple[GroundBreak, ...]:
        modes, bottoms, tops = self.modes[a:b], self.bottoms[a:b], self.tops[a:b]
        posts, steps = self.posts[a : b + 1], self.steps[a : b + 1]
        return broken(*self.ground, posts, modes, bottoms, tops, self.rules, self.measured, steps)

    def _parts(self, a: int, b: int, found: Iterable[GroundBreak]) -> dict[str, float]:
        """Shares of the cost of a stretch, found again from its lines."""
        lines = self.modes[a:b], self.bottoms[a:b], self.tops[a:b]
        posts = self.posts[a : b + 1], self.at_posts[a : b + 1]
        parts = priced(*lines, *posts, self.rules, self.weights, equal_steps(self.steps[a : b + 1]))
        fence = self.modes[a] not in OPEN
        weighed = (float(broken_price(x.rule, x.by_m, self.rules.grid_m)) for x in found)
        return parts | {"breaks": sum(weighed) if fence else 0.0}

    def answer(self, proofs: Iterable[str]) -> Met:
        """The record of what was found, priced anew and checked anew."""
        found = self._breaks(0, len(self.modes))
        shares = [self._parts(a, b, [item for item in found if a <= item.bay < b]) for a, b in self.ends]
        parts = {name: float(sum(share[name] for share in shares)) for name in shares[0]}
        cost = float(sum(parts.values()))
        lines = tuple(self.modes), self.bottoms, self.tops
        return Met(*lines, cost, cost, "; ".join(proofs), parts, self.weights, found)


def _by_bay(mode: Sequence[str], gate: Sequence[bool], ways: Sequence[str]) -> list[str]:
    """Ways asked for bay by bay: "best" stays where no other way is asked between the two gates at its sides."""
    asked: list[str] = []
    for (is_gate, _), group in groupby(zip(gate, (how == "assumed" for how in mode), strict=True)):
        here = list(mode[len(asked) : len(asked) + len(list(group))])
        alone = is_gate or set(here) <= {"best"}
        asked += here if alone else [(_chain_way(ways) or "level-top") if how == "best" else how for how in here]
    return asked


def _chain_way(ways: Sequence[str]) -> str:
    """What the bays of a chain may be: "racked", "stepped", "mixed" or "" for neither."""
    chain = [way for way in ("racked", "stepped") if way in ways]
    return "mixed" if len(chain) == 2 else "".join(chain)


def _check_arrays(s: Floats, z: Floats, posts: Floats, asked: Sequence[str], gates: Sequence[bool]) -> None:
    unknown = [how for how in asked if how not in (*MODES, "assumed")]
    if unknown:
        raise ValueError(f"no such way to meet the ground: {unknown[0]!r}")
    n = len(posts) - 1
    if n < 1 or len(asked) != n or len(gates) != n:
        raise ValueError("a run has two posts or more, and one mode and one gate flag for each bay")
    if len(s) != len(z) or len(s) < 2 or not (np.isfinite(s).all() and np.isfinite(z).all()):
        raise ValueError("the ground needs a finite height at each of at least two stations")
    if (np.diff(s) < 0.0).any() or (np.diff(posts) <= 0.0).any():
        raise ValueError("stations of knots must not fall, and those of posts must rise")
    if posts[0] < s[0] - 1e-6 or posts[-1] > s[-1] + 1e-6:
        raise ValueError("the ground does not reach from the first post to the last")
