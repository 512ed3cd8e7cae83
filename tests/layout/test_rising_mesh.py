"""Chain link on slopes: steps are refused at line posts, changes of grade and steep fabric are told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.yard_builder import FT, IN, kind, lay, points, run, zone

from palewright.model import Profile, Unknown

MESH = kind(family="chain link", kind="chain-link", values=(("least gap", 0.0), ("most gap", 14 * IN)))
LONG = points(A=(0, 0), B=(100, 0))


def put(follows: str, *knots_ft: tuple[float, float], fence=MESH, zones=(), unknown=()):
    stations, heights = zip(*((s * FT, z * FT) for s, z in knots_ft), strict=True)
    ground = Profile("rear", stations, heights, tuple(0.01 for _ in knots_ft), ("spots",), unknown=unknown)
    return lay(
        [run("rear", "A", "B", follows=follows)],
        LONG,
        kinds={"fence": fence},
        zones=zones,
        ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
    )


def _steps(design) -> dict[str, float]:
    return {height.post: height.step_m for height in design.meetings[0].posts if abs(height.step_m) > 1e-9}


def test_fabric_steps_at_terminals_that_are_set_for_it() -> None:
    """ASTM F567: terminal posts at abrupt changes of grade. Bays of 92 5/16 in fall 2.77 in each on 3 in 100; with at
    most 14 in of room five lie level in a row, so 13 bays take three rows and two terminals between them."""
    design = put("stepped", (0, 0), (100, -3))
    roles = {post.label: post.role for post in design.posts}
    steps = _steps(design)
    assert [label for label, role in roles.items() if role == "change"] == list(steps)
    assert len(steps) == 2
    assert not any(bay.breaks for bay in design.meetings[0].bays)
    said = next(remark for remark in design.remarks if remark.slug == "mesh-terminals")
    assert dict(said.args) == {"run": "rear", "posts": ", ".join(steps), "count": 2}
    even = put("grade", (0, 0), (100, -3))
    assert [post.xy[0] for post in design.posts] == pytest.approx([post.xy[0] for post in even.posts], abs=1e-3)
    level = put("stepped", (0, 3), (100, 3))  # no fall, no step
    assert {bay.mode for bay in level.meetings[0].bays} == {"stepped"}
    assert {post.role for post in level.posts} == {"end", "line"}


def test_where_no_terminal_may_be_dug_fabric_does_not_step() -> None:
    """Its hole of 18 in is wider than that of a line post, 10 in: a zone 8.3 in beyond the post lets the one in
    and not the other."""
    wide = replace(MESH, holes=(*MESH.holes, ("change", replace(MESH.hole("line"), diameter_m=18 * IN))))
    first = put("stepped", (0, 0), (100, -3), fence=wide)
    at = {post.label: post.places[0][1] / FT for post in first.posts}
    barred = next(iter(_steps(first)))
    pipe = at[barred] + 9.5 / 12
    zones = (zone("pipe", (pipe, -5), (pipe, 5), half_in=1.2),)
    design = put("stepped", (0, 0), (100, -3), fence=wide, zones=zones)
    assert {post.label: post.places[0][1] / FT for post in design.posts}[barred] == pytest.approx(at[barred])
    assert _steps(design)
    assert barred not in _steps(design)


def test_fabric_does_not_step_beside_ground_that_is_not_known() -> None:
    """Bays over it are laid out as on level ground: no height of theirs asks for a terminal."""
    gap = (Unknown(42 * FT, 49 * FT, "outside"),)
    design = put("stepped", (0, 0), (100, -3), unknown=gap)
    dark = [bay for bay in design.bays if not design.meetings[0].bays[bay.number - 1].known]
    ends = {label for bay in dark for label in (bay.start, bay.end)}
    assert ends
    assert {post.role for post in design.posts if post.label in ends} == {"line"}


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
