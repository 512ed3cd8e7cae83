"""Round the drawing: frame, title strip with true scale bar and north, locate, notes, key."""

from __future__ import annotations

import math

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.fonts import CAP, text_width, wrap
from palewright.draw.notes import Notes
from palewright.draw.palette import BLACK, PAPER, utility_named
from palewright.draw.place import HARD, Box
from palewright.draw.scene import View
from palewright.draw.symbols import draw_key
from palewright.draw.table import column_width, columns_for, draw_table, least_height
from palewright.draw.view import PAPERS, Field, Scale
from palewright.draw.words import Words
from palewright.record import Record

__all__ = ["Layout", "Title", "draw_frame", "heading", "heading_half", "layout_of"]

XY = tuple[float, float]

_MARGIN = 8.0
_STRIP = 24.0
_COLUMNS = (60.0, 68.0, 78.0, 90.0)
_LINE = NOTE_MM * 1.28
_ROW = 4.4
_PAD = 2.0
_INDENT = 2.4


class Layout(Record):
    """A sheet's parts [mm]: page, field to draw on, box of notes, title strip, table; ``columns`` of notes."""

    width: float
    height: float
    field: Field
    info: Field
    strip: Field
    columns: int
    table: Field | None = None


class Title(Record):
    """What the strip says of a sheet: its name, its scale (in words of its own where given), which it is of how many.

    north
        whether the drawing has one; None: neither arrow nor words (an elevation).
    """

    name: str
    scale: Scale
    scale_words: str
    number: int
    total: int
    north: bool | None


def _lines(notes: Notes, width: float) -> tuple[list[tuple[str, str]], list[tuple[str, bool]]]:
    """Wrapped lines of the locate block with their weight, and of the notes with True where a note begins."""
    locate = []
    inner = width - 2 * _PAD - 3.0
    for part in _head_parts(notes.locate_head, inner):
        locate += [(line, "bold") for line in wrap(part, 3.4, inner, "bold")]
    for text in notes.locate_lines:
        locate += [(line, "regular") for line in wrap(text, NOTE_MM, inner)]
    said: list[tuple[str, bool]] = []
    for text in notes.notes:
        said += [(line, k == 0) for k, line in enumerate(wrap(text, NOTE_MM, width - 2 * _PAD - _INDENT))]
    return locate, said


def _head_parts(text: str, width: float) -> list[str]:
    """The heading in one piece, or broken after its colon where it does not fit."""
    head, colon, rest = text.partition(": ")
    return [text] if not colon or text_width(text, 3.4, "bold") <= width else [head + ":", rest]


def layout_of(paper: str, upright: bool, notes: Notes) -> Layout:
    """The parts of a sheet of ``paper`` ("letter" or "a4"): notes beside the field when wide, under it when upright.

    The table of the notes stands between them.
    """
    short, long = PAPERS.get(paper, PAPERS["letter"])
    width, height = (short, long) if upright else (long, short)
    left, top, right, bottom = _MARGIN, _MARGIN, width - _MARGIN, height - _MARGIN
    strip = Field(left, bottom - _STRIP, right, bottom)
    if upright:
        column = (right - left) / 3
        locate, said = _lines(notes, column)
        tall = max(len(locate) * _LINE + 8.0, len(said) * _LINE + 7.0, len(notes.key) * _ROW + 7.0)
        info = Field(left, strip.top - tall, right, strip.top)
        table, end = None, info.top
        if notes.table:
            end -= least_height(notes.table, max(1, int((right - left) // column_width(notes.table))))
            table = Field(left, end, right, info.top)
        return Layout(width, height, Field(left, top, right, end), info, strip, 3, table)
    for wide in _COLUMNS:
        locate, said = _lines(notes, wide)
        tall = 14.0 + (len(locate) + len(said)) * _LINE + 6.0 + len(notes.key) * _ROW
        if tall <= strip.top - top:
            break
    info = Field(right - wide, top, right, strip.top)
    table, end = None, info.left
    if notes.table:
        end -= len(columns_for(notes.table, strip.top - top)) * column_width(notes.table)
        table = Field(end, top, info.left, strip.top)
    return Layout(width, height, Field(left, top, end, strip.top), info, strip, 1, table)


def _rectangle(board: Board, f: Field, stroke: float = 0.25) -> None:
    ring = ((f.left, f.top), (f.right, f.top), (f.right, f.bottom), (f.left, f.bottom))
    board.area(ring, "sheet", stroke_mm=stroke, space="sheet")


def _heading(board: Board, text: str, x: float, y: float) -> None:
    board.write(text, (x, y), 3.0, weight="bold", layer="sheet", role="heading", space="sheet", taken=False)


def _draw_notes(board: Board, layout: Layout, notes: Notes, words: Words) -> None:
    f = layout.info
    column = f.width / layout.columns
    locate, said = _lines(notes, column)
    x, y = f.left + _PAD, f.top + 1.5
    tall = len(locate) * _LINE + 4.0
    box = Field(x, y, x + column - 2 * _PAD, y + tall)
    _rectangle(board, box, 0.7 if not notes.locate_entered else 0.25)
    for k, (text, weight) in enumerate(locate):
        board.write(text, (x + 1.5, y + 4.4 + k * _LINE), 3.4 if weight == "bold" else NOTE_MM, weight=weight,
                    layer="sheet", role="locate", space="sheet", taken=False)  # fmt: skip
    spots: list[XY] = []
    if layout.columns == 3:
        spots = [(f.left + column + _PAD, f.top + 5.0), (f.left + 2 * column + _PAD, f.top + 5.0)]
    else:
        spots = [(x, y + tall + 6.0), (x, y + tall + 6.0 + (len(said) * _LINE + 6.0 if said else 0.0))]
    if said:
        _heading(board, words("notes"), *spots[0])
        for k, (text, begins) in enumerate(said):
            at = (spots[0][0] + _INDENT, spots[0][1] + 4.2 + k * _LINE)
            board.write(text, at, NOTE_MM, layer="sheet", role="note", space="sheet", taken=False)
            if begins:
                dot = (spots[0][0] + 0.8, at[1] - NOTE_MM * CAP / 2)
                board.disc(dot, 0.45, "sheet", fill=BLACK, stroke_mm=0.1, space="sheet")
    if notes.key:
        _heading(board, words("key"), *spots[1])
        for k, name in enumerate(notes.key):
            row = spots[1][1] + 4.6 + k * _ROW
            draw_key(board, name, (spots[1][0] + 5.0, row - 1.0))
            plain, _, more = name.partition(":")
            said_key = words(f"key_{plain}") + (f": {words('utility_' + more)}" if utility_named(more) else "")
            said_key, size = _fitted(said_key, NOTE_MM, column - 16.5)
            board.write(said_key, (spots[1][0] + 12.5, row), size, layer="sheet",
                        role="key", space="sheet", taken=False)  # fmt: skip


def _scale_bar(board: Board, scale: Scale, x: float, y: float, words: Words) -> None:
    """A bar true to the scale: alternating black and white, marks in the job's unit."""
    k = 1000.0 / scale.denominator
    for n, (a, b) in enumerate(zip(scale.bar_m[:-1], scale.bar_m[1:], strict=True)):
        ring = ((x + a * k, y), (x + b * k, y), (x + b * k, y + 1.6), (x + a * k, y + 1.6))
        board.area(ring, "sheet", fill=PAPER if n % 2 else BLACK, stroke_mm=0.18, space="sheet")
    last = len(scale.bar_m) - 1
    for n, (metres, word) in enumerate(zip(scale.bar_m, scale.bar, strict=True)):
        at = (x + metres * k - (text_width("0", NOTE_MM) if n == last else 0.0), y + 4.6)
        said = word.replace("ft", words("feet"))
        board.write(said, at, NOTE_MM, "start" if n == last else "middle", layer="sheet", role="scale-bar",
                    space="sheet", taken=False)  # fmt: skip


def _north(board: Board, view: View, x: float, y: float, words: Words) -> None:
    """An arrow to the top of the world as drawn."""
    c, s = math.cos(view.rotation), math.sin(view.rotation)

    def at(u: float, v: float) -> XY:
        v -= 1.2
        return (x + u * c - v * s, y - (u * s + v * c))

    board.area((at(0, 5), at(-2, -6), at(0, -4)), "sheet", stroke_mm=0.25, space="sheet")
    board.area((at(0, 5), at(2, -6), at(0, -4)), "sheet", fill=BLACK, stroke_mm=0.25, space="sheet")
    board.write(words("north"), at(0, 7), 3.6, "middle", weight="bold", layer="sheet", role="north", space="sheet",
                middle=True, taken=False)  # fmt: skip


def _fitted(text: str, size: float, width: float, weight: str = "regular", least: float = 2.4) -> tuple[str, float]:
    """A text no wider than ``width``: set smaller down to ``least``, then cut with an ellipsis."""
    if text_width(text, size, weight) > width:
        size = max(least, size * width / text_width(text, size, weight))
    while len(text) > 2 and text_width(text, size, weight) > width:
        text = text[:-2].rstrip() + "…"
    return text, size


def _no_north(board: Board, at: XY, words: Words) -> None:
    """That no north is known and the frame is a local one, in the cell of the arrow."""
    x, top = at
    first, second = wrap(words("no_north"), 3.4, 13.0, "bold"), wrap(words("local"), 2.4, 14.5)
    for k, line in enumerate(first):
        board.write(line, (x, top + 5.5 + 4.0 * k), 3.4, "middle", weight="bold",
                    layer="sheet", role="north", space="sheet", taken=False)  # fmt: skip
    for k, line in enumerate(second):
        y = top + 5.5 + 4.0 * len(first) + 3.0 * k
        board.write(line, (x, y), 2.4, "middle", layer="sheet", role="north", space="sheet",
                    taken=False)  # fmt: skip


def draw_frame(board: Board, layout: Layout, notes: Notes, words: Words, title: Title) -> None:
    """Everything that is not the drawing itself."""
    clipped, board.clipped = board.clipped, False
    page = Field(_MARGIN, _MARGIN, layout.width - _MARGIN, layout.height - _MARGIN)
    _rectangle(board, layout.info, 0.25)
    _rectangle(board, layout.strip, 0.25)
    _rectangle(board, page, 0.7)
    _draw_notes(board, layout, notes, words)
    if layout.table is not None:
        _rectangle(board, layout.table, 0.25)
        draw_table(board, layout.table, notes.table)
    _draw_strip(board, layout.strip, notes, words, title)
    board.clipped = clipped


def _draw_strip(board: Board, f: Field, notes: Notes, words: Words, title: Title) -> None:
    """The title strip: the job, the sheet, the scale with its bar, north."""
    cells = _cells(f, title.north is not None)
    for x in cells[1:-1]:
        board.chain(((x, f.top), (x, f.bottom)), "sheet", stroke_mm=0.18, space="sheet")

    def put(text: str, cell: int, y: float, size: float, weight: str = "regular", role: str = "title") -> None:
        wide = cells[cell + 1] - cells[cell] - 2 * _PAD
        text, size = _fitted(text, size, wide, weight)
        board.write(text, (cells[cell] + _PAD, f.top + y), size, weight=weight, layer="sheet", role=role, space="sheet",
                    taken=False)  # fmt: skip

    put(notes.title, 0, 6.5, 4.4, "bold")
    for k, line in enumerate(notes.under_title[:3]):
        put(line, 0, 11.8 + 4.4 * k, 3.0)
    name = title.name
    named = wrap(name, 3.0, cells[2] - cells[1] - 2 * _PAD, "bold")
    rows = [(name, 6.5, 3.6)] if len(named) != 2 else [(line, 4.4 + 3.8 * k, 3.0) for k, line in enumerate(named)]
    for line, y, size in rows:
        put(line, 1, y, size, "bold", "sheet-name")
    put(words("not_survey"), 1, 12.2, 3.4, "bold", "not-survey")
    put(words("sheet_of", number=title.number, total=title.total), 1, 18.8, 3.4, role="sheet-number")
    put(title.scale_words or words("scale", scale=title.scale.words), 2, 6.5, 3.6, "bold", "scale")
    _scale_bar(board, title.scale, cells[2] + _PAD + 1.0, f.top + 10.5, words)
    if title.north:
        _north(board, board.view, (cells[3] + cells[4]) / 2, (f.top + f.bottom) / 2, words)
    elif title.north is False:
        _no_north(board, ((cells[3] + cells[4]) / 2, f.top), words)


def _cells(f: Field, with_north: bool) -> list[float]:
    """Left edges of the cells of the strip, and its right edge."""
    bar = 64.0
    north = 17.0 if with_north else 0.0
    name = 58.0
    cells = [f.left, f.right - north - bar - name, f.right - north - bar, f.right - north]
    return [*cells, f.right] if with_north else cells


_HEADING_SIZE_MM = 4.2


def heading_half(text: str) -> float:
    """Half the room that the heading takes across the page [mm]."""
    return text_width(text, _HEADING_SIZE_MM, "bold") / 2 + 2.5


def heading(board: Board, text: str) -> None:
    """Bold words at the top of the field, kept clear of labels."""
    f = board.field
    size = _HEADING_SIZE_MM
    width = text_width(text, size, "bold")
    at = ((f.left + f.right) / 2, f.top + 3.0 + size * CAP)
    ring_y = (f.top + 1.6, f.top + 4.4 + size * CAP)
    ring = (
        (at[0] - width / 2 - 2, ring_y[0]),
        (at[0] + width / 2 + 2, ring_y[0]),
        (at[0] + width / 2 + 2, ring_y[1]),
        (at[0] - width / 2 - 2, ring_y[1]),
    )
    board.area(ring, "sheet", fill=PAPER, stroke_mm=0.5, space="sheet")
    board.write(text, at, size, "middle", weight="bold", layer="sheet", role="trial", space="sheet", taken=False)
    board.placer.add(
        Box(at[0], (ring_y[0] + ring_y[1]) / 2, 1.0, 0.0, heading_half(text), (ring_y[1] - ring_y[0]) / 2 + 0.5), HARD
    )
