"""Ground to keep clear of, seen along a leg: exact intervals of hole centres, and how near each hole comes.

A zone is the set of points within ``half_m`` of its line. A hole of radius r touches it when its centre is within
half_m + r of that line: a capsule round every piece, whose chord with the leg is found in closed form.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.model import Zone, ZoneHit
from palewright.plane import XY, inside, point_path_distance
from palewright.record import Record

__all__ = ["NEAR", "TOUCHING", "ZoneBox", "box_zones", "chord", "clear_of", "hits", "near_leg", "spans", "within"]

NEAR = 0.6
"""A zone is named beside a hole when it is this near to the hole's edge [m]; our own choice, about 2 ft."""

TOUCHING = 1e-6
"""A hole that reaches into a zone by no more than this only touches it [m]: rounding, far under any tape's mark."""

Span = tuple[float, float]


class ZoneBox(Record):
    """A zone with the box round its line, ``half_m`` included."""

    zone: Zone
    x0: float
    x1: float
    y0: float
    y1: float
    pieces: tuple[tuple[XY, XY], ...]


def box_zones(zones: Sequence[Zone]) -> list[ZoneBox]:
    """Zones with their boxes."""
    result = []
    for zone in zones:
        if not zone.points:
            continue
        xs, ys = [p[0] for p in zone.points], [p[1] for p in zone.points]
        h = zone.half_m
        pieces = list(itertools.pairwise(zone.points)) or [(zone.points[0], zone.points[0])]
        if zone.closed and len(zone.points) > 2:
            pieces.append((zone.points[-1], zone.points[0]))
        result.append(ZoneBox(zone, min(xs) - h, max(xs) + h, min(ys) - h, max(ys) + h, tuple(pieces)))
    return result


def near_leg(boxes: Sequence[ZoneBox], a: XY, b: XY, reach_m: float) -> list[ZoneBox]:
    """The zones whose boxes come within ``reach_m`` of the box of the leg a-b [m]."""
    x0, x1 = min(a[0], b[0]) - reach_m, max(a[0], b[0]) + reach_m
    y0, y1 = min(a[1], b[1]) - reach_m, max(a[1], b[1]) + reach_m
    return [box for box in boxes if box.x0 <= x1 and box.x1 >= x0 and box.y0 <= y1 and box.y1 >= y0]


def chord(a: XY, d: XY, c: XY, e: XY, radius: float) -> Span | None:
    """Where the line a + t d lies within ``radius`` of the segment c-e: (t0, t1), or None [m].

    a, d
        a point of the line and its unit direction. c, e: ends of the segment (equal for a point).
    radius
        of the capsule, 0 or more [m].

    The capsule is convex, so the answer is one interval: the union of the chords of the two end circles
    (|a + t d - c| <= R) and of the rectangle between them. Geometry.

    >>> chord((0.0, 0.0), (1.0, 0.0), (5.0, 3.0), (5.0, 3.0), 5.0)
    (1.0, 9.0)
    """
    low, high = math.inf, -math.inf
    for p in (c, e):
        vx, vy = p[0] - a[0], p[1] - a[1]
        off = d[0] * vy - d[1] * vx
        if abs(off) <= radius:
            along = d[0] * vx + d[1] * vy
            half = math.sqrt(radius * radius - off * off)
            low, high = min(low, along - half), max(high, along + half)
    sx, sy = e[0] - c[0], e[1] - c[1]
    size = math.hypot(sx, sy)
    if size > 0.0:
        sx, sy = sx / size, sy / size
        wx, wy = a[0] - c[0], a[1] - c[1]
        slab = _slab(sx * wx + sy * wy, sx * d[0] + sy * d[1], 0.0, size)
        if slab is not None:
            strip = _slab(sx * wy - sy * wx, sx * d[1] - sy * d[0], -radius, radius)
            if strip is not None:
                t0, t1 = max(slab[0], strip[0]), min(slab[1], strip[1])
                if t0 <= t1:
                    low, high = min(low, t0), max(high, t1)
    return (low, high) if low < high else None


def _slab(at: float, rate: float, low: float, high: float) -> Span | None:
    """Where low <= at + rate t <= high."""
    if abs(rate) < 1e-15:
        return (-math.inf, math.inf) if low <= at <= high else None
    t0, t1 = (low - at) / rate, (high - at) / rate
    return (t0, t1) if t0 <= t1 else (t1, t0)


def spans(box: ZoneBox, a: XY, d: XY, length: float, radius: float) -> list[Span]:
    """Intervals of the leg a + t d, 0 <= t <= length, in which a hole of this radius touches the zone, merged [m].

    They run past the ends of the leg where the zone does, so that the way out of it can be read. A closed zone
    counts with its inside.
    """
    reach = box.zone.half_m + radius
    found = [span for c, e in box.pieces if (span := chord(a, d, c, e, reach)) is not None]
    if box.zone.closed and len(box.zone.points) > 2:
        found += within(box.zone.points, a, d)
    merged: list[Span] = []
    for low, high in sorted(found):
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return [(low, high) for low, high in merged if high > 0.0 and low < length]


def within(ring: Sequence[XY], a: XY, d: XY) -> list[Span]:
    """Where the line a + t d runs inside a ring (even-odd rule)."""
    cuts = []
    for k, p in enumerate(ring):
        q = ring[(k + 1) % len(ring)]
        op = d[0] * (p[1] - a[1]) - d[1] * (p[0] - a[0])
        oq = d[0] * (q[1] - a[1]) - d[1] * (q[0] - a[0])
        if (op > 0.0) != (oq > 0.0):
            k_ = op / (op - oq)
            x, y = p[0] + k_ * (q[0] - p[0]), p[1] + k_ * (q[1] - p[1])
            cuts.append(d[0] * (x - a[0]) + d[1] * (y - a[1]))
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=False))


def clear_of(box: ZoneBox, p: XY, radius: float) -> float:
    """From the edge of a hole at ``p`` to the edge of the zone [m], negative when inside it."""
    zone = box.zone
    far = point_path_distance(p, zone.points, zone.closed and len(zone.points) > 2)
    if zone.closed and len(zone.points) > 2 and inside(p, zone.points):
        far = -far
    return far - zone.half_m - radius


def hits(boxes: Sequence[ZoneBox], p: XY, radius: float) -> tuple[ZoneHit, ...]:
    """Every zone within 0.6 m of a hole's edge, nearest first; one that only touches it is 0 away."""
    reach = NEAR + radius
    x, y = p
    found = []
    for box in boxes:
        if box.x0 - reach <= x <= box.x1 + reach and box.y0 - reach <= y <= box.y1 + reach:
            clear = clear_of(box, p, radius)
            if abs(clear) <= TOUCHING:
                clear = 0.0
            if clear <= NEAR:
                found.append(ZoneHit(box.zone.name, box.zone.kind, clear, box.zone.utility))
    found.sort(key=lambda hit: hit.clear_m)
    return tuple(found)
