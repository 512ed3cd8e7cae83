"""Gates in legs: where the opening lies, which leg, which posts, and what cannot be."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import pytest
from tests.layout.yard_builder import FT, IN, gate, lay, points, run

from palewright.errors import JobError
from palewright.model import EndSpec, GateSpec, GivenBay

PLACES = points(A=(0, 0), B=(40, 0), C=(40, 30), P=(15, 0))


def lay_gate(*gates, names=("A", "B", "C"), **more):
    return lay([run("r", *names, gates=gates, **more)], PLACES)


def opening(design, k=0):
    """Clear opening in feet along the leg, between the faces of its two posts."""
    found = design.gates[k]
    leg = design.legs[found.leg]
    at = {post.label: post for post in design.posts}
    stations = [math.dist(leg.start, at[label].xy) for label in found.posts]
    half = [at[label].width_m / 2 for label in found.posts]
    return (stations[0] + half[0]) / FT, (stations[1] - half[1]) / FT


def test_measured_from_the_start_of_the_run():
    design = lay_gate(gate("g", 4, 12, "A"))
    assert opening(design) == pytest.approx((12, 16))
    assert design.gates[0].leg == 0
    bay = design.bays[design.gates[0].bay - 1]
    assert (bay.kind, bay.start, bay.end) == ("gate", *design.gates[0].posts)
    assert bay.clear_m == pytest.approx(4 * FT)
    assert bay.length_m == pytest.approx(4 * FT + 5.5 * IN)


def test_measured_from_the_end_of_the_run_goes_back():
    design = lay_gate(gate("g", 4, 10, "C"))
    assert design.gates[0].leg == 1
    assert opening(design) == pytest.approx((16, 20))


def test_measured_from_a_corner_goes_on_along_the_run():
    assert lay_gate(gate("g", 4, 10, "B")).gates[0].leg == 1


def test_a_gate_without_room_past_its_corner_is_refused_and_never_put_on_the_side_before_it():
    job_runs = [run("r", "A", "B", "D", gates=(gate("g", 10, 8, "B", leaves=2),))]
    with pytest.raises(JobError) as caught:
        lay(job_runs, (*PLACES, *points(D=(40, 12))))
    assert [problem.slug for problem in caught.value.problems] == ["gate-off-leg"]


def test_to_the_middle_of_the_opening():
    design = lay_gate(gate("g", 4, 20, "A", reference="centre"))
    assert opening(design) == pytest.approx((18, 22))


def test_from_a_named_point_inside_a_leg():
    assert opening(lay_gate(gate("g", 4, 3, "P"))) == pytest.approx((18, 22))


def test_beyond_a_tee_in_the_same_straight_line():
    places = (*PLACES, *points(T=(10, 20), M=(10, 0)))
    design = lay([run("r", "A", "B", gates=(gate("g", 4, 22, "A"),)), run("t", "T", "M")], places)
    found = design.gates[0]
    assert design.legs[found.leg].start == pytest.approx((10 * FT, 0))
    assert opening(design) == pytest.approx((12, 16))


def test_a_leaf_gives_the_opening_by_the_kinds_hardware():
    spec = GateSpec("g", None, 46 * IN, 12 * FT, "A", hinges="near", swings="yard")
    design = lay_gate(spec)
    found = design.gates[0]
    assert found.opening_m == pytest.approx(46 * IN + found.allowance_m)
    assert found.allowance_m > 0


def test_hinges_and_swing():
    near = lay_gate(gate("g", 4, 12, "A", hinges="near")).gates[0]
    far = lay_gate(gate("g", 4, 12, "A", hinges="far")).gates[0]
    assert near.hinge == (near.posts[0],)
    assert far.hinge == (far.posts[1],)
    assert near.latch == (near.posts[1],)
    # from the other end of the run, "near" is the post farther along it
    back = lay_gate(gate("g", 4, 10, "C", hinges="near")).gates[0]
    assert back.hinge == (back.posts[1],)
    # the yard is left of a run to the east: the leaf opens to the north
    assert near.swing[0][-1] == pytest.approx((12 * FT, near.leaf_m))
    out = lay_gate(gate("g", 4, 12, "A", swings="out")).gates[0]
    assert out.swing[0][-1] == pytest.approx((12 * FT, -near.leaf_m))
    right = lay_gate(gate("g", 4, 12, "A"), yard="right").gates[0]
    assert right.swing[0][-1] == pytest.approx((12 * FT, -near.leaf_m))


def test_two_leaves_hang_on_both_posts_and_open_the_same_way():
    found = lay_gate(gate("g", 10, 12, "A", leaves=2)).gates[0]
    assert found.hinge == found.posts
    assert len(found.swing) == 2
    assert found.hinge_xy == (pytest.approx((12 * FT, 0)), pytest.approx((22 * FT, 0)))
    assert all(fan[-1][1] == pytest.approx(found.leaf_m) for fan in found.swing)
    assert 2 * found.leaf_m + found.allowance_m == pytest.approx(found.opening_m)


def test_hinges_not_said_is_asked_and_drawn_near():
    design = lay_gate(gate("g", 4, 12, "A", hinges="", swings=""))
    slugs = [remark.slug for remark in design.remarks if remark.level == "ask"]
    assert "gate-hinges-not-said" in slugs
    assert "gate-swings-not-said" in slugs
    assert design.gates[0].hinge == (design.gates[0].posts[0],)
    assert design.gates[0].swings == "yard"


def problem(*gates, **more):
    with pytest.raises(JobError) as error:
        lay_gate(*gates, **more)
    assert len(error.value.problems) == 1
    return error.value.problems[0]


def test_wider_than_its_leg():
    found = problem(gate("g", 40, 0, "B", leaves=2), names=("A", "B", "C"))
    assert found.slug == "gate-wider-than-leg"
    assert "29'" in found.allowed


def test_past_the_end_is_told_by_how_much():
    found = problem(gate("g", 4, 37, "A"), names=("A", "B"))
    assert found.slug == "gate-off-leg"
    # 41 ft less 40 ft - 2 3/4 in
    assert "1' 2 3/4\"" in found.found
    assert "35' 9 1/4\"" in found.allowed


def test_inside_the_post_at_its_point():
    found = problem(gate("g", 4, 1 / 12, "A"))
    assert found.slug == "gate-off-leg"


def test_posts_that_would_stand_in_each_other():
    """The corner's 4x4 ends at 1 3/4 in; a 6x6 of the gate's own takes 5 1/2 in more and must not touch it."""
    found = problem(gate("g", 4, 6 / 12, "A"))
    assert found.slug == "gate-post-too-near"
    assert found.found.startswith('4 1/4" between')
    assert found.allowed == 'a start of 2 3/4" (one post for both), or at least 7 3/8"'
    assert '1 3/8"' in found.hint


@pytest.mark.parametrize("inches", [7.375, 8, 8.25, 9])
def test_a_gate_post_of_its_own_beside_the_post_of_an_end(inches):
    design = lay_gate(gate("g", 4, inches / 12, "A"))
    at = {post.label: post for post in design.posts}
    first, own = design.posts[0], at[design.gates[0].posts[0]]
    assert (first.role, first.width_m / IN, own.width_m / IN) == ("end", pytest.approx(3.5), pytest.approx(5.5))
    assert own.xy[0] - first.xy[0] == pytest.approx((inches - 2.75) * IN)


def test_beside_a_post_that_another_gate_makes_a_gate_post_it_takes_more():
    """B carries gate h of the next side, a 6x6: its face lies at 2 3/4 in, so 8 in before B is too near."""
    near_b = gate("g", 4, 40 - 4 - 8 / 12, "A")
    assert len(lay_gate(near_b).gates) == 1
    found = problem(near_b, gate("h", 4, 0, "B"))
    assert found.slug == "gate-post-too-near"
    assert found.found.startswith('5 1/4" between')


def test_gates_over_each_other():
    found = problem(gate("g", 4, 12, "A"), gate("h", 4, 14, "A"))
    assert found.slug == "gates-overlap"
    # they overlap by 2 ft and share a post of 5 1/2 in
    assert "2' 5 1/2\"" in found.hint


def test_a_gate_over_a_post_of_another_run():
    places = (*PLACES, *points(T=(14, 20), M=(14, 0)))
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", gates=(gate("g", 4, 11, "A"),)), run("t", "T", "M")], places)
    assert [p.slug for p in error.value.problems] == ["gate-off-leg"]


def test_from_a_point_that_is_not_on_the_run():
    found = problem(gate("g", 4, 11, "Z"))
    assert found.slug == "gate-point-not-on-run"
    assert found.allowed == "A, B, C"


def test_both_sizes_disagreeing_is_placed_at_the_gate():
    spec = GateSpec("g", 48 * IN, 40 * IN, 12 * FT, "A")
    assert problem(spec).slug == "gate-sizes-disagree"


WALL = {"names": ("A", "B"), "ends": (EndSpec("A", "bracket"),)}


def start_of(text):
    """The start that a problem gives, in inches."""
    whole, _, part = re.findall(r'(?:least|most) (?:(?:\d+)\' )?(\d+)( (\d+/\d+))?"', text)[0]
    feet = re.findall(r"(?:least|most) (\d+)' ", text)
    return 12 * int(feet[0] if feet else 0) + int(whole) + float(Fraction(part or 0))


@pytest.mark.parametrize("starts_in", [5.5, 3.0])
def test_a_gate_whose_post_does_not_clear_a_bracket_is_told_a_start_that_fits(starts_in):
    # a 5 1/2 in gate post from the wall face on: the opening begins at 5 5/8 in at the earliest
    with pytest.raises(JobError) as error:
        lay_gate(gate("g", 4, starts_in / 12, "A"), **WALL)
    problem = error.value.problems[0]
    text = problem.hint if problem.slug == "posts-overlap" else problem.allowed
    assert start_of(text) == pytest.approx(5.625)
    design = lay_gate(gate("g", 4, start_of(text) / 12, "A"), **WALL)
    assert len(design.gates) == 1


@pytest.mark.parametrize("point", ["A", "B"])
def test_a_gate_whose_far_post_touches_a_bracket_is_told_a_start_that_fits(point):
    names, ends = ("A", "B"), (EndSpec("A" if point == "B" else "B", "bracket"),)
    starts = 40 - 4 - 5.5 / 12
    with pytest.raises(JobError) as error:
        lay_gate(gate("g", 4, starts, point), names=names, ends=ends)
    problem = error.value.problems[0]
    assert problem.slug == "posts-overlap"
    assert start_of(problem.hint) == pytest.approx(12 * starts - 0.125)
    assert len(lay_gate(gate("g", 4, start_of(problem.hint) / 12, point), names=names, ends=ends).gates) == 1


@pytest.mark.parametrize(("toward", "bay"), [("", 2), ("B", 2), ("A", 0)])
def test_a_given_bay_beside_a_gate_is_named_by_the_gate(toward, bay):
    # gate in the middle of its leg: after it toward B, before it toward A
    given = (GivenBay("g", 5 * FT, toward=toward, why="panel"),)
    design = lay_gate(gate("g", 4, 12, "A"), names=("A", "B"), given=given)
    kinds = [found.kind for found in design.bays]
    at = kinds.index("gate") + bay - 1
    assert kinds.count("given") == 1
    assert design.bays[at].kind == "given"
    assert design.bays[at].length_m == pytest.approx(5 * FT)
    assert (design.gates[0].posts[1] == design.bays[at].start) == (bay == 2)
