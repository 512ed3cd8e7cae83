"""A lot with a curve that bites into it, from Math Central, University of Regina; feet.

Chord 38.94, radius 50: central angle 45.8343 degrees, 103.290 sq ft between chord and arc; 10,561.63 sq ft inside the
straight sides less that is 10,458.34 sq ft. Tolerance: half a unit of the last digit.

sources: math-central-regina
"""

from __future__ import annotations

import math

import pytest

from palewright.boundary import curve_from_parts, ring_area

FT = 0.3048


def test_segment() -> None:
    curve, _ = curve_from_parts(radius_m=50.0 * FT, chord_m=38.94 * FT)
    assert math.degrees(curve.delta) == pytest.approx(45.8343, abs=5e-5)
    assert curve.segment_m2 / FT**2 == pytest.approx(103.290, abs=5e-4)


def test_a_lot_of_that_area_with_the_curve_cut_out() -> None:
    """A rectangle of 38.94 ft by what makes 10,561.63 sq ft, the curve biting into the side of 38.94 ft."""
    curve, _ = curve_from_parts(radius_m=50.0 * FT, chord_m=38.94 * FT)
    wide, deep = 38.94 * FT, 10_561.63 / 38.94 * FT
    corners = [(0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)]
    # walked counter-clockwise: a curve to the right bends into the lot
    size, _ = ring_area(corners, (-curve.delta,))
    assert size / FT**2 == pytest.approx(10_458.34, abs=0.005)
    out, _ = ring_area(corners, (curve.delta,))
    assert out / FT**2 == pytest.approx(10_561.63 + 103.29, abs=0.005)
