"""What is between two posts, sketched: boards, panels, rails, mesh."""

from __future__ import annotations

import math

from palewright.draw.board import Board
from palewright.draw.palette import FENCE, INFILL, PAPER
from palewright.draw.scene import Hatch
from palewright.model import Kind

__all__ = ["draw_infill"]

_LEAST_GAP_MM = 1.1
_RAIL_M = 0.089
"""How wide a rail is sketched: a 2x4, 3 1/2 in (American Softwood Lumber Standard, PS 20, dressed sizes)."""


def draw_infill(board: Board, kind: Kind, x0: float, x1: float, rails_seen: bool = False) -> None:
    """One bay of a fence between post faces at stations ``x0`` and ``x1`` [m]; ``rails_seen``: not behind boards."""
    if x1 <= x0:
        return
    if kind.family == "post and rail":
        _rails(board, kind, x0, x1, 0.35)
    elif kind.family == "chain link":
        _mesh(board, kind, x0, x1)
    elif kind.family == "panels":
        _panel(board, kind, x0, x1)
    else:
        _boards(board, kind, x0, x1, rails_seen)


def _outline(
    board: Board, x0: float, y0: float, x1: float, y1: float, stroke: float = 0.25, hatch: Hatch | None = None,
    fill: str = "",
) -> None:  # fmt: skip
    a, b = board.at((x0, y0)), board.at((x1, y1))
    ring = ((a[0], a[1]), (b[0], a[1]), (b[0], b[1]), (a[0], b[1]))
    board.area(ring, "infill", stroke_mm=stroke, colour=INFILL if hatch else FENCE, hatch=hatch, fill=fill)


def _upright(board: Board, x: float, y0: float, y1: float) -> None:
    board.chain((board.at((x, y0)), board.at((x, y1))), "infill", stroke_mm=0.13, colour=INFILL)


def _level(board: Board, y: float, x0: float, x1: float, stroke: float = 0.18, dash: tuple[float, ...] = ()) -> None:
    board.chain((board.at((x0, y)), board.at((x1, y))), "infill", stroke_mm=stroke, colour=FENCE, dash=dash)


def _boards(board: Board, kind: Kind, x0: float, x1: float, rails_seen: bool) -> None:
    low, high = kind.bottom_gap_m, kind.top_m
    _outline(board, x0, low, x1, high)
    step = max(kind.board_width_m + max(kind.board_gap_m, -kind.board_width_m / 2), 0.02)
    if kind.pattern == "horizontal":
        every = max(1, math.ceil(_LEAST_GAP_MM / (step * board.view.mm_per_m)))
        for k in range(1, math.floor((high - low) / (step * every) + 1e-9) + 1):
            if low + k * step * every < high - 0.01:
                _level(board, low + k * step * every, x0, x1, 0.13)
        return
    every = max(1, math.ceil(_LEAST_GAP_MM / (step * board.view.mm_per_m)))
    count = math.floor((x1 - x0) / (step * every))
    for k in range(1, count + 1):
        if x0 + k * step * every < x1 - 0.01:
            _upright(board, x0 + k * step * every, low, high)
    for y in kind.rail_heights_m:
        if rails_seen:
            _outline(board, x0, y - _RAIL_M / 2, x1, y + _RAIL_M / 2, fill=PAPER)
        else:
            _level(board, y, x0, x1, 0.18, (2.0, 1.0))


def _panel(board: Board, kind: Kind, x0: float, x1: float) -> None:
    low, high = kind.bottom_gap_m, kind.top_m
    _outline(board, x0, low, x1, high, 0.35)
    rail = min(0.09, (high - low) / 8)
    _level(board, low + rail, x0, x1)
    _level(board, high - rail, x0, x1)
    every = max(_LEAST_GAP_MM * 1.4 / board.view.mm_per_m, kind.board_width_m + kind.board_gap_m, 0.08)
    count = max(1, round((x1 - x0) / every))
    for k in range(1, count):
        _upright(board, x0 + (x1 - x0) * k / count, low + rail, high - rail)


def _rails(board: Board, kind: Kind, x0: float, x1: float, stroke: float) -> None:
    half = max(kind.board_width_m / 2, 0.035)
    for y in kind.rail_heights_m:
        _outline(board, x0, y - half, x1, y + half, stroke)


def _mesh(board: Board, kind: Kind, x0: float, x1: float) -> None:
    low, high = kind.bottom_gap_m, kind.top_m
    _outline(board, x0, low, x1, high, 0.18, Hatch(math.radians(45), 1.5, 0.1, cross=True))
    _level(board, high, x0, x1, 0.5)
    for y in kind.rail_heights_m:
        if abs(y - high) > 0.05:
            _level(board, y, x0, x1, 0.35)
