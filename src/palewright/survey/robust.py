"""Robust estimates: readings that disagree count for less, none is thrown out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.model import Network
from palewright.record import Record
from palewright.survey.beginning import Rough, first_fit
from palewright.survey.datum import motions, placed, unseen
from palewright.survey.network_checks import check_network
from palewright.survey.rows import Floats
from palewright.survey.settle import settle

__all__ = ["HUBER_K", "RobustFit", "robust"]

HUBER_K = 1.345
"""Huber's constant [standard deviations]: 95 % of the efficiency of least squares on good readings; from memory."""
_MOST_ROUNDS = 500
_STILL = 1e-8


class RobustFit(Record):
    """A robust estimate.

    places
        by name [m]. residuals: adjusted minus observed [unit of the value].
    weights
        0 to 1, what each reading counts for; ``rounds`` of reweighting were made.
    """

    places: dict[str, tuple[float, float]]
    residuals: tuple[float, ...]
    weights: tuple[float, ...]
    rounds: int


def robust(network: Network, loss: str = "huber", rough: Rough | None = None) -> RobustFit:
    """Places that a few wrong readings hardly move.

    loss
        "huber": a residual beyond 1.345 sigma pulls no harder than at 1.345 sigma; "cauchy": weight 1 / (1 + (v /
        sigma)^2), a reading far off pulls hardly at all. rough: as in :func:`palewright.survey.adjust`.
    Returns a :class:`RobustFit`: an independent opinion on which reading is wrong, without covariance. Starts from
    least squares; the minimum of "cauchy" nearest to it.
    Raises ProblemError as ``adjust`` does, and ``network-loss-unknown``.
    Iteratively reweighted least squares. Source: P. Huber, Robust Statistics (1981).
    """
    problems = check_network(network)
    if problems:
        raise ProblemError(problems)
    weigh = _LOSSES.get(loss)
    if weigh is None:
        what = "a loss for robust adjustment is not known"
        raise ProblemError(Problem("network-loss-unknown", what, found=loss, allowed=", ".join(_LOSSES)))
    _, first = first_fit(network, rough)
    arrays = first.arrays
    state, residual, weights = first.settled.state, first.residual, first.use
    rounds, still = 0, False
    while not still and rounds < _MOST_ROUNDS:
        rounds += 1
        new = np.where(first.use > 0.0, weigh(residual / arrays.sigma), 0.0)
        still = float(np.abs(new - weights).max(initial=0.0)) < _STILL
        weights = new
        settled = settle(arrays.system, state, weights)
        state, residual = settled.state, arrays.system.in_order(settled.rows.residual)
    if arrays.floating:
        body = np.flatnonzero(~first.loose)
        mix = unseen(arrays.system, state, arrays.system.weights(weights), motions(arrays.system, state))
        state = placed(arrays.system, state, arrays.start, mix, arrays.datum, body)
    places = {name: (x, y) for name, (x, y) in zip(arrays.names, state.places.tolist(), strict=True)}
    return RobustFit(places, tuple(residual.tolist()), tuple(weights.tolist()), rounds)


def _huber(u: Floats) -> Floats:
    return np.minimum(1.0, HUBER_K / np.maximum(np.abs(u), HUBER_K))


def _cauchy(u: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + u**2))


_LOSSES: dict[str, Callable[[Floats], Floats]] = {"huber": _huber, "cauchy": _cauchy}
