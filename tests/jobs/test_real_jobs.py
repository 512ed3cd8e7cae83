"""The example jobs, whole: from the job file to the plan, against figures from outside and an independent geometry library."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from shapely.geometry import LineString, Point, Polygon

from palewright import plan
from palewright.model import Plan, Post

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
FOOT = 0.3048
INCH = 0.0254


def planned(name: str) -> Plan:
    return plan.make_plan(*plan.load(EXAMPLES / f"{name}.yaml"))


@pytest.fixture(scope="module")
def tract() -> Plan:
    return planned("proclamation-7647")


@pytest.fixture(scope="module")
def link() -> Plan:
    return planned("chain-link-run")


@pytest.fixture(scope="module")
def walked() -> Plan:
    return planned("house-and-tape")


def section(post: Post, plan_: Plan, hole: bool = False) -> Polygon:
    """Outline of a post or its hole, made here from the record alone."""
    if hole:
        assert post.hole is not None
        return Point(post.xy).buffer(post.hole.diameter_m / 2, quad_segs=64)
    if post.round:
        return Point(post.xy).buffer(post.width_m / 2, quad_segs=64)
    c, s = math.cos(post.axis), math.sin(post.axis)
    w, d = post.width_m / 2, post.depth_m / 2
    return Polygon(
        [
            (post.xy[0] + c * i * w - s * j * d, post.xy[1] + s * i * w + c * j * d)
            for i, j in ((1, 1), (-1, 1), (-1, -1), (1, -1))
        ]
    )


# ---------------------------------------------------------------- Proclamation 7647, 117 Stat. 3003


def test_tract_closure_and_area(tract: Plan) -> None:
    ring = tract.site.ring
    assert ring is not None
    assert ring.closure.precision == pytest.approx(31_704, rel=0.01)
    assert ring.area_m2 / FOOT**2 == pytest.approx(6_084, abs=1)
    assert ring.closure.perimeter_m / FOOT == pytest.approx(467.14, abs=1e-9)


def test_tract_is_not_located_and_its_stations_are_trial(tract: Plan) -> None:
    assert tract.site.ring is not None
    assert not tract.site.ring.status.located
    assert all(run.trial for run in tract.design.runs)


def test_tract_is_located_when_two_corners_are_found(tmp_path: Path) -> None:
    text = (EXAMPLES / "proclamation-7647.yaml").read_text()
    found = "  corners:\n    P1: {found: brass disc in concrete, matches record: yes}\n    P2: {found: 3/4 in drill hole, matches record: yes}\n"
    job = tmp_path / "found.yaml"
    job.write_text(text.replace("  record: 117 Stat. 3003\n", found + "  record: 117 Stat. 3003\n"))
    made = plan.make_plan(*plan.load(job))
    assert made.site.ring is not None
    assert made.site.ring.status.located
    assert made.site.ring.status.found == 2
    assert not any(run.trial for run in made.design.runs)


def test_tract_everything_stands_inside_by_the_inset_asked_for(tract: Plan) -> None:
    assert tract.site.ring is not None
    ring = Polygon([corner.xy for corner in tract.site.ring.corners])
    asked = 8 * INCH
    kind = tract.kinds[0]
    for post in tract.design.posts:
        body = section(post, tract)
        assert ring.contains(body)
        assert ring.exterior.distance(body) >= asked - 1e-9, post.label
        footing = section(post, tract, hole=True)
        assert ring.contains(footing)
        for what, value in post.inset:
            if what == "footing":
                assert value == pytest.approx(
                    ring.exterior.distance(footing), abs=2e-4
                )  # the library's circle is a polygon
            if what == "post":
                assert value == pytest.approx(ring.exterior.distance(body), abs=1e-9)
    for leg in tract.design.legs:
        boards = LineString([leg.start, leg.end]).buffer(max(kind.front_m, 0.0), cap_style="flat")
        assert ring.exterior.distance(boards) >= asked - 1e-9, leg.index


def test_tract_is_one_closed_loop_with_one_gate(tract: Plan) -> None:
    assert len(tract.design.posts) == len(tract.design.bays)
    assert [gate.opening_m for gate in tract.design.gates] == [pytest.approx(4 * FOOT)]
    assert sum(post.role == "corner" for post in tract.design.posts) == 8


def test_every_bay_is_within_its_limits(tract: Plan) -> None:
    kind = tract.kinds[0]
    for bay in tract.design.bays:
        if bay.kind == "fence":
            assert kind.shortest_m - 1e-9 <= bay.length_m <= kind.longest_m + 1e-9
    for gate in tract.design.gates:
        bay = next(bay for bay in tract.design.bays if bay.number == gate.bay)
        assert bay.clear_m == pytest.approx(gate.opening_m, abs=1e-9)


# ---------------------------------------------------------------- residential chain link, a worked take-off of the trade


CASE_18 = {
    "fabric.": 4, "rail.top": 9, "bar.tension": 8, "band.tension": 24, "band.brace": 8, "end.rail": 8, "bolt.carriage": 32,
    "cap.dome": 6, "cap.loop": 14, "tie.post": 56, "tie.rail": 88, "ring.hog": 88,
}  # fmt: skip


@pytest.mark.parametrize(("code", "buy"), CASE_18.items())
def test_chain_link_take_off(link: Plan, code: str, buy: int) -> None:
    assert sum(item.buy for item in link.takeoff.items if item.code.startswith(code)) == buy


def test_chain_link_posts(link: Plan) -> None:
    roles = [post.role for post in link.design.posts]
    assert sum(role != "line" for role in roles) == 6
    assert roles.count("line") == 14
    fence = sum(bay.length_m for bay in link.design.bays if bay.kind == "fence")
    assert fence / FOOT == pytest.approx(176, abs=1e-6)


def test_chain_link_rail_says_when_cut_ends_may_be_sleeved(link: Plan) -> None:
    rail = next(item for item in link.takeoff.items if item.code.startswith("rail.top"))
    assert "sleeved" in rail.note


# ---------------------------------------------------------------- a house wall and a tape


def test_walked_yard_has_two_brackets_without_holes(walked: Plan) -> None:
    brackets = [post for post in walked.design.posts if post.hole is None]
    assert [post.label for post in brackets] == ["W1", "W2"]
    assert all(post.number == 0 for post in brackets)
    assert len(walked.design.bays) == len(walked.design.posts) - 1


def test_walked_yard_has_no_north_and_no_boundary(walked: Plan) -> None:
    assert not walked.site.north
    assert walked.site.ring is None
    said = {remark.slug for remark in walked.remarks}
    assert {"no-north", "no-boundary", "level-ground-assumed", "locate-not-entered"} <= said


def test_walked_corners_that_nobody_measured_are_assumptions(walked: Plan) -> None:
    assumed = {
        remark.about or dict(remark.args).get("point")
        for remark in walked.remarks
        if remark.slug == "assumed-right-angle"
    }
    # two corners were turned by eye; the tape from D to the wall settles the second once the first is believed
    assert assumed == {"point A"}


# ---------------------------------------------------------------- 100 ft of metal panels, a worked count of the trade


@pytest.mark.parametrize(
    ("bays", "lengths_in"),
    [("", [72.5] * 16 + [40.0]), (", bays: even", [1200 / 17] * 17), (", bays: short last", [72.5] * 16 + [40.0])],
)
def test_panels_at_their_module_or_even(tmp_path: Path, bays: str, lengths_in: list[float]) -> None:
    # trade text: 100 ft at 72.5 in: 16 full and one of 40 in, or 17 of 70.59 in; 18 posts
    job = tmp_path / "panels.yaml"
    job.write_text(
        "palewright: 1\njob: {title: P}\npoints: {A: {at: [0 ft, 0 ft]}, B: {at: [100 ft, 0 ft]}}\n"
        "fences: {m: {kind: metal-panels, good side: both}}\n"
        f"runs:\n  - {{name: one, fence: m, through: [A, B], yard: left, follows: racked{bays}}}\n"
    )
    design = plan.make_plan(*plan.load(job)).design
    assert len(design.posts) == 18
    assert sorted(bay.length_m / INCH for bay in design.bays) == pytest.approx(sorted(lengths_in), abs=1e-6)


def test_a_string_is_not_tied_to_a_wall_that_runs_along_the_fence(walked: Plan) -> None:
    # both ends of the fence go on in line with the house wall: the strings stand 2 ft off it, in the open yard
    assert all(string.zero != "wall" and string.end_with != "wall" for string in walked.stakeout.strings)
    ends = [stake.xy[0] for string in walked.stakeout.strings[:1] for stake in string.stakes]
    assert max(ends) > 3 * FOOT - 1e-6  # driven beyond the point square off the bracket
    assert not [remark for remark in walked.remarks if remark.slug == "wall-square-assumed"]
