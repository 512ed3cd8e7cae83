"""A level network as arrays, and its solution."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from palewright.model import Rise
from palewright.record import Record
from palewright.survey.rows import Flags, Floats, Ints

__all__ = ["LevelNet", "SolvedLevels"]

_CHECKED = 1e-6
"""Redundancy below which nothing checks a reading."""


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
        height = np.where(held, self.known, 0.0)
        normal, pull = self._normals(np.where(use, self.sigma**-2.0, 0.0), height)
        inverse = np.asarray(np.linalg.inv(normal[np.ix_(unknown, unknown)]), dtype=np.float64)
        height[unknown] = inverse @ pull[unknown]
        cov = np.zeros_like(normal)
        cov[np.ix_(unknown, unknown)] = inverse
        told = joined[self.ends].all(axis=1)
        residual = np.where(told, height[self.ends[:, 1]] - height[self.ends[:, 0]] - self.value, 0.0)
        return SolvedLevels(self.ends, self.sigma, height, residual, cov, use, joined, len(unknown))

    def _normals(self, weight: Floats, known: Floats) -> tuple[Floats, Floats]:
        """Normal matrix of all points, and the pull of the readings on each, given heights taken off."""
        n, (start, end) = len(self.names), self.ends.T
        normal, pull = np.zeros((n, n)), np.zeros(n)
        for one, other in ((start, end), (end, start)):
            np.add.at(normal, (one, one), weight)
            np.add.at(normal, (one, other), -weight)
        np.add.at(pull, end, weight * self.value)
        np.add.at(pull, start, -weight * self.value)
        return normal, pull - normal @ known


class SolvedLevels(Record):
    """A solution: heights and residuals [m], covariance of all heights [m2] (0 where given), how many were unknown.

    use
        readings that count. joined: points that have a height. A reading left out keeps the residual the rest give it.
    """

    ends: Ints
    sigma: Floats
    height: Floats
    residual: Floats
    cov: Floats
    use: Flags
    joined: Flags
    unknowns: int

    @property
    def spread(self) -> Floats:
        """Standard deviation of every height [m]."""
        return np.asarray(np.sqrt(np.diagonal(self.cov)))

    @property
    def redundancy(self) -> Floats:
        """Share of each reading that the others check; 0 where it is left out."""
        start, end = self.ends.T
        adjusted = self.cov[start, start] + self.cov[end, end] - 2.0 * self.cov[start, end]
        share = 1.0 - adjusted / self.sigma**2
        return np.where(self.use & (share > _CHECKED), share, 0.0)

    @property
    def squares(self) -> float:
        """The weighted sum of squares."""
        return float(((self.residual / self.sigma)[self.use] ** 2).sum())

    @property
    def dof(self) -> int:
        """Degrees of freedom."""
        return int(self.use.sum()) - self.unknowns

    def tests(self) -> Floats:
        """Baarda's w of every reading, 0 where nothing checks it."""
        share = self.redundancy
        return np.where(share > 0.0, self.residual / self.sigma / np.sqrt(np.where(share > 0.0, share, 1.0)), 0.0)

    def correlation(self, k: int) -> Floats:
        """Correlation of every test with that of reading ``k``, which is checked; of those that nothing checks, 0."""
        share = self.redundancy
        (start, end), (a, b) = self.ends.T, self.ends[k]
        shared = self.cov[end, b] - self.cov[end, a] - self.cov[start, b] + self.cov[start, a]
        found = -shared / (self.sigma * self.sigma[k])
        found[k] += 1.0
        return np.where(share > 0.0, found / np.sqrt(np.where(share > 0.0, share, 1.0) * share[k]), 0.0)
