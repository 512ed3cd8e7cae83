"""The tract of Presidential Proclamation 7647 (117 Stat. 3003, 2003): eight courses in feet, grid north.

The statute says "6,084+- square feet" and 0.14 acre. Perimeter 467.14 ft is the sum of its courses; misclosure 0.0147 ft,
1:31,704, area 6083.87 sq ft as called and 6083.69 adjusted, and the adjusted corners were recomputed outside this project
(numpy) from the courses; tolerance: half a unit of the last digit given, the area of the statute to 1 sq ft.

sources: proc7647
"""

from __future__ import annotations

import pytest

from palewright.boundary import adjust_compass, build_ring, closure, read_prose, ring_area, run_calls
from palewright.jobfile import read_deed_text
from palewright.model import BoundarySpec, Call, PointRef
from palewright.notation import parse_bearing

FT = 0.3048
STATUTE = """\
Beginning at a point at the intersection of the easterly side of a road and the face of the concrete curb; thence:
1. South 88° 24′ 18″ East, to and along said northerly face of the lower concrete seawall, 84.29 feet to a point; 2. South 01°
35′ 54″ West, continuing along the easterly face of the lower concrete seawall, 22.82 feet to a point; 3. South 87° 30′ 04″
East, along the wood face of Dock 102, 100.26 feet to a point; 4. South 02° 05′ 32″ West, continuing along the said wood face
of Dock 102, 19.27 feet to a point; 5. North 87° 31′ 51″ West, continuing along the said wood face of Dock 102, 101.94 feet
to a point on the easterly face of a stone or granite seawall; 6. South 00° 14′ 20″ West, along the said easterly face of the
stone or granite seawall, 6.34 feet to a point; 7. South 89° 25′ 54″ West, to and along the southerly side (back) of the
southerly concrete curb, 80.69 feet to a point; and, 8. North 00° 34′ 06″ West, 51.53 feet to the point of beginning. The
above bearings are based on Grid North, New York State Plane Coordinates, East Zone, NAD 1983. Containing 0.14 of an acre, more
or less (6,084 +/- square feet).
"""
"""Courses and what follows them as the statute prints them; its long beginning is cut short."""
ROWS = [
    ("S 88°24'18\" E", 84.29),
    ("S 01°35'54\" W", 22.82),
    ("S 87°30'04\" E", 100.26),
    ("S 02°05'32\" W", 19.27),
    ("N 87°31'51\" W", 101.94),
    ("S 00°14'20\" W", 6.34),
    ("S 89°25'54\" W", 80.69),
    ("N 00°34'06\" W", 51.53),
]
CALLS = [(parse_bearing(bearing), length * FT) for bearing, length in ROWS]


def test_the_words_of_the_statute_are_its_courses() -> None:
    prose = read_prose(STATUTE)
    assert [(c.read.azimuth, c.read.length and c.read.length.m) for c in prose.calls] == [
        (pytest.approx(azimuth, abs=1e-12), pytest.approx(length)) for azimuth, length in CALLS
    ]
    assert prose.bearings == "grid"
    assert prose.comes_back
    assert [area.called and area.about for area in prose.areas] == [True, True]
    assert [area.m2 / FT**2 for area in prose.areas] == pytest.approx([0.14 * 43_560, 6084])


def test_the_areas_of_the_statute_agree_with_its_courses() -> None:
    deed = read_deed_text(STATUTE, "statute.txt")
    ring, remarks, _ = build_ring(
        BoundarySpec(PointRef(), deed.calls, bearings=deed.bearings, prose=deed.prose), (0.0, 0.0), (), {}
    )
    said = [remark.slug for remark in remarks if remark.slug.startswith("area-called")]
    assert said == ["area-called-agrees", "area-called-agrees"]
    assert ring.bearings == "grid"


def test_closure() -> None:
    closed = closure(CALLS)
    assert closed.perimeter_m / FT == pytest.approx(467.14, abs=1e-9)
    assert closed.misclosure_m / FT == pytest.approx(0.0147, abs=0.00005)
    assert closed.precision == pytest.approx(31_704, rel=0.0001)


def test_ring_has_the_area_of_the_statute() -> None:
    spec = BoundarySpec(
        PointRef(), tuple(Call(f"{b} {n} ft", az, m) for (b, n), (az, m) in zip(ROWS, CALLS, strict=True))
    )
    ring, remarks, _ = build_ring(spec, (0.0, 0.0), (), {})
    assert ring.area_m2 / FT**2 == pytest.approx(6084, abs=1)
    assert ring.area_m2 / FT**2 / 43_560 == pytest.approx(0.14, abs=0.005)
    assert ring.area_m2 / FT**2 == pytest.approx(6083.87, abs=0.005)
    assert ring.clockwise
    assert len(ring.corners) == 8
    assert not ring.status.located
    assert "closes-arithmetic-only" in {remark.slug for remark in remarks}


def test_adjusted_corners() -> None:
    points = run_calls((0.0, 0.0), adjust_compass(CALLS))
    want = [
        (-2.345, 84.255), (-25.156, 83.618), (-29.526, 183.780), (-48.782, 183.076),
        (-44.389, 81.228), (-50.729, 81.201), (-51.528, 0.513),
    ]  # fmt: skip
    for (x, y), (north, east) in zip(points[1:8], want, strict=True):
        assert (y / FT, x / FT) == pytest.approx((north, east), abs=0.0006)
    assert ring_area(points[:8])[0] / FT**2 == pytest.approx(6083.69, abs=0.005)
