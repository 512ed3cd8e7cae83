"""Rules of height and of pool barriers on real ground: judged where they bind, and kept in the layout where they can."""

from __future__ import annotations

import pytest
from tests.permit.lots import IN, LOT, findings, permit_of, planned, rule

from palewright.errors import JobError

PLANE = """heights:
  - spots: [[-40 ft, -20 ft, 97 ft], [100 ft, -20 ft, 97 ft], [-40 ft, 140 ft, 113 ft], [100 ft, 140 ft, 113 ft]]
"""
"""Ground that rises 1 in 10 from the street to the rear and is level across."""

STORY = "heights: [{rises: 10.5 ft, from: P, to: Q, even: yes}]\n"


def left(follows: str, low: str = "5 ft", high: str = "110 ft", more: str = "") -> str:
    text = LOT.replace("boundary:", f"  P: {{at: [1 ft, {low}]}}\n  Q: {{at: [1 ft, {high}]}}\nboundary:", 1)
    return text + f"runs: [{{name: left, fence: privacy, through: [P, Q], yard: right, follows: {follows}{more}}}]\n"


def test_a_racked_fence_is_as_high_as_on_level_ground() -> None:
    """6 ft of boards 2 in above the ground, everywhere."""
    found = findings(left("racked") + PLANE, rule("height", most='"6 ft 2 in"'))
    assert [f.verdict for f in found] == ["meets"]
    assert found[0].measure == "height-on-ground"
    assert found[0].provided == pytest.approx(74 * IN)


def test_a_stepped_fence_is_measured_at_the_low_end_of_its_bays() -> None:
    """Bays of 8 ft fall 9.6 in: with 1/2 in at the high end the low end stands 6 ft 10.1 in high."""
    text = left("stepped", "5 ft", "85 ft") + PLANE
    found = findings(text, rule("height", most='"6 ft 11 in"'))
    assert [f.verdict for f in found] == ["meets"]
    bays = planned(text, rule("height", most='"6 ft 11 in"')).design.meetings[0].bays
    assert found[0].provided == pytest.approx(max(bay.highest_m for bay in bays))
    assert 82.1 * IN - 1e-9 <= found[0].provided <= 82.6 * IN  # marks stand a quarter of an inch apart
    # a rule that the fence breaks on level ground presses nothing into the ground
    low = findings(text, rule("height", most='"6 ft"'))
    assert [f.verdict for f in low] == ["does-not"]
    assert low[0].provided >= 82.1 * IN - 1e-9


def test_low_and_high_side_are_two_rules() -> None:
    """6 ft on the high side, 8 ft on the low side (as one town writes it), along a line where the ground beside falls
    1 in 4 across: 3 ft off it is 9 in higher on one side and 9 in lower on the other."""
    across = PLANE.replace("-20 ft, 97 ft", "-20 ft, 100 ft").replace("140 ft, 113 ft", "140 ft, 100 ft")
    across = across.replace("[100 ft, -20 ft, 100", "[100 ft, -20 ft, 135").replace(
        "[100 ft, 140 ft, 100", "[100 ft, 140 ft, 135"
    )
    two = {
        side: findings(left("racked") + across, rule("height", most='"8 ft"', measured=f'"{side}"', within='"3 ft"'))[0]
        for side in ("higher side", "lower side", "own grade")
    }
    assert two["own grade"].provided == pytest.approx(74 * IN, abs=0.26 * IN)
    assert two["higher side"].provided == pytest.approx(two["own grade"].provided - 9 * IN)
    assert two["lower side"].provided == pytest.approx(two["own grade"].provided + 9 * IN)
    six = {side: rule("height", most='"6 ft"', measured=f'"{side}"', within='"3 ft"') for side in two}
    verdicts = {side: findings(left("racked") + across, text)[0].verdict for side, text in six.items()}
    assert verdicts == {"higher side": "meets", "lower side": "does-not", "own grade": "does-not"}


def test_a_side_that_nobody_measured_is_asked_for_where_it_could_change_the_result() -> None:
    """Only the line itself is known: a height from the lower side may be more, one from the higher side less."""
    text = left("racked") + STORY
    lower = findings(text, rule("height", most='"6 ft 6 in"', measured='"lower side"'))
    assert [(f.verdict, f.ask) for f in lower] == [("ask", "other-side-not-known")]
    assert findings(text, rule("height", most='"6 ft 6 in"', measured='"higher side"'))[0].verdict == "meets"
    assert findings(text, rule("height", most='"6 ft"', measured='"higher side"'))[0].verdict == "ask"
    assert findings(text, rule("height", most='"6 ft"', measured='"lower side"'))[0].verdict == "does-not"


def test_ground_near_needs_its_distance() -> None:
    with pytest.raises(JobError) as caught:
        permit_of(left("racked") + PLANE, rule("height", most='"6 ft"', measured='"highest within"'))
    assert caught.value.problems[0].slug == "rules-missing-key"


def test_a_height_rule_is_kept_in_its_yard_alone() -> None:
    """A level top may stand high in the rear and not in the side yard; the layout breaks nothing there it can keep."""
    text = left("stepped", "5 ft", "115 ft", ", steps: {in: 12 in}").replace("gap: 2 in", "gap: 2 in, most gap: 30 in")
    rules = rule("height", most='"7 ft 1 in"', yards='["rear"]', depth='"20 ft"')
    found = findings(text + PLANE, rules)
    free = findings(text + PLANE, rules.replace("7 ft 1 in", "20 ft"))
    assert {f.yard: f.verdict for f in found} == {"rear": "meets"}
    assert free[0].provided > 85 * IN >= found[0].provided
    met = planned(text + PLANE, rules).design.meetings[0].bays
    assert max(bay.highest_m for bay in met) > 85 * IN  # beyond the rear yard


def test_known_ground_is_judged_where_part_of_a_run_is_not_known() -> None:
    """The known part as it stands; the rest as on level ground, where 6 ft 2 in are 6 ft 2 in."""
    string = "heights: [{spot: P, height: 100 ft}, {string: left, drops: [[0 ft, 60 in], [50 ft, 0 in]]}]\n"
    found = findings(left("stepped") + string, rule("height", most='"6 ft 11 in"'))
    assert [(f.measure, f.verdict) for f in found] == [("height-on-ground", "meets"), ("height", "meets")]
    assert found[0].provided > 81 * IN  # bays of 7 1/2 ft fall 9 in
    assert found[1].provided == pytest.approx(74 * IN)


POOL = "lot: {pools: [{name: pool, through: [[30 ft, 70 ft], [40 ft, 70 ft], [40 ft, 80 ft]], barrier: [left]}]}\n"


def test_a_pool_barrier_is_judged_at_its_widest_gap_and_lowest_top() -> None:
    """CPSC guidelines for pools: at most 2 in over soil, 48 in high outside, rails 45 in apart. Stepped on 1 in 10 the
    gap cannot be kept; racked it can."""
    rules = rule("pool", height='"48 in"', gap='"2 in"')
    stepped = {f.measure: f for f in findings(left("stepped") + PLANE + POOL, rules)}
    assert stepped["gap-on-ground"].verdict == "does-not"
    assert stepped["gap-on-ground"].provided == pytest.approx(9.5 * IN, abs=0.26 * IN)  # bays of 7 1/2 ft, 1/2 in above
    assert stepped["barrier-on-ground"].verdict == "meets"
    racked = {f.measure: f for f in findings(left("racked") + PLANE + POOL, rules)}
    assert racked["gap-on-ground"].verdict == "meets"
    assert racked["gap-on-ground"].provided <= 2 * IN + 1e-9
    assert racked["barrier-on-ground"].provided >= 72 * IN


def test_a_step_brings_rails_nearer_together() -> None:
    """Rails on the outside stand far enough apart within a bay; across a step they are nearer by the step."""
    text = (left("stepped", "5 ft", "85 ft") + PLANE + POOL).replace(
        "good side: neighbour", "good side: yard, rails: 2"
    )
    flat = findings(text.replace(PLANE, ""), rule("pool", rails_apart='"45 in"'))[0]
    assert flat.measure == "rails-apart"
    assert flat.verdict == "meets"
    design = planned(text, rule("pool", rails_apart='"45 in"')).design
    step = max(abs(height.step_m) for height in design.meetings[0].posts)
    found = findings(text, rule("pool", rails_apart='"45 in"'))[0]
    assert found.measure == "rails-at-step"
    assert found.provided == pytest.approx(flat.provided - step)
    post = dict(found.args)["post"]
    assert step == pytest.approx(max(abs(h.step_m) for h in design.meetings[0].posts if h.post == post))
