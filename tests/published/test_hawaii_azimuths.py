"""Azimuths counted clockwise from true south, as statutes on lands in Hawaii have them (68 Stat. 568).

The rule is the document's (azimuth from north = azimuth from south + 180 degrees); the square of 100 ft is ours.

sources: stat-68-568
"""

from __future__ import annotations

import math

import pytest

from palewright.boundary import closure, run_calls, run_deed
from palewright.jobfile import read_deed

DEED = """
180°00' clockwise from true south, 100.00 feet
azimuth measured clockwise from true south 270°00' 100.00 feet
az 0 from south 100.00 feet
90-00-00 from south 100.00 feet
"""


def test_from_south_is_half_a_turn_from_north() -> None:
    deed = run_deed(read_deed(DEED))
    assert [round(math.degrees(azimuth), 9) for azimuth, _ in deed.calls] == [0.0, 90.0, 180.0, 270.0]
    assert closure(deed.calls).misclosure_m == 0.0
    north_east = run_calls((0.0, 0.0), deed.calls)[2]
    assert north_east == (pytest.approx(30.48), pytest.approx(30.48))
    assert deed.north == "true"
