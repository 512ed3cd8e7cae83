"""Runs along boundary sides that are arcs: offset arcs, where they meet, and posts on them a bay apart."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.layout.frame import Bend, Vertex
from palewright.model import Ring
from palewright.plane import XY, Side, distance, middle_ordinate, side_between, side_points, sub
from palewright.record import Record

__all__ = ["chord_turn", "inward_side", "offset_meet", "offset_radius", "with_bends"]


def inward_side(ring: Ring, number: int) -> Side:
    """The geometry of a side (1-based), from corner to corner."""
    a, b = ring.corners[number - 1].xy, ring.corners[number % len(ring.corners)].xy
    arc = ring.courses[number - 1].arc
    return side_between(a, b, arc.sweep if arc is not None else 0.0)


def chord_turn(chord_m: float, radius_m: float) -> float:
    """How far an arc turns along a chord [rad]: 2 asin(c / 2R), half a turn where the chord does not fit.

    >>> round(math.degrees(chord_turn(40.0, 40.0)), 6)
    60.0
    """
    return 2.0 * math.asin(min(1.0, chord_m / (2.0 * radius_m)))


def offset_radius(ring: Ring, side: Side, distance_m: float) -> float:
    """Radius of an arc side moved into the ring [m]: smaller where its centre lies inside, larger where it cuts in.

    0 or less: nothing is left of it.
    """
    inside_left = not ring.clockwise
    return side.radius - distance_m if (side.sweep > 0.0) == inside_left else side.radius + distance_m


def offset_meet(ring: Ring, one: tuple[Side, float], two: tuple[Side, float], near: tuple[XY, XY]) -> XY:
    """Where two sides moved into the ring meet near their corner; between the two ends where they do not.

    one, two
        the side before and the side after the corner, with how far each is moved [m]. near: the corner moved with
        each of them.
    """
    p, q = near
    if distance(p, q) < 1e-6:
        return q
    found = _common(_moved(ring, one, p), _moved(ring, two, q))
    middle = ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0)
    return min(found, key=lambda xy: distance(xy, middle), default=middle)


class _Line(Record):
    """A whole line (``radius`` 0) through ``point`` along ``d``, or a circle round ``point``."""

    point: XY
    d: XY
    radius: float


def _moved(ring: Ring, moved: tuple[Side, float], end: XY) -> _Line:
    side, distance_m = moved
    if side.sweep:
        return _Line(side.centre, (0.0, 0.0), max(offset_radius(ring, side, distance_m), 0.0))
    (ux, uy), size = sub(side.b, side.a), distance(side.a, side.b)
    return _Line(end, (ux / size, uy / size), 0.0)


def _common(one: _Line, two: _Line) -> list[XY]:
    """Points common to a line and a circle, or to two circles."""
    if one.radius == 0.0:
        one, two = two, one
    (cx, cy), radius = one.point, one.radius
    if two.radius == 0.0:
        (px, py), (ux, uy) = two.point, two.d
    else:
        # the common chord of two circles
        vx, vy = sub(two.point, one.point)
        apart = math.hypot(vx, vy)
        if apart < 1e-9:
            return []
        along = (apart * apart + radius * radius - two.radius * two.radius) / (2.0 * apart)
        px, py = cx + vx / apart * along, cy + vy / apart * along
        ux, uy = -vy / apart, vx / apart
    foot = (cx - px) * ux + (cy - py) * uy
    off = abs((px - cx) * uy - (py - cy) * ux)
    if off > radius:
        return []
    half = math.sqrt(radius * radius - off * off)
    return [(px + ux * (foot + sign * half), py + uy * (foot + sign * half)) for sign in (1.0, -1.0)]


def with_bends(
    ring: Ring, vertices: list[Vertex], chain: Sequence[int], closed: bool, onward: bool, longest_m: float
) -> tuple[list[Vertex], tuple[Bend, ...]]:
    """The path with posts along its arc sides, at equal chords no longer than ``longest_m`` [m], and what they are.

    vertices, chain
        of a run by sides in walking order, one vertex at each corner and end. onward: in the order of the numbers.
    """
    walked: list[Vertex] = []
    bends: list[Bend] = []
    for k, vertex in enumerate(vertices):
        walked.append(vertex)
        if k == len(chain) or (k + 1 == len(vertices) and not closed):
            break
        side = inward_side(ring, chain[k])
        if not side.sweep:
            continue
        arc = _arc_between(vertex.xy, vertices[(k + 1) % len(vertices)].xy, side, side.sweep > 0.0, onward)
        count = max(1, math.ceil(abs(arc.sweep) / chord_turn(longest_m, arc.radius) - 1e-9))
        inner = side_points(arc, math.inf, count)[1:-1]
        walked += [Vertex(xy, "", xy, bend=True) for xy in inner]
        part = abs(arc.sweep) / count
        chord_m = 2.0 * arc.radius * math.sin(part / 2.0)
        bends.append(Bend(chain[k], count, chord_m, middle_ordinate(arc.radius, part), arc.radius))
    return walked, tuple(bends)


def _arc_between(p: XY, q: XY, side: Side, left: bool, onward: bool) -> Side:
    """The arc round the centre of a side from one end of the offset arc to the other, as it is walked."""
    turns = [math.atan2(xy[1] - side.centre[1], xy[0] - side.centre[0]) for xy in (p, q)]
    sweep = (turns[1] - turns[0]) % (2.0 * math.pi)
    if left != onward:
        sweep -= 2.0 * math.pi
    return Side(p, q, sweep, side.centre, distance(p, side.centre))
