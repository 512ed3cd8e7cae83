"""Two wrong readings at once: which pairs, left out, let the rest agree."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from palewright.errors import ProblemError
from palewright.model import Adjusted, Network
from palewright.plane import XY
from palewright.survey.adjusting import adjust
from palewright.survey.figures import Figures, can_be_built, placed_at, squares_near
from palewright.survey.fitting import checks_of
from palewright.survey.network_arrays import read_network
from palewright.survey.quality import chi_square_limits

__all__ = ["MOST_READINGS", "pairs_that_fit"]

MOST_READINGS = 28
"""Pairs are tried where so many readings or fewer could be the wrong ones: 378 pairs, 0.3 to 0.8 s of a processor."""
_NEARLY = 1e-2


def pairs_that_fit(network: Network, share: float = 0.95) -> list[tuple[int, int, Adjusted]]:
    """Pairs of measured readings without which the rest agree, with the fit without them.

    network
        with places for its points. Returns (index, index, adjustment of the rest), the best agreement first; nothing
        where more than :data:`MOST_READINGS` readings could be wrong, or where no check is left.
    share
        of the chi-square test that the rest has to pass: as much is left out above as below.
    Where the rest agree and leave a point free to slide, as three tapes from one line do a point on it, the fit names
    it in ``undetermined``. A pair counts only where each of the two takes a check with it: what nothing checks can be
    left out without any change, so that the rest then agrees no better than without the other alone, and that has been
    tried.
    Snooping drops one reading at a time and can be led astray by two; trying all pairs cannot. A pair is passed over
    where the rest allow no figure at all (:mod:`palewright.survey.figures`). Source: enumeration.
    """
    loose = [k for k, o in enumerate(network.observations) if o.source == "measured"]
    checks = checks_of(read_network(network))
    if len(loose) > MOST_READINGS or checks < 3:
        return []
    most = chi_square_limits(checks - 2, share)[1]
    figures = Figures(network, math.sqrt(most)) if can_be_built(network) else None
    names, every = [p.name for p in network.points], range(len(network.observations))
    found = []
    for pair in itertools.combinations(loose, 2):
        drawn = figures.all([k for k in every if k not in pair], names) if figures else None
        if drawn is not None and not drawn:
            continue
        kept = replace(network, observations=tuple(o for k, o in enumerate(network.observations) if k not in pair))
        if checks_of(read_network(kept)) != checks - 2:
            continue
        rest = _rest(kept, drawn, most)
        if rest is not None:
            found.append((*pair, rest))
    return sorted(found, key=lambda item: item[2].weighted_squares)


def _rest(kept: Network, drawn: list[dict[str, XY]] | None, most: float) -> Adjusted | None:
    """The adjustment of what is kept, from the best of its figures where they are known; None where it does not fit.

    most
        that the sum of squares may be.
    """
    try:
        if drawn is None:
            rest = adjust(kept, snooping=False)
        else:
            squares, best = min(((squares_near(kept, places), places) for places in drawn), key=lambda item: item[0])
            if squares > most * (1.0 + _NEARLY):
                return None
            rest = adjust(placed_at(kept, best), snooping=False)
    except ProblemError:
        return None
    return rest if rest.dof > 0 and rest.weighted_squares <= most else None
