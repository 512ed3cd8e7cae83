"""The most even bays through given doors: a string pulled taut. docs/layout-method.md"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

__all__ = ["Door", "Pulled", "String", "pull_taut", "taut"]

#: A post number, and the stations between which it must stand [m].
Door = tuple[int, float, float]

_FAR = 1e300


#: what a :class:`Pulled` is made of
String = tuple[float, float, list[tuple[int, float]]]


class Pulled(NamedTuple):
    """A taut string: its shortest and longest bay [m] and its bends (post, station [m]), both ends included."""

    least: float
    most: float
    bends: list[tuple[int, float]]

    @property
    def spread(self) -> float:
        """Longest minus shortest bay [m]."""
        return self.most - self.least

    def stations(self) -> list[float]:
        """Stations of the posts between the ends [m]."""
        result: list[float] = []
        i, x = 0, 0.0
        for j, y in self.bends:
            if j - i > 1:
                step = (y - x) / (j - i)
                result += [x + step * k for k in range(1, j - i)]
            result.append(y)
            i, x = j, y
        return result[1:-1]


def pull_taut(doors: Sequence[Door], bays: int, length_m: float) -> Pulled:
    """The shortest path from (0, 0) to (bays, length) through the doors, rising by post number.

    Its longest bay is the smallest, and its shortest bay the greatest, that posts in these doors can have.
    """
    return Pulled(*taut(doors, bays, length_m))


def taut(doors: Sequence[Door], bays: int, length_m: float) -> String:
    """:func:`pull_taut`, without a name on its parts."""
    if len(doors) == 1:
        k, low, high = doors[0]
        even = length_m * k / bays
        if low <= even <= high:
            return length_m / bays, length_m / bays, [(0, 0.0), (bays, length_m)]
        y = low if even < low else high
        up, down = y / k, (length_m - y) / (bays - k)
        bends = [(0, 0.0), (k, y), (bays, length_m)]
        return (up, down, bends) if up < down else (down, up, bends)
    bends = [(0, 0.0)]
    i, x, at = 0, 0.0, 0
    least, most = _FAR, 0.0
    stops = [*doors, (bays, length_m, length_m)]
    end = len(stops)
    while True:
        # the cone of slopes from the last bend that go through all doors so far; where it closes, the string bends
        rising, falling = -_FAR, _FAR
        bottom = top = turn = at
        for turn in range(at, end):
            k, low, high = stops[turn]
            run = k - i
            up = (low - x) / run
            if up > falling:
                turn, y = top, stops[top][2]
                break
            down = (high - x) / run
            if down < rising:
                turn, y = bottom, stops[bottom][1]
                break
            if up >= rising:
                rising, bottom = up, turn
            if down <= falling:
                falling, top = down, turn
        else:
            y = length_m
        k = stops[turn][0]
        slope = (y - x) / (k - i)
        if slope < least:
            least = slope
        if slope > most:
            most = slope
        bends.append((k, y))
        if k == bays:
            return least, most, bends
        i, x, at = k, y, turn + 1
