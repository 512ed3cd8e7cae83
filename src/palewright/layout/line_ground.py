"""The ground under a long line as arrays: level stations against distances along the slope, dips and rises."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.ground.pieces import path_stations

__all__ = ["DIP", "Way", "dips_and_rises"]

Floats = NDArray[np.float64]
DIP, RISE = -1, 1


class Way(NamedTuple):
    """A path and the ground along it.

    at, xy
        level stations of its corners [m], rising, and their places (k, 2) [m].
    station, height, along
        of the knots of the ground [m]; ``along`` counts along the slope. Without ground they are the corners, height 0.
    """

    at: Floats
    xy: Floats
    station: Floats
    height: Floats
    along: Floats

    @classmethod
    def of(cls, path: Floats, station: Floats | None = None, height: Floats | None = None) -> Way:
        """A path (k, 2) [m], and the knots of the ground along it [m]."""
        path = np.asarray(path, dtype=float)
        at = path_stations(path)
        if station is None or height is None:
            return cls(at, path, at, np.zeros(len(at)), at)
        slopes = np.hypot(np.diff(station), np.diff(height))
        return cls(at, path, station, height, np.concatenate([[0.0], np.cumsum(slopes)]))

    def along_of(self, station: Floats) -> Floats:
        """Distances along the slope of level stations [m]."""
        return np.interp(station, self.station, self.along)

    def level_of(self, along: Floats) -> Floats:
        """Level stations of distances along the slope [m]."""
        return np.interp(along, self.along, self.station)

    def xy_of(self, station: Floats) -> Floats:
        """Places (n, 2) of level stations [m].

        >>> Way.of(np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 4.0]])).xy_of(np.array([5.0]))
        array([[3., 2.]])
        """
        return np.column_stack([np.interp(station, self.at, self.xy[:, k]) for k in (0, 1)])


def dips_and_rises(way: Way, least_m: float) -> tuple[Floats, NDArray[np.intp]]:
    """Where posts are set first because the ground bends: stations [m], and ``DIP`` or ``RISE``.

    least_m
        a dip or a rise counts when the ground leaves the extreme before it and after it by this [m].

    >>> way = Way.of(np.array([[0.0, 0.0], [9.0, 0.0]]), np.array([0.0, 2, 4, 6, 9]), np.array([0.0, -2, 1, 0.9, 1.2]))
    >>> dips_and_rises(way, 1.0)
    (array([2.]), array([-1]))
    """
    z = way.height
    steps = np.diff(z)
    moving = np.flatnonzero(steps)
    rising = steps[moving] > 0.0
    turns = np.concatenate([[0], moving[1:][rising[1:] != rising[:-1]], [len(z) - 1]])
    kept = np.array(_prominent(z[turns].tolist(), least_m), dtype=np.intp)
    found = turns[kept]
    before = z[np.concatenate([[0], found[:-1]])] if len(found) else z[found]
    return way.station[found], np.where(z[found] < before, DIP, RISE)


def _prominent(z: list[float], least: float) -> list[int]:
    """Which of the turning heights the ground leaves by ``least`` on both sides, alternately low and high."""
    found: list[int] = []
    low = high = 0
    toward = 0
    for k in range(1, len(z)):
        low, high = (k if z[k] < z[low] else low), (k if z[k] > z[high] else high)
        if toward >= 0 and z[high] - z[k] >= least:
            if toward or z[high] - z[0] >= least:
                found.append(high)
            toward, low, high = -1, k, k
        elif toward <= 0 and z[k] - z[low] >= least:
            if toward or z[0] - z[low] >= least:
                found.append(low)
            toward, low, high = 1, k, k
    return found
