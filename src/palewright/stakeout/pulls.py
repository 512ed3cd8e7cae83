"""A tape held level over sloping ground: where one pull would be too high to hold and plumb, and where to break it."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence

from palewright.record import Record

__all__ = ["COMFORT_M", "Pull", "along_slope", "level_pulls"]

XY = tuple[float, float]

COMFORT_M = 1.524
"""How high above the ground a tape is held level and plumbed down from: about 5 ft (common practice)."""

_STEP_M = 0.3048
_TOO_HIGH = 1000
_SLACK_M = 1e-9


class Pull(Record):
    """One pull of a level tape, from station to station [m].

    high_m
        how high it lies above the ground at the lowest place that is plumbed [m].
    """

    from_m: float
    to_m: float
    high_m: float


def along_slope(level_m: float, rise_m: float) -> float:
    """What a tape reads that is pulled tight from one point on the ground to another [m].

    level_m
        level distance between them, >= 0 [m]. rise_m: their difference in height [m].
    Equation: sqrt(level^2 + rise^2). Source: geometry.

    >>> round(along_slope(4.0, -3.0), 9)
    5.0
    """
    return math.hypot(level_m, rise_m)


def level_pulls(
    ground: Sequence[XY],
    marks_m: Iterable[float],
    start_m: float,
    end_m: float,
    most_m: float = COMFORT_M,
    step_m: float = _STEP_M,
) -> tuple[Pull, ...]:
    """The fewest level pulls that bring a tape from one station to another.

    ground
        (station, height) of its knots, rising stations, straight between and level beyond [m]. marks_m: stations that
        are plumbed down from the tape on its way. start_m < end_m [m].
    most_m
        most that the tape may lie above the ground at the ends of a pull and at its marks, > 0 [m]. step_m: breaks are
        looked for at marks and at whole multiples of this from the start, > 0 [m].
    A pull lies as high as the highest ground below it. Of the fewest pulls those with the most ends on marks are taken,
    then those that lie lowest. Where the ground rises by more than ``most_m`` from one place to the next, the pull
    between the two is higher than that, and says so. Raises ValueError where a limit is not positive. Source: geometry;
    to break a level tape on a slope and plumb down is the usual way of taping (common practice).

    >>> pulls = level_pulls([(0, 0), (10, 2)], [5.0], 0, 10, 1.5, 1)
    >>> [(pull.from_m, pull.to_m, round(pull.high_m, 3)) for pull in pulls]
    [(0, 5.0, 1.0), (5.0, 10, 1.0)]
    """
    if not (start_m < end_m and most_m > 0.0 and step_m > 0.0):
        raise ValueError("a pull goes from a station to a later one, and its limits are larger than 0")
    marks = sorted({mark for mark in marks_m if start_m < mark < end_m})
    grid = (start_m + k * step_m for k in range(1, math.ceil((end_m - start_m) / step_m - 1e-9)))
    at = [start_m, *sorted({*marks, *grid}), end_m]
    here = [_height(ground, x) for x in at]
    humps = [max(here[k], here[k + 1], *_inside(ground, at[k], at[k + 1])) for k in range(len(at) - 1)]
    plumbed = [x in {start_m, end_m, *marks} for x in at]
    came = _cheapest(here, humps, plumbed, most_m + _SLACK_M)
    found: list[Pull] = []
    k = len(at) - 1
    while k:
        i, lies = came[k]
        found.append(Pull(at[i], at[k], lies))
        k = i
    return tuple(reversed(found))


def _cheapest(
    here: Sequence[float], humps: Sequence[float], plumbed: Sequence[bool], most: float
) -> list[tuple[int, float]]:
    """For each place, where the last pull to it begins, and how high it lies; by dynamic programming.

    humps
        highest ground from each place to the next.
    """
    count = len(here)
    best: list[tuple[int, int, float]] = [(0, 0, 0.0), *[(count * _TOO_HIGH, 0, 0.0)] * (count - 1)]
    came = [(0, 0.0)] * count
    for i in range(count - 1):
        high = low = here[i]
        for j in range(i + 1, count):
            high = max(high, humps[j - 1])
            if high - here[i] > most and j > i + 1:
                break
            lies = high - min(low, here[j])
            if plumbed[j]:
                low = min(low, here[j])
            if lies > most and j > i + 1:
                continue
            pulls, off, low_lying = best[i]
            cost = (pulls + (1 if lies <= most else _TOO_HIGH), off + (not plumbed[j]), low_lying + lies * lies)
            if cost < best[j]:
                best[j], came[j] = cost, (i, lies)
    return came


def _height(ground: Sequence[XY], x: float) -> float:
    k = bisect_right(ground, x, key=lambda knot: knot[0])
    if k in (0, len(ground)):
        return ground[k - 1 if k else 0][1]
    (x0, y0), (x1, y1) = ground[k - 1], ground[k]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _inside(ground: Sequence[XY], a: float, b: float) -> list[float]:
    """Heights of the knots between two stations."""
    first = bisect_right(ground, a, key=lambda knot: knot[0])
    return [y for _, y in ground[first : bisect_left(ground, b, key=lambda knot: knot[0])]]
