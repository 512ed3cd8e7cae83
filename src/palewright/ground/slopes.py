"""Plain functions on a profile: stations rising and heights [m], straight between them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from palewright.ground.pieces import Floats

__all__ = ["Deviation", "along_slope", "deviation", "height_at", "sigma_at", "slopes", "station_at", "steep"]


Numbers = Floats | Sequence[float]


class Deviation(NamedTuple):
    """How far the ground rises above and dips below chords [m], 0 or more, and the stations of both [m]."""

    above: Floats
    above_at: Floats
    below: Floats
    below_at: Floats


def height_at(stations: Numbers, heights: Numbers, at: Numbers) -> Floats:
    """Heights of the ground at stations.

    stations, heights
        of the profile [m], stations rising. at: [m], any number; beyond the ends the end's height.

    >>> height_at([0.0, 10.0], [1.0, 2.0], [2.5, 99.0])
    array([1.25, 2.  ])
    """
    return np.asarray(np.interp(at, stations, heights))


def sigma_at(stations: Numbers, sigmas: Numbers, at: Numbers) -> Floats:
    """Standard deviations at stations [m], as :func:`height_at`: between two knots the weighed mean of both, the poorer
    answer, as if both erred together.
    """
    return height_at(stations, sigmas, at)


def slopes(stations: Numbers, heights: Numbers) -> Floats:
    """Rise over run of every piece, rising positive in walking order.

    >>> slopes([0.0, 10.0, 14.0], [0.0, 1.0, 0.0])
    array([ 0.1 , -0.25])
    """
    return np.asarray(np.diff(np.asarray(heights, dtype=float)) / np.diff(np.asarray(stations, dtype=float)))


def along_slope(stations: Numbers, heights: Numbers, at: Numbers) -> Floats:
    """Distance on the ground from the start of the profile to level stations.

    stations, heights
        of the profile [m]. at: [m], from its start to its end.
    Returns u(s), the sum of sqrt(ds^2 + dz^2) over the pieces [m].

    >>> along_slope([0.0, 4.0, 8.0], [0.0, 3.0, 3.0], [2.0, 8.0])
    array([2.5, 9. ])
    """
    return np.asarray(np.interp(at, stations, _lengths(stations, heights)))


def station_at(stations: Numbers, heights: Numbers, along: Numbers) -> Floats:
    """Level stations of distances along the slope: the inverse of :func:`along_slope` [m].

    >>> station_at([0.0, 4.0, 8.0], [0.0, 3.0, 3.0], [2.5, 9.0])
    array([2., 8.])
    """
    return np.asarray(np.interp(along, _lengths(stations, heights), stations))


def _lengths(stations: Numbers, heights: Numbers) -> Floats:
    pieces = np.hypot(np.diff(np.asarray(stations, dtype=float)), np.diff(np.asarray(heights, dtype=float)))
    return np.concatenate([[0.0], np.cumsum(pieces)])


def deviation(stations: Numbers, heights: Numbers, a: Numbers, b: Numbers) -> Deviation:
    """How far the ground leaves straight lines between pairs of its own points.

    stations, heights
        of the profile [m]. a, b: stations where each line begins and ends (n,) [m], a < b; lines may overlap.
    Returns upright distances: a profile is straight between knots, so each is found at a knot; where the ground is
    nowhere above (below) its line, 0 at ``a``.

    >>> hump = deviation([0.0, 5.0, 10.0], [0.0, 1.0, 0.0], [0.0, 5.0], [10.0, 10.0])
    >>> hump.above, hump.above_at, hump.below
    (array([1., 0.]), array([5., 5.]), array([0., 0.]))
    """
    s, z = np.asarray(stations, dtype=float), np.asarray(heights, dtype=float)
    a, b = np.atleast_1d(np.asarray(a, dtype=float)), np.atleast_1d(np.asarray(b, dtype=float))
    za, zb = height_at(s, z, a), height_at(s, z, b)
    low, high = np.searchsorted(s, a, side="right"), np.searchsorted(s, b, side="left")
    count = np.maximum(high - low, 0)
    first = np.cumsum(count) - count
    line = np.repeat(np.arange(len(a)), count)
    knot = np.repeat(low, count) + np.arange(count.sum()) - np.repeat(first, count)
    off = z[knot] - za[line] - (zb - za)[line] * (s[knot] - a[line]) / (b - a)[line]
    above, above_at = _most(off, s[knot], first, count, a)
    below, below_at = _most(-off, s[knot], first, count, a)
    return Deviation(above, above_at, below, below_at)


def _most(off: Floats, at: Floats, first: Floats, count: Floats, start: Floats) -> tuple[Floats, Floats]:
    """The largest of each group and its station; 0 at the start where none is more than rounding."""
    most, where = np.zeros(len(start)), start.copy()
    full = np.flatnonzero(count > 0)
    if not full.size:
        return most, where
    peak = np.maximum.reduceat(off, first[full].astype(np.intp))
    hit = np.flatnonzero(off == np.repeat(peak, count[full].astype(np.intp)))
    group = np.repeat(full, count[full].astype(np.intp))[hit]
    place = np.empty(len(start))
    place[group[::-1]] = at[hit[::-1]]
    kept = peak > 1e-12
    most[full[kept]], where[full[kept]] = peak[kept], place[full[kept]]
    return most, where


def steep(stations: Numbers, heights: Numbers, grade: float = 1.0, least_m: float = 0.6096) -> list[tuple[int, int]]:
    """Stretches that rise or fall steeper than a grade all along, as first and last knot.

    stations, heights
        of the profile [m]. grade: rise over run, 1 is 45 degrees: steeper soil slides (common practice). least_m: a
        stretch that rises by less is a step or an edge [m], 2 ft unless given. Source: geometry.

    >>> steep([0.0, 2.0, 2.5, 3.0, 9.0], [0.0, 0.1, 1.0, 2.0, 2.0])
    [(1, 3)]
    """
    s, z = np.asarray(stations, dtype=float), np.asarray(heights, dtype=float)
    rise, run = np.diff(z), np.diff(s)
    way = np.where(np.abs(rise) > grade * run, np.sign(rise), 0.0)
    cut = np.flatnonzero(np.diff(way, prepend=np.nan, append=np.nan))
    pairs = zip(cut[:-1].tolist(), cut[1:].tolist(), strict=True)
    return [(a, b) for a, b in pairs if way[a] and abs(z[b] - z[a]) >= least_m]
