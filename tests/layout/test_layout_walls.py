"""Wall starts: a bracket has no hole; a post against the wall; a post clear of the footing."""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, posts_by_role, run

from palewright.errors import JobError
from palewright.model import EndSpec

PLACES = points(W=(0, 0), B=(20, 0), V=(20, 30))


def lay_wall(how, clear_in=0.0, **more):
    return lay([run("r", "W", "B", ends=(EndSpec("W", how, clear_in * IN),), **more)], PLACES)


def test_a_bracket_is_no_post_and_has_no_hole():
    design = lay_wall("bracket")
    wall = design.posts[0]
    assert (wall.label, wall.number, wall.hole) == ("W1", 0, None)
    assert wall.length_m == wall.stock_m == 0.0
    # 20 ft from the wall face: 3 bays of 6 ft 8 in, the first to the face of post 1
    assert [bay.length_m for bay in design.bays] == pytest.approx([20 * FT / 3] * 3)
    assert design.bays[0].clear_m == pytest.approx(20 * FT / 3 - 1.75 * IN)
    assert [post.label for post in design.posts] == ["W1", "1", "2", "3"]
    assert design.runs[0].length_m == pytest.approx(20 * FT)


def test_a_post_against_the_wall_stands_half_its_width_off():
    design = lay_wall("post at wall")
    assert design.posts[0].xy == pytest.approx((1.75 * IN, 0.0))
    assert design.posts[0].hole is not None
    assert design.runs[0].length_m == pytest.approx(20 * FT - 1.75 * IN)


def test_a_post_clear_of_the_footing_leaves_that_much_to_its_near_face():
    design = lay_wall("post clear", 6)
    assert design.posts[0].xy == pytest.approx((7.75 * IN, 0.0))


def test_both_ends_at_walls_and_a_corner_between():
    ends = (EndSpec("W", "bracket"), EndSpec("V", "bracket"))
    design = lay([run("r", "W", "B", "V", ends=ends)], PLACES)
    assert posts_by_role(design) == {"bracket": 2, "corner": 1, "line": 2 + 3}
    assert [post.label for post in design.posts if post.number == 0] == ["W1", "W2"]


def test_a_gate_hung_on_the_wall_opens_at_the_wall_face():
    design = lay_wall("bracket", gates=(gate("g", 4, 0, "W"),))
    found = design.gates[0]
    assert found.posts == ("W1", "1")
    assert found.hinge_xy[0] == pytest.approx((0.0, 0.0))
    assert found.opening_m == pytest.approx(4 * FT)
    assert design.posts[1].xy[0] == pytest.approx(4 * FT + 2.75 * IN)
    assert design.posts[0].role == "end"
    assert design.posts[0].hole is None


def test_a_gate_is_measured_from_the_wall_face_where_a_post_stands_at_the_wall():
    design = lay_wall("post clear", 6, gates=(gate("g", 4, 5, "W"),))
    assert design.gates[0].hinge_xy[0] == pytest.approx((5 * FT, 0.0))


def test_a_gate_on_the_post_at_the_wall_makes_it_a_gate_post_against_the_wall():
    design = lay_wall("post at wall", gates=(gate("g", 4, 0, "W"),))
    assert design.posts[0].section == "6x6"
    assert design.posts[0].xy == pytest.approx((2.75 * IN, 0.0))
    assert design.gates[0].hinge_xy[0] == pytest.approx((5.5 * IN, 0.0))


def test_a_wall_end_must_be_an_end():
    with pytest.raises(JobError) as error:
        lay([run("r", "W", "B", "V", ends=(EndSpec("B", "bracket"),))], PLACES)
    assert [p.slug for p in error.value.problems] == ["end-not-an-end"]


def test_full_panels_fit_from_the_wall():
    # panel 6 ft between posts of 4 in, 76 in centre to centre; the first post face must be 72 in from the wall
    from dataclasses import replace

    base = kind(family="panels", longest=76 * IN, module=76 * IN)
    size = replace(base.post("line"), width_m=4 * IN, depth_m=4 * IN)
    panels = replace(base, posts=(("line", size),))
    design = lay(
        [run("r", "W", "B", ends=(EndSpec("W", "bracket"),), divide="panels")], PLACES, kinds={"fence": panels}
    )
    for bay in design.bays:
        assert bay.clear_m <= 72 * IN + 1e-9
    assert design.bays[0].clear_m == pytest.approx(72 * IN)
