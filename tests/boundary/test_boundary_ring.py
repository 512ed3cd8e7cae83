"""A boundary as written becomes a ring, or every problem with it is said."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LinearRing, LineString

from palewright.boundary import build_ring, corner_names, sides_of, sides_that_cross
from palewright.errors import ProblemError, Where
from palewright.model import BoundarySpec, Call, CornerSpec, PointRef, PointSpec, Ring
from palewright.plane import XY, Side, path_of_sides, side_between, side_distance, side_points

FT = 0.3048
ROWS = [("N", 0, 100.0), ("E", 90, 80.0), ("S", 180, 100.0), ("W", 270, 80.0)]


def spec(rows: list[tuple[str, float, float]] | None = None, **more: object) -> BoundarySpec:
    rows = ROWS if rows is None else rows
    calls = tuple(
        Call(f"{text} {feet} ft", math.radians(deg), feet * FT, Where(line=10 + k))
        for k, (text, deg, feet) in enumerate(rows)
    )
    return BoundarySpec(PointRef("SW"), calls, at=Where(line=9), **more)  # type: ignore[arg-type]


def slugs(boundary: BoundarySpec, through: tuple[XY, ...] = ()) -> list[str]:
    with pytest.raises(ProblemError) as caught:
        build_ring(boundary, (0.0, 0.0), through, {})
    return [problem.slug for problem in caught.value.problems]


def ring_of(boundary: BoundarySpec, points: dict[str, PointSpec] | None = None) -> Ring:
    return build_ring(boundary, (0.0, 0.0), (), points or {})[0]


def test_a_rectangle_by_calls() -> None:
    ring, remarks, reasons = build_ring(spec(yards=((1, "rear"),)), (10.0, 20.0), (), {})
    assert [corner.name for corner in ring.corners] == ["SW", "corner 2", "corner 3", "corner 4"]
    assert ring.corners[2].xy == pytest.approx((10.0 + 80 * FT, 20.0 + 100 * FT))
    assert ring.area_m2 == pytest.approx(8000 * FT**2)
    assert ring.clockwise
    assert [course.yard for course in ring.courses] == ["rear", "", "", ""]
    assert (ring.courses[3].start, ring.courses[3].end, ring.courses[3].text) == ("corner 4", "SW", "W 80.0 ft")
    assert [remark.slug for remark in remarks] == ["closes-exactly", "line-not-located"]
    assert {reason.quantity for reason in reasons} >= {"perimeter", "misclosure", "precision", "area", "line"}


def test_names_found_corners_and_record() -> None:
    boundary = spec(
        names=("SW", "NW", "NE", "SE"), corners=(CornerSpec("NE", "5/8 in iron pin", True),), record="book 12, page 7"
    )
    ring = ring_of(boundary, {"NW": PointSpec("NW", found="stone, marked X", matches_record=True)})
    found = {corner.name: (corner.found, corner.matches_record) for corner in ring.corners}
    assert found["NE"] == ("5/8 in iron pin", True)
    assert found["NW"] == ("stone, marked X", True)
    assert found["SE"] == ("", None)
    assert ring.status.why == "two-corners-not-taped"
    assert ring.record == "book 12, page 7"


def test_by_points_nothing_closes() -> None:
    boundary = BoundarySpec(PointRef(), through=tuple(PointRef(n) for n in ("A", "B", "C")))
    ring, remarks, _ = build_ring(boundary, (0.0, 0.0), ((0.0, 0.0), (4.0, 0.0), (0.0, 3.0)), {})
    assert ring.closure.precision == 0.0
    assert ring.closure.perimeter_m == pytest.approx(12.0)
    assert (ring.area_m2, ring.clockwise) == (6.0, False)
    assert [corner.name for corner in ring.corners] == ["A", "B", "C"]
    assert remarks[0].slug == "boundary-by-points"


@pytest.mark.parametrize(
    ("feet", "slug"),
    [(80.01, "closes-arithmetic-only"), (80.1, "closes-poorly"), (86.0, "closes-poorly")],
)
def test_how_closing_is_said(feet: float, slug: str) -> None:
    _, remarks, _ = build_ring(spec([*ROWS[:3], ("W", 270, feet)]), (0.0, 0.0), (), {})
    assert remarks[0].slug == slug


def test_a_boundary_that_does_not_close_names_the_slip() -> None:
    with pytest.raises(ProblemError) as caught:
        build_ring(spec([*ROWS[:3], ("E", 90, 80.0)]), (0.0, 0.0), (), {})
    problem = next(p for p in caught.value.problems if p.slug == "boundary-does-not-close")
    assert "160' 0\"" in problem.what
    assert "call 4 (E 80.0 ft) had E and W exchanged" in problem.hint
    assert problem.where.line == 9


def test_not_closing_in_metric() -> None:
    with pytest.raises(ProblemError, match=r"7\.620 m"):
        build_ring(spec([*ROWS[:3], ("W", 270, 105.0)]), (0.0, 0.0), (), {}, style="metric")


def test_a_closing_call_is_solved_and_said() -> None:
    boundary = spec()
    solved = replace(boundary, calls=(*boundary.calls[:3], Call("to beginning", None, None)))
    ring, remarks, reasons = build_ring(solved, (0.0, 0.0), (), {})
    assert ring.courses[3].length_m == pytest.approx(80 * FT)
    assert [remark.slug for remark in remarks] == ["call-solved", "line-not-located"]
    assert any(reason.quantity == "length of call 4" for reason in reasons)
    length = replace(boundary, calls=(boundary.calls[0], Call("E", math.pi / 2, None), *boundary.calls[2:]))
    assert [r.slug for r in build_ring(length, (0.0, 0.0), (), {})[1]][:2] == ["call-length-solved", "closes-exactly"]


def test_problems_of_shape() -> None:
    assert slugs(spec(ROWS[:2])) == ["boundary-too-short"]
    assert slugs(BoundarySpec(PointRef(), through=(PointRef("A"), PointRef("B"))), ((0.0, 0.0), (1.0, 0.0))) == [
        "boundary-too-short"
    ]
    cross = [("E", 90, 100.0), ("NW", 315, 100.0 * math.sqrt(2)), ("E", 90, 100.0), ("SW", 225, 100.0 * math.sqrt(2))]
    assert slugs(spec(cross)) == ["boundary-crosses-itself"]
    twice = tuple(PointRef(n) for n in "ABCD")
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 0.0))
    assert slugs(BoundarySpec(PointRef(), through=twice), square) == ["side-without-length"]
    assert slugs(spec([*ROWS[:3], ("W", 270, 0.0)])) == ["call-without-length"]


def test_problems_of_names_all_at_once() -> None:
    assert slugs(spec(names=("A", "B", "C", "D", "E"))) == ["too-many-corner-names"]
    assert slugs(spec(names=("A", "B", "A", "D"))) == ["corner-named-twice"]
    bad = spec(names=("SW", "NW", "NE", "SE"), corners=(CornerSpec("NEE", "pin"),), yards=((5, "rear"), (0, "side")))
    with pytest.raises(ProblemError) as caught:
        build_ring(bad, (0.0, 0.0), (), {})
    assert [p.slug for p in caught.value.problems] == ["unknown-corner", "unknown-side", "unknown-side"]
    assert "nearest: NE" in caught.value.problems[0].hint


def test_two_open_calls_are_placed_at_the_first() -> None:
    boundary = spec()
    bad = replace(
        boundary,
        calls=(Call("a", 0.0, None, Where(line=10)), Call("b", None, None, Where(line=11)), *boundary.calls[2:]),
    )
    with pytest.raises(ProblemError) as caught:
        build_ring(bad, (0.0, 0.0), (), {})
    assert (caught.value.problems[0].slug, caught.value.problems[0].where.line) == ("two-calls-open", 10)


def test_made_up_names_fill_the_gaps() -> None:
    assert corner_names(spec(names=("", "NW"))) == ("corner 1", "NW", "corner 3", "corner 4")
    assert corner_names(replace(spec(), start=PointRef(xy=(0.0, 0.0)))) == tuple(f"corner {k}" for k in (1, 2, 3, 4))
    through = BoundarySpec(PointRef(), through=(PointRef("A"), PointRef(xy=(1.0, 1.0)), PointRef("C")))
    assert corner_names(through) == ("A", "corner 2", "C")


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=7, unique=True))
def test_crossing_sides_against_shapely(points: list[tuple[int, int]]) -> None:
    ring = [(float(x), float(y)) for x, y in points]
    assume(LinearRing(ring).length > 0)
    assert (sides_that_cross(sides_of(ring)) is None) == LinearRing(ring).is_simple


@given(
    st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=6, unique=True),
    st.lists(st.sampled_from([0.0, 0.7, -0.7, 1.9, -1.9, 4.0, -4.0]), min_size=6, max_size=6),
)
def test_crossing_arcs_against_shapely(points: list[tuple[int, int]], sweeps: list[float]) -> None:
    """Against a many-chord ring, where the two cross clearly or stay clear of each other."""
    sides = sides_of([(float(x), float(y)) for x, y in points], sweeps)
    path = LinearRing(path_of_sides(sides, 1e-5))
    hit = sides_that_cross(sides)
    if hit is None:
        assert path.is_simple or _grazes(sides)
    else:
        one, two, at = hit
        assert side_distance(at, sides[one]) < 1e-6
        assert side_distance(at, sides[two]) < 1e-6


def _grazes(sides: list[Side]) -> bool:
    """Whether two sides come nearer than the chords are exact, so that the chords prove nothing."""
    lines = [LineString(side_points(side, 1e-5)[1:-1]) for side in sides if side.sweep]
    lines += [LineString((side.a, side.b)) for side in sides if not side.sweep]
    return any(a.distance(b) < 1e-3 for a, b in itertools.combinations(lines, 2))


def test_a_spike_is_a_crossing() -> None:
    assert sides_that_cross(sides_of([(0.0, 0.0), (5.0, 0.0), (2.0, 0.0), (2.0, 4.0)])) == (0, 1, (5.0, 0.0))


def test_an_arc_that_runs_back_over_its_neighbour_is_a_crossing() -> None:
    half = side_between((0.0, 0.0), (10.0, 0.0), math.pi)
    back = side_between((10.0, 0.0), (5.0, -5.0), -math.pi / 2)
    assert sides_that_cross([half, back, side_between((5.0, -5.0), (0.0, 0.0))]) is not None
    smooth = [side_between((0.0, 0.0), (10.0, 0.0)), side_between((10.0, 0.0), (10.0, 20.0), math.pi)]
    assert sides_that_cross([*smooth, side_between((10.0, 20.0), (0.0, 0.0))]) is None


def test_two_sides_make_a_ring_when_one_is_an_arc() -> None:
    line = side_between((0.0, 0.0), (10.0, 0.0))
    assert sides_that_cross([line, side_between((10.0, 0.0), (0.0, 0.0), 2.0)]) is None
    assert sides_that_cross([line, side_between((10.0, 0.0), (0.0, 0.0), 5.0)]) is None
    assert sides_that_cross([line, side_between((10.0, 0.0), (0.0, 0.0))]) is not None
    bow = side_between((0.0, 0.0), (10.0, 0.0), 2.0)
    assert sides_that_cross([bow, side_between((10.0, 0.0), (0.0, 0.0), -2.0)]) is not None


def test_where_a_deed_crosses_itself_is_said() -> None:
    cross = [("E", 90, 100.0), ("NW", 315, 100.0 * math.sqrt(2)), ("E", 90, 100.0), ("SW", 225, 100.0 * math.sqrt(2))]
    with pytest.raises(ProblemError) as caught:
        build_ring(spec(cross), (0.0, 0.0), (), {}, style="decimal-feet")
    (problem,) = caught.value.problems
    assert problem.found == "side 2 from corner 2, side 4 from corner 4, 70.71' from corner 4"
    assert problem.where.line == 13
