"""Observations as rows: what they would read at given places, how far that is off, and how it changes with the places.

Everything is done for all observations of a kind at once. Places are arrays (k, points of the observation, 2), east and
north [m]; azimuths run clockwise from north [rad]. A derivative is laid out point by point, east and north.

Source: elementary derivatives, as in E. Mikhail, Observations and Least Squares (1976); tested against finite
differences.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from palewright.record import Record

__all__ = ["Block", "Flags", "Floats", "Ints", "KINDS", "evaluate", "wrap"]

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

KINDS = {
    "distance": 2,
    "azimuth": 2,
    "direction": 2,
    "angle": 3,
    "on line": 3,
    "offset": 3,
    "along": 3,
    "parallel": 4,
    "east": 1,
    "north": 1,
}
"""Kinds of observation, and how many points each names."""


class Block(Record):
    """Observations of one kind.

    index (m,)
        of each in the network. points (m, k): its points, as numbers. value, sigma (m,) [m or rad].
    sign (m,)
        +1 clockwise or left, -1 right, 0: the side is not said.
    zero (m,)
        number of the circle that a direction is read on; -1 for other kinds.
    """

    kind: str
    index: Ints
    points: Ints
    value: Floats
    sigma: Floats
    sign: Floats
    zero: Ints


def wrap(angle: Floats, turn: float = 2.0 * math.pi) -> Floats:
    """An angle [rad] brought to within half a ``turn`` of zero."""
    return angle - turn * np.round(angle / turn)


def evaluate(block: Block, places: Floats, zeros: Floats) -> tuple[Floats, Floats]:
    """Residuals (computed minus observed) and their derivatives.

    places
        (points, 2) [m]. zeros: (circles,) azimuth of the zero of each circle [rad].
    Returns residuals (m,) [m or rad] and derivatives (m, 2 k), for directions (m, 2 k + 1), the last one by the zero.
    Where a side is not said, the side that the places are on is taken.
    """
    p = places[block.points]
    if block.kind == "direction":
        azimuth, slope = _azimuth(p[:, 0], p[:, 1])
        residual = wrap(azimuth - zeros[block.zero] - block.value)
        return residual, np.hstack([-slope, slope, -np.ones((len(residual), 1))])
    if block.kind in ("east", "north"):
        axis = 0 if block.kind == "east" else 1
        slope = np.zeros((len(p), 2))
        slope[:, axis] = 1.0
        return p[:, 0, axis] - block.value, slope
    computed, slope = _KINDS[block.kind](p)
    if block.kind in ("angle", "offset", "on line"):
        if block.kind == "angle":
            computed = wrap(computed)
        sign = np.where(block.sign == 0.0, np.where(computed < 0.0, -1.0, 1.0), block.sign)
        computed, slope = computed * sign, slope * sign[:, None]
    residual = computed - block.value
    if block.kind in ("angle", "azimuth"):
        residual = wrap(residual)
    elif block.kind == "parallel":
        residual = wrap(residual, math.pi)
    return residual, slope


def _distance(p: Floats) -> tuple[Floats, Floats]:
    d = p[:, 1] - p[:, 0]
    length = np.hypot(d[:, 0], d[:, 1])
    u = d / length[:, None]
    return length, np.hstack([-u, u])


def _azimuth(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Azimuths from a to b (m,), and their derivatives by b (m, 2); those by a are the same with the other sign."""
    d = b - a
    square = d[:, 0] ** 2 + d[:, 1] ** 2
    return np.arctan2(d[:, 0], d[:, 1]), np.stack([d[:, 1] / square, -d[:, 0] / square], axis=1)


def _azimuth_of(p: Floats) -> tuple[Floats, Floats]:
    azimuth, slope = _azimuth(p[:, 0], p[:, 1])
    return azimuth, np.hstack([-slope, slope])


def _angle(p: Floats) -> tuple[Floats, Floats]:
    """Clockwise from the first arm to the last; the corner is the middle point."""
    one, by_one = _azimuth(p[:, 1], p[:, 0])
    two, by_two = _azimuth(p[:, 1], p[:, 2])
    return two - one, np.hstack([-by_one, by_one - by_two, by_two])


def _line(p: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Of a point and a line: along, offset (left positive), length, unit vector of the line and its left normal."""
    d = p[:, 2] - p[:, 1]
    length = np.hypot(d[:, 0], d[:, 1])
    u = d / length[:, None]
    n = np.stack([-u[:, 1], u[:, 0]], axis=1)
    q = p[:, 0] - p[:, 1]
    return (q * u).sum(axis=1), (q * n).sum(axis=1), length, u, n


def _offset(p: Floats) -> tuple[Floats, Floats]:
    along, offset, length, _, n = _line(p)
    share = (along / length)[:, None]
    return offset, np.hstack([n, (share - 1.0) * n, -share * n])


def _along(p: Floats) -> tuple[Floats, Floats]:
    along, offset, length, u, n = _line(p)
    turn = (offset / length)[:, None] * n
    return along, np.hstack([u, -u - turn, turn])


def _parallel(p: Floats) -> tuple[Floats, Floats]:
    one, by_one = _azimuth(p[:, 0], p[:, 1])
    two, by_two = _azimuth(p[:, 2], p[:, 3])
    return two - one, np.hstack([by_one, -by_one, -by_two, by_two])


_KINDS: dict[str, Callable[[Floats], tuple[Floats, Floats]]] = {
    "distance": _distance,
    "azimuth": _azimuth_of,
    "angle": _angle,
    "on line": _offset,
    "offset": _offset,
    "along": _along,
    "parallel": _parallel,
}
