"""Where labels go: collisions of turned rectangles, hashed on a grid; the first free candidate wins."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

__all__ = ["HARD", "Box", "Placer", "box_of_segment", "box_of_text", "boxes_meet"]

XY = tuple[float, float]

HARD = 1000.0
"""Weight of what a label must never touch."""

_CELL = 8.0
_LINE_MOST = 400.0


@dataclass(frozen=True, slots=True)
class Box:
    """A turned rectangle on the page: centre, unit vector along it, half sizes along and across [mm]."""

    x: float
    y: float
    ux: float
    uy: float
    half: float
    rise: float

    def corners(self) -> tuple[XY, XY, XY, XY]:
        """The four corners, in order."""
        ax, ay = self.ux * self.half, self.uy * self.half
        bx, by = -self.uy * self.rise, self.ux * self.rise
        x, y = self.x, self.y
        return (
            (x - ax - bx, y - ay - by),
            (x + ax - bx, y + ay - by),
            (x + ax + bx, y + ay + by),
            (x - ax + bx, y - ay + by),
        )

    def reach(self) -> XY:
        """Half the width and half the height of the upright rectangle round it."""
        return (
            abs(self.ux) * self.half + abs(self.uy) * self.rise,
            abs(self.uy) * self.half + abs(self.ux) * self.rise,
        )


def boxes_meet(a: Box, b: Box) -> bool:
    """Whether two turned rectangles overlap (separating axes).

    >>> boxes_meet(Box(0, 0, 1, 0, 2, 1), Box(3.5, 0, 1, 0, 1, 1))
    False
    >>> boxes_meet(Box(0, 0, 1, 0, 2, 1), Box(2.5, 0, 1, 0, 1, 1))
    True
    """
    dx, dy = b.x - a.x, b.y - a.y
    c = abs(a.ux * b.ux + a.uy * b.uy)
    s = abs(a.ux * b.uy - a.uy * b.ux)
    if abs(dx * a.ux + dy * a.uy) >= a.half + b.half * c + b.rise * s:
        return False
    if abs(dy * a.ux - dx * a.uy) >= a.rise + b.half * s + b.rise * c:
        return False
    if abs(dx * b.ux + dy * b.uy) >= b.half + a.half * c + a.rise * s:
        return False
    return abs(dy * b.ux - dx * b.uy) < b.rise + a.half * s + a.rise * c


def box_of_segment(a: XY, b: XY, thick: float = 0.3) -> Box:
    """The rectangle round a line ``thick`` wide [mm]."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    ux, uy = (dx / length, dy / length) if length else (1.0, 0.0)
    return Box((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, ux, uy, length / 2 + thick / 2, thick / 2)


def box_of_text(at: XY, width: float, size: float, anchor: str, angle: float, pad: float = 0.0) -> Box:
    """The rectangle of a text set with its baseline at ``at``: from 0.22 below to the height of a capital."""
    ux, uy = math.cos(angle), -math.sin(angle)
    shift = {"start": width / 2, "middle": 0.0, "end": -width / 2}[anchor]
    up = (0.714 - 0.22) / 2 * size
    x = at[0] + ux * shift + uy * up
    y = at[1] + uy * shift - ux * up
    return Box(x, y, ux, uy, width / 2 + pad, (0.714 + 0.22) / 2 * size + pad)


class Placer:
    """What stands on the page already, and what it costs to touch it."""

    def __init__(self, left: float, top: float, right: float, bottom: float) -> None:
        self.frame = (left, top, right, bottom)
        self._cells: dict[tuple[int, int], list[tuple[int, Box, float, float]]] = {}
        self._count = 0

    def add(self, box: Box, weight: float = HARD, crossing: float | None = None) -> None:
        """Occupy a rectangle; ``crossing``: what it costs a leader to cross it, when less than ``weight``."""
        self._count += 1
        entry = (self._count, box, weight, weight if crossing is None else crossing)
        rx, ry = box.reach()
        for i in range(math.floor((box.x - rx) / _CELL), math.floor((box.x + rx) / _CELL) + 1):
            for j in range(math.floor((box.y - ry) / _CELL), math.floor((box.y + ry) / _CELL) + 1):
                self._cells.setdefault((i, j), []).append(entry)

    def add_line(
        self,
        points: Sequence[XY],
        weight: float = HARD,
        thick: float = 0.3,
        closed: bool = False,
        crossing: float | None = None,
    ) -> None:
        """Occupy a chain of lines, in pieces of a cell's length."""
        ring = [*points, points[0]] if closed else points
        for a, b in itertools.pairwise(ring):
            pieces = max(1, math.ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / (2 * _CELL)))
            for k in range(pieces):
                p = (a[0] + (b[0] - a[0]) * k / pieces, a[1] + (b[1] - a[1]) * k / pieces)
                q = (a[0] + (b[0] - a[0]) * (k + 1) / pieces, a[1] + (b[1] - a[1]) * (k + 1) / pieces)
                self.add(box_of_segment(p, q, thick), weight, crossing)

    def inside(self, box: Box) -> bool:
        """Whether the rectangle lies wholly in the frame."""
        rx, ry = box.reach()
        left, top, right, bottom = self.frame
        return box.x - rx >= left and box.x + rx <= right and box.y - ry >= top and box.y + ry <= bottom

    def cost(self, box: Box, limit: float = math.inf, leader: bool = False) -> float:
        """Sum of the weights of what the rectangle touches; outside the frame counts as hard. Stops above ``limit``."""
        if not self.inside(box):
            return HARD
        total = 0.0
        seen: set[int] = set()
        rx, ry = box.reach()
        for i in range(math.floor((box.x - rx) / _CELL), math.floor((box.x + rx) / _CELL) + 1):
            for j in range(math.floor((box.y - ry) / _CELL), math.floor((box.y + ry) / _CELL) + 1):
                for number, other, weight, crossing in self._cells.get((i, j), ()):
                    if number in seen:
                        continue
                    if boxes_meet(box, other):
                        seen.add(number)
                        total += crossing if leader else weight
                        if total >= limit:
                            return total
        return total

    def best(self, candidates: Iterable[tuple[Sequence[Box], float]], lines: bool = False) -> tuple[int, float]:
        """Number and cost of the best candidate: (boxes, penalty) each; the first that touches nothing ends the search.

        The first box of a candidate is its text, the others are leaders (all of them with ``lines``).
        Candidates come with rising penalties. Returns (-1, HARD) when there is none.
        """
        chosen, least = -1, HARD
        for k, (boxes, penalty) in enumerate(candidates):
            if penalty >= least:
                break
            total = penalty
            for n, box in enumerate(boxes):
                line = lines or n > 0
                cost = self.cost(box, least - total, line)
                total += min(cost, _LINE_MOST) if line else cost
                if total >= least:
                    break
            if total < least:
                chosen, least = k, total
        return chosen, least
