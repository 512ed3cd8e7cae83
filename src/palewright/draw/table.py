"""A table beside the drawing: numbers in circles, what each stands for, and its figure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.fonts import text_width
from palewright.draw.palette import PAPER
from palewright.draw.view import Field
from palewright.record import Record

__all__ = ["NUMBER_MM", "Row", "column_width", "columns_for", "draw_table", "least_height"]

NUMBER_MM = 2.3
"""Radius of the circle round a number."""

_FIGURE_MM = 3.4
_LINE = NOTE_MM * 1.28
_PAD = 2.0
_HEAD = 6.5
_TEXT = 2 * NUMBER_MM + 1.6


class Row(Record):
    """One row: heading it stands under, number, words on one or more lines, figure."""

    section: str
    number: str
    lines: tuple[str, ...]
    figure: str


def _height(row: Row, before: Row | None) -> float:
    head = 0.0 if before is not None and before.section == row.section else _HEAD
    return head + max(2 * NUMBER_MM + 0.8, len(row.lines) * _LINE + 1.6)


def column_width(rows: Sequence[Row]) -> float:
    """How wide a column must be [mm]."""
    widest = max(text_width(row.section, 3.0, "bold") for row in rows)
    for row in rows:
        figure = text_width(row.figure, _FIGURE_MM, "bold") + 3.0
        lines = [text_width(line, NOTE_MM) + (figure if k == 0 else 0.0) for k, line in enumerate(row.lines)]
        widest = max(widest, _TEXT + max(lines))
    return widest + 2 * _PAD


def columns_for(rows: Sequence[Row], height: float) -> list[list[Row]]:
    """The rows in columns no taller than ``height`` [mm] (a row that is taller stands alone)."""
    columns: list[list[Row]] = [[]]
    used = _PAD
    for row in rows:
        tall = _height(row, columns[-1][-1] if columns[-1] else None)
        if columns[-1] and used + tall > height:
            columns.append([])
            used, tall = _PAD, _height(row, None)
        columns[-1].append(row)
        used += tall
    return columns


def least_height(rows: Sequence[Row], columns: int) -> float:
    """How tall ``columns`` columns must be [mm]."""
    low = max(_height(row, None) for row in rows) + 2 * _PAD
    tallest = low + sum(_height(row, before) for row, before in zip(rows, [None, *rows[:-1]], strict=True))
    if len(columns_for(rows, low)) <= columns:
        return low
    for _ in range(12):
        middle = (low + tallest) / 2
        low, tallest = (low, middle) if len(columns_for(rows, middle)) <= columns else (middle, tallest)
    return tallest


def draw_table(board: Board, field: Field, rows: Sequence[Row]) -> None:
    """The rows, down the field and then in the next column."""
    style: dict[str, Any] = {"layer": "sheet", "role": "table", "space": "sheet", "taken": False}
    wide = column_width(rows)
    for k, column in enumerate(columns_for(rows, field.height)):
        x, y = field.left + _PAD + k * wide, field.top + _PAD
        for before, row in zip([None, *column[:-1]], column, strict=True):
            tall = _height(row, before)
            if before is None or before.section != row.section:
                board.write(row.section, (x, y + 4.0), 3.0, weight="bold", **style)
                y, tall = y + _HEAD, tall - _HEAD
            middle = (x + NUMBER_MM, y + NUMBER_MM)
            board.disc(middle, NUMBER_MM, "sheet", fill=PAPER, stroke_mm=0.3, space="sheet")
            board.write(row.number, middle, NOTE_MM, "middle", weight="bold", middle=True, **style)
            for n, line in enumerate(row.lines):
                board.write(line, (x + _TEXT, middle[1] + n * _LINE), NOTE_MM, middle=True, **style)
            end = (x + wide - 2 * _PAD, middle[1])
            board.write(row.figure, end, _FIGURE_MM, "end", weight="bold", middle=True, **style)
            y += tall
