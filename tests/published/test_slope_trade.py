"""Worked examples of the trade on slopes, by the sums that the pocket and the plans share.

An article on step-down fences: 36 in of fall over 40 ft in 5 panels steps by 7.2 in; drops at the posts 0, 7.2, 14.4,
21.6, 28.8, 36 in. A landscape contractor's page: a 6 ft fence with 1 in below it, posts 24 in deep; ground 12 in lower
8 ft on: posts of 97 and 109 in for a level section. An aluminium fence leaflet: a panel racks 10 in in 6 ft, which is
7.91 degrees or 13.9 %; a panel of 72 1/2 in racked so takes 71.81 in level; on a slope of 20 % it would rise 14.2 in
and cannot. Lengths agree to half of the last digit printed.

sources: step-article, slope-page, rack10
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.layout.yard_builder import FT, IN, kind, lay, points, run

from palewright import jobfile
from palewright.layout.grade import racked_panel
from palewright.layout.meeting import meet
from palewright.layout.meeting_rules import GroundRules
from palewright.model import Profile
from palewright.plan import make_plan, pocket_rack, pocket_slope, pocket_step


def test_step_of_five_panels() -> None:
    values = pocket_step(36 * IN, 40 * FT, 5).values
    assert [x / IN for x in values["marks_m"]] == pytest.approx([0.0, 7.2, 14.4, 21.6, 28.8, 36.0], abs=1e-9)


def test_the_plan_steps_the_same_ground_by_the_same_drop() -> None:
    """On a tape of tenths of an inch the best stepping of an even fall has the even step of the article at every post."""
    posts = np.arange(6) * 8 * FT
    rules = GroundRules(72 * IN, 1 * IN, 1 * IN, 9 * IN, grid_m=0.1 * IN, equal=True)
    met = meet(posts[[0, -1]], np.array([0.0, -36 * IN]), posts, rules, "stepped")
    assert not met.breaks
    assert -np.diff(met.bottoms_m[:, 0]) / IN == pytest.approx([7.2] * 4, abs=1e-9)


def test_posts_of_97_and_109_inches() -> None:
    """A run laid out on that ground, level in its bay; the example's 24 in in the ground instead of the run's own."""
    fence = kind(
        bottom_gap_m=1 * IN,
        top_m=73 * IN,
        post_top_m=(("line", 73 * IN),),
        values=(("least gap", 1 * IN), ("most gap", 13 * IN)),
    )
    design = lay(
        [run("rear", "A", "B", follows="stepped")],
        points(A=(0, 0), B=(8, 0)),
        kinds={"fence": fence},
        ground=lambda paths, called: [Profile("rear", (0.0, 8 * FT), (0.0, -12 * IN), (0.0, 0.0), ("spots",))],
    )
    buried = design.posts[0].hole.in_ground_m
    assert [post.length_m - buried + 24 * IN for post in design.posts] == pytest.approx([97 * IN, 109 * IN])


def test_racked_ten_inches_in_six_feet() -> None:
    values = pocket_slope(10 / 72, level_m=72 * IN).values
    assert values["angle_deg"] == pytest.approx(7.91, abs=0.005)
    assert values["rise_m"] / IN == pytest.approx(10.0, abs=1e-9)
    assert round(100 * 10 / 72, 1) == 13.9
    panel = pocket_rack(72.5 * IN, rise_m=10 * IN, limit_m=10 * IN).values
    assert panel["plan_m"] / IN == pytest.approx(71.81, abs=0.005)
    assert panel["within_limit"] is True


def test_a_slope_of_a_fifth_cannot_be_racked() -> None:
    panel = pocket_rack(72.5 * IN, grade=0.2, limit_m=10 * IN).values
    assert panel["rise_m"] / IN == pytest.approx(14.2, abs=0.05)
    assert panel["within_limit"] is False
    assert racked_panel(72.5, grade=0.2)[0] == pytest.approx(math.atan(0.2))


def test_ten_bays_lose_seven_inches() -> None:
    """Ten racked panels take 6.9 in less than ten level ones."""
    _, _, level = racked_panel(72.5, rise_m=10.0)
    assert 10 * (72.5 - level) == pytest.approx(6.9, abs=0.05)


@pytest.mark.parametrize("bays", [1, 10])
def test_racked_panels_are_bought_whole(bays: int) -> None:
    """A run as long as its racked panels take in level has none to cut."""
    text = f"""palewright: 1
job: {{title: racked, north: none}}
points: {{A: {{at: [0 in, 0 in]}}, B: {{at: [{bays * math.sqrt(72.5**2 - 10**2):.9f} in, 0 in]}}}}
fences: {{panels: {{kind: metal-panels, module: 72 1/2 in, good side: both}}}}
heights: [{{falls: {10 * bays} in, from: A, to: B, even: yes}}]
runs: [{{name: run, fence: panels, through: [A, B], yard: left, follows: racked}}]
"""
    plan = make_plan(jobfile.read_text(text, "racked.yaml"))
    assert {item.what: item.need for item in plan.takeoff.items if item.group == "panels"} == {"panel": bays}
