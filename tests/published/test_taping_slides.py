"""Examples of a slide deck on taping corrections (feet, pounds, Fahrenheit), and errors in it and beside it held right.

The deck prints two decimals of sag (0.71, 0.31, 0.20 ft); the third and fourth are recomputed outside this project.
Its normal tension (2.8 lb over 100 ft, 0.015 sq in, compared at 12 lb) is printed as 31 lb; the equation that it gives is
solved by 56.5 lb. A page of questions says that a 50 m tape 0.02 m too long makes 160.42 m into 160.356 m: too long a tape
reads short, and the line is 160.484 m.

sources: taping-slides
"""

from __future__ import annotations

import math

import pytest

from palewright.survey import (
    length_correction,
    level_length,
    normal_tension,
    pull_correction,
    reading_to_set,
    sag_correction,
    sag_depth,
    temperature_correction,
)

SAG = [
    ([100.0, 100.0, 100.0, 48.75], 12.0, -0.71, -0.7068),
    ([100.0, 100.0, 100.0, 48.75], 18.0, -0.31, -0.3142),
    ([50.0] * 6 + [48.75], 12.0, -0.20, -0.1964),
]


@pytest.mark.parametrize(("spans", "pull", "printed", "more"), SAG)
def test_sag_span_by_span(spans: list[float], pull: float, printed: float, more: float) -> None:
    ours = sag_correction(spans, 0.028, pull)
    assert abs(ours - printed) <= 0.005
    assert abs(ours - more) <= 0.00005


def test_sag_against_the_exact_catenary() -> None:
    """A tape of 100 ft held at 12 lb at its ends: chord 99.7714 ft by the catenary, 99.7731 by the formula."""
    # the pull h at the middle is level: h cosh(w c / 2 h) = 12 at the ends, 2 h / w sinh(w c / 2 h) = 100 along the tape
    level = math.sqrt(12.0**2 - (0.028 * 50.0) ** 2)
    chord = 2.0 * level / 0.028 * math.asinh(0.028 * 50.0 / level)
    assert chord == pytest.approx(99.7714, abs=0.00005)
    assert 100.0 + sag_correction([100.0], 0.028, 12.0) == pytest.approx(99.7731, abs=0.00005)
    assert sag_depth(100.0, 0.028, 12.0) == pytest.approx(2.917, abs=0.0005)


def test_normal_tension_solves_its_own_equation() -> None:
    pull = normal_tension(0.028, 100.0, 12.0, 0.015, 29.0e6)
    assert pull == pytest.approx(56.5, abs=0.05)
    assert pull**2 * (pull - 12.0) == pytest.approx(2.8**2 * 0.015 * 29.0e6 / 24.0, rel=1e-12)
    stretch = pull_correction(100.0, pull, 12.0, 0.015, 29.0e6)
    assert stretch + sag_correction([100.0], 0.028, pull) == pytest.approx(0.0, abs=1e-12)


def test_a_tape_that_is_too_long_reads_short() -> None:
    correction = length_correction(500.0, 100.0, 100.02)
    assert 500.0 + correction == pytest.approx(500.10, abs=1e-9)
    assert reading_to_set(500.0, {"length": correction}) == pytest.approx(499.90, abs=1e-9)
    assert 160.42 + length_correction(160.42, 50.0, 50.02) == pytest.approx(160.484, abs=0.0005)


def test_temperature() -> None:
    correction = temperature_correction(368.50, 22.0, 68.0, 6.5e-6)
    assert correction == pytest.approx(-0.110, abs=0.0005)
    assert 368.50 + correction == pytest.approx(368.39, abs=0.0005)
    assert temperature_correction(50.0, 0.0, 20.0, 11.2e-6) == pytest.approx(-0.0112, abs=0.00005)


def test_slope() -> None:
    """300.00 ft at 5 degrees; 10 and 30 ft in 100 ft, exactly and by the first terms of the series."""
    rise = 300.0 * math.sin(math.radians(5.0))
    assert rise == pytest.approx(26.147, abs=0.0005)
    assert level_length(300.0, rise) == pytest.approx(298.858, abs=0.0005)
    for height, exact, one, two in ((10.0, 0.50126, 0.5, 0.50125), (30.0, 4.6061, 4.5, 4.60125)):
        ours = 100.0 - level_length(100.0, height)
        assert ours == pytest.approx(exact, abs=0.00005)
        first = height**2 / 200.0
        assert (first, first + height**4 / 8e6) == pytest.approx((one, two), abs=1e-9)


STRING = [(10.0, 100.0, 1.50), (10.0, 50.0, 0.375), (10.0, 200.0, 6.0), (25.0, 100.0, 0.60)]


@pytest.mark.parametrize(("pull", "length", "inches"), STRING)
def test_string_of_a_thousandth_of_a_pound_to_the_foot(pull: float, length: float, inches: float) -> None:
    assert sag_depth(length, 0.001, pull) * 12.0 == pytest.approx(inches, abs=1e-9)


WIND = [(10.0, 100.0, 1.60), (20.0, 100.0, 6.40), (10.0, 50.0, 0.40)]


@pytest.mark.parametrize(("mph", "length", "inches"), WIND)
def test_string_bowed_by_wind(mph: float, length: float, inches: float) -> None:
    """0.00256 V^2 1.2 d lb/ft on a line of 1/16 in at 15 lb: the same parabola, lying on its side."""
    assert sag_depth(length, 0.00256 * mph**2 * 1.2 / 16.0 / 12.0, 15.0) * 12.0 == pytest.approx(inches, abs=0.005)
