"""Chain link on slopes: steps are refused at line posts, changes of grade and steep fabric are told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.yard_builder import FT, IN, kind, lay, points, run

from palewright.errors import JobError
from palewright.model import Profile

MESH = kind(family="chain link", kind="chain-link", values=(("least gap", 0.0), ("most gap", 14 * IN)))
LONG = points(A=(0, 0), B=(100, 0))


def put(follows: str, *knots_ft: tuple[float, float]):
    stations, heights = zip(*((s * FT, z * FT) for s, z in knots_ft), strict=True)
    ground = Profile("rear", stations, heights, tuple(0.01 for _ in knots_ft), ("spots",))
    return lay(
        [run("rear", "A", "B", follows=follows)],
        LONG,
        kinds={"fence": MESH},
        ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
    )


def test_fabric_does_not_step_at_a_line_post() -> None:
    """ASTM F567: terminal posts at abrupt changes of grade; between two ends every other post is a line post."""
    with pytest.raises(JobError) as caught:
        put("stepped", (0, 0), (100, -8))
    assert [problem.slug for problem in caught.value.problems] == ["mesh-steps"]
    assert "posts 2, 3" in caught.value.problems[0].found
    level = put("stepped", (0, 3), (100, 3))  # no fall, no step
    assert {bay.mode for bay in level.meetings[0].bays} == {"stepped"}


def test_no_step_is_proposed_for_fabric() -> None:
    design = put("best", (0, 0), (40, -1), (60, -9), (100, -9))
    assert {bay.mode for bay in design.meetings[0].bays} == {"racked"}


@pytest.mark.parametrize(("fall_ft", "told"), [(14, False), (16, True)])
def test_fabric_on_more_than_fifteen_in_a_hundred(fall_ft: float, told: bool) -> None:
    """15 ft in 100 ft is the leaflet's figure; on one even slope the grade changes nowhere."""
    design = put("grade", (0, 0), (100, -fall_ft))
    slugs = [remark.slug for remark in design.remarks]
    assert ("mesh-on-bias" in slugs) == told
    assert "mesh-grade-changes" not in slugs


def test_a_change_of_grade_at_a_line_post_is_told_by_its_post() -> None:
    """Level for half of the run, then 20 ft in 100 ft."""
    design = put("grade", (0, 0), (50, 0), (100, -10))
    said = next(remark for remark in design.remarks if remark.slug == "mesh-grade-changes")
    args = dict(said.args)
    at = {post.label: post.places[0][1] / FT for post in design.posts}
    assert args["posts"]
    assert all(abs(at[label] - 50) < 10 for label in args["posts"].split(", "))
    assert 15 < args["percent"] <= 20
