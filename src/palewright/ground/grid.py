"""A surface of heights on a grid: bilinear between the middles of four cells."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from palewright.errors import Problem, ProblemError
from palewright.ground.pieces import NEAR_M, Floats, Pieces, joined, shifted

__all__ = ["SAG_M", "Affine", "Grid"]

SAG_M = 0.001
"""A profile leaves the surface by this at most, unless said otherwise [m]."""
_MOST_PARTS = 1_000
_STRAIGHT_M = 500.0
Affine = tuple[float, float, float, float, float, float]


class Grid:
    """Heights on a grid.

    values
        heights (rows, columns) [m]; nan: no data.
    affine
        (a, b, c, d, e, f): x = a col + b row + c, y = d col + e row + f [m]. Whole numbers are corners of cells, as
        GDAL and rasterio have it; the height of a cell is that of its middle.
    sigma
        standard deviation of a height [m]; heights of one flight err together, so it holds between cells too.
    to_plane
        from places of the job (n, 2) to places of the grid [m], where they are not the same: a line of the job counts
        as straight on the grid over 500 m.
    Beyond the middles of the outer cells nothing is known. Raises ProblemError: ``grid-too-small``, ``grid-empty``,
    ``grid-not-placed`` for an affine that turns cells into a line.
    Source: bilinear interpolation; what scipy.ndimage.map_coordinates does with order 1.

    >>> plane = Grid(np.array([[3.0, 4.0], [1.0, 2.0]]), (10.0, 0.0, 0.0, 0.0, -10.0, 20.0), 0.1)
    >>> plane.heights(np.array([[5.0, 5.0], [10.0, 10.0], [1.0, 1.0]]))[0]
    array([1. , 2.5, nan])
    """

    how = "grid"

    def __init__(
        self,
        values: NDArray[np.floating],
        affine: Affine,
        sigma: float,
        to_plane: Callable[[Floats], Floats] | None = None,
    ) -> None:
        self.values, self.affine, self.sigma, self.to_plane = values, affine, sigma, to_plane
        if values.ndim != 2 or min(values.shape) < 2:
            raise _refused("grid-too-small", "a grid has two rows and two columns or more", f"{values.shape}")
        if not np.isfinite(values).any():
            raise _refused("grid-empty", "no cell of this grid has a height", f"{values.size:,} cells")
        a, b, c, d, e, f = affine
        if not np.isfinite(affine).all() or abs(a * e - b * d) <= 0.0:
            raise _refused("grid-not-placed", "where the cells of this grid lie is not said", f"{affine}")
        self._back: Floats = np.linalg.inv(np.array([[a, b], [d, e]]))
        self._zero: Floats = np.array([c, f])

    def _index(self, xy: Floats) -> Floats:
        """Columns and rows of places, counted from the middle of the first cell."""
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        placed = self.to_plane(xy) if self.to_plane else xy
        return np.asarray((placed - self._zero) @ self._back.T - 0.5)

    def _cells(self, at: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        rows, columns = self.values.shape
        col, row = np.clip(np.floor(np.nan_to_num(at)), 0, [columns - 2, rows - 2]).astype(np.intp).T
        return col, row

    def _inside(self, at: Floats) -> NDArray[np.bool_]:
        rows, columns = self.values.shape
        slack = 1e-9 * max(rows, columns)
        return np.asarray(((at >= -slack) & (at <= np.array([columns - 1, rows - 1]) + slack)).all(axis=1))

    def _bilinear(self, at: Floats, col: NDArray[np.intp], row: NDArray[np.intp]) -> Floats:
        u, v = at[:, 0] - col, at[:, 1] - row
        z = self.values
        near = z[row, col] * (1.0 - u) + z[row, col + 1] * u
        far = z[row + 1, col] * (1.0 - u) + z[row + 1, col + 1] * u
        return np.asarray(near * (1.0 - v) + far * v, dtype=float)

    def heights(self, xy: Floats) -> tuple[Floats, Floats]:
        """Heights and standard deviations (n,) [m]; nan outside and beside cells without data."""
        at = self._index(xy)
        z = np.where(self._inside(at), self._bilinear(at, *self._cells(at)), np.nan)
        return z, np.where(np.isnan(z), np.nan, self.sigma)

    def covers(self, xy: Floats) -> NDArray[np.bool_]:
        """Whether places lie within the middles of the outer cells."""
        return self._inside(self._index(xy))

    def along(self, a: Floats, b: Floats, sag_m: float = SAG_M) -> Pieces:
        """Straight pieces over the line from a to b, cut where it goes from cell to cell.

        Within a cell the surface is bent along a slanting line, z = z0 + p t + q t^2, and leaves its chord by
        q dt^2 / 4 at most; so a piece is cut in as many equal parts as bring that below ``sag_m`` [m].
        """
        a, b = np.asarray(a, dtype=float), np.asarray(b, dtype=float)
        length = float(np.hypot(*(b - a)))
        if length <= NEAR_M:
            return Pieces.none()
        n = max(1, int(np.ceil(length / _STRAIGHT_M))) if self.to_plane else 1
        share = np.linspace(0.0, 1.0, n + 1)
        at = self._index(a + share[:, None] * (b - a))
        parts = [self._straight(at[k], at[k + 1], length / n, sag_m) for k in range(n)]
        return joined([shifted(part, k * length / n) for k, part in enumerate(parts)])

    def _straight(self, p: Floats, q: Floats, length: float, sag_m: float) -> Pieces:
        t = self._crossings(p, q, length)
        way = q - p
        col, row = self._cells(p + ((t[:-1] + t[1:]) / 2.0)[:, None] * way)
        z = self.values
        twist = z[row, col] - z[row, col + 1] - z[row + 1, col] + z[row + 1, col + 1]
        sag = np.abs(twist * way[0] * way[1]) * np.diff(t) ** 2 / 4.0
        known = np.isfinite(sag) & self._inside(p + ((t[:-1] + t[1:]) / 2.0)[:, None] * way)
        parts = np.where(known, np.ceil(np.sqrt(np.where(known, sag, 0.0) / sag_m)), 1.0).clip(1, _MOST_PARTS)
        count = parts.astype(np.intp)
        cell = np.repeat(np.arange(len(count)), count)
        step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        size = (np.diff(t) / count)[cell]
        start = t[cell] + step * size
        end = np.where(step + 1 == count[cell], t[cell + 1], start + size)
        kept = known[cell]
        start, end, cell = start[kept], end[kept], cell[kept]
        z0, z1 = (self._bilinear(p + s[:, None] * way, col[cell], row[cell]) for s in (start, end))
        sigma = np.full(len(start), self.sigma)
        return Pieces(start * length, end * length, z0, z1, sigma, sigma)

    def _crossings(self, p: Floats, q: Floats, length: float) -> Floats:
        """Shares of the line from p to q (columns and rows) where it crosses middle lines of cells, both ends too."""
        found = [np.empty(0)]
        for k, most in enumerate((self.values.shape[1] - 1, self.values.shape[0] - 1)):
            low, high = sorted((p[k], q[k]))
            if high - low > 1e-12:
                lines = np.arange(max(0.0, np.ceil(low)), min(float(most), np.floor(high)) + 1.0)
                found.append((lines - p[k]) / (q[k] - p[k]))
        t, near = np.sort(np.concatenate(found)), NEAR_M / length
        t = t[(t > near) & (t < 1.0 - near)]
        return np.concatenate([[0.0], t[np.diff(t, prepend=-1.0) > near], [1.0]])

    def knots(self, a: Floats, b: Floats) -> Floats:
        """Distances from a [m] where the line to b goes from cell to cell, on known ground."""
        pieces = self.along(a, b, np.inf)
        return np.unique(np.concatenate([pieces.start, pieces.end]))


def _refused(slug: str, what: str, found: str) -> ProblemError:
    return ProblemError(Problem(slug, what, found=found))
