"""The best way to meet the ground against HiGHS on the same model, written independently in bench/meeting_milp.py."""

from __future__ import annotations

import numpy as np
import pytest
from bench.meeting_milp import solve

from palewright.layout.meeting import meet
from palewright.layout.meeting_build import PENALTIES, build
from palewright.layout.meeting_chain import best_chain, nearest
from palewright.layout.meeting_ground import envelopes
from palewright.layout.meeting_price import priced
from palewright.layout.meeting_rules import GroundRules, LookWeights

from .meeting_ground_builder import profile, rules

_CASES = [(mode, k) for mode in ("stepped", "racked", "mixed") for k in range(10)]


def _compare(mode: str, rng: np.random.Generator) -> bool:
    """One random run; whether the rules left anything."""
    bays = int(rng.integers(1, 8))
    s, z, posts = profile(rng, bays)
    asked, weights = (
        rules(rng, grid_in=0.5),
        LookWeights(gap=float(rng.choice([0.2, 0.5])), even=float(rng.choice([0.0, 1.0]))),
    )
    mine = meet(s, z, posts, asked, mode, weights=weights)
    theirs = solve(s, z, posts, asked, weights, [mode] * bays)
    if theirs is None:
        assert mine.breaks
        return False
    modes = ["racked" if racked else "stepped" for racked in theirs.racked]
    tops, ground = theirs.bottoms + asked.infill_m, np.interp(posts, s, z)
    exact = sum(priced(modes, theirs.bottoms, tops, posts, ground, asked, weights).values())
    assert not mine.breaks
    assert mine.cost == pytest.approx(exact, abs=1e-9)
    assert mine.cost == pytest.approx(theirs.cost, abs=1e-6)
    assert mine.bound == mine.cost
    return True


@pytest.mark.parametrize(("mode", "k"), _CASES)
def test_same_optimum_as_highs(mode: str, k: int) -> None:
    """Ten random runs each: the same least cost to 1e-9, and no answer exactly where HiGHS has none."""
    rng = np.random.default_rng([k, len(mode)])
    assert sum(_compare(mode, rng) for _ in range(10)) >= 2


def test_distance_transform_is_the_least_of_all() -> None:
    rng = np.random.default_rng(5)
    for _ in range(50):
        rows, columns, out = rng.integers(1, 9, 3)
        price = np.where(rng.random((rows, columns)) < 0.2, np.inf, rng.random((rows, columns)))
        first, weight = int(rng.integers(-5, 5)), float(rng.random())
        for q in (rng.integers(-9, 9, (columns, out)), rng.uniform(-9.0, 9.0, (columns, out))):
            number = first + np.arange(rows)
            all_of_them = price[:, :, None] + weight * np.abs(number[:, None, None] - q[None, :, :])
            assert nearest(price, first, q, weight) == pytest.approx(all_of_them.min(0), abs=1e-12)


def test_enumeration_of_a_small_run() -> None:
    """Three level bays on a coarse grid, every choice tried."""
    s, z = np.array([0.0, 2.0, 4.0, 6.0]), np.array([0.0, -0.1, -0.3, -0.35])
    asked = GroundRules(1.8, 0.0, 0.05, 0.35, smallest_step_m=0.1, grid_m=0.05)
    weights, ground = LookWeights(), np.array(z)
    best = np.inf
    for levels in np.stack(np.meshgrid(*[np.arange(-8, 3)] * 3), axis=-1).reshape(-1, 3):
        level = 0.05 + 0.05 * levels
        bottoms = np.stack([level, level], axis=1)
        room = bottoms - np.stack([z[:-1], z[1:]], axis=1)
        step = np.abs(np.diff(level))
        if room.min() < -1e-9 or room.max() > 0.35 + 1e-9 or ((step > 1e-9) & (step < 0.1 - 1e-9)).any():
            continue
        shares = priced(["stepped"] * 3, bottoms, bottoms + 1.8, s, ground, asked, weights)
        best = min(best, sum(shares.values()))
    assert meet(s, z, s, asked, "stepped").cost == pytest.approx(best, abs=1e-12)


def test_the_least_break_is_weighed_exactly() -> None:
    """Where rules conflict: what the programme found least is what its own answer, judged from its lines, weighs."""
    seen = 0
    for k in range(60):
        rng = np.random.default_rng([3, k])
        s, z, posts = profile(rng, int(rng.integers(1, 6)), roughness_in=4.0)
        asked = rules(rng, grid_in=0.5)
        mode = str(rng.choice(["stepped", "racked", "mixed"]))
        met = meet(s, z, posts, asked, mode)
        if not met.breaks:
            continue
        seen += 1
        bays = envelopes(s, z, posts, asked, (s, z))
        base = float(np.interp(posts[0], s, z)) + asked.target_m
        least, _ = best_chain(build(bays, [mode] * len(bays), asked, LookWeights(), base, soft=True))
        assert met.cost == pytest.approx(least, abs=1e-6)
        assert met.parts["breaks"] == pytest.approx(
            sum(PENALTIES[x.rule] * (x.by_m + asked.grid_m) for x in met.breaks), abs=1e-9
        )
    assert seen >= 20


def test_a_least_break_by_enumeration() -> None:
    """Two level bays that cannot keep their gap: every pair of levels tried, each rule at its worst place."""
    s, z = np.array([0.0, 1.0, 2.0, 4.0]), np.array([0.0, 0.3, 0.0, -0.5])
    posts = np.array([0.0, 2.0, 4.0])
    asked = GroundRules(1.8, 0.0, 0.05, 0.2, smallest_step_m=0.1, grid_m=0.05)
    weights, best = LookWeights(), np.inf
    for i in range(-12, 12):
        for j in range(-12, 12):
            level = 0.05 + 0.05 * np.array([i, j])
            if 0 < abs(i - j) < 2:
                continue
            missed = 0.0
            for bottom, low, high in ((level[0], 0.3, 0.0), (level[1], 0.0, -0.5)):
                for rule, by in (("least-gap", low - bottom), ("most-gap", bottom - high - 0.2)):
                    missed += PENALTIES[rule] * (by + asked.grid_m) if by > 1e-9 else 0.0
            bottoms = np.stack([level, level], axis=1)
            shares = priced(["stepped"] * 2, bottoms, bottoms + 1.8, posts, np.array([0.0, 0.0, -0.5]), asked, weights)
            best = min(best, missed + sum(shares.values()))
    assert meet(s, z, posts, asked, "stepped").cost == pytest.approx(best, abs=1e-9)


def test_the_weightier_rule_is_not_broken_by_a_sliver() -> None:
    """A level bay, ground falling 7.1 in, a grid of 1/4 in. The law at 73.6 in: the top is as high as it lets it be.

    Without a law: gap 1 to 2 in, levels at 0.99 and 1.24 in; the least gap holds, though 1/100 in of it would save 1/4.
    """
    inch = 0.0254
    s, z = np.array([0.0, 2.4]), np.array([0.0, -7.1 * inch])
    common = {"infill_m": 72 * inch, "least_m": inch, "most_m": 2 * inch, "grid_m": 0.25 * inch}
    lawful = meet(s, z, s, GroundRules(**common, target_m=2 * inch, legal_m=73.6 * inch), "stepped")
    assert [item.rule for item in lawful.breaks] == ["least-gap"]
    assert 73.6 - 0.25 < (lawful.tops_m[0] - z).max() / inch <= 73.6 + 1e-6
    free = meet(s, z, s, GroundRules(**common, target_m=1.99 * inch), "stepped")
    assert [item.rule for item in free.breaks] == ["most-gap"]
    assert free.bottoms_m.min() / inch == pytest.approx(1.24, abs=1e-9)


@pytest.mark.parametrize("mode", ["stepped", "racked", "mixed"])
def test_long_chains_find_their_way_back(mode: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tables kept of every few bays only: the same bays as with all of them."""
    s, z, posts = profile(np.random.default_rng(9), 14)
    asked = GroundRules(1.8, 0.0, 0.05, 0.5, grid_m=0.0127)
    whole = meet(s, z, posts, asked, mode)
    for block in (1, 2, 3, 7, 13, 14):
        monkeypatch.setattr("palewright.layout.meeting_chain._BLOCK", block)
        pieces = meet(s, z, posts, asked, mode)
        assert pieces.bottoms_m.tolist() == whole.bottoms_m.tolist()
        assert pieces.modes == whole.modes


def test_a_wall_in_mid_bay_is_told() -> None:
    """Ground that drops 5 m at one station: a level bay stands on the upper ground, a racked one cuts through it."""
    s, z = np.array([0.0, 1.0, 1.0, 2.0, 4.0]), np.array([0.0, 0.0, -5.0, -5.0, -5.0])
    for mode in ("stepped", "racked", "mixed", "grade", "best"):
        met = meet(s, z, np.array([0.0, 2.0, 4.0]), GroundRules(1.8, 0.0, 0.05, 0.2, most_infill_m=3.0), mode)
        wall = max(met.breaks, key=lambda item: item.by_m)
        assert (wall.bay, wall.at_m) in ((0, 1.0), (0, 2.0))
        assert wall.by_m > 2.0
        cut = {item.rule for item in met.breaks if item.by_m > 0.5}
        assert cut == ({"least-gap", "most-gap"} if mode in ("racked", "grade") else {"most-gap"})


def test_best_keeps_to_the_ways_it_may_go() -> None:
    s, z, posts = profile(np.random.default_rng(4), 6, roughness_in=0.0)
    asked = GroundRules(1.8, 0.0, 0.05, 0.6)
    for way in ("racked", "stepped", "level-top"):
        met = meet(s, z, posts, asked, "best", ways=[way])
        assert set(met.modes) == {way}
        assert met.cost == pytest.approx(meet(s, z, posts, asked, way).cost)
    free = meet(s, z, posts, asked, "best").cost
    assert free <= min(meet(s, z, posts, asked, way).cost for way in ("racked", "stepped", "level-top")) + 1e-9
