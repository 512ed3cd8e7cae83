"""An arc set out by tape: radius 40, central angle 60 degrees, worked outside this project from the circle itself.

Elements (arc, tangent, long chord, middle ordinate, external) and the marks at 8, 16 and 24 along the arc by deflection
and chord, by offsets from the tangent and from the long chord; an 8 ft panel on a radius of 40 ft. Half a unit of the last
digit given.

sources: geometry
"""

from __future__ import annotations

import math

import pytest

from palewright.boundary import curve_from_parts
from palewright.stakeout import long_chord_offset, tangent_offset
from palewright.survey import arc_mark, panel_ordinate

MARKS = [
    (8.0, 5.7296, 7.9867, (7.9468, 0.7973), (7.2808, 3.2829)),
    (16.0, 11.4592, 15.8935, (15.5767, 3.1576), (15.0686, 5.0538)),
    (24.0, 17.1887, 23.6416, (22.5857, 6.9866), (23.0531, 5.2423)),
]


def test_elements() -> None:
    shape, differences = curve_from_parts(radius_m=40.0, delta=math.radians(60.0))
    assert not differences
    ours = (shape.arc_m, shape.tangent_m, shape.chord_m, shape.middle_m, shape.external_m)
    assert ours == pytest.approx((41.8879, 23.0940, 40.0, 5.3590, 6.1880), abs=0.00005)


@pytest.mark.parametrize(("along", "degrees", "chord", "tangent", "above"), MARKS)
def test_marks(
    along: float, degrees: float, chord: float, tangent: tuple[float, float], above: tuple[float, float]
) -> None:
    mark = arc_mark(40.0, math.radians(60.0), along)
    assert math.degrees(mark.deflection) == pytest.approx(degrees, abs=0.00005)
    assert mark.chord == pytest.approx(chord, abs=0.00005)
    assert (mark.tangent_along, mark.tangent_off) == pytest.approx(tangent, abs=0.00005)
    assert (mark.chord_along, mark.chord_off) == pytest.approx(above, abs=0.00005)


@pytest.mark.parametrize(("along", "degrees", "chord", "tangent", "above"), MARKS)
def test_offsets_of_strings_beside_a_curve(
    along: float, degrees: float, chord: float, tangent: tuple[float, float], above: tuple[float, float]
) -> None:
    """The formulas of the stake-out give the same marks: y = sqrt(R^2 - x^2) - (R - M), and R - sqrt(R^2 - x^2)."""
    assert long_chord_offset(40.0, 40.0, above[0]) == pytest.approx(above[1], abs=0.0001)
    assert tangent_offset(40.0, tangent[0]) == pytest.approx(tangent[1], abs=0.0001)
    assert long_chord_offset(40.0, 40.0, 20.0) == pytest.approx(5.3590, abs=0.00005)


def test_a_straight_panel_on_the_arc() -> None:
    assert panel_ordinate(40.0, 8.0) == pytest.approx(0.2005, abs=0.00005)
    assert panel_ordinate(40.0, 8.0) * 12.0 == pytest.approx(2.41, abs=0.005)


def test_the_marks_lie_on_the_circle_and_end_at_the_long_chord() -> None:
    for k in range(13):
        mark = arc_mark(40.0, math.radians(60.0), k * 40.0 * math.radians(60.0) / 12)
        assert math.hypot(mark.tangent_along, mark.tangent_off - 40.0) == pytest.approx(40.0, abs=1e-9)
    assert (mark.chord_along, mark.chord_off) == pytest.approx((40.0, 0.0), abs=1e-9)
    with pytest.raises(ValueError, match="arc"):
        arc_mark(40.0, math.radians(60.0), 42.0)
    with pytest.raises(ValueError, match="panel"):
        panel_ordinate(1.0, 2.1)
