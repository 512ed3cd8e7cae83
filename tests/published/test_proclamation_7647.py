"""The tract of Presidential Proclamation 7647 (117 Stat. 3003, 2003): eight courses in feet, grid north.

The statute says "6,084+- square feet" and 0.14 acre. Perimeter 467.14 ft is the sum of its courses; misclosure 0.0147 ft,
1:31,704, area 6083.87 sq ft as called and 6083.69 adjusted, and the adjusted corners were recomputed outside this project
(numpy) from the courses; tolerance: half a unit of the last digit given, the area of the statute to 1 sq ft.

sources: proc7647
"""

from __future__ import annotations

import pytest

from palewright.boundary import adjust_compass, build_ring, closure, ring_area, run_calls
from palewright.model import BoundarySpec, Call, PointRef
from palewright.notation import parse_bearing

FT = 0.3048
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
