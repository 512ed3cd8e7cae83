"""The unknowns of a network and its normal equations, laid out once and filled for every set of places and weights."""

from __future__ import annotations

import numpy as np

from palewright.record import Record
from palewright.survey.dissect import dissect
from palewright.survey.fronts import Factor, Pattern, plan_fronts
from palewright.survey.rows import Block, Flags, Floats, Ints, evaluate

__all__ = ["Rows", "State", "System"]

_UNSEEN = 1e-18
"""A motion that changes the readings by less than this share, squared, of what its unknowns do alone is not seen."""


class State(Record):
    """places (points, 2) [m] and zeros (circles,) azimuth of the zero of each circle of directions [rad]."""

    places: Floats
    zeros: Floats


class Rows(Record):
    """Residuals (m,) and derivatives (m, c) of each block, at one state."""

    residual: list[Floats]
    slope: list[Floats]


class System:
    """Unknowns: east and north of every point that is not held, and the zero of every circle.

    blocks, count
        the observations by kind, and how many the network has. station: the point that each circle stands on.
    first
        (points,) the unknown that is the point's east, -1 where it is held; the next one is its north.
    zero_at
        (circles,) the unknown that is the circle's zero.
    columns
        for each block (m, c) the unknown of each derivative, -1 where it is held.
    pinned
        unknowns that stay where they are, to keep a floating network in place while it is computed.
    """

    def __init__(self, blocks: list[Block], count: int, places: Floats, held: Flags, station: Ints) -> None:
        self.blocks = blocks
        self.count = count
        self.held = held
        self.station = station
        circles = np.bincount(station, minlength=len(held)) if len(station) else np.zeros(len(held), dtype=np.int64)
        width = np.where(held, 0, 2) + circles
        nodes = np.flatnonzero(width)
        edges = _edges(blocks, width > 0)
        self.pinned = np.zeros(0, dtype=np.int64)
        self.first = np.full(len(held), -1, dtype=np.int64)
        self.zero_at = np.zeros(len(station), dtype=np.int64)
        self.pattern: Pattern | None = None
        self.n = 0
        if len(nodes):
            local = np.full(len(held), -1, dtype=np.int64)
            local[nodes] = np.arange(len(nodes))
            groups = dissect(places[nodes], local[edges])
            self.pattern, start = plan_fronts(groups, width[nodes], local[edges])
            self.n = self.pattern.n
            begin = np.full(len(held), -1, dtype=np.int64)
            begin[nodes] = start
            self.first = np.where(held, -1, begin)
            self.zero_at = begin[station] + np.where(held[station], 0, 2) + _rank_in_group(station)
        self.columns = [self._columns(block) for block in blocks]
        self.filled = [_fill(columns) for columns in self.columns]
        self.entries = [self.pattern.places(c) if self.pattern else np.zeros((0, 0, 0), np.int64) for c in self.filled]
        self._where = np.concatenate([e.ravel() for e in self.entries]) if self.entries else np.zeros(0, np.int64)
        self.diagonal = self.pattern.diagonal() if self.pattern else np.zeros(0, dtype=np.int64)

    def _columns(self, block: Block) -> Ints:
        east = self.first[block.points]
        columns = np.stack([east, np.where(east < 0, -1, east + 1)], axis=2).reshape(len(east), -1)
        if block.kind == "direction":
            columns = np.hstack([columns, self.zero_at[block.zero][:, None]])
        return columns

    def rows(self, state: State) -> Rows:
        """Every observation at some places."""
        made = [evaluate(block, state.places, state.zeros) for block in self.blocks]
        return Rows([one for one, _ in made], [two for _, two in made])

    def in_order(self, values: list[Floats], empty: float = 0.0) -> Floats:
        """One number an observation, from the order of the blocks to that of the network."""
        out = np.full(self.count, empty)
        for block, value in zip(self.blocks, values, strict=True):
            out[block.index] = value
        return out

    def weights(self, use: Floats) -> list[Floats]:
        """Weights of each block: ``use`` (one number an observation, 0: left out) over sigma squared."""
        return [use[block.index] / block.sigma**2 for block in self.blocks]

    def squares(self, rows: Rows, weights: list[Floats]) -> float:
        """Sum of the weighted squares of the residuals."""
        return float(sum((w * v**2).sum() for w, v in zip(weights, rows.residual, strict=True)))

    def times(self, slope: list[Floats], vectors: Floats) -> list[Floats]:
        """Derivatives of each block times vectors over the unknowns (n, r): (m, r)."""
        padded = np.vstack([vectors, np.zeros((1, vectors.shape[1]))])
        return [np.einsum("mc,mcr->mr", s, padded[c]) for s, c in zip(slope, self.columns, strict=True)]

    def gather(self, slope: list[Floats], values: list[Floats]) -> Floats:
        """The transposed derivatives times one number an observation: (n,)."""
        out = np.zeros(self.n)
        for s, c, v, held in zip(slope, self.filled, values, self.columns, strict=True):
            part = np.where(held < 0, 0.0, s * v[:, None])
            out += np.bincount(c.ravel(), weights=part.ravel(), minlength=self.n)[: self.n]
        out[self.pinned] = 0.0
        return out

    def scale(self, slope: list[Floats], weights: list[Floats]) -> Floats:
        """What an unknown is multiplied by so that its diagonal is about 1; the same for east and north of a point."""
        total = np.zeros(self.n)
        for s, c, w, held in zip(slope, self.filled, weights, self.columns, strict=True):
            part = np.where(held < 0, 0.0, s**2 * w[:, None])
            total += np.bincount(c.ravel(), weights=part.ravel(), minlength=self.n)[: self.n]
        east = self.first[self.first >= 0]
        total[east] = total[east + 1] = np.maximum(total[east], total[east + 1])
        return 1.0 / np.sqrt(np.where(total > 0.0, total, 1.0))

    def scaled(self, slope: list[Floats], scale: Floats) -> list[Floats]:
        """Derivatives by the scaled unknowns; nothing by what is held or pinned."""
        factor = scale.copy()
        factor[self.pinned] = 0.0
        return [
            np.where(held < 0, 0.0, s * factor[c]) for s, c, held in zip(slope, self.filled, self.columns, strict=True)
        ]

    def factor(self, scaled: list[Floats], weights: list[Floats], damping: float = 0.0) -> Factor:
        """The normal equations of scaled derivatives, ``damping`` added to their diagonal, factored.

        Directions that only rounding keeps from being null are found by asking the observations, and taken for null.
        """
        void: dict[int, float] = {}
        factor = self._factored(scaled, weights, damping, void)
        while not damping and (found := self._unnoticed(factor, scaled, weights)) and found.items() - void.items():
            void |= found
            factor = self._factored(scaled, weights, damping, void)
        return factor

    def _unnoticed(self, factor: Factor, scaled: list[Floats], weights: list[Floats]) -> dict[int, float]:
        """Fronts with weak directions that no observation notices, and a little more than what those keep."""
        if not factor.weak:
            return {}
        motions = factor.motions(factor.weak)
        moves = zip(self.times(scaled, motions), weights, strict=True)
        noticed = sum((w[:, None] * move**2).sum(axis=0) for move, w in moves) / (motions**2).sum(axis=0)
        found: dict[int, float] = {}
        for (front, _), keeps, seen in zip(factor.weak, factor.kept, noticed.tolist(), strict=True):
            if seen < _UNSEEN:
                found[front] = max(found.get(front, 0.0), 1.01 * keeps)
        return found

    def _factored(self, scaled: list[Floats], weights: list[Floats], damping: float, void: dict[int, float]) -> Factor:
        assert self.pattern is not None
        products = [
            (s[:, :, None] * (s * w[:, None])[:, None, :]).ravel() for s, w in zip(scaled, weights, strict=True)
        ]
        numbers = np.asarray(np.bincount(self._where, np.concatenate(products), self.pattern.size), dtype=np.float64)
        if damping:
            numbers[self.diagonal] += damping
        numbers[self.diagonal[self.pinned]] = 1.0
        return Factor(self.pattern, numbers, void)

    def moved(self, state: State, step: Floats) -> State:
        """The state after a step of the unknowns (n,)."""
        places = state.places.copy()
        free = self.first >= 0
        east = self.first[free]
        places[free] += np.stack([step[east], step[east + 1]], axis=1)
        return State(places, state.zeros + step[self.zero_at])


def _fill(columns: Ints) -> Ints:
    """Columns with those of held points replaced by another of the row; their derivative is nothing."""
    if not columns.shape[1]:
        return columns
    real = np.where(columns < 0, np.iinfo(np.int64).max, columns).min(axis=1)
    real = np.where(real == np.iinfo(np.int64).max, 0, real)
    return np.where(columns < 0, real[:, None], columns)


def _edges(blocks: list[Block], moving: Flags) -> Ints:
    """Distinct pairs of points that share an observation and have unknowns."""
    n = len(moving)
    keys = []
    for block in blocks:
        k = block.points.shape[1]
        for i in range(k):
            for j in range(i):
                a, b = block.points[:, i], block.points[:, j]
                both = moving[a] & moving[b] & (a != b)
                keys.append((np.minimum(a, b) * n + np.maximum(a, b))[both])
    # counted, because plain np.unique loads numpy's masked arrays, which takes longer than a small network
    found = np.unique(np.concatenate(keys), return_counts=True)[0] if keys else np.zeros(0, dtype=np.int64)
    return np.stack([found // n, found % n], axis=1)


def _rank_in_group(group: Ints) -> Ints:
    """0, 1, 2, ... among the equal numbers, in order."""
    order = np.argsort(group, kind="stable")
    ranked = group[order]
    begins = np.concatenate([[0], np.flatnonzero(np.diff(ranked)) + 1]) if len(group) else np.zeros(0, dtype=np.int64)
    lengths = np.diff(np.append(begins, len(group)))
    out = np.empty(len(group), dtype=np.int64)
    out[order] = np.arange(len(group)) - np.repeat(begins, lengths)
    return out
