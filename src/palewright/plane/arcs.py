"""Sides that are straight or circle arcs: points, distances, inside, area, and where two of them meet."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.plane.lines import XY, cross, distance, midpoint, segment_distance, segments_meet, sub
from palewright.plane.shapes import signed_area
from palewright.record import Record

__all__ = [
    "Side",
    "distance_to_sides",
    "inside_sides",
    "middle_ordinate",
    "path_of_sides",
    "side_between",
    "side_distance",
    "side_length",
    "side_points",
    "sides_area",
    "sides_meet",
]


class Side(Record):
    """A side from ``a`` to ``b``: straight, or an arc round ``centre``.

    sweep
        how far the direction of travel turns along it [rad], left positive; 0 for a straight side.
    centre, radius
        of the arc; of no meaning for a straight side.
    """

    a: XY
    b: XY
    sweep: float = 0.0
    centre: XY = (0.0, 0.0)
    radius: float = 0.0


def side_between(a: XY, b: XY, sweep: float = 0.0) -> Side:
    """The side from ``a`` to ``b`` along which the direction turns by ``sweep`` [rad, -2 pi to 2 pi, left positive].

    An arc has radius R = C / (2 sin(|sweep| / 2)), C the chord. Raises ValueError for an arc between equal points or
    with a sweep of a full turn or more.

    >>> side = side_between((0.0, 0.0), (10.0, 0.0), math.pi / 2)
    >>> [round(x, 6) for x in (*side.centre, side.radius)]
    [5.0, 5.0, 7.071068]
    """
    if sweep == 0.0:
        return Side(a, b)
    chord = distance(a, b)
    if chord == 0.0 or not abs(sweep) < 2.0 * math.pi:
        raise ValueError("an arc needs two different ends and less than a full turn")
    half = sweep / 2.0
    up = 0.5 / math.tan(half)
    (mx, my), (ux, uy) = midpoint(a, b), sub(b, a)
    return Side(a, b, sweep, (mx - uy * up, my + ux * up), chord / (2.0 * abs(math.sin(half))))


def middle_ordinate(radius: float, sweep: float) -> float:
    """Greatest distance between an arc and its chord [m]: M = R (1 - cos(|sweep| / 2)).

    >>> round(middle_ordinate(40.0, math.radians(60.0)), 4)
    5.359
    """
    return radius * (1.0 - math.cos(sweep / 2.0))


def side_length(side: Side) -> float:
    """Length along a side [m]."""
    return side.radius * abs(side.sweep) if side.sweep else distance(side.a, side.b)


def side_points(side: Side, error: float, least: int = 1) -> list[XY]:
    """Points along a side, both ends among them: at least ``least`` equal chords, none farther than ``error`` from it.

    error
        greatest distance between arc and chord [m], greater than 0. A straight side gives its two ends when least is 1.
    """
    if not error > 0.0:
        raise ValueError("the distance between arc and chord must be greater than 0")
    parts = least
    if side.sweep:
        most = 2.0 * math.acos(max(1.0 - error / side.radius, -1.0))
        parts = max(parts, math.ceil(abs(side.sweep) / most - 1e-9))
    return [side.a, *(_at(side, k / parts) for k in range(1, parts)), side.b]


def path_of_sides(sides: Sequence[Side], error: float) -> list[XY]:
    """Corners of a ring of sides, arcs as chords no farther than ``error`` from them [m]; the first is not repeated."""
    return [point for side in sides for point in side_points(side, error)[:-1]]


def _at(side: Side, share: float) -> XY:
    """The point at a share of the length of a side."""
    if not side.sweep:
        return (side.a[0] + (side.b[0] - side.a[0]) * share, side.a[1] + (side.b[1] - side.a[1]) * share)
    vx, vy = sub(side.a, side.centre)
    c, s = math.cos(side.sweep * share), math.sin(side.sweep * share)
    return (side.centre[0] + vx * c - vy * s, side.centre[1] + vx * s + vy * c)


def _beyond_chord(side: Side, p: XY) -> bool:
    """Whether a point lies on the arc's side of its chord: on the right of it when the arc turns left."""
    return cross(sub(side.b, side.a), sub(p, side.a)) * side.sweep < 0.0


def side_distance(p: XY, side: Side) -> float:
    """Distance from a point to a side [m], exact for arcs.

    >>> round(side_distance((5.0, -5.0), side_between((0.0, 0.0), (10.0, 0.0), math.pi)), 6)
    0.0
    """
    if not side.sweep:
        return segment_distance(p, side.a, side.b)
    v = sub(p, side.centre)
    far = math.hypot(*v)
    if far > 0.0:
        k = side.radius / far
        if not _beyond_chord(side, (side.centre[0] + v[0] * k, side.centre[1] + v[1] * k)):
            return min(distance(p, side.a), distance(p, side.b))
    return abs(far - side.radius)


def inside_sides(p: XY, sides: Sequence[Side]) -> bool:
    """Whether a point lies inside a ring of sides (even-odd rule; a point on the edge may go either way).

    >>> half = [side_between((0.0, 0.0), (2.0, 0.0)), side_between((2.0, 0.0), (0.0, 0.0), math.pi)]
    >>> inside_sides((1.0, 0.9), half), inside_sides((1.0, 1.1), half)
    (True, False)
    """
    return sum(_crossings(p, side) for side in sides) % 2 == 1


def _crossings(p: XY, side: Side) -> int:
    """How often a side crosses the ray from a point toward +x; a lower end counts, an upper one does not."""
    x, y = p
    if not side.sweep:
        (ax, ay), (bx, by) = side.a, side.b
        return int((ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax))
    (cx, cy), radius = side.centre, side.radius
    sign = math.copysign(1.0, side.sweep)
    turn = math.atan2(side.a[1] - cy, side.a[0] - cx)
    left = abs(side.sweep)
    height, count = side.a[1], 0
    while True:
        # to the next top or bottom of the circle: between them y only rises or only falls
        quarter = math.pi / 2.0
        step = (quarter - sign * turn) % math.pi
        step = step if step > 1e-12 else math.pi
        last = left <= step
        part = left if last else step
        middle = turn + sign * part / 2.0
        after = side.b[1] if last else cy + radius * round(math.sin(turn + sign * part))
        if (height > y) != (after > y):
            reach = math.sqrt(max(radius * radius - (y - cy) ** 2, 0.0))
            count += x < cx + math.copysign(reach, math.cos(middle))
        if last:
            return count
        turn, left, height = turn + sign * part, left - part, after


def distance_to_sides(p: XY, sides: Sequence[Side]) -> float:
    """Distance from a point to the edge of a ring of sides [m]: positive inside, negative outside."""
    d = min(side_distance(p, side) for side in sides)
    return d if inside_sides(p, sides) else -d


def sides_area(sides: Sequence[Side]) -> float:
    """Area of a ring of sides [m2], counter-clockwise positive, exact for arcs.

    Area by coordinates of the corners, plus R^2 (s - sin s) / 2 for each arc of sweep s (left positive).

    >>> half = [side_between((0.0, 0.0), (2.0, 0.0)), side_between((2.0, 0.0), (0.0, 0.0), math.pi)]
    >>> round(sides_area(half) - math.pi / 2.0, 12)
    0.0
    """
    bows = (side.radius**2 * (side.sweep - math.sin(side.sweep)) / 2.0 for side in sides if side.sweep)
    return signed_area([side.a for side in sides]) + math.fsum(bows)


# ---------------------------------------------------------------- meetings


def sides_meet(one: Side, two: Side) -> list[XY]:
    """Points that two sides have in common; two that lie on each other give the ends of what they share."""
    if not one.sweep and not two.sweep:
        hit = segments_meet(one.a, one.b, two.a, two.b)
        return [] if hit is None else [hit]
    if one.sweep and two.sweep:
        return _arcs_meet(one, two)
    line, bow = (two, one) if one.sweep else (one, two)
    return [p for p in _line_circle(line, bow) if _on(bow, p)]


def _on(side: Side, p: XY) -> bool:
    """Whether a point of an arc's circle lies on the arc; its ends do."""
    near = 1e-9 * max(side.radius, 1.0)
    return _beyond_chord(side, p) or distance(p, side.a) <= near or distance(p, side.b) <= near


def _line_circle(line: Side, bow: Side) -> list[XY]:
    (dx, dy), (vx, vy) = sub(line.b, line.a), sub(line.a, bow.centre)
    size2 = dx * dx + dy * dy
    if size2 == 0.0:
        return []
    foot = -(vx * dx + vy * dy) / size2
    off = abs(vx * dy - vy * dx) / math.sqrt(size2)
    rest = bow.radius - off
    if rest < -1e-9 * max(bow.radius, 1.0):
        return []
    half = math.sqrt(max(rest, 0.0) * (bow.radius + off) / size2)
    slack = 1e-9
    shares = (foot - half, foot + half) if half else (foot,)
    return [(line.a[0] + dx * t, line.a[1] + dy * t) for t in shares if -slack <= t <= 1.0 + slack]


def _arcs_meet(one: Side, two: Side) -> list[XY]:
    (dx, dy) = sub(two.centre, one.centre)
    apart = math.hypot(dx, dy)
    near = 1e-9 * max(one.radius, two.radius, 1.0)
    if apart <= near:
        if abs(one.radius - two.radius) > near:
            return []
        ends = [p for p in (two.a, two.b) if _on(one, p)] + [p for p in (one.a, one.b) if _on(two, p)]
        return list(dict.fromkeys(ends))
    along = (apart * apart + one.radius**2 - two.radius**2) / (2.0 * apart)
    rest = one.radius - abs(along)
    if rest < -near:
        return []
    up = math.sqrt(max(rest, 0.0) * (one.radius + abs(along)))
    ux, uy = dx / apart, dy / apart
    x, y = one.centre[0] + ux * along, one.centre[1] + uy * along
    both = [(x - uy * up, y + ux * up), (x + uy * up, y - ux * up)] if up else [(x, y)]
    return [p for p in both if _on(one, p) and _on(two, p)]
