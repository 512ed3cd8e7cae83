"""The five-course traverse of Purdue University's ASM 215 traverse calculation page (feet, bearings to the minute).

The page works with latitudes and departures rounded to 0.01 ft, so its misclosure (-0.71, +0.53) and precision (1/2771)
carry that rounding: misclosure is compared to 0.01 ft, precision with the unrounded 1:2792 (recomputed outside this
project). The page's coordinates agree to 0.01 ft.

sources: purdue-asm215
"""

from __future__ import annotations

import pytest

from palewright.boundary import adjust_compass, closure, ring_area, run_calls
from palewright.notation import parse_bearing

FT = 0.3048
ROWS = [
    ("N 26°10' E", 285.10),
    ("S 75°25' E", 610.45),
    ("S 15°30' W", 720.48),
    ("N 1°42' W", 203.00),
    ("N 53°06' W", 647.02),
]
CALLS = [(parse_bearing(bearing), length * FT) for bearing, length in ROWS]


def test_closure() -> None:
    closed = closure(CALLS)
    assert closed.latitude_error_m / FT == pytest.approx(-0.71, abs=0.01)
    assert closed.departure_error_m / FT == pytest.approx(0.53, abs=0.01)
    assert closed.misclosure_m / FT == pytest.approx(0.883, abs=0.0005)
    assert closed.precision == pytest.approx(2792, abs=0.5)


def test_adjusted_coordinates() -> None:
    points = run_calls((10_000.0 * FT, 10_000.0 * FT), adjust_compass(CALLS))
    printed = [(10_255.96, 10_125.66), (10_102.43, 10_716.31), (9408.36, 10_523.62), (9611.33, 10_517.55)]
    for (x, y), (north, east) in zip(points[1:5], printed, strict=True):
        assert (y / FT, x / FT) == pytest.approx((north, east), abs=0.01)


def test_area_of_the_adjusted_figure() -> None:
    """Recomputed outside this project from the page's courses: 272 611.2 sq ft, 6.2583 acres; 0.01 ft in 2466 ft round."""
    size = ring_area(run_calls((0.0, 0.0), adjust_compass(CALLS))[:5])[0] / FT**2
    assert size == pytest.approx(272_611.2, abs=0.5)
    assert size / 43_560 == pytest.approx(6.2583, abs=0.00005)
