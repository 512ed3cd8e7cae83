"""Triangles over spots: against scipy's own interpolation and startinpy, an independent triangulation."""

from __future__ import annotations

import numpy as np
import pytest
import startinpy
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import LinearNDInterpolator

from palewright.errors import ProblemError
from palewright.ground import surface_pieces, tin


def cloud(n: int, seed: int) -> np.ndarray:
    """Spots at random: no four of them on a circle, so that their triangulation is the only one."""
    rng = np.random.default_rng(seed)
    xy = rng.uniform(0.0, 100.0, (n, 2))
    return np.column_stack([xy, 5.0 * np.sin(xy[:, 0] / 17.0) + 3.0 * np.cos(xy[:, 1] / 11.0)])


@pytest.mark.parametrize("seed", range(4))
def test_heights_are_those_of_two_other_engines(seed: int) -> None:
    spots, xy = cloud(40, seed), np.random.default_rng(seed + 100).uniform(-5.0, 105.0, (300, 2))
    z, sigma = tin(spots, 0.02).heights(xy)
    oracle = LinearNDInterpolator(spots[:, :2], spots[:, 2])(xy)
    assert np.array_equal(np.isnan(z), np.isnan(oracle))
    assert np.nanmax(np.abs(z - oracle)) < 1e-9
    other = startinpy.DT()
    other.insert(spots)
    inside = np.isfinite(z)
    assert other.interpolate({"method": "TIN"}, xy[inside]) == pytest.approx(z[inside], abs=1e-9)
    assert np.nanmax(sigma) <= 0.02 + 1e-12
    assert np.nanmin(sigma) >= 0.02 / np.sqrt(3.0) - 1e-12  # three spots that err each for itself


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.floats(0, 100), st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_a_line_keeps_every_bend(seed: int, x0: float, y0: float, x1: float, y1: float) -> None:
    spots = cloud(25, seed)
    path = np.array([[x0, y0], [x1, y1]])
    if np.hypot(*(path[1] - path[0])) < 0.5:
        return
    surface = tin(spots, 0.02)
    pieces = surface_pieces(surface, path)
    oracle = LinearNDInterpolator(spots[:, :2], spots[:, 2])
    way = (path[1] - path[0]) / np.hypot(*(path[1] - path[0]))
    for share in (0.1, 0.5, 0.9):
        s = pieces.start + share * (pieces.end - pieces.start)
        mine = pieces.z0 + share * (pieces.z1 - pieces.z0)
        theirs = oracle(path[0] + s[:, None] * way)
        kept = pieces.end - pieces.start > 1e-4
        assert np.allclose(mine[kept], theirs[kept], atol=1e-7, equal_nan=False)
    # nothing known is left out: places between pieces lie outside
    s = np.linspace(0.0, np.hypot(*(path[1] - path[0])), 200)
    held = ((s[:, None] >= pieces.start - 1e-5) & (s[:, None] <= pieces.end + 1e-5)).any(axis=1)
    assert np.isnan(oracle(path[0] + s[~held][:, None] * way)).all()


def test_a_given_triangulation_is_kept() -> None:
    """A square with one corner raised: the two ways to divide it are two different grounds."""
    square = np.array([[0, 0, 0], [10, 0, 0], [10, 10, 4.0], [0, 10, 0]])
    ridge = tin(square, 0.1, np.array([[0, 1, 2], [0, 2, 3]]), "surface")
    flat = tin(square, 0.1, np.array([[0, 1, 3], [1, 2, 3]]), "surface")
    middle = np.array([[5.0, 5.0]])
    assert ridge.heights(middle)[0] == pytest.approx([2.0])
    assert flat.heights(middle)[0] == pytest.approx([0.0])
    assert ridge.heights(middle)[1] == pytest.approx([0.1])  # heights of one survey err together
    pieces = flat.along(np.array([0.0, 0.0]), np.array([10.0, 10.0]))
    assert [*pieces.start, pieces.end[-1]] == pytest.approx([0.0, 50**0.5, 200**0.5])


def test_a_hole_in_a_surface_is_not_filled() -> None:
    points = np.array([[0, 0, 1], [10, 0, 1], [5, 5, 1], [20, 0, 2], [30, 0, 2], [25, 5, 2.0]])
    two = tin(points, 0.1, np.array([[0, 1, 2], [3, 4, 5]]), "surface")
    pieces = surface_pieces(two, np.array([[2.0, 1.0], [28.0, 1.0]]))
    assert pieces.start == pytest.approx([0.0, 19.0])
    assert pieces.end == pytest.approx([7.0, 26.0])
    assert np.isnan(two.heights(np.array([[15.0, 1.0]]))[0]).all()


def test_spots_of_one_place_count_once() -> None:
    points = np.array([[0, 0, 1.00], [0, 0, 1.02], [10, 0, 2], [0, 10, 3.0]])
    z, sigma = tin(points, np.array([0.01, 0.02, 0.01, 0.01])).heights(np.array([[0.0, 0.0]]))
    assert z == pytest.approx([(4 * 1.00 + 1.02) / 5])  # weights 1 : 1/4
    assert sigma == pytest.approx([(1 / (1 / 0.01**2 + 1 / 0.02**2)) ** 0.5])


@pytest.mark.parametrize(
    ("points", "slug", "said"),
    [
        ([[0, 0, 1], [5, 0, 1]], "spots-too-few", "2"),
        ([[0, 0, 1], [5, 5, 1], [10, 10, 2], [3, 3, 0]], "spots-on-a-line", "4 spots from x 0.00 m"),
        ([[0, 0, 1], [5, 5, 1], [9, 0, float("nan")]], "spot-not-finite", "spot 3"),
        ([[0, 0, 1], [5, 5, float("inf")], [9, 0, 1]], "spot-not-finite", "spot 2"),
        ([[0, 0, 1], [9, 0, 1], [0, 9, 1], [9, 0, 4]], "spots-two-heights", "spots 2 and 4, 3.000 m apart"),
    ],
)
def test_spots_that_make_no_surface(points: list[list[float]], slug: str, said: str) -> None:
    with pytest.raises(ProblemError) as caught:
        tin(np.array(points, dtype=float), 0.01)
    assert caught.value.problems[0].slug == slug
    assert said in caught.value.problems[0].found


def test_triangles_over_one_another_are_told() -> None:
    points = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 5], [10, 0, 5], [0, 10, 5.0]])
    folded = tin(points, 0.1, np.array([[0, 1, 2], [3, 4, 5]]), "surface")
    with pytest.raises(ProblemError, match="surface-overlaps"):
        surface_pieces(folded, np.array([[1.0, 1.0], [4.0, 2.0]]))
    with pytest.raises(ProblemError, match="surface-empty"):
        tin(points, 0.1, np.array([[0, 3, 0]]), "surface")
