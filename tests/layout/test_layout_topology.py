"""Posts counted by hand in every topology: shared once, numbered in walking order.

Counting rules: bays = ceil(length / longest), line posts = bays - 1; an open polyline of k straight pieces has k + 1
terminals; a closed loop has as many posts as bays (geometry). Whole cases from a trade handbook's table of 1887
(a loop of 60 rods) and from home chain link stand in tests/published.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, posts_by_role, run

from palewright.errors import JobError

SQUARE = {"A": (0, 0), "B": (40, 0), "C": (40, 40), "D": (0, 40)}


def slugs(error: pytest.ExceptionInfo[JobError]) -> list[str]:
    return [problem.slug for problem in error.value.problems]


@pytest.mark.parametrize(
    ("names", "terminals", "line"),
    [
        (("A", "B"), 2, 4),  # 40 ft in bays of 8: 5 bays, 4 line posts
        (("A", "B", "C"), 3, 8),
        (("A", "B", "C", "D"), 4, 12),
    ],
)
def test_an_open_polyline_of_k_pieces_has_k_plus_1_terminals(names, terminals, line):
    design = lay([run("r", *names)], points(**SQUARE))
    roles = posts_by_role(design)
    assert roles.pop("line") == line
    assert roles.pop("end") == 2
    assert roles.pop("corner", 0) == terminals - 2
    assert not roles
    assert [post.number for post in design.posts] == list(range(1, terminals + line + 1))
    assert len(design.bays) == len(design.posts) - 1


def test_a_closed_loop_has_as_many_posts_as_bays():
    design = lay([run("r", "A", "B", "C", "D", closed=True)], points(**SQUARE))
    assert len(design.posts) == len(design.bays) == 20
    assert posts_by_role(design) == {"corner": 4, "line": 16}
    assert design.runs[0].closed
    assert design.runs[0].length_m == pytest.approx(160 * FT)
    assert design.bays[-1].end == design.posts[0].label == "1"
    assert design.posts[0].places == (("r", 0.0),)


def test_naming_the_first_point_again_closes_the_loop():
    design = lay([run("r", "A", "B", "C", "D", "A")], points(**SQUARE))
    assert design.runs[0].closed
    assert len(design.posts) == len(design.bays) == 20


def test_two_runs_share_the_post_where_they_meet_and_it_is_counted_once():
    design = lay([run("one", "A", "B"), run("two", "B", "C")], points(**SQUARE))
    assert len(design.posts) == 11
    shared = next(post for post in design.posts if post.why == "point B")
    assert shared.role == "corner"
    assert shared.places == (("one", pytest.approx(40 * FT)), ("two", 0.0))
    assert shared.legs == (0, 1)
    assert shared.turn == pytest.approx(3.141592653589793 / 2)


def test_two_runs_that_start_back_to_back_share_their_first_post():
    design = lay([run("one", "B", "A"), run("two", "B", "C")], points(**SQUARE))
    assert len(design.posts) == 11
    assert posts_by_role(design) == {"end": 2, "corner": 1, "line": 8}
    assert design.posts[0].label == "1"
    assert abs(design.posts[0].turn) == pytest.approx(3.141592653589793 / 2)


def test_a_run_that_ends_on_another_makes_a_tee_there():
    places = points(**SQUARE, M=(18, 0), T=(18, 30))
    design = lay([run("one", "A", "B"), run("two", "T", "M")], places)
    # the first run is split at 18 ft: 3 bays of 6 ft and 22 ft in 3 bays; the second is 30 ft in 4 bays
    assert posts_by_role(design) == {"end": 3, "tee": 1, "line": 2 + 2 + 3}
    tee = next(post for post in design.posts if post.role == "tee")
    assert dict(tee.places) == {"one": pytest.approx(18 * FT), "two": pytest.approx(30 * FT)}
    assert len(tee.legs) == 3
    assert [len(r.legs) for r in design.runs] == [2, 1]
    assert design.runs[0].length_m == pytest.approx(40 * FT)


def test_a_point_of_another_run_in_the_middle_of_a_leg_is_shared():
    places = points(**SQUARE, M=(16, 0), S=(16, -16), T=(30, 20))
    design = lay([run("one", "A", "B"), run("two", "S", "M", "T")], places)
    through = next(post for post in design.posts if post.role == "tee")
    assert len(through.legs) == 4
    assert len({post.xy for post in design.posts}) == len(design.posts)


def test_height_changing_in_a_straight_line_shares_one_post_as_long_as_the_taller_needs():
    low = kind("low", post_top_m=(("line", 50 * IN),), height_m=50 * IN)
    wide = kind("high", post_top_m=(("line", 74 * IN),), holes=(("line", kind().hole("gate")),))
    places = points(A=(0, 0), B=(16, 0), C=(32, 0))
    design = lay(
        [run("a", "A", "B", fence="low"), run("b", "B", "C", fence="high")], places, kinds={"low": low, "high": wide}
    )
    assert posts_by_role(design) == {"end": 2, "change": 1, "line": 2}
    change = next(post for post in design.posts if post.role == "change")
    assert change.kind == "high"
    assert change.above_m == pytest.approx(74 * IN)
    assert change.hole is not None
    assert change.hole.diameter_m == pytest.approx(14 * IN)
    # walking the other way gives the same post
    back = lay(
        [run("b", "C", "B", fence="high"), run("a", "B", "A", fence="low")], places, kinds={"low": low, "high": wide}
    )
    other = next(post for post in back.posts if post.role == "change")
    assert (other.kind, other.above_m, other.length_m) == (change.kind, change.above_m, change.length_m)


def test_a_named_point_in_a_straight_run_stands_fixed_and_is_no_corner():
    design = lay([run("r", "A", "M", "B")], points(**SQUARE, M=(10, 0)))
    middle = next(post for post in design.posts if post.why == "point M")
    assert middle.role == "line"
    assert middle.move is not None
    assert middle.move.back_stop == "fixed"
    assert "corner" not in posts_by_role(design)


def test_points_that_differ_by_rounding_are_one_post():
    places = points(A=(0, 0), B=(40, 0), C=(40.0000001, 0.0000001), D=(40, 40))
    design = lay([run("one", "A", "B"), run("two", "C", "D")], places)
    assert posts_by_role(design)["corner"] == 1
    assert len(design.posts) == 11


def test_labels_follow_the_walk_over_all_runs():
    design = lay([run("one", "A", "B"), run("two", "C", "B"), run("three", "C", "D")], points(**SQUARE))
    assert [post.label for post in design.posts] == [str(k) for k in range(1, 17)]
    two = next(leg for leg in design.legs if leg.run == "two")
    assert two.posts == ("7", "8", "9", "10", "11", "6")
    for leg in design.legs:
        at = {post.label: post for post in design.posts}
        stations = [dict(at[label].places)[leg.run] for label in leg.posts]
        assert stations == sorted(stations)


# ---------------------------------------------------------------- what must not be


def test_runs_that_cross_in_the_middle_are_named_with_the_place():
    places = points(A=(0, 0), B=(40, 0), S=(20, -20), T=(20, 20))
    with pytest.raises(JobError) as error:
        lay([run("one", "A", "B"), run("two", "S", "T")], places)
    assert slugs(error) == ["crossing-runs"]
    problem = error.value.problems[0]
    assert "one" in problem.what
    assert "two" in problem.what
    assert "20'" in problem.found


def test_an_end_that_runs_over_is_told_by_how_much():
    places = points(A=(0, 0), B=(40, 0), S=(20, -20), T=(20, 0.5))
    with pytest.raises(JobError) as error:
        lay([run("one", "A", "B"), run("two", "S", "T")], places)
    assert '6"' in error.value.problems[0].hint


def test_an_end_that_stops_short_of_another_run_is_remarked():
    places = points(A=(0, 0), B=(40, 0), S=(20, -20), T=(20, -0.5))
    design = lay([run("one", "A", "B"), run("two", "S", "T")], places)
    remark = next(r for r in design.remarks if r.slug == "end-close-to-run")
    assert dict(remark.args)["gap_m"] == pytest.approx(0.5 * FT)


def test_a_run_that_crosses_itself_is_a_problem():
    places = points(A=(0, 0), B=(40, 0), C=(40, 20), D=(20, -20))
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", "C", "D")], places)
    assert slugs(error) == ["run-crosses-itself"]


def test_a_run_that_turns_straight_back_is_a_problem():
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", "M")], points(**SQUARE, M=(10, 0)))
    assert slugs(error) == ["run-turns-back"]


def test_two_runs_on_one_line_are_a_problem():
    places = points(A=(0, 0), B=(40, 0), C=(20, 0), D=(60, 0))
    with pytest.raises(JobError) as error:
        lay([run("one", "A", "B"), run("two", "C", "D")], places)
    assert slugs(error) == ["runs-overlap"]
    with pytest.raises(JobError) as error:
        lay([run("one", "A", "B"), run("two", "B", "A")], places)
    assert slugs(error) == ["runs-overlap"]


def test_the_same_point_twice_in_a_row_is_a_problem():
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", "B", "C")], points(**SQUARE))
    assert slugs(error) == ["zero-length-leg"]


def test_unknown_points_and_fences_are_told_all_at_once():
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "X", "Y"), run("s", "A", "B", fence="none"), run("t", "A")], points(**SQUARE))
    assert sorted(slugs(error)) == ["run-too-short", "unknown-fence", "unknown-point", "unknown-point"]


# ---------------------------------------------------------------- gates and the count


def test_a_gate_in_a_leg_brings_two_posts():
    design = lay([run("r", "A", "B", gates=(gate("side", 4, 12, "A"),))], points(**SQUARE))
    # gate posts at 12 ft - 2 3/4 in and 16 ft + 2 3/4 in: 2 bays before, 3 after
    assert posts_by_role(design) == {"end": 2, "gate": 2, "line": 1 + 2}


def test_a_gate_at_a_corner_shares_the_corner_post():
    design = lay([run("r", "A", "B", "C", gates=(gate("side", 4, 0, "B"),))], points(**SQUARE))
    roles = posts_by_role(design)
    assert roles["gate"] == 2
    assert "corner" not in roles
    corner = next(post for post in design.posts if "point B" in post.why)
    assert corner.role == "gate"
    assert corner.section == "6x6"
    assert corner.turn == pytest.approx(3.141592653589793 / 2)
    # the opening begins at the face of the corner post
    found = design.gates[0]
    assert found.hinge_xy[0] == pytest.approx((40 * FT, 2.75 * IN))
    # 40 ft: 5 bays; beyond the gate 40 ft - 5 1/2 in - 4 ft - 2 3/4 in in 5 bays
    assert roles["line"] == 4 + 4


def test_two_gates_side_by_side_share_one_post():
    gates = (gate("walk", 4, 10, "A"), gate("drive", 10, 14 + 5.5 / 12, "A", leaves=2))
    design = lay([run("r", "A", "B", gates=gates)], points(**SQUARE))
    assert posts_by_role(design)["gate"] == 3
    walk, drive = design.gates
    assert walk.posts[1] == drive.posts[0]
    assert walk.opening_m == pytest.approx(4 * FT)
    assert drive.opening_m == pytest.approx(10 * FT)


def test_a_gate_that_fills_its_leg_shares_both_posts():
    # 4 ft opening between two gate posts of 5 1/2 in: the leg is 4 ft 5 1/2 in long
    places = points(A=(0, 0), B=(20, 0), C=(20 + 4 + 5.5 / 12, 0), D=(50, 0))
    design = lay([run("r", "A", "B", "C", "D", gates=(gate("g", 4, 0, "B"),))], places)
    roles = posts_by_role(design)
    assert roles["gate"] == 2
    assert design.gates[0].opening_m == pytest.approx(4 * FT)


def test_the_post_where_the_kind_changes_takes_the_fill_of_the_kind_that_its_section_is_of():
    """The taller fence gives the section; its posts stand in concrete, and so does the shared one."""
    low, tall = kind("low"), kind("tall", height_m=86 * IN, post_top_m=(("line", 86 * IN),))
    low = replace(low, holes=tuple((role, replace(rule, fill="soil")) for role, rule in low.holes))
    runs = [run("one", "A", "B", fence="low"), run("two", "B", "C", fence="tall")]
    design = lay(runs, points(A=(0, 0), B=(40, 0), C=(80, 0)), kinds={"low": low, "tall": tall})
    shared = next(post for post in design.posts if post.role == "change")
    assert shared.kind == "tall"
    assert {post.hole.fill for post in design.posts if post.kind == "tall"} == {"concrete"}
    assert {post.hole.fill for post in design.posts if post.kind == "low"} == {"soil"}


def test_a_thousand_runs_on_one_line_are_told_without_half_a_million_problems():
    with pytest.raises(JobError) as error:
        lay([run(f"r{number}", "A", "B") for number in range(40)], points(**SQUARE))  # 780 pairs
    assert slugs(error) == ["runs-overlap"] * 200
