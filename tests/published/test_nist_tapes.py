"""What is printed as a tolerance is never finer than a steel tape: NIST Handbook 44, section 5.52, metal tapes.

The table as quoted in a paper on dimensional tolerances in construction, in feet and inches; each row at both its ends.

sources: nist-hb44
"""

from __future__ import annotations

import pytest

from palewright.stakeout import tape_tolerance

ROWS = [(1, 6, 1 / 32), (7, 30, 1 / 16), (31, 55, 1 / 8), (56, 80, 3 / 16), (81, 100, 1 / 4)]


@pytest.mark.parametrize(("first", "last", "inches"), ROWS)
def test_metal_tapes(first: int, last: int, inches: float) -> None:
    assert tape_tolerance(first * 0.3048) == pytest.approx(inches * 0.0254)
    assert tape_tolerance(last * 0.3048) == pytest.approx(inches * 0.0254)


def test_beyond_the_table_tapes_are_added_up() -> None:
    """Our own rule: 200 ft is two tapes of 100 ft."""
    assert tape_tolerance(200 * 0.3048) == pytest.approx(0.5 * 0.0254)
    assert tape_tolerance(201 * 0.3048) == pytest.approx((0.5 + 1 / 32) * 0.0254)
