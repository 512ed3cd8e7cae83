"""Which tape to take next: the one after which the places that matter are known best."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.model import Advice, Observation
from palewright.plane import XY

__all__ = ["next_tapes"]

_MOST_POINTS = 100
_SHORTEST_M = 0.3
_WORTH = 0.02
_LINES_FIRST = 2.0

Matrix = NDArray[np.float64]


def next_tapes(
    at: Mapping[str, XY],
    covariance: Callable[[tuple[str, ...]], Matrix],
    matter: Sequence[tuple[str, ...]],
    observations: Sequence[Observation],
    sigma: Callable[[float], float],
    *,
    tape_m: float = 30.48,
    count: int = 3,
    first: Sequence[Advice] = (),
) -> tuple[Advice, ...]:
    """One to three further tapes, the best first, each with what it does for the place that gains most by it.

    at
        adjusted places of the points that are determined [m]; only these are taped between.
    covariance
        covariance of some points together, (2 k, 2 k), east and north of each in turn [m2]; of held points zero.
    matter
        the places that matter: (point,) its standard ellipse counts, or (point, a, b) its distance from the line a-b.
    observations
        what was measured already: no pair is taped twice. sigma: of a tape of so many metres [m].
    tape_m
        length of the tape. count: how many to name. first: advice for points not determined; it
        goes before, and counts.
    Every pair of points within the tape is tried (of more than 100 points, the nearest to the places that matter). One
    tape more changes the covariance Q to Q - (Q a)(Q a)' / (sigma^2 + a' Q a), where a holds the unit vector of the
    tape at one end and its opposite at the other: exact for the network as adjusted. The tape with the largest sum of
    gains is taken, then the next with the covariance that it leaves. Nothing is named that betters no place by 2 %;
    where no tape alone does, two are named that do together, each with what both do.
    Named with a tape is the place that gains most; a distance from a line before a point that gains less than twice as
    much: it says where the fence may stand. ``before`` and ``after`` are semi-major axes, or standard deviations of the
    distance from a line [m, one sigma].
    Whether one can see, or stretch a tape, from one point to the other is not known here and not looked at.
    Raises KeyError for a place that matters and is not in ``at``, ValueError for a line without length.
    Source: rank-one update (Sherman-Morrison); greedy choice.

    >>> at = {"A": (0.0, 0.0), "B": (20.0, 0.0), "P": (10.0, 2.0)}
    >>> def covariance(names):
    ...     return np.diag([v for name in names for v in ((1e-4, 9e-4) if name == "P" else (0.0, 0.0))])
    >>> at["C"] = (10.0, -18.0)
    >>> [a.points for a in next_tapes(at, covariance, [("P",)], (), lambda length: 0.01, count=1)]
    [('P', 'C')]
    """
    answers = list(first)
    names = _near(at, matter, tape_m)
    pairs, units, lengths = _pairs(names, at, observations, tape_m)
    if not len(pairs) or not matter:
        return tuple(answers)
    work = _Work(
        np.array(covariance(tuple(names)), dtype=float),
        pairs,
        units,
        np.array([sigma(float(length)) for length in lengths]) ** 2,
        [_rows(place, names, at) for place in matter],
        np.array([_LINES_FIRST if len(place) > 1 else 1.0 for place in matter]),
    )
    while len(answers) < count:
        chosen = work.next(2 if len(answers) + 1 < count else 1)
        if chosen is None:
            break
        tapes, most, before, after = chosen
        point, *line = matter[most]
        for tape in tapes:
            ends = (names[pairs[tape][0]], names[pairs[tape][1]])
            answers.append(Advice("distance", ends, point, before, after, tuple(line)))
    return tuple(answers)


@dataclass(slots=True)
class _Work:
    """The covariance as the tapes chosen so far leave it, and what each further one would do.

    q
        (2 n, 2 n) [m2]. noise: variance of each pair's tape [m2], infinite where it was chosen. rows, weight: of the
        places that matter.
    """

    q: Matrix
    pairs: NDArray[np.int64]
    units: Matrix
    noise: Matrix
    rows: list[Matrix]
    weight: Matrix

    def next(self, most: int) -> tuple[list[int], int, float, float] | None:
        """The tape that betters most, or, where ``most`` is 2 and none does by itself, the two that do together.

        A place as badly known in all directions, as by a phone, is not bettered by one tape. Returns the tapes, the
        place that gains most, and how well that is known before and after; None where nothing is worth it.
        """
        before = self._sizes()
        after = self._after(_axis)
        one = int(np.argmax(np.sum(before[:, None] - after, axis=0)))
        if float(np.max((before - after[:, one]) / np.maximum(before, 1e-300))) >= _WORTH:
            self._take(one)
            return self._said([one], before, after[:, one])
        if most < 2:
            return None
        kept = self.q, self.noise.copy()
        first = int(np.argmin(np.sum(self._after(_mean), axis=0)))
        self._take(first)
        after = self._after(_axis)
        second = int(np.argmax(np.sum(before[:, None] - after, axis=0)))
        if float(np.max((before - after[:, second]) / np.maximum(before, 1e-300))) < _WORTH:
            self.q, self.noise = kept
            return None
        self._take(second)
        return self._said([first, second], before, after[:, second])

    def _said(self, tapes: list[int], before: Matrix, after: Matrix) -> tuple[list[int], int, float, float]:
        place = int(np.argmax((before - after) * self.weight))
        return tapes, place, float(before[place]), float(after[place])

    def _sizes(self) -> Matrix:
        return np.array([_axis((f @ self.q @ f.T)[None])[0] for f in self.rows])

    def _strength(self) -> Matrix:
        return np.asarray(self.noise + _along(_both(self.q, self.pairs, self.units), self.pairs, self.units))

    def _after(self, size: Callable[[Matrix], Matrix]) -> Matrix:
        """(places, pairs): how large each place is after each tape."""
        strength = self._strength()
        return np.stack([size(_left(f, self.q, self.pairs, self.units, strength)) for f in self.rows])

    def _take(self, tape: int) -> None:
        step = _both(self.q, self.pairs[tape : tape + 1], self.units[tape : tape + 1])[0]
        self.q = self.q - np.outer(step, step) / self._strength()[tape]
        self.noise[tape] = math.inf


def _near(at: Mapping[str, XY], matter: Sequence[tuple[str, ...]], tape_m: float) -> list[str]:
    """The places that matter and the points about them, no more than the limit."""
    wanted = list(dict.fromkeys(name for place in matter for name in place))
    centres = np.array([at[name] for name in wanted]).reshape(-1, 2)
    rest = [name for name in at if name not in set(wanted)]
    if not wanted or not rest:
        return wanted
    away = np.min(np.linalg.norm(np.array([at[name] for name in rest])[:, None] - centres[None], axis=2), axis=1)
    order = np.argsort(away, kind="stable")[: max(0, _MOST_POINTS - len(wanted))]
    return wanted + [rest[k] for k in order if away[k] <= tape_m]


def _pairs(
    names: Sequence[str], at: Mapping[str, XY], observations: Sequence[Observation], tape_m: float
) -> tuple[NDArray[np.int64], Matrix, Matrix]:
    """Pairs not yet taped and within the tape: (m, 2) indices, (m, 2) unit vectors, (m,) lengths."""
    number = {name: k for k, name in enumerate(names)}
    taped = {frozenset(o.points) for o in observations if o.kind == "distance" and o.source != "record"}
    xy = np.array([at[name] for name in names]).reshape(-1, 2)
    one, two = np.triu_indices(len(names), 1)
    lengths = np.linalg.norm(xy[two] - xy[one], axis=1)
    done = {(min(k), max(k)) for k in (tuple(number.get(name, -1) for name in pair) for pair in taped) if len(k) == 2}
    fresh = np.array([pair not in done for pair in zip(one.tolist(), two.tolist(), strict=True)], dtype=bool)
    keep = (lengths <= tape_m) & (lengths >= _SHORTEST_M) & fresh
    one, two, lengths = one[keep], two[keep], lengths[keep]
    return np.stack([one, two], axis=1), (xy[two] - xy[one]) / lengths[:, None], lengths


def _rows(place: tuple[str, ...], names: Sequence[str], at: Mapping[str, XY]) -> Matrix:
    """What of the points together a place that matters is: two rows for a point, one for the distance from a line."""
    k = [2 * names.index(name) for name in place]
    if len(place) == 1:
        rows = np.zeros((2, 2 * len(names)))
        rows[0, k[0]] = rows[1, k[0] + 1] = 1.0
        return rows
    p, a, b = (np.array(at[name]) for name in place)
    length = float(np.linalg.norm(b - a))
    if length == 0.0:
        raise ValueError("the two ends of a line are in one place")
    d = (b - a) / length
    normal, share = np.array([-d[1], d[0]]), float((p - a) @ d) / length
    rows = np.zeros((1, 2 * len(names)))
    for start, weight in zip(k, (1.0, share - 1.0, -share), strict=True):
        rows[0, start : start + 2] += weight * normal
    return rows


def _both(q: Matrix, pairs: NDArray[np.int64], units: Matrix) -> Matrix:
    """(m, 2 n): covariance of every coordinate with the length of each pair."""
    blocks = q.reshape(len(q), -1, 2)
    difference = blocks[:, pairs[:, 1]] - blocks[:, pairs[:, 0]]
    return np.asarray(np.einsum("nmk,mk->mn", difference, units))


def _along(steps: Matrix, pairs: NDArray[np.int64], units: Matrix) -> Matrix:
    """(m,) variance of the length of each pair."""
    blocks = steps.reshape(len(steps), -1, 2)
    m = np.arange(len(pairs))
    return np.asarray(np.sum((blocks[m, pairs[:, 1]] - blocks[m, pairs[:, 0]]) * units, axis=1))


def _left(rows: Matrix, q: Matrix, pairs: NDArray[np.int64], units: Matrix, strength: Matrix) -> Matrix:
    """(m, 2, 2) or (m, 1, 1) covariance of a place after each pair is taped."""
    g = _both(q, pairs, units) @ rows.T
    return np.asarray((rows @ q @ rows.T)[None] - g[:, :, None] * g[:, None, :] / strength[:, None, None])


def _mean(covariance: Matrix) -> Matrix:
    """(m,) root of the sum of the variances."""
    return np.asarray(np.sqrt(np.maximum(np.trace(covariance, axis1=1, axis2=2), 0.0)))


def _axis(covariance: Matrix) -> Matrix:
    """(m,) semi-major axis of (m, 2, 2), or standard deviation of (m, 1, 1)."""
    if covariance.shape[1] == 1:
        return np.sqrt(np.maximum(covariance[:, 0, 0], 0.0))
    mean = (covariance[:, 0, 0] + covariance[:, 1, 1]) / 2.0
    half = np.hypot((covariance[:, 0, 0] - covariance[:, 1, 1]) / 2.0, covariance[:, 0, 1])
    return np.sqrt(np.maximum(mean + half, 0.0))
