"""What is between two posts, sketched: boards, panels, rails, mesh."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.draw.board import Board
from palewright.draw.palette import FENCE, INFILL, PAPER
from palewright.draw.scene import Hatch
from palewright.model import Kind
from palewright.record import Record

__all__ = ["Opening", "draw_infill", "line_at"]

XY = tuple[float, float]

_LEAST_GAP_MM = 1.1
_RAIL_M = 0.089
"""How wide a rail is sketched: a 2x4, 3 1/2 in (American Softwood Lumber Standard, PS 20, dressed sizes)."""


def line_at(chain: Sequence[XY], x: float) -> float:
    """Height of a chain of lines that goes to the right, at ``x``; beyond its ends that of the end.

    >>> line_at(((0.0, 1.0), (2.0, 2.0)), 1.0), line_at(((0.0, 1.0), (2.0, 2.0)), 9.0)
    (1.5, 2.0)
    """
    for (x0, y0), (x1, y1) in itertools.pairwise(chain):
        if x <= x1:
            return y0 if x <= x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return chain[-1][1]


class Opening(Record):
    """The place of an infill between two post faces: bottom and top as chains of lines, as the view counts [m].

    times
        how many times heights are drawn.
    """

    bottom: tuple[XY, ...]
    top: tuple[XY, ...]
    times: float = 1.0

    @classmethod
    def level(cls, kind: Kind, x0: float, x1: float) -> Opening:
        """On level ground at height 0, between post faces at stations ``x0`` and ``x1`` [m]."""
        low, high = kind.bottom_gap_m, kind.top_m
        return cls(((x0, low), (x1, low)), ((x0, high), (x1, high)))

    @property
    def x0(self) -> float:
        """The left face [m]."""
        return self.top[0][0]

    @property
    def x1(self) -> float:
        """The right face [m]."""
        return self.top[-1][0]

    def under(self, down: float) -> tuple[XY, ...]:
        """The line ``down`` below the top [m]."""
        return tuple((x, y - down * self.times) for x, y in self.top)


def draw_infill(board: Board, kind: Kind, place: Opening, rails_seen: bool = False) -> None:
    """One bay of a fence; ``rails_seen``: not behind boards."""
    if place.x1 <= place.x0:
        return
    if kind.family == "post and rail":
        _rails(board, kind, place, 0.35)
    elif kind.family == "chain link":
        _mesh(board, kind, place)
    elif kind.family == "panels":
        _panel(board, kind, place)
    else:
        _boards(board, kind, place, rails_seen)


def _outline(
    board: Board, low: Sequence[XY], high: Sequence[XY], stroke: float = 0.25, hatch: Hatch | None = None,
    fill: str = "",
) -> None:  # fmt: skip
    ring = [board.at(p) for p in (*low, *reversed(high))]
    board.area(ring, "infill", stroke_mm=stroke, colour=INFILL if hatch else FENCE, hatch=hatch, fill=fill)


def _upright(board: Board, x: float, y0: float, y1: float) -> None:
    board.chain((board.at((x, y0)), board.at((x, y1))), "infill", stroke_mm=0.13, colour=INFILL)


def _line(board: Board, chain: Sequence[XY], stroke: float = 0.18, dash: tuple[float, ...] = ()) -> None:
    board.chain([board.at(p) for p in chain], "infill", stroke_mm=stroke, colour=FENCE, dash=dash)


def _boards(board: Board, kind: Kind, place: Opening, rails_seen: bool) -> None:
    tall, x0, x1 = kind.top_m - kind.bottom_gap_m, place.x0, place.x1
    _outline(board, place.bottom, place.top)
    step = max(kind.board_width_m + max(kind.board_gap_m, -kind.board_width_m / 2), 0.02)
    if kind.pattern == "horizontal":
        every = max(1, math.ceil(_LEAST_GAP_MM / (step * board.view.mm_per_m * place.times)))
        for k in range(1, math.floor(tall / (step * every) + 1e-9) + 1):
            if k * step * every < tall - 0.01:
                _line(board, place.under(tall - k * step * every), 0.13)
        return
    every = max(1, math.ceil(_LEAST_GAP_MM / (step * board.view.mm_per_m)))
    count = math.floor((x1 - x0) / (step * every))
    for k in range(1, count + 1):
        x = x0 + k * step * every
        if x < x1 - 0.01:
            _upright(board, x, line_at(place.bottom, x), line_at(place.top, x))
    for y in kind.rail_heights_m:
        down = kind.top_m - y
        if rails_seen:
            _outline(board, place.under(down + _RAIL_M / 2), place.under(down - _RAIL_M / 2), fill=PAPER)
        else:
            _line(board, place.under(down), 0.18, (2.0, 1.0))


def _panel(board: Board, kind: Kind, place: Opening) -> None:
    tall, x0, x1 = kind.top_m - kind.bottom_gap_m, place.x0, place.x1
    _outline(board, place.bottom, place.top, 0.35)
    rail = min(0.09, tall / 8)
    high, low = place.under(rail), place.under(tall - rail)
    _line(board, low)
    _line(board, high)
    every = max(_LEAST_GAP_MM * 1.4 / board.view.mm_per_m, kind.board_width_m + kind.board_gap_m, 0.08)
    count = max(1, round((x1 - x0) / every))
    for k in range(1, count):
        x = x0 + (x1 - x0) * k / count
        _upright(board, x, line_at(low, x), line_at(high, x))


def _rails(board: Board, kind: Kind, place: Opening, stroke: float) -> None:
    half = max(kind.board_width_m / 2, 0.035)
    for y in kind.rail_heights_m:
        down = kind.top_m - y
        _outline(board, place.under(down + half), place.under(down - half), stroke)


def _mesh(board: Board, kind: Kind, place: Opening) -> None:
    _outline(board, place.bottom, place.top, 0.18, Hatch(math.radians(45), 1.5, 0.1, cross=True))
    _line(board, place.top, 0.5)
    for y in kind.rail_heights_m:
        if abs(y - kind.top_m) > 0.05:
            _line(board, place.under(kind.top_m - y), 0.35)
