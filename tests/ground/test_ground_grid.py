"""Heights on a grid: against scipy.ndimage.map_coordinates of order 1, which is bilinear too."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import map_coordinates

from palewright.errors import ProblemError
from palewright.ground import Grid, surface_pieces

AFFINE = (2.0, 0.0, 100.0, 0.0, -2.0, 500.0)
SLANTED = (1.6, 0.7, -40.0, 0.9, -1.8, 12.0)


def hills(rows: int = 30, columns: int = 40, seed: int = 1) -> np.ndarray:
    return np.cumsum(np.cumsum(np.random.default_rng(seed).normal(0.0, 0.2, (rows, columns)), axis=0), axis=1) * 0.2


def oracle(values: np.ndarray, affine: tuple[float, ...], xy: np.ndarray) -> np.ndarray:
    a, b, c, d, e, f = affine
    col, row = np.linalg.solve(np.array([[a, b], [d, e]]), (xy - [c, f]).T)
    return map_coordinates(values, [row - 0.5, col - 0.5], order=1, cval=np.nan, mode="constant")


@pytest.mark.parametrize("affine", [AFFINE, SLANTED])
def test_heights_are_bilinear(affine: tuple[float, ...]) -> None:
    values = hills()
    values[10:13, 20:22] = np.nan
    a, b, c, d, e, f = affine
    at = np.random.default_rng(5).uniform(-2.0, 42.0, (2000, 2))
    xy = at @ np.array([[a, d], [b, e]]) + [c, f]
    z, sigma = Grid(values, affine, 0.3).heights(xy)
    assert np.allclose(z, oracle(values, affine, xy), atol=1e-10, equal_nan=True)
    assert np.array_equal(np.isnan(z), np.isnan(sigma))
    assert np.nanmax(sigma) == np.nanmin(sigma) == 0.3


@pytest.mark.parametrize("affine", [AFFINE, SLANTED])
@given(st.integers(0, 999), *[st.floats(0.6, 29.4)] * 4)
def test_a_profile_is_within_a_millimetre(
    affine: tuple[float, ...], seed: int, c0: float, r0: float, c1: float, r1: float
) -> None:
    values = hills(seed=seed)
    a, b, c, d, e, f = affine
    path = np.array([[c0, r0], [c1, r1]]) @ np.array([[a, d], [b, e]]) + [c, f]
    length = np.hypot(*(path[1] - path[0]))
    if length < 0.5:
        return
    pieces = surface_pieces(Grid(values, affine, 0.1), path)
    s = np.linspace(0.0, length, 1500)[1:-1]
    z = np.interp(s, np.append(pieces.start, pieces.end[-1]), np.append(pieces.z0, pieces.z1[-1]))
    assert np.abs(z - oracle(values, affine, path[0] + s[:, None] * (path[1] - path[0]) / length)).max() < 0.001 + 1e-9
    assert pieces.end[:-1] == pytest.approx(pieces.start[1:])
    assert pieces.z1[:-1] == pytest.approx(pieces.z0[1:], abs=1e-9)


def test_a_slanting_line_over_a_twisted_cell_is_cut_by_its_sag() -> None:
    """One cell, z = 4 x y: along its diagonal z = 2 s^2, which leaves a chord of length l by l^2 / 2."""
    twisted = Grid(np.array([[0.0, 0.0], [0.0, 4.0]]), (1.0, 0.0, -0.5, 0.0, 1.0, -0.5), 0.1)
    diagonal = np.array([[0.0, 0.0], [1.0, 1.0]])
    for sag, parts in ((1.0, 1), (0.25, 2), (0.01, 10)):
        pieces = surface_pieces(twisted, diagonal, sag)
        assert len(pieces.start) == parts
        assert pieces.z1 == pytest.approx(2.0 * pieces.end**2)
    assert len(surface_pieces(twisted, np.array([[0.2, 0.0], [0.2, 1.0]])).start) == 1


def test_cells_without_data_and_ground_beyond_are_left_open() -> None:
    values = np.ones((5, 10))
    values[2, 5] = np.nan
    grid = Grid(values, (1.0, 0.0, 0.0, 0.0, -1.0, 5.0), 0.1)
    pieces = surface_pieces(grid, np.array([[-1.0, 2.5], [11.0, 2.5]]))
    assert (pieces.start[0], pieces.end[-1]) == pytest.approx((1.5, 10.5))
    gap = np.flatnonzero(pieces.start[1:] - pieces.end[:-1] > 1e-9)
    assert [(pieces.end[k], pieces.start[k + 1]) for k in gap] == [pytest.approx((5.5, 7.5))]
    assert list(grid.covers(np.array([[5.5, 2.5], [11.0, 2.5]]))) == [True, False]


def test_a_grid_of_another_plane_is_bent() -> None:
    """Places of the job turned by a right angle and shifted: heights and pieces follow."""

    def turned(xy: np.ndarray) -> np.ndarray:
        return np.column_stack([150.0 - xy[:, 1], 470.0 + xy[:, 0]])

    values, path = hills(), np.array([[-20.0, 5.0], [15.0, -20.0]])
    bent = surface_pieces(Grid(values, AFFINE, 0.1, turned), path)
    plain = surface_pieces(Grid(values, AFFINE, 0.1), turned(path))
    assert bent.start == pytest.approx(plain.start)
    assert bent.z1 == pytest.approx(plain.z1)


@pytest.mark.parametrize(
    ("values", "affine", "slug"),
    [
        (np.ones((1, 5)), AFFINE, "grid-too-small"),
        (np.full((3, 3), np.nan), AFFINE, "grid-empty"),
        (np.ones((3, 3)), (1.0, 2.0, 0.0, 2.0, 4.0, 0.0), "grid-not-placed"),
        (np.ones((3, 3)), (1.0, 0.0, 0.0, 0.0, float("nan"), 0.0), "grid-not-placed"),
    ],
)
def test_grids_that_say_nothing(values: np.ndarray, affine: tuple[float, ...], slug: str) -> None:
    with pytest.raises(ProblemError, match=slug):
        Grid(values, affine, 0.1)
