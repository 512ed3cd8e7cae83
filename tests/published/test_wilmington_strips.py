"""A strip conveyed at Wilmington (48 Stat., 1934): 265 feet 3 inches by 10 feet 6 inches.

The statute says "approximately 2,782 square feet"; the product is 2,785.1: a stated area is data, not the truth, and the
program says its own.

sources: stat-48-1934
"""

from __future__ import annotations

import pytest

from palewright.boundary import ring_area, run_calls, run_deed
from palewright.jobfile import read_deed

FT = 0.3048
DEED = """
due north 265' 3"
due east 10 feet 6 inches
due south 265 ft 3 in
due west 10' 6"
"""


def test_the_strip_is_not_of_the_stated_area() -> None:
    deed = run_deed(read_deed(DEED))
    size = ring_area(run_calls((0.0, 0.0), deed.calls)[:4])[0] / FT**2
    assert size == pytest.approx(2785.1, abs=0.05)
    assert size == pytest.approx(265.25 * 10.5)
    assert abs(size - 2782.0) > 3.0
