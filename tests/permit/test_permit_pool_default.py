"""Pool barriers that end at a house (ISPSC 2015, 305.4, as quoted by others), and in a job without rules: figures of ISPSC 305
(from memory, as the CPSC guide copies them) stand in."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.permit.lots import IN, LOT, planned, rule

from palewright.model import Remark
from palewright.papers import permit_data, say

POOL = "lot: {pools: [{name: pool, through: [[30 ft, 70 ft], [40 ft, 70 ft], [40 ft, 80 ft]], barrier: [left]%s}]}\n"
PLANE = """heights:
  - spots: [[-40 ft, -20 ft, 97 ft], [100 ft, -20 ft, 97 ft], [-40 ft, 140 ft, 113 ft], [100 ft, 140 ft, 113 ft]]
"""


def text(follows: str, pool: str = "", heights: str = PLANE, more: str = "") -> str:
    lot = LOT.replace("boundary:", "  P: {at: [1 ft, 5 ft]}\n  Q: {at: [1 ft, 85 ft]}\nboundary:", 1)
    run = f"runs: [{{name: left, fence: privacy, through: [P, Q], yard: right, follows: {follows}}}]\n"
    return lot + run + heights + POOL % pool + more


def said(job: str, rules: str = "") -> dict[str, Remark]:
    return {remark.slug: remark for remark in planned(job, rules).design.remarks if remark.slug.startswith("pool")}


@pytest.mark.parametrize(("pool", "gap_in"), [("", 2), (", surface below: soil", 2), (", surface below: solid", 4)])
def test_the_figures_that_stand_in_are_told_with_their_source(pool: str, gap_in: float) -> None:
    found = said(text("racked", pool))
    assert set(found) == {"pool-figures-assumed"}
    args = dict(found["pool-figures-assumed"].args)
    assert args["gap_m"] == pytest.approx(gap_in * IN)
    assert args["height_m"] == pytest.approx(48 * IN)
    assert "from memory" in args["source"]


def test_a_gap_beyond_them_is_a_caution_with_its_size() -> None:
    """Steps on ground of 1 in 10 leave 9.6 in below bays of 8 ft; racked bays keep their 2 in, as the test above has it."""
    plan = planned(text("stepped"), "")
    widest = max(bay.most.gap_m for bay in plan.design.meetings[0].bays)
    assert widest > 8 * IN
    caution = next(remark for remark in plan.design.remarks if remark.slug == "pool-gap-large")
    assert caution.level == "caution"
    assert dict(caution.args)["found_m"] == pytest.approx(widest)
    assert any(rule == "most-gap" for bay in plan.design.meetings[0].bays for rule, _ in bay.breaks)
    assert any(remedy.slug == "kick-board" for remedy in plan.design.meetings[0].remedies)


def test_level_ground_is_compared_too() -> None:
    assert set(said(text("racked", heights=""))) == {"pool-figures-assumed"}


def test_rules_of_the_place_leave_them_out_and_no_barrier_asks_for_none() -> None:
    assert said(text("stepped"), rule("pool", height='"48 in"')) == {}
    assert said(text("stepped").replace(", barrier: [left]", "")) == {}


@pytest.mark.parametrize("rules", ["", rule("pool", height='"48 in"')])
def test_a_wall_that_the_barrier_ends_at_is_part_of_it(rules: str) -> None:
    """From the left wall of the house round the yard to its rear wall: doors and windows there count, rules or none."""
    round_it = text("racked", heights="").replace(
        "through: [P, Q]", "through: [[15 ft, 45 ft], Q, [30 ft, 90 ft], [30 ft, 60.5 ft]]"
    )
    remark = said(round_it, rules)["pool-wall"]
    ends = [leg.posts[k] for leg, k in zip(planned(round_it, rules).design.legs[::2], (0, -1), strict=True)]
    assert dict(remark.args)["posts"] == ", ".join(ends)
    for language, words in (
        ("en", ("ISPSC 2015, section 305.4", "UL 2017", "F1346", "local building office")),
        ("es", ("puerta", "ventana", "305.4")),
    ):
        sentence = say(remark, replace(planned(round_it, rules).settings, language=language))
        assert all(word in sentence for word in words)
    assert permit_data(planned(round_it, rules))["walls"]
