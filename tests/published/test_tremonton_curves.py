"""Bays on curves by radius, against the fencing specifications of Tremonton City (Utah), chapter 3.18.

Source: posts at most 10 ft apart for a radius of 500 ft and more, 8 ft for 500 to 200 ft, 6 ft for 200 to 100 ft, 5 ft at
100 ft and tighter. Middle ordinates by the geometry of the circle: 0.30, 0.48, 0.54 and 0.75 in, rounded as given.

sources: tremonton-curves
"""

from __future__ import annotations

import pytest

from palewright.layout.bends import chord_turn
from palewright.layout.line_curves import curve_spacing
from palewright.plane import middle_ordinate

FT, IN = 0.3048, 0.0254


@pytest.mark.parametrize(
    ("radius_ft", "bay_ft"), [(900, 10), (500, 10), (499, 8), (200, 8), (199, 6), (101, 6), (100, 5), (50, 5)]
)
def test_bay_by_radius(radius_ft: float, bay_ft: float) -> None:
    assert curve_spacing(radius_ft * FT) == pytest.approx(bay_ft * FT)


@pytest.mark.parametrize(
    ("radius_ft", "chord_ft", "inches"), [(500, 10, 0.30), (200, 8, 0.48), (100, 6, 0.54), (50, 5, 0.75)]
)
def test_middle_ordinate(radius_ft: float, chord_ft: float, inches: float) -> None:
    radius = radius_ft * FT
    assert middle_ordinate(radius, chord_turn(chord_ft * FT, radius)) / IN == pytest.approx(inches, abs=0.005)
