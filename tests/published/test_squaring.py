"""Squaring corners: worked cases recomputed from the law of cosines (independent of this project's formulas).

1/8 in too long on the hypotenuse of 3-4-5 multiples in feet; 1/8 in standard deviation on all three sides; diagonals of
100 by 50 at 89.5 degrees; chords of radius 10, feet and inches to 1/16, and what 1/8 in on the chord turns. Tolerances are
half a unit of the last digit given. Offsets of crossings: 24 in at inside angles of 70 and 110 degrees, to the nearest quarter of an inch.

sources: squaring-cases, geometry
"""

from __future__ import annotations

import math

import pytest

from palewright.notation import show_length
from palewright.stakeout import chord, inside_angle, square, turn_sigma

FT = 0.3048
IN = 0.0254
EIGHTH = IN / 8

TOO_LONG = [
    # legs in feet, inches sideways per 100 ft, half a unit of the last digit
    (3, 4, 5.21, 0.005),
    (6, 8, 2.606, 0.0005),
    (9, 12, 1.74, 0.005),
    (12, 16, 1.30, 0.005),
    (30, 40, 0.521, 0.0005),
]


@pytest.mark.parametrize(("a", "b", "inches", "half"), TOO_LONG)
def test_an_eighth_too_long_on_the_diagonal(a: int, b: int, inches: float, half: float) -> None:
    answer = square(a * FT, b * FT, error=EIGHTH, run=100 * FT)
    assert answer.diagonal_m == pytest.approx(math.hypot(a, b) * FT, rel=1e-15)
    assert abs(answer.sideways_m / IN - inches) <= half


def test_the_turn_in_degrees() -> None:
    three = square(3 * FT, 4 * FT, error=EIGHTH)
    six = square(6 * FT, 8 * FT, error=EIGHTH)
    assert abs(math.degrees(three.turn) - 0.2489) <= 0.00005
    assert abs(math.degrees(three.turn) * 60 - 14.9) <= 0.05
    assert abs(math.degrees(six.turn) - 0.1244) <= 0.00005
    assert abs(math.degrees(six.turn) * 60 - 7.46) <= 0.005


@pytest.mark.parametrize(("run", "inches"), [(50, 1.30), (150, 3.91)])
def test_six_eight_ten_at_other_runs(run: int, inches: float) -> None:
    assert abs(square(6 * FT, 8 * FT, error=EIGHTH, run=run * FT).sideways_m / IN - inches) <= 0.005


@pytest.mark.parametrize(("a", "b", "minutes", "inches"), [(6, 8, 10.55, 3.68), (30, 40, 2.11, 0.74)])
def test_an_eighth_of_deviation_on_all_sides(a: int, b: int, minutes: float, inches: float) -> None:
    sigma = turn_sigma(a * FT, b * FT, EIGHTH)
    assert abs(math.degrees(sigma) * 60 - minutes) <= 0.005
    assert abs(100 * FT * sigma / IN - inches) <= 0.005


def test_diagonals_of_a_parallelogram() -> None:
    """Squares of the diagonals add up to 2 (100^2 + 50^2) at any angle: a check of six tapes, not of squareness."""
    one, other = chord(100.0, 50.0, math.radians(89.5)), chord(100.0, 50.0, math.radians(90.5))
    assert abs(one - 111.4125) <= 0.00005
    assert abs(other - 112.1930) <= 0.00005
    assert one**2 + other**2 == pytest.approx(25_000.0, abs=1e-8)


CHORDS = [(30, 5.1764), (45, 7.6537), (60, 10.0), (75, 12.1752), (90, 14.1421), (120, 17.3205), (135, 18.4776)]


@pytest.mark.parametrize(("degrees", "length"), CHORDS)
def test_chords_of_radius_ten(degrees: int, length: float) -> None:
    assert abs(chord(10.0, 10.0, math.radians(degrees)) - length) <= 0.00005
    assert abs(square(10.0, 10.0, math.radians(degrees)).diagonal_m - length) <= 0.00005


def test_chords_on_a_tape() -> None:
    """7 ft 7-14/16 in at 45 degrees and 14 ft 1-11/16 in at 90 degrees."""
    assert show_length(chord(10 * FT, 10 * FT, math.radians(45)), fraction=16) == "7' 7 7/8\""
    assert show_length(chord(10 * FT, 10 * FT, math.radians(90)), fraction=16) == "14' 1 11/16\""


@pytest.mark.parametrize(("degrees", "minutes"), [(45, 3.88), (90, 5.06), (135, 9.36)])
def test_an_eighth_on_a_chord(degrees: int, minutes: float) -> None:
    """The printed minutes are first-order (dc / (R cos(angle / 2))); ours is exact: 0.02 minutes apart at most."""
    turn = square(10 * FT, 10 * FT, math.radians(degrees), EIGHTH).turn
    assert abs(math.degrees(turn) * 60 - minutes) <= 0.02


def test_angle_from_three_sides_of_a_taped_triangle() -> None:
    """acos((a^2 + b^2 - c^2) / 2ab), worked by hand: 5, 6, 7 gives cos = 1/5; 7, 8, 13 gives 120 degrees."""
    assert inside_angle(5.0, 6.0, 7.0) == pytest.approx(math.acos(0.2), rel=1e-14)
    assert inside_angle(7.0, 8.0, 13.0) == pytest.approx(math.radians(120.0), rel=1e-14)
