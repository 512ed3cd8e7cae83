"""A deed with a tangent curve, asked about on a public mathematics forum (mymathforum, question 333210); feet.

N27-46-19W 215.52; S60-04-31W 961.15; S21-05-55E 199.14; a curve left, radius 682.70, length 50.47, tangent; N58-15E 990.0.
Central angle, chord and its azimuth, misclosure and area were recomputed outside this project, the area with a polygon of
4000 chords: 225,263.25 sq ft between the corners and 15.688 between chord and arc, which bulges out. Tolerances: the digits
given; the area to 0.1 sq ft.

sources: mymathforum-333210
"""

from __future__ import annotations

import math

import pytest

from palewright.boundary import build_ring, called_ring, closure, ring_area, ring_sides, run_calls, run_deed
from palewright.jobfile import read_deed
from palewright.model import BoundarySpec, PointRef
from palewright.plane import distance_to_sides, signed_area

FT = 0.3048
DEED = """
N27-46-19W 215.52
S60-04-31W 961.15
S21-05-55E 199.14
curve left, radius 682.70, arc 50.47, tangent
N58-15E 990.0
"""


def test_the_curve() -> None:
    deed = run_deed(read_deed(DEED, unit="ft"))
    assert math.degrees(deed.sweeps[3]) == pytest.approx(4.235708, abs=5e-7)
    azimuth, chord = deed.calls[3]
    assert chord / FT == pytest.approx(50.4585, abs=5e-5)
    assert math.degrees(azimuth) == pytest.approx(156.78353, abs=1e-5)


def test_closure() -> None:
    deed = run_deed(read_deed(DEED, unit="ft"))
    closed = closure(deed.calls, deed.lengths_m)
    assert closed.misclosure_m / FT == pytest.approx(0.0086, abs=5e-5)
    assert closed.precision == pytest.approx(281_000, rel=0.002)
    assert closed.perimeter_m / FT == pytest.approx(2416.28)


def test_area_with_the_arc() -> None:
    deed = run_deed(read_deed(DEED, unit="ft"))
    points = run_calls((0.0, 0.0), deed.calls)
    straight = abs(signed_area(called_ring(points))) / FT**2
    size = ring_area(called_ring(points), deed.sweeps)[0] / FT**2
    assert straight == pytest.approx(225_263.25, abs=0.1)
    assert size - straight == pytest.approx(15.688, abs=0.0005)
    assert size == pytest.approx(225_278.94, abs=0.1)
    assert size / 43_560 == pytest.approx(5.17169, abs=5e-6)


def test_ring_holds_the_arc() -> None:
    ring, remarks, _ = build_ring(BoundarySpec(PointRef(), read_deed(DEED, unit="ft")), (0.0, 0.0), (), {})
    arc = ring.courses[3].arc
    assert arc is not None
    assert arc.radius_m / FT == pytest.approx(682.70)
    assert arc.length_m / FT == pytest.approx(50.47)
    assert [course.arc is None for course in ring.courses] == [True, True, True, False, True]
    assert ring.area_m2 / FT**2 == pytest.approx(225_278.94, abs=0.1)
    assert {remark.slug for remark in remarks} == {"closes-arithmetic-only", "line-not-located"}
    # the middle of the arc lies on the line, and the middle of its chord inside it by the middle ordinate
    a, b = ring.corners[3].xy, ring.corners[4].xy
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    ordinate = 682.70 * (1.0 - math.cos(math.radians(4.235708) / 2.0))
    assert distance_to_sides(middle, ring_sides(ring)) / FT == pytest.approx(ordinate, abs=1e-6)
