"""Sparse normal equations by fronts: factor, solve, and the part of the inverse that is wanted.

Unknowns are numbered in the order of elimination (:mod:`palewright.survey.dissect`). A front is a small dense matrix:
its pivots P, which are eliminated in it, and its border B, the later unknowns they meet. What is left of the border
after elimination is added to the parent front (multifrontal method).

The selected inverse runs the other way. Where Z is the inverse and G = A_PP^-1 A_PB of the partly eliminated matrix,
Z_BB is a piece of the parent's, and

    Z_PB = -G Z_BB,    Z_PP = A_PP^-1 + G Z_BB G^T.

So the inverse is known for every pair of unknowns that an observation joins, and never formed elsewhere.

A pivot block that is singular (to TINY of its scaled diagonal) is inverted without its null directions; each of them,
carried back through the fronts, is a motion of the network that no observation notices. Rounding that a weak pivot
before it has blown up may leave more than TINY of a null direction, so directions that are nearly null are kept as
``weak`` and whoever has the observations themselves can have them taken for null (``void``).

Sources: I. S. Duff, J. K. Reid, The multifrontal solution of indefinite sparse symmetric linear equations, ACM TOMS 9
(1983); K. Takahashi, J. Fagan, M. Chin, Formation of a sparse bus impedance matrix, PICA (1973).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from palewright.record import Record
from palewright.survey.rows import Floats, Ints

__all__ = ["Factor", "Pattern", "plan_fronts"]

TINY = 1e-12
"""A direction that keeps less than this share of what the observations say of its points alone is not determined."""
_DOUBT = 1e-7
"""Below this pivot a block is looked at by its eigenvalues."""
_MANY = 500


class Pattern(Record):
    """Where everything stands, for one set of unknowns and observations, whatever their values.

    first, pivots, base
        of each front: its first unknown, how many it eliminates, where its matrix begins in the common buffer of
        ``size`` numbers. border: the later unknowns it meets, ascending. parent: the front that takes its remainder
        (-1: none), at the places ``up`` of the common buffer.
    front_of
        the front in which each of the ``n`` unknowns is eliminated.
    """

    n: int
    first: list[int]
    pivots: list[int]
    border: list[Ints]
    parent: list[int]
    up: list[Ints]
    base: list[int]
    size: int
    front_of: Ints

    def places(self, columns: Ints) -> Ints:
        """Where the products of the unknowns of each row stand in the buffer: (m, c) unknowns give (m, c, c) places."""
        front = self.front_of[columns.min(axis=1)]
        first, pivots, base = (np.asarray(x, dtype=np.int64)[front] for x in (self.first, self.pivots, self.base))
        lengths = np.array([len(b) for b in self.border], dtype=np.int64)
        starts = np.concatenate([[0], np.cumsum(lengths)])
        keys = np.concatenate(self.border) + np.repeat(np.arange(len(lengths)), lengths) * self.n
        found = np.searchsorted(keys, columns + (front * self.n)[:, None])
        inside = columns - first[:, None]
        own = np.where(inside < pivots[:, None], inside, found - starts[front][:, None] + pivots[:, None])
        side = pivots + lengths[front]
        return np.asarray(base[:, None, None] + own[:, :, None] * side[:, None, None] + own[:, None, :])

    def diagonal(self) -> Ints:
        """Where the diagonal of the matrix stands in the buffer, for each unknown."""
        return self.places(np.arange(self.n)[:, None])[:, 0, 0]


def plan_fronts(groups: list[Ints], width: Ints, edges: Ints) -> tuple[Pattern, Ints]:
    """The pattern for groups of nodes in their order of elimination, and the first unknown of each node.

    width
        (nodes,) unknowns of each node. edges (e, 2): pairs of nodes that meet.
    """
    order = np.concatenate(groups)
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    wide = width[order]
    start = np.concatenate([[0], np.cumsum(wide)])
    group_of = np.repeat(np.arange(len(groups)), [len(g) for g in groups])
    meets = np.sort(rank[edges], axis=1)
    meets = meets[np.argsort(group_of[meets[:, 0]], kind="stable")]
    slices = np.searchsorted(group_of[meets[:, 0]], np.arange(len(groups) + 1))
    ends = np.cumsum([len(g) for g in groups])
    border, parent = _borders(meets[:, 1], slices, ends, group_of)
    border = [_spread(b, start, wide) for b in border]
    first = [int(start[e - len(g)]) for e, g in zip(ends, groups, strict=True)]
    pivots = [int(start[e]) - f for e, f in zip(ends, first, strict=True)]
    sides = [p + len(b) for p, b in zip(pivots, border, strict=True)]
    base = np.concatenate([[0], np.cumsum(np.square(sides))])
    up = []
    for k, above in enumerate(parent):
        inside = border[k] - first[above]
        later = np.searchsorted(border[above], border[k]) + pivots[above]
        own = np.where(inside < pivots[above], inside, later)
        up.append((base[above] + own[:, None] * sides[above] + own).ravel())
    front_of = np.repeat(np.arange(len(groups)), pivots)
    pattern = Pattern(int(start[-1]), first, pivots, border, parent, up, base[:-1].tolist(), int(base[-1]), front_of)
    return pattern, start[rank]


def _borders(later: Ints, slices: Ints, ends: Ints, group_of: Ints) -> tuple[list[Ints], list[int]]:
    """Border nodes (by rank) and parent of each group."""
    border: list[Ints] = []
    parent: list[int] = []
    children: list[list[int]] = [[] for _ in ends]
    for k, end in enumerate(ends):
        met = np.concatenate([later[slices[k] : slices[k + 1]], *(border[c] for c in children[k])])
        border.append(np.unique(met[met >= end], return_counts=True)[0])
        parent.append(int(group_of[border[k][0]]) if len(border[k]) else -1)
        if parent[k] >= 0:
            children[parent[k]].append(k)
    return border, parent


def _spread(nodes: Ints, start: Ints, wide: Ints) -> Ints:
    """The unknowns of some nodes (by rank), in order."""
    count = wide[nodes]
    offset = np.concatenate([[0], np.cumsum(count)])
    return np.repeat(start[nodes] - offset[:-1], count) + np.arange(offset[-1])


class Factor:
    """A factored matrix; make it with the numbers in the common buffer (they are used up).

    void
        fronts and what their weakest directions must keep at least to count, where that is more than TINY.
    loose, weak
        null directions that were met, and nearly null ones: (front, vector over its pivots); ``kept``: what the weak
        ones keep.
    """

    def __init__(self, pattern: Pattern, numbers: Floats, void: Mapping[int, float] | None = None) -> None:
        self.pattern = pattern
        self.loose: list[tuple[int, Floats]] = []
        self.weak: list[tuple[int, Floats]] = []
        self.kept: list[float] = []
        self._void = void or {}
        self._inverse: list[Floats] = []
        self._gain: list[Floats] = []
        self._buffer = numbers
        self._invert = _invert_many if pattern.n > _MANY else _invert
        for k in range(len(pattern.first)):
            self._eliminate(k)

    def _matrix(self, k: int) -> Floats:
        side = self.pattern.pivots[k] + len(self.pattern.border[k])
        base = self.pattern.base[k]
        return self._buffer[base : base + side * side].reshape(side, side)

    def _eliminate(self, k: int) -> None:
        pattern, p = self.pattern, self.pattern.pivots[k]
        matrix = self._matrix(k)
        inverse, poor = self._invert(matrix[:p, :p], self._void.get(k, TINY))
        for keeps, null, vector in poor:
            (self.loose if null else self.weak).append((k, vector))
            self.kept += [] if null else [keeps]
        cross = matrix[:p, p:]
        gain = inverse @ cross
        self._inverse.append(inverse)
        self._gain.append(gain)
        above = pattern.parent[k]
        if above >= 0:
            np.add.at(self._buffer, pattern.up[k], (matrix[p:, p:] - cross.T @ gain).ravel())

    def solve(self, right: Floats) -> Floats:
        """The solution for right sides (n,) or (n, r); null directions get nothing."""
        x = right.copy()
        pattern = self.pattern
        for first, p, border, gain in zip(pattern.first, pattern.pivots, pattern.border, self._gain, strict=True):
            x[border] -= gain.T @ x[first : first + p]
        for k in range(len(pattern.first) - 1, -1, -1):
            first, p = pattern.first[k], pattern.pivots[k]
            x[first : first + p] = self._inverse[k] @ x[first : first + p] - self._gain[k] @ x[pattern.border[k]]
        return x

    def null_space(self) -> Floats:
        """Motions (n, d) that the matrix does not notice, one a column."""
        return self.motions(self.loose)

    def motions(self, directions: list[tuple[int, Floats]]) -> Floats:
        """What directions of pivots stand for, carried back through the fronts: (n, d), one a column."""
        pattern = self.pattern
        x = np.zeros((pattern.n, len(directions)))
        for k in range(len(pattern.first) - 1, -1, -1):
            first, p = pattern.first[k], pattern.pivots[k]
            x[first : first + p] = -self._gain[k] @ x[pattern.border[k]]
            for column, (front, vector) in enumerate(directions):
                if front == k:
                    x[first : first + p, column] += vector
        return x

    def selected_inverse(self) -> Floats:
        """The inverse in the layout of the common buffer: every pair of unknowns that share a front.

        The matrix itself is overwritten: :meth:`solve` still works afterwards.
        """
        pattern = self.pattern
        for k in range(len(pattern.first) - 1, -1, -1):
            p, above = pattern.pivots[k], pattern.parent[k]
            matrix, gain = self._matrix(k), self._gain[k]
            if above < 0:
                matrix[:] = self._inverse[k]
                continue
            rest = self._buffer[pattern.up[k]].reshape(len(pattern.border[k]), -1)
            cross = -gain @ rest
            matrix[p:, p:] = rest
            matrix[:p, p:] = cross
            matrix[p:, :p] = cross.T
            matrix[:p, :p] = self._inverse[k] - cross @ gain.T
        return self._buffer


Poor = list[tuple[float, bool, Floats]]
"""Directions of a block that keep little: how much, whether they count as null, and the direction."""


def _invert(block: Floats, tiny: float) -> tuple[Floats, Poor]:
    """The inverse of a scaled pivot block without its null directions, and what is null or nearly so."""
    try:
        if np.linalg.cholesky(block).diagonal().min() ** 2 > _DOUBT:
            return np.asarray(np.linalg.inv(block), dtype=np.float64), []
    except np.linalg.LinAlgError:
        pass
    values, vectors = np.linalg.eigh(block)
    good = values > tiny
    kept = vectors[:, good]
    poor = [(float(values[k]), not good[k], vectors[:, k]) for k in np.flatnonzero(values < _DOUBT)]
    return np.asarray((kept / values[good]) @ kept.T, dtype=np.float64), poor


def _invert_many(block: Floats, tiny: float) -> tuple[Floats, Poor]:
    """The same by the Cholesky routines of LAPACK that scipy reaches: worth its import where there are many fronts."""
    from scipy.linalg import lapack

    root, failed = lapack.dpotrf(block, lower=1, clean=1)
    if failed or root.diagonal().min() ** 2 <= _DOUBT:
        return _invert(block, tiny)
    lower, _ = lapack.dpotri(root, lower=1, overwrite_c=1)
    lower.ravel(order="K")[:: len(block) + 1] *= 0.5
    return lower + lower.T, []
