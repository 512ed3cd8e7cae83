"""No fence bottom breaks its gap rule and no top its legal height, anywhere, unless it is told: densely sampled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from palewright.errors import ProblemError
from palewright.layout.meeting import MODES, meet
from palewright.layout.meeting_ground import reference
from palewright.layout.meeting_remedies import ground_remedies
from palewright.layout.meeting_rules import Floats, GroundRules, Met

from .meeting_ground_builder import FT, IN, profile, rules

_WAYS = ("own grade", "post", "higher side", "highest within", "lowest within")


def _dense(s: Floats, a: float, b: float) -> Floats:
    """Every centimetre from post to post, and the knots."""
    return np.unique(np.concatenate([np.arange(a, b, 0.01), s[(s >= a) & (s <= b)], [b]]))


def _sampled(
    met: Met, s: Floats, z: Floats, posts: Floats, asked: GroundRules, above: Callable[[Floats], Floats] | None
) -> set[tuple[str, int]]:
    """(rule, bay) of everything that dense sampling finds broken; above: heights from which the law counts."""
    found = set()
    for i, (a, b) in enumerate(pairwise(posts.tolist())):
        at = _dense(s, a, b)
        ground = np.interp(at, s, z)
        bottom = np.interp(at, (a, b), met.bottoms_m[i])
        if met.modes[i] == "level-top":
            bottom = ground + asked.target_m
        top = np.interp(at, (a, b), met.tops_m[i])
        gap = bottom - ground
        if gap.min() < asked.least_m - 1e-8:
            found.add(("least-gap", i))
        if gap.max() > asked.most_m + 1e-8:
            found.add(("most-gap", i))
        if asked.legal_m is not None and above is not None and (top - above(at)).max() > asked.legal_m + 1e-8:
            found.add(("legal-height", i))
    return found


def _counted_from(
    way: str, s: Floats, z: Floats, beside: tuple[Floats, Floats], within: float
) -> Callable[[Floats], Floats]:
    """Heights from which the law counts, looked up place by place, without the program's own way to find them."""

    def highest(at: Floats, sign: float) -> Floats:
        near = np.abs(s[None, :] - at[:, None]) <= within
        knots = np.where(near, sign * z, -np.inf).max(axis=1)
        ends = np.stack([sign * np.interp(np.clip(at + d, s[0], s[-1]), s, z) for d in (-within, within)])
        return sign * np.maximum(knots, ends.max(axis=0))

    return {
        "own grade": lambda at: np.interp(at, s, z),
        "higher side": lambda at: np.maximum(np.interp(at, s, z), np.interp(at, *beside)),
        "highest within": lambda at: highest(at, 1.0),
        "lowest within": lambda at: highest(at, -1.0),
    }.get(way, lambda at: np.full(len(at), np.inf))


@pytest.mark.parametrize("part", range(10))
def test_a_thousand_random_profiles(part: int) -> None:
    kept = 0
    for k in range(100):
        rng = np.random.default_rng([part, k])
        bays = int(rng.integers(1, 13))
        s, z, posts = profile(rng, bays, roughness_in=float(rng.choice([0.0, 1.0, 3.0])))
        asked = rules(rng)
        mode: str | list[str] = str(rng.choice(MODES))
        if rng.random() < 0.2:
            mode = [str(one) for one in rng.choice(MODES, bays)]
        way = str(rng.choice(_WAYS))
        beside = (np.array([0.0, posts[-1]]), np.interp([0.0, posts[-1]], s, z) + rng.normal(0.0, 0.1, 2))
        within = float(rng.uniform(0.1, 3.0))
        ref = reference(s, z, way, posts_m=posts, within_m=within, beside=beside)
        gates = rng.random(bays) < 0.1
        met = meet(s, z, posts, asked, mode, gates=gates.tolist(), measured=ref)
        told = {(item.rule, item.bay) for item in met.breaks}
        dense = _sampled(met, s, z, posts, asked, _counted_from(way, s, z, beside, within))
        assert dense <= told, (part, k, mode, way)
        if way == "post" and asked.legal_m is not None:
            tall = met.tops_m - np.interp(np.stack([posts[:-1], posts[1:]], axis=1), s, z)
            high = set(np.flatnonzero(tall.max(axis=1) > asked.legal_m + 1e-8).tolist())
            assert high == {bay for rule, bay in told if rule == "legal-height"}
        # what is told is there: the worst place of a gap is a knot or a post
        assert {item for item in told if item[0] in ("least-gap", "most-gap")} <= dense
        _rack_and_steps(met, posts, asked, [mode] * bays if isinstance(mode, str) else mode)
        kept += not told
        for remedy in ground_remedies(met, s, z, posts, asked, ref):
            assert remedy.amount_m > 0.0
            inside = posts[remedy.bay] - 1e-9 <= remedy.from_m <= remedy.to_m <= posts[remedy.bay + 1] + 1e-9
            assert inside or remedy.slug == "more-levels"
    assert kept >= 15


def _rack_and_steps(met: Met, posts: Floats, asked: GroundRules, modes: list[str]) -> None:
    """Racked bays keep their limit and step only where a level bay might stand; steps are as they must be."""
    told = {(item.rule, item.bay) for item in met.breaks}
    rise = np.diff(met.bottoms_m, axis=1)[:, 0]
    for i, mode in enumerate(met.modes):
        if mode == "racked" and asked.rack is not None and ("rack", i) not in told:
            assert abs(rise[i]) <= asked.rack * (posts[i + 1] - posts[i]) + 1e-8
        if mode == "stepped":
            assert rise[i] == 0.0
        if not i or not {mode, met.modes[i - 1]} <= {"racked", "stepped"}:
            continue
        step = abs(met.bottoms_m[i, 0] - met.bottoms_m[i - 1, 1])
        if mode == met.modes[i - 1] == "racked" and not {"mixed", "best"}.intersection(modes[i - 1 : i + 1]):
            assert step < 1e-9
        elif step > 1e-9:
            assert step >= asked.smallest_step_m - 1e-8
            assert step <= asked.largest_step_m + 1e-8 or ("largest-step", i) in told
            if asked.step_multiple_m:
                assert step / asked.step_multiple_m == pytest.approx(round(step / asked.step_multiple_m), abs=1e-6)


@pytest.mark.parametrize("mode", MODES)
def test_flat_ground_is_exactly_flat(mode: str) -> None:
    posts = np.arange(6) * 2.4
    asked = GroundRules(72 * IN, 0.5 * IN, 2 * IN, 4 * IN, rack=0.1, smallest_step_m=2 * IN)
    met = meet(np.array([0.0, 5.0, 12.0]), np.zeros(3), posts, asked, mode)
    assert met.bottoms_m.tolist() == [[2 * IN, 2 * IN]] * 5
    assert met.tops_m.tolist() == [[2 * IN + 72 * IN] * 2] * 5
    assert met.breaks == ()
    assert met.cost == (5 * met.weights.scribe if mode == "level-top" else 0.0)


def test_a_hump_in_mid_bay_lifts_the_bay() -> None:
    s, z = np.array([0.0, 4 * FT, 8 * FT]), np.array([0.0, 3 * IN, 0.0])
    for mode in ("racked", "stepped", "grade"):
        met = meet(s, z, np.array([0.0, 8 * FT]), GroundRules(1.8, 1 * IN, 2 * IN, 6 * IN, grid_m=0.25 * IN), mode)
        assert met.bottoms_m.mean() == pytest.approx(4 * IN)  # one inch above the hump
        assert not met.breaks


def test_a_conflict_says_rule_place_and_size_and_offers_remedies() -> None:
    """A dip of 6 in in mid-bay under a gap of at most 4 in: two inches too much, and no bay that reaches lower."""
    s, z = np.array([0.0, 4 * FT, 8 * FT]), np.array([0.0, -6 * IN, 0.0])
    asked = GroundRules(1.8, 0.0, 2 * IN, 4 * IN)
    posts = np.array([0.0, 8 * FT])
    met = meet(s, z, posts, asked, "racked")
    (item,) = met.breaks
    assert (item.rule, item.bay, item.at_m) == ("most-gap", 0, 4 * FT)
    assert item.by_m == pytest.approx(2 * IN)
    assert item.found_m == pytest.approx(6 * IN)
    assert "least break" in met.proof
    offered = {remedy.slug: remedy for remedy in ground_remedies(met, s, z, posts, asked)}
    assert set(offered) == {"fill", "kick-board", "more-gap", "another-bay"}
    assert offered["fill"].amount_m == pytest.approx(2 * IN)
    # the gap is above 4 in where the dip is deeper than 4 in: the middle third
    assert offered["fill"].from_m == pytest.approx(8 * FT / 3)
    assert offered["fill"].to_m == pytest.approx(8 * FT * 2 / 3)
    assert offered["another-bay"].count == 2
    halves = meet(s, z, np.array([0.0, 4 * FT, 8 * FT]), asked, "racked")
    assert not halves.breaks


def test_steep_ground_is_racked_as_far_as_it_goes_and_steps_at_the_posts() -> None:
    """20 percent under panels that rack 10 in in 72 in: racked alone breaks a limit; mixed racks by 10 and steps 4.4.

    With a gap of 1/2 to 7 in level bays cannot do it: each takes 14.4 in of fall. Racked bays take 4.4 in of it.
    """
    posts = np.arange(6) * 6 * FT
    s, z = posts[[0, -1]], np.array([0.0, -0.2 * posts[-1]])
    asked = GroundRules(1.5, 0.5 * IN, 2 * IN, 7 * IN, rack=10 / 72)
    racked, stepped = (meet(s, z, posts, asked, mode) for mode in ("racked", "stepped"))
    assert racked.breaks
    assert stepped.breaks
    for mode in ("mixed", "best"):
        met = meet(s, z, posts, asked, mode)
        assert not met.breaks
        assert met.modes == ("racked",) * 5
        assert np.diff(met.bottoms_m, axis=1)[:, 0] / IN == pytest.approx([-10.0] * 5, abs=0.25)
        assert (met.bottoms_m[1:, 0] - met.bottoms_m[:-1, 1]) / IN == pytest.approx([-4.4] * 4, abs=0.5)
        assert met.parts["step"] == pytest.approx(4 * met.weights.step)
        assert met.parts["change"] == pytest.approx(4 * met.weights.change)
        assert met.parts["bend"] == 0.0


def test_equal_steps_on_an_even_fall() -> None:
    posts = np.arange(11) * 8 * FT
    s, z = posts[[0, -1]], np.array([0.0, -10 * 7.2 * IN])
    asked = GroundRules(1.8, 0.0, 2 * IN, 14 * IN, grid_m=0.25 * IN, equal=True)
    met = meet(s, z, posts, asked, "stepped")
    steps = np.diff(met.bottoms_m[:, 0])
    assert np.ptp(steps) < 1e-9
    assert steps[0] == pytest.approx(-7.25 * IN) or steps[0] == pytest.approx(-7 * IN)


def test_a_gate_frees_its_bay_and_its_leaf_is_level() -> None:
    posts = np.arange(4) * 2.0
    s, z = posts[[0, -1]], np.array([0.0, -0.6])
    met = meet(s, z, posts, GroundRules(1.5, 0.0, 0.05, 0.4, grid_m=0.01), "racked", gates=[False, True, False])
    assert met.modes == ("racked", "gate", "racked")
    assert met.bottoms_m[1] == pytest.approx([-0.15, -0.15])
    given = meet(
        s, z, posts, GroundRules(1.5, 0.0, 0.05, 0.4), "racked", gates=[False, True, False], leaves_m=[None, 0.1, None]
    )
    assert given.bottoms_m[1].tolist() == [0.1, 0.1]


def test_level_top_with_breaks() -> None:
    posts = np.arange(5) * 2.0
    s, z = posts[[0, -1]], np.array([0.0, -0.8])
    asked = GroundRules(1.5, 0.0, 0.05, 0.1, grid_m=0.01)
    whole = meet(s, z, posts, asked, "level-top")
    assert whole.tops_m == pytest.approx(np.full((4, 2), 1.55))
    broken = meet(s, z, posts, asked, "level-top", breaks_at=[2])
    assert broken.tops_m[2:] == pytest.approx(np.full((2, 2), 1.15))


def test_a_level_top_that_is_too_high_is_divided() -> None:
    """A fall of 10 in in every bay, 6 ft of boards, 8 ft allowed: two bays to a level, so three levels for six bays."""
    posts = np.arange(7) * 8 * FT
    s, z = posts[[0, -1]], np.array([0.0, -60 * IN])
    asked = GroundRules(72 * IN, 1 * IN, 2 * IN, 3 * IN, legal_m=96 * IN)
    met = meet(s, z, posts, asked, "level-top")
    assert {item.rule for item in met.breaks} == {"legal-height"}
    levels = [remedy for remedy in ground_remedies(met, s, z, posts, asked) if remedy.slug == "more-levels"]
    assert {remedy.count for remedy in levels} == {3}
    assert not meet(s, z, posts, asked, "level-top", breaks_at=[2, 4]).breaks
    # boards of 10 ft at most: 72 + 40 in reach over four bays
    long = replace(asked, legal_m=None, most_infill_m=120 * IN)
    met = meet(s, z, posts, long, "level-top")
    assert {item.rule for item in met.breaks} == {"longest-infill"}
    assert {remedy.count for remedy in ground_remedies(met, s, z, posts, long)} == {2}
    assert not meet(s, z, posts, long, "level-top", breaks_at=[4]).breaks


def test_long_wire_lines_cost_one_look() -> None:
    """Ten thousand bays of rolling ground, one hump: the target everywhere but round the hump."""
    posts = np.arange(10_001) * 3.0
    s = np.unique(np.concatenate([posts, [15_001.5]]))
    z = 5.0 * np.sin(s / 200.0)
    z[np.searchsorted(s, 15_001.5)] += 0.3
    asked = GroundRules(1.2, 0.0, 0.1, 0.4, grid_m=0.01)
    met = meet(s, z, posts, asked, "grade")
    assert not met.breaks
    off = met.bottoms_m[:, 0] - np.interp(posts[:-1], s, z) - 0.1
    assert np.flatnonzero(np.abs(off) > 1e-9).tolist() in ([5000, 5001], [5000], [5001])
    # a hump of 0.3 above the chord asks for 0.2 more in the middle, so 0.4 shared by two posts, whichever way
    assert off.sum() == pytest.approx(0.4, abs=0.021)


def test_contradicting_rules_are_a_problem() -> None:
    with pytest.raises(ProblemError) as caught:
        meet(np.array([0.0, 2.0]), np.zeros(2), np.array([0.0, 2.0]), GroundRules(1.8, 0.1, 0.05, 0.2), "racked")
    assert caught.value.problems[0].slug == "ground-rules-contradict"
