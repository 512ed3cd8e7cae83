"""Points being fixed: in any order, by coordinates, calls, lines, walks, and a tape with a direction."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.model import Call, Measurement, PointSpec, Turn, Walk
from palewright.survey import AssumedCorner, Fixed, Fixing

LEFT, RIGHT = math.pi / 2, -math.pi / 2


def go(*steps: float | str) -> tuple[Turn, ...]:
    words = {"left": LEFT, "right": RIGHT}
    return tuple(Turn(turn=words[s], assumed=True, words=s) if isinstance(s, str) else Turn(length_m=s) for s in steps)


def place(fixing: Fixing, name: str) -> tuple[float, float]:
    return fixing.places[name].xy


def test_chain_of_points_in_any_order() -> None:
    points = [
        PointSpec("D", "on line", line=("C", "A"), distance_m=2.0),
        PointSpec("C", "calls", start="B", calls=(Call("N 4", 0.0, 4.0), Call("W 1", 1.5 * math.pi, 1.0))),
        PointSpec("B", "on line", line=("A", "E"), distance_m=3.0),
        PointSpec("A", "coordinates", xy=(1.0, 1.0)),
        PointSpec("E", "coordinates", xy=(11.0, 1.0)),
    ]
    fixing = Fixing(points, (), ())
    assert fixing.settle()
    assert place(fixing, "B") == pytest.approx((4.0, 1.0))
    assert place(fixing, "C") == pytest.approx((3.0, 5.0))
    assert place(fixing, "D") == pytest.approx((3.0 - 2 * 2 / math.hypot(2, 4), 5.0 - 2 * 4 / math.hypot(2, 4)))
    assert fixing.places["C"].how == "calls"
    assert not fixing.settle()


def test_a_walk_goes_on_past_its_start_with_its_back_to_the_sight() -> None:
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    away = Fixing(points, [Walk("L", "R", "away", go(3.0, "left", 4.0), ("A", "B"))], ())
    away.settle()
    assert place(away, "A") == pytest.approx((-3.0, 0.0))
    assert place(away, "B") == pytest.approx((-3.0, -4.0))
    toward = Fixing(points, [Walk("L", "R", "toward", go(3.0, "left", 4.0), ("A", "B"))], ())
    toward.settle()
    assert place(toward, "A") == pytest.approx((3.0, 0.0))
    assert place(toward, "B") == pytest.approx((3.0, 4.0))
    by = Fixing(points, [Walk("L", "", "azimuth", go(3.0, "right", 4.0), ("A", "B"), azimuth=0.0)], ())
    by.settle()
    assert place(by, "A") == pytest.approx((0.0, 3.0))
    assert place(by, "B") == pytest.approx((4.0, 3.0))


def test_what_lies_past_a_turn_nobody_measured_is_assumed_and_what_hangs_on_it() -> None:
    points = [
        PointSpec("L", "coordinates", xy=(0.0, 0.0)),
        PointSpec("R", "coordinates", xy=(10.0, 0.0)),
        PointSpec("M", "on line", line=("A", "B"), distance_m=1.0),
        PointSpec("P", "calls", start="M", calls=(Call("N 1", 0.0, 1.0),)),
    ]
    walks = [Walk("L", "R", "away", go(3.0, "left", 4.0), ("A", "B")), Walk("B", "A", "away", go(2.0), ("C",))]
    fixing = Fixing(points, walks, ())
    fixing.settle()
    assert {name for name, fixed in fixing.places.items() if fixed.assumed} == {"B", "M", "P", "C"}
    assert fixing.corners == [AssumedCorner("A", "L", "B")]


@pytest.mark.parametrize("outer", [("L", "B"), ("B", "L"), ("R", "B")])
def test_a_measured_corner_is_not_assumed_and_its_angle_is_used(outer: tuple[str, str]) -> None:
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    measured = [Measurement("square", (outer[0], "A", outer[1]), math.radians(80.0))]
    fixing = Fixing(points, [Walk("L", "R", "away", go(3.0, "left", 4.0), ("A", "B"))], measured)
    fixing.settle()
    assert not fixing.places["B"].assumed
    assert fixing.corners == []
    assert fixing.used == {0}
    # the inside angle at A between A-L (east) and A-B is 80 degrees
    assert place(fixing, "B") == pytest.approx((-3.0 + 4 * math.cos(math.radians(80)), -4 * math.sin(math.radians(80))))


def test_a_measured_angle_to_a_sight_ahead() -> None:
    """At the start, facing the sight: the angle is between the sight and the new direction."""
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    measured = [Measurement("square", ("R", "L", "A"), math.radians(60.0))]
    fixing = Fixing(points, [Walk("L", "R", "toward", go("left", 4.0), ("A",))], measured)
    fixing.settle()
    assert place(fixing, "A") == pytest.approx((2.0, 4 * math.sin(math.radians(60))))
    assert not fixing.places["A"].assumed


def test_an_angle_of_other_points_is_not_this_corner() -> None:
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    measured = [Measurement("square", ("L", "A", "C"), LEFT)]
    fixing = Fixing(points, [Walk("L", "R", "away", go(3.0, "left", 4.0, "left", 2.0), ("A", "B", "C"))], measured)
    fixing.settle()
    assert [corner.point for corner in fixing.corners] == ["A", "B"]
    assert fixing.used == set()


def test_a_typed_turn_is_no_assumption_and_may_not_contradict_a_measured_angle() -> None:
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    steps = (Turn(length_m=3.0), Turn(turn=math.radians(85.0)), Turn(length_m=4.0))
    fixing = Fixing(points, [Walk("L", "R", "away", steps, ("A", "B"))], ())
    fixing.settle()
    assert not fixing.places["B"].assumed
    measured = [Measurement("square", ("L", "A", "B"), math.radians(90.0))]
    fixing = Fixing(points, [Walk("L", "R", "away", steps, ("A", "B"))], measured)
    fixing.settle()
    assert [problem.slug for problem in fixing.problems] == ["angle-said-twice"]


def test_a_turn_at_a_point_without_a_name() -> None:
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    fixing = Fixing(points, [Walk("L", "R", "away", go(3.0, "left", 4.0), ("", "B"))], ())
    fixing.settle()
    assert fixing.corners == [AssumedCorner("the turn after L", "L", "B")]
    assert set(fixing.places) == {"L", "R", "B"}


def test_base_line_from_the_first_walk() -> None:
    walks = [Walk("L", "R", "away", go(3.0, "left", 4.0), ("A", "B"))]
    fixing = Fixing([PointSpec("L"), PointSpec("R")], walks, [Measurement("tape", ("R", "L"), 10.0)])
    assert not fixing.settle()
    assert fixing.base_line() == ("L", "R", False)
    fixing.settle()
    assert place(fixing, "R") == pytest.approx((10.0, 0.0))
    assert place(fixing, "B") == pytest.approx((-3.0, -4.0))
    assert fixing.used == {0}


def test_base_line_without_a_tape_still_gives_the_walk_its_direction() -> None:
    for facing, x in (("away", -3.0), ("toward", 3.0)):
        fixing = Fixing([], [Walk("L", "R", facing, go(3.0), ("A",))], ())
        assert fixing.base_line() == ("L", "R", False)
        fixing.settle()
        assert place(fixing, "A") == pytest.approx((x, 0.0), abs=1e-12)
        assert "R" not in fixing.places


def test_base_line_turned_to_north_by_a_measured_direction() -> None:
    measured = [Measurement("direction", ("R", "L"), 0.0), Measurement("tape", ("L", "R"), 10.0)]
    fixing = Fixing([], [Walk("L", "R", "away", go(3.0), ("A",))], measured)
    assert fixing.base_line() == ("L", "R", True)
    fixing.settle()
    assert place(fixing, "R") == pytest.approx((0.0, -10.0), abs=1e-12)
    assert place(fixing, "A") == pytest.approx((0.0, 3.0), abs=1e-12)


def test_base_line_from_a_tape_alone_and_from_an_azimuth() -> None:
    fixing = Fixing([], (), [Measurement("tape", ("P", "Q"), 7.0)])
    assert fixing.base_line() == ("P", "Q", False)
    assert place(fixing, "Q") == pytest.approx((7.0, 0.0))
    fixing = Fixing([], [Walk("P", "", "azimuth", go(2.0), ("A",), azimuth=0.0)], ())
    assert fixing.base_line() == ("P", "", True)
    assert Fixing([], (), ()).base_line() == ("", "", False)


@pytest.mark.parametrize("back", [False, True])
def test_one_tape_and_one_direction_fix_a_thing(back: bool) -> None:
    direction = ("tree", "A") if back else ("A", "tree")
    measured = [
        Measurement("tape", ("tree", "A"), 5.0),
        Measurement("direction", direction, 0.0 if not back else math.pi),
    ]
    fixing = Fixing([PointSpec("A", "coordinates", xy=(1.0, 1.0)), PointSpec("tree")], (), measured)
    fixing.settle()
    assert place(fixing, "tree") == pytest.approx((1.0, 6.0))
    assert fixing.used == {0, 1}


def test_a_direction_does_not_move_what_is_defined_otherwise() -> None:
    points = [PointSpec("A", "coordinates", xy=(1.0, 1.0)), PointSpec("B", "calls", start="Z")]
    measured = [Measurement("tape", ("A", "B"), 5.0), Measurement("direction", ("A", "B"), 0.0)]
    fixing = Fixing(points, (), measured)
    fixing.settle()
    assert "B" not in fixing.places


def test_a_name_reached_twice_is_noted() -> None:
    points = [PointSpec("L", "coordinates", xy=(0.0, 0.0)), PointSpec("R", "coordinates", xy=(10.0, 0.0))]
    steps = go(3.0, "left", 4.0, "left", 13.1, "left", 4.0)
    fixing = Fixing(points, [Walk("L", "R", "away", steps, ("A", "B", "C", "R"))], ())
    fixing.settle()
    (repeat,) = fixing.repeats
    assert (repeat.name, repeat.miss_m, repeat.length_m) == ("R", pytest.approx(0.1), pytest.approx(24.1))
    assert place(fixing, "R") == (10.0, 0.0)
    assert not fixing.place("L", Fixed((0.0, 0.0005), "boundary"))
    assert len(fixing.repeats) == 1


def test_what_has_no_direction_is_a_problem() -> None:
    points = [
        PointSpec("A", "coordinates", xy=(0.0, 0.0)),
        PointSpec("B", "coordinates", xy=(0.0, 0.0)),
        PointSpec("C", "on line", line=("A", "B"), distance_m=1.0),
        PointSpec("D", "calls", start="A", calls=(Call("to beginning", None, None),)),
    ]
    fixing = Fixing(points, [Walk("A", "B", "toward", go(1.0), ("E",))], ())
    fixing.settle()
    assert [p.slug for p in fixing.problems] == ["line-without-length", "call-incomplete", "line-without-length"]


@given(
    st.floats(0.0, 6.28), st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    st.lists(st.tuples(st.sampled_from(["left", "right"]), st.floats(1.0, 30.0)), min_size=1, max_size=6),
)  # fmt: skip
def test_a_walk_keeps_its_shape_wherever_the_house_stands(
    turn: float, move: tuple[float, float], legs: list[tuple[str, float]]
) -> None:
    steps = go(5.0, *(part for leg in legs for part in leg))
    names = tuple(f"P{k}" for k in range(len(legs) + 1))

    def shape(right: tuple[float, float], left: tuple[float, float]) -> list[float]:
        points = [PointSpec("L", "coordinates", xy=left), PointSpec("R", "coordinates", xy=right)]
        fixing = Fixing(points, [Walk("L", "R", "away", steps, names)], ())
        fixing.settle()
        spots = [place(fixing, name) for name in ("L", "R", *names)]
        return [math.dist(p, q) for p in spots for q in spots]

    turned = (move[0] + 10 * math.cos(turn), move[1] + 10 * math.sin(turn))
    assert shape(turned, move) == pytest.approx(shape((10.0, 0.0), (0.0, 0.0)), abs=1e-7)
