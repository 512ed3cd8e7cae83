"""Which single reading explains a disagreement: one after the other is left out, and the rest placed anew.

The tests of :mod:`palewright.survey.snooping` are those of the linear rows at one minimum. A tape misread by ten feet
bends a small figure so far that they no longer hold: a point may settle on the wrong side, and a good tape that now
misses it is accused. Here the network is adjusted without each reading that may be the wrong one, and points that still
miss are tried on their other sides; of small networks all figures that the rest allow. Source: enumeration; the sums of
squares are compared as likelihoods.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from palewright.errors import ProblemError
from palewright.model import Network, Suspect
from palewright.plane import XY
from palewright.survey.figures import Figures, can_be_built, placed_at, squares_near
from palewright.survey.fitting import Fitting, checks_of, fit
from palewright.survey.network_arrays import read_network
from palewright.survey.quality import AS_GOOD, CRITICAL, chi_square_limits
from palewright.survey.rough_again import seen_again
from palewright.survey.snooping import Snooped, w_tests

__all__ = ["recheck"]

MOST_POINTS = 40
_MOST_TRIED = 12
_MOST_DRAWN = 20
"""Networks of so many points or fewer are searched by their figures, and for every reading."""
_MOST_FITTED = 12


def recheck(network: Network, whole: Fitting, found: Snooped) -> Snooped:
    """What snooping found, put right where leaving out another reading lets the rest fit as well.

    network
        as adjusted, with approximate places. whole: its fit. found: what snooping made of it.
    Networks of more than 40 points are left as they are.
    """
    small = len(whole.arrays.names) <= MOST_POINTS and not whole.arrays.unplaced
    if not (found.suspects or found.stopped) or found.contradiction is not None or not small:
        return found
    checks = checks_of(whole.arrays)
    if checks < 2:
        return found  # without any one nothing would be checked
    size = np.nan_to_num(np.abs(w_tests(whole)))
    drawer = _drawer(network, chi_square_limits(checks - 1)[1])
    fits: dict[int, Fitting] = {}
    for rank, k in enumerate(int(k) for k in np.argsort(-size, kind="stable") if size[k] > CRITICAL):
        drawn = _drawn(drawer, k) if drawer else None
        if drawn != [] and (drawn or rank < _MOST_TRIED):
            without = _without(network, whole, k, checks, drawn)
            fits |= {k: without} if without is not None else {}
    fits = {k: f for k, f in fits.items() if f.dof > 0 and f.settled.squares <= chi_square_limits(f.dof)[1]}
    if not fits:
        return found
    best = min(fits, key=lambda k: fits[k].settled.squares)
    least = fits[best].settled.squares
    among = tuple(sorted(k for k, f in fits.items() if f.settled.squares < least + AS_GOOD))
    if len(found.suspects) == 1 and set(among) <= {found.suspects[0].index, *found.suspects[0].among}:
        return found
    by = float(-fits[best].residual[best])
    suspect = Suspect(best, by, alone=len(among) == 1, among=among if len(among) > 1 else ())
    return Snooped(fits[best], (suspect,), None, False)


def _without(
    network: Network, whole: Fitting, k: int, checks: int, drawn: list[dict[str, XY]] | None
) -> Fitting | None:
    """The fit without one reading, points that still miss tried on other sides; None where fewer are fixed.

    checks
        that all readings have. drawn: the figures that the rest allows, None where they are not known.
    """
    arrays = whole.arrays
    use = np.where(arrays.out, 0.0, 1.0)
    use[k] = 0.0
    kept = tuple(o for j, o in enumerate(network.observations) if j != k)
    if checks_of(read_network(replace(network, observations=kept))) != checks - 1:
        return None  # nothing checks it: the rest would disagree as before
    rest = replace(network, observations=kept)
    try:
        fitting = fit(arrays, use, whole.begun)
        for begin in (fitting.settled.state, whole.begun):
            if fitting.dof <= 0 or fitting.settled.squares <= chi_square_limits(fitting.dof)[1]:
                break
            if drawn:
                places = min(drawn[:_MOST_FITTED], key=lambda figure: squares_near(rest, figure))
            else:
                places = {name: (x, y) for name, (x, y) in zip(arrays.names, begin.places.tolist(), strict=True)}
                places = seen_again(rest, places)
            other = fit(arrays, use, read_network(placed_at(network, places)).start)
            fitting = min(fitting, other, key=lambda f: f.settled.squares)
            if drawn:
                break
    except ProblemError:
        return None
    return None if (fitting.loose & ~whole.loose).any() else fitting


def _drawer(network: Network, most: float) -> Figures | None:
    """The figures of a small network within a sum of squares; None where they are not followed."""
    small = len(network.points) <= _MOST_DRAWN and can_be_built(network)
    return Figures(network, math.sqrt(most)) if small else None


def _drawn(figures: Figures, k: int) -> list[dict[str, XY]] | None:
    """The figures that all readings but one allow."""
    others = [j for j in range(len(figures.network.observations)) if j != k]
    return figures.all(others, [p.name for p in figures.network.points])
