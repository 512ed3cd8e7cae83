"""Which reading is wrong: one at a time, the one that disagrees most, and who else it might be.

Drop the reading with the largest |w| above 3.2905, adjust again, and so on. Another reading may explain the same: j is
named beside i where i would pass once j were left out instead, w_i - rho w_j being small against sqrt(1 - rho^2) (rho
is the correlation of the two tests), and where leaving out j lowers the sum of squares nearly as much: w_i^2 - w_j^2
below 6.63 (chi-square, 99 %, one degree of freedom). With one degree of freedom rho is 1 and every reading is named.

A held point that was given a wrong place makes every reading to it look wrong. Its test asks how much the sum falls if
the point may move: T = g^T M^-1 g, with g the pull of the readings on it and M its normal matrix when everything else
gives way. Where T beats the best w^2 by more than 6.63, the point is named and let go before readings are blamed.

Source: Baarda (1968) for data snooping; both comparisons are likelihood ratios.
"""

from __future__ import annotations

import numpy as np

from palewright.errors import ProblemError
from palewright.model import Suspect
from palewright.record import Record
from palewright.survey.fitting import Fitting, fit
from palewright.survey.quality import AS_GOOD, CRITICAL
from palewright.survey.rows import Flags, Floats, Ints
from palewright.survey.settle import DONE

__all__ = ["CHECKED", "Contradiction", "Snooped", "contradicted", "snoop", "w_tests"]

CHECKED = 1e-6
"""Redundancy below which nothing checks a reading."""
_MANY_HELD = 40
_QUICK = 1e-2


class Contradiction(Record):
    """A held point that the readings would have elsewhere.

    point
        its number; ``shift``: where to, east and north [m]. gain: T, by how much the sum of squares falls. rank: how
        many directions the readings check, 2 or 1. rivals: other held points that explain it as well.
    """

    point: int
    shift: tuple[float, float]
    gain: float
    rank: int
    rivals: tuple[int, ...]


class Snooped(Record):
    """What snooping found: readings in the order they were dropped, and the fit without them.

    stopped
        more readings disagree than can be blunders, or a held point is contradicted that cannot be let go.
    """

    fitting: Fitting
    suspects: tuple[Suspect, ...]
    contradiction: Contradiction | None
    stopped: bool


def w_tests(fitting: Fitting) -> Floats:
    """(m,) Baarda's w of every reading that is checked; nan for the others, and for what is assumed."""
    r = fitting.redundancy
    checked = (r > CHECKED) & ~fitting.arrays.assumed
    with np.errstate(invalid="ignore", divide="ignore"):
        w = fitting.residual / (fitting.arrays.sigma * np.sqrt(r))
    return np.where(checked, w, np.nan)


def snoop(whole: Fitting) -> Snooped:
    """Drop readings one at a time until no |w| is above CRITICAL; in between one step of the adjustment is enough."""
    fitting, suspects = whole, list[Suspect]()
    use = np.where(fitting.arrays.out, 0.0, 1.0)
    most = max(3, int(use.sum()) // 10)
    held, stopped = None, False
    while fitting.dof > 0 and not stopped:
        w = w_tests(fitting)
        size = np.nan_to_num(np.abs(w))
        worst = int(np.flatnonzero(size >= size.max() * (1.0 - 1e-9))[0])
        if size[worst] <= CRITICAL:
            break
        held = contradicted(fitting, size)
        held = held if held is not None and held.gain > float(size[worst]) ** 2 + AS_GOOD else None
        stopped = held is not None or len(suspects) == most
        if not stopped:
            among = _rivals(fitting, w, worst)
            by = float(-fitting.residual[worst] / fitting.redundancy[worst])
            suspects.append(Suspect(worst, by, alone=len(among) == 1, among=among if len(among) > 1 else ()))
            use[worst] = 0.0
            fewer = _fit_of(fitting, use, whole.loose, _QUICK)
            if fewer is None:  # what was found so far is all
                suspects.pop()
                use[worst], stopped = 1.0, True
            fitting = fewer or fitting
    while suspects:
        exact = _fit_of(fitting, use, whole.loose)
        if exact is not None:
            return Snooped(exact, tuple(suspects), held, stopped)
        use[suspects.pop().index], stopped = 1.0, True
    return Snooped(whole, (), held, stopped)


def _fit_of(fitting: Fitting, use: Floats, loose: Flags, share: float = DONE) -> Fitting | None:
    """The fit of fewer readings; None where they are too far off to come to rest, or come to rest where a point that
    all of them fix can move."""
    try:
        fewer = fit(fitting.arrays, use.copy(), fitting.settled.state, share)
    except ProblemError:
        return None
    return None if (fewer.loose & ~loose).any() else fewer


def _rivals(fitting: Fitting, w: Floats, worst: int) -> tuple[int, ...]:
    """Readings that may be the wrong one instead of ``worst``, which is among them."""
    system, settled, sigma = fitting.arrays.system, fitting.settled, fitting.arrays.sigma
    if settled.factor is None:  # every point is held: readings do not share an error
        return (worst,)
    where, row = next(
        (b, int(np.flatnonzero(block.index == worst)[0]))
        for b, block in enumerate(system.blocks)
        if worst in block.index
    )
    pull = np.zeros(system.n)
    np.add.at(pull, system.filled[where][row], settled.scaled[where][row])
    column = settled.factor.solve(pull)
    shared = system.in_order([(s * column[c]).sum(axis=1) for s, c in zip(settled.scaled, system.filled, strict=True)])
    spread = sigma * np.sqrt(np.maximum(fitting.redundancy, CHECKED))
    with np.errstate(invalid="ignore"):
        rho = np.clip(-shared / (spread * spread[worst]), -1.0, 1.0)
        rest = np.sqrt(np.maximum(1.0 - rho**2, 1e-8))
        passes = np.abs(w[worst] - rho * w) <= CRITICAL * rest
        rivals = passes & (w[worst] ** 2 - w**2 < AS_GOOD)
    rivals[worst] = True
    return tuple(int(k) for k in np.flatnonzero(rivals))


def contradicted(fitting: Fitting, size: Floats) -> Contradiction | None:
    """The held point whose place the readings contradict most, if any held point is checked.

    size
        (m,) |w|, 0 where there is none: with many held points only those of readings above CRITICAL are looked at.
    """
    system, settled = fitting.arrays.system, fitting.settled
    held = np.flatnonzero(system.held)
    if len(held) > _MANY_HELD:
        bad = [block.points[size[block.index] > CRITICAL].ravel() for block in system.blocks]
        held = np.intersect1d(held, np.concatenate(bad))
    if not len(held) or settled.factor is None:
        return None
    pull, own, cross = _held_normals(fitting, held)
    own = own - np.einsum(
        "nki,nkj->kij", cross, settled.factor.solve(cross.reshape(len(cross), -1)).reshape(cross.shape)
    )
    found = []
    for k in range(len(held)):
        values, vectors = np.linalg.eigh(own[k])
        good = values > 1e-9 * max(float(np.trace(own[k])), 1e-300)
        if good.any() and values.max() > 0.0:
            kept = vectors[:, good]
            shift = -kept @ ((kept.T @ pull[k]) / values[good])
            found.append((float(-shift @ pull[k]), int(held[k]), shift, int(good.sum())))
    if not found:
        return None
    most = max(item[0] for item in found)
    best = next(item for item in found if item[0] >= most * (1.0 - 1e-6))
    rivals = tuple(item[1] for item in found if item[0] > best[0] - AS_GOOD and item[1] != best[1])
    return Contradiction(best[1], (float(best[2][0]), float(best[2][1])), best[0], best[3], rivals)


def _held_normals(fitting: Fitting, held: Ints) -> tuple[Floats, Floats, Floats]:
    """For each held point (h): pull (h, 2), its own normal matrix (h, 2, 2), and that with the unknowns (n, h, 2)."""
    system, settled = fitting.arrays.system, fitting.settled
    number = np.full(len(system.held), -1, dtype=np.int64)
    number[held] = np.arange(len(held))
    pull, own = np.zeros((len(held), 2)), np.zeros((len(held), 2, 2))
    cross = np.zeros((system.n, len(held), 2))
    parts = zip(
        system.blocks,
        settled.rows.residual,
        settled.rows.slope,
        settled.scaled,
        system.filled,
        settled.weights,
        strict=True,
    )
    for block, residual, slope, scaled, columns, weight in parts:
        for j in range(block.points.shape[1]):
            rows = np.flatnonzero(number[block.points[:, j]] >= 0)
            k, s, w = number[block.points[rows, j]], slope[rows, 2 * j : 2 * j + 2], weight[rows, None]
            np.add.at(pull, k, s * w * residual[rows, None])
            np.add.at(own, k, (s * w)[:, :, None] * s[:, None, :])
            at = (columns[rows], np.broadcast_to(k[:, None], columns[rows].shape))
            np.add.at(cross, at, scaled[rows][:, :, None] * (s * w)[:, None, :])
    return pull, own, cross
