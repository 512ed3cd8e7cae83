"""The list to buy on sloping ground, against sums by hand: even slopes, one run."""

from __future__ import annotations

import functools
import math

import pytest

from palewright import jobfile
from palewright.model import Plan
from palewright.plan import make_plan

FT, IN = 0.3048, 0.0254

JOB = """palewright: 1
job: {{title: A slope, north: none}}
points: {{A: {{at: [0 ft, 0 ft]}}, B: {{at: [{long}, 0 ft]}}}}
fences:
  it: {fence}
{heights}
runs: [{{name: run, fence: it, through: [A, B], yard: left, follows: {follows}}}]
"""
BOARDS = "{kind: boards, board: 6 ft, board size: 1x6, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour%s}"
MESH = "{kind: chain-link, fabric: 4 ft, longest bay: 10 ft, tie rule: 12 in%s}"


@functools.cache
def planned(fence: str, falls: str, follows: str, long: str = "40 ft") -> Plan:
    heights = f"heights: [{{falls: {falls}, from: A, to: B, even: yes}}]" if falls else ""
    text = JOB.format(fence=fence, heights=heights, follows=follows, long=long)
    return make_plan(jobfile.read_text(text, "slope.yaml"))


def needs(plan: Plan, what: str) -> float:
    return math.fsum(item.need for item in plan.takeoff.items if item.what == what)


def parts(plan: Plan, what: str) -> list[float]:
    return [
        part.length_m for cut in plan.takeoff.cuts if cut.what == what for part in cut.parts for _ in range(cut.count)
    ]


def said(plan: Plan, slug: str) -> dict[str, object]:
    return dict(next(r for r in plan.takeoff.remarks if r.slug == slug).args)


@pytest.mark.parametrize("follows", ["racked", "stepped", "level-top", "grade"])
@pytest.mark.parametrize("fence", [BOARDS % "", MESH % ""])
def test_level_ground_that_was_measured_buys_what_level_ground_buys(fence: str, follows: str) -> None:
    assert planned(fence, "0 in", follows).takeoff == planned(fence, "", follows).takeoff


def test_rails_of_a_racked_fence_lie_along_the_slope() -> None:
    """40 ft level with 4 ft of fall are 40.2 ft along it; every bay has three rails from outer post face to outer face."""
    plan = planned(BOARDS % "", "4 ft", "racked")
    faces = 3.5 * IN  # half a post beyond each end
    assert math.fsum(parts(plan, "rail")) == pytest.approx(3 * (math.hypot(40, 4) * FT + faces))
    level = planned(BOARDS % "", "", "racked")
    assert needs(plan, "board") == needs(level, "board")  # plumb boards stand side by side on the level length


def test_rails_of_a_stepped_fence_end_at_every_step() -> None:
    """5 bays of 8 ft, a step at each of 4 posts: no part is longer than its bay and half an end post."""
    plan = planned(BOARDS % "", "4 ft", "stepped")
    assert all(height.step_m for height in plan.design.meetings[0].posts[1:-1])
    assert len(parts(plan, "rail")) == 3 * 5
    assert math.fsum(parts(plan, "rail")) == pytest.approx(3 * (40 * FT + 3.5 * IN))


def test_boards_of_a_level_top_grow_with_the_fall() -> None:
    """40 ft of fence, 2 ft of fall: the first boards are 6 ft, the last 8 ft, evenly between, by whole inches up."""
    plan = planned(BOARDS % "", "2 ft", "level-top")
    found = sorted(parts(plan, "board"))
    assert len(found) == math.ceil(483.5 / 5.5)  # outer post faces: 40 ft and 3 1/2 in; a 1x6 covers 5 1/2 in
    assert found[0] >= 6 * FT - 1e-9
    assert 8 * FT - 0.5 * IN <= found[-1] <= 8 * FT + 1 * IN
    # each as long as the ground below its lower edge asks: 6 ft + 2 ft x station / 40 ft, rounded up to an inch
    step = (483.5 - 5.5) / (len(found) - 1)
    lower = [min(max(-1.75 + step * k + 5.5, 0), 480) for k in range(len(found))]
    assert found == pytest.approx([math.ceil(72 + 24 * at / 480 - 1e-6) * IN for at in lower])
    assert said(plan, "boards-outgrow-rails")["length_m"] == pytest.approx(found[-1])


def test_fabric_rail_and_wire_of_chain_link_lie_along_the_grade() -> None:
    """30 ft level, 10 ft of fall: 31.62 ft along it."""
    plan = planned(MESH % ", tension wire: yes", "10 ft", "grade", "30 ft")
    along = math.hypot(30, 10) * FT
    assert needs(plan, "fabric") == pytest.approx(along)
    assert needs(plan, "top-rail") == pytest.approx(along)
    level = planned(MESH % ", tension wire: yes", "", "grade", "30 ft")
    assert needs(plan, "tension-wire") - needs(level, "tension-wire") == pytest.approx(along - 30 * FT)


def test_what_is_open_below_steps_is_told_and_closed_where_asked() -> None:
    """One bay of 8 ft on 12 in of fall, at most 4 in below it: the room is open from where it passes 4 in to the low
    post, and what stands there on edge is cut from boards of 5 1/2 in."""
    left = planned(BOARDS % ", least gap: 1 in", "12 in", "stepped", "8 ft")
    bay = left.design.meetings[0].bays[0]
    assert said(left, "open-below")["gap_m"] == pytest.approx(bay.most.gap_m)
    closed = planned(BOARDS % ", least gap: 1 in, under steps: boards", "12 in", "stepped", "8 ft")
    first = (4 * IN - bay.least.gap_m) / (12 * IN) * 8 * FT
    assert parts(closed, "kick-board") == pytest.approx(
        [8 * FT - first] * math.ceil((bay.most.gap_m - 1 * IN) / (5.5 * IN))
    )
    assert said(closed, "closed-below")["posts"] == "1-2"


def test_posts_longer_than_any_on_offer_are_named() -> None:
    """A level top over 9 ft of fall: the low posts ask for more than the longest post of the table."""
    plan = planned(BOARDS % "", "9 ft", "level-top")
    remark = next(r for r in plan.design.remarks if r.slug == "posts-longer-than-stock")
    named = str(dict(remark.args)["posts"]).split(", ")
    longest = float(dict(remark.args)["longest_m"])
    assert named == [post.label for post in plan.design.posts if post.length_m > longest]


def test_every_hole_has_the_concrete_of_its_own_depth() -> None:
    plan = planned(BOARDS % ", hole: {line: 10 in, end: 10 in}", "4 ft", "level-top")
    posts = plan.design.posts
    assert len({round(post.hole.depth_m, 6) for post in posts}) > 1
    area = math.pi * (10 * IN) ** 2 / 4 - (3.5 * IN) ** 2
    net = math.fsum(area * (post.hole.depth_m - post.hole.gravel_m) for post in posts)
    assert plan.takeoff.concrete_m3 == pytest.approx(net)


def test_fabric_ends_where_the_way_to_follow_the_ground_changes() -> None:
    """A terminal post stands there: one more, with a tension bar for the fabric on each of its sides."""
    one = planned(MESH % "", "3 ft", "racked")
    two = planned(MESH % "", "3 ft", "racked, stretches: [{from: A, to: 20 ft from A, follows: grade}]")
    assert [post.role for post in one.design.posts].count("change") == 0
    assert [post.role for post in two.design.posts].count("change") == 1
    assert needs(two, "tension-bar") == needs(one, "tension-bar") + 2 == 4
