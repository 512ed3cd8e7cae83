"""What a place fell on is what stands in the file afterwards: by name where it is a point, else as exactly as it is written."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.drafting import apply, sight
from palewright.drafting.edits import DrawRun, DrawZone, Edit, KeepInside, Move
from palewright.drafting.hints import Hints, hints_for
from palewright.drafting.snapping import Aim, Snap, snap
from palewright.errors import ProblemError
from palewright.jobfile import read_text
from palewright.model import Plan
from palewright.plan import make_plan
from palewright.plane import distance_to_ring

FT = 0.3048
CORNERS = ((0.0, 0.0), (-3.0, 104.0), (61.0, 97.0), (66.0, 4.0))
"""A lot none of whose sides lies along an axis [ft]."""
SKEW = f"""palewright: 1
job: {{title: Skew lot, north: none}}
boundary: {{through: [{", ".join(f"[{x:g} ft, {y:g} ft]" for x, y in CORNERS)}]}}
points:
  A: {{at: [20 ft, 40 ft]}}
  B: {{at: [20 ft, 70 ft]}}
  C: {{at: [40 ft, 70 ft]}}
  D: {{at: [40 ft, 40 ft]}}
  tap: {{at: [30.007 ft, 51.003 ft]}}
fences:
  boards: {{kind: boards, board: 6 ft, longest bay: 8 ft, good side: yard}}
  panels: {{kind: vinyl-panels, good side: yard}}
runs:
  - name: pen
    fence: boards
    through: [A, B, C, D]
    yard: right
    gates: [{{name: side, opening: 4 ft, starts: 6 ft from B, hinges: near B, swings: to yard}}]
"""
KEPT = SKEW.replace("yard: right\n", "yard: right\n    inside boundary: {face: 8 in}\n")
SEEN, HINTS = sight(SKEW, Path()), hints_for(SKEW, Path())
RING = [(x * FT, y * FT) for x, y in CORNERS]


def done(text: str, *edits: Edit) -> str:
    return apply(text, edits, Path()).text


def planned(text: str) -> Plan:
    return make_plan(read_text(text, "job.yaml"))


def fallen(text: str, x: float, y: float, near: float = 1.0, **more: object) -> Snap:
    aim = Aim((x * FT, y * FT), near * FT, **more)  # type: ignore[arg-type]
    return snap(SEEN, aim, HINTS) if text == SKEW else snap(sight(text, Path()), aim, hints_for(text, Path()))


def post_of(plan: Plan, name: str) -> tuple[float, float]:
    return next(post.xy for post in plan.design.posts if post.why.startswith(f"point {name}"))


@settings(max_examples=12)
@given(along=st.floats(0.15, 0.8))
def test_a_corner_that_is_dragged_onto_the_property_line_stands_on_it(along: float) -> None:
    x, y = (a + (b - a) * along for a, b in zip(CORNERS[0], CORNERS[1], strict=True))
    found = fallen(SKEW, x + 0.4, y, what="move", about="point B")
    if "side 1" not in found.about:  # it fell on a leg of whole bays, or square to one
        return
    text = done(SKEW, Move("point B", found.at, snapped=True))
    assert distance_to_ring(post_of(planned(text), "B"), RING) < 0.0001


def test_a_corner_that_is_dragged_onto_an_inset_keeps_it() -> None:
    """The post at that corner has its outermost face 8 in inside, as the run asks; the plan is none where it has not."""
    text = KEPT
    for x, y in ((-0.5, 80.0), (-0.6, 61.7)):
        found = fallen(text, x, y, 1.5, what="move", about="point B")
        assert (found.to, found.inside) == ("inset", "8 in")
        text = done(text, Move("point B", found.at, snapped=True))
        post = next(post for post in planned(text).design.posts if post.why.startswith("point B"))
        assert min(dict(post.inset)["face"], dict(post.inset)["post"]) == pytest.approx(8 / 12 * FT, abs=0.016)


@settings(max_examples=25)
@given(
    turn=st.floats(0.0, math.tau),
    count=st.integers(1, 9),
    off=st.floats(-0.2, 0.2),
    fence=st.sampled_from(["boards", "panels"]),
)
def test_a_leg_of_whole_bays_is_laid_out_in_whole_bays(turn: float, count: int, off: float, fence: str) -> None:
    """Coordinates to 1/8 in made it a hair too long, and that is a post more; or a hair too short: a panel was cut."""
    bay = next(one for one in HINTS.bays if fence == "panels" or one == pytest.approx(8 * FT))
    start = (300 * FT, 20 * FT)
    far = bay * count + off
    at = (start[0] + far * math.cos(turn), start[1] + far * math.sin(turn))
    found = snap(SEEN, Aim(at, 0.3, "run", (start,)), Hints((bay,), (), 0.0254 / 8))
    if "bays of" not in found.text:
        return
    text = done(SKEW, DrawRun((start, found.at), "new", fence, "left", snapped=True))
    bays = [one for one in planned(text).design.bays if one.run == "new"]
    assert (len(bays), any(one.cut for one in bays)) == (count, False)


def test_a_corner_square_to_a_wall_ends_on_the_line_that_it_is_drawn_to() -> None:
    """Where a direction worth keeping meets a line, both hold: the leg goes straight down, and ends on side 4."""
    house = SKEW + "buildings:\n  house: [[24 ft, 20 ft], [44 ft, 20 ft], [44 ft, 30 ft], [24 ft, 30 ft]]\n"
    found = fallen(house, 24.2, 1.2, what="run", so_far=((24 * FT, 20 * FT),))
    assert (found.at[0] / FT, found.at[1] / FT) == pytest.approx((24.0, 24.0 * 4 / 66))
    assert (found.to, found.about) == ("line", "side 4")


def test_a_drawn_corner_that_is_dragged_onto_a_point_is_that_point() -> None:
    found = fallen(SKEW, 30.2, 51.1, what="move", about="point C")
    made = apply(SKEW, [Move("point C", found.at, snapped=True)], Path())
    assert "through: [A, B, tap, D]" in made.text
    assert "C: " not in made.text
    assert made.said == ("Point C is tap now: what was drawn through it goes through that one.",)
    gate = done(SKEW, Move("point B", found.at, snapped=True))
    assert "starts: 6 ft from tap" in gate
    assert "hinges: near tap" in gate
    read_text(gate, "job.yaml")


def test_the_end_of_a_run_that_is_dragged_onto_its_begin_closes_it() -> None:
    text = done(SKEW, Move("point D", (20 * FT, 40 * FT), snapped=True))
    assert "through: [A, B, C]" in text
    assert "closed: yes" in text
    assert len(planned(text).design.legs) == 3


def test_a_point_that_was_measured_stays_one_of_its_own() -> None:
    """Its tape was not read at the other one; the same place is written instead."""
    measured = SKEW + "measured:\n  - {tape: [C, A], reads: 36 ft}\n"
    text = done(measured, Move("point C", (30.007 * FT, 51.003 * FT), snapped=True))
    assert "C: {at: [30.007 ft, 51.003 ft]}" in text
    assert "tape: [C, A]" in text


def test_a_corner_of_a_zone_that_falls_on_a_point_is_written_by_its_name() -> None:
    text = done(SKEW, DrawZone("gas", ((5 * FT, 50 * FT), (15 * FT, 50 * FT)), "24 in", "hand dig"))
    moved = done(text, Move("zone gas", (30.007 * FT, 51.003 * FT), 1, snapped=True))
    assert "through: [[5 ft, 50 ft], tap]" in moved


@pytest.mark.parametrize("fence", ["boards", "panels"])
def test_a_fence_that_was_drawn_on_the_line_is_kept_inside_it(fence: str) -> None:
    """The least face or post is 8 in inside, by no more than a 1/16 in, and the corners of the property stay."""
    on = [
        tuple(a + (b - a) * part for a, b in zip(*ends, strict=True))
        for part, ends in ((0.4, CORNERS[:2]), (0.55, CORNERS[2:]))
    ]
    ends = [(x * FT, y * FT) for x, y in on]
    drawn = DrawRun(
        ((10 * FT, 30 * FT), ends[0], "corner 2", "corner 3", ends[1]), "yard", fence, "right", snapped=True
    )
    text = done(SKEW, drawn, KeepInside("yard", "8 in"))
    plan = planned(text)
    mine = [post for post in plan.design.posts if any(name == "yard" for name, _ in post.places)]
    least = [min(dict(post.inset)["face"], dict(post.inset)["post"]) for post in mine]
    assert min(least) == pytest.approx(8 / 12 * FT, abs=0.0002)
    corners = [one for one, post in zip(least, mine, strict=True) if post.why.startswith("point ")]
    assert max(corners[1:]) < 8 / 12 * FT + 0.0017
    assert SKEW.splitlines()[2] in text


def test_a_run_is_kept_inside_of_nothing_where_there_is_no_line() -> None:
    bare = SKEW.replace(SKEW[SKEW.index("boundary") : SKEW.index("points")], "")
    with pytest.raises(ProblemError) as told:
        done(bare, KeepInside("pen", "8 in"))
    assert told.value.problems[0].slug == "boundary-missing"


def test_a_corner_of_the_property_does_not_fall_on_its_own_sides() -> None:
    """Where it is dragged to is where it goes; a side that ends at it would hold it."""
    found = fallen(SKEW, -2.6, 99.0, what="move", about="corner corner 2")
    assert found.to == ""


def test_a_corner_of_a_drawn_boundary_is_dragged_and_one_that_was_found_is_not() -> None:
    pin = SKEW.replace("]]}\n", "]], names: [SW, NW, NE, SE], corners: {NE: {found: 5/8 in iron pin}}}\n", 1)
    items = {item.id: item for item in sight(pin, Path()).items}
    assert (items["corner NW"].drag, items["corner NE"].drag) == ("point", "")
    assert items["corner NE"].why.startswith("It was found on the ground")
    assert "[-2 ft, 105 ft]" in done(pin, Move("corner NW", (-2 * FT, 105 * FT), snapped=True))
    with pytest.raises(ProblemError):
        done(pin, Move("corner NE", (60 * FT, 98 * FT)))
