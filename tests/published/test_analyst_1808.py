"""Patterson's prize problem, The Analyst, 1808, which Bowditch solved (quoted in Penn State mathematics notes); perches.

N 45 E 40, S 30 W 25, S 5 E 36, W 29.6, N 20 E 31. Misclosure, corrected latitudes and departures and the area of 854.645
square perches (5.34153 acres of 160) were recomputed outside this project; tolerance: half a unit of the last digit.

sources: analyst-1808
"""

from __future__ import annotations

import pytest

from palewright.boundary import adjust_compass, adjust_transit, closure, latitudes_departures, ring_area, run_calls
from palewright.notation import parse_bearing

PERCH = 5.0292
ROWS = [("N 45° E", 40.0), ("S 30° W", 25.0), ("S 5° E", 36.0), ("due West", 29.6), ("N 20° E", 31.0)]
CALLS = [(parse_bearing(bearing), length * PERCH) for bearing, length in ROWS]


def test_misclosure() -> None:
    closed = closure(CALLS)
    assert closed.latitude_error_m / PERCH == pytest.approx(-0.0989, abs=0.00005)
    assert closed.departure_error_m / PERCH == pytest.approx(-0.0755, abs=0.00005)
    assert closed.misclosure_m / PERCH == pytest.approx(0.1244, abs=0.00005)
    assert closed.precision == pytest.approx(1299, abs=0.5)


def test_bowditch_solution() -> None:
    pairs = latitudes_departures(adjust_compass(CALLS))
    lats, deps = [p[0] / PERCH for p in pairs], [p[1] / PERCH for p in pairs]
    assert lats == pytest.approx([28.3088, -21.6353, -35.8410, 0.0181, 29.1494], abs=0.00006)
    assert deps == pytest.approx([28.3030, -12.4883, 3.1544, -29.5862, 10.6171], abs=0.00006)
    size = ring_area(run_calls((0.0, 0.0), adjust_compass(CALLS))[:5])[0] / PERCH**2
    assert size == pytest.approx(854.645, abs=0.0006)
    assert size / 160.0 == pytest.approx(5.34153, abs=0.00001)


def test_due_west_course_gets_no_latitude_by_the_transit_rule() -> None:
    """The known difference between the two rules: Bowditch gives the due-west course a latitude of 0.018."""
    pairs = latitudes_departures(adjust_transit(CALLS))
    assert pairs[3][0] == pytest.approx(0.0, abs=1e-9)
