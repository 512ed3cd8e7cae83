"""How far posts, faces and footings stand inside the boundary."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.layout.frame import Outline
from palewright.model import Kind, Post
from palewright.plane import XY, Side, inside_sides, side_between, side_distance, sides_area, sides_meet
from palewright.record import Record

__all__ = ["Boundary", "proud"]


class Boundary(Record):
    """A ring made ready for many distances: per side its start, unit direction and length; sides count from 1.

    ``left``: the inside lies left of the sides. ``curved``: the same sides, where one of them is an arc; else empty.
    """

    sides: tuple[tuple[float, float, float, float, float], ...]
    left: bool
    curved: tuple[Side, ...] = ()

    @classmethod
    def of(cls, ring: Sequence[Side]) -> Boundary:
        """The boundary of sides in order, straight or arcs."""
        sides = []
        for side in ring:
            (ax, ay), (bx, by) = side.a, side.b
            size = math.hypot(bx - ax, by - ay)
            if size > 0.0:
                sides.append((ax, ay, (bx - ax) / size, (by - ay) / size, size))
            else:
                sides.append((ax, ay, 1.0, 0.0, 0.0))
        return cls(tuple(sides), sides_area(ring) > 0.0, tuple(ring) if any(side.sweep for side in ring) else ())

    def nearest(self, p: XY) -> tuple[float, int]:
        """Signed distance to the ring (positive inside) [m] and the number of the nearest side."""
        if self.curved:
            far, number = min((side_distance(p, side), k) for k, side in enumerate(self.curved, 1))
            return (far if inside_sides(p, self.curved) else -far), number
        x, y = p
        best, number = math.inf, 0
        odd = False
        for k, (ax, ay, ux, uy, size) in enumerate(self.sides, 1):
            vx, vy = x - ax, y - ay
            along = vx * ux + vy * uy
            if along <= 0.0:
                d2 = vx * vx + vy * vy
            elif along >= size:
                d2 = (vx - ux * size) ** 2 + (vy - uy * size) ** 2
            else:
                off = ux * vy - uy * vx
                d2 = off * off
            if d2 < best:
                best, number = d2, k
            ey = self.sides[k % len(self.sides)][1]  # exact: a corner level with the point counts once
            if (ay > y) != (ey > y) and x < ax + (y - ay) / uy * ux:
                odd = not odd
        far = math.sqrt(best)
        return (far if odd else -far), number

    def distance(self, p: XY) -> float:
        """Signed distance to the ring [m], positive inside."""
        return self.nearest(p)[0]

    def lone(self, p: XY, margin: float) -> tuple[float, XY] | None:
        """Where only one side matters within ``margin`` of a point inside: (distance to it [m], unit vector to it).

        None when another side is as near as that, when the point is nearer than ``margin``, outside, or not abreast of
        the side, or when a side is an arc: then every corner has to be looked at.
        """
        if self.curved:
            return None
        x, y = p
        best, number = math.inf, -1
        second = math.inf
        for k, side in enumerate(self.sides):
            far = _segment(x, y, side)
            if far < best:
                best, second, number = far, best, k
            elif far < second:
                second = far
        if best <= margin or second <= best + 2.0 * margin:
            return None
        ax, ay, ux, uy, size = self.sides[number]
        vx, vy = x - ax, y - ay
        if not margin <= vx * ux + vy * uy <= size - margin:
            return None
        left = ux * vy - uy * vx > 0.0
        if left != self.left:
            return None
        return best, ((uy, -ux) if left else (-uy, ux))

    def section(self, p: XY, outline: Outline, axis: float, centre_m: float) -> float:
        """Signed distance from the nearest face or edge of a post section to the ring [m].

        centre_m
            signed distance of its centre, as from :meth:`nearest`.

        The corners of the section and the corners of the ring decide; 0 where a side cuts through between them.
        """
        if outline.round or outline.half_width == 0.0:
            return centre_m - outline.half_width
        w, h = outline.half_width, outline.half_depth
        x, y = p
        c, s = math.cos(axis), math.sin(axis)
        corners = [(x + c * i * w - s * j * h, y + s * i * w + c * j * h) for i in (-1, 1) for j in (-1, 1)]
        low = min(self.distance(corner) for corner in corners)
        for k, (ax, ay, ux, uy, size) in enumerate(self.sides):
            vx, vy = ax - x, ay - y
            px, py = c * vx + s * vy, c * vy - s * vx
            dx, dy = max(abs(px) - w, 0.0), max(abs(py) - h, 0.0)
            far = math.hypot(dx, dy)
            if far < low:
                low = far
            if self.curved and self.curved[k].sweep:
                low = min(low, _box_to_arc(p, c, s, w, h, self.curved[k]))
                continue
            if low > 0.0 and _cuts(px, py, c * ux + s * uy, c * uy - s * ux, size, w, h):
                low = 0.0
        return low


def proud(kind: Kind, post: Post) -> float:
    """How far rails, and the boards on them, stand out at a post deeper than the line posts [m]; 0 where they do not.

    Posts stand in line by their centres, so rails on the face are held off by half of what a post is deeper, unless
    they are notched there. A fence with its good side to the yard has its rails there, away from the line.
    """
    if not post.number or kind.good_side == "yard" or kind.value("rail mount") != "on face":
        return 0.0
    return max(0.0, (post.depth_m - kind.post("line").depth_m) / 2.0)


def _box_to_arc(p: XY, c: float, s: float, w: float, h: float, side: Side) -> float:
    """Distance from a box round a point (its axis by cosine and sine) to an arc that bulges toward it [m].

    Where the nearest point of the arc faces no corner of the box it lies toward the centre of the circle; an arc that
    bulges away is nearest to a corner, which is looked at elsewhere. 0 where the arc cuts into the box.
    """
    vx, vy = side.centre[0] - p[0], side.centre[1] - p[1]
    qx, qy = c * vx + s * vy, c * vy - s * vx
    nx, ny = min(max(qx, -w), w), min(max(qy, -h), h)
    near = (p[0] + c * nx - s * ny, p[1] + s * nx + c * ny)
    far = math.hypot(near[0] - side.centre[0], near[1] - side.centre[1])
    if far >= side.radius:
        return side_distance(near, side)
    square = [(p[0] + c * i * w - s * j * h, p[1] + s * i * w + c * j * h) for i, j in _ROUND]
    edges = [side_between(square[k], square[(k + 1) % 4]) for k in range(4)]
    return 0.0 if any(sides_meet(edge, side) for edge in edges) else math.inf


_ROUND = ((-1, -1), (1, -1), (1, 1), (-1, 1))


def _cuts(px: float, py: float, ux: float, uy: float, size: float, w: float, h: float) -> bool:
    """Whether a segment from (px, py) along a unit vector enters the box of half sides w and h round the origin."""
    first, last = 0.0, size
    for at, rate, half in ((px, ux, w), (py, uy, h)):
        if abs(rate) < 1e-12:
            if abs(at) >= half:
                return False
            continue
        one, two = (-half - at) / rate, (half - at) / rate
        first, last = max(first, min(one, two)), min(last, max(one, two))
    return last > first


def _segment(x: float, y: float, side: tuple[float, float, float, float, float]) -> float:
    ax, ay, ux, uy, size = side
    vx, vy = x - ax, y - ay
    along = vx * ux + vy * uy
    if along <= 0.0:
        return math.hypot(vx, vy)
    if along >= size:
        return math.hypot(vx - ux * size, vy - uy * size)
    return abs(ux * vy - uy * vx)
