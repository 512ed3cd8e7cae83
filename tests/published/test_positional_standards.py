"""Positional standards: limits of ALTA/NSPS 2021, section 3.E, and angular misclosures of state codes (feet, seconds).

Limits are 2 cm + 50 ppm; the text also says 0.07 ft, which is not 2 cm (0.0656 ft): both are held. Insets (case of two
corners at the limit, a tape of 0.02 ft) are recomputed from the normal distribution outside this project.

sources: alta-nsps-2021, wac332-130, nc-56-1603
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from palewright.survey import ELLIPSE_95, angular_limit, crossing_chance, inset_for_risk, relative_precision

FT = 0.3048
LIMITS = [(50, 0.0725), (100, 0.0750), (200, 0.0800), (500, 0.0950), (1000, 0.1200), (5280, 0.334)]


@pytest.mark.parametrize(("feet", "limit"), LIMITS)
def test_limit_by_seven_hundredths_of_a_foot(feet: float, limit: float) -> None:
    answer = relative_precision((0.0, 0.0), (feet * FT, 0.0), np.zeros((4, 4)))
    assert answer.limit_007ft / FT == pytest.approx(limit, abs=5e-5 if feet < 5280 else 5e-4)


def test_limit_by_two_centimetres_is_another() -> None:
    answer = relative_precision((0.0, 0.0), (100 * FT, 0.0), np.zeros((4, 4)))
    assert answer.limit_2cm / FT == pytest.approx(0.0706, abs=5e-5)
    assert answer.limit_2cm < answer.limit_007ft


def test_a_line_between_corners_at_the_limit() -> None:
    line = 0.075 / ELLIPSE_95
    sigma = math.hypot(line, 0.02)
    assert pytest.approx(2.4477, abs=5e-5) == ELLIPSE_95
    assert sigma == pytest.approx(0.0366, abs=5e-5)
    for risk, inches in ((0.01, 1.02), (0.05, 0.72)):
        inset = inset_for_risk(risk, sigma)
        assert inset * 12.0 == pytest.approx(inches, abs=0.005)
        assert crossing_chance(inset, sigma) == pytest.approx(risk, rel=1e-9)


ANGLES = [("WAC, city", 10, 20), ("WAC, lots", 30, 60), ("NC class A", 20, 40)]


@pytest.mark.parametrize(("whose", "each", "four"), ANGLES)
def test_angles_of_a_loop_of_four(whose: str, each: float, four: float) -> None:
    second = math.radians(1.0 / 3600.0)
    assert angular_limit(each * second, 4) == pytest.approx(four * second, rel=1e-12)
