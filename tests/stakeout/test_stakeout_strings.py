"""Strings: where they cross, what the tape reads, re-zero marks, sighted points. Designs are built by hand."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.stakeout.yards import FT, IN, Yard, corner_path, ft, site

from palewright.model import Design, EndSpec, Job, Site, Stakeout, StakeSpec, StringLine
from palewright.notation import show_inches
from palewright.plane import add, distance, dot, project, scale, signed_area, sub, turn_between, unit
from palewright.stakeout import stake_out


def slugs(out: Stakeout) -> list[str]:
    return [remark.slug for remark in out.remarks]


def prove(out: Stakeout, job: Job, design: Design) -> None:
    """Walk every string with the printed numbers alone and find every post again."""
    posts = {post.label: post for post in design.posts}
    seen: set[str] = set()
    for string in out.strings:
        u = unit(sub(string.end_xy, string.start_xy))
        assert min(string.zero_reads_m, string.first_reads_m) >= -1e-9
        assert string.end_reads_m >= -1e-9
        for number, mark in enumerate(string.marks):
            assert mark.reads_m >= -1e-9
            at = add(string.zero_xy, scale(u, mark.reads_m - string.zero_reads_m))
            off = sub(posts[mark.post].xy, at)
            assert abs(dot(off, u)) < 1e-6
            assert math.hypot(*off) == pytest.approx(string.offset_m, abs=1e-6)
            if number:
                assert mark.gap_m == pytest.approx(
                    distance(posts[mark.post].xy, posts[string.marks[number - 1].post].xy), abs=1e-6
                )
            base = 0.0 if mark.rezero == 0 else string.rezeros_m[mark.rezero - 1]
            assert mark.from_rezero_m == pytest.approx(mark.reads_m - base, abs=1e-9)
            assert mark.from_rezero_m <= job.tape_m + 1e-6
            seen.add(mark.post)
        assert distance(string.start_xy, string.end_xy) == pytest.approx(string.length_m, abs=1e-6)
        side = dot(sub(string.zero_xy, posts[string.marks[0].post].xy), (-u[1], u[0]))
        assert abs(side) == pytest.approx(string.offset_m, abs=1e-6)
    assert seen == {post.label for post in design.posts if post.hole is not None}
    names = {string.name: string for string in out.strings}
    for crossing in out.crossings:
        for name, reads in zip(crossing.strings, crossing.reads_m, strict=True):
            string = names[name]
            u = unit(sub(string.end_xy, string.start_xy))
            assert reads >= -1e-9
            assert distance(crossing.xy, add(string.zero_xy, scale(u, reads - string.zero_reads_m))) < 1e-6


def corner(inside_deg: float, **changes: object) -> tuple[StringLine, StringLine, Stakeout]:
    yard = Yard().run("a", corner_path(inside_deg), **changes)  # type: ignore[arg-type]
    job = yard.job()
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    first = next(s for s in out.strings if s.leg == 0)
    second = next(s for s in out.strings if s.leg == 1)
    return first, second, out


@pytest.mark.parametrize(("degrees", "inches"), [(70, '34 1/4"'), (110, '16 3/4"'), (90, '24"')])
def test_strings_inside_a_corner_cross_where_the_trade_says(degrees: int, inches: str) -> None:
    """24 in offset, issue text: at 70 degrees 34 1/4 in, at 110 degrees 16 3/4 in along from the corner post."""
    first, second, out = corner(degrees)
    for string in (first, second):
        assert string.zero == "crossing"
        assert show_inches(string.zero_reads_m, 4) == inches
        assert string.first_reads_m == 0.0
    (crossing,) = out.crossings
    assert math.degrees(crossing.angle) == pytest.approx(degrees)
    assert {crossing.strings[0], crossing.strings[1]} == {"A", "B"}
    assert first.zero_with == "B"
    assert second.zero_with == "A"


@pytest.mark.parametrize("degrees", [290, 250, 270, 200])
def test_strings_outside_a_corner_read_zero_at_the_crossing(degrees: int) -> None:
    first, second, out = corner(degrees)
    expected = 24 * IN / math.tan(math.radians((360 - degrees) / 2))
    for string in (first, second):
        assert string.zero_reads_m == 0.0
        assert string.first_reads_m == pytest.approx(expected, abs=1e-9)
    assert math.degrees(out.crossings[0].angle) == pytest.approx(degrees)


def test_strings_out_run_on_the_other_side() -> None:
    first, _, out = corner(90, strings="out")
    assert first.side == "out"
    assert first.zero_reads_m == 0.0
    assert first.first_reads_m == pytest.approx(24 * IN)
    assert math.degrees(out.crossings[0].angle) == pytest.approx(90)


def test_an_end_that_nothing_crosses_is_squared_off_the_post() -> None:
    yard = Yard().run("a", ft((0, 0), (60, 0)))
    job = yard.job()
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    (string,) = out.strings
    assert (string.zero, string.zero_with, string.end_with) == ("stake line", "", "")
    assert (string.zero_reads_m, string.first_reads_m) == (0.0, 0.0)
    assert string.end_reads_m == pytest.approx(60 * FT)
    assert string.face_m == pytest.approx(24 * IN - 1.75 * IN)
    assert slugs(out).count("zero-stake-line") == 2
    assert string.length_m == pytest.approx(66 * FT)
    assert out.checks == ()


def test_the_tape_starts_at_the_crossing_even_when_the_run_ends_there() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0), (40, 40)))
    out = stake_out(yard.job(), site(), yard.design())
    first = out.strings[0]
    assert first.marks[0].post == "6"
    assert first.marks[-1].post == "1"
    assert first.zero_with == "B"


def test_legs_in_one_line_share_one_string() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0), (70, 0), (70, 40)))
    job = yard.job()
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    assert [len(string.marks) for string in out.strings] == [10, 6]
    assert out.strings[0].leg == 0


def test_two_runs_in_one_line_share_one_string() -> None:
    yard = Yard().run("tall", ft((0, 0), (40, 0))).run("low", ft((40, 0), (80, 0)))
    out = stake_out(yard.job(), site(), yard.design())
    prove(out, yard.job(), yard.design())
    assert len(out.strings) == 1
    before = Yard().run("low", ft((40, 0), (80, 0))).run("tall", ft((0, 0), (40, 0)))
    assert len(stake_out(before.job(), site(), before.design()).strings) == 1


def test_a_loop_that_starts_in_the_middle_of_a_side_has_four_strings() -> None:
    yard = Yard().run("a", ft((40, 0), (80, 0), (80, 60), (0, 60), (0, 0)), closed=True)
    out = stake_out(yard.job(), site(), yard.design())
    prove(out, yard.job(), yard.design())
    assert len(out.strings) == 4
    assert len(out.crossings) == 4
    assert all(string.zero == "crossing" and string.end_with in "ABCD" for string in out.strings)


def test_sides_that_differ_are_not_joined() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0))).run("b", ft((40, 0), (80, 0)), yard="right")
    out = stake_out(yard.job(), site(), yard.design())
    prove(out, yard.job(), yard.design())
    assert len(out.strings) == 2
    assert slugs(out).count("crossing-too-flat") == 2


def test_a_tee_crosses_the_string_it_stands_on() -> None:
    yard = Yard().run("a", ft((0, 0), (80, 0))).run("b", ft((40, 0), (40, 40)))
    out = stake_out(yard.job(), site(), yard.design())
    prove(out, yard.job(), yard.design())
    stem = out.strings[1]
    assert (stem.zero, stem.zero_with) == ("crossing", "A")
    (crossing,) = out.crossings
    assert math.degrees(crossing.angle) == pytest.approx(90)
    assert crossing.post == "6"
    (check,) = out.checks
    assert check.method.startswith("3-4-5")


def test_a_bracket_holds_the_string_at_the_wall() -> None:
    house = (("house", tuple(ft((60, -30), (90, -30), (90, 30), (60, 30)))),)
    yard = Yard().run("a", ft((20, 30), (20, 0), (60, 0)), brackets=(False, True))
    job, design = yard.job(), yard.design()
    out = stake_out(job, site(buildings=house), design)
    prove(out, job, design)
    string = next(s for s in out.strings if s.leg == 1)
    assert (string.zero, string.end_with) == ("crossing", "wall")
    assert string.stakes[1].beyond_m == 0.0
    assert string.stakes[1].xy[0] == pytest.approx(60 * FT)
    assert "wall-square-assumed" not in slugs(out)
    assert "W1" not in {mark.post for mark in string.marks}
    assert string.end_reads_m == pytest.approx(40 * FT)


def test_a_wall_not_square_to_the_fence_is_met_where_it_stands() -> None:
    house = (("house", tuple(ft((52, -10), (92, -10), (102, 40), (62, 40)))),)  # its wall leans 10 in 50
    yard = Yard().run("a", ft((20, 0), (54, 0)), brackets=(False, True))
    out = stake_out(yard.job(), site(buildings=house), yard.design())
    (string,) = out.strings
    assert string.zero == "wall"
    assert string.start_xy[0] == pytest.approx((54 + 2 * 10 / 50) * FT)
    assert string.first_reads_m == pytest.approx(
        0.4 * FT + 34 / 5 * FT
    )  # first hole: one bay of 34 ft / 5 from the wall
    prove(out, yard.job(), yard.design())


def test_a_wall_without_a_plan_of_the_house_is_taken_as_square() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0)), brackets=(True, False))
    out = stake_out(yard.job(), site(), yard.design())
    (string,) = out.strings
    assert (string.zero, string.zero_reads_m) == ("wall", 0.0)
    assert string.marks[0].reads_m == pytest.approx(8 * FT)
    assert "wall-square-assumed" in slugs(out)


def test_a_string_that_misses_the_wall_is_squared_off() -> None:
    house = (("house", tuple(ft((-30, -30), (0, -30), (0, 1), (-30, 1)))),)
    yard = Yard().run("a", ft((0, 0), (40, 0)), brackets=(True, False))
    out = stake_out(yard.job(), site(buildings=house), yard.design())
    (string,) = out.strings
    assert string.zero == "stake line"


def test_a_post_clear_of_a_wall_starts_at_the_wall() -> None:
    ends = (EndSpec("a0", "post clear", 6 * IN),)
    yard = Yard().run("a", ft((1, 0), (41, 0)), ends=ends)
    job = yard.job()
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    (string,) = out.strings
    assert string.zero == "wall"
    assert string.first_reads_m == pytest.approx(6 * IN + 1.75 * IN)


def test_the_tape_is_laid_again_from_a_post_mark() -> None:
    yard = Yard().run("a", ft((0, 0), (120, 0)))
    job = yard.job(tape_m=50 * FT)
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    (string,) = out.strings
    assert [round(reads / FT, 6) for reads in string.rezeros_m] == [48, 96]
    marks = {mark.post: mark for mark in string.marks}
    assert (marks["7"].rezero, round(marks["7"].from_rezero_m / FT, 6)) == (0, 48)
    assert (marks["8"].rezero, round(marks["8"].from_rezero_m / FT, 6)) == (1, 8)


def test_a_gap_longer_than_the_tape_is_re_zeroed_in_the_gap() -> None:
    yard = Yard(bay=70 * FT).run("a", ft((0, 0), (60, 0)))
    job = yard.job(tape_m=25 * FT)
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    assert [round(reads / FT, 6) for reads in out.strings[0].rezeros_m] == [25, 50]


def test_no_string_is_longer_than_allowed_without_a_sighted_point() -> None:
    yard = Yard().run("a", ft((0, 0), (290, 0)))
    job = yard.job()
    out = stake_out(job, site(), yard.design())
    (string,) = out.strings
    low = string.zero_reads_m - string.stakes[0].beyond_m
    places = [low, *string.sighted_m, low + string.length_m]
    assert len(string.sighted_m) == 2
    assert all(b - a <= 100 * FT + 1e-6 for a, b in itertools.pairwise(places))
    for reads in string.sighted_m:
        assert min(abs(reads - mark.reads_m) for mark in string.marks) >= 5 * IN + 6 * IN - 1e-9


def test_even_sighted_points_on_a_hole_are_moved() -> None:
    yard = Yard().run("a", ft((0, 0), (128, 0)))  # stakes at -3 and 131 ft: the middle falls on the hole at 64 ft
    out = stake_out(yard.job(), site(), yard.design())
    (reads,) = out.strings[0].sighted_m
    assert 5 * IN + 6 * IN <= abs(reads - 64 * FT) <= 2 * FT


def test_posts_of_another_size_are_named() -> None:
    from dataclasses import replace

    yard = Yard().run("a", ft((0, 0), (60, 0)))
    yard.posts[3] = replace(yard.posts[3], width_m=5.5 * IN, depth_m=5.5 * IN, role="gate")
    out = stake_out(yard.job(), site(), yard.design())
    (remark,) = [r for r in out.remarks if r.slug == "face-offset-differs"]
    assert remark.about == "string A"
    assert dict(remark.args)["posts"] == "4"
    assert dict(remark.args)["face_m"] == pytest.approx(24 * IN - 2.75 * IN)


def test_posts_of_another_size_are_named_on_their_own_string_alone() -> None:
    from dataclasses import replace

    yard = Yard().run("a", ft((0, 0), (40, 0), (40, 6)))
    for k, post in enumerate(yard.posts):
        if post.number in (6, 7):  # both posts of the short string are thick: nothing is other there
            yard.posts[k] = replace(post, width_m=5.5 * IN, depth_m=5.5 * IN)
    out = stake_out(yard.job(), site(), yard.design())
    told = {r.about: dict(r.args)["posts"] for r in out.remarks if r.slug == "face-offset-differs"}
    assert told == {"string A": "6"}


@pytest.mark.parametrize(
    ("width", "depth", "degrees", "face"),
    [
        (3.5, 3.5, 0.0, 24 - 1.75),
        (5.5, 5.5, 0.0, 24 - 2.75),  # centres in one line: the face of a thicker post is nearer to the string
        (5.5, 3.5, 90.0, 24 - 2.75),  # turned by a right angle it shows its other side
        (3.5, 3.5, 20.0, 24 - 1.75 / math.cos(math.radians(20.0))),
        (3.5, 3.5, 45.0, None),  # an edge points at the string
    ],
)
def test_each_post_has_the_distance_of_its_own_face(
    width: float, depth: float, degrees: float, face: float | None
) -> None:
    from dataclasses import replace

    yard = Yard().run("a", ft((0, 0), (60, 0)))
    turned = yard.posts[3].axis + math.radians(degrees)
    yard.posts[3] = replace(yard.posts[3], width_m=width * IN, depth_m=depth * IN, axis=turned, role="gate")
    out = stake_out(yard.job(), site(), yard.design())
    marks = {mark.post: mark.face_m for mark in out.strings[0].marks}
    assert marks.pop("4") == (None if face is None else pytest.approx(face * IN))
    assert list(marks.values()) == [pytest.approx(22.25 * IN)] * len(marks)
    assert ("face-turned" in slugs(out)) == (face is None)


def test_offset_of_the_job_is_used() -> None:
    yard = Yard().run("a", corner_path(90))
    job = yard.job(stakes=StakeSpec(offset_m=0.3))
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    assert out.strings[0].zero_reads_m == pytest.approx(0.3)


def test_legs_shorter_than_the_offset_still_read_no_negative() -> None:
    yard = Yard().run("a", ft((0, 20), (0, 0), (1.2, 0), (1.2, 20)))
    job = yard.job()
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    reads = [mark.reads_m for string in out.strings for mark in string.marks]
    assert len(reads) >= len(yard.posts)
    assert min(reads) >= 0.0


def test_a_design_without_legs() -> None:
    out = stake_out(Job("empty"), Site((), None, (), (), (), False), Design((), (), (), (), ()))
    assert out.strings == ()
    assert out.order[0] == "locate"


def test_marks_are_larger_than_holes() -> None:
    _, _, out = corner(90)
    sizes = dict(out.mark_diameter_m)
    assert sizes["line"] == pytest.approx(12 * IN)
    assert set(sizes) == {"line", "end", "corner"}


@settings(max_examples=120, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-90, 90), st.floats(-90, 90)), min_size=3, max_size=7),
    st.booleans(),
    st.booleans(),
    st.floats(0.2, 1.0),
    st.floats(5.0, 40.0),
    st.sampled_from(["yard", "out"]),
)
def test_any_path_can_be_walked_with_the_printed_numbers(
    path: list[tuple[float, float]], left: bool, closed: bool, offset: float, tape: float, strings: str
) -> None:
    points = ft(*path)
    sides = list(zip(points, [*points[1:], points[0]], strict=True))
    assume(all(distance(a, b) > 1.0 for a, b in sides))
    bends = [turn_between(sub(b, a), sub(d, c)) for (a, b), (c, d) in zip(sides, [*sides[1:], sides[0]], strict=True)]
    assume(all(abs(bend) > 1e-3 for bend in bends))  # a bend too small to see stays on one string
    assume(len({(round(x, 3), round(y, 3)) for x, y in points}) == len(points))
    yard = Yard().run("a", points, yard="left" if left else "right", closed=closed, strings=strings)
    assume(len({p.xy for p in yard.posts}) == len(yard.posts))
    assume(all(distance(a.xy, b.xy) > 0.01 for k, a in enumerate(yard.posts) for b in yard.posts[:k]))
    job = yard.job(tape_m=tape, stakes=StakeSpec(offset_m=offset))
    out = stake_out(job, site(), yard.design())
    prove(out, job, yard.design())
    assert {mark.post for string in out.strings for mark in string.marks} == {post.label for post in yard.posts}


@settings(max_examples=60, deadline=None)
@given(st.floats(25, 155), st.floats(0.2, 1.0))
def test_crossing_by_formula(degrees: float, offset: float) -> None:
    """d / tan(angle / 2), for any inside angle below 180 degrees."""
    yard = Yard().run("a", corner_path(degrees))
    job = yard.job(stakes=StakeSpec(offset_m=offset))
    out = stake_out(job, site(), yard.design())
    for string in out.strings:
        assert string.zero_reads_m == pytest.approx(offset / math.tan(math.radians(degrees) / 2), rel=1e-9)


def test_the_yard_side_is_the_inside_of_a_loop() -> None:
    ring = ft((0, 0), (80, 0), (80, 60), (0, 60))
    assert signed_area(ring) > 0
    yard = Yard().run("a", ring, closed=True)
    out = stake_out(yard.job(), site(), yard.design())
    for crossing in out.crossings:
        along, off = project(crossing.xy, ring[0], ring[1])
        assert 0 < along < 80 * FT
        assert 0 < off < 60 * FT
