"""Finding the places with the smallest sum of squares: Gauss-Newton, damped where a full step does not help.

The step solves (N + m I) dx = -g in scaled unknowns. m is 0 as long as steps do what the linear rows promise; a step
that does not lower the sum is taken back and m raised (Levenberg and Marquardt), so that poor approximate places are
walked in from rather than jumped over. It is done when the next step promises to lower the sum by less than 1e-13 of it
(1e-13 where the sum is below 1): the places are then within 1e-6 of their own standard deviation.

Source: D. Marquardt, An algorithm for least-squares estimation of nonlinear parameters, J. SIAM 11 (1963); gain ratio
as in J. Nocedal, S. Wright, Numerical Optimization, chapter 10.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.survey.fronts import Factor
from palewright.survey.rows import Floats
from palewright.survey.system import Rows, State, System

__all__ = ["MOST_STEPS", "Settled", "settle"]

MOST_STEPS = 200
"""After so many trial steps the network is said not to settle."""
_PROMISE = 1e-13
_NEARLY = 1e-6
_LEAST_DAMPING = 1e-4


@dataclass(frozen=True, slots=True)
class Settled:
    """A minimum, and the normal equations there.

    rows, squares
        at ``state``. factor: of the undamped normal equations in scaled unknowns, one step before (the last step is
        below 1e-6 standard deviations). scaled: the scaled derivatives of each block.
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


def settle(system: System, state: State, use: Floats) -> Settled:
    """The minimum near ``state``, the observations weighted by ``use`` (one number each, 0: left out).

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
        pull = system.gather(scaled, [w * v for w, v in zip(weights, rows.residual, strict=True)])
        factor = system.factor(scaled, weights, damping)
        step = -factor.solve(pull)
        promise = float(-pull @ step + damping * step @ step)
        new = system.moved(state, step * scale)
        new_rows = system.rows(new)
        new_squares = system.squares(new_rows, weights)
        small = promise <= _PROMISE * max(squares, 1.0)
        gain = (squares - new_squares) / promise if promise > 0.0 else 1.0
        if small and not damping:
            gradient = _gradient(system, new_rows, weights, scale)
            return Settled(new, new_rows, weights, new_squares, factor, scale, scaled, step_number, gradient)
        if math.isfinite(new_squares) and (gain > 1e-3 or small):
            state, rows, squares = new, new_rows, new_squares
            if small or promise <= _NEARLY * max(squares, 1.0):
                damping = 0.0
            elif gain < 0.25:
                damping = max(4.0 * damping, _LEAST_DAMPING)
            elif gain > 0.75:
                damping = damping / 10.0 if damping > _LEAST_DAMPING else 0.0
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


def _gradient(system: System, rows: Rows, weights: list[Floats], scale: Floats) -> float:
    scaled = system.scaled(rows.slope, scale)
    pull = system.gather(scaled, [w * v for w, v in zip(weights, rows.residual, strict=True)])
    return float(np.abs(pull).max(initial=0.0))
