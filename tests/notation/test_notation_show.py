"""What is printed: worked by hand, and round trips through the reader."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import NotationError
from palewright.notation import (
    parse_bearing,
    parse_length,
    parse_money,
    show_angle,
    show_area,
    show_bearing,
    show_dms,
    show_grade,
    show_inches,
    show_length,
    show_mass,
    show_money,
    show_volume,
)

IN = Fraction(254, 10_000)


@pytest.mark.parametrize(
    ("inches", "fraction", "text"),
    [
        ("196.5", 8, "16' 4 1/2\""),
        ("192", 8, "16' 0\""),
        ("0", 8, '0"'),
        ("0.5", 8, '1/2"'),
        ("12", 8, "1' 0\""),
        ("11.9375", 8, "1' 0\""),  # half an eighth below a foot: rounds away from zero, twelve inches are carried
        ("11.9374", 8, '11 7/8"'),
        ("143.96875", 16, "12' 0\""),
        ("143.96874", 16, "11' 11 15/16\""),
        ("12.5", 8, "1' 0 1/2\""),
        ("-4.5", 8, '-4 1/2"'),
        ("-0.01", 8, '0"'),
        ("-30", 8, "-2' 6\""),
        ("0.0625", 8, '1/8"'),
        ("15840", 8, "1320' 0\""),
        ("34.27", 1, "2' 10\""),
    ],
)
def test_feet_and_inches(inches: str, fraction: int, text: str) -> None:
    exact = Fraction(inches) * IN
    assert show_length(exact, "feet-inches", fraction) == text
    assert show_length(float(exact), "feet-inches", fraction) == text


def test_other_styles() -> None:
    metres = 196.5 * 0.0254
    assert show_length(metres, "decimal-feet") == "16.38'"  # 16.375 ft, half away from zero
    assert show_length(metres, "metric") == "4.991 m"
    assert show_length(0.254, "metric") == "254 mm"
    assert show_length(0.9996, "metric") == "1.000 m"
    assert show_length(-0.05, "metric") == "-50 mm"
    assert show_length(-0.0001, "metric") == "0 mm"
    assert show_length(-1.0, "decimal-feet") == "-3.28'"


def test_inches_only() -> None:
    assert show_inches(34.25 * 0.0254) == '34 1/4"'
    assert show_inches(0.0) == '0"'
    assert show_inches(-0.0127, 16) == '-1/2"'


def test_what_cannot_be_printed() -> None:
    with pytest.raises(ValueError):
        show_length(1.0, "cubits")
    with pytest.raises(ValueError):
        show_length(1.0, "feet-inches", 7)
    with pytest.raises(ValueError):
        show_length(math.nan)
    with pytest.raises(ValueError):
        show_bearing(math.inf)
    with pytest.raises(ValueError):
        show_money(Decimal("NaN"))


@pytest.mark.parametrize(
    ("degrees", "text"),
    [
        (0.0, "N 00°00'00\" E"),
        (12.504166666666666, "N 12°30'15\" E"),
        (90.0, "N 90°00'00\" E"),
        (144.0, "S 36°00'00\" E"),
        (180.0, "S 00°00'00\" W"),
        (270.0, "N 90°00'00\" W"),
        (44.99999, "N 45°00'00\" E"),  # sixty seconds carried to a minute, sixty minutes to a degree
        (359.99999, "N 00°00'00\" W"),
        (-36.0, "N 36°00'00\" W"),
        (372.5, "N 12°30'00\" E"),
    ],
)
def test_bearings(degrees: float, text: str) -> None:
    shown = show_bearing(math.radians(degrees))
    assert shown.replace("S 90°00'00\" E", "N 90°00'00\" E").replace("S 90°00'00\" W", "N 90°00'00\" W") == text


def test_angles_areas_volumes_masses() -> None:
    assert show_angle(math.radians(89.5)) == "89.5°"
    assert show_angle(math.radians(110.004)) == "110°"
    assert show_dms(math.radians(89.50416666666667)) == "89°30'15\""
    assert show_grade(-0.08) == "-8%"
    assert show_area(6084 * 0.3048**2) == "6,084 sq ft"
    assert show_area(5.0 * 0.3048**2) == "5.0 sq ft"
    assert show_area(12.34, "metric") == "12.3 m²"
    assert show_volume(23.0 * 0.3048**3) == "23.0 cu ft"
    assert show_volume(1.15 * 0.3048**3) == "1.15 cu ft"
    assert show_volume(54.0 * 0.3048**3) == "2.00 cu yd"
    assert show_mass(0.45359237 * 1234.5) == "1,235 lb"
    assert show_mass(12.5, "metric") == "13 kg"


def test_money() -> None:
    assert show_money(Decimal("4.105")) == "$4.11"
    assert show_money(Decimal("-4.105")) == "-$4.11"
    assert show_money(Decimal("1234567.891"), "GBP") == "£1,234,567.89"
    assert show_money(Decimal("3"), "EUR") == "€3.00"
    assert show_money(Decimal("1234.5"), "EUR", "es") == "1.234,50 €"
    assert show_money(Decimal("3"), "") == "3.00"
    assert show_money(Decimal("0.004")) == "$0.00"


@pytest.mark.parametrize(
    ("text", "amount", "currency"),
    [
        ("$4.10", "4.10", "USD"),
        ("1,234.50 USD", "1234.50", "USD"),
        ("4.10", "4.10", ""),
        ("€3", "3", "EUR"),
        ("3 €", "3", "EUR"),
        ("£ 2.5", "2.5", "GBP"),
        ("C$12", "12", "CAD"),
        ("$12 CAD", "12", "CAD"),
        ("US$ 7", "7", "USD"),
        ("usd 7", "7", "USD"),
        (".5", "0.5", ""),
    ],
)
def test_money_read(text: str, amount: str, currency: str) -> None:
    money = parse_money(text)
    assert (money.amount, money.currency) == (Decimal(amount), currency)


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("", "money-missing"),
        ("-4", "money-negative"),
        ("$", "money-unreadable"),
        ("4 4", "money-unreadable"),
        ("four", "money-unreadable"),
        ("4,10", "comma-in-number"),
        ("4 XYZ", "money-currency"),
        ("€4 USD", "money-currency"),
        ("0.0000001", "money-decimals"),
        ("NaN", "money-currency"),
        ("1e5", "money-unreadable"),
    ],
)
def test_money_problems(text: str, slug: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_money(text)
    assert caught.value.problems[0].slug == slug


# ---------------------------------------------------------------- properties

lengths = st.floats(-1e4, 1e4, allow_nan=False)
fractions = st.sampled_from([1, 2, 4, 8, 16, 32, 64])


@settings(max_examples=200, deadline=None)
@given(lengths, fractions)
def test_feet_inches_read_back_within_half_a_step(m: float, fraction: int) -> None:
    shown = show_length(m, "feet-inches", fraction)
    back = parse_length(shown, signed=True).exact
    assert abs(back - Fraction(m)) <= IN / fraction / 2 * (1 + Fraction(1, 10**8))
    assert not re.search(r"\b12( \d+/\d+)?\"", shown) or "'" not in shown
    inches = parse_length(show_inches(m, fraction), signed=True).exact
    assert inches == back


@settings(max_examples=200, deadline=None)
@given(lengths)
def test_other_styles_read_back_within_half_a_step(m: float) -> None:
    assert abs(parse_length(show_length(m, "decimal-feet"), signed=True).exact - Fraction(m)) <= Fraction("0.001524001")
    assert abs(parse_length(show_length(m, "metric"), signed=True).exact - Fraction(m)) <= Fraction("0.000500001")


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 200_000), st.sampled_from([2, 4, 8, 16]), st.randoms(use_true_random=False))
def test_all_spellings_of_a_length_agree(steps: int, fraction: int, random) -> None:  # type: ignore[no-untyped-def]
    exact = steps * IN / fraction
    whole, part = divmod(steps, fraction)
    feet, inches = divmod(whole, 12)
    body = f"{inches} {part}/{fraction}" if part else f"{inches}"
    dashed = body.replace(" ", "-")
    ways = [
        f"{feet}' {body}\"",
        f"{feet} ft {body} in",
        f"{feet}'-{dashed}\"",
        f"{feet}′{body}″",
        f"{feet} feet, {body} inches",
        f"{feet:,}’ {body}''",
    ]
    assert {parse_length(way).exact for way in ways} == {exact}
    assert show_length(exact, "feet-inches", fraction) == show_length(float(exact), "feet-inches", fraction)


@settings(max_examples=200, deadline=None)
@given(st.floats(-20.0, 20.0))
def test_bearings_read_back_within_half_a_second(azimuth: float) -> None:
    shown = show_bearing(azimuth)
    assert "60'" not in shown
    assert '60"' not in shown
    off = (parse_bearing(shown) - azimuth + math.pi) % math.tau - math.pi
    assert abs(off) <= math.radians(0.5 / 3600) * (1 + 1e-6) + 1e-12


@settings(max_examples=200, deadline=None)
@given(
    st.decimals(0, 10**9, allow_nan=False, allow_infinity=False, places=4),
    st.sampled_from(["USD", "EUR", "GBP", "CAD", ""]),
)
def test_money_reads_back_to_the_cent(amount: Decimal, currency: str) -> None:
    back = parse_money(show_money(amount, currency))
    assert back.currency == currency
    assert abs(back.amount - amount) <= Decimal("0.005")
