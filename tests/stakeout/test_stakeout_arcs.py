"""Posts along a curve from one string: the printed numbers alone lead back to every post. Designs are built by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.stakeout.yards import FT, Yard, site

from palewright.model import Design, Job, Stakeout, StringLine
from palewright.plane import XY, add, distance, dot, left_of, scale, sub, unit
from palewright.stakeout import long_chord_offset, stake_out, tangent_offset


def circle(radius: float, sweep: float, bays: int, start: float = 0.3) -> list[XY]:
    """Posts on a circle round (0, 0) at equal angles, left positive [m, rad]."""
    return [
        (radius * math.cos(start + sweep * k / bays), radius * math.sin(start + sweep * k / bays))
        for k in range(bays + 1)
    ]


def curved(path: list[XY], **changes: object) -> tuple[Job, Design]:
    """A run with a post at every point of a path; those between its ends are line posts."""
    yard = Yard(bay=1000.0).run("a", path, **changes)  # type: ignore[arg-type]
    made = yard.design()
    ends = {made.posts[0].label, made.posts[-1].label}
    posts = tuple(post if post.label in ends else replace(post, role="line") for post in made.posts)
    return yard.job(), replace(made, posts=posts)


def prove(string: StringLine, design: Design) -> None:
    """Walk the string with the printed numbers and find every post of the curve again."""
    posts = {post.label: post for post in design.posts}
    u = unit(sub(string.end_xy, string.start_xy))
    n = left_of(u)
    side = math.copysign(1.0, dot(sub(string.zero_xy, posts[string.marks[0].post].xy), n))
    for mark in string.marks:
        assert mark.offset_m is not None
        assert mark.offset_m > 0.0
        foot = add(string.zero_xy, scale(u, mark.reads_m - string.zero_reads_m))
        assert distance(add(foot, scale(n, -side * mark.offset_m)), posts[mark.post].xy) < 1e-9
        assert mark.face_m is None or mark.offset_m / 3.0 < mark.face_m < mark.offset_m
    arc = string.arc
    assert arc is not None
    foot = add(string.zero_xy, scale(u, arc.check_m - string.zero_reads_m))
    top = add(foot, scale(n, -side * arc.off_m))
    assert math.hypot(*top) == pytest.approx(arc.radius_m)
    ends = [posts[string.marks[k].post].xy for k in (0, -1)]
    assert distance(*ends) == pytest.approx(arc.chord_m)
    assert distance(ends[0], top) == pytest.approx(distance(ends[1], top))
    middle = scale(add(*ends), 0.5)
    assert distance(middle, top) == pytest.approx(arc.middle_m)


def one(out: Stakeout) -> StringLine:
    (string,) = out.strings
    return string


@settings(max_examples=150, deadline=None)
@given(
    st.floats(3.0, 200.0), st.floats(0.1, 1.7), st.integers(2, 12), st.sampled_from([1, -1]),
    st.sampled_from(["left", "right"]), st.sampled_from(["yard", "out"]),
)  # fmt: skip
def test_every_post_of_a_curve_is_found_from_one_string(
    radius: float, turn: float, bays: int, way: int, yard: str, side: str
) -> None:
    job, design = curved(circle(radius, way * turn, bays), yard=yard, strings=side)
    string = one(stake_out(job, site(), design))
    prove(string, design)
    assert string.side == side
    assert string.arc is not None
    assert string.arc.way == "chord"
    assert min(mark.offset_m or 0.0 for mark in string.marks) == pytest.approx(job.stakes.offset_m)


@settings(max_examples=100, deadline=None)
@given(st.floats(3.0, 200.0), st.floats(0.1, 1.7), st.integers(2, 12), st.sampled_from(["left", "right"]))
def test_offsets_are_those_of_the_handbooks(radius: float, turn: float, bays: int, yard: str) -> None:
    """y = sqrt(R^2 - x^2) - (R - M) from the long chord, outward of the string or toward it."""
    job, design = curved(circle(radius, turn, bays), yard=yard)
    string = one(stake_out(job, site(), design))
    assert string.arc is not None
    first, bulge = string.marks[0], 1.0 if yard == "left" else -1.0
    for mark in string.marks:
        along = min(max(mark.reads_m - first.reads_m, 0.0), string.arc.chord_m)
        off = long_chord_offset(string.arc.radius_m, string.arc.chord_m, along)
        assert (mark.offset_m or 0.0) - (first.offset_m or 0.0) == pytest.approx(bulge * off, abs=1e-6)


def test_a_curve_that_turns_far_has_two_strings() -> None:
    job, design = curved(circle(12.0, math.radians(170.0), 10), yard="left")
    out = stake_out(job, site(), design)
    assert [len(string.marks) for string in out.strings] == [6, 6]
    for string in out.strings:
        prove(string, design)


def test_corners_and_bays_that_are_not_alike_are_no_curve() -> None:
    path = circle(12.0, 1.0, 4)
    yard = Yard(bay=1000.0).run("a", path, yard="left")
    assert len(stake_out(yard.job(), site(), yard.design()).strings) == 4
    uneven = [*path[:2], path[2], scale(path[3], 1.2), path[4]]
    job, design = curved(uneven, yard="left")
    assert all(string.arc is None or len(string.marks) == 3 for string in stake_out(job, site(), design).strings)


def test_where_the_chord_meets_a_building_the_string_runs_along_a_tangent() -> None:
    path = circle(20.0, 1.2, 6)
    job, design = curved(path, yard="left")
    middle = scale(add(path[0], path[-1]), 0.5)
    house = tuple(add(middle, xy) for xy in ((-0.4, -0.4), (-0.1, -0.4), (-0.1, -0.1), (-0.4, -0.1)))
    toward = scale(unit(middle), -job.stakes.offset_m)
    house = tuple(add(xy, add(toward, (0.25, 0.25))) for xy in house)
    blocked = replace(site(), buildings=(("shed", house),))
    assert one(stake_out(job, site(), design)).arc is not None
    string = one(stake_out(job, blocked, design))
    assert string.arc is not None
    assert string.arc.way == "tangent"
    prove(string, design)
    away = [tangent_offset(20.0, abs(mark.reads_m - _touch(string))) for mark in string.marks]
    offs = [mark.offset_m or 0.0 for mark in string.marks]
    assert [abs(off - offs[away.index(0.0)]) for off in offs] == pytest.approx(away, abs=1e-6)


def _touch(string: StringLine) -> float:
    """What the tape reads opposite the end post where the string's direction touches the curve."""
    offs = [mark.offset_m or 0.0 for mark in string.marks]
    flat = abs(offs[1] - offs[0]) < abs(offs[-1] - offs[-2])
    return string.marks[0 if flat else -1].reads_m


def test_a_curve_that_no_string_can_serve_has_one_for_each_bay() -> None:
    path = circle(20.0, 1.2, 6)
    job, design = curved(path, yard="left")
    wall = [scale(xy, 0.985) for xy in path], [scale(xy, 0.9) for xy in reversed(path)]
    inner = (*wall[0], *wall[1])
    outer = (*(scale(xy, 1.015) for xy in path), *(scale(xy, 1.1) for xy in reversed(path)))
    out = stake_out(job, replace(site(), buildings=(("a", inner), ("b", outer))), design)
    assert len(out.strings) == 6
    assert all(string.arc is None for string in out.strings)


def test_offsets_have_their_reasons() -> None:
    job, design = curved(circle(40 * FT, math.radians(60.0), 6), yard="left")
    out = stake_out(job, site(), design)
    found = {reason.quantity: reason for reason in out.reasons if reason.source == "curve-offsets"}
    assert found["middle ordinate"].value == pytest.approx(5.3590 * FT, abs=0.00005)
    assert len(found) == 1 + len(design.posts)


def test_the_ranges_of_the_formulas() -> None:
    with pytest.raises(ValueError, match="chord"):
        long_chord_offset(1.0, 2.1, 0.5)
    with pytest.raises(ValueError, match="chord"):
        long_chord_offset(1.0, 1.0, 1.1)
    with pytest.raises(ValueError, match="tangent"):
        tangent_offset(1.0, 1.1)
