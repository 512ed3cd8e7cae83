"""Where an adjustment begins: at the places given, and where these lead nowhere good, at those the readings give.

Least squares goes downhill from where it begins. Places that have two near neighbours in the wrong order, or a point on
the wrong side of a line, may end in a dip that is not the lowest: a sight then misses by a right angle and more, and no
reading is to blame. The finder of rough places does not go downhill, so its places are tried there too.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

import numpy as np

from palewright.errors import ProblemError
from palewright.model import Network
from palewright.plane import XY
from palewright.survey.fitting import Fitting, fit
from palewright.survey.network_arrays import Arrays, read_network
from palewright.survey.quality import AS_GOOD, chi_square_limits
from palewright.survey.rough import rough_places
from palewright.survey.rough_again import MISSES
from palewright.survey.system import State

__all__ = ["Rough", "first_fit"]

Rough = Callable[[Network], Mapping[str, XY]]
"""Finds approximate places [m] by name, of as many points as it can."""


def first_fit(given: Network, rough: Rough | None = None) -> tuple[Network, Fitting]:
    """A network with approximate places where any was missing, and its fit with every reading.

    rough
        the finder; None: :func:`palewright.survey.rough.rough_places`. Asked where a point has no place, or where
        readings miss what comes of the places given; of the two minima the lower is taken.
    Raises ProblemError ``network-does-not-settle`` where it does from neither.
    """
    network = given
    if any(point.xy is None for point in given.points):
        network = _placed(given, rough(given) if rough else rough_places(given).places)
    arrays = read_network(network)
    first = _fitted(arrays, arrays.start)
    if isinstance(first, ProblemError) or _missed(first):
        found = _anew(given, rough, arrays.floating)
        other = _fitted(arrays, read_network(_placed(network, found, found.keys())).start) if found else first
        if isinstance(first, ProblemError) or (isinstance(other, Fitting) and _lower(other, first)):
            first = other
    if isinstance(first, ProblemError):
        raise first
    return network, first


def _anew(given: Network, rough: Rough | None, floating: bool) -> Mapping[str, XY]:
    """Places by the readings, for points that were given one; these only choose between what fits equally well."""
    typed = {p.name for p in given.points if p.xy is not None and (floating or not p.held)}
    if not typed:
        return {}
    points = tuple(p if floating or p.held else replace(p, xy=None) for p in given.points)
    bare = replace(given, points=points)
    if rough is not None:
        places = rough(bare)
    else:
        found = rough_places(bare)
        places = (rough_places(given) if found.ambiguous or not found.handed else found).places
    return {name: xy for name, xy in places.items() if name in typed}


def _fitted(arrays: Arrays, start: State) -> Fitting | ProblemError:
    try:
        return fit(arrays, np.where(arrays.out, 0.0, 1.0), start)
    except ProblemError as error:
        return error


def _lower(one: Fitting, two: Fitting) -> bool:
    return one.settled.squares < two.settled.squares - AS_GOOD


def _placed(network: Network, found: Mapping[str, XY], anew: Collection[str] = ()) -> Network:
    """The network with places found for points that have none, and for those to be placed anew."""
    points = (replace(p, xy=found.get(p.name, p.xy)) if p.xy is None or p.name in anew else p for p in network.points)
    return replace(network, points=tuple(points))


def _missed(fitting: Fitting) -> bool:
    """Whether the readings scatter more than their tools explain, and one misses so far that it would be a mistake."""
    if fitting.dof <= 0 or fitting.settled.squares <= chi_square_limits(fitting.dof)[1]:
        return False
    v = np.abs(fitting.residual / fitting.arrays.sigma)
    return bool(v[fitting.use > 0.0].max() > MISSES)
