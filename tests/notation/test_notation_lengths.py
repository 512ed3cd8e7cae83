"""Lengths as people write them. Metres in the tables are worked by hand from 0.0254 m and 0.3048 m."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest

from palewright.errors import NotationError
from palewright.notation import parse_length

IN = Fraction(254, 10_000)

SAME = {
    Fraction(393, 2): [
        "16' 4 1/2\"",
        "16'4 1/2\"",
        "16'-4 1/2\"",
        "16' 4-1/2\"",
        "16'-4-1/2\"",
        "16 ft 4 1/2 in",
        "16ft 4.5in",
        "16 ft. 4 1/2 in.",
        "16 feet, 4 1/2 inches",
        "16 feet and 4 1/2 inches",
        "16′ 4½″",
        "16’ 4 ½”",
        "16' 4½''",
        "16′ – 4 1⁄2″",
        "16'\u00a04\u202f1/2\"",
        "16 FT 4 1/2 IN",
        '196 1/2"',
        "196.5 in",
        "5 yd 1 ft 4 1/2 in",
    ],
    Fraction(59, 8): ['7 3/8"', "7⅜ in", "7.375 in", "7-3/8 inches", "7 3⁄8″"],
    Fraction(150): ["12.5 ft", "12 1/2 ft", "12½'", "12' 6\"", "150 in", "150''", "4 yd 6 in"],
    Fraction(1234 * 12): ["1,234'", "1,234.0 ft", "1234 feet"],
    Fraction(3): ['3"', ".25 ft", "0.25'", "3 in."],
    Fraction(3 * 792 + 25 * 792, 100) + 3 * 792 - Fraction(3 * 792, 100): [
        "3 ch 25 lk",
        "3ch25lk",
        "3 chains 25 links",
    ],
    Fraction(7 * 792): ["7.00 ch", "7 ch", "28 rods", "28 poles", "28 perches"],
}


@pytest.mark.parametrize(("inches", "text"), [(inches, text) for inches, texts in SAME.items() for text in texts])
def test_spellings(inches: Fraction, text: str) -> None:
    assert parse_length(text).exact == inches * IN


METRIC = [
    ("3.25 m", "3.25"),
    ("325 cm", "3.25"),
    ("3250 mm", "3.25"),
    ("3 m 25 cm", "3.25"),
    ("1.2 km", "1200"),
    ("5 m 8 mm", "5.008"),
]


@pytest.mark.parametrize(("text", "metres"), METRIC)
def test_metric(text: str, metres: str) -> None:
    assert parse_length(text).exact == Fraction(metres)


SURVEY = [
    "150 ft US",
    "150 usft",
    "150 US ft",
    "150 survey ft",
    "150 US survey feet",
    "150 U.S. survey feet",
    "150 ft (US survey)",
    "150 ft, US",
]


@pytest.mark.parametrize("text", SURVEY)
def test_survey_feet(text: str) -> None:
    length = parse_length(text)
    assert length.exact == Fraction(150 * 1200, 3937)
    assert length.unit == "ft US"


def test_the_job_may_say_that_feet_are_survey_feet() -> None:
    assert parse_length("3937 ft", foot="survey").exact == 1200
    assert parse_length("3937 ft", unit="ft", foot="survey").exact == 1200
    assert parse_length("3937 international ft", foot="survey").exact == Fraction(3937) * 12 * IN
    assert parse_length("1 m", foot="survey").exact == 1


def test_a_bare_number_takes_the_unit_given() -> None:
    assert parse_length("120.55", unit="ft").exact == Fraction("120.55") * 12 * IN
    assert parse_length("12 1/2", unit="ft").exact == 150 * IN
    assert parse_length("3937", unit="ftUS").exact == 1200
    assert parse_length("7.5", unit="m").m == 7.5
    assert parse_length("36", unit="varas (Texas)").exact == 1200 * IN
    assert parse_length("6", unit='"').exact == 6 * IN
    assert parse_length("6 in", unit="m").exact == 6 * IN


def test_length_keeps_text_and_unit() -> None:
    length = parse_length("  16 ft 4 in ")
    assert (length.text, length.unit, length.m) == ("16 ft 4 in", "ft", 4.9784)


def test_signed_lengths_only_where_allowed() -> None:
    assert parse_length("-2' 6\"", signed=True).exact == -30 * IN
    assert parse_length("−1.5 m", signed=True).m == -1.5
    assert parse_length("+1.5 m").m == 1.5


WRONG = [
    # text, slug, the span that is marked
    ("", "length-missing", ""),
    ("100", "unit-missing", "100"),
    ("16' 4", "unit-missing", "4"),
    ('16 4 1/2"', "unit-missing", "16"),
    ("11' 13\"", "inches-over-12", '13"'),
    ("11' 12\"", "inches-over-12", '12"'),
    ("3 ch 100 lk", "part-too-large", "100 lk"),
    ("3 m 120 cm", "part-too-large", "120 cm"),
    ("16' 4.5 1/2\"", "decimal-with-fraction", "4.5 1/2"),
    ("16.5' 4\"", "fraction-not-last", "16.5"),
    ("4 in 3 ft", "length-order", "3 ft"),
    ("4 ft 3 ft", "length-order", "3 ft"),
    ('13/8"', "fraction-not-proper", "13/8"),
    ("1/0 in", "fraction-not-proper", "1/0"),
    ('6 4/4"', "fraction-not-proper", "4/4"),
    ("12,5 ft", "comma-in-number", "12,5"),
    ("1,23,456 ft", "comma-in-number", "1,23,456"),
    ("1.2.3 ft", "number-unclear", "1.2.3"),
    ("-5 ft", "length-negative", "-5 ft"),
    ("nan ft", "length-not-number", "nan"),
    ("inf", "length-not-number", "inf"),
    ("1e9 ft", "unit-unknown", "e"),
    ("5 furlnogs", "unit-unknown", "furlnogs"),
    ("6 sq ft", "unit-unknown", "sq"),
    ("5 ft wide", "length-unreadable", "wide"),
    ("ft", "length-unreadable", "ft"),
    ("6'-", "length-unreadable", "-"),
    ("12 varas", "vara-state-missing", "varas"),
    ("12 varas (Sonora)", "vara-state-unknown", "varas (Sonora)"),
    ("99999999 mi", "length-too-large", "99999999 mi"),
    ("1234567890123456 ft", "number-too-long", "1234567890123456"),
    ("5 ft ¤", "character-unknown", "¤"),
    ("５ ft", "character-unknown", "５"),
    ("5² ft", "character-unknown", "²"),
]


@pytest.mark.parametrize(("text", "slug", "span"), WRONG)
def test_problems_mark_the_span(text: str, slug: str, span: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_length(text)
    (problem,) = caught.value.problems
    assert problem.slug == slug
    column, width = problem.where.column, problem.where.width
    assert text[column - 1 : column - 1 + width] == span


def test_a_vara_without_its_state_offers_the_states() -> None:
    with pytest.raises(NotationError) as caught:
        parse_length("12 varas")
    assert "Texas" in caught.value.problems[0].allowed
    assert "California" in caught.value.problems[0].allowed


def test_an_unknown_default_unit_is_a_problem() -> None:
    for unit in ("furlnog", "5 ft", "ft ft", "(", "vara"):
        with pytest.raises(NotationError):
            parse_length("12", unit=unit)


@pytest.mark.parametrize(
    "text", ["1" + "0" * 400 + " ft", "9" * 5000, "1/" * 100_000, "1' " * 200_000, "((" * 300_000, "-" * 10**6]
)
def test_nonsense_of_any_size_is_answered_at_once(text: str) -> None:
    started = time.perf_counter()
    with pytest.raises(NotationError) as caught:
        parse_length(text)
    assert time.perf_counter() - started < 0.5
    assert len(caught.value.problems[0].render()) < 1500


@pytest.mark.parametrize(("text", "hint"), [("60 fet", "did you mean feet?"), ("3 meterz", "did you mean meter?")])
def test_a_misspelt_unit_is_answered_with_the_nearest(text: str, hint: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_length(text)
    assert caught.value.problems[0].hint == hint
