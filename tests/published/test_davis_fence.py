"""A fence round the 52 spot heights of Davis (1973), by way of a job file; the ground again by scipy alone, every 5 cm.

Heights: as tests/published/test_davis_topo.py says. Triangles: scipy.interpolate.LinearNDInterpolator.

sources: davis-topo
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import LinearNDInterpolator
from tests.published.test_davis_topo import FOOT, SPOTS

from palewright.jobfile import read_text
from palewright.model import Plan
from palewright.plan import make_plan

ROWS = np.array([[float(v) for v in row.split()] for row in SPOTS.replace("\n", ";").split(";")]) * [50.0, 50.0, 1.0]
KINDS = {
    "woven": "{kind: boards, board: 4 ft, bottom gap: 3 in, least gap: 0 in, most gap: 6 in, good side: neighbour}",
    "tall": "{kind: boards, board: 6 ft, bottom gap: 2 in, least gap: 1/2 in, most gap: 48 in, good side: neighbour}",
}
JOB = """palewright: 1
job: {{title: Hill, print: feet-inches}}
points: {{A: {{at: [{a} ft, {a} ft]}}, B: {{at: [{b} ft, {a} ft]}}, C: {{at: [{b} ft, {b} ft]}}, D: {{at: [{a} ft, {b} ft]}}}}
fences: {{f: {kind}}}
runs: [{{name: round, fence: f, through: [A, B, C, D], closed: yes, yard: left, follows: {follows}}}]
heights: [{{spots: [{spots}]}}]
"""


def planned(a: int, b: int, kind: str, follows: str) -> Plan:
    spots = ", ".join(f"[{x:g} ft, {y:g} ft, {z:g} ft]" for x, y, z in ROWS)
    return make_plan(read_text(JOB.format(a=a, b=b, kind=KINDS[kind], follows=follows, spots=spots)), search_cuts=False)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("follows", ["racked", "stepped", "mixed", "grade", "best"])
def test_every_bay_keeps_its_gap_or_says_so(kind: str, follows: str) -> None:
    """260 ft square inside the hull of the spots; the ground falls by 150 ft and more round it."""
    design = planned(30, 290, kind, follows).design
    ground = LinearNDInterpolator(ROWS[:, :2] * FOOT, ROWS[:, 2] * FOOT)
    (meeting,) = design.meetings
    least, most = (0.0, 6 * FOOT / 12) if kind == "woven" else (0.5 * FOOT / 12, 4 * FOOT)
    places = {post.label: np.array(post.xy) for post in design.posts}
    lengths = {post.label: post for post in design.posts}
    assert len(meeting.bays) > 120
    for met in meeting.bays:
        bay = design.bays[met.bay - 1]
        a, b = places[bay.start], places[bay.end]
        share = np.linspace(0.0, 1.0, int(np.hypot(*(b - a)) / 0.05) + 2)
        under = ground(a + share[:, None] * (b - a))
        room = met.bottom_m[0] + share * (met.bottom_m[1] - met.bottom_m[0]) - under
        breaks = dict(met.breaks)
        if met.mode != "level-top":
            assert room.min() >= least - breaks.get("least-gap", 0.0) - 1e-6
            assert room.max() <= most + breaks.get("most-gap", 0.0) + 1e-6
            assert met.least.gap_m <= room.min() + 1e-6
            assert met.most.gap_m >= room.max() - 1e-6
    heights = [height.ground_m / FOOT for height in meeting.posts]
    assert max(heights) - min(heights) > 150.0
    for height in meeting.posts:
        post = lengths[height.post]
        assert height.ground_m == pytest.approx(float(ground(*post.xy)), abs=1e-6)
        assert post.hole is not None
        assert post.length_m == pytest.approx(height.top_m - height.ground_m + post.hole.in_ground_m)


def test_round_the_whole_square_the_spots_do_not_reach() -> None:
    """The square of 310 ft, nearly all outside the triangles: named as not reached, or as straight between two spots.

    Spots 1 ft or less from the fence count as measured on it.
    """
    design = planned(0, 310, "tall", "racked").design
    said = ("ground-not-reached", "ground-straight-assumed")
    told = [dict(remark.args) for remark in design.remarks if remark.slug in said]
    level = [dict(r.args) for r in design.remarks if r.slug == "level-ground-assumed-part"]
    dark = [dict(r.args) for r in design.remarks if r.slug == "ground-not-reached"]
    for gap in dark:  # every stretch that nothing reaches lies under bays that are said to be level
        assert any(one["from_m"] <= gap["from_m"] + 1e-3 and gap["to_m"] <= one["to_m"] + 1e-3 for one in level)
    lengths = {bay.number: bay.length_m for bay in design.bays}
    level_m = sum(lengths[met.bay] for met in design.meetings[0].bays if not met.known)
    assert level_m == pytest.approx(sum(one["to_m"] - one["from_m"] for one in level))
    inside = LinearNDInterpolator(ROWS[:, :2] * FOOT, ROWS[:, 2])
    at = np.arange(0.05, 4 * 310 * FOOT, 0.1)
    corners = np.array([[0, 0], [310, 0], [310, 310], [0, 310], [0, 0]]) * FOOT
    along = np.arange(5) * 310 * FOOT
    xy = np.column_stack([np.interp(at, along, corners[:, k]) for k in (0, 1)])
    named = np.zeros(len(at), dtype=bool)
    for one in told:
        named |= (at > one["from_m"]) & (at < one["to_m"])
    outside = np.isnan(inside(xy))
    assert named[outside].all()
    assert (named & ~outside).sum() < 0.3 * (~outside).sum()
    assert outside.sum() > 0.6 * len(at)
