"""Curves of a deed: any two parts give the rest; what does not go together is told; how curves join."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from palewright.boundary import (
    CurveShape,
    curve_from_parts,
    deed_remarks,
    radius_of_degree,
    ring_area,
    run_calls,
    run_deed,
    sides_of,
)
from palewright.boundary import closure as closure_of
from palewright.errors import ProblemError, Where
from palewright.model import Call, CurveCall
from palewright.plane import area, path_of_sides

FT = 0.3048
PARTS = ("radius_m", "delta", "arc_m", "chord_m", "tangent_m")


def parts_of(curve: CurveShape) -> dict[str, float]:
    return {
        "radius_m": curve.radius_m, "delta": curve.delta, "arc_m": curve.arc_m, "chord_m": curve.chord_m,
        "tangent_m": curve.tangent_m,
    }  # fmt: skip


@pytest.mark.parametrize("pair", list(itertools.combinations(PARTS, 2)))
@given(st.floats(1.0, 1000.0), st.floats(0.05, 3.0))
def test_any_two_parts_give_the_rest(pair: tuple[str, str], radius: float, delta: float) -> None:
    """Up to half a circle; flat curves and near half circles lose digits in some pairs, as they must."""
    parts = parts_of(CurveShape(radius, delta))
    made, differences = curve_from_parts(**{name: parts[name] for name in pair})
    assert differences == ()
    assert made.radius_m == pytest.approx(radius, rel=1e-8)
    assert made.delta == pytest.approx(delta, rel=1e-8)


@given(st.floats(1.0, 500.0), st.floats(0.05, 6.0))
def test_all_parts_together_agree(radius: float, delta: float) -> None:
    assume(abs(delta - math.pi) > 0.01)
    parts = parts_of(CurveShape(radius, delta))
    if delta > math.pi:
        del parts["tangent_m"]
    made, differences = curve_from_parts(**parts)
    assert differences == ()
    assert made.delta == pytest.approx(delta)


@given(st.floats(1.0, 500.0), st.floats(0.01, 6.2), st.sampled_from([1.0, -1.0]))
def test_segment_against_a_many_chord_polygon(radius: float, delta: float, side: float) -> None:
    """The area of arc and chord, and of the ring that they make, against 4000 chords: off by (delta / n)^2 / 6."""
    curve = CurveShape(radius, delta)
    turns = [delta * k / 4000 for k in range(4001)]
    polygon = area([(radius * math.cos(t), radius * math.sin(t)) for t in turns])
    assert curve.segment_m2 == pytest.approx(polygon, rel=1e-5, abs=1e-9)
    ends = [(0.0, 0.0), (curve.chord_m, 0.0)]
    size, clockwise = ring_area(ends, (side * delta,))
    assert size == pytest.approx(curve.segment_m2, rel=1e-9, abs=1e-9)
    assert clockwise == (side < 0.0)


def test_a_degree_of_curve_by_arc_and_by_chord() -> None:
    # one degree: 5729.578 ft by the arc, 50 / sin 0.5 degree = 5729.651 ft by the chord (FM 5-430-00-1, appendix F)
    assert radius_of_degree(math.radians(1.0), "arc", 100.0) == pytest.approx(5729.578, abs=0.0005)
    assert radius_of_degree(math.radians(1.0), "chord", 100.0) == pytest.approx(5729.651, abs=0.0005)
    for degree, by in ((0.0, "arc"), (math.nan, "arc"), (4.0, "arc"), (0.1, "string")):
        with pytest.raises(ValueError, match="degree of curve"):
            radius_of_degree(degree, by, 100.0)


@pytest.mark.parametrize(
    ("parts", "slug"),
    [
        ({"radius_m": 10.0}, "curve-parts-missing"),
        ({}, "curve-parts-missing"),
        ({"degree_radius_m": 10.0}, "curve-parts-missing"),
        ({"radius_m": 10.0, "chord_m": 20.1}, "curve-impossible"),
        ({"radius_m": 10.0, "arc_m": 63.0}, "curve-impossible"),
        ({"arc_m": 10.0, "chord_m": 10.0}, "curve-impossible"),
        ({"arc_m": 10.0, "tangent_m": 5.0}, "curve-impossible"),
        ({"chord_m": 10.0, "tangent_m": 5.0}, "curve-impossible"),
        ({"delta": 3.2, "tangent_m": 5.0}, "curve-impossible"),
        ({"radius_m": -1.0, "arc_m": 5.0}, "curve-impossible"),
        ({"radius_m": math.nan, "arc_m": 5.0}, "curve-impossible"),
        ({"radius_m": 5.0, "delta": 6.3}, "curve-impossible"),
        ({"radius_m": 5.0, "delta": math.inf}, "curve-impossible"),
    ],
)
def test_parts_that_no_curve_has(parts: dict[str, float], slug: str) -> None:
    with pytest.raises(ProblemError) as caught:
        curve_from_parts(**parts)
    assert [problem.slug for problem in caught.value.problems] == [slug]


def test_a_part_too_many_is_compared() -> None:
    """R 250, L 61.35: delta 14.0604 degrees, C 61.1962; a chord of 61.25 is 0.054 off, one of 61.20 is rounding."""
    feet = {"radius_m": 250.0 * FT, "arc_m": 61.35 * FT}
    assert curve_from_parts(**feet, chord_m=61.20 * FT)[1] == ()
    (chord,) = curve_from_parts(**feet, chord_m=61.25 * FT)[1]
    assert (chord.part, chord.off_m / FT) == ("chord", pytest.approx(0.0538, abs=0.0001))
    (delta,) = curve_from_parts(**feet, delta=math.radians(14.2))[1]
    assert (delta.part, delta.off_m / FT) == ("central angle", pytest.approx(0.1396 * math.pi / 180 * 250, abs=0.001))
    (degree,) = curve_from_parts(**feet, degree_radius_m=251.0 * FT)[1]
    assert (degree.part, degree.off_m / FT) == ("degree of curve", pytest.approx(61.35 / 251.0, abs=0.001))


@pytest.mark.parametrize(("radius", "arc"), [(20.0, 31.42), (25.0, 39.27), (15.0, 23.56), (250.0, 392.70)])
def test_a_quarter_circle_stays_one(radius: float, arc: float) -> None:
    """R pi / 2 rounded to 0.01 ft: the delta written is the delta kept."""
    made, differences = curve_from_parts(radius_m=radius * FT, delta=math.pi / 2.0, arc_m=arc * FT)
    assert (made.delta, differences) == (math.pi / 2.0, ())


def test_a_delta_to_the_minute_gives_way_to_the_arc() -> None:
    """R 1000.00, L 245.50: delta 14 03 58; written as 14 04 it is worth 245.51, which is rounding; as 14 03, 0.28 off."""
    feet = {"radius_m": 1000.0 * FT, "arc_m": 245.50 * FT}
    for minute in (3.0, 4.0):
        made, differences = curve_from_parts(**feet, delta=math.radians(14.0 + minute / 60.0))
        assert made.delta == pytest.approx(0.2455, rel=1e-12)
        assert [(d.part, d.off_m > 0.25 * FT) for d in differences] == (
            [("central angle", True)] if minute == 3.0 else []
        )


# ---------------------------------------------------------------- deeds with curves


def line(deg: float, feet: float | None, row: int = 1) -> Call:
    return Call(f"az {deg}° {feet} ft", math.radians(deg), None if feet is None else feet * FT, Where(line=row))


def curve(side: str, row: int = 2, chord: float | None = None, closing: bool = False, **parts: float | str) -> Call:
    """Lengths in feet, angles in degrees; ``chord``: its azimuth."""
    made = {
        name: value if isinstance(value, str) else math.radians(value) if name in ("delta", "radial", "degree")
        else value * FT for name, value in parts.items()
    }  # fmt: skip
    length = made.pop("chord_m", None)
    azimuth = None if chord is None else math.radians(chord)
    return Call("curve", azimuth, length, Where(line=row), CurveCall(side, **made), closing)  # type: ignore[arg-type]


def rounded_corner(**more: float | str) -> list[Call]:
    """100 by 100 ft, clockwise from the south-west, the north-east corner rounded with radius 20."""
    return [line(0, 100.0), line(90, 80.0), curve("right", 2, radius_m=20.0, delta=90.0, **more), line(180, 80.0),
            line(270, 100.0)]  # fmt: skip


def said(calls: list[Call]) -> dict[str, dict[str, float | int | str]]:
    deed = run_deed(calls)
    remarks = deed_remarks(calls, deed, closure_of(deed.calls, deed.lengths_m))
    return {remark.slug: dict(remark.args) for remark in remarks}


def slugs(calls: list[Call]) -> list[str]:
    with pytest.raises(ProblemError) as caught:
        run_deed(calls)
    assert all(problem.where.line for problem in caught.value.problems)
    return [problem.slug for problem in caught.value.problems]


def test_a_rounded_corner() -> None:
    deed = run_deed(rounded_corner(joins="tangent"))
    closed = closure_of(deed.calls, deed.lengths_m)
    assert closed.misclosure_m == 0.0
    assert closed.perimeter_m / FT == pytest.approx(360.0 + 10.0 * math.pi)
    size, clockwise = ring_area(run_calls((0.0, 0.0), deed.calls)[:-1], deed.sweeps)
    assert clockwise
    assert size / FT**2 == pytest.approx(10_000.0 - 400.0 * (1.0 - math.pi / 4.0))
    assert deed.calls[2] == (pytest.approx(math.radians(135.0)), pytest.approx(20.0 * math.sqrt(2.0) * FT))
    assert said(rounded_corner(joins="tangent")).keys() == {"closes-exactly"}
    assert said(rounded_corner())["curve-taken-tangent"] == {"call": 3}


def test_a_corner_scooped_out_takes_area_off() -> None:
    """The same corner, the arc turned the other way: not tangent; it needs a bearing, and a quarter circle is lost."""
    calls = rounded_corner()
    calls[2] = curve("left", 2, chord=135.0, radius_m=20.0, delta=90.0, joins="non-tangent")
    deed = run_deed(calls)
    size, _ = ring_area(run_calls((0.0, 0.0), deed.calls)[:-1], deed.sweeps)
    assert size / FT**2 == pytest.approx(10_000.0 - 100.0 * math.pi)
    assert "curve-not-tangent" not in said(calls)
    calls[2] = curve("left", 2, radius_m=20.0, delta=90.0, joins="non-tangent")
    assert slugs(calls) == ["curve-bearing-missing"]


@pytest.mark.parametrize("step", [0.1, 0.4, -0.9])
def test_a_curve_called_tangent_that_is_not_is_told(step: float) -> None:
    calls = rounded_corner()
    calls[2] = curve("right", 2, chord=135.0 + step, radius_m=20.0, delta=90.0, joins="tangent")
    args = said(calls)["curve-not-tangent"]
    assert args["call"] == 3
    assert args["off_rad"] == pytest.approx(math.radians(abs(step)))
    calls[2] = curve("right", 2, chord=135.0 + step, radius_m=20.0, delta=90.0)
    assert "curve-not-labelled" in said(calls)


def test_a_radial_bearing_places_a_curve() -> None:
    for radial in (180.0, 180.3):
        calls = rounded_corner()
        calls[2] = curve("right", 2, radius_m=20.0, delta=90.0, radial=radial, joins="non-tangent")
        assert run_deed(calls).calls[2][0] == pytest.approx(math.radians(radial - 45.0))
    both = curve("right", 2, chord=135.0, radius_m=20.0, delta=90.0, radial=180.3, joins="tangent")
    calls[2] = both
    assert said(calls)["curve-bearings-differ"]["off_rad"] == pytest.approx(math.radians(0.3))
    calls[2] = replace(both, curve=replace(both.curve, radial=math.radians(0.0)))  # type: ignore[type-var]
    assert slugs(calls) == ["curve-parts-disagree"]


def test_parts_of_a_curve_in_a_deed() -> None:
    assert slugs(rounded_corner(arc_m=62.8)) == ["curve-parts-disagree"]
    assert slugs(rounded_corner(chord_m=41.0)) == ["curve-parts-disagree"]
    small = said(rounded_corner(chord_m=28.4))["curve-parts-differ"]
    assert (small["part"], small["given"], small["computed"]) == ("chord", "28.40'", "28.28'")
    calls = rounded_corner()
    calls[2] = curve("right", 2, radius_m=20.0)
    assert run_deed(calls).gaps == ((2, "both"),)
    calls[2] = curve("right", 2, arc_m=20.0)
    assert slugs(calls) == ["curve-parts-missing"]
    calls[2] = curve("up", 2, radius_m=20.0, delta=90.0)
    assert slugs(calls) == ["curve-side-missing"]


def test_a_curve_to_beginning_is_solved() -> None:
    """The rounded corner last: its chord comes from the others, its arc from the radius."""
    start = [line(180, 80.0), line(270, 100.0), line(0, 100.0), line(90, 80.0)]
    for parts in ({"radius_m": 20.0}, {"delta": 90.0}, {"radius_m": 20.0, "delta": 90.0}):
        calls = [*start, curve("right", 5, closing=True, **parts)]
        deed = run_deed(calls)
        assert deed.calls[4] == (pytest.approx(math.radians(135.0)), pytest.approx(20.0 * math.sqrt(2.0) * FT))
        assert deed.sweeps[4] == pytest.approx(-math.pi / 2.0)
        assert deed.lengths_m[4] / FT == pytest.approx(10.0 * math.pi)
    assert slugs([*start, curve("right", 5, closing=True, radius_m=10.0)]) == ["curve-impossible"]
    off = said([*start, curve("right", 5, closing=True, radius_m=21.0, joins="tangent")])
    assert "curve-not-tangent" in off


def test_compound_and_reverse_curves_follow_one_another() -> None:
    """A stadium: two straights and two half circles, each half in two quarter curves tangent to one another."""
    quarter = {"radius_m": 10.0, "delta": 90.0, "joins": "tangent"}
    calls = [line(0, 50.0), curve("right", 2, **quarter), curve("right", 3, **quarter), line(180, 50.0, 4),
             curve("right", 5, **quarter), curve("right", 6, **quarter)]  # fmt: skip
    deed = run_deed(calls)
    assert closure_of(deed.calls, deed.lengths_m).misclosure_m == 0.0
    size, _ = ring_area(run_calls((0.0, 0.0), deed.calls)[:-1], deed.sweeps)
    assert size / FT**2 == pytest.approx(1000.0 + 100.0 * math.pi)
    first_is_a_curve = calls[1:] + calls[:1]
    assert run_deed(first_is_a_curve).calls[0][0] == pytest.approx(math.radians(45.0))


def test_curves_alone_need_a_bearing() -> None:
    half = {"radius_m": 10.0, "delta": 180.0}
    assert slugs([curve("right", 1, **half), curve("right", 2, **half)]) == ["curve-bearing-missing"] * 2
    circle = run_deed([curve("right", 1, chord=90.0, **half), curve("right", 2, **half)])
    assert closure_of(circle.calls, circle.lengths_m).misclosure_m == 0.0
    size, _ = ring_area(run_calls((0.0, 0.0), circle.calls)[:-1], circle.sweeps)
    assert size / FT**2 == pytest.approx(100.0 * math.pi)


def test_what_a_deed_may_not_do() -> None:
    assert slugs([line(0, 3.0), line(90, 4.0)]) == ["boundary-too-short"]
    closing = Call("to beginning", None, None, Where(line=2), closing=True)
    assert slugs([line(0, 3.0), closing, line(180, 3.0)]) == ["calls-after-beginning"]
    for length in (0.0, -3.0, math.nan, math.inf):
        assert slugs([line(0, 3.0), line(90, length), line(180, 3.0)]) == ["call-without-length"]
    magnetic = [replace(line(0, 3.0), north="magnetic"), line(90, 3.0), replace(line(225, 4.24), north="grid")]
    assert slugs(magnetic) == ["bearings-mixed"]
    assert run_deed([replace(call, north="") for call in magnetic], bearings="magnetic 1812").north == "magnetic 1812"
    unknown = Call("bearing unknown", None, 80.0 * FT, Where(line=2))
    assert slugs([line(0, 100.0), unknown, curve("right", 3, radius_m=20.0, delta=90.0), line(180, 80.0)]) == [
        "curve-bearing-missing"
    ]


def test_more_or_less_and_magnetic_are_said() -> None:
    calls = [replace(call, about=k == 1, north="magnetic" if k == 0 else "") for k, call in enumerate(rounded_corner())]
    words = said(calls)
    assert words["calls-more-or-less"] == {"calls": "2"}
    assert words["bearings-magnetic"] == {"name": "magnetic"}


@given(
    st.lists(st.tuples(st.floats(-300, 300), st.floats(-300, 300)), min_size=3, max_size=7, unique=True),
    st.lists(st.one_of(st.just(0.0), st.floats(0.1, 3.0), st.floats(-3.0, -0.1)), min_size=7, max_size=7),
)
def test_a_ring_of_lines_and_arcs_to_calls_and_back(ring: list[tuple[float, float]], sweeps: list[float]) -> None:
    """Calls made of a ring close, and give its area: against a polygon of many chords."""
    assume(all(math.dist(a, b) > 1.0 for a, b in zip(ring, ring[1:] + ring[:1], strict=True)))
    sides = sides_of(ring, sweeps[: len(ring)])
    calls = []
    for k, side in enumerate(sides):
        azimuth = math.atan2(side.b[0] - side.a[0], side.b[1] - side.a[1])
        made = None
        if side.sweep:
            made = CurveCall("left" if side.sweep > 0 else "right", radius_m=side.radius, delta=abs(side.sweep))
        calls.append(Call("", azimuth, None if made else math.dist(side.a, side.b), Where(line=k + 1), made))
    deed = run_deed(calls)
    closed = closure_of(deed.calls, deed.lengths_m)
    assert closed.misclosure_m <= 1e-6
    size, _ = ring_area(run_calls(ring[0], deed.calls)[:-1], deed.sweeps)
    chords = path_of_sides(sides, 1e-5)
    assert size == pytest.approx(area(chords), abs=1e-5 * closed.perimeter_m + 1e-6)
