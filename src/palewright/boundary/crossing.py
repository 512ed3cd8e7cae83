"""Where a boundary crosses itself."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from palewright.plane import XY, Side, cross, distance, dot, middle_ordinate, sides_area, sides_meet, sub

__all__ = ["sides_that_cross"]


def sides_that_cross(sides: Sequence[Side]) -> tuple[int, int, XY] | None:
    """The first two sides (0-based) that cross, touch or fold back on each other, and where; or None.

    sides
        of a ring in order, straight or arcs [m], none without length. Neighbours may only share their corner.

    >>> from palewright.plane import side_between
    >>> corners = [(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)]
    >>> sides_that_cross([side_between(corners[k], corners[(k + 1) % 4]) for k in range(4)])
    (0, 2, (1.0, 1.0))
    """
    n = len(sides)
    if n == 2 and abs(sides_area(sides)) <= 1e-9 * distance(sides[0].a, sides[0].b) ** 2:
        return 0, 1, sides[0].a
    boxes = [_box(side) for side in sides]
    order = sorted(range(n), key=lambda k: boxes[k][0])
    lefts, widest = [boxes[k][0] for k in order], max((box[2] - box[0] for box in boxes), default=0.0)
    for i, (left, low, right, high) in enumerate(boxes):
        beside = order[bisect_left(lefts, left - widest) : bisect_right(lefts, right)]
        for j in sorted(k for k in beside if k > i):
            box = boxes[j]
            if box[2] < left or box[1] > high or box[3] < low:
                continue
            after, around = j == i + 1, i == 0 and j == n - 1
            if not (after or around):
                hits = sides_meet(sides[i], sides[j])
            elif n > 2:
                hits = _beyond_corner(*((i, j) if after else (j, i)), sides)
            else:
                hits = _apart(sides_meet(sides[i], sides[j]), (sides[i].a, sides[i].b), sides[i], sides[j])
            if hits:
                return i, j, hits[0]
    return None


def _box(side: Side) -> tuple[float, float, float, float]:
    """A box round a side, a little wide: left, low, right, high."""
    (ax, ay), (bx, by) = side.a, side.b
    wide = 1e-6 + (middle_ordinate(side.radius, side.sweep) + side.radius * 1e-9 if side.sweep else 0.0)
    if abs(side.sweep) > math.pi:
        wide = 2.0 * side.radius
    return min(ax, bx) - wide, min(ay, by) - wide, max(ax, bx) + wide, max(ay, by) + wide


def _beyond_corner(i: int, j: int, sides: Sequence[Side]) -> list[XY]:
    """Where a side and the one after it meet elsewhere than at their corner."""
    one, two = sides[i], sides[j]
    if not one.sweep and not two.sweep:
        u, v = sub(one.b, one.a), sub(two.b, two.a)
        back = dot(u, v) < 0.0 and abs(cross(u, v)) <= 1e-9 * math.hypot(*u) * math.hypot(*v)
        return [one.b] if back else []
    return _apart(sides_meet(one, two), (one.b,), one, two)


def _apart(hits: Sequence[XY], corners: Sequence[XY], one: Side, two: Side) -> list[XY]:
    near = 1e-5 + 1e-6 * max(one.radius, two.radius)
    return [p for p in hits if all(distance(p, corner) > near for corner in corners)]
