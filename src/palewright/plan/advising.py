"""Which tapes to take next in a job: for the corners of its fences, and for how far these are from the line."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.boundary import ring_sides
from palewright.model import Advice, Job, Network, Ring
from palewright.plan.inside import NEAR_M
from palewright.plane import XY, Side, segment_distance
from palewright.survey import Adjustment, next_tapes, rough_places, stated_sigma

__all__ = ["advice_for", "fixing_tapes"]

_MOST_MATTER = 60
"""Places looked at for the next tape (our own choice)."""


def fixing_tapes(network: Network, names: Collection[str], tape_m: float) -> tuple[Advice, ...]:
    """The tapes that would fix points which nothing fixes: for each of ``names`` one, or as many as it takes.

    network
        with every place of the site that may be taped from, read already or not.
    """
    if not names:
        return ()
    found = rough_places(network, tape_m)
    return tuple(a for a in found.advice if a.for_point in names and a.for_point in found.undetermined)


def advice_for(
    job: Job, network: Network, whole: Network, adjustment: Adjustment, ring: Ring | None, first: Sequence[Advice] = ()
) -> tuple[Advice, ...]:
    """The tapes that would do most for the points that fences go through, or for all where none is one of them.

    whole
        the network with every place of the site that may be taped from, read already or not.
    first
        tapes that fix what nothing fixes: they go before, and before anything is made better.

    ring
        the boundary, or None. Of a fence point nearer to a straight side than :data:`palewright.plan.inside.NEAR_M` its
        distance to that side matters too, where both corners of the side were found and are those of the record; such
        corners may be taped from. A net that floats knows only the corners in it.
    """
    at = {fit.name: fit.xy for fit in adjustment.adjusted.points}
    named = {name for m in job.measured for name in m.points} | {n for w in job.walks for n in w.names}
    at = {name: xy for name, xy in at.items() if name in named or name in {p.name for p in job.points}}
    free = {point.name for point in network.points if not point.held} & at.keys()
    through = {ref.name for run in job.runs for ref in run.through}
    used = through & free or free
    corners = {c.name for c in ring.corners} if ring is not None else set()
    pins = {c.name: c.xy for c in ring.corners if c.counts} if ring is not None else {}
    known = {point.name for point in network.points}
    if network.datum == "held":
        pins |= {p.name: p.xy for p in whole.points if p.xy and p.name not in known and p.name not in corners}
        at = pins | at
    places = [(name,) for name in at if name in used]
    lines = _near_lines({name: at[name] for name in at if name in through}, ring, pins.keys() & at.keys())
    lines = [line for line in lines if free.intersection(line)]
    matter = [*lines, *places][:_MOST_MATTER]
    poorer = stated_sigma(None, "distance", 0.0)
    return next_tapes(
        at, lambda names: _covariance(adjustment, names, pins), matter, network.observations,
        lambda length: stated_sigma(None, "distance", length) if length else poorer, tape_m=job.tape_m, first=first,
    )  # fmt: skip


def _near_lines(fence: Mapping[str, XY], ring: Ring | None, pins: set[str]) -> list[tuple[str, ...]]:
    """(point, corner, corner) for every point of a fence near a straight side whose corners hold it."""
    if ring is None:
        return []
    corners = [corner.name for corner in ring.corners]
    sides: list[tuple[Side, tuple[str, str]]] = [
        (side, (corners[k], corners[(k + 1) % len(corners)])) for k, side in enumerate(ring_sides(ring))
    ]
    return [
        (name, *ends)
        for name, xy in fence.items()
        for side, ends in sides
        if not side.sweep
        and pins.issuperset(ends)
        and name not in ends
        and segment_distance(xy, side.a, side.b) < NEAR_M
    ]


def _covariance(adjustment: Adjustment, names: Sequence[str], pins: Mapping[str, XY]) -> NDArray[np.float64]:
    """Of points of the network without the readings known to be wrong, and of found corners outside it: none [m2]."""
    known = {fit.name for fit in adjustment.adjusted.points}
    inside = [k for k, name in enumerate(names) if name in known or name not in pins]
    rows = np.array([2 * k + i for k in inside for i in (0, 1)], dtype=np.int64)
    found = np.zeros((2 * len(names), 2 * len(names)))
    found[np.ix_(rows, rows)] = adjustment.covariance([names[k] for k in inside], adjustment.cleared)
    return found
