"""A level network as arrays, and its solution."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from palewright.model import Rise
from palewright.record import Record
from palewright.survey.rows import Flags, Floats, Ints

__all__ = ["LevelNet", "SolvedLevels"]

_CHECKED = 1e-9
"""Redundancy below which nothing checks a rise: arithmetic leaves no more of it."""


class LevelNet(Record):
    """Rises as arrays: names of the points, given heights (0 where none), ends of every rise, its value and sigma."""

    names: tuple[str, ...]
    known: Floats
    held: Flags
    ends: Ints
    value: Floats
    sigma: Floats

    @classmethod
    def of(cls, held: Mapping[str, float], rises: Sequence[Rise]) -> LevelNet:
        """From records; points in the order they are first named, the given ones first."""
        names = tuple(dict.fromkeys([*held, *(name for rise in rises for name in (rise.start, rise.end))]))
        index = {name: k for k, name in enumerate(names)}
        return cls(
            names,
            np.array([held.get(name, 0.0) for name in names]),
            np.array([name in held for name in names], dtype=np.bool_),
            np.array([[index[rise.start], index[rise.end]] for rise in rises], dtype=np.int64),
            np.array([rise.value for rise in rises]),
            np.array([rise.sigma for rise in rises]),
        )

    def joined(self, start: Iterable[int], use: Flags) -> Flags:
        """Whether a chain of the rises in ``use`` leads from each point to one of ``start``."""
        joined = np.zeros(len(self.names), dtype=np.bool_)
        joined[list(start)] = True
        while True:
            reached = joined[self.ends].any(axis=1) & use
            new = joined.copy()
            new[self.ends[reached].ravel()] = True
            if (new == joined).all():
                return joined
            joined = new

    def solve(self, out: Iterable[int] = (), free: int | None = None) -> SolvedLevels:
        """Heights without the rises ``out``, and with the given height ``free`` let go."""
        use = np.ones(len(self.value), dtype=np.bool_)
        use[list(out)] = False
        held = self.held.copy()
        if free is not None:
            held[free] = False
        joined = self.joined(np.flatnonzero(held).tolist(), use)
        use &= joined[self.ends[:, 0]]
        unknown = np.flatnonzero(joined & ~held)
        slope = np.zeros((len(self.value), len(self.names)))
        slope[np.arange(len(self.value)), self.ends[:, 1]] = 1.0 / self.sigma
        slope[np.arange(len(self.value)), self.ends[:, 0]] = -1.0 / self.sigma
        known = np.where(held, self.known, 0.0)
        rows = slope[:, unknown] * use[:, None]
        cov = np.asarray(np.linalg.inv(rows.T @ rows), dtype=np.float64)  # (0, 0) where nothing is unknown
        height = known.copy()
        height[unknown] = cov @ (rows.T @ (self.value / self.sigma - slope @ known))
        spread = np.zeros(len(self.names))
        spread[unknown] = np.sqrt(np.diagonal(cov))
        told = joined[self.ends].all(axis=1)
        residual = np.where(told, height[self.ends[:, 1]] - height[self.ends[:, 0]] - self.value, 0.0)
        return SolvedLevels(height, spread, residual / self.sigma, rows, cov, use, joined)


class SolvedLevels(Record):
    """A solution: heights and their sigmas [m], residuals over sigma, rows of the unknowns over sigma, covariance.

    use
        readings that count. joined: points that have a height. A reading left out keeps the residual the rest give it.
    """

    height: Floats
    spread: Floats
    scaled: Floats
    rows: Floats
    cov: Floats
    use: Flags
    joined: Flags

    @property
    def redundancy(self) -> Floats:
        """Share of each reading that the others check; 0 where it is left out."""
        share = 1.0 - np.einsum("mi,ij,mj->m", self.rows, self.cov, self.rows)
        return np.where(self.use & (share > _CHECKED), share, 0.0)

    @property
    def squares(self) -> float:
        """The weighted sum of squares."""
        return float((self.scaled[self.use] ** 2).sum())

    @property
    def dof(self) -> int:
        """Degrees of freedom."""
        return int(self.use.sum()) - int(self.rows.shape[1])

    def tests(self) -> Floats:
        """Baarda's w of every reading, 0 where nothing checks it."""
        share = self.redundancy
        return np.where(share > 0.0, self.scaled / np.sqrt(np.where(share > 0.0, share, 1.0)), 0.0)

    def correlation(self, k: int) -> Floats:
        """Correlation of every test with that of reading ``k``."""
        share = self.redundancy
        shared = -(self.rows @ (self.cov @ self.rows[k]))
        shared[k] += 1.0
        return np.asarray(shared / np.sqrt(np.where(share > 0.0, share, 1.0) * share[k]))
