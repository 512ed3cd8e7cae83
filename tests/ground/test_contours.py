"""Contour lines: of a plane they are straight and at their height, of a dome they close."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.ground.contours import contour

GRID = [float(k) for k in range(13)]


@given(st.floats(-2, 2), st.floats(-2, 2), st.floats(-9, 9))
def test_points_of_a_contour_of_a_plane_are_at_its_height(a: float, b: float, level: float) -> None:
    heights = [[a * x + b * y for x in GRID] for y in GRID]
    for chain in contour(GRID, GRID, heights, level):
        for x, y in chain:
            assert a * x + b * y == pytest.approx(level, abs=1e-9)


def test_a_dome_has_one_closed_contour_near_its_circle() -> None:
    heights = [[-math.hypot(x - 6.0, y - 6.0) for x in GRID] for y in GRID]
    (chain,) = contour(GRID, GRID, heights, -4.0)
    assert chain[0] == chain[-1]
    assert all(abs(math.hypot(x - 6.0, y - 6.0) - 4.0) < 0.15 for x, y in chain)


def test_nothing_is_drawn_where_nothing_is_known() -> None:
    assert contour([0.0, 1.0], [0.0, 1.0], [[0.0, math.nan], [1.0, math.nan]], 0.5) == []
