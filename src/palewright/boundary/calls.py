"""Calls of a deed as plain numbers: running them, closing them, solving the one that is missing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.errors import Problem, ProblemError
from palewright.model import Closure
from palewright.plane import XY, distance, signed_area

__all__ = [
    "LatDep",
    "Solved",
    "closure",
    "closure_of_points",
    "latitudes_departures",
    "ring_area",
    "run_calls",
    "solve_calls",
]

LatDep = tuple[float, float]

_EXACT = 1e-9
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


def closure(calls: Sequence[tuple[float, float]]) -> Closure:
    """How well calls that come back to their beginning close.

    calls
        (azimuth [rad], length [m] >= 0), at least one.
    Returns the perimeter, the sums of latitudes and of departures, the misclosure (their hypotenuse) [m] and the
    precision, perimeter / misclosure. Calls that close to within the rounding of binary numbers (1e-9 of the perimeter)
    close exactly: misclosure and precision are then 0. Source: plane surveying textbooks, any.

    >>> square = [(k * math.pi / 2, 10.0) for k in range(3)]
    >>> round(closure([*square, (1.5 * math.pi, 9.9)]).precision)
    399
    """
    pairs = latitudes_departures(calls)
    perimeter = math.fsum(length for _, length in calls)
    lat, dep = math.fsum(p[0] for p in pairs), math.fsum(p[1] for p in pairs)
    off = math.hypot(lat, dep)
    if off <= _EXACT * perimeter:
        return Closure(perimeter, 0.0, 0.0, 0.0, 0.0)
    return Closure(perimeter, lat, dep, off, perimeter / off)


def closure_of_points(ring: Sequence[XY]) -> Closure:
    """Closure of a boundary given by points: its perimeter [m], and nothing to close (precision 0)."""
    perimeter = math.fsum(distance(p, ring[(k + 1) % len(ring)]) for k, p in enumerate(ring))
    return Closure(perimeter, 0.0, 0.0, 0.0, 0.0)


def ring_area(ring: Sequence[XY]) -> tuple[float, bool]:
    """Area by coordinates [m2] of the points as called (not adjusted), and whether they run clockwise.

    2 A = sum (x_k y_k+1 - x_k+1 y_k). Source: plane surveying textbooks, any.

    >>> ring_area([(0.0, 0.0), (0.0, 2.0), (3.0, 2.0), (3.0, 0.0)])
    (6.0, True)
    """
    signed = signed_area(ring)
    return abs(signed), signed < 0.0


@dataclass(frozen=True, slots=True)
class Solved:
    """Calls with none missing.

    index, what
        which call was solved (0-based; -1 for none) and for what: "length", "direction", "both" or "".
    """

    calls: tuple[tuple[float, float], ...]
    index: int = -1
    what: str = ""


def solve_calls(calls: Sequence[tuple[float | None, float | None]]) -> Solved:
    """Fill in the one thing that calls may lack.

    calls
        (azimuth [rad] or None, length [m] or None). One call may lack its length (bearing known), its azimuth, or both
        ("to beginning").
    Returns the complete calls. With S the sum of the other calls: both missing, the call is -S; azimuth missing, it
    points along -S; length missing, L = -S . u along its bearing u, so that what is left over is square to it.
    Raises ProblemError: ``two-calls-open`` when more than one call lacks something, ``open-call-backward`` when the
    solved length is not positive, ``open-call-nothing`` when the others close by themselves.
    Source: plane surveying textbooks ("omitted measurements").

    >>> solved = solve_calls([(0.0, 3.0), (math.pi / 2, 4.0), (None, None)])
    >>> round(solved.calls[2][1], 6), solved.what
    (5.0, 'both')
    """
    gaps = [k for k, (az, length) in enumerate(calls) if az is None or length is None]
    if not gaps:
        return Solved(tuple((az, length) for az, length in calls if az is not None and length is not None))
    if len(gaps) > 1:
        raise ProblemError(
            Problem(
                "two-calls-open",
                "only one call of a boundary may lack its length or be written 'to beginning'",
                found="calls " + " and ".join(str(k + 1) for k in gaps),
                hint="look up the missing lengths, or give the boundary by points",
            )
        )
    k = gaps[0]
    known = [(az, length) for az, length in calls if az is not None and length is not None]
    pairs = latitudes_departures(known)
    lat, dep = math.fsum(p[0] for p in pairs), math.fsum(p[1] for p in pairs)
    size = math.hypot(lat, dep)
    az, length = calls[k]
    if size <= _EXACT * math.fsum(p[1] for p in known):
        raise ProblemError(
            Problem(
                "open-call-nothing",
                f"call {k + 1} has nothing to close: the other calls already come back to their beginning",
                hint="leave the call out, or give its length",
            )
        )
    if az is None:
        what = "both" if length is None else "direction"
        filled = (math.atan2(-dep, -lat) % (2.0 * math.pi), size if length is None else length)
    else:
        what = "length"
        filled = (az, -(lat * math.cos(az) + dep * math.sin(az)))
        if filled[1] <= 0.0:
            raise ProblemError(
                Problem(
                    "open-call-backward",
                    f"call {k + 1} would have to be run backward to come to the beginning",
                    hint="check its bearing (N for S, E for W?) and the bearings of the other calls",
                )
            )
    done = tuple(filled if j == k else (a, b) for j, (a, b) in enumerate(calls))
    return Solved(done, k, what)  # type: ignore[arg-type]
