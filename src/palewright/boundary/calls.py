"""Calls of a deed as plain numbers: running them, closing them, their area."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.model import Closure
from palewright.plane import XY, Side, distance, side_between, side_length, sides_area

__all__ = [
    "EXACT",
    "LatDep",
    "called_ring",
    "closure",
    "closure_of_points",
    "latitudes_departures",
    "ring_area",
    "run_calls",
    "sides_of",
]

LatDep = tuple[float, float]

ONE_PLACE_M = 0.003048
"""Points this near are one corner of a deed: 0.01 ft [m], the last digit in which lengths are written (our own)."""
EXACT = 1e-9
"""A misclosure below this part of the perimeter is rounding of binary numbers: the calls close exactly."""


def latitudes_departures(calls: Sequence[tuple[float, float]]) -> list[LatDep]:
    """Latitude and departure of each call.

    calls
        (azimuth [rad], clockwise from north; length [m], finite, at least 0).
    Returns (latitude, departure) [m], north and east positive: lat = L cos az, dep = L sin az.
    Raises ValueError for a negative or non-finite number. Source: plane surveying textbooks, any.

    >>> [(round(a, 6), round(b, 6)) for a, b in latitudes_departures([(math.pi / 2, 10.0)])]
    [(0.0, 10.0)]
    """
    result = []
    for az, length in calls:
        if not (math.isfinite(az) and math.isfinite(length) and length >= 0.0):
            raise ValueError(f"a call needs a finite azimuth and a length of at least 0, not ({az}, {length})")
        result.append((length * math.cos(az), length * math.sin(az)))
    return result


def run_calls(start: XY, calls: Sequence[tuple[float, float]]) -> list[XY]:
    """The points reached by running calls one after another.

    start
        (east, north) [m]. calls: (azimuth [rad], length [m] >= 0), see :func:`latitudes_departures`.
    Returns ``len(calls) + 1`` points, the start first.

    >>> [(round(x, 6), round(y, 6)) for x, y in run_calls((0.0, 0.0), [(0.0, 3.0), (math.pi / 2, 4.0)])]
    [(0.0, 0.0), (0.0, 3.0), (4.0, 3.0)]
    """
    points = [start]
    x, y = start
    for lat, dep in latitudes_departures(calls):
        x, y = x + dep, y + lat
        points.append((x, y))
    return points


def closure(calls: Sequence[tuple[float, float]], along: Sequence[float] = ()) -> Closure:
    """How well calls that come back to their beginning close.

    calls
        (azimuth [rad], length [m] >= 0), at least one; of a curve its chord.
    along
        length along each call [m], where some are curves: the perimeter is their sum.
    Returns the perimeter, the sums of latitudes and of departures, the misclosure (their hypotenuse) [m] and the
    precision, perimeter / misclosure. Calls that close to within the rounding of binary numbers (1e-9 of the perimeter)
    close exactly: misclosure and precision are then 0. Source: plane surveying textbooks, any.

    >>> square = [(k * math.pi / 2, 10.0) for k in range(3)]
    >>> round(closure([*square, (1.5 * math.pi, 9.9)]).precision)
    399
    """
    pairs = latitudes_departures(calls)
    perimeter = math.fsum(along or (length for _, length in calls))
    lat, dep = math.fsum(p[0] for p in pairs), math.fsum(p[1] for p in pairs)
    off = math.hypot(lat, dep)
    if off <= EXACT * perimeter:
        return Closure(perimeter, 0.0, 0.0, 0.0, 0.0)
    return Closure(perimeter, lat, dep, off, perimeter / off)


def sides_of(ring: Sequence[XY], sweeps: Sequence[float] = ()) -> list[Side]:
    """The sides of a ring of points, each to the next and the last to the first.

    sweeps
        how far the direction turns along each side [rad, left positive]; sides beyond them are straight.
    """
    return [
        side_between(p, ring[(k + 1) % len(ring)], sweeps[k] if k < len(sweeps) else 0.0) for k, p in enumerate(ring)
    ]


def called_ring(points: Sequence[XY]) -> list[XY]:
    """The ring that calls enclose, from the points that :func:`run_calls` gives: its end joined to its beginning.

    An end within :data:`ONE_PLACE_M` of the beginning is the beginning.
    """
    return list(points[:-1] if distance(points[0], points[-1]) <= ONE_PLACE_M else points)


def closure_of_points(ring: Sequence[XY]) -> Closure:
    """Closure of a boundary given by points: its perimeter [m], and nothing to close (precision 0)."""
    return Closure(math.fsum(side_length(side) for side in sides_of(ring)), 0.0, 0.0, 0.0, 0.0)


def ring_area(ring: Sequence[XY], sweeps: Sequence[float] = ()) -> tuple[float, bool]:
    """Area [m2] of the points as called (not adjusted), and whether they run clockwise.

    sweeps
        of curved sides, see :func:`sides_of`: an arc that bulges out adds R^2 (delta - sin delta) / 2, one that cuts
        in takes it off.
    2 A = sum (x_k y_k+1 - x_k+1 y_k). Source: plane surveying textbooks, any.

    >>> ring_area([(0.0, 0.0), (0.0, 2.0), (3.0, 2.0), (3.0, 0.0)])
    (6.0, True)
    """
    signed = sides_area(sides_of(ring, sweeps))
    return abs(signed), signed < 0.0
