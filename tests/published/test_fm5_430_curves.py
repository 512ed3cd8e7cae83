"""Circular curves by degree of curve, US Army FM 5-430-00-1, appendix F: R = 5729.578 / D by the arc definition and
50 / sin(D / 2) by the chord definition, feet.

The example (D 15 degrees by the arc, I 45 degrees, PI at station 18+00) is in the style of the Army's surveying manual; its
figures were recomputed outside this project: R 381.972, T 158.218, L 300, long chord 292.349, M 29.076, E 31.472, PC at
16+41.78, PT at 19+41.78. Tolerance: half a unit of the last digit.

sources: fm5-430
"""

from __future__ import annotations

import math

import pytest

from palewright.boundary import CurveShape, curve_from_parts, radius_of_degree


def test_one_degree() -> None:
    assert radius_of_degree(math.radians(1.0), "arc", 100.0) == pytest.approx(5729.578, abs=0.0005)
    assert radius_of_degree(math.radians(1.0), "chord", 100.0) == pytest.approx(50.0 / math.sin(math.radians(0.5)))


def test_a_curve_of_fifteen_degrees() -> None:
    radius = radius_of_degree(math.radians(15.0), "arc", 100.0)
    assert radius == pytest.approx(381.972, abs=0.0005)
    curve = CurveShape(radius, math.radians(45.0))
    assert curve.tangent_m == pytest.approx(158.218, abs=0.0005)
    assert curve.arc_m == pytest.approx(300.0, abs=1e-9)
    assert curve.chord_m == pytest.approx(292.349, abs=0.0005)
    assert curve.middle_m == pytest.approx(29.076, abs=0.0005)
    assert curve.external_m == pytest.approx(31.472, abs=0.0005)
    begins = 1800.0 - curve.tangent_m
    assert (begins, begins + curve.arc_m) == (pytest.approx(1641.78, abs=0.005), pytest.approx(1941.78, abs=0.005))


def test_the_printed_parts_go_together() -> None:
    curve, differences = curve_from_parts(
        delta=math.radians(45.0), arc_m=300.0, chord_m=292.349, tangent_m=158.218, degree_radius_m=381.972
    )
    assert differences == ()
    assert curve.radius_m == pytest.approx(381.972, abs=0.0005)
