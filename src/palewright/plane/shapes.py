"""Paths, rings and arcs."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Sequence

from palewright.plane.lines import (
    XY,
    add,
    distance,
    left_of,
    line_meet,
    scale,
    segment_distance,
    segments_meet,
    sub,
    unit,
)

__all__ = [
    "arc",
    "area",
    "distance_to_ring",
    "divide_path",
    "inside",
    "offset_path",
    "path_length",
    "path_place",
    "path_stations",
    "point_path_distance",
    "ring_is_simple",
    "signed_area",
]


def signed_area(ring: Sequence[XY]) -> float:
    """Area of a ring by coordinates, positive counter-clockwise. The first point is not repeated.

    >>> signed_area([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)])
    2.0
    """
    if not ring:
        return 0.0
    x0, y0 = ring[0]
    total = 0.0
    for k, (x, y) in enumerate(ring):
        nx, ny = ring[(k + 1) % len(ring)]
        total += (x - x0) * (ny - y0) - (nx - x0) * (y - y0)
    return total / 2.0


def area(ring: Sequence[XY]) -> float:
    """Area of a ring, never negative."""
    return abs(signed_area(ring))


def path_length(path: Sequence[XY]) -> float:
    """Length of an open path."""
    return math.fsum(distance(a, b) for a, b in itertools.pairwise(path))


def path_stations(path: Sequence[XY]) -> list[float]:
    """How far along a path each of its points lies.

    >>> path_stations([(0.0, 0.0), (3.0, 0.0), (3.0, 4.0)])
    [0.0, 3.0, 7.0]
    """
    return list(itertools.accumulate((distance(a, b) for a, b in itertools.pairwise(path)), initial=0.0))


def path_place(path: Sequence[XY], stations: Sequence[float], station: float) -> XY:
    """The point of a path at a station; ``stations`` as :func:`path_stations` gives them.

    >>> path_place([(0.0, 0.0), (3.0, 0.0), (3.0, 4.0)], [0.0, 3.0, 7.0], 5.0)
    (3.0, 2.0)
    """
    k = min(max(bisect_right(stations, station) - 1, 0), len(stations) - 2)
    share = (station - stations[k]) / (stations[k + 1] - stations[k])
    return add(path[k], scale(sub(path[k + 1], path[k]), share))


def point_path_distance(p: XY, path: Sequence[XY], closed: bool = False) -> float:
    """Distance from a point to a path (one point counts as a path)."""
    if len(path) == 1:
        return distance(p, path[0])
    pairs = list(itertools.pairwise(path))
    if closed:
        pairs.append((path[-1], path[0]))
    return min(segment_distance(p, a, b) for a, b in pairs)


def inside(p: XY, ring: Sequence[XY]) -> bool:
    """Whether a point lies inside a ring (even-odd rule; a point on the edge may go either way)."""
    x, y = p
    odd = False
    for k, (ax, ay) in enumerate(ring):
        bx, by = ring[(k + 1) % len(ring)]
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            odd = not odd
    return odd


def distance_to_ring(p: XY, ring: Sequence[XY]) -> float:
    """Distance from a point to the edge of a ring: positive inside, negative outside."""
    d = point_path_distance(p, ring, closed=True)
    return d if inside(p, ring) else -d


def ring_is_simple(ring: Sequence[XY]) -> bool:
    """Whether no two sides of the ring cross or touch except neighbours at their common corner."""
    n = len(ring)
    for i in range(n):
        a, b = ring[i], ring[(i + 1) % n]
        for j in range(i + 1, n):
            if j == i + 1 or (i == 0 and j == n - 1):
                continue
            if segments_meet(a, b, ring[j], ring[(j + 1) % n]) is not None:
                return False
    return True


def offset_path(path: Sequence[XY], offsets: Sequence[float], closed: bool = False) -> list[XY]:
    """A path moved sideways: side k by ``offsets[k]`` to the left, corners mitred.

    path, offsets
        ``offsets`` has one number per side: len(path) - 1 of them, or len(path) when closed.
    Raises ValueError when two sides with different offsets continue in one line (no mitre exists).
    """
    n = len(path)
    sides = n if closed else n - 1
    dirs = [unit(sub(path[(k + 1) % n], path[k])) for k in range(sides)]
    moved = [add(path[k], scale(left_of(dirs[k]), offsets[k])) for k in range(sides)]
    result: list[XY] = []
    for k in range(n):
        before, after = k - 1, k
        if not closed and k == 0:
            result.append(moved[0])
            continue
        if not closed and k == n - 1:
            result.append(add(path[k], scale(left_of(dirs[-1]), offsets[-1])))
            continue
        hit = line_meet(moved[before], dirs[before], moved[after], dirs[after])
        if hit is None:
            if abs(offsets[before] - offsets[after]) > 1e-9:
                raise ValueError("two sides in one line cannot have different offsets")
            result.append(moved[after])
        else:
            result.append(add(moved[after], scale(dirs[after], hit[1])))
    return result


def arc(centre: XY, radius: float, start: float, sweep: float, most: float = math.radians(7.5)) -> list[XY]:
    """Points of an arc: ``start`` and ``sweep`` counter-clockwise from +x [rad], steps no larger than ``most``."""
    steps = max(1, math.ceil(abs(sweep) / most))
    return [
        (
            centre[0] + radius * math.cos(start + sweep * k / steps),
            centre[1] + radius * math.sin(start + sweep * k / steps),
        )
        for k in range(steps + 1)
    ]


def divide_path(path: Sequence[XY], longest: float) -> list[XY]:
    """Points along a path, at every corner and evenly between corners, no two neighbours more than ``longest`` apart.

    path
        at least two points, no side without length [m]; a path whose last point is its first is a loop, and that
        point is counted once. longest: greater than 0 [m]. Each side is cut into ceil(length / longest) equal parts.
    Raises ValueError for a longest of 0 or less, for a path without a side or with a side without length.

    >>> len(divide_path([(0.0, 0.0), (20.0, 0.0)], 8.0))
    4
    """
    if not longest > 0.0:
        raise ValueError("the longest part must be greater than 0")
    if len(path) < 2:
        raise ValueError("a path needs two points")
    points = [path[0]]
    for a, b in itertools.pairwise(path):
        length = distance(a, b)
        if length == 0.0:
            raise ValueError("a side of the path has no length")
        parts = max(1, math.ceil(length / longest - 1e-9))
        points += [(a[0] + (b[0] - a[0]) * k / parts, a[1] + (b[1] - a[1]) * k / parts) for k in range(1, parts)]
        points.append(b)
    if len(points) > 2 and distance(points[0], points[-1]) < 1e-9:
        points.pop()
    return points
