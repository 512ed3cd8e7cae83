"""One adjustment of a network: the minimum, what is determined there, covariance and redundancy.

Assumed observations (a right angle nobody measured) are left out as long as the measured ones fix the points. Where
they do not, the motions that stay open are found, and assumed observations taken one by one, the one that fixes most
first, until nothing they can fix is open. Each fixes one motion exactly, so its residual and redundancy are 0, the
redundancy of every measured reading is what it was, and the degrees of freedom are those of the measurements alone.
"""

from __future__ import annotations

import numpy as np

from palewright.record import Record
from palewright.survey.datum import Covariance, datum_of, motions, pins, placed, unseen
from palewright.survey.network_arrays import Arrays, size_of
from palewright.survey.rows import Flags, Floats, Ints
from palewright.survey.settle import DONE, Settled, settle, unsettled
from palewright.survey.system import State, System

__all__ = ["Fitting", "checks_of", "fit"]

_MOVES = 1e-6
"""A point that moves less than this share of the point that moves most does not take part in a motion."""
_LARGE = 10
_SIGMAS = 30.0
_SHAKEN = 0.3
"""Points are put so far from where they are, as a share of the network, to lie in no line or circle (our choice)."""


class Fitting(Record):
    """A network at its minimum.

    use (m,)
        1 for the observations that took part. leaned: assumed observations among them. loose (points,): not determined.
    dof
        degrees of freedom. residual (m,), spread (m,): adjusted minus observed, and the variance of the adjusted value
        [unit of the observation squared]; spread is invariant to the datum.
    point_cov (points, 2, 2)
        [m2]. begun: the places it came from.
    """

    arrays: Arrays
    settled: Settled
    covariance: Covariance | None
    use: Floats
    leaned: tuple[int, ...]
    loose: Flags
    dof: int
    residual: Floats
    spread: Floats
    point_cov: Floats
    begun: State

    @property
    def redundancy(self) -> Floats:
        """(m,) 1 minus the share of an observation's variance that is left after adjustment; 0 where it has no say."""
        return np.where(self.use > 0.0, 1.0 - self.spread / self.arrays.sigma**2, 0.0)


def fit(arrays: Arrays, use: Floats, start: State | None = None, share: float = DONE, bare: bool = False) -> Fitting:
    """Adjust, the observations that ``use`` (m,) marks with 1 taking part.

    start
        places to start from; None: the rough ones. share: as in :func:`palewright.survey.settle.settle`.
    bare
        the minimum and what is loose alone: in no datum, without spreads and covariances.
    Raises ProblemError ``network-does-not-settle``.
    """
    system, begun = arrays.system, start or arrays.start
    state = begun
    body, floats = _pin(arrays, state, use)
    leaned: tuple[int, ...] = ()
    both = use
    for _ in range(3):
        both, now = _lean(arrays, state, use)
        settled = settle(system, state, both, share)
        state = settled.state
        if now == leaned or not arrays.assumed.any():
            break
        leaned = now
    loose, open_motions = _loose(system, settled)
    loose |= floats
    covariance = Covariance(system, settled, None) if settled.factor else None
    loose |= _too_weak(system, settled.state, covariance)
    firm = body[~loose[body]]
    if len(firm) > 1 and not bare:
        settled, covariance = _in_datum(arrays, settled, both, firm)
    residual = system.in_order(settled.rows.residual)
    taking = int((both[~arrays.out] > 0.0).sum())
    return Fitting(
        arrays=arrays,
        settled=settled,
        covariance=covariance,
        use=np.where(arrays.out, 0.0, both),
        leaned=tuple(sorted(leaned)),
        loose=loose,
        dof=taking - (system.n - len(system.pinned) - open_motions),
        residual=residual,
        spread=_spread(system, settled, None if bare else covariance),
        point_cov=covariance.points() if covariance and not bare else np.zeros((len(arrays.names), 2, 2)),
        begun=begun,
    )


def checks_of(arrays: Arrays) -> int:
    """How many checks the measured observations have where points lie anyhow; -1 where something fixes not every point.

    The rank of the rows is largest there: what is not fixed there is fixed nowhere. Assumed observations may fix
    points, and check nothing.
    """
    start, system = arrays.start, arrays.system
    by = np.random.default_rng(1).uniform(-_SHAKEN, _SHAKEN, start.places.shape) * size_of(start.places)
    state = State(np.where(system.held[:, None], start.places, start.places + by), start.zeros)
    ranks: list[int] = []
    for use in (np.where(arrays.out, 0.0, 1.0), np.where(arrays.out | arrays.assumed, 0.0, 1.0)):
        _, floats = _pin(arrays, state, use)
        rows, weights = system.rows(state), system.weights(use)
        scale = system.scale(rows.slope, weights)
        factor = system.factor(system.scaled(rows.slope, scale), weights) if system.n else None
        open_motions = _normed(system, factor.null_space() * scale[:, None]) if factor and factor.loose else np.zeros(0)
        if not ranks and (floats.any() or open_motions.size):
            return -1
        ranks.append(system.n - len(system.pinned) - (len(factor.loose) if factor else 0))
    return int((~arrays.out & ~arrays.assumed).sum()) - ranks[1]


def labels(arrays: Arrays, use: Floats) -> Ints:
    """(points,) the number of the connected piece that each point is in; held points are all in one."""
    n = len(arrays.names)
    label = np.arange(n)
    ends = [np.flatnonzero(arrays.system.held)]
    joins = [np.stack([np.full_like(ends[0], ends[0][0] if len(ends[0]) else 0), ends[0]], axis=1)]
    for block in arrays.system.blocks:
        points = block.points[use[block.index] > 0.0]
        joins += [np.stack([points[:, 0], points[:, k]], axis=1) for k in range(1, points.shape[1])]
    edges = np.concatenate(joins)
    while len(edges):
        low = np.minimum(label[edges[:, 0]], label[edges[:, 1]])
        before = label.copy()
        np.minimum.at(label, label[edges[:, 0]], low)
        np.minimum.at(label, label[edges[:, 1]], low)
        label = label[label]
        if (label == before).all():
            break
    return label


def _pin(arrays: Arrays, state: State, use: Floats) -> tuple[Ints, Flags]:
    """Pin what floats as one body: a floating network, and large pieces without enough held points.

    Returns the body of a floating network (its largest piece; no points where held points keep it), and which points
    are loose because their piece floats. Small pieces are left to the factor, which sees their motions well enough.
    """
    system = arrays.system
    system.pinned = np.zeros(0, dtype=np.int64)
    loose = np.zeros(len(arrays.names), dtype=np.bool_)
    label = labels(arrays, use)
    size = np.bincount(label, minlength=1)
    main = int(np.argmax(size)) if arrays.floating else -1
    pinned = [system.pinned]
    for piece in np.flatnonzero((size >= _LARGE) | ((np.arange(len(size)) == main) & (size > 1))).tolist():
        body = np.flatnonzero(label == piece)
        moves = motions(system, state, None if piece == main else body)
        moves = moves @ unseen(system, state, system.weights(use), moves)
        pinned.append(pins(system, moves, body))
        if piece != main and moves.shape[1]:
            loose[body[~system.held[body]]] = True
    system.pinned = np.concatenate(pinned)
    return np.flatnonzero(label == main), loose


def _in_datum(arrays: Arrays, settled: Settled, use: Floats, body: Ints) -> tuple[Settled, Covariance]:
    """The same minimum moved into its datum over the determined points, with the covariance there.

    Raises ProblemError ``network-does-not-settle`` where readings that miss have laid points so that nothing holds it.
    """
    system, start, weights = arrays.system, arrays.start, settled.weights
    try:
        mix = unseen(system, settled.state, weights, motions(system, settled.state))
        settled = settle(system, placed(system, settled.state, start, mix, arrays.datum, body), use)
        mix = unseen(system, settled.state, weights, motions(system, settled.state))
        datum = datum_of(system, settled.state, start, mix, arrays.datum, body)
        return settled, Covariance(system, settled, datum)
    except (np.linalg.LinAlgError, OverflowError) as error:
        raise unsettled("points on one spot, or no size that the readings hold") from error


def _lean(arrays: Arrays, state: State, use: Floats) -> tuple[Floats, tuple[int, ...]]:
    """``use`` with the assumed observations that are needed marked too, and those."""
    assumed = np.flatnonzero(arrays.assumed & ~arrays.out & (use > 0.0))
    use = np.where(arrays.assumed, 0.0, use)
    system = arrays.system
    if not len(assumed) or not system.n:
        return use, ()
    rows, weights = system.rows(state), system.weights(use)
    scale = system.scale(rows.slope, weights)
    factor = system.factor(system.scaled(rows.slope, scale), weights)
    if not factor.loose:
        return use, ()
    motions = _normed(system, factor.null_space() * scale[:, None])
    says = np.zeros((system.count, motions.shape[1]))
    for block, effect in zip(system.blocks, system.times(rows.slope, motions), strict=True):
        says[block.index] = effect / block.sigma[:, None]
    chosen = _strongest(says[assumed], 1.0 / max(size_of(state.places), 1e-9))
    taken = assumed[chosen]
    use[taken] = 1.0
    return use, tuple(sorted(int(k) for k in taken))


def _strongest(says: Floats, least: float) -> list[int]:
    """Rows that fix the motions, one for each: the first that says at least half of what the strongest does."""
    rest = says.copy()
    chosen: list[int] = []
    while len(chosen) < rest.shape[1]:
        strength = np.linalg.norm(rest, axis=1)
        if not len(strength) or strength.max() <= least:
            break
        best = int(np.flatnonzero(strength >= 0.5 * strength.max())[0])
        chosen.append(best)
        row = rest[best] / strength[best]
        rest -= np.outer(rest @ row, row)
    return chosen


def _normed(system: System, motions: Floats) -> Floats:
    """Motions scaled so that the point that moves most moves 1 m; those that move no point are left out."""
    east = system.first[system.first >= 0]
    moves = np.hypot(motions[east], motions[east + 1]).max(axis=0, initial=0.0)
    return np.asarray(motions[:, moves > 0.0] / moves[moves > 0.0])


def _loose(system: System, settled: Settled) -> tuple[Flags, int]:
    """Points that take part in a motion that no observation notices, and how many such motions there are."""
    loose = np.zeros(len(system.first), dtype=np.bool_)
    if settled.factor is None or not settled.factor.loose:
        return loose, 0
    motions = _normed(system, settled.factor.null_space() * settled.scale[:, None])
    free = system.first >= 0
    east = system.first[free]
    loose[free] = (np.hypot(motions[east], motions[east + 1]) > _MOVES).any(axis=1)
    return loose, len(settled.factor.loose)


def _too_weak(system: System, state: State, covariance: Covariance | None) -> Flags:
    """Points whose standard ellipse is longer than the network, and than 30 of the worst length read: of them the rows
    say nothing."""
    if covariance is None:
        return np.zeros(len(system.first), dtype=np.bool_)
    block = covariance.points()
    longest = (block[:, 0, 0] + block[:, 1, 1]) / 2.0
    longest += np.hypot((block[:, 0, 0] - block[:, 1, 1]) / 2.0, block[:, 0, 1])
    angles = ("azimuth", "direction", "angle", "parallel")
    worst = max((float(block.sigma.max()) for block in system.blocks if block.kind not in angles), default=0.0)
    return np.asarray(np.sqrt(longest) > max(size_of(state.places), _SIGMAS * worst, 1e-9))


def _spread(system: System, settled: Settled, covariance: Covariance | None) -> Floats:
    """(m,) variance of every adjusted observation."""
    if covariance is None:
        return np.zeros(system.count)
    parts = [
        np.einsum("mi,mij,mj->m", s, covariance.inverse[e], s)
        for s, e in zip(settled.scaled, system.entries, strict=True)
    ]
    return system.in_order(parts)
