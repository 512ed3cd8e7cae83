"""Readings that contradict one another whatever the others say: at least one of each group is wrong.

Points are taken two, three, four and five at a time with the readings among them. Where these fix the points and
allow no figure, or none within the limit of the test, they are thinned out until each that is left is needed for the
contradiction: two tapes of one line, three sides that make no triangle, the six tapes of four points. What such a group
says does not hang on which other readings are wrong. Source: enumeration.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from palewright.model import Network
from palewright.survey.figures import Figures, can_be_built, squares_near
from palewright.survey.quality import CRITICAL

__all__ = ["contradictions"]

_MOST_POINTS = 14
_AT_A_TIME = 5


def contradictions(network: Network) -> list[tuple[int, ...]]:
    """Groups of readings that contradict one another, the smallest first; no group holds another.

    network
        of 14 points or fewer, with places. Every group holds a wrong reading, with one chance in a thousand that it is
        noise. Empty where there is none, or none that can be shown. What was only assumed is in no group.
    """
    if not can_be_built(network) or len(network.points) > _MOST_POINTS:
        return []
    figures = Figures(network, CRITICAL)
    names = [p.name for p in network.points]
    found: list[tuple[int, ...]] = []
    for count in dict.fromkeys((*range(2, min(_AT_A_TIME, len(names)) + 1), len(names))):
        if count > _AT_A_TIME and found:
            break
        for some in itertools.combinations(names, count):
            found += _among(figures, some, found)
    measured = {k for k, o in enumerate(network.observations) if o.source == "measured"}
    return list(dict.fromkeys(kept for group in found if (kept := tuple(k for k in group if k in measured))))


def _among(figures: Figures, names: Sequence[str], known: Sequence[tuple[int, ...]]) -> Iterator[tuple[int, ...]]:
    """The group among some points, unless a known one is there already or the points can move."""
    inside = figures.inside(names)
    if len(inside) < figures.unknowns(names) or any(set(group) <= set(inside) for group in known):
        return
    if not _contradict(figures, inside, names):
        return
    for k in list(inside):
        fewer = [j for j in inside if j != k]
        if _contradict(figures, fewer, names):
            inside = fewer
    yield tuple(inside)


def _contradict(figures: Figures, kept: Collection[int], names: Sequence[str]) -> bool:
    """Whether readings fix some points and allow no figure of them."""
    drawn = figures.all(kept, names)
    if not drawn:
        return drawn is not None
    network, some = figures.network, set(names)
    points = tuple(p for p in network.points if p.name in some)
    held = network.datum == "held" and sum(p.held for p in points) > 1
    datum = "held" if held else "least"
    read = tuple(network.observations[k] for k in kept)
    part = replace(network, points=points, observations=read, datum=datum)
    return all(squares_near(part, places) > CRITICAL**2 for places in drawn)
