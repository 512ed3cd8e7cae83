"""Bearings, azimuths, calls, angles and grades. Degrees in the tables are worked by hand."""

from __future__ import annotations

import math

import pytest

from palewright.errors import NotationError
from palewright.notation import parse_angle, parse_bearing, parse_call, parse_grade

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
    12.5: ["N 12°30' E", "N12-30E", "N 12 30 E", "N 12.5 E", "N 12.5° E", "N 12°30 E", "12.5° from north", "az 12.5°"],
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
    azimuth, length, closes = parse_call(text, unit=unit)
    assert closes is closing
    if degrees is None:
        assert azimuth is None
    else:
        assert azimuth == pytest.approx(math.radians(degrees), abs=1e-12)
    if metres is None:
        assert length is None
    else:
        assert length is not None
        assert length.m == pytest.approx(metres, rel=1e-15)


WRONG_CALLS = [
    ("120 ft", "bearing-missing", "120"),
    ("", "bearing-missing", ""),
    ("S36-00-00E 379.25", "unit-missing", "379.25"),
    ("S 36 E -5 ft", "length-negative", "-5 ft"),
    ("S 36 E 0 ft", "length-zero", "0 ft"),
    ("N 12°30' 120 ft", "bearing-letter-missing", "N 12"),
    ("N 12°75' E 120 ft", "bearing-minutes-range", "75"),
    ("S 36 E 24 ch to the oak", "length-unreadable", "to"),
    ("curve right 20 ft", "bearing-unreadable", "curve"),
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
