"""Where the mouse falls: what is near wins, a typed length wins over the mouse, nothing is computed in the browser."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.drafting import apply, sight
from palewright.drafting.edits import Move
from palewright.drafting.hints import Hints, Inset, hints_for, hints_of
from palewright.drafting.snapping import Aim, Snap, snap
from palewright.errors import ProblemError
from palewright.jobfile import read_text
from palewright.notation import parse_length

FT = 0.3048
YARD = """palewright: 1
job: {title: Yard}
boundary:
  start: A
  names: [A, B, C, D]
  calls: [N 90°00'00" E 100 ft, N 00°00'00" E 80 ft, S 90°00'00" W 100 ft, S 00°00'00" W 80 ft]
points:
  A: {at: [0 ft, 0 ft]}
  post: {at: [50 ft, 40 ft]}
buildings:
  house: [[20 ft, 20 ft], [40 ft, 20 ft], [40 ft, 30 ft], [20 ft, 30 ft]]
fences:
  boards: {kind: boards, board: 6 ft, longest bay: 8 ft, good side: neighbour}
runs:
  - {name: rear, fence: boards, sides: [3], yard: right, inside boundary: {face: 8 in}}
"""
SEEN = sight(YARD, Path())


def at(x: float, y: float, near: float = 1.0, **more: object) -> object:
    return snap(SEEN, Aim((x * FT, y * FT), near * FT, **more), hints_for(YARD, Path()))  # type: ignore[arg-type]


def feet(found: object) -> tuple[float, float]:
    x, y = found.at  # type: ignore[attr-defined]
    return pytest.approx(x / FT, abs=1e-9), pytest.approx(y / FT, abs=1e-9)  # type: ignore[return-value]


def test_a_point_near_by_is_taken_by_its_name() -> None:
    found = at(50.4, 40.3)
    assert feet(found) == (50.0, 40.0)
    assert (found.to, found.about) == ("point", "point post")  # type: ignore[attr-defined]


def test_a_side_and_its_inset() -> None:
    """The face 8 in inside; to the post centres half a post of 3 1/2 in, a rail of 1 1/2 in and a board of 5/8 in more."""
    on, inside = at(60.0, 0.3), at(60.0, 1.0, near=0.4)
    assert feet(on) == (60.0, 0.0)
    assert feet(inside) == (60.0, (8 + 1.75 + 1.5 + 0.625) / 12)
    assert (inside.to, inside.inside) == ("inset", "8 in")  # type: ignore[attr-defined]


def test_square_to_the_leg_before_and_whole_bays() -> None:
    found = at(70.2, 63.7, so_far=((50 * FT, 48 * FT), (70 * FT, 48 * FT)), what="run")
    assert feet(found) == (70.0, 64.0)  # two bays of 8 ft
    assert "bays of 8' 0\"" in found.text  # type: ignore[attr-defined]


BESIDE = """palewright: 1
job: {title: Two fences}
boundary: {through: [[0 ft, 0 ft], [100 ft, 0 ft], [100 ft, 80 ft], [0 ft, 80 ft]]}
fences:
  rails: {kind: post-and-rail, longest bay: 8 ft, rails: 3}
runs:
  - {name: left, fence: rails, through: [[10.3 ft, 60 ft], [10.3 ft, 20.4 ft]], yard: left}
"""


def drawn(x: float, y: float, near: float, *so_far: tuple[float, float], what: str = "run") -> Snap:
    chain = tuple((px * FT, py * FT) for px, py in so_far)
    return snap(sight(BESIDE, Path()), Aim((x * FT, y * FT), near * FT, what, chain))


def test_a_fence_is_drawn_to_where_it_is_abreast_of_the_end_of_another() -> None:
    """Square across: the leg goes straight down, its end is as low as that of the fence 79.7 ft beside it."""
    found = drawn(90.1, 20.9, 1.0, (90.0, 60.0))
    assert feet(found) == (90.0, 20.4)
    assert (found.to, found.about) == ("abreast", "run left")
    assert found.text == "square to a side of the property, square across from the end of run left"
    assert drawn(90.1, 20.9, 1.0, (90.0, 60.0), what="zone").to != "abreast"
    assert drawn(90.1, 22.0, 1.0, (90.0, 60.0)).to != "abreast"


def test_a_fence_begins_on_a_side_abreast_of_the_end_of_another() -> None:
    found = drawn(10.8, 0.3, 1.0)
    assert feet(found) == (10.3, 0.0)
    assert found.to == "abreast"


def test_a_post_beside_the_leg_is_worth_falling_abreast_of() -> None:
    """The posts of the other fence stand 7.92 ft apart: the second one below its begin is at 44.16 ft."""
    found = drawn(14.0, 44.3, 0.5, (14.0, 70.0))
    assert feet(found) == (14.0, 44.16)
    assert found.about.startswith("post ")
    assert drawn(40.0, 44.3, 0.5, (40.0, 70.0)).to != "abreast"  # too far off to be beside


def test_a_typed_length_wins_over_the_mouse_and_keeps_its_direction() -> None:
    found = at(70.0, 51.0, so_far=((60 * FT, 41 * FT),), reads="14' 1 3/4\"")
    far = math.dist(found.at, (60 * FT, 41 * FT))  # type: ignore[attr-defined]
    assert far == pytest.approx(
        (14 + 1.75 / 12) * FT, abs=0.0003
    )  # as what is saved holds it: coordinates are at marks
    with pytest.raises(ProblemError):
        at(70.0, 51.0, so_far=((60 * FT, 41 * FT),), reads="fourteen")


@given(x=st.floats(-50, 150), y=st.floats(-50, 130), near=st.floats(0.05, 3.0))
def test_nothing_jumps_further_than_a_hand_reaches(x: float, y: float, near: float) -> None:
    """Without a chain a place falls on something within reach, or stays."""
    found = snap(SEEN, Aim((x * FT, y * FT), near * FT), Hints((8 * FT,), (Inset(8 / 12 * FT, 8 / 12 * FT),)))
    assert math.dist(found.at, (x * FT, y * FT)) <= near * FT + 1e-9


@given(x=st.floats(-50, 150), y=st.floats(-50, 130))
def test_along_a_chain_it_turns_by_five_degrees_at_most(x: float, y: float) -> None:
    start = (55 * FT, 45 * FT)
    aim = Aim((x * FT, y * FT), 1.0 * FT, so_far=((45 * FT, 35 * FT), start))
    found = snap(SEEN, aim)
    if found.to in ("point", "corner", "start", "line") or math.dist(aim.at, start) < 0.5:
        return
    turned = math.atan2(found.at[1] - start[1], found.at[0] - start[0]) - math.atan2(
        aim.at[1] - start[1], aim.at[0] - start[0]
    )
    assert abs(math.remainder(turned, math.tau)) <= math.radians(5.0) + 1e-9


@pytest.mark.parametrize(
    ("x", "y", "reads"),
    [(30.333, 17.777, ""), (30.333, 17.777, "41' 6 1/2\""), (61.2, 5.3, "7 ft"), (9.1, 70.7, "49 ft")],
)
def test_what_falls_on_nothing_is_where_it_will_be_saved(x: float, y: float, reads: str) -> None:
    """Coordinates to an eighth of an inch, as they are typed; a length that only goes so far holds to 0.3 mm."""
    start = (3 * FT, 3 * FT)
    aim = Aim((x * FT, y * FT), 0.01 * FT, so_far=(start,), reads=reads)
    found = snap(sight(EMPTY, Path()), aim, hints_of(read_text(EMPTY, "empty.yaml")))
    eighths = [c / 0.0254 * 8 for c in found.at]
    assert eighths == pytest.approx([round(c) for c in eighths], abs=1e-6)
    if reads:
        assert math.dist(start, found.at) == pytest.approx(parse_length(reads).m, abs=0.0003)


def test_a_drag_is_written_to_the_mark_of_the_tape_that_the_job_prints() -> None:
    text = YARD.replace("title: Yard", "title: Yard, round to: 1/16 in")
    moved = apply(text, [Move("point post", (31.03 * FT, 7.777 * FT))]).text
    assert "post: {at: [31' 0 3/8\", 7' 9 5/16\"]}" in moved
    assert hints_of(read_text(text, "yard.yaml")).mark == pytest.approx(0.0254 / 16)


EMPTY = "palewright: 1\njob: {title: Nothing yet}\n"
