"""Every post its own length, and the lengths along the slope: from ground, tops and depths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_rules import SLACK_M, Floats

__all__ = ["PostLengths", "along_slope", "level_string", "post_lengths", "stock_for"]


class PostLengths(NamedTuple):
    """Of every post: top, lower end [m in the datum of the ground], length, step of the bottom at it going on [m]."""

    top: Floats
    foot: Floats
    length: Floats
    step: Floats


def post_lengths(
    ground_m: Floats, bottoms_m: Floats, tops_m: Floats, reveal_m: float | Floats, embed_m: float | Floats
) -> PostLengths:
    """Top and length of every post.

    ground_m
        ground at the posts [m]. bottoms_m, tops_m: of the infill of each bay at its two posts, shape (bays, 2) [m].
    reveal_m
        how far a post stands above the highest infill beside it [m]. embed_m: part in the ground, >= 0 [m].
    top = highest infill beside it + reveal; length = top - ground + embedded part. Source: geometry.

    A 6 ft fence with a gap of 1 in, posts 24 in deep, ground 12 in lower at the second post, one level bay (in):

    >>> post_lengths(np.array([0.0, -12]), np.array([[1.0, 1]]), np.array([[73.0, 73]]), 0.0, 24.0).length.tolist()
    [97.0, 109.0]
    """
    top = np.full(len(ground_m), -np.inf)
    top[:-1] = tops_m[:, 0]
    top[1:] = np.maximum(top[1:], tops_m[:, 1])
    top = top + reveal_m
    foot = ground_m - embed_m
    step = np.zeros(len(ground_m))
    step[1:-1] = bottoms_m[1:, 0] - bottoms_m[:-1, 1]
    return PostLengths(top, foot, top - foot, step)


def stock_for(length_m: float, offered_m: Sequence[float]) -> float | None:
    """The shortest length on offer that is long enough [m]; None where none is.

    >>> stock_for(2.5, [3.0, 2.4, 2.7])
    2.7
    """
    return min((one for one in offered_m if one >= length_m - SLACK_M), default=None)


def level_string(tops_m: Floats, above_m: float = 0.0) -> tuple[float, Floats]:
    """Height of a level string above the highest top, and how far below it every top lies [m].

    above_m
        room between the string and the highest top, >= 0 [m]. Source: geometry.

    >>> height, drops = level_string(np.array([2.0, 1.5]), 0.1)
    >>> height, np.round(drops, 9).tolist()
    (2.1, [0.1, 0.6])
    """
    height = float(tops_m.max()) + above_m
    return height, height - tops_m


def along_slope(posts_m: Floats, bottoms_m: Floats) -> Floats:
    """Length of every bay along its bottom, from post to post [m]. Source: geometry (Pythagoras).

    >>> along_slope(np.array([0.0, 4.0]), np.array([[0.0, 3.0]])).tolist()
    [5.0]
    """
    return np.asarray(np.hypot(np.diff(posts_m), np.diff(bottoms_m, axis=1)[:, 0]), dtype=np.float64)


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
