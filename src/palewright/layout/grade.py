"""Distances along a slope and level ones, turned into each other: along one straight leg, and in one triangle."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Sequence

from palewright.model import Profile

__all__ = ["ALONG", "Grade", "height_at", "racked_panel", "slope_lengths"]

ALONG = frozenset({"racked", "grade", "best", "mixed", ""})
"""Fences whose bays are measured along the slope, as their rails or their mesh lie: chain link by ASTM F567 4.1
(parallel to the grade), rails and racked panels by their own length. Steps and level tops are measured level."""


_SAME = 1e-9


class Grade:
    """The ground under a leg as a chain of straight pieces.

    stations_m, heights_m
        its knots, stations level and rising from the start of the leg [m]. flat: for each piece between knots, whether
        bays are measured level there all the same.

    >>> grade = Grade([0.0, 4.0, 10.0], [0.0, 3.0, 3.0])
    >>> grade.along(2.0), grade.along(7.0), grade.level(8.0)
    (2.5, 8.0, 7.0)
    """

    def __init__(self, stations_m: Sequence[float], heights_m: Sequence[float], flat: Sequence[bool] = ()) -> None:
        pieces = itertools.pairwise(zip(stations_m, heights_m, strict=True))
        level = itertools.chain(flat, itertools.repeat(False))
        slopes = (
            s1 - s0 if even else math.hypot(s1 - s0, z1 - z0)
            for ((s0, z0), (s1, z1)), even in zip(pieces, level, strict=False)
        )
        self._level = list(stations_m)
        self._along = list(itertools.accumulate(slopes, initial=stations_m[0]))

    @classmethod
    def under(
        cls, profile: Profile | None, from_m: float, length_m: float, flat: Sequence[tuple[float, float]] = ()
    ) -> Grade | None:
        """The grade of a leg that begins ``from_m`` along its run; None where the ground is not known, or is level.

        flat
            from which station of the run to which bays are measured level all the same [m].
        The face of a wall, or a jump between two sources, is no length: rails and mesh go past it from post to post.
        """
        if profile is None:
            return None
        from palewright.ground import WALL_M

        ends = {at for span in flat for at in span}.difference(profile.stations_m)
        knots = [
            *zip(profile.stations_m, profile.heights_m, strict=True),
            *((at, height_at(profile, at)) for at in ends),
        ]
        inner = [(s - from_m, z) for s, z in sorted(knots, key=_station) if from_m < s < from_m + length_m]
        knots = [(0.0, height_at(profile, from_m)), *inner, (length_m, height_at(profile, from_m + length_m))]
        if all(z == knots[0][1] for _, z in knots):
            return None
        middles = (from_m + (a + b) / 2.0 for (a, _), (b, _) in itertools.pairwise(knots))
        face = [b - a <= WALL_M + _SAME for (a, _), (b, _) in itertools.pairwise(knots)]
        level = [any(low < at < high for low, high in flat) or wall for at, wall in zip(middles, face, strict=True)]
        return None if all(level) else cls([s for s, _ in knots], [z for _, z in knots], level)

    def along(self, level_m: float) -> float:
        """From the start along the slope to a level station [m]; beyond the ends as if level there."""
        return _turn(self._level, self._along, level_m)

    def level(self, along_m: float) -> float:
        """The level station of a distance along the slope [m]."""
        return _turn(self._along, self._level, along_m)


def _station(knot: tuple[float, float]) -> float:
    return knot[0]


def height_at(profile: Profile, station_m: float) -> float:
    """Height of the ground at a station [m]; beyond the ends that of the end."""
    if station_m <= profile.stations_m[0]:
        return profile.heights_m[0]
    if station_m >= profile.stations_m[-1]:
        return profile.heights_m[-1]
    return _turn(profile.stations_m, profile.heights_m, station_m)


def _turn(known: Sequence[float], wanted: Sequence[float], value: float) -> float:
    """``value`` of ``known`` read off in ``wanted``, straight between the knots."""
    if value <= known[0]:
        return wanted[0] + value - known[0]
    if value >= known[-1]:
        return wanted[-1] + value - known[-1]
    k = bisect_right(known, value)
    return wanted[k - 1] + (value - known[k - 1]) * (wanted[k] - wanted[k - 1]) / (known[k] - known[k - 1])


def slope_lengths(
    grade: float, *, level_m: float | None = None, along_m: float | None = None
) -> tuple[float, float, float]:
    """Level length, length along the slope and rise [m] of a slope, from one of the lengths.

    grade
        rise over level run; negative where it falls. level_m, along_m: exactly one, > 0 [m].
    along = level sqrt(1 + grade^2); rise = level grade. Raises ValueError when both or none is given. Source: geometry.

    >>> slope_lengths(0.75, along_m=10.0)
    (8.0, 10.0, 6.0)
    """
    if (level_m is None) == (along_m is None):
        raise ValueError("give the level length or the one along the slope")
    secant = math.hypot(1.0, grade)
    level = level_m if level_m is not None else (along_m or 0.0) / secant
    return level, level * secant, level * grade


def racked_panel(
    panel_m: float, *, rise_m: float | None = None, grade: float | None = None
) -> tuple[float, float, float]:
    """Angle [rad], rise and level length [m] of a panel racked into a parallelogram, its pickets plumb.

    panel_m
        length along its rails, > 0 [m]. rise_m: from end to end, 0 to the panel [m]; or grade: rise over level run.
    sin(angle) = rise / panel, or tan(angle) = grade; level = panel cos(angle). Raises ValueError when both or none is
    given, or when the rise is not less than the panel. Source: geometry.

    >>> [round(x, 4) for x in racked_panel(72.5, rise_m=10.0)]
    [0.1384, 10.0, 71.807]
    """
    if (rise_m is None) == (grade is None):
        raise ValueError("give the rise or the grade")
    if rise_m is not None and not abs(rise_m) < panel_m:
        raise ValueError("a panel cannot rise by its whole length")
    angle = math.asin(rise_m / panel_m) if rise_m is not None else math.atan(grade or 0.0)
    return angle, panel_m * math.sin(angle), panel_m * math.cos(angle)
