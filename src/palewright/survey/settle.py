"""Finding the places with the smallest sum of squares: Gauss-Newton, damped where a full step does not help.

The step solves (N + m I) dx = -g in scaled unknowns. m is 0 as long as steps do what the linear rows promise; a step
that does not lower the sum is taken back and m raised (Levenberg and Marquardt), so that poor approximate places are
walked in from rather than jumped over. To each step is added what the curvature of the residuals along it asks for,
where that is small beside the step: long chains of tapes turn in few steps. It is done when the next undamped step
promises to lower the sum by less than 1e-13 of it (1e-13 where the sum is below 1): the places are then within 1e-6 of
their own standard deviation.

A network may have a motion that its readings hardly notice to first order (a point nearly in line with what it is
taped to, a frame of tapes that is shaky). What keeps it is then mostly the residuals times their second derivatives,
which N leaves out, and an undamped step is too long by the quotient of the two, however near the minimum: 500 times has
been met. What a step gained against its promise says how much N lacks along it, and that is the right m; it is kept.

Sources: D. Marquardt, An algorithm for least-squares estimation of nonlinear parameters, J. SIAM 11 (1963); M.
Transtrum, J. Sethna, Improvements to the Levenberg-Marquardt algorithm (2012) for the second-order part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.record import Record
from palewright.survey.fronts import Factor
from palewright.survey.rows import Floats
from palewright.survey.system import Rows, State, System

__all__ = ["DONE", "MOST_STEPS", "Settled", "settle", "unsettled"]

MOST_STEPS = 200
"""After so many trial steps the network is said not to settle."""
DONE = 1e-13
"""A step that promises to lower the sum of squares by less than this share of it is the last."""
_NEARLY = 1e-5
"""A step that promises less than this share of the sum is near the end."""
_FIRST_DAMPING = 1e-6
"""Damping after the first step that failed; below _NO_DAMPING there is none. Both in scaled unknowns (tried out)."""
_NO_DAMPING = 1e-12
_LEAST_GAIN, _FAIR_GAIN = 1e-3, 0.75
"""Shares of its promise from which a step is kept, and from which it is trusted (0.75: as methods of trust
regions commonly have it, from memory)."""
_POOR_GAIN = 0.1
"""An undamped step near the end that gains less of its promise has gone nearly as far beyond the end (our choice)."""
_LOOK = 0.1
"""How far ahead along a step the curvature is looked at: Transtrum and Sethna's, from memory."""
_MOST_BENT = 0.375
"""The second-order part is left out where it is longer than this share of the step (tried out; of the order that
Transtrum and Sethna use, from memory)."""


class Settled(Record):
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
    damping = _Damping()
    for step_number in range(1, MOST_STEPS + 1):
        scale = system.scale(rows.slope, weights)
        scaled = system.scaled(rows.slope, scale)
        pull = system.gather(scaled, _weighed(weights, rows.residual))
        factor = system.factor(scaled, weights, damping.now)
        step = -factor.solve(pull)
        promise = float(-pull @ step + damping.now * step @ step)
        small, nearly = (promise <= part * max(squares, 1.0) for part in (share, _NEARLY))
        straight = nearly and not damping.soft
        go = step if straight else step + _bend(system, state, rows, weights, scaled, scale, factor, step)
        new = system.moved(state, go * scale)
        new_rows = system.rows(new)
        new_squares = system.squares(new_rows, weights)
        if small and not damping.now:
            gradient = float(np.abs(_pull(system, new_rows, weights, scale)).max(initial=0.0))
            return Settled(new, new_rows, weights, new_squares, factor, scale, scaled, step_number, gradient)
        gain = (squares - new_squares) / promise if promise > 0.0 else 1.0
        if nearly and abs(gain - 1.0) > 1.0 - _FAIR_GAIN:  # the sums may differ by less than they are rounded
            gain = -float((pull + _pull(system, new_rows, weights, scale)) @ go) / promise
        lacks = promise * (1.0 - gain) / float(step @ step) if promise > 0.0 else 0.0
        if math.isfinite(new_squares) and gain > _LEAST_GAIN:
            state, rows, squares = new, new_rows, new_squares
            damping.after_good(gain, lacks, nearly, small)
        else:
            damping.after_bad(lacks, nearly)
    raise unsettled(f"sum of squares {squares:.6g} after {MOST_STEPS} steps")


def unsettled(found: str) -> ProblemError:
    """What is said of a network that comes to no rest."""
    return ProblemError(
        Problem(
            "network-does-not-settle",
            "the measured network does not come to rest",
            found=found,
            hint="a reading may be far off, or a place typed for a point on the wrong side; leave out the newest first",
        )
    )


@dataclass(slots=True)
class _Damping:
    """What is added to the diagonal of the normal equations.

    last
        that of the last damped step that did well, 0 as long as there was none. soft: an undamped step failed after it.
        Then something is held by curvature, and undamped steps are tried only to see whether the end is reached.
    """

    now: float = 0.0
    last: float = 0.0
    soft: bool = False

    def after_good(self, gain: float, lacks: float, nearly: bool, small: bool) -> None:
        """A step gained that share of its promise, as if ``lacks`` were missing on the diagonal along it."""
        if not self.now:
            if nearly and gain < _POOR_GAIN:  # to and fro across the minimum: held by curvature as well
                self.now = self.last = lacks
                self.soft = True
            return
        self.last, fair = self.now, gain > _FAIR_GAIN
        free = fair and not self.soft and (nearly or self.now <= _FIRST_DAMPING)
        if small or free or self.now < _NO_DAMPING:
            self.now = 0.0
        elif not fair:
            self.now = min(4.0 * self.now, lacks)
        else:
            self.now = max(self.now / 4.0, lacks) if self.soft else self.now / 10.0

    def after_bad(self, lacks: float, nearly: bool) -> None:
        """A step was taken back; far from the end, and where it led too far to compute, ``lacks`` is only a limit."""
        most = 10.0 * self.now
        if not self.now:
            self.soft = self.last > 0.0
            most = 1.0 if nearly else self.last / 10.0 or _FIRST_DAMPING
        self.now = min(most, lacks)


def _pull(system: System, rows: Rows, weights: list[Floats], scale: Floats) -> Floats:
    """Half the gradient of the sum of squares by the scaled unknowns."""
    return system.gather(system.scaled(rows.slope, scale), _weighed(weights, rows.residual))


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
