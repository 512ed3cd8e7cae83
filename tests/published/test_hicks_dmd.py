"""Balanced latitudes and departures of a six-sided field: Hicks, Handbook of Civil Engineering Calculations.

The handbook finds the area by double meridian distances from the most westerly corner: DMD 143.6, 533.9, 801.9, 687.6,
474.5, 198.5; area 72 106.19 sq ft = 1.65533 acres (recomputed outside this project from its latitudes and departures).
Here the same field is walked and its area taken by coordinates, a different method. All inputs are to 0.1 ft, so the sums
are exact to rounding of binary numbers.

sources: hicks
"""

from __future__ import annotations

import math

import pytest

from palewright.boundary import closure, ring_area, run_calls

FT = 0.3048
LATITUDES = [-132.3, 9.6, 97.9, 161.9, -35.3, -101.8]
DEPARTURES = [-135.6, -77.5, -198.5, 143.6, 246.7, 21.3]
CALLS = [
    (math.atan2(dep, lat) % (2 * math.pi), math.hypot(lat, dep) * FT)
    for lat, dep in zip(LATITUDES, DEPARTURES, strict=True)
]


def test_balanced_courses_close() -> None:
    closed = closure(CALLS)
    assert closed.misclosure_m == 0.0
    assert closed.precision == 0.0


def test_area_is_that_of_the_double_meridian_distances() -> None:
    printed_dmd = [143.6, 533.9, 801.9, 687.6, 474.5, 198.5]
    latitudes_from_west = LATITUDES[3:] + LATITUDES[:3]
    by_dmd = abs(sum(d * lat for d, lat in zip(printed_dmd, latitudes_from_west, strict=True))) / 2
    assert by_dmd == pytest.approx(72_106.19, abs=0.01)
    size, _ = ring_area(run_calls((0.0, 0.0), CALLS)[:6])
    assert size / FT**2 == pytest.approx(72_106.19, abs=0.01)
    assert size / FT**2 / 43_560 == pytest.approx(1.65533, abs=0.00001)
