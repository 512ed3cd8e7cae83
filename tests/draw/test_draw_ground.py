"""Elevations on real ground: true heights, figures under posts, level strings, gaps that bind; level ground as before."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.draw.conftest import plan_named

from palewright import jobfile
from palewright.draw.elevation import elevation_sheets
from palewright.draw.scene import Line, Polygon, Polyline, Scene, Text
from palewright.model import Plan
from palewright.plan import make_plan

LONG = """
palewright: 1
job: {{title: long slope, print: {style}}}
points:
  A: {{at: [0 ft, 0 ft]}}
  B: {{at: [{length} ft, 0 ft]}}
fences:
  f: {{kind: boards, board: 6 ft, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour}}
runs:
  - {{name: r, fence: f, through: [A, B], yard: left, follows: {follows}}}
heights:
  - {{spot: A, height: 100 ft}}
  - {{falls: {fall} ft, from: A, to: B, even: yes}}
"""


@pytest.fixture(scope="module")
def yard() -> Plan:
    return plan_named("sloping-yard")


@pytest.fixture(scope="module")
def drawn(yard: Plan) -> list[Scene]:
    return elevation_sheets(yard)


def texts(scenes: list[Scene], role: str) -> list[str]:
    return [p.text for scene in scenes for p in scene.primitives if isinstance(p, Text) and p.role == role]


def ends(line: Line | Polyline) -> tuple[tuple[float, float], ...]:
    return (line.a, line.b) if isinstance(line, Line) else line.points


def long_slope(folder: Path, length: int, fall: float, follows: str = "racked", style: str = "feet-inches") -> Plan:
    path = folder / "long.yaml"
    path.write_text(LONG.format(length=length, fall=fall, follows=follows, style=style), "utf-8")
    return make_plan(jobfile.read(path))


def test_posts_reach_from_their_feet_to_their_tops_at_true_scale(yard: Plan, drawn: list[Scene]) -> None:
    """The dashed part in the ground and the part above it are together as long as the post, at the scale of lengths."""
    length = {post.label: post.length_m for post in yard.design.posts}
    found = set()
    for scene in drawn:
        rings = [p for p in scene.primitives if isinstance(p, Polygon) and p.layer == "post"]
        for buried, above in zip(rings[::2], rings[1::2], strict=True):
            assert buried.id == above.id
            tall = max(y for _, y in buried.points) - min(y for _, y in above.points)
            assert tall * scene.view.denominator / 1000.0 == pytest.approx(length[above.id])
            found.add(above.id)
    assert found == set(length)


def test_every_post_has_its_length_and_its_hole_under_it(yard: Plan, drawn: list[Scene]) -> None:
    """One figure for each post of a row; nothing is left out for want of room."""
    from palewright.draw.words import Words

    words = Words(yard.settings)
    said = texts(drawn, "dimension")
    for post in yard.design.posts:
        assert words.length(post.length_m) in said
        assert words.inches(post.hole.depth_m) in said


def test_level_strings_lie_over_the_ground_as_they_are_said_to(yard: Plan, drawn: list[Scene]) -> None:
    """Their line is level, and stands over the ground at its post as high as its words say."""
    from palewright.draw.words import Words

    words = Words(yard.settings)
    said = texts(drawn, "string")
    for meeting in yard.design.meetings:
        for number, string in enumerate(meeting.strings, 1):
            text = words("string_level", number=number, above=words.length(string.above_m), post=string.post)
            assert text in said
    lines = [p for scene in drawn for p in scene.primitives if isinstance(p, Line) and p.layer == "string"]
    assert len(lines) >= sum(len(meeting.strings) for meeting in yard.design.meetings)
    for line in lines:
        assert line.a[1] == pytest.approx(line.b[1])
        assert line.dash


def test_gaps_that_break_a_rule_are_hatched_and_dimensioned(yard: Plan, drawn: list[Scene]) -> None:
    """Each broken gap rule has its wedge; each run says its least and its most gap."""
    broken = [(bay, rule) for meeting in yard.design.meetings for bay in meeting.bays for rule, _ in bay.breaks]
    assert broken
    hatched = [
        p for scene in drawn for p in scene.primitives if isinstance(p, Polygon) and p.hatch and p.layer == "infill"
    ]
    assert len(hatched) >= len(broken)
    said = texts(drawn, "gap")
    uneven = [
        m
        for m in yard.design.meetings
        if max(b.most.gap_m for b in m.bays) - min(b.least.gap_m for b in m.bays) > 0.002
    ]
    assert sum("least gap" in text for text in said) == len(uneven)
    assert sum("most gap" in text for text in said) == len(uneven)
    assert sum(text.startswith(("max ", "min ")) for text in said) == len(broken)


def test_small_scales_draw_heights_twice_and_say_so(tmp_path: Path) -> None:
    """A long run: no sheet exaggerates without words, and posts are twice as tall as they are long."""
    plan = long_slope(tmp_path, 1200, 30)
    scenes = elevation_sheets(plan)
    length = {post.label: post.length_m for post in plan.design.posts}
    for scene in scenes:
        assert scene.view.denominator > 100
        assert any("2 TIMES" in text for text in texts([scene], "note"))
        rings = [p for p in scene.primitives if isinstance(p, Polygon) and p.layer == "post"]
        label = rings[0].id
        ys = [y for ring in rings if ring.id == label for _, y in ring.points]
        assert (max(ys) - min(ys)) * scene.view.denominator / 1000.0 == pytest.approx(2 * length[label])
    seen = {p.id for scene in scenes for p in scene.primitives if isinstance(p, Polygon) and p.layer == "post"}
    assert seen == set(length)


@pytest.mark.parametrize("follows", ["racked", "stepped", "level-top", "grade", "mixed"])
def test_a_steep_run_stays_on_its_sheets(tmp_path: Path, follows: str) -> None:
    """A fall of two in five: rows are cut shorter until each has room; every figure is inside the field."""
    scenes = elevation_sheets(long_slope(tmp_path, 160, 64, follows, "metric"))
    for scene in scenes:
        for p in scene.primitives:
            if isinstance(p, Polygon) and p.layer in ("post", "infill"):
                assert all(0.0 < x < scene.width_mm and 0.0 < y < scene.height_mm for x, y in p.points)


def test_level_ground_that_was_measured_is_drawn_like_level_ground(tmp_path: Path) -> None:
    """The same post lengths, a ground line without a bend, no hatched wedge."""
    plan = long_slope(tmp_path, 48, 0)
    (scene,) = elevation_sheets(plan)
    assert plan.design.meetings
    (ground,) = [p for p in scene.primitives if p.layer == "ground" and p.stroke_mm == 0.6]
    ys = {round(y, 6) for _, y in (ground.points if hasattr(ground, "points") else (ground.a, ground.b))}
    assert len(ys) == 1
    assert not any(isinstance(p, Polygon) and p.hatch for p in scene.primitives)


def test_ground_that_nobody_knows_is_dashed_and_its_posts_are_not_final(tmp_path: Path) -> None:
    """80 ft, the first 40 known: a solid line to there, dashes from there; no height under posts beyond."""
    path = tmp_path / "part.yaml"
    head = LONG[: LONG.index("  - {{falls")].format(style="feet-inches", length=80, follows="racked", fall=0)
    path.write_text(head + "  - {string: r, drops: [[0 ft, 10 in], [40 ft, 26 in]]}\n", "utf-8")
    plan = make_plan(jobfile.read(path))
    scenes = elevation_sheets(plan)
    ground = [p for s in scenes for p in s.primitives if isinstance(p, (Line, Polyline)) and p.layer == "ground"]
    solid, *dashed = (p for p in ground if p.stroke_mm in (0.6, 0.35))
    assert [bool(p.dash) for p in (solid, *dashed)] == [False, True, True]  # the second row is dashed all along
    assert ends(solid)[-1] == pytest.approx(ends(dashed[0])[0])
    said = texts(scenes, "dimension")
    known = [height for height in plan.design.meetings[0].posts if height.known]
    assert said.count("?") == len(plan.design.posts) - len(known) + 1  # the post where the row is cut stands in both
    beside = [text for text in said if text.startswith("(")]
    assert len(beside) == 2 * (said.count("?") + 1)  # length and hole, and those of the post where known ground ends
    written = " ".join(p.text for scene in scenes for p in scene.primitives if isinstance(p, Text))
    assert "LEVEL GROUND ASSUMED on run r" in written
    assert "In parentheses: not final" in written


def test_runs_take_as_few_sheets_as_their_scales_allow(tmp_path: Path) -> None:
    """A run that fits across one sheet is not cut; two runs that fit under each other share a sheet."""
    one = long_slope(tmp_path, 52, 3.0)
    assert len(elevation_sheets(one)) == 1
    thirty = long_slope(tmp_path, 240, 6.0)
    assert len(elevation_sheets(thirty)) == 2
