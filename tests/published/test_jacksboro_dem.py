"""The Jacksboro fault (Tennessee): a cut of the Shuttle Radar Topography Mission that matplotlib ships as sample data,
``mpl-data/sample_data/jacksboro_fault_dem.npz``, 344 rows of 403 heights in metres; the figures are its own cells.

sources: jacksboro-dem
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import map_coordinates
from tests.open_data import jacksboro

from palewright.ground import Grid, Source, lay, surface_pieces
from palewright.layout.grade import Grade

#: metres from cell to cell: 0.000833 degrees at latitude 36.6
EAST, NORTH = 74.6, 92.5


@pytest.fixture(scope="module")
def heights() -> np.ndarray:
    return jacksboro()


def test_cells(heights: np.ndarray) -> None:
    assert heights.shape == (344, 403)
    grid = Grid(heights, (EAST, 0.0, 0.0, 0.0, -NORTH, 344 * NORTH), 3.0)
    rows, columns = np.array([0, 0, 343, 171]), np.array([0, 402, 0, 201])
    xy = np.column_stack([(columns + 0.5) * EAST, (344 - rows - 0.5) * NORTH])
    assert grid.heights(xy)[0] == pytest.approx([483.0, 444.0, 545.0, 553.0])
    assert (heights.min(), heights.max(), heights.mean()) == (236.0, 1076.0, pytest.approx(531.0312, abs=5e-5))


def test_forty_kilometres_round_a_ranch(heights: np.ndarray) -> None:
    """A profile of 40 km: every 5 m of it within 1 mm of the bilinear surface as scipy has it."""
    grid = Grid(heights, (EAST, 0.0, 0.0, 0.0, -NORTH, 344 * NORTH), 3.0)
    path = np.array([[4000, 4000], [14000, 5500], [17500, 14000], [9000, 17000], [3500, 12500], [4000, 4000.0]])
    laid = lay("ranch", path, [Source("grid", surface_pieces(grid, path))], [grid])
    assert laid.profile is not None
    assert (laid.unknown, laid.jumps) == ((), ())
    s, z = np.array(laid.profile.stations_m), np.array(laid.profile.heights_m)
    assert s[-1] > 39_000.0
    corner = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    at = np.arange(0.0, s[-1], 5.0)
    x, y = np.interp(at, corner, path[:, 0]), np.interp(at, corner, path[:, 1])
    wanted = map_coordinates(heights, [(344 * NORTH - y) / NORTH - 0.5, x / EAST - 0.5], order=1)
    assert np.abs(np.interp(at, s, z) - wanted).max() <= 0.001 + 1e-9
    walked = np.hypot(np.diff(at), np.diff(wanted)).sum()
    assert Grade(s, z).along(at[-1]) == pytest.approx(walked, rel=1e-4)
