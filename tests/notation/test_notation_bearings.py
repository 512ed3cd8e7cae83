"""Bearings, azimuths, calls, angles and grades. Degrees in the tables are worked by hand."""

from __future__ import annotations

import math

import pytest

from palewright.errors import NotationError
from palewright.notation import CurveText, parse_angle, parse_bearing, parse_call, parse_grade

SAME = {
    12 + 30 / 60 + 15 / 3600: [
        "N 12°30'15\" E",
        "N12°30'15\"E",
        "N12-30-15E",
        "N 12-30-15 E",
        "N 12 30 15 E",
        "N. 12° 30' 15\" E.",
        "N 12º 30′ 15″ E",
        "N 12° 30’ 15” East",
        "North 12 degrees 30 minutes 15 seconds East",
        "north 12 deg 30 min 15 sec east",
        "N 12d30'15\" E",
        "North twelve degrees thirty minutes fifteen seconds East",
        "North 12 degrees, 30 minutes, and 15 seconds East",
        "N 12° 30.25' E",
        "az 12°30'15\"",
        "azimuth 12-30-15",
        "12-30-15 from north",
    ],
    12.5: ["N 12°30' E", "N12-30E", "N 12 30 E", "N 12.5 E", "N 12.5° E", "N 12°30 E", "12.5° from north", "az 12.5°",
           "N 12 1/2 E", "N 12½ E", "N 12 1/2° E", "N 12-1/2 E", "N 12 and 1/2 degrees E"],
    144.0: ["S36-00-00E", "S 36 E", "S 36° E", "South 36 degrees East", "south thirty-six degrees east", "az 144"],
    181 + 35 / 60 + 54 / 3600: ["S01-35-54W", "S 1°35'54\" W"],
    271 + 35 / 60 + 42 / 3600: ["N88-24-18W", "n 88 24 18 w"],
    0.0: ["N", "North", "due north", "Due N", "N 0 E", "N 00°00'00\" W", "az 0", "az 360°"],
    90.0: ["E", "due east", "N 90° E", "S 90 E"],
    180.0: ["S", "due South", "S 0 W"],
    270.0: ["W", "Due West", "N 90 W", "S90W", "az 270°", "90° from south"],
}  # fmt: skip


@pytest.mark.parametrize(("degrees", "text"), [(degrees, text) for degrees, texts in SAME.items() for text in texts])
def test_bearing_spellings(degrees: float, text: str) -> None:
    assert parse_bearing(text) == pytest.approx(math.radians(degrees), abs=1e-15)


WRONG = [
    ("N 12°75' E", "bearing-minutes-range", "75"),
    ("N 45°60'00\" E", "bearing-minutes-range", "60"),
    ("N 12°30'60\" E", "bearing-seconds-range", "60"),
    ("N12-30-75E", "bearing-seconds-range", "75"),
    ("N 95 E", "bearing-degrees-range", "95"),
    ("S 90°00'01\" W", "bearing-degrees-range", "90°00'01\""),
    ("az 361°", "azimuth-range", "361°"),
    ("NE", "bearing-half-way", "NE"),
    ("12°", "bearing-letter-missing", "12°"),
    ("N 12°30'", "bearing-letter-missing", "N 12"),
    ("", "bearing-missing", ""),
    ("12 30", "bearing-missing", "12"),
    ("upwards", "bearing-unreadable", "upwards"),
    ("due upwards", "bearing-unreadable", "upwards"),
    ("N 12.5°30' E", "bearing-unreadable", "30"),
    ("N 12°30'15\" E 120 ft", "bearing-unreadable", "120 ft"),
]


@pytest.mark.parametrize(("text", "slug", "span"), WRONG)
def test_bearing_problems_mark_the_span(text: str, slug: str, span: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_bearing(text)
    (problem,) = caught.value.problems
    assert problem.slug == slug
    assert text[problem.where.column - 1 : problem.where.column - 1 + problem.where.width] == span


def test_seventy_five_minutes_hints_at_decimal_degrees() -> None:
    with pytest.raises(NotationError) as caught:
        parse_bearing("N 45°75' E")
    assert "45.75°" in caught.value.problems[0].hint


CALLS = [
    ("S36-00-00E 379.25", "ft", 144.0, 379.25 * 0.3048, False),
    ("N 12°30'15\" E 120.55 ft", "", 12.504166666666666, 120.55 * 0.3048, False),
    ("W 7.00 ch", "", 270.0, 140.8176, False),
    ("S 02°14'30\" E 148.20 ft", "", 177.75833333333333, 148.20 * 0.3048, False),
    ("N24-30E 7ch17lk", "", 24.5, 7.17 * 20.1168, False),
    ("S64-45W 24ch", "", 244.75, 24 * 20.1168, False),
    ("N45E 40", "perches", 45.0, 40 * 5.0292, False),
    ("S 36 E 12' 6\"", "", 144.0, 3.81, False),
    ("due north 120 ft", "", 0.0, 36.576, False),
    ("az 123-45-00 379.25", "ft", 123.75, 379.25 * 0.3048, False),
    ("az 123.75° 100 ft", "", 123.75, 30.48, False),
    ("az 123°45' 20 ft", "", 123.75, 6.096, False),
    ("az 123 45", "ft", 123.0, 45 * 0.3048, False),
    ("az 123 45 30 45", "ft", 123.75 + 30 / 3600, 45 * 0.3048, False),
    ("az 123-45", "ft", 123.75, None, False),
    ("az 123°45'", "ft", 123.75, None, False),
    ("az 123d 45m", "ft", 123.75, None, False),
    ("123.75° from north 20 ft", "", 123.75, 6.096, False),
    ("thence S 60° W, a distance of 40 feet to the point of beginning", "", 240.0, 12.192, True),
    ("S 36 E", "", 144.0, None, False),
    ("S 60 W to beginning", "", 240.0, None, True),
    ("N 12°30'15\" E to the place of beginning.", "", 12.504166666666666, None, True),
    ("to beginning", "", None, None, True),
    ("to the point of beginning", "", None, None, True),
    ("to POB", "", None, None, True),
]


@pytest.mark.parametrize(("text", "unit", "degrees", "metres", "closing"), CALLS)
def test_calls(text: str, unit: str, degrees: float | None, metres: float | None, closing: bool) -> None:
    call = parse_call(text, unit=unit)
    azimuth, length = call.azimuth, call.length
    assert call.closing is closing
    if degrees is None:
        assert azimuth is None
    else:
        assert azimuth == pytest.approx(math.radians(degrees), abs=1e-12)
    if metres is None:
        assert length is None
    else:
        assert length is not None
        assert length.m == pytest.approx(metres, rel=1e-15)


SPOKEN = [
    ("thence North forty-six degrees twelve minutes and thirty seconds East, a distance of one hundred twenty and"
     " fifty-five hundredths feet;", 46 + 12.5 / 60, 120.55 * 0.3048),
    ("North forty-six degrees 12 minutes east One Hundred Twenty (120.00) feet", 46.2, 120 * 0.3048),
    ("N 46 E one hundred and five feet", 46.0, 105 * 0.3048),
    ("N 46 E two thousand three hundred twelve feet", 46.0, 2312 * 0.3048),
    ("N 46 E one thousand feet", 46.0, 304.8),
    ("N 46 E 120 and 55/100 feet", 46.0, 120.55 * 0.3048),
    ("azimuth measured clockwise from true South 157°30' 120.00 feet", 337.5, 120 * 0.3048),
    ("az 217-30 from south 120.00 feet", 37.5, 120 * 0.3048),
    ("N 12 E 3 ch 25 lk", 12.0, 3.25 * 20.1168),
    ("N 12 E 3 engineer's chains 25 links", 12.0, 325 * 0.3048),
    ("N 12 E 3 chains (engineer's)", 12.0, 300 * 0.3048),
    ("N 12 E 36 varas (Texas)", 12.0, 30.48),
    ("N 12 E 100 Gunter's links", 12.0, 20.1168),
    ("THENCE NORTH 100 FEET TO A POINT", 0.0, 30.48),
    ("S 36 E 24 ch to the oak", 144.0, 24 * 20.1168),
    ("N 12 E 100.00 feet to the northeast corner of Lot 12, Block 3;", 12.0, 30.48),
    ("N 12 E, 100' along the west line of Lot 7", 12.0, 30.48),
    ("az 0 100 ft", 0.0, 30.48),
    ("az 90 50 m", 90.0, 50.0),
    ("az 90° 30.48 m", 90.0, 30.48),
    ("az 90 50'", 90.0, 15.24),
    ("az 90 30 7 ch 25 lk", 90.5, 7.25 * 20.1168),
]  # fmt: skip


@pytest.mark.parametrize(("text", "degrees", "metres"), SPOKEN)
def test_calls_as_deeds_say_them(text: str, degrees: float, metres: float) -> None:
    call = parse_call(text)
    assert call.azimuth == pytest.approx(math.radians(degrees), abs=1e-12)
    assert call.length is not None
    assert call.length.m == pytest.approx(metres, rel=1e-12)


def test_bare_azimuths_only_where_they_are_said_to_be() -> None:
    # Hawaiian deeds (68 Stat. 568): azimuths clockwise from true south
    south = parse_call("157°30' 120.00 ft", azimuths="south")
    assert south.azimuth == pytest.approx(math.radians(337.5))
    assert parse_call("az 157-30-00 120.00 ft", azimuths="south").azimuth == south.azimuth
    assert parse_call("157-30-00 120.00 ft", azimuths="north").azimuth == pytest.approx(math.radians(157.5))
    assert parse_call("az 10 from north 120.00 ft", azimuths="south").azimuth == pytest.approx(math.radians(10))
    assert parse_call("N 12 E 120.00 ft", azimuths="south").azimuth == pytest.approx(math.radians(12))


@pytest.mark.parametrize(
    ("text", "north"),
    [
        ("magnetic N 12 E 3 ch", "magnetic"),
        ("N 12 E (magnetic) 3 ch", "magnetic"),
        ("N 12°15' E grid north 3 ch", "grid"),
        ("az 12 from true north 100 ft", "true"),
        ("az 12 from north 100 ft", ""),
        ("N 12 E 100 ft to the true point of beginning", ""),
    ],
)
def test_the_north_of_a_bearing_is_kept(text: str, north: str) -> None:
    assert parse_call(text).north == north


@pytest.mark.parametrize(
    "text",
    ["N 12 E 120 ft, more or less", "N 12 E about 120 ft", "N 12 E 120± ft", "N 12 E 120 ft +/-"],
)
def test_more_or_less_is_kept(text: str) -> None:
    call = parse_call(text)
    assert call.about
    assert call.length is not None
    assert call.length.m == 120 * 0.3048
    assert not parse_call("N 12 E 120 ft").about


def test_a_bearing_may_be_said_to_be_missing() -> None:
    for text in ("bearing unknown, 120 ft", "bearing not given 120 ft", "thence bearing illegible, 120 feet"):
        call = parse_call(text)
        assert call.azimuth is None
        assert call.length is not None


def test_curves_as_typed_and_as_deeds_say_them() -> None:
    """One curve in six spellings: right, R 250 ft, L 61.35 ft, delta 14°03'36", chord S 80°12' W 61.20 ft."""
    for text, unit in (
        ("curve right, radius 250 ft, arc 61.35 ft, delta 14°03'36\", chord S 80°12' W 61.20 ft", ""),
        ("{curve: right, radius: 250 ft, arc: 61.35 ft, delta: 14°03'36\", chord: S 80°12' W 61.20 ft}", ""),
        ("curve RIGHT R 250 L 61.35 delta 14-03-36 C 61.20 CB S80-12W", "ft"),
        ("curve rt; R=250.00; L=61.35; Δ=14°03'36\"; LC=61.20; CB=S80°12'W", "ft"),
        ("thence along the arc of a curve to the right having a radius of 250.00 feet, an arc length of 61.35 feet, a"
         " central angle of 14 degrees 3 minutes 36 seconds, a chord bearing of South 80°12'00\" West and a chord"
         " distance of 61.20 feet", ""),
        ("thence southwesterly along a curve concave northwesterly, to the right, radius 250 ft, through a central"
         " angle of 14°03'36\", a distance of 61.35 ft, chord bears S 80°12' W, 61.20 feet", ""),
    ):  # fmt: skip
        call = parse_call(text, unit=unit)
        curve = call.curve
        assert curve is not None
        assert curve.side == "right"
        assert call.azimuth == pytest.approx(math.radians(260.2))
        assert curve.delta == pytest.approx(math.radians(14.06))
        for length, feet in ((curve.radius, 250.0), (curve.arc, 61.35), (call.length, 61.20)):
            assert length is not None
            assert length.m == pytest.approx(feet * 0.3048)


def test_what_else_a_curve_may_say() -> None:
    def curve(text: str) -> CurveText:
        made = parse_call(text).curve
        assert made is not None
        return made

    assert curve("curve left, radius 50 ft, delta 90°").joins == ""
    assert curve("curve left, radius 50 ft, delta 90°, tangent").joins == "tangent"
    assert curve("thence along a tangent curve to the left, radius 50 ft, delta 90°").joins == "tangent"
    assert curve("non-tangent curve left, radius 50 ft, delta 90°").joins == "non-tangent"
    assert curve("curve left, radius 50 ft, delta 90°, not tangent").joins == "non-tangent"
    with_tangent = curve("curve left, tangent 50 ft, delta 90°")
    assert (with_tangent.joins, with_tangent.tangent and with_tangent.tangent.m) == ("", 50 * 0.3048)
    by_degree = curve("curve left, degree of curve 15°30' by chord, delta 45°")
    assert (by_degree.degree, by_degree.degree_by) == (pytest.approx(math.radians(15.5)), "chord")
    assert curve("curve left, degree 15° (arc definition), delta 45°").degree_by == "arc"
    radial = "curve left, radius 50 ft, delta 90°, radial"
    assert curve(f"{radial} to centre N 30 E").radial == pytest.approx(math.radians(30))
    assert curve(f"{radial} from the center N 30 E").radial == pytest.approx(math.radians(210))
    ending = parse_call("curve left, radius 50 ft, to the point of beginning")
    assert (ending.closing, ending.azimuth, ending.length) == (True, None, None)


WRONG_CALLS = [
    ("120 ft", "bearing-missing", "120"),
    ("", "bearing-missing", ""),
    ("S36-00-00E 379.25", "unit-missing", "379.25"),
    ("S 36 E -5 ft", "length-negative", "-5 ft"),
    ("S 36 E 0 ft", "length-zero", "0 ft"),
    ("N 12°30' 120 ft", "bearing-letter-missing", "N 12"),
    ("N 12°75' E 120 ft", "bearing-minutes-range", "75"),
    ("S 36 E 24 ch under the oak", "length-unreadable", "under"),
    ("S 36 E 24 ft to the oak, thence W 3 ft", "length-unreadable", "to"),
    ("S 36 E 24 ft along W 3", "length-unreadable", "along"),
    ("S 36 E 24 ft to a stone 3 ft", "length-unreadable", "to"),
    ("N 12 E nan ft", "length-not-number", "nan"),
    ("N 12 E 100 (99) ft", "length-said-twice", "(99)"),
    ("157-30-00 120.00 ft", "bearing-missing", "157"),
    ("N 12 E 12 varas", "vara-state-missing", "varas"),
    ("N 12 E 12 engineer's rods", "unit-unknown", "rods"),
    ("curve, radius 250 ft, delta 45°", "curve-side-missing", "curve, radius 250 ft, delta 45°"),
    ("curve right, left, radius 250 ft", "curve-part-twice", "left"),
    ("curve right, radius 250 ft, radius 251 ft", "curve-part-twice", "radius 251 ft"),
    ("curve right, radius 250 ft, wobble 3 ft", "curve-unreadable", "wobble"),
    ("curve right, radius 250 ft, non-smooth", "curve-unreadable", "non"),
    ("curve right, radius 0 ft, arc 3 ft", "length-zero", "0 ft"),
    ("curve right, radius -2 ft, arc 3 ft", "length-negative", "-2 ft"),
    ("curve right, radius 250", "unit-missing", "250"),
    ("curve right, radius", "length-missing", "radius"),
    ("curve right, radius 250 ft, delta 14°75'", "bearing-minutes-range", "75"),
    ("curve right, radius 250 ft, delta 360°", "angle-range", "360°"),
    ("curve right, radius 250 ft, delta", "angle-missing", "delta"),
    ("curve right, degree 15°, delta 45°", "curve-degree-definition", "degree 15°"),
    ("curve right, radius 250 ft, radial S 12 E, delta 45", "curve-radial-way", "radial"),
    ("curve right, radius 250 ft, radial to centre", "bearing-missing", "radial"),
    ("curve right, radius 250 ft, arc 61.35 ft, chord S 80°72' W", "bearing-minutes-range", "72"),
]


@pytest.mark.parametrize(("text", "slug", "span"), WRONG_CALLS)
def test_call_problems_mark_the_span(text: str, slug: str, span: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_call(text)
    (problem,) = caught.value.problems
    assert problem.slug == slug
    assert text[problem.where.column - 1 : problem.where.column - 1 + problem.where.width] == span


ANGLES = [
    ("90°", 90.0),
    ("89°30'15\"", 89.50416666666667),
    ("89-30-15", 89.50416666666667),
    ("89.5 deg", 89.5),
    ("89 degrees 30 minutes", 89.5),
    ("ninety degrees", 90.0),
    ("89° 30.5'", 89.50833333333333),
    ("0°", 0.0),
    ("360°", 360.0),
]


@pytest.mark.parametrize(("text", "degrees"), ANGLES)
def test_angles(text: str, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(math.radians(degrees), abs=1e-15)


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("90", "angle-unit-missing"),
        ("89 30 15", "angle-unit-missing"),
        ("1.5 rad", "angle-unreadable"),
        ("rad", "angle-unreadable"),
        ("", "angle-missing"),
        ("361°", "angle-range"),
        ("-90°", "angle-negative"),
        ("89°75'", "bearing-minutes-range"),
    ],
)
def test_angle_problems(text: str, slug: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_angle(text)
    assert caught.value.problems[0].slug == slug


GRADES = [
    ("1:12", 1 / 12),
    ("1 in 12", 1 / 12),
    ("8%", 0.08),
    ("8.33 percent", 0.0833),
    ("45°", 1.0),
    ("0%", 0.0),
    ("1/4 in per ft", 1 / 48),
    ("30 in per 50 ft", 0.05),
]


@pytest.mark.parametrize(("text", "grade"), GRADES)
def test_grades(text: str, grade: float) -> None:
    assert parse_grade(text) == pytest.approx(grade, rel=1e-15)


def test_a_grade_down_only_where_allowed() -> None:
    assert parse_grade("-8%", signed=True) == -0.08


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("0.08", "grade-unit-missing"),
        ("8", "grade-unit-missing"),
        ("", "grade-missing"),
        ("-8%", "grade-negative"),
        ("-", "grade-negative"),
        ("1:0", "grade-range"),
        ("90°", "grade-range"),
        ("20000%", "grade-range"),
        ("1:12:3", "grade-unreadable"),
        ("steep", "grade-unreadable"),
        ("1 in", "grade-unreadable"),
        ("4 in per", "length-missing"),
    ],
)
def test_grade_problems(text: str, slug: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_grade(text)
    assert caught.value.problems[0].slug == slug
