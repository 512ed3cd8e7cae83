"""Where a sheet is empty: a raster of the field that answers at once whether an upright rectangle is free."""

from __future__ import annotations

import math
from collections.abc import Iterable

from palewright.draw.place import Box, boxes_meet
from palewright.draw.view import Field

__all__ = ["Room"]

XY = tuple[float, float]

_CELL = 2.0
_STEP = 4.0
_MARGIN = 1.0
_EDGE = 2.0


class Room:
    """The free room of a field [mm]. A cell that anything touches counts as taken, so a free rectangle is free.

    >>> room = Room(Field(0.0, 0.0, 40.0, 40.0), [Box(30.0, 30.0, 1.0, 0.0, 2.0, 2.0)])
    >>> room.free(Field(2.0, 2.0, 26.0, 38.0)), room.free(Field(10.0, 10.0, 33.0, 33.0)), room.free(Field(-1, 0, 2, 2))
    (True, False, False)
    """

    def __init__(self, field: Field, taken: Iterable[Box]) -> None:
        self._field = field
        self._across, self._down = math.ceil(field.width / _CELL), math.ceil(field.height / _CELL)
        rows = [[0] * (self._across + 1) for _ in range(self._down + 1)]
        for box in taken:
            self._take(rows, box)
        for j in range(1, self._down + 1):
            run = 0
            for i in range(1, self._across + 1):
                run += rows[j][i]
                rows[j][i] = rows[j - 1][i] + run
        self._sums = rows
        self._spots: dict[XY, list[XY]] = {}

    def _take(self, rows: list[list[int]], box: Box) -> None:
        rx, ry = box.reach()
        upright = abs(box.ux) > 1.0 - 1e-9
        f = self._field
        for j in _range(box.y - ry - f.top, box.y + ry - f.top, self._down):
            for i in _range(box.x - rx - f.left, box.x + rx - f.left, self._across):
                half = _CELL / 2
                cell = Box(f.left + i * _CELL + half, f.top + j * _CELL + half, 1.0, 0.0, half, half)
                if upright or boxes_meet(box, cell):
                    rows[j + 1][i + 1] = 1

    def free(self, f: Field) -> bool:
        """Whether nothing stands in a rectangle, and all of it lies in the field."""
        whole = self._field
        if f.left < whole.left or f.top < whole.top or f.right > whole.right or f.bottom > whole.bottom:
            return False
        across = _range(f.left - whole.left, f.right - whole.left, self._across)
        down = _range(f.top - whole.top, f.bottom - whole.top, self._down)
        s = self._sums
        return not (
            s[down.stop][across.stop]
            - s[down.start][across.stop]
            - s[down.stop][across.start]
            + s[down.start][across.start]
        )

    def spots(self, wide: float, tall: float) -> list[XY]:
        """Centres, some millimetres apart, at which a rectangle of half a width and height is free with a margin."""
        if (wide, tall) not in self._spots:
            f, x, y = self._field, wide + _MARGIN, tall + _MARGIN
            self._spots[wide, tall] = [
                (u, v)
                for u in _steps(f.left + wide + _EDGE, f.right - wide - _EDGE)
                for v in _steps(f.top + tall + _EDGE, f.bottom - tall - _EDGE)
                if self.free(Field(u - x, v - y, u + x, v + y))
            ]
        return self._spots[wide, tall]


def _steps(low: float, high: float) -> list[float]:
    count = math.ceil((high - low) / _STEP)
    return [low + (high - low) * k / max(count, 1) for k in range(count + 1)]


def _range(low: float, high: float, count: int) -> range:
    """The cells between two distances."""
    return range(max(0, math.floor(low / _CELL)), min(count, math.floor(high / _CELL) + 1))
