"""Where to look for pins that were not found: tapes from what stands, a radius, and the pins beside."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Mapping
from dataclasses import replace

from palewright.boundary import record_sigma, search_radius
from palewright.model import Job, PinNeighbour, PinSearch, PinTie, PointFit, Ring
from palewright.plan.pin_area import pin_area
from palewright.plane import XY, angle_between, azimuth, cross, distance, sub
from palewright.record import Record
from palewright.survey import stated_sigma

__all__ = ["searches"]

_AT_M = 0.3
"""Nearer than this to what stands, a tape shows nothing new [m] (our own choice)."""
_GOOD = (math.radians(30.0), math.radians(150.0))
"""Between these two tapes cross well (common practice)."""
_TRIED = 12
"""So many of the nearest things are tried in pairs."""
_FLAT = math.radians(5.0)


class _Known(Record):
    """What a tape may be taken from: its place, and how well it is known in the frame of the record; None: not at all.

    pin
        a pin of the record itself, so that the distance between the two is the record's own.
    """

    name: str
    xy: XY
    sigma_m: float | None
    pin: bool


def searches(
    job: Job, ring: Ring, places: Mapping[str, XY], fits: Mapping[str, PointFit], off_m: float
) -> tuple[PinSearch, ...]:
    """Where to look, for every corner without a pin.

    places
        of every point as the plan has them. fits: what was measured, laid on the record by two pins that count; empty
        where there are none. off_m: what the record is off [m].
    """
    pins = [corner for corner in ring.corners if corner.counts]
    tied = len(pins) > 1
    known = [_Known(pin.name, pin.xy, 0.0 if tied else None, True) for pin in pins]
    for name in sorted(_standing(job, ring)):
        if name in fits:
            known.append(_Known(name, fits[name].xy, fits[name].semi_major, False))
        elif name in places:
            known.append(_Known(name, places[name], None, False))
    why = "" if tied else "one-corner" if pins else "nothing-found"
    found = [_search(job, ring, k, known, why, off_m) for k, corner in enumerate(ring.corners) if not corner.found]
    if why == "one-corner":
        corners = {corner.name: corner for corner in ring.corners}
        found = [replace(one, area=pin_area(job, ring, pins[0], corners[one.corner], off_m)) for one in found]
    return tuple(found)


def _standing(job: Job, ring: Ring) -> set[str]:
    """Names of things that stand there: corners of buildings, ends of walls, what the job says stands or was found."""
    names = {ref.name for _, refs in job.buildings for ref in refs if ref.name}
    names |= {point.name for point in job.points if point.how == "thing" or point.found}
    names |= {walk.start for walk in job.walks} | {walk.sight for walk in job.walks}
    return {name for name in names if name} - {corner.name for corner in ring.corners}


def _search(job: Job, ring: Ring, k: int, known: list[_Known], why: str, off_m: float) -> PinSearch:
    corner = ring.corners[k]
    sure = [one for one in known if one.sigma_m is not None] if not why else known
    pair = _best(job, corner.xy, sure, off_m)
    beside = _beside(ring, k)
    if pair is None:
        near = heapq.nsmallest(1, sure, key=lambda one: distance(one.xy, corner.xy))
        ties = tuple(_tie(job, one, corner.xy) for one in near if distance(one.xy, corner.xy) > _AT_M)
        return PinSearch(corner.name, ties, 0.0, None, why or "no-two-tapes", (), beside)
    ties = tuple(_tie(job, one, corner.xy) for one in pair)
    crossing = _crossing(corner.xy, *pair)
    turn = cross(sub(pair[1].xy, pair[0].xy), sub(corner.xy, pair[0].xy))
    side = "left" if turn > 0.0 else "right"
    if why:
        return PinSearch(corner.name, ties, crossing, None, why, (), beside, side)
    one, two = (_sigma(each, corner.xy, off_m) for each in pair)
    return PinSearch(corner.name, ties, crossing, search_radius(crossing, one, two), "", (one, two), beside, side)


def _best(job: Job, at: XY, known: list[_Known], off_m: float) -> tuple[_Known, _Known] | None:
    """The two to tape from: crossing well and within the tape before others, then the smallest radius."""
    rows = []
    far = heapq.nsmallest(
        _TRIED, (one for one in known if distance(one.xy, at) > _AT_M), key=lambda one: distance(one.xy, at)
    )
    for k, pair in enumerate(itertools.combinations(far, 2)):
        crossing = _crossing(at, *pair)
        if not _FLAT < crossing < math.pi - _FLAT:
            continue
        good = _GOOD[0] <= crossing <= _GOOD[1]
        reaches = all(distance(one.xy, at) <= job.tape_m for one in pair)
        one, two = (_sigma(each, at, off_m) for each in pair)
        rows.append(((not good, not reaches, search_radius(crossing, one, two)), k, pair))
    return min(rows)[2] if rows else None


def _crossing(at: XY, one: _Known, two: _Known) -> float:
    return angle_between(sub(one.xy, at), sub(two.xy, at))


def _tie(job: Job, one: _Known, at: XY) -> PinTie:
    length = distance(one.xy, at)
    return PinTie(one.name, length, length <= job.tape_m)


def _sigma(one: _Known, at: XY, off_m: float) -> float:
    """Standard deviation of a tie [m]: the record, the tape, and the place it is taken from."""
    length = distance(one.xy, at)
    tape = stated_sigma(None, "distance", length)
    return math.hypot(record_sigma(length, off_m), tape, one.sigma_m or 0.0)


def _beside(ring: Ring, k: int) -> tuple[PinNeighbour, ...]:
    """The corners before and after one."""
    n, corner = len(ring.corners), ring.corners[k]
    rows = []
    for other, course in (
        (ring.corners[k - 1], ring.courses[k - 1]),
        (ring.corners[(k + 1) % n], ring.courses[k]),
    ):
        rows.append(PinNeighbour(other.name, course.length_m, azimuth(corner.xy, other.xy), bool(other.found)))
    return tuple(rows)
