"""Regions of a lot with straight and curved edges, and the stretches of a straight line that lie in them. Exact."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

from palewright.plane import (
    XY,
    Side,
    add,
    cross,
    distance,
    dot,
    inside_sides,
    left_of,
    midpoint,
    project,
    scale,
    segment_distance,
    side_distance,
    sides_area,
    sides_meet,
    sub,
    unit,
)
from palewright.record import Record

__all__ = [
    "Region",
    "beyond",
    "depth_of",
    "house_depth",
    "inner_side",
    "middle_of",
    "nearest_of_segment",
    "parts_between",
    "polygon",
    "part_of",
    "step_along",
    "stretches",
    "strip",
    "whole",
    "within",
]

TOUCHING_M = 1e-6
"""Less than this inside an edge does not count as inside [m]."""


class Region(Record):
    """A part of the plane: its edges, and whether a point lies in it; ``ring``: edges in order, where closed."""

    edges: tuple[Side, ...]
    holds: Callable[[XY], bool]
    ring: tuple[Side, ...] = ()


def polygon(ring: Sequence[Side]) -> Region:
    """What lies inside a ring of sides, and not only on its edge."""
    sides = tuple(ring)

    def holds(p: XY) -> bool:
        return inside_sides(p, sides) and min(side_distance(p, side) for side in sides) > TOUCHING_M

    return Region(sides, holds, sides)


def depth_of(p: XY, side: Side, left: bool) -> float:
    """How far a point lies inside of a side run on past its ends [m]: a straight line, or the whole circle of an arc.

    left
        whether the lot lies left of its sides. Negative: outside.

    >>> depth_of((3.0, 2.0), Side((0.0, 0.0), (1.0, 0.0)), True)
    2.0
    """
    if side.sweep:
        out = distance(p, side.centre) - side.radius
        return -out if (side.sweep > 0.0) == left else out
    off = project(p, side.a, side.b)[1]
    return off if left else -off


def beyond(side: Side, depth_m: float, left: bool, far_m: float) -> Region:
    """What lies less than ``depth_m`` inside of a side, the side run on past its ends by ``far_m`` [m]."""
    if side.sweep:
        inward = (side.sweep > 0.0) == left
        radius = side.radius - depth_m if inward else side.radius + depth_m
        edges = _circle(side.centre, radius) if radius > 0.0 else ()
    else:
        edges = whole(inner_side(side, depth_m, left), far_m)
    return Region(edges, lambda p: depth_of(p, side, left) < depth_m - TOUCHING_M)


def _circle(centre: XY, radius: float) -> tuple[Side, ...]:
    east, west = (centre[0] + radius, centre[1]), (centre[0] - radius, centre[1])
    return (Side(east, west, math.pi, centre, radius), Side(west, east, math.pi, centre, radius))


def inner_side(side: Side, distance_m: float, left: bool) -> Side:
    """A side moved into the lot, square to itself: parallel, or an arc round the same centre (outward when negative).

    Raises ValueError for an arc that is bent too sharply to be moved so far.

    >>> inner_side(Side((0.0, 0.0), (4.0, 0.0)), 1.0, True)
    Side(a=(0.0, 1.0), b=(4.0, 1.0), sweep=0.0, centre=(0.0, 0.0), radius=0.0)
    """
    if not side.sweep:
        off = scale(left_of(unit(sub(side.b, side.a))), distance_m if left else -distance_m)
        return Side(add(side.a, off), add(side.b, off))
    radius = side.radius - distance_m if (side.sweep > 0.0) == left else side.radius + distance_m
    if radius <= 0.0:
        raise ValueError("the arc is bent too sharply")
    k = radius / side.radius
    a, b = (add(side.centre, scale(sub(p, side.centre), k)) for p in (side.a, side.b))
    return Side(a, b, side.sweep, side.centre, radius)


def part_of(side: Side, p: XY, q: XY) -> Side:
    """The part of a side from one of its points to another, in its own direction or against it."""
    if not side.sweep:
        return Side(p, q)
    turn = math.atan2(cross(sub(p, side.centre), sub(q, side.centre)), dot(sub(p, side.centre), sub(q, side.centre)))
    return Side(p, q, turn, side.centre, side.radius)


def strip(sides: Sequence[Side], number: int, width_m: float) -> tuple[Side, ...]:
    """A strip along one side of a ring as a ring of its own: it ends at the sides next to it, or square where they are
    reached too far away.

    sides
        the ring. number: of the side, counted from 0. width_m: greater than 0 [m].
    Raises ValueError for an arc that is bent too sharply.

    >>> square = [Side((0.0, 0.0), (4.0, 0.0)), Side((4.0, 0.0), (4.0, 4.0)), Side((4.0, 4.0), (0.0, 0.0))]
    >>> [edge.a for edge in strip(square, 0, 1.0)]
    [(0.0, 0.0), (4.0, 0.0), (4.0, 1.0), (1.0, 1.0)]
    """
    side, left = sides[number], sides_area(sides) > 0.0
    inner = inner_side(side, width_m, left)
    after, before = sides[(number + 1) % len(sides)], sides[number - 1]
    start = _end(inner, side.a, inner.a, before, width_m)
    end = _end(inner, side.b, inner.b, after, width_m)
    ring = [
        side,
        _reach(after, side.b, end, inner.b),
        part_of(inner, end, start),
        _reach(before, start, side.a, inner.a),
    ]
    return tuple(edge for edge in ring if distance(edge.a, edge.b) > 1e-9)


def _reach(beside: Side, p: XY, q: XY, square: XY) -> Side:
    """From a corner to the end of the inner edge, or back: along the neighbour, or straight where it ends square."""
    return Side(p, q) if square in (p, q) else part_of(beside, p, q)


def _end(inner: Side, corner: XY, square: XY, beside: Side, width_m: float) -> XY:
    """Where the inner edge, run on both ways, meets the side next to it nearest to the corner; else the square end."""
    hits = [p for line in whole(inner, 4.0 * width_m) for p in sides_meet(line, beside)]
    near = [p for p in hits if distance(p, corner) <= 3.0 * width_m]
    return min(near, key=lambda p: distance(p, corner), default=square)


def stretches(a: XY, b: XY, region: Region) -> list[tuple[float, float]]:
    """The parts of the segment from ``a`` to ``b`` inside a region, as distances from ``a`` [m].

    >>> stretches((-1.0, 1.0), (5.0, 1.0), polygon([Side((0.0, 0.0), (4.0, 0.0)), Side((4.0, 0.0), (4.0, 4.0)),
    ...                                             Side((4.0, 4.0), (0.0, 4.0)), Side((0.0, 4.0), (0.0, 0.0))]))
    [(1.0, 5.0)]
    """
    return [(low, high) for low, high, middle in parts_between(a, b, region.edges) if region.holds(middle)]


def parts_between(a: XY, b: XY, edges: Sequence[Side]) -> list[tuple[float, float, XY]]:
    """The segment cut wherever it meets an edge: both ends of each part [m from ``a``] and its middle."""
    length, line = distance(a, b), Side(a, b)
    cuts = sorted({0.0, length, *(distance(a, p) for edge in edges for p in sides_meet(line, edge))})
    kept = [0.0]
    for cut in cuts[1:]:
        if cut - kept[-1] > TOUCHING_M:
            kept.append(cut)
    kept[-1] = length if len(kept) > 1 else 0.0
    return [
        (low, high, add(a, scale(sub(b, a), (low + high) / (2.0 * length)))) for low, high in itertools.pairwise(kept)
    ]


def within(middle: XY, radius: float, region: Region) -> float:
    """How far a disc reaches into a region [m]; 0 or less: it does not."""
    far = min((side_distance(middle, edge) for edge in region.edges), default=0.0)
    return radius + (far if region.holds(middle) else -far)


def nearest_of_segment(a: XY, b: XY, side: Side) -> tuple[float, XY]:
    """Least distance between a segment and a side [m], exact for arcs, and the point of the segment where it is.

    >>> nearest_of_segment((1.0, 2.0), (3.0, 1.0), Side((0.0, 0.0), (9.0, 0.0)))
    (1.0, (3.0, 1.0))
    """
    line = Side(a, b)
    met = sides_meet(line, side) if distance(a, b) > 0.0 else []
    if met:
        return 0.0, met[0]
    points = [a, b]
    for p in (side.a, side.b, *((side.centre,) if side.sweep else ())):
        if distance(a, b) > 0.0:
            at, _ = project(p, a, b)
            if 0.0 < at < distance(a, b):
                points.append(add(a, scale(unit(sub(b, a)), at)))
    return min(((side_distance(p, side), p) for p in points), key=lambda found: found[0])


def house_depth(house: Sequence[XY], side: Side, left: bool) -> float:
    """Least depth of a building behind a side run on past its ends [m]: at a corner, or on a wall that faces an arc."""
    found = [depth_of(p, side, left) for p in house]
    if side.sweep and (side.sweep > 0.0) != left:
        walls = zip(house, [*house[1:], house[0]], strict=True)
        found += [segment_distance(side.centre, a, b) - side.radius for a, b in walls]
    return min(found)


def whole(side: Side, far_m: float) -> tuple[Side, ...]:
    """A side run on past its ends: a line longer by ``far_m`` each way [m], or the whole circle of an arc."""
    if side.sweep:
        return _circle(side.centre, side.radius)
    along = scale(unit(sub(side.b, side.a)), far_m)
    return (Side(sub(side.a, along), add(side.b, along)),)


def step_along(side: Side, p: XY, distance_m: float) -> XY:
    """The point ``distance_m`` on from a point of a side run on past its ends, along it; negative: back [m].

    >>> step_along(Side((0.0, 0.0), (4.0, 0.0)), (4.0, 0.0), 2.0)
    (6.0, 0.0)
    """
    if not side.sweep:
        return add(p, scale(unit(sub(side.b, side.a)), distance_m))
    turn = math.copysign(distance_m / side.radius, side.sweep * distance_m)
    (vx, vy), c, s = sub(p, side.centre), math.cos(turn), math.sin(turn)
    return (side.centre[0] + vx * c - vy * s, side.centre[1] + vx * s + vy * c)


def middle_of(ring: Sequence[XY]) -> XY:
    """The middle of the rectangle round points."""
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    return midpoint((min(xs), min(ys)), (max(xs), max(ys)))
