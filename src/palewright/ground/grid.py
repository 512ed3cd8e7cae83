"""A surface of heights on a grid: bilinear between the middles of four cells."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from palewright.errors import Problem, ProblemError
from palewright.ground.pieces import NEAR_M, Floats, Index, Pieces, counted, path_stations

__all__ = ["SAG_M", "Affine", "Grid"]

SAG_M = 0.001
"""A profile leaves the surface by this at most, unless said otherwise [m] (our own choice: no tape shows it)."""
_MOST_PARTS = 1_000
"""A piece within one cell is cut into no more parts, whatever a file says (our own choice)."""
_STRAIGHT_M = 500.0
"""A line of the job counts as straight on the grid over this length [m] (our own choice)."""
_LEVEL = 1e-12
"""A line that gains fewer columns or rows than this crosses no middle line of them: rounding."""
#: area of a cell, in metres or degrees: smaller and larger ones are damage of a file (our own choice)
_CELL = 1e-18, 1e18
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
        if not np.isfinite(affine).all() or not _CELL[0] < abs(a * e - b * d) < _CELL[1]:
            raise _refused("grid-not-placed", "where the cells of this grid lie is not said", f"{affine}")
        self._flat = values.ravel()
        self._back: Floats = np.linalg.inv(np.array([[a, b], [d, e]]))
        self._zero: Floats = np.array([c, f])

    def _index(self, xy: Floats) -> Floats:
        """Columns and rows of places, counted from the middle of the first cell."""
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        placed = self.to_plane(xy) if self.to_plane else xy
        x, y = placed[:, 0] - self._zero[0], placed[:, 1] - self._zero[1]
        (a, b), (c, d) = self._back
        return np.array([x * a + y * b - 0.5, x * c + y * d - 0.5]).T

    def _cells(self, at: Floats) -> tuple[Index, Index]:
        rows, columns = self.values.shape
        col, row = np.clip(np.floor(np.nan_to_num(at)), 0, [columns - 2, rows - 2]).astype(np.intp).T
        return col, row

    def _inside(self, at: Floats) -> NDArray[np.bool_]:
        rows, columns = self.values.shape
        slack = 1e-9 * max(rows, columns)
        u, v = at[:, 0], at[:, 1]
        across = (u >= -slack) & (u <= columns - 1 + slack)
        return np.asarray(across & (v >= -slack) & (v <= rows - 1 + slack))

    def _bilinear(self, at: Floats, col: Index, row: Index) -> Floats:
        u, v = at[:, 0] - col, at[:, 1] - row
        z = self.values
        near = z[row, col] * (1.0 - u) + z[row, col + 1] * u
        far = z[row + 1, col] * (1.0 - u) + z[row + 1, col + 1] * u
        return np.asarray(near * (1.0 - v) + far * v, dtype=float)

    def heights(self, xy: Floats) -> tuple[Floats, Floats]:
        """Heights and standard deviations (n,) [m]; nan outside and beside cells without data."""
        at = self._index(xy)
        rows, columns = self.values.shape
        inside = self._inside(at)
        u, v = (np.where(inside, column, 0.0) for column in at.T)
        col = np.minimum(np.maximum(u, 0.0).astype(np.intp), columns - 2)
        row = np.minimum(np.maximum(v, 0.0).astype(np.intp), rows - 2)
        u, v, k = u - col, v - row, row * columns + col
        near = self._flat.take(k) * (1.0 - u) + self._flat.take(k + 1) * u
        k += columns
        far = self._flat.take(k) * (1.0 - u) + self._flat.take(k + 1) * u
        z = np.where(inside, near * (1.0 - v) + far * v, np.nan)
        return z, np.where(np.isnan(z), np.nan, self.sigma)

    def covers(self, xy: Floats) -> NDArray[np.bool_]:
        """Whether places lie within the middles of the outer cells."""
        return self._inside(self._index(xy))

    def over(self, path: Floats, sag_m: float = SAG_M) -> Pieces:
        """Straight pieces over a path (k, 2), cut where it goes from cell to cell.

        Within a cell the surface is bent along a slanting line, z = z0 + p t + q t^2, and leaves its chord by
        q dt^2 / 4 at most; so a piece is cut in as many equal parts as bring that below ``sag_m`` [m].
        """
        path = np.asarray(path, dtype=float).reshape(-1, 2)
        if self.to_plane:
            path = _divided(path)
        at, station = self._index(path), path_stations(path)
        p, way, length = at[:-1], np.diff(at, axis=0), np.diff(station)
        leg, t0, t1 = self._crossings(p, way, length)
        middle = p[leg] + ((t0 + t1) / 2.0)[:, None] * way[leg]
        col, row = self._cells(middle)
        z = self.values
        twist = z[row, col] - z[row, col + 1] - z[row + 1, col] + z[row + 1, col + 1]
        sag = np.abs(twist * way[leg, 0] * way[leg, 1]) * (t1 - t0) ** 2 / 4.0
        known = np.flatnonzero(np.isfinite(sag) & self._inside(middle))
        count = np.ceil(np.sqrt(sag[known] / sag_m)).clip(1, _MOST_PARTS).astype(np.intp)
        group, step = counted(np.zeros(len(count), dtype=np.intp), count)
        cell = known[group]
        size = ((t1 - t0)[known] / count)[group]
        start = t0[cell] + step * size
        end = np.where(step + 1 == count[group], t1[cell], start + size)
        leg, col, row = leg[cell], col[cell], row[cell]
        z0, z1 = (self._bilinear(p[leg] + t[:, None] * way[leg], col, row) for t in (start, end))
        sigma = np.full(len(start), self.sigma)
        return Pieces(station[leg] + start * length[leg], station[leg] + end * length[leg], z0, z1, sigma, sigma)

    def _crossings(self, p: Floats, way: Floats, length: Floats) -> tuple[Index, Floats, Floats]:
        """Legs of a path cut where they cross middle lines of cells: which leg, and shares of it, from and to."""
        legs, shares = [np.arange(len(p))], [np.zeros(len(p))]
        for k, most in enumerate((self.values.shape[1] - 1, self.values.shape[0] - 1)):
            ends = np.stack([p[:, k], p[:, k] + way[:, k]])
            low = np.clip(np.ceil(ends.min(axis=0)), 0, most + 1).astype(np.intp)
            high = np.clip(np.floor(ends.max(axis=0)), -1, most).astype(np.intp)
            count = np.where(np.abs(way[:, k]) > _LEVEL, np.maximum(high - low + 1, 0), 0)
            leg, line = counted(low, count)
            legs.append(leg)
            shares.append((line - p[leg, k]) / way[leg, k])
        leg, t = np.concatenate(legs), np.concatenate(shares)
        near = NEAR_M / np.maximum(length, NEAR_M)
        keep = (t == 0.0) | ((t > near[leg]) & (t < 1.0 - near[leg]))
        leg, t = leg[keep], t[keep]
        order = np.lexsort((t, leg))
        leg, t = leg[order], t[order]
        apart = (np.diff(t, prepend=-1.0) > near[leg]) | (np.diff(leg, prepend=-1) > 0)
        leg, t = leg[apart], t[apart]
        last = np.diff(leg, append=len(p)) > 0
        end = np.where(last, 1.0, np.append(t[1:], 1.0))
        whole = length[leg] > NEAR_M
        return leg[whole], t[whole], end[whole]


def _divided(path: Floats) -> Floats:
    """A path with more corners, none farther from the next than a line may be and still be straight on the grid."""
    legs = np.hypot(*np.diff(path, axis=0).T)
    count = np.maximum(np.ceil(legs / _STRAIGHT_M), 1).astype(np.intp)
    leg, step = counted(np.zeros(len(count), dtype=np.intp), count)
    inner = path[leg] + (step / count[leg])[:, None] * np.diff(path, axis=0)[leg]
    return np.concatenate([inner, path[-1:]])


def _refused(slug: str, what: str, found: str) -> ProblemError:
    return ProblemError(Problem(slug, what, found=found))
