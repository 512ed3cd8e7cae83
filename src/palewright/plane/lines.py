"""Points, directions and straight lines."""

from __future__ import annotations

import math

__all__ = [
    "XY",
    "add",
    "along",
    "angle_between",
    "azimuth",
    "cross",
    "direction",
    "distance",
    "dot",
    "left_of",
    "line_meet",
    "midpoint",
    "project",
    "scale",
    "segment_distance",
    "segments_meet",
    "sub",
    "turn_between",
    "unit",
]

XY = tuple[float, float]

_PARALLEL = 1e-12


def add(a: XY, b: XY) -> XY:
    """Sum of two vectors."""
    return (a[0] + b[0], a[1] + b[1])


def sub(a: XY, b: XY) -> XY:
    """Vector from ``b`` to ``a``."""
    return (a[0] - b[0], a[1] - b[1])


def scale(a: XY, k: float) -> XY:
    """Vector times a number."""
    return (a[0] * k, a[1] * k)


def dot(a: XY, b: XY) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1]


def cross(a: XY, b: XY) -> float:
    """Signed area of the parallelogram; positive when ``b`` is left of ``a``."""
    return a[0] * b[1] - a[1] * b[0]


def distance(a: XY, b: XY) -> float:
    """Distance between two points."""
    return math.hypot(b[0] - a[0], b[1] - a[1])


def unit(a: XY) -> XY:
    """Unit vector along ``a``; raises ValueError for a zero vector."""
    size = math.hypot(a[0], a[1])
    if size == 0.0:
        raise ValueError("a zero vector has no direction")
    return (a[0] / size, a[1] / size)


def midpoint(a: XY, b: XY) -> XY:
    """Point half way."""
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)


def left_of(d: XY) -> XY:
    """The vector turned a quarter turn to the left."""
    return (-d[1], d[0])


def direction(azimuth_rad: float) -> XY:
    """Unit vector of an azimuth clockwise from +y [rad]."""
    return (math.sin(azimuth_rad), math.cos(azimuth_rad))


def azimuth(a: XY, b: XY) -> float:
    """Azimuth from ``a`` to ``b``, clockwise from +y [rad, 0 to 2 pi).

    >>> round(azimuth((0.0, 0.0), (1.0, 0.0)), 6)
    1.570796
    """
    return math.atan2(b[0] - a[0], b[1] - a[1]) % (2.0 * math.pi)


def along(a: XY, b: XY, length: float) -> XY:
    """Point ``length`` from ``a`` toward ``b``."""
    size = distance(a, b)
    if size == 0.0:
        raise ValueError("two equal points give no direction")
    k = length / size
    return (a[0] + (b[0] - a[0]) * k, a[1] + (b[1] - a[1]) * k)


def project(p: XY, a: XY, b: XY) -> tuple[float, float]:
    """Where ``p`` falls on the line a-b: (along from a, offset), offset positive to the left.

    >>> project((3.0, 2.0), (0.0, 0.0), (10.0, 0.0))
    (3.0, 2.0)
    """
    d = unit(sub(b, a))
    v = sub(p, a)
    return (dot(v, d), cross(d, v))


def angle_between(u: XY, v: XY) -> float:
    """Angle between two vectors [rad, 0 to pi]."""
    return abs(math.atan2(cross(u, v), dot(u, v)))


def turn_between(u: XY, v: XY) -> float:
    """Turn from direction ``u`` to ``v`` [rad, -pi to pi], left positive."""
    return math.atan2(cross(u, v), dot(u, v))


def line_meet(a: XY, u: XY, b: XY, v: XY) -> tuple[float, float] | None:
    """Where the lines a + s u and b + t v meet, as (s, t); None when parallel. ``u`` and ``v`` are unit vectors."""
    det = cross(u, v)
    if abs(det) < _PARALLEL:
        return None
    w = sub(b, a)
    return (cross(w, v) / det, cross(w, u) / det)


def segments_meet(a: XY, b: XY, c: XY, d: XY, slack: float = 0.0) -> XY | None:
    """A point common to the segments a-b and c-d, or None. ``slack`` lengthens both at their ends [m].

    Parallel segments that overlap give the start of the overlap.
    """
    la, lc = distance(a, b), distance(c, d)
    if la == 0.0 or lc == 0.0:
        return None
    u, v = unit(sub(b, a)), unit(sub(d, c))
    hit = line_meet(a, u, c, v)
    if hit is None:
        s0, off = project(c, a, b)
        s1, _ = project(d, a, b)
        if abs(off) > max(slack, 1e-9):
            return None
        low, high = max(0.0, min(s0, s1)), min(la, max(s0, s1))
        return add(a, scale(u, low)) if high - low >= -slack else None
    s, t = hit
    if -slack <= s <= la + slack and -slack <= t <= lc + slack:
        return add(a, scale(u, s))
    return None


def segment_distance(p: XY, a: XY, b: XY) -> float:
    """Distance from a point to a segment."""
    ab = sub(b, a)
    size2 = dot(ab, ab)
    if size2 == 0.0:
        return distance(p, a)
    k = min(1.0, max(0.0, dot(sub(p, a), ab) / size2))
    return math.hypot(p[0] - a[0] - k * ab[0], p[1] - a[1] - k * ab[1])
