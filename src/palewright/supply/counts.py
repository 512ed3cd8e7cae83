"""Counting rules of the trade: plain functions on lengths [m]."""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = [
    "boards_lapped",
    "boards_solid",
    "boards_spaced",
    "rail_sticks",
    "rows_of_boards",
    "tension_bands",
    "ties_on_post",
    "whole_units",
]

_SLACK = 1e-9
_FOOT = 0.3048


def whole_units(need: float, per: float = 1.0, waste: float = 0.0) -> int:
    """Whole purchase units for a need.

    need
        in any unit, >= 0. per: how much one unit holds, > 0. waste: fraction added, >= 0.
    Returns ceil(need x (1 + waste) / per), at least one for any need. Raises ValueError outside the ranges.
    Source: geometry.

    >>> whole_units(328, waste=0.05)
    345
    """
    if not (need >= 0 and per > 0 and waste >= 0 and math.isfinite(need)):
        raise ValueError(f"cannot count {need} in units of {per} with waste {waste}")
    return max(1 if need else 0, math.ceil(need * (1 + waste) / per - _SLACK))


def boards_solid(length_m: float, width_m: float) -> int:
    """Boards edge to edge.

    length_m
        face to cover, outer post faces included [m], >= 0. width_m: real width of a board [m], > 0.
    Returns ceil(length / width). Source: geometry.

    >>> boards_solid(1803.5, 5.5)
    328
    """
    _positive(width_m, "width")
    return math.ceil(length_m / width_m - _SLACK)


def boards_spaced(length_m: float, width_m: float, gap_m: float) -> tuple[int, float]:
    """Boards with gaps between them, a board at each end, no gap wider than asked.

    length_m
        to fill, end to end [m], > 0. width_m: of a board [m], > 0. gap_m: widest gap [m], >= 0.
    Returns n = ceil((length + gap) / (width + gap)) and the equal gap that comes out:
    (length - n x width) / (n - 1), never more than ``gap_m``; negative gaps mean that the last board is ripped.
    Source: geometry.

    >>> count, gap = boards_spaced(96, 5.5, 2.75)
    >>> count, round(gap, 3)
    (12, 2.727)
    """
    _positive(width_m, "width")
    _positive(length_m, "length")
    count = math.ceil((length_m + gap_m) / (width_m + gap_m) - _SLACK)
    return count, (length_m - count * width_m) / (count - 1) if count > 1 else 0.0


def boards_lapped(length_m: float, width_m: float, overlap_m: float) -> int:
    """Boards in two layers, each lapping the next: board on board, or alternating on both sides of the rails.

    length_m
        to cover [m], >= 0. width_m: of a board [m]. overlap_m: of one board on the next [m], 0 to under the width.
    Returns ceil((length - width) / (width - overlap) + 1), at least 1. Source: geometry.

    >>> boards_lapped(1200, 5.5, 1.0), boards_lapped(96, 5.5, 1.0), boards_lapped(96, 5.5, 1.5)
    (267, 22, 24)
    """
    if not 0 <= overlap_m < width_m:
        raise ValueError(f"overlap {overlap_m} is not from 0 to under the width {width_m}")
    if length_m <= width_m:
        return 1 if length_m > _SLACK else 0
    return math.ceil((length_m - width_m) / (width_m - overlap_m) + 1 - _SLACK)


def rows_of_boards(height_m: float, width_m: float, gap_m: float) -> int:
    """Rows of horizontal boards; the top row is ripped where they do not come out even.

    height_m
        to cover [m], > 0. width_m: of a board [m], > 0. gap_m: between rows [m], >= 0.
    Returns ceil((height + gap) / (width + gap)). Source: geometry.

    >>> rows_of_boards(72, 5.5, 0.25)
    13
    """
    _positive(width_m, "width")
    _positive(height_m, "height")
    return math.ceil((height_m + gap_m) / (width_m + gap_m) - _SLACK)


def rail_sticks(lengths_m: Sequence[float], stick_m: float) -> tuple[int, int]:
    """Sticks of coupled top rail: with cut ends sleeved, so that leftovers are used, and without.

    lengths_m
        of the pieces of fence between terminals [m]. stick_m: of one rail [m], > 0.
    Returns (ceil(sum / stick), sum of ceil(each / stick)). Source: the first is the rule of the trade for coupled rail.

    >>> rail_sticks([20, 26, 80, 50], 21)
    (9, 10)
    """
    _positive(stick_m, "stick")
    return (
        math.ceil(math.fsum(lengths_m) / stick_m - _SLACK),
        sum(math.ceil(length / stick_m - _SLACK) for length in lengths_m),
    )


def tension_bands(fabric_m: float, rule: str = "height") -> int:
    """Tension bands at one end of chain-link fabric.

    fabric_m
        height of the fabric [m], > 0. rule: "height" (feet less one, so that they are at most 15 in apart; at least 2)
        or "3" (home leaflets, true only at 4 ft).
    Source: common practice; spacing of about 15 in by ufgs-02821a.

    >>> tension_bands(4 * 0.3048), tension_bands(6 * 0.3048)
    (3, 5)
    """
    _positive(fabric_m, "height")
    return 3 if rule == "3" else max(2, math.ceil(fabric_m / _FOOT - 1e-6) - 1)


def ties_on_post(fabric_m: float, rule: str = "f567") -> int:
    """Ties of chain-link fabric on one line post.

    fabric_m
        height of the fabric [m], > 0. rule: "f567" (at most 15 in apart), "12 in" (12 in apart) or "home" (3 a post).
    Returns ceil(height / spacing) ties, or 3. Sources: byesville (a)(5), which is derived from f567; clest.

    >>> [ties_on_post(4 * 0.3048, rule) for rule in ("f567", "12 in", "home")]
    [4, 4, 3]
    """
    _positive(fabric_m, "height")
    if rule == "home":
        return 3
    return math.ceil(fabric_m / ((15 if rule == "f567" else 12) * 0.0254) - 1e-6)


def _positive(value: float, what: str) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{what} must be more than 0, not {value}")
