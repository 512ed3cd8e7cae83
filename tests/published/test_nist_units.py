"""Units of length against printed tables.

NIST, "Revised unit conversion factors" (effective 1 January 2023): the international foot is 0.3048 m, the survey
foot 1200/3937 m; survey values are printed to 9 decimals of a metre, so the tolerance there is half a unit of the ninth.
Texas units of land measure: 36 varas = 100 ft, 1900.8 varas = 1 mile, 5645.376 square varas = 1 acre.

sources: nist-feet, texas-vara, california-vara
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from palewright.notation import parse_length

INTERNATIONAL = [
    ("1 ft", "0.3048"),
    ("1 in", "0.0254"),
    ("1 yd", "0.9144"),
    ("1 ch", "20.1168"),
    ("1 rod", "5.0292"),
    ("1 pole", "5.0292"),
    ("1 perch", "5.0292"),
    ("1 lk", "0.201168"),
    ("1 furlong", "201.168"),
    ("1 mile", "1609.344"),
]
SURVEY = [
    ("1 ft US", "0.304800610"),
    ("1 ch US", "20.116840234"),
    ("1 rod (US survey)", "5.029210058"),
    ("1 furlong US", "201.168402337"),
    ("1 mile US", "1609.347218694"),
]


@pytest.mark.parametrize(("text", "metres"), INTERNATIONAL)
def test_international_units_are_exact(text: str, metres: str) -> None:
    assert parse_length(text).exact == Fraction(metres)


@pytest.mark.parametrize(("text", "metres"), SURVEY)
def test_survey_units_agree_with_the_printed_digits(text: str, metres: str) -> None:
    assert abs(parse_length(text).exact - Fraction(metres)) <= Fraction(5, 10**10)


def test_the_survey_foot_is_1200_over_3937() -> None:
    assert parse_length("1 survey ft").exact == Fraction(1200, 3937)


def test_two_feet_differ_by_two_parts_in_a_million() -> None:
    """4.000008 ft in 2,000,000 ft, ratio 1.000002000004 (printed to 12 decimals)."""
    ratio = parse_length("1 ft US").exact / parse_length("1 ft").exact
    assert abs(ratio - Fraction("1.000002000004")) <= Fraction(5, 10**13)
    difference = parse_length("2,000,000 ft US").exact - parse_length("2,000,000 ft").exact
    assert abs(difference / Fraction("0.3048") - Fraction("4.000008")) <= Fraction(5, 10**7)


def test_texas_varas() -> None:
    assert parse_length("36 varas (Texas)").exact == parse_length("100 ft").exact
    assert parse_length("1,900.8 varas (Texas)").exact == parse_length("1 mile").exact
    acre = 43_560 * parse_length("1 ft").exact ** 2
    assert Fraction("5645.376") * parse_length("1 vara", vara="texas").exact ** 2 == acre


def test_california_vara() -> None:
    assert parse_length("1 vara (California)").exact == parse_length("33 in").exact


def test_ten_square_chains_are_an_acre_of_4046_8564224_square_metres() -> None:
    assert 10 * parse_length("1 ch").exact ** 2 == Fraction("4046.8564224")
    assert abs(10 * parse_length("1 ch US").exact ** 2 - Fraction("4046.872609874")) <= Fraction(5, 10**10)
