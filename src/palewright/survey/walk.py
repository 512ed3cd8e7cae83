"""Walking: from where one stands, so far ahead, turn, so far again."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.plane import XY, angle_between, sub

__all__ = ["angle_at", "differs", "tape_allowance", "walk_points"]

_TWO_PI = 2.0 * math.pi

TAPE_LEAST_M = 0.0127
"""Least allowance of a tape: 1/2 in (common practice) [m]."""
TAPE_MOST_M = 0.0508
"""Most allowance of a tape: 2 in (common practice) [m]."""
TAPE_SHARE = 1.0 / 200.0
"""Part of the distance that a casual tape may be off (common practice)."""


def walk_points(start: XY, heading: float, steps: Sequence[tuple[str, float]]) -> list[XY]:
    """The points reached after each "go" of a walk.

    start
        where one stands (x, y) [m]. heading: azimuth faced at first, clockwise from +y [rad].
    steps
        ("go", length [m], finite and at least 0) or ("turn", angle [rad], left positive).
    Returns one point for every "go". Raises ValueError for another word or a bad number. Source: geometry.

    >>> path = walk_points((0.0, 0.0), math.pi / 2, [("go", 3.0), ("turn", math.pi / 2), ("go", 4.0)])
    >>> [(round(x, 6), round(y, 6)) for x, y in path]
    [(3.0, 0.0), (3.0, 4.0)]
    """
    x, y = start
    points: list[XY] = []
    for word, amount in steps:
        if not math.isfinite(amount):
            raise ValueError("a step of a walk needs a finite number")
        if word == "turn":
            heading = (heading - amount) % _TWO_PI
        elif word == "go" and amount >= 0.0:
            x, y = x + amount * math.sin(heading), y + amount * math.cos(heading)
            points.append((x, y))
        else:
            raise ValueError(f"a walk goes at least 0 or turns, not {word!r} {amount}")
    return points


def angle_at(a: XY, corner: XY, b: XY) -> float:
    """Angle at ``corner`` between the directions to ``a`` and to ``b`` [rad, 0 to pi].

    >>> round(math.degrees(angle_at((1.0, 0.0), (0.0, 0.0), (0.0, 2.0))), 6)
    90.0
    """
    return angle_between(sub(a, corner), sub(b, corner))


def tape_allowance(length_m: float) -> float:
    """How far a tape may differ from the computed distance before it is said [m].

    length_m
        computed distance [m], at least 0; raises ValueError otherwise.
    1:200 of the distance, but at least 1/2 in and at most 2 in. Source: common practice.

    >>> [round(tape_allowance(d) / 0.0254, 2) for d in (0.3048, 6.096, 30.48)]
    [0.5, 1.2, 2.0]
    """
    if not length_m >= 0.0:
        raise ValueError("a distance cannot be negative")
    return min(TAPE_MOST_M, max(TAPE_LEAST_M, length_m * TAPE_SHARE))


def differs(reads_m: float, computed_m: float) -> bool:
    """Whether a tape and a computed distance differ by more than :func:`tape_allowance`."""
    return abs(reads_m - computed_m) > tape_allowance(computed_m)
