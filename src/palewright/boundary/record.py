"""Record, measured, difference: what a deed says beside what was measured, and how far the record itself may be off."""

from __future__ import annotations

import math

from palewright.plane import XY, azimuth, distance

__all__ = [
    "ONE_WAY",
    "TWO_WAYS",
    "SEARCHED",
    "beyond_tools",
    "off_by",
    "search_area",
    "place_beyond_tools",
    "record_sigma",
    "search_radius",
    "tie_axes",
]

ONE_WAY = 2.5758
"""Standard deviations that one figure keeps within in 99 of 100 cases (normal distribution)."""
TWO_WAYS = math.sqrt(-2.0 * math.log(0.01))
"""The same for a place: 3.0349, the ellipse that holds it in 99 of 100 cases."""
SEARCHED = math.sqrt(-2.0 * math.log(0.05))
"""Standard ellipse to the ellipse that holds a place in 95 of 100 cases: 2.4477."""
_WIDEST = math.radians(60.0)
_LEAST_SHARE = 1.0 / 5000.0
"""No record of a lot is trusted better than the least closure of residential lots, 1:5000 (WAC 332-130-090)."""


def beyond_tools(difference: float, sigma: float) -> bool:
    """Whether a difference is more than a tool of this standard deviation explains in 99 of 100 cases.

    difference, sigma
        in one unit; sigma >= 0, raises ValueError otherwise. Source: normal distribution.

    >>> beyond_tools(0.05, 0.02), beyond_tools(-0.06, 0.02)
    (False, True)
    """
    if not sigma >= 0.0:
        raise ValueError("a standard deviation is not negative")
    return abs(difference) > ONE_WAY * sigma


def place_beyond_tools(off: XY, var_east: float, var_north: float, cov: float) -> bool:
    """Whether a place lies outside the ellipse that holds it in 99 of 100 cases.

    off
        from the place by record to the one measured, east and north [m]. var_east, var_north, cov: covariance of the
        place measured [m2]; a place free in one direction only is judged in that direction.
    Source: chi-square with two degrees of freedom.

    >>> place_beyond_tools((0.05, 0.0), 4e-4, 4e-4, 0.0), place_beyond_tools((0.07, 0.0), 4e-4, 4e-4, 0.0)
    (False, True)
    """
    trace, det = var_east + var_north, var_east * var_north - cov * cov
    if det <= 1e-6 * trace * trace:
        return beyond_tools(math.hypot(*off), math.sqrt(max(trace, 0.0)))
    east, north = off
    squared = (east * east * var_north - 2.0 * east * north * cov + north * north * var_east) / det
    return squared > TWO_WAYS**2


def record_sigma(length_m: float, off_m: float) -> float:
    """Standard deviation that is taken for a distance of the record [m]: sqrt(off^2 + (length / 5000)^2).

    length_m
        the distance [m]. off_m: what the record is known to be off, by its misclosure or at found corners [m]; both
        at least 0, raises ValueError otherwise.
    Source: the misclosure of the calls as their standard deviation, common practice; 1:5000 by WAC 332-130-090.

    >>> round(record_sigma(50.0, 0.0), 4), round(record_sigma(40.0, 0.006), 4)
    (0.01, 0.01)
    """
    if not (length_m >= 0.0 and off_m >= 0.0):
        raise ValueError("a distance and what it is off are not negative")
    return math.hypot(off_m, length_m * _LEAST_SHARE)


def tie_axes(crossing: float, sigma_a: float, sigma_b: float) -> tuple[float, float]:
    """Standard ellipse of a place by two tapes of unlike accuracy: long and short half axis [m].

    crossing
        angle between the tapes at the place [rad], 0 to pi, both excluded. sigma_a, sigma_b: of the tapes [m], > 0.
    Returns the roots of the eigenvalues of the inverse of u u' / sa^2 + w w' / sb^2, u and w along the tapes: half the
    trace (sa^2 + sb^2) / sin^2 plus and minus the root of its square less the determinant (sa sb / sin)^2.
    Raises ValueError outside the ranges. Source: least squares of two distances; with equal sigmas the long axis is
    sigma / sqrt(1 - |cos crossing|).

    >>> [round(axis, 6) for axis in tie_axes(math.radians(60.0), 0.02, 0.02)], round(0.02 / math.sqrt(0.5), 6)
    ([0.028284, 0.01633], 0.028284)
    """
    if not (0.0 < crossing < math.pi and sigma_a > 0.0 and sigma_b > 0.0):
        raise ValueError("tapes cross at an angle, and a standard deviation is more than 0")
    sine = math.sin(crossing) ** 2
    half, det = (sigma_a**2 + sigma_b**2) / (2.0 * sine), (sigma_a * sigma_b) ** 2 / sine
    root = math.sqrt(max(half * half - det, 0.0))
    return math.sqrt(half + root), math.sqrt(det / (half + root))


def search_radius(crossing: float, sigma_a: float, sigma_b: float) -> float:
    """Radius in which a pin stands with 95 % chance or a little more [m]: 2.4477 times the long axis of its ellipse.

    Arguments and errors as :func:`tie_axes`. Source: chi-square with two degrees of freedom.

    >>> round(search_radius(math.radians(90.0), 0.02, 0.02), 4)
    0.049
    """
    return SEARCHED * tie_axes(crossing, sigma_a, sigma_b)[0]


def search_area(length_m: float, sigma_m: float, direction: float) -> tuple[float, float | None]:
    """Half lengths of the area in which a pin stands, seen from another pin: along the line to it, and to either side.

    length_m, sigma_m
        how far it is by the record and the standard deviation of that [m], > 0. direction: standard deviation of the
        direction [rad, > 0], inf where none is known.
    Returns (along, across) [m]; across is None where the direction may be off by more than 60 degrees: the pin is then
    anywhere on a circle. Along is on the tape, across where it is swung about the other pin, length x sin; each is
    2.4477 standard deviations, which holds 95 % of the ellipse, and across is never less than along.
    Raises ValueError outside the ranges. Source: chi-square with two degrees of freedom; polar coordinates.

    >>> along, across = search_area(36.576, 0.02, math.radians(1.0))
    >>> round(along, 4), round(across, 3)
    (0.049, 1.562)
    >>> search_area(36.576, 0.02, math.inf)[1] is None
    True
    """
    if not (length_m > 0.0 and sigma_m > 0.0 and direction > 0.0):
        raise ValueError("a distance and its standard deviations are more than 0")
    turn, along = SEARCHED * direction, SEARCHED * sigma_m
    if turn > _WIDEST:
        return along, None
    return along, max(along, length_m * math.sin(turn))


def off_by(record: XY, measured: XY) -> tuple[float, float]:
    """How far and which way the measured place lies from that of the record [m, rad]."""
    far = distance(record, measured)
    return far, azimuth(record, measured) if far else 0.0
