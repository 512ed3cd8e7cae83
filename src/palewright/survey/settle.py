"""Finding the places with the smallest sum of squares: Gauss-Newton, damped where a full step does not help.

The step solves (N + m I) dx = -g in scaled unknowns. m is 0 as long as steps do what the linear rows promise; a step
that does not lower the sum is taken back and m raised (Levenberg and Marquardt), so that poor approximate places are
walked in from rather than jumped over. To each step is added what the curvature of the residuals along it asks for,
where that is small beside the step: long chains of tapes turn in few steps. It is done when the next step promises to
lower the sum by less than 1e-13 of it (1e-13 where the sum is below 1): the places are then within 1e-6 of their own
standard deviation.

Sources: D. Marquardt, An algorithm for least-squares estimation of nonlinear parameters, J. SIAM 11 (1963); M.
Transtrum, J. Sethna, Improvements to the Levenberg-Marquardt algorithm (2012) for the second-order part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.survey.fronts import Factor
from palewright.survey.rows import Floats
from palewright.survey.system import Rows, State, System

__all__ = ["DONE", "MOST_STEPS", "Settled", "settle"]

MOST_STEPS = 200
"""After so many trial steps the network is said not to settle."""
DONE = 1e-13
"""A step that promises to lower the sum of squares by less than this share of it is the last."""
_NEARLY = 1e-5
_LEAST_DAMPING = 1e-6
_LOOK = 0.1
_MOST_BENT = 0.375


@dataclass(frozen=True, slots=True)
class Settled:
    """A minimum, and the normal equations there.

    rows, squares
        at ``state``. factor: of the undamped normal equations in scaled unknowns, one step before (the last step is
        below 1e-6 standard deviations). scaled: the scaled derivatives of each block there.
    steps
        trial steps made. gradient: largest |g| / sqrt(N_jj), the shift that a single unknown still asks for in units of
        its standard deviation were it alone.
    """

    state: State
    rows: Rows
    weights: list[Floats]
    squares: float
    factor: Factor | None
    scale: Floats
    scaled: list[Floats]
    steps: int
    gradient: float


def settle(system: System, state: State, use: Floats, share: float = DONE) -> Settled:
    """The minimum near ``state``, the observations weighted by ``use`` (one number each, 0: left out).

    share
        of the sum: a step that promises less is the last.
    Raises ProblemError ``network-does-not-settle`` after MOST_STEPS trial steps.
    """
    weights = system.weights(use)
    rows = system.rows(state)
    squares = system.squares(rows, weights)
    if not system.n:
        return Settled(state, rows, weights, squares, None, np.zeros(0), rows.slope, 0, 0.0)
    damping = 0.0
    for step_number in range(1, MOST_STEPS + 1):
        scale = system.scale(rows.slope, weights)
        scaled = system.scaled(rows.slope, scale)
        pull = system.gather(scaled, _weighed(weights, rows.residual))
        factor = system.factor(scaled, weights, damping)
        step = -factor.solve(pull)
        promise = float(-pull @ step + damping * step @ step)
        small, nearly = (promise <= part * max(squares, 1.0) for part in (share, _NEARLY))
        bend = np.zeros(len(step)) if nearly else _bend(system, state, rows, weights, scaled, scale, factor, step)
        new = system.moved(state, (step + bend) * scale)
        new_rows = system.rows(new)
        new_squares = system.squares(new_rows, weights)
        if small and not damping:
            pull = system.gather(system.scaled(new_rows.slope, scale), _weighed(weights, new_rows.residual))
            gradient = float(np.abs(pull).max(initial=0.0))
            return Settled(new, new_rows, weights, new_squares, factor, scale, scaled, step_number, gradient)
        gain = (squares - new_squares) / promise if promise > 0.0 else 1.0
        if small or (math.isfinite(new_squares) and gain > 1e-3):
            state, rows, squares = new, new_rows, new_squares
            if nearly or damping <= _LEAST_DAMPING:
                damping = 0.0
            elif gain < 0.25:
                damping *= 4.0
            elif gain > 0.75:
                damping /= 10.0
        else:
            damping = max(10.0 * damping, _LEAST_DAMPING)
    raise ProblemError(
        Problem(
            "network-does-not-settle",
            "the measured network does not come to rest",
            found=f"sum of squares {squares:.6g} after {MOST_STEPS} steps",
            hint="a reading may be far off, or a place typed for a point on the wrong side; leave out the newest first",
        )
    )


def _weighed(weights: list[Floats], values: list[Floats]) -> list[Floats]:
    return [w * v for w, v in zip(weights, values, strict=True)]


def _bend(
    system: System,
    state: State,
    rows: Rows,
    weights: list[Floats],
    scaled: list[Floats],
    scale: Floats,
    factor: Factor,
    step: Floats,
) -> Floats:
    """The second-order part of a step: half of what the curvature of the residuals along it asks for.

    The curvature is taken from one more look, a tenth of the step ahead.
    """
    ahead = system.rows(system.moved(state, _LOOK * step * scale)).residual
    linear = [(s * step[c]).sum(axis=1) for s, c in zip(scaled, system.filled, strict=True)]
    curved = [
        (2.0 / _LOOK) * ((far - here) / _LOOK - line)
        for far, here, line in zip(ahead, rows.residual, linear, strict=True)
    ]
    bend = -0.5 * factor.solve(system.gather(scaled, _weighed(weights, curved)))
    return np.zeros(len(bend)) if float(bend @ bend) > _MOST_BENT**2 * float(step @ step) else bend
