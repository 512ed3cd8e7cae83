"""Bays between two fixed posts: rules, ends, given bays, moves, refusals."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import ProblemError
from palewright.layout.bays import (
    FOOT_SLACK,
    BayRules,
    Block,
    Division,
    NoDivision,
    divide,
    divide_between,
    moves,
)
from palewright.layout.bays_spacing import spacing

FOOT = 0.3048
EIGHT = BayRules(8 * FOOT)


def bays(division: Division, length: float) -> list[float]:
    return [b - a for a, b in itertools.pairwise([0.0, *division.posts_m, length])]


# ------------------------------------------------------------------ nothing in the way


def test_even_bays_are_the_fewest_and_equal() -> None:
    found = divide(100 * FOOT, EIGHT)
    assert found.bays == 13
    assert found.spread_m == 0.0
    assert (found.binding, found.proof) == ("longest bay", "closed form")
    assert bays(found, 100 * FOOT) == pytest.approx([100 * FOOT / 13] * 13)


@pytest.mark.parametrize("count", range(1, 60))
def test_a_length_that_divides_gets_no_extra_bay(count: int) -> None:
    """24 ft by 8 ft is 3 bays, though 24 x 0.3048 / (8 x 0.3048) is above 3 in floats."""
    assert divide(count * 8 * FOOT, EIGHT).bays == count
    assert divide(sum([8 * FOOT] * count), EIGHT).bays == count
    assert len(spacing(count * 8 * FOOT, 8 * FOOT, rule="short-last")) == count + 1


def test_one_bay_between_two_fixed_posts_may_be_as_short_as_it_is() -> None:
    found = divide(0.5, EIGHT)
    assert (found.bays, found.posts_m, found.binding) == (1, (), "fixed posts")


def test_a_shortest_bay_that_was_asked_for_holds_for_a_single_bay_too() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(0.5, BayRules(2.4, shortest_m=0.8))
    assert caught.value.cause == "shortest bay"
    assert caught.value.fixes[0].move_m == pytest.approx(0.3)
    assert caught.value.fixes[0].direction == "longer"


def test_no_length_no_bays() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(0.0, EIGHT)
    assert caught.value.cause == "length"
    for bad in (-1.0, math.nan, math.inf):
        with pytest.raises(ValueError, match="length"):
            divide(bad, EIGHT)


def test_limits_that_no_number_of_bays_keeps() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(3.0, BayRules(2.4, shortest_m=2.2))
    assert caught.value.cause == "shortest bay"
    assert [(f.direction, round(f.move_m, 6)) for f in caught.value.fixes] == [("shorter", 0.6), ("longer", 1.4)]


# ------------------------------------------------------------------ whole bays


def test_short_last_and_short_first_mirror_each_other() -> None:
    last = divide(100 * FOOT, BayRules(8 * FOOT, rule="short last"))
    first = divide(100 * FOOT, BayRules(8 * FOOT, rule="short first"))
    assert bays(last, 100 * FOOT) == pytest.approx([8 * FOOT] * 12 + [4 * FOOT])
    assert bays(first, 100 * FOOT) == pytest.approx([4 * FOOT] + [8 * FOOT] * 12)
    assert last.cut == first.cut == 1


def test_a_sliver_is_shared_with_its_neighbour() -> None:
    """98 ft by 8 ft leaves 2 ft, less than a third: the last two become 5 ft each; as typed where slivers are allowed."""
    found = divide(98 * FOOT, BayRules(8 * FOOT, rule="short last"))
    assert bays(found, 98 * FOOT) == pytest.approx([8 * FOOT] * 11 + [5 * FOOT] * 2)
    sliver = divide(98 * FOOT, BayRules(8 * FOOT, rule="short last", sliver=True))
    assert bays(sliver, 98 * FOOT) == pytest.approx([8 * FOOT] * 12 + [2 * FOOT])


def test_short_both_keeps_the_fewest_bays() -> None:
    found = divide(100 * FOOT, BayRules(8 * FOOT, rule="short both"))
    assert bays(found, 100 * FOOT) == pytest.approx([6 * FOOT] + [8 * FOOT] * 11 + [6 * FOOT])
    assert bays(divide(96 * FOOT, BayRules(8 * FOOT, rule="short both")), 96 * FOOT) == pytest.approx([8 * FOOT] * 12)
    assert bays(divide(10 * FOOT, BayRules(8 * FOOT, rule="short both")), 10 * FOOT) == pytest.approx([5 * FOOT] * 2)


def test_panels_are_never_longer_than_their_module() -> None:
    rules = BayRules(2.4384, rule="panels", module_m=1.8415)
    found = divide(30.48, rules)
    assert found.cut == 1
    assert max(bays(found, 30.48)) == pytest.approx(1.8415)
    pipe = Block(5.4, 5.7, "no hole", "pipe")
    moved = divide(30.48, rules, [pipe])
    assert moved.bays == found.bays
    assert moved.cut == 1
    assert moved.binding == "zone pipe"
    assert not any(5.4 < x < 5.7 for x in moved.posts_m)


# ------------------------------------------------------------------ zones


def test_a_zone_between_two_posts_changes_nothing() -> None:
    found = divide(12.0, BayRules(2.5), [Block(2.6, 4.6, "no hole", "gas")])
    assert found.spread_m == 0.0
    assert found.binding == "longest bay"


def test_a_zone_pushes_a_post_to_its_edge_and_binds() -> None:
    found = divide(12.0, BayRules(2.6), [Block(3.9, 5.1, "no hole", "gas")])
    assert found.posts_m == pytest.approx((2.55, 5.1, 7.4, 9.7))
    assert found.spread_m == pytest.approx(0.25)
    assert (found.binding, found.proof) == ("zone gas", "search closed")


def test_hand_dug_holes_are_fewer_than_no_post_at_all_is_worth() -> None:
    """A hand-dig zone may not cost a post: the post stands in it; a no-hole zone may."""
    hand = divide(10.0, BayRules(2.5), [Block(2.3, 2.7, "hand dig", "water")])
    assert (hand.bays, hand.hand_dig, hand.extra) == (4, 1, 0)
    never = divide(10.0, BayRules(2.5), [Block(2.3, 2.7, "no hole", "water")])
    assert (never.bays, never.hand_dig, never.extra) == (5, 0, 1)
    assert never.binding == "zone water"


def test_a_paint_margin_is_kept_only_where_it_costs_no_post() -> None:
    ring = [Block(4.0, 4.9, "no hole", "gas"), Block(3.9, 5.0, "paint", "gas")]
    free = divide(12.0, BayRules(2.6), ring)
    assert free.paint == 0
    assert 5.0 in free.posts_m
    tight = divide(12.0, BayRules(2.46), ring)
    assert (tight.bays, tight.paint) == (5, 1)


def test_a_hand_dug_hole_outweighs_any_paint_margin() -> None:
    blocks = [
        Block(2.2, 2.6, "hand dig", "water"),
        Block(1.5, 2.2, "paint", "water"),
        Block(2.6, 3.3, "paint", "water"),
    ]
    found = divide(7.2, BayRules(2.5), blocks)
    assert (found.hand_dig, found.paint) == (0, 1)


@pytest.mark.parametrize(
    "blocks",
    [
        [Block(-5.0, 0.0, "no hole", "before")],
        [Block(12.0, 15.0, "no hole", "behind")],
        [Block(-5.0, -1.0, "hand dig", "far")],
        [Block(4.8, 4.8, "no hole", "no width")],
        [Block(-1.0, 0.3, "no hole", "on the start"), Block(11.8, 13.0, "no hole", "on the end")],
    ],
)
def test_blocks_that_no_post_between_can_meet(blocks: list[Block]) -> None:
    assert divide(12.0, BayRules(2.5), blocks).spread_m == 0.0


def test_touching_nested_and_repeated_blocks_are_one() -> None:
    whole = divide(12.0, BayRules(2.6), [Block(3.9, 5.1, "no hole", "a")])
    touching = [Block(3.9, 4.8, "no hole", "a"), Block(4.8, 5.1, "no hole", "b")]
    nested = [Block(3.9, 5.1, "no hole", "a"), Block(4.2, 4.4, "no hole", "b"), Block(3.9, 5.1, "no hole", "c")]
    assert divide(12.0, BayRules(2.6), touching).posts_m == whole.posts_m
    assert divide(12.0, BayRules(2.6), nested).posts_m == whole.posts_m


def test_a_gap_just_wide_enough_for_one_post_is_used() -> None:
    walls = [Block(1.0, 2.4, "no hole", "a"), Block(2.4 + 1e-6, 3.7, "no hole", "b")]
    found = divide(4.8, BayRules(2.5), walls)
    assert found.bays == 2
    assert 2.4 <= found.posts_m[0] <= 2.4 + 1e-6


def test_a_layout_does_not_depend_on_the_order_of_the_blocks() -> None:
    blocks = [Block(2.2, 2.9, "no hole", "a"), Block(6.9, 7.7, "hand dig", "b"), Block(6.8, 7.8, "paint", "b")]
    answers = {divide(12.0, BayRules(2.5), order) for order in itertools.permutations(blocks)}
    assert len(answers) == 1


@given(
    st.floats(0.3, 60.0),
    st.floats(0.5, 4.0),
    st.sampled_from(["even", "short first", "short last", "short both", "panels"]),
    st.lists(
        st.tuples(st.floats(-2.0, 60.0), st.floats(0.0, 2.0), st.sampled_from(["no hole", "hand dig", "paint"])),
        max_size=5,
    ),
)
@settings(max_examples=150, deadline=None)
def test_hard_rules_hold_whatever_is_asked(
    length: float, longest: float, rule: str, zones: list[tuple[float, float, str]]
) -> None:
    rules = BayRules(longest, rule=rule)
    blocks = [Block(a, a + width, kind, f"z{k}") for k, (a, width, kind) in enumerate(zones)]
    cause = ""
    found: Division | None
    try:
        found = divide(length, rules, blocks)
    except NoDivision as refusal:
        cause, found = refusal.cause, None
    if found is None:
        assert cause == "zone"
        assert any(b.kind == "no hole" for b in blocks)
        return
    steps = bays(found, length)
    assert len(steps) == found.bays
    assert max(steps) <= longest + 2e-9
    assert found.bays == 1 or min(steps) >= rules.least_m - 2e-9
    assert max(steps) - min(steps) == pytest.approx(found.spread_m, abs=2e-9)
    for x in found.posts_m:
        assert not any(b.kind == "no hole" and b.start_m + 2e-9 < x < b.end_m - 2e-9 for b in blocks)


# ------------------------------------------------------------------ refusals


def test_a_wall_too_wide_names_the_zone_and_how_far_an_edge_must_give_way() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(20.0, BayRules(2.4), [Block(5.0, 8.0, "no hole", "cistern"), Block(12.0, 12.5, "no hole", "tree")])
    assert (caught.value.cause, caught.value.zone) == ("zone", "cistern")
    first = caught.value.fixes[0]
    assert (first.what, first.name) == ("zone", "cistern")
    assert first.move_m == pytest.approx(0.6, abs=1e-6)
    narrower = [Block(5.0 + first.move_m, 8.0, "no hole", "cistern"), Block(12.0, 12.5, "no hole", "tree")]
    assert divide(20.0, BayRules(2.4), narrower).bays >= 9


def test_a_smaller_change_would_not_do() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(20.0, BayRules(2.4), [Block(5.0, 8.0, "no hole", "cistern")])
    for fix in caught.value.fixes:
        if fix.what == "zone":
            edge = fix.move_m - 1e-5
            start, end = (5.0 + edge, 8.0) if fix.edge == "start" else (5.0, 8.0 - edge)
            with pytest.raises(NoDivision):
                divide(20.0, BayRules(2.4), [Block(start, end, "no hole", "cistern")])


def test_moving_the_end_as_told_makes_it_fit() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(7.0, BayRules(2.4), [Block(2.0, 6.9, "no hole", "slab")])
    ends = [fix for fix in caught.value.fixes if fix.what == "end"]
    assert ends
    for fix in ends:
        length = 7.0 - fix.move_m if fix.direction == "shorter" else 7.0 + fix.move_m
        assert divide(length, BayRules(2.4), [Block(2.0, 6.9, "no hole", "slab")]).bays >= 1


def test_a_block_over_everything_is_refused_at_once() -> None:
    with pytest.raises(NoDivision) as caught:
        divide(500.0, EIGHT, [Block(-1.0, 501.0, "no hole", "slab")])
    assert caught.value.zone == "slab"


# ------------------------------------------------------------------ given bays


def test_given_bays_stand_and_the_rest_is_divided() -> None:
    found = divide_between(20.0, BayRules(2.4), given_first=(1.2, 2.0), given_last=(0.5,))
    steps = bays(found, 20.0)
    assert steps[:2] == pytest.approx([1.2, 2.0])
    assert steps[-1] == pytest.approx(0.5)
    assert steps[2:-1] == pytest.approx([16.3 / 7] * 7)
    assert found.bays == 10


def test_given_bays_that_fill_the_leg() -> None:
    found = divide_between(4.0, BayRules(2.4), given_first=(2.0,), given_last=(2.0,))
    assert found.posts_m == pytest.approx((2.0,))
    only = divide_between(3.0, BayRules(2.4), given_first=(1.0, 2.0))
    assert only.posts_m == pytest.approx((1.0,))


def test_given_bays_are_tested_too() -> None:
    with pytest.raises(NoDivision) as longer:
        divide_between(20.0, BayRules(2.4), given_first=(2.5,))
    assert longer.value.cause == "longest bay"
    with pytest.raises(NoDivision) as over:
        divide_between(3.0, BayRules(2.4), given_first=(2.0,), given_last=(2.0,))
    assert over.value.cause == "given bays"
    with pytest.raises(NoDivision) as zone:
        divide_between(20.0, BayRules(2.4), [Block(1.0, 1.3, "no hole", "tap")], given_first=(1.2,))
    assert (zone.value.cause, zone.value.zone) == ("zone", "tap")
    assert (zone.value.fixes[0].direction, round(zone.value.fixes[0].move_m, 6)) == ("on", 0.1)
    hand = divide_between(20.0, BayRules(2.4), [Block(1.0, 1.3, "hand dig", "tap")], given_first=(1.2,))
    assert hand.hand_dig == 1


# ------------------------------------------------------------------ moves


def test_a_post_moves_until_the_first_contact() -> None:
    posts = [0.0, 2.0, 4.0]
    assert moves(posts, 1, BayRules(2.4))[:1] == pytest.approx((0.4,))
    back, back_stop, on, on_stop = moves(posts, 1, BayRules(2.4), [Block(1.0, 1.8, "no hole", "a")])
    assert (back, back_stop) == (pytest.approx(0.2), "zone a")
    assert (on, on_stop) == (pytest.approx(0.4), "bay")


def test_short_bays_stop_a_post_too() -> None:
    back, back_stop, on, on_stop = moves([0.0, 1.0, 2.0], 1, BayRules(2.4))
    assert (back, back_stop) == (pytest.approx(0.2), "short bay")
    assert (on, on_stop) == (pytest.approx(0.2), "short bay")


def test_paint_does_not_stop_a_post_and_ends_do_not_move() -> None:
    assert moves([0.0, 2.0, 4.0], 1, BayRules(2.4), [Block(1.9, 2.1, "paint", "a")])[0] == pytest.approx(0.4)
    for i in (0, 2, 3, -1):
        with pytest.raises(ValueError, match="fixed"):
            moves([0.0, 2.0, 4.0], i, BayRules(2.4))


@given(st.integers(3, 12), st.floats(0.0, 1.0), st.lists(st.tuples(st.floats(0, 25), st.floats(0.1, 1.0)), max_size=4))
@settings(max_examples=100, deadline=None)
def test_a_move_keeps_every_rule_and_a_longer_one_breaks_one(
    count: int, part: float, zones: list[tuple[float, float]]
) -> None:
    rules = BayRules(2.4)
    length = (count - part) * 2.4
    blocks = [Block(a, a + width, "no hole", f"z{k}") for k, (a, width) in enumerate(zones)]
    try:
        found = divide(length, rules, blocks)
    except NoDivision:
        return
    posts = [0.0, *found.posts_m, length]
    for i in range(1, len(posts) - 1):
        back, _, on, _ = moves(posts, i, rules, blocks)
        for sign, reach in ((-1, back), (1, on)):
            assert fits(posts, i, posts[i] + sign * reach, rules, blocks)
            assert not fits(posts, i, posts[i] + sign * (reach + 1e-5), rules, blocks)


def fits(posts: list[float], i: int, x: float, rules: BayRules, blocks: list[Block]) -> bool:
    sides = (x - posts[i - 1], posts[i + 1] - x)
    longest = rules.longest_m * (1.0 + FOOT_SLACK)  # a leg of whole survey feet may have bays 2 ppm longer
    good = all(rules.least_m - 1e-8 <= side <= longest + 1e-8 for side in sides)
    return good and not any(b.start_m + 1e-8 < x < b.end_m - 1e-8 for b in blocks)


# ------------------------------------------------------------------ the plain sum


def test_spacing_along_a_slope_is_shorter_on_the_level() -> None:
    level = spacing(100.0, 3.048)
    slope = spacing(100.0, 3.048, grade=0.2)
    assert len(level) - 1 == 33
    assert len(slope) - 1 == math.ceil(100.0 * math.hypot(1.0, 0.2) / 3.048) == 34
    assert spacing(100.0, 3.048, grade=-0.2) == slope
    last = spacing(100.0, 3.048, rule="short-last", grade=0.2)
    assert (last[1] - last[0]) * math.hypot(1.0, 0.2) == pytest.approx(3.048)


def test_spacing_refuses_what_cannot_be_divided() -> None:
    with pytest.raises(ProblemError) as caught:
        spacing(3.0, 2.4, shortest_m=2.2)
    assert caught.value.problems[0].slug == "no-spacing"
    with pytest.raises(ProblemError) as both:
        spacing(-1.0, 0.0, shortest_m=3.0, rule="uneven")
    assert {p.slug for p in both.value.problems} == {"length-out-of-range", "bay-out-of-range", "unknown-rule"}


@given(st.floats(0.05, 300.0), st.floats(0.3, 12.0), st.sampled_from(["even", "short-last", "short-both"]))
@settings(max_examples=200, deadline=None)
def test_spacing_is_what_a_plan_uses(length: float, longest: float, rule: str) -> None:
    marks = spacing(length, longest, rule=rule)
    assert marks[0] == 0.0
    assert marks[-1] == length
    plan = divide(length, BayRules(longest, rule=rule.replace("-", " "), sliver=True))
    assert [0.0, *plan.posts_m, length] == pytest.approx(list(marks), abs=1e-9)


def test_bad_rules_are_refused() -> None:
    for make in (
        lambda: BayRules(0.0),
        lambda: BayRules(2.4, -1.0),
        lambda: BayRules(2.4, rule="uneven"),
        lambda: BayRules(2.4, module_m=0.0),
        lambda: Block(2.0, 1.0, "no hole", "x"),
        lambda: Block(1.0, 2.0, "maybe", "x"),
    ):
        with pytest.raises(ValueError):
            make()
