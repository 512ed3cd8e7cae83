"""Running, closing, solving and adjusting calls."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from palewright.boundary import (
    Solved,
    Suspect,
    adjust_compass,
    adjust_transit,
    closure,
    closure_of_points,
    find_suspects,
    latitudes_departures,
    ring_area,
    run_calls,
    solve_calls,
)
from palewright.errors import Problem, ProblemError
from palewright.notation import show_bearing
from palewright.plane import XY, azimuth, distance

ANGLE = st.floats(0.0, 2.0 * math.pi, exclude_max=True)
LENGTH = st.floats(1.0, 500.0)
CALLS = st.lists(st.tuples(ANGLE, LENGTH), min_size=3, max_size=10)
COORDINATE = st.floats(-500.0, 500.0)
RING = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=3, max_size=9, unique=True)

SQUARE = [(0.0, 10.0), (math.pi / 2, 10.0), (math.pi, 10.0), (1.5 * math.pi, 10.0)]


def calls_of(ring: list[XY]) -> list[tuple[float, float]]:
    pairs = zip(ring, ring[1:] + ring[:1], strict=True)
    return [(azimuth(a, b), distance(a, b)) for a, b in pairs]


@given(RING)
def test_ring_to_calls_and_back(ring: list[XY]) -> None:
    calls = calls_of(ring)
    points = run_calls(ring[0], calls)
    assert all(p == pytest.approx(q, abs=1e-9) for p, q in zip(points, [*ring, ring[0]], strict=True))
    closed = closure(calls)
    assert closed.misclosure_m <= 1e-9 * closed.perimeter_m
    assert closed.perimeter_m == pytest.approx(closure_of_points(ring).perimeter_m)


@given(CALLS, ANGLE, st.tuples(COORDINATE, COORDINATE))
def test_turning_and_moving_changes_neither_area_nor_closure(
    calls: list[tuple[float, float]], turn: float, start: XY
) -> None:
    turned = [((az + turn) % (2 * math.pi), length) for az, length in calls]
    one, two = closure(calls), closure(turned)
    assert two.misclosure_m == pytest.approx(one.misclosure_m, abs=1e-9 * one.perimeter_m)
    assert two.perimeter_m == pytest.approx(one.perimeter_m)
    area_one, clock_one = ring_area(run_calls((0.0, 0.0), calls))
    area_two, clock_two = ring_area(run_calls(start, turned))
    assert area_two == pytest.approx(area_one, abs=1e-6)
    assert clock_one == clock_two or area_one < 1e-6


@given(CALLS)
def test_order_of_calls_does_not_change_the_misclosure(calls: list[tuple[float, float]]) -> None:
    assert closure(calls[::-1]).misclosure_m == pytest.approx(closure(calls).misclosure_m, abs=1e-9)


@given(CALLS)
def test_reversing_every_call_turns_the_ring_round(calls: list[tuple[float, float]]) -> None:
    back = [((az + math.pi) % (2 * math.pi), length) for az, length in reversed(calls)]
    assert ring_area(run_calls((0.0, 0.0), back))[0] == pytest.approx(
        ring_area(run_calls((0.0, 0.0), calls))[0], abs=1e-6
    )


@given(RING, st.integers(0, 8), st.sampled_from(["length", "direction", "both"]))
def test_a_missing_part_of_a_closed_ring_is_found(ring: list[XY], which: int, what: str) -> None:
    calls = calls_of(ring)
    k = which % len(ring)
    assume(calls[k][1] > 0.01)
    az, length = calls[k]
    gap = {"length": (az, None), "direction": (None, length), "both": (None, None)}[what]
    solved = solve_calls([*calls[:k], gap, *calls[k + 1 :]])
    assert solved.gaps == ((k, what),)
    assert solved.calls[k][1] == pytest.approx(length, abs=1e-6)
    assert math.remainder(solved.calls[k][0] - az, 2 * math.pi) == pytest.approx(0.0, abs=1e-6)


def test_what_a_solved_length_leaves_is_square_to_it() -> None:
    calls = [(0.0, 10.0), (math.pi / 2, 10.0), (math.pi, None), (1.5 * math.pi, 9.0)]
    solved = solve_calls(calls)
    assert solved.calls[2][1] == pytest.approx(10.0)
    closed = closure(solved.calls)
    assert (closed.latitude_error_m, closed.departure_error_m) == pytest.approx((0.0, 1.0), abs=1e-12)


def try_to_solve(gaps: list[tuple[float | None, float | None]]) -> tuple[Solved | None, tuple[Problem, ...]]:
    try:
        return solve_calls(gaps), ()
    except ProblemError as error:
        return None, error.problems


@given(RING, st.integers(0, 8), st.integers(0, 8), st.sampled_from(["lengths", "directions", "mixed"]))
def test_two_missing_numbers_close_or_are_told(ring: list[XY], one: int, two: int, what: str) -> None:
    """What is solved closes the ring; two answers are told, the true one among them."""
    calls = calls_of(ring)
    i, j = one % len(ring), two % len(ring)
    assume(i != j and min(calls[i][1], calls[j][1]) > 1.0)
    assume(abs(math.sin(calls[i][0] - calls[j][0])) > 0.01)
    gaps: list[tuple[float | None, float | None]] = list(calls)
    gaps[i] = (calls[i][0], None) if what != "directions" else (None, calls[i][1])
    gaps[j] = (calls[j][0], None) if what == "lengths" else (None, calls[j][1])
    solved, problems = try_to_solve(gaps)
    if solved is None:
        assert [problem.slug for problem in problems] == ["two-solutions"]
        assert what != "lengths"
        found = problems[0].found
        assert show_bearing(calls[i][0]) in found or show_bearing(calls[j][0]) in found
        return
    closed = closure(solved.calls)
    # where the two calls meet square, a hair of the known length is a root of it in the other
    assert closed.misclosure_m <= 1e-4 * closed.perimeter_m
    if what == "lengths":
        assert [length for _, length in solved.calls] == pytest.approx([length for _, length in calls], rel=1e-6)


def test_a_length_here_and_a_bearing_there() -> None:
    """3-4-5: the side of 4 lacks its length, the one of 5 its bearing; the other answer would run backward."""
    solved = solve_calls([(0.0, 3.0), (math.pi / 2, None), (None, 5.0)])
    assert solved.gaps == ((1, "length"), (2, "direction"))
    assert solved.calls[1] == (math.pi / 2, pytest.approx(4.0))
    assert solved.calls[2] == (pytest.approx(math.pi + math.atan2(4.0, 3.0)), 5.0)


def test_complete_calls_are_left_alone() -> None:
    solved = solve_calls(SQUARE)
    assert solved.calls == tuple(SQUARE)
    assert solved.gaps == ()


@pytest.mark.parametrize(
    ("calls", "slug"),
    [
        ([(None, None), (None, None), (0.0, 1.0)], "two-calls-open"),
        ([(None, None), (0.0, None), (0.0, 1.0)], "two-calls-open"),
        ([(0.0, None), (1.0, None), (None, 1.0), (0.0, 1.0)], "two-calls-open"),
        ([(0.0, None), (math.pi, None), (1.0, 5.0), (2.0, 4.0)], "open-calls-parallel"),
        ([(0.0, None), (math.pi / 2, None), (math.pi / 4, 5.0)], "open-call-backward"),
        ([(0.0, None), (None, 3.0), (math.pi / 2, 4.0)], "open-calls-apart"),
        ([(None, 3.0), (None, 4.0), (math.pi / 2, 9.0)], "open-calls-apart"),
        ([(None, 3.0), (None, 4.0), (math.pi / 2, 5.0)], "two-solutions"),
        ([(math.radians(30.0), None), (None, 3.0), (math.pi, 4.0)], "two-solutions"),
        ([(0.0, 5.0), (math.pi / 2, 5.0), (math.pi / 4, None)], "open-call-backward"),
        ([*SQUARE, (None, None)], "open-call-nothing"),
        ([*SQUARE, (0.3, None)], "open-call-nothing"),
    ],
)
def test_what_cannot_be_solved(calls: list[tuple[float | None, float | None]], slug: str) -> None:
    with pytest.raises(ProblemError) as caught:
        solve_calls(calls)
    assert [problem.slug for problem in caught.value.problems] == [slug]


@pytest.mark.parametrize("call", [(math.nan, 1.0), (0.0, math.inf), (0.0, -1.0)])
def test_nonsense_is_refused(call: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="finite azimuth"):
        run_calls((0.0, 0.0), [call])


def test_exact_closure_has_no_precision() -> None:
    closed = closure(SQUARE)
    assert (closed.misclosure_m, closed.precision, closed.perimeter_m) == (0.0, 0.0, 40.0)
    assert closure([*SQUARE[:3], (1.5 * math.pi, 9.99)]).precision == pytest.approx(39.99 / 0.01)


@given(CALLS)
def test_both_rules_close_the_figure(calls: list[tuple[float, float]]) -> None:
    size = sum(length for _, length in calls)
    lats = sum(abs(lat) for lat, _ in latitudes_departures(calls))
    deps = sum(abs(dep) for _, dep in latitudes_departures(calls))
    compass = latitudes_departures(adjust_compass(calls))
    assert (sum(p[0] for p in compass), sum(p[1] for p in compass)) == pytest.approx((0.0, 0.0), abs=1e-9 * size)
    assume(lats > 1e-3 and deps > 1e-3)
    transit = latitudes_departures(adjust_transit(calls))
    assert (sum(p[0] for p in transit), sum(p[1] for p in transit)) == pytest.approx((0.0, 0.0), abs=1e-9 * size)


@given(CALLS, ANGLE)
def test_compass_rule_does_not_depend_on_north(calls: list[tuple[float, float]], turn: float) -> None:
    turned = adjust_compass([(az + turn, length) for az, length in calls])
    for (_, one), (_, two) in zip(adjust_compass(calls), turned, strict=True):
        assert two == pytest.approx(one, abs=1e-6)


def test_nothing_cannot_be_adjusted() -> None:
    with pytest.raises(ValueError, match="without length"):
        adjust_compass([(0.0, 0.0)])
    assert adjust_transit([(0.0, 0.0)]) == [(0.0, 0.0)]


def pentagon() -> list[tuple[float, float]]:
    return calls_of([(0.0, 0.0), (-3.0, 40.0), (31.0, 55.0), (60.0, 21.0), (44.0, -7.0)])


def test_a_wrong_letter_is_named() -> None:
    calls = pentagon()
    az, length = calls[2]
    wrong = [*calls[:2], ((2 * math.pi - az) % (2 * math.pi), length), *calls[3:]]
    assert find_suspects(wrong)[0] == Suspect(2, "east-west", 0.0, pytest.approx(0.0, abs=1e-9))
    wrong = [*calls[:2], ((math.pi - az) % (2 * math.pi), length), *calls[3:]]
    assert (find_suspects(wrong)[0].index, find_suspects(wrong)[0].slip) == (2, "north-south")
    wrong = [*calls[:2], ((math.pi + az) % (2 * math.pi), length), *calls[3:]]
    assert ("reversed", 2) in {(s.slip, s.index) for s in find_suspects(wrong)}


def test_a_wrong_length_and_a_doubled_call_are_named() -> None:
    calls = pentagon()
    wrong = [*calls[:3], (calls[3][0], calls[3][1] + 9.0), *calls[4:]]
    first = find_suspects(wrong)[0]
    assert (first.index, first.slip, first.length_m) == (3, "length", pytest.approx(calls[3][1]))
    doubled = [*calls[:2], calls[1], *calls[2:]]
    assert {s.index for s in find_suspects(doubled) if s.slip == "left out"} <= {1, 2}
    assert any(s.slip == "left out" for s in find_suspects(doubled))


def test_two_slips_name_nobody() -> None:
    calls = pentagon()
    wrong = [(calls[0][0] + 0.7, calls[0][1]), calls[1], (calls[2][0] - 0.4, calls[2][1] + 3.0), *calls[3:]]
    assert find_suspects(wrong) == ()


@given(RING)
def test_double_meridian_distances_give_the_area_by_coordinates(ring: list[XY]) -> None:
    """DMD 1 = dep 1, DMD k = DMD k-1 + dep k-1 + dep k; twice the area is the sum of DMD x latitude."""
    pairs = latitudes_departures(calls_of(ring))
    doubled, distance_m, before = 0.0, 0.0, 0.0
    for lat, dep in pairs:
        distance_m += before + dep
        doubled += distance_m * lat
        before = dep
    assert abs(doubled) / 2.0 == pytest.approx(ring_area(ring)[0], abs=1e-6)


@given(CALLS, st.floats(1.0, 500.0))
def test_transit_rule_leaves_a_due_west_course_without_latitude(
    calls: list[tuple[float, float]], length: float
) -> None:
    west = (1.5 * math.pi, length)
    adjusted = latitudes_departures(adjust_transit([*calls, west]))
    assume(sum(abs(lat) for lat, _ in latitudes_departures(calls)) > 1e-3 * length)
    assert adjusted[-1][0] == pytest.approx(0.0, abs=1e-9 * length * len(calls) + 1e-9)
