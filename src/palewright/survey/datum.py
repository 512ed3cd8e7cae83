"""What holds a floating network in place, and covariance in that datum.

A network whose observations do not fix its place is computed with a few unknowns pinned (any that will do), then moved
as a whole, its shape kept, until the conditions C^T (x - x0) = 0 of the datum hold, x0 being the rough places.
"free" has C = H, the motions themselves: then the sum of the squares of the moves from the rough places is smallest and
the mean variance of the points too (inner constraints). "least" keeps the first point and the direction to the second.

Covariance changes with S = I - H (C^T H)^-1 C^T:  Q' = S Q S^T  (S-transformation). Q is known where points share an
observation, C^T H has at most 4 rows, and Q C takes as many solves, so nothing dense is formed.

Source: W. Baarda, S-transformations and criterion matrices, Netherlands Geodetic Commission 5 (1973).
"""

from __future__ import annotations

import math

import numpy as np

from palewright.record import Record
from palewright.survey.rows import Floats, Ints
from palewright.survey.settle import Settled
from palewright.survey.system import State, System

__all__ = ["Covariance", "Datum", "datum_of", "motions", "moved_whole", "pins", "placed", "unseen"]

_UNSEEN = 1e-18
"""Share of the sum of squared derivatives below which a motion is not seen by the observations."""

_APART = 1e-6
"""Points nearer than this share of the size of a network are one spot (our own choice)."""


class Datum(Record):
    """The motions that no observation sees, and what is kept of them.

    mix (4, d)
        each free motion as a mixture of east, north, turn and growth. conditions (n, d): C, over the unknowns.
    """

    mix: Floats
    conditions: Floats


def motions(system: System, state: State, body: Ints | None = None) -> Floats:
    """Motions of points as one body (n, k): east, north, a clockwise turn and growth about the middle; each about 1 m.

    body
        numbers of the points, those that are held among them; None: all points of a floating network. One point held
        leaves the turn and the growth about it; more leave nothing.
    """
    body = np.arange(len(system.first)) if body is None else body
    held = body[system.held[body]]
    middle, reach = _middle(state.places[body])
    middle = state.places[held[0]] if len(held) else middle
    r = (state.places - middle) / reach
    moves = np.zeros((system.n, 4))
    east = system.first[body[~system.held[body]]]
    free = body[~system.held[body]]
    moves[east, 0] = 1.0
    moves[east + 1, 1] = 1.0
    moves[east, 2], moves[east + 1, 2] = r[free, 1], -r[free, 0]
    moves[east, 3], moves[east + 1, 3] = r[free, 0], r[free, 1]
    moves[system.zero_at[np.isin(system.station, body)], 2] = 1.0 / reach
    return moves[:, (4 if len(held) > 1 else 2 if len(held) else 0) :]


def _middle(places: Floats) -> tuple[Floats, float]:
    """Middle of some places, and how far from it they are (root mean square) [m]."""
    middle = places.mean(axis=0)
    return middle, max(float(np.sqrt(((places - middle) ** 2).sum(axis=1).mean())), 1e-9)


def moved_whole(state: State, part: Floats) -> State:
    """The state after a motion of the whole (east, north, turn, growth as in :func:`motions`), shape kept exactly."""
    middle, reach = _middle(state.places)
    turn, growth = part[2] / reach, math.exp(part[3] / reach)
    c, s = math.cos(turn), math.sin(turn)
    r = (state.places - middle) * growth
    places = np.stack([r[:, 0] * c + r[:, 1] * s, r[:, 1] * c - r[:, 0] * s], axis=1) + middle + part[:2]
    return State(places, state.zeros + turn)


def unseen(system: System, state: State, weights: list[Floats], moves: Floats) -> Floats:
    """(k, d): mixtures of some motions (n, k) that no observation with a weight sees."""
    slope = system.rows(state).slope
    seen = [v * np.sqrt(w)[:, None] for v, w in zip(system.times(slope, moves), weights, strict=True)]
    total = sum(float((w[:, None] * s**2).sum()) for w, s in zip(weights, slope, strict=True))
    _, values, vectors = np.linalg.svd(np.vstack([*seen, np.zeros((4, moves.shape[1]))]), full_matrices=False)
    return np.asarray(vectors[values**2 <= _UNSEEN * max(total, 1e-300)].T)


def pins(system: System, moves: Floats, body: Ints) -> Ints:
    """As many unknowns of the points ``body`` as there are motions (n, d); holding them stops every motion."""
    east = system.first[body[~system.held[body]]]
    unknowns = np.stack([east, east + 1], axis=1).ravel()
    rest = moves[unknowns]
    chosen = []
    for _ in range(moves.shape[1]):
        best = int(np.argmax((rest**2).sum(axis=1)))
        chosen.append(int(unknowns[best]))
        row = rest[best] / np.linalg.norm(rest[best])
        rest -= np.outer(rest @ row, row)
    return np.array(chosen, dtype=np.int64)


def datum_of(system: System, state: State, start: State, mix: Floats, kind: str, body: Ints) -> Datum:
    """The conditions of a datum over the points ``body``.

    kind
        "free", or "least": the first of ``body`` stands where ``start`` has it, then the direction to the second is
        kept, then the distance; as many as there are motions. Where those two are one spot the next one counts.
    """
    moves = motions(system, state) @ mix
    if kind == "free":
        unknowns = np.stack([system.first[body], system.first[body] + 1], axis=1).ravel()
        conditions = np.zeros_like(moves)
        conditions[unknowns] = moves[unknowns]
        return Datum(mix, conditions)
    second = _apart(state.places, start.places, body)
    one, two = system.first[[body[0], second]]
    d = start.places[second] - start.places[body[0]]
    u = d / max(float(np.hypot(*d)), 1e-300)
    wanted = np.zeros((4, system.n))
    wanted[0, one] = wanted[1, one + 1] = 1.0
    wanted[2, two], wanted[2, two + 1] = -u[1], u[0]
    wanted[3, two], wanted[3, two + 1] = u
    kept: list[Floats] = []
    for row in wanted:
        trial = np.array([*kept, row]) @ moves
        if np.linalg.matrix_rank(trial, tol=1e-9) == len(trial):
            kept.append(row)
    return Datum(mix, np.array(kept).reshape(-1, system.n).T)


def _apart(places: Floats, rough: Floats, body: Ints) -> int:
    """The first point of ``body`` after its first that stands apart from that, or its second where none does.

    Readings that miss may lay two points on one spot: the direction from one to the other would then keep nothing.
    """
    far = np.minimum(*(np.hypot(*(p[body[1:]] - p[body[0]]).T) for p in (places, rough)))
    return int(body[1 + int(np.argmax(far > _APART * _middle(places)[1]))])


def placed(system: System, state: State, start: State, mix: Floats, kind: str, body: Ints) -> State:
    """The network moved as a whole until the conditions hold against the rough places ``start``."""
    for _ in range(20):
        conditions = datum_of(system, state, start, mix, kind, body).conditions
        off = conditions.T @ _difference(system, state, start)
        part = mix @ -np.linalg.solve(conditions.T @ motions(system, state) @ mix, off)
        state = moved_whole(state, part)
        if float(np.abs(part).max(initial=0.0)) < 1e-12:
            break
    return state


def _difference(system: System, state: State, start: State) -> Floats:
    out = np.zeros(system.n)
    free = system.first >= 0
    out[system.first[free]], out[system.first[free] + 1] = (state.places - start.places)[free].T
    return out


class Covariance:
    """Covariance of unknowns [m2, m rad] at a minimum, in a datum; sigma of the observations taken as known."""

    def __init__(self, system: System, settled: Settled, datum: Datum | None) -> None:
        self._system = system
        self._settled = settled
        self._pinned = system.pinned  # a later fit of the same network pins others
        assert settled.factor is not None
        self.inverse = settled.factor.selected_inverse()
        self._motion: Floats | None = None
        if datum is not None and datum.mix.shape[1]:
            moves = motions(system, settled.state) @ datum.mix
            self._motion = moves @ np.linalg.inv(datum.conditions.T @ moves)
            self._cross = self._plain(datum.conditions)
            self._core = datum.conditions.T @ self._cross

    def _plain(self, right: Floats) -> Floats:
        """The inverse with pinned unknowns standing still, times vectors (n, r)."""
        scale = self._settled.scale[:, None]
        assert self._settled.factor is not None
        out = self._settled.factor.solve(right * scale) * scale
        out[self._pinned] = 0.0
        return out

    def points(self) -> Floats:
        """(points, 2, 2) covariance of every point; zero where it is held."""
        system = self._system
        out = np.zeros((len(system.first), 2, 2))
        free = np.flatnonzero(system.first >= 0)
        if not len(free) or system.pattern is None:
            return out
        pair = system.first[free][:, None] + np.arange(2)
        still = np.isin(pair, self._pinned)
        block = self.inverse[system.pattern.places(pair)]
        block[still[:, :, None] | still[:, None, :]] = 0.0
        scale = self._settled.scale[pair]
        block = block * scale[:, :, None] * scale[:, None, :]
        out[free] = block + self._shift(pair, pair)
        return out

    def _shift(self, one: Ints, two: Ints) -> Floats:
        """What the datum adds to the covariance of unknowns ``one`` (k, 2) and ``two`` (k, 2): (k, 2, 2)."""
        if self._motion is None:
            return np.zeros((len(one), 2, 2))
        h1, h2, k1, k2 = self._motion[one], self._motion[two], self._cross[one], self._cross[two]
        k2 = k2 - h2 @ self._core.T
        return np.asarray(-np.einsum("kid,kjd->kij", h1, k2) - np.einsum("kid,kjd->kij", k1, h2))

    def between(self, points: Ints) -> Floats:
        """(2 k, 2 k) covariance of any k points, east and north in turn; costs 2 k solves."""
        system = self._system
        unknowns = np.stack([system.first[points], system.first[points] + 1], axis=1).ravel()
        free = np.flatnonzero(np.repeat(system.first[points] >= 0, 2))
        out = np.zeros((len(unknowns), len(unknowns)))
        column = unknowns[free]
        right = np.zeros((system.n, len(column)))
        right[column, np.arange(len(column))] = 1.0
        right[self._pinned] = 0.0
        block = self._plain(right)[column]
        if self._motion is not None:
            h, k = self._motion[column], self._cross[column]
            block = block - h @ k.T - k @ h.T + h @ self._core @ h.T
        out[np.ix_(free, free)] = (block + block.T) / 2.0
        return out
