"""What one pin that was found says of the place of another: a distance by the record, and perhaps a direction."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from palewright.boundary import DIRECTION_AGREES, record_distance, record_sigma, search_area
from palewright.model import Corner, Job, PinArea, Ring
from palewright.plane import azimuth
from palewright.survey import stated_sigma, tool_accuracy
from palewright.tables import ToolAccuracy, tool_accuracies

__all__ = ["pin_area"]

_RECORD_ANGLE = math.radians(30.0 / 3600.0)
"""Standard deviation of an angle between two lines of a record: 30 seconds, the least angular closure of residential
lots for one angle (WAC 332-130-090)."""
_LONG_AGO = 1990
"""A compass bearing of an earlier year says nothing of north today: declination moves by about 0.1 degree a year (from
memory)."""


def pin_area(job: Job, ring: Ring, pin: Corner, corner: Corner, off_m: float) -> PinArea | None:
    """Where the pin of a corner is, by one pin that counts; None where the record has the two in one place.

    off_m
        what the record is off [m]. A direction is known where one was measured from or to that pin and agrees with the
        record, or where the record says which north its bearings count from, and a compass finds it again.
    """
    length = record_distance(pin, corner, ring.courses)
    if length <= 0.0 or pin.xy == corner.xy:
        return None
    sigma = math.hypot(record_sigma(length, off_m), stated_sigma(None, "distance", length))
    best = min((*_measured(job, ring, pin), *_compass(job, ring)), default=(math.inf, "", ""))
    along, across = search_area(length, sigma, best[0])
    if across is None:
        return PinArea(pin.name, length, along)
    return PinArea(pin.name, length, along, azimuth(pin.xy, corner.xy), across, best[1], best[0], best[2])


def _measured(job: Job, ring: Ring, pin: Corner) -> Iterator[tuple[float, str, str]]:
    """Directions measured between the pin and another corner that agree with the record; set off by the same tool."""
    corners = {corner.name: corner for corner in ring.corners}
    for m in job.measured:
        if m.kind == "direction" and pin.name in m.points and all(name in corners for name in m.points):
            a, b = (corners[name].xy for name in m.points)
            if a != b and abs(math.remainder(m.value - azimuth(a, b), 2.0 * math.pi)) <= DIRECTION_AGREES:
                once = stated_sigma(m, "azimuth", 0.0)
                yield math.hypot(once, once, _RECORD_ANGLE), "measured", m.how


def _compass(job: Job, ring: Ring) -> Iterator[tuple[float, str, str]]:
    """A hand compass, from the north that the bearings of the record count from, where that can be found."""
    north = _north(ring.bearings or (job.north_basis if job.north else ""))
    if north is not None:
        yield math.hypot(tool_accuracy("compass", "angle").sigma(), north.sigma()), "north", north.name


def _north(basis: str) -> ToolAccuracy | None:
    """The north that a basis of bearings names; None for the bearings of another paper, which no compass finds, and for
    a year so long ago that the needle points elsewhere now."""
    said = set(re.findall(r"[a-z]+", basis.lower()))
    if any(int(year) < _LONG_AGO for year in re.findall(r"\b1[5-9]\d\d\b", basis)):
        return None
    found = [north for north in tool_accuracies("north") if any(phrase <= said for phrase in north.words)]
    return max(found, key=lambda north: north.sigma(), default=None)
