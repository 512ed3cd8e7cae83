"""Two wrong readings at once: which pairs, left out, let the rest agree."""

from __future__ import annotations

import itertools
from dataclasses import replace

from palewright.errors import ProblemError
from palewright.model import Adjusted, Network
from palewright.survey.adjusting import adjust
from palewright.survey.fitting import checks_of
from palewright.survey.network_arrays import read_network

__all__ = ["MOST_READINGS", "pairs_that_fit"]

MOST_READINGS = 20
"""Pairs are tried where so many readings or fewer could be the wrong ones: 190 small adjustments."""


def pairs_that_fit(network: Network) -> list[tuple[int, int, Adjusted]]:
    """Pairs of measured readings without which the rest agree and still fix every point, with the fit without them.

    network
        with places for its points. Returns (index, index, adjustment of the rest), the best agreement first; nothing
        where more than :data:`MOST_READINGS` readings could be wrong, or where no check is left.
    A pair counts only where each of the two takes a check with it: what nothing checks can be left out without any
    change, so that the rest then agrees no better than without the other alone, and that has been tried.
    Snooping drops one reading at a time and can be led astray by two; trying all pairs cannot. Source: enumeration.
    """
    loose = [k for k, o in enumerate(network.observations) if o.source == "measured"]
    checks = checks_of(read_network(network))
    if len(loose) > MOST_READINGS or checks < 3:
        return []
    found = []
    for pair in itertools.combinations(loose, 2):
        kept = replace(network, observations=tuple(o for k, o in enumerate(network.observations) if k not in pair))
        if checks_of(read_network(kept)) != checks - 2:
            continue
        try:
            rest = adjust(kept, snooping=False)
        except ProblemError:
            continue
        fixed = not rest.undetermined and len(rest.points) == len(network.points)
        if fixed and rest.dof and rest.chi_high is not None and rest.weighted_squares <= rest.chi_high:
            found.append((pair[0], pair[1], rest))
    return sorted(found, key=lambda item: item[2].weighted_squares)
