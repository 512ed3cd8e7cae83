"""Two ways of spreading a misclosure over the calls, for comparison: a deed is never adjusted silently."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.boundary.calls import LatDep, latitudes_departures

__all__ = ["adjust_compass", "adjust_transit"]


def adjust_compass(calls: Sequence[tuple[float, float]], span: LatDep = (0.0, 0.0)) -> list[tuple[float, float]]:
    """Calls adjusted by the compass rule (Bowditch 1808): corrections in proportion to length.

    calls
        (azimuth [rad], length [m] >= 0), perimeter greater than 0.
    span
        latitude and departure that the calls should add up to [m]: (0, 0) for a loop.
    Returns adjusted (azimuth [rad, 0 to 2 pi), length [m]): c_lat = -E_lat L / P, c_dep = -E_dep L / P.
    Raises ValueError for calls without length. Source: plane surveying textbooks ("compass rule").

    >>> [round(length, 3) for _, length in adjust_compass([(0.0, 10.0), (math.pi, 9.9)])]
    [9.95, 9.95]
    """
    pairs = latitudes_departures(calls)
    perimeter = math.fsum(length for _, length in calls)
    if not perimeter > 0.0:
        raise ValueError("calls without length cannot be adjusted")
    lat, dep = _errors(pairs, span)
    return [
        _call(a - lat * c[1] / perimeter, b - dep * c[1] / perimeter) for (a, b), c in zip(pairs, calls, strict=True)
    ]


def adjust_transit(calls: Sequence[tuple[float, float]], span: LatDep = (0.0, 0.0)) -> list[tuple[float, float]]:
    """Calls adjusted by the transit rule: corrections in proportion to each latitude and departure.

    calls, span
        as in :func:`adjust_compass`.
    Returns adjusted (azimuth [rad, 0 to 2 pi), length [m]): c_lat = -E_lat |lat| / sum |lat|, and so for departures;
    where all latitudes (departures) are 0 nothing can be corrected in them.
    Source: plane surveying textbooks ("transit rule").

    >>> [round(length, 3) for _, length in adjust_transit([(0.0, 10.0), (math.pi, 9.9)])]
    [9.95, 9.95]
    """
    pairs = latitudes_departures(calls)
    lat, dep = _errors(pairs, span)
    lats, deps = math.fsum(abs(p[0]) for p in pairs), math.fsum(abs(p[1]) for p in pairs)
    share_lat, share_dep = (lat / lats if lats else 0.0), (dep / deps if deps else 0.0)
    return [_call(a - share_lat * abs(a), b - share_dep * abs(b)) for a, b in pairs]


def _errors(pairs: Sequence[LatDep], span: LatDep) -> LatDep:
    return math.fsum(p[0] for p in pairs) - span[0], math.fsum(p[1] for p in pairs) - span[1]


def _call(lat: float, dep: float) -> tuple[float, float]:
    return math.atan2(dep, lat) % (2.0 * math.pi), math.hypot(lat, dep)
