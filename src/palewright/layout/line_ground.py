"""The ground under a long line as arrays: level stations against distances along the slope, dips and rises."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.ground import Surface

__all__ = ["DIP", "RISE", "Way", "curve_spacing", "dips_and_rises", "mid_ordinate", "places", "sampled"]

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
        at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
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
        """Places (n, 2) of level stations [m]."""
        return places(self.at, self.xy, station)


def places(at: Floats, path: Floats, station: Floats) -> Floats:
    """Places (n, 2) [m] of level stations [m] on a path whose corners have stations ``at``.

    >>> places(np.array([0.0, 3.0, 7.0]), np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 4.0]]), np.array([5.0]))
    array([[3., 2.]])
    """
    return np.column_stack([np.interp(station, at, path[:, 0]), np.interp(station, at, path[:, 1])])


def sampled(path: Floats, surface: Surface, step_m: float) -> Way:
    """A path on a surface, whose ground is read at every corner and every ``step_m`` [m] or less between.

    Wire is tight between posts, so ground read as far apart as posts stand shows where it pulls up and where down.
    Where the surface has nothing, heights go straight between the known ones on either side.
    """
    flat = Way.of(path)
    lengths = np.diff(flat.at)
    count = np.maximum(1, np.ceil(lengths / step_m - 1e-9)).astype(np.intp)
    step, first = lengths / count, np.cumsum(count) - count
    station = np.arange(float(count.sum() + 1))
    station[:-1] *= np.repeat(step, count)
    station[:-1] += np.repeat(flat.at[:-1] - first * step, count)
    station[-1] = flat.at[-1]
    height, _ = surface.heights(flat.xy_of(station))
    known = np.isfinite(height)
    if not known.all():
        height = np.interp(station, station[known], height[known]) if known.any() else np.zeros(len(station))
    return Way.of(path, station, height)


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


def curve_spacing(radius_m: float) -> float:
    """The longest bay on a curve of a radius [m, > 0], so that chords stay near the arc [m].

    10 ft from 500 ft of radius, 8 ft from 200, 6 ft from 100, 5 ft below. Source: tremonton-curves.

    >>> curve_spacing(60.0) / 0.3048
    6.0
    """
    feet = radius_m / 0.3048
    if feet <= 0.0:
        raise ValueError(f"a radius is more than 0, not {radius_m}")
    return 0.3048 * (10.0 if feet >= 500.0 else 8.0 if feet >= 200.0 else 6.0 if feet > 100.0 else 5.0)


def mid_ordinate(radius_m: float, chord_m: float) -> float:
    """How far a chord stands off its arc at the middle [m].

    radius_m, chord_m
        [m], the chord at most twice the radius. R - sqrt(R^2 - (c/2)^2). Source: geometry of the circle.

    >>> round(mid_ordinate(50 * 0.3048, 5 * 0.3048) / 0.0254, 2)
    0.75
    """
    if not 0.0 < chord_m <= 2.0 * radius_m:
        raise ValueError(f"a chord of {chord_m} m does not fit a radius of {radius_m} m")
    half = chord_m / 2.0
    return half * half / (radius_m + math.sqrt(radius_m * radius_m - half * half))
