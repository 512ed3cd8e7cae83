"""Where labels go: collisions of turned rectangles, hashed on a grid; the first free candidate wins."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

from palewright.record import Record

__all__ = ["HARD", "Box", "Placer", "box_of_segment", "box_of_text", "boxes_meet"]

XY = tuple[float, float]

HARD = 1000.0
"""Weight of what a label must never touch."""

_CELL = 8.0
_LINE_MOST = 400.0


class Box(Record):
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
        self.count = 0
        self._cells: dict[tuple[int, int], list[int]] = {}
        self._entries: dict[int, tuple[Box, float, float]] = {}
        self._grounds: list[tuple[Sequence[XY], float]] = []

    def add(self, box: Box, weight: float = HARD, crossing: float | None = None) -> None:
        """Occupy a rectangle; ``crossing``: what it costs a leader to cross it, when less than ``weight``."""
        self.count += 1
        self._entries[self.count] = (box, weight, weight if crossing is None else crossing)
        for cell in _cells(box):
            self._cells.setdefault(cell, []).append(self.count)

    def lift(self, numbers: Iterable[int]) -> None:
        """Free what was occupied by the entries of these numbers; ``count`` is the number of the last one."""
        for number in numbers:
            for cell in _cells(self._entries.pop(number)[0]):
                self._cells[cell].remove(number)

    def boxes(self, least: float) -> list[Box]:
        """What is occupied at a weight of ``least`` or more."""
        return [box for box, weight, _ in self._entries.values() if weight >= least]

    def add_ground(self, ring: Sequence[XY], weight: float) -> None:
        """An area on which words had better not stand, by the share of them that does; leaders may cross it."""
        self._grounds.append((ring, weight))

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

    def touched(self, box: Box) -> Iterator[tuple[int, float, float]]:
        """Number, weight and crossing of everything that the rectangle touches."""
        seen: set[int] = set()
        for cell in _cells(box):
            for number in self._cells.get(cell, ()):
                other, weight, crossing = self._entries[number]
                if number not in seen and boxes_meet(box, other):
                    seen.add(number)
                    yield (number, weight, crossing)

    def ground(self, box: Box) -> float:
        """What it costs that the rectangle stands on some area."""
        if not self._grounds:
            return 0.0
        points = [(box.x, box.y), *box.corners()]
        points += [((x + box.x) / 2, (y + box.y) / 2) for x, y in points[1:]]
        return sum(weight * sum(_holds(ring, p) for p in points) / len(points) for ring, weight in self._grounds)

    def cost(self, box: Box, limit: float = math.inf, leader: bool = False) -> float:
        """Sum of the weights of what the rectangle touches; outside the frame counts as hard. Stops above ``limit``."""
        if not self.inside(box):
            return HARD
        total = 0.0 if leader else self.ground(box)
        for _, weight, crossing in self.touched(box):
            total += crossing if leader else weight
            if total >= limit:
                break
        return total

    def best(
        self,
        candidates: Iterable[tuple[Sequence[Box], float]],
        lines: bool = False,
        most: float = HARD,
        capped: bool = False,
    ) -> tuple[int, float]:
        """Number and cost of the best candidate: (boxes, penalty) each; the first that touches nothing ends the search.

        The first box of a candidate is its text, the others are leaders (all of them with ``lines``); ``capped``: one
        line costs no more than a few crossings, whatever it crosses. Candidates come with rising penalties. Returns
        (-1, most) when there is none for less than ``most``.
        """
        chosen, least = -1, most
        for k, (boxes, penalty) in enumerate(candidates):
            if penalty >= least:
                break
            total = penalty
            for n, box in enumerate(boxes):
                line = lines or n > 0
                cost = self.cost(box, least - total, line)
                total += min(cost, _LINE_MOST) if line and (lines or capped) else cost
                if total >= least:
                    break
            if total < least:
                chosen, least = k, total
        return chosen, least


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    rx, ry = box.reach()
    for i in range(math.floor((box.x - rx) / _CELL), math.floor((box.x + rx) / _CELL) + 1):
        for j in range(math.floor((box.y - ry) / _CELL), math.floor((box.y + ry) / _CELL) + 1):
            yield (i, j)


def _holds(ring: Sequence[XY], p: XY) -> bool:
    """Whether a point lies in a ring, by the even-odd rule."""
    inside = False
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (ay > p[1]) != (by > p[1]) and p[0] < ax + (p[1] - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside
