"""Rings and lines whose sides are straight or arcs: their sides, points, area, and the sweep of an arc."""

from __future__ import annotations

import math

from palewright.model import DrawnPath
from palewright.plane import XY, Side, path_of_sides, side_between, side_length, side_points, sides_area, sub

__all__ = ["arc_middle", "flat_points", "path_length", "path_sides", "ring_area", "sweep_by_centre", "sweep_by_middle"]

_BOW_M = 0.001


def path_sides(path: DrawnPath) -> list[Side]:
    """The sides of a path; of a ring also the one from its last point to its first."""
    sweeps = dict(path.arcs)
    ends = (*path.points[1:], path.points[0]) if path.closed else path.points[1:]
    return [
        side_between(a, b, sweeps.get(k, 0.0)) for k, (a, b) in enumerate(zip(path.points, ends, strict=path.closed))
    ]


def flat_points(path: DrawnPath) -> list[XY]:
    """The points of a path with its arcs as chords no farther than 1 mm from them."""
    made = path_of_sides(path_sides(path), _BOW_M)
    return made if path.closed else [*made, path.points[-1]]


def ring_area(path: DrawnPath) -> float:
    """Area of a ring with its arcs [m2]; 0 for a line.

    >>> quarter = DrawnPath("lot", ((0.0, 0.0), (100.0, 0.0), (0.0, 100.0)), True, arcs=((1, math.pi / 2),))
    >>> round(ring_area(quarter) - math.pi * 100.0**2 / 4, 6)
    0.0
    """
    return abs(sides_area(path_sides(path))) if path.closed else 0.0


def path_length(path: DrawnPath) -> float:
    """Length along a line, or round a ring, its arcs with their own length [m]."""
    return math.fsum(side_length(side) for side in path_sides(path))


def arc_middle(start: XY, end: XY, sweep: float) -> XY:
    """Point half way along an arc.

    >>> x, y = arc_middle((0.0, 0.0), (2.0, 0.0), math.pi)
    >>> round(x, 9), round(y, 9)
    (1.0, -1.0)
    """
    return side_points(side_between(start, end, sweep), math.inf, 2)[1]


def sweep_by_middle(start: XY, middle: XY, end: XY) -> float:
    """Sweep of the arc through three points, ``middle`` half way [rad, left positive].

    The middle lies tan(sweep / 4) x half the chord to the right of the middle of the chord. Source: geometry. Raises
    ValueError for equal ends.

    >>> round(sweep_by_middle((0.0, 0.0), (1.0, -1.0), (2.0, 0.0)), 9)
    3.141592654
    """
    chord, out = sub(end, start), sub(middle, start)
    size2 = chord[0] ** 2 + chord[1] ** 2
    if size2 == 0.0:
        raise ValueError("an arc needs two ends")
    return 4.0 * math.atan(-2.0 * (chord[0] * out[1] - chord[1] * out[0]) / size2)


def sweep_by_centre(start: XY, centre: XY, end: XY, left: bool) -> float:
    """Sweep of the arc about a centre from ``start`` to ``end``, turning left (counter-clockwise) or right [rad].

    >>> round(math.degrees(sweep_by_centre((1.0, 0.0), (0.0, 0.0), (0.0, 1.0), False)), 6)
    -270.0
    """
    one, two = sub(start, centre), sub(end, centre)
    turned = math.atan2(two[1], two[0]) - math.atan2(one[1], one[0])
    return turned % math.tau if left else -(-turned % math.tau)
