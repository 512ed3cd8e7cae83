"""Sheets in general: what must be shown, at which scale, on how many pages; and the last strokes."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.boundary import ring_sides
from palewright.draw.board import LABEL_MM, NOTE_MM, Board
from palewright.draw.fonts import text_width
from palewright.draw.frame import Layout, Title, draw_frame, heading, heading_half, layout_of
from palewright.draw.labels import Option
from palewright.draw.line import along_lines, draw_lines, line_points
from palewright.draw.line_names import name_corners
from palewright.draw.notes import Notes
from palewright.draw.palette import BLACK
from palewright.draw.place import HARD, Box, box_of_text
from palewright.draw.scene import Scene
from palewright.draw.view import Extent, Field, Scale, extent_of, fit, scales, tiles, view_of
from palewright.draw.words import Words
from palewright.model import Plan
from palewright.plane import path_of_sides
from palewright.record import Record

__all__ = [
    "Choice",
    "Draft",
    "alignments",
    "boards_for",
    "choose",
    "closest",
    "finish",
    "legible_denominator",
    "needed",
    "wanted",
]

XY = tuple[float, float]

ARC_ERROR_M = 0.01
"""How far a chord may stand off an arc where a curved side is drawn or framed by chords [m]."""
_LABEL_GAP_MM = 1.1
_OVERLAP_MM = 9.0
_BESIDE_MM = 30.0
"""Words of a match line at a corner may stand so far beside it: the fence goes over the corner."""
_HEADING_MM = 8.0
_PAD_MM = 13.0
_STAKE_PAD_MM = 8.0


class Choice(Record):
    """How a site goes on paper: one layout and scale, one extent a sheet; ``cropped``: the property is larger."""

    layout: Layout
    scale: Scale
    extents: tuple[Extent, ...]
    tiled: bool
    cropped: bool
    rotation: float = 0.0


@dataclass(slots=True)
class Draft:
    """A sheet all but its frame."""

    board: Board
    layout: Layout
    scale: Scale
    name: str
    kind: str
    notes: Notes
    alt: str
    north: bool | None
    scale_words: str = ""


def needed(plan: Plan, strings: bool = False) -> list[XY]:
    """World points that must be on the drawing: posts, gate swings, and strings where asked for, else runs of wire."""
    points = [post.xy for post in plan.design.posts]
    points += [p for gate in plan.design.gates for fan in gate.swing for p in fan]
    if strings:
        return points + [stake.xy for string in plan.stakeout.strings for stake in string.stakes]
    return points + line_points(plan)


def wanted(plan: Plan, strings: bool = False) -> list[XY]:
    """World points that should be on the drawing: what is needed, property, buildings, old fences."""
    points = needed(plan, strings)
    if plan.site.ring is not None:
        points += path_of_sides(ring_sides(plan.site.ring), ARC_ERROR_M)
    points += [p for _, ring in plan.site.buildings for p in ring]
    points += [p for removal in plan.site.removals for p in removal.points]
    return points + line_points(plan)


def legible_denominator(plan: Plan) -> float:
    """Largest denominator at which half the bays leave room for the number of a post; of wire, half its pulls."""
    bays = [bay.length_m for bay in plan.design.bays if bay.kind != "gate"]
    widest = max((text_width(post.label, LABEL_MM) for post in plan.design.posts), default=0.0)
    if not bays:
        bays = [pull for line in plan.lines for pull in line.pulls_m]
        widest = max((text_width(a.label, LABEL_MM) for line in plan.lines for a in line.assemblies), default=0.0)
    return statistics.median(bays) * 1000.0 / (widest + _LABEL_GAP_MM) if bays else 1e9


def _inner(field: Field, heading: bool, pad: float = _PAD_MM) -> Field:
    return replace(field, top=field.top + (_HEADING_MM if heading else 0.0), pad=pad)


def closest(
    plan: Plan, notes: Notes, points: Iterable[XY], cropped: bool = True, pad: float = _PAD_MM
) -> tuple[Choice, bool]:
    """One sheet that shows the points at the largest true scale, upright or wide, as they lie or a quarter turned.

    ``pad`` is kept free round them for words [mm]. Returns the choice and whether the points do fit.
    """
    extent = extent_of(points) or Extent(0.0, 0.0, 10.0, 10.0)
    options = []
    for layout in (layout_of(plan.settings.paper, upright, notes) for upright in (False, True)):
        inner = _inner(layout.field, bool(notes.trial), pad)
        for turn, seen in ((0.0, extent), (math.pi / 2, Extent(0.0, 0.0, extent.height, extent.width))):
            scale = fit(seen, inner, plan.settings.print_style)
            options.append((scale, layout, turn, _fits(seen, inner, scale)))
    scale, layout, turn, fits = min(options, key=lambda option: (not option[3], option[0].denominator))
    return Choice(layout, scale, (extent,), False, cropped, turn), fits


def choose(plan: Plan, notes: Notes, strings: bool = False, close: bool = False) -> Choice:
    """The largest true scale that shows the whole property; else the fence alone; else tiles at a legible scale.

    ``strings``: stakes must be on it too; ``close``: never mind the whole property. A quarter turn is taken where it
    makes the drawing larger.
    """
    limit = legible_denominator(plan)
    for cropped, points in ((False, wanted(plan, strings)), (True, needed(plan, strings)))[int(close) :]:
        choice, fits = closest(plan, notes, points, cropped, _STAKE_PAD_MM if strings else _PAD_MM)
        if choice.scale.denominator <= limit and fits:
            return choice
    style = plan.settings.print_style
    offered = [s for s in scales(style) if s.denominator <= limit] or scales(style)[:1]
    scale = offered[-1]
    extent = extent_of(needed(plan, strings)) or Extent(0.0, 0.0, 10.0, 10.0)
    paths = [[leg.start, leg.end] for leg in plan.design.legs]
    if strings:
        paths += [[s.stakes[0].xy, s.stakes[1].xy] for s in plan.stakeout.strings]
    else:
        paths += [list(line.path) for line in plan.lines]
    layouts = [layout_of(plan.settings.paper, upright, notes) for upright in (False, True)]
    cut = [
        (tiles(paths, extent, _inner(layout.field, bool(notes.trial)), scale, _OVERLAP_MM), layout)
        for layout in layouts
    ]
    extents, layout = min(cut, key=lambda option: len(option[0]))
    if not plan.design.legs:
        extents = along_lines(plan, extents)
    return Choice(layout, scale, tuple(extents), True, True)


def _fits(extent: Extent, field: Field, scale: Scale) -> bool:
    k = 1000.0 / scale.denominator
    return extent.width * k <= field.width and extent.height * k <= field.height


def boards_for(choice: Choice, notes: Notes) -> list[Board]:
    """An empty board for every sheet of a choice."""
    inner = _inner(choice.layout.field, bool(notes.trial))
    return [
        Board(choice.layout.field, view_of(extent.centre, inner, choice.scale, choice.rotation))
        for extent in choice.extents
    ]


def alignments(choice: Choice, notes: Notes) -> Iterator[Board]:
    """Empty boards for one sheet: its drawing in the middle of the field, then at each side and in each corner."""
    for across, down in sorted(
        itertools.product((0.0, -1.0, 1.0), repeat=2), key=lambda way: abs(way[0]) + abs(way[1])
    ):
        (board,) = boards_for(choice, notes)
        e, f = choice.extents[0], board.field
        a, b = board.at((e.left, e.top)), board.at((e.right, e.bottom))
        slack = (f.width - abs(a[0] - b[0]), f.height - abs(a[1] - b[1]))
        x, y = (max(0.0, room / 2 - _PAD_MM - 4.0) * way for room, way in zip(slack, (across, down), strict=True))
        view = board.view
        yield Board(f, replace(view, offset=(view.offset[0] + x, view.offset[1] + y)))


def match_lines(board: Board, number: int, choice: Choice, first: int, words: Words) -> None:
    """Lines where the next sheets begin, with their numbers; ``number`` counts tiles from 0, ``first`` is its sheet."""
    mine = choice.extents[number]
    a, b = board.at((mine.left, mine.top)), board.at((mine.right, mine.bottom))
    edges: Sequence[tuple[str, XY, XY]] = (
        ("left", (a[0], a[1]), (a[0], b[1])),
        ("right", (b[0], a[1]), (b[0], b[1])),
        ("top", (a[0], a[1]), (b[0], a[1])),
        ("bottom", (a[0], b[1]), (b[0], b[1])),
    )
    for side, p, q in edges:
        touching = (k for k, e in enumerate(choice.extents) if k != number and _touches(mine, e, side))
        other, more = next(touching, None), 0.0
        if other is None:
            other, corner = _across(choice.extents, mine, side)
            if other is None:
                continue
            x, y = board.at(corner)
            p, q, more = (x - _OVERLAP_MM, y), (x + _OVERLAP_MM, y), _BESIDE_MM
        board.chain((p, q), "match", stroke_mm=0.5, dash=(8.0, 1.5, 1.5, 1.5, 1.5, 1.5), colour=BLACK,
                    weight=40.0, crossing=2.0)  # fmt: skip
        p, q = (p[0] - more, p[1]), (q[0] + more, q[1])
        _name_match(board, words("match", sheet=first + other), side, p, q)


def _name_match(board: Board, text: str, side: str, p: XY, q: XY) -> None:
    """The words of a match line along it, outside, where they stand on nothing."""
    angle, width = math.pi / 2 if side in ("left", "right") else 0.0, text_width(text, NOTE_MM)
    out = {"left": (-1.2, 0.0), "right": (1.2 + NOTE_MM * 0.72, 0.0), "top": (0.0, -1.2), "bottom": (0.0, 3.4)}[side]
    places: list[Option] = []
    for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88):
        at = (p[0] + (q[0] - p[0]) * t + out[0], p[1] + (q[1] - p[1]) * t + out[1])
        box = box_of_text(at, width, NOTE_MM, "middle", angle, 1.0)
        places.append(((box,), abs(t - 0.5), at))

    def draw(at: XY) -> None:
        board.write(text, at, NOTE_MM, "middle", angle, "match", role="match")

    board.labels.put(lambda: places, draw)


def _touches(mine: Extent, other: Extent, side: str) -> bool:
    eps = 1e-6 * max(mine.width, mine.height) + 1e-9
    same_row, same_column = abs(mine.top - other.top) < eps, abs(mine.left - other.left) < eps
    return {
        "left": same_row and abs(other.right - mine.left) < eps,
        "right": same_row and abs(other.left - mine.right) < eps,
        "top": same_column and abs(other.bottom - mine.top) < eps,
        "bottom": same_column and abs(other.top - mine.bottom) < eps,
    }[side]


def _across(extents: Sequence[Extent], mine: Extent, side: str) -> tuple[int | None, XY]:
    """The sheet over the corner above or below, and the corner [m]: a fence may go straight from one to the other.

    None where there is none, or where sheets lie between.
    """
    for k, e in enumerate(extents if side in ("top", "bottom") else ()):
        for over in ("left", "right"):
            beside = replace(e, top=mine.top, bottom=mine.bottom)
            above = replace(e, left=mine.left, right=mine.right)
            if _touches(mine, beside, over) and _touches(mine, above, side):
                between = any(_touches(mine, one, over) or _touches(mine, one, side) for one in extents)
                x = mine.left if over == "left" else mine.right
                return (None if between else k), (x, mine.top if side == "top" else mine.bottom)
    return None, (0.0, 0.0)


def index_draft(plan: Plan, words: Words, notes: Notes, choice: Choice, first: int, kind_name: str) -> Draft:
    """An overview with the frame of every sheet and its number."""
    extent = extent_of([p for e in choice.extents for p in ((e.left, e.bottom), (e.right, e.top))])
    assert extent is not None
    inner = _inner(choice.layout.field, bool(notes.trial))
    scale = fit(extent, inner, plan.settings.print_style)
    board = Board(choice.layout.field, view_of(extent.centre, inner, scale))
    if plan.site.ring is not None:
        board.chain(
            [board.at(p) for p in path_of_sides(ring_sides(plan.site.ring), ARC_ERROR_M)],
            "boundary",
            closed=True,
            stroke_mm=0.25,
            dash=(3.0, 2.0),
        )
    for leg in plan.design.legs:
        board.chain((board.at(leg.start), board.at(leg.end)), "fence", stroke_mm=0.7, weight=60.0, id=leg.run)
    draw_lines(board, plan, light=True)
    name_corners(board, plan)
    for number, e in enumerate(choice.extents, first):
        _sheet_outline(board, board.at((e.left, e.top)), board.at((e.right, e.bottom)), number)
    name = f"{kind_name}: {words('index')}"
    return Draft(
        board,
        choice.layout,
        scale,
        name,
        "index",
        notes,
        words("alt_index", title=plan.settings.title),
        plan.settings.north,
        words("scale_index", scale=scale.words),
    )


def _sheet_outline(board: Board, a: XY, b: XY, number: int) -> None:
    """The frame of a sheet on the overview, from its corner top left to that bottom right, and its number."""
    ring = ((a[0], a[1]), (b[0], a[1]), (b[0], b[1]), (a[0], b[1]))
    board.chain(ring, "match", closed=True, stroke_mm=0.25, weight=2.0, crossing=2.0)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    spots = [
        ((middle[0] + dx * (b[0] - a[0]) / 4, middle[1] + dy * (b[1] - a[1]) / 4), 0.1 * n)
        for n, (dx, dy) in enumerate(((0, 0), (-1, -1), (1, -1), (-1, 1), (1, 1), (0, 1), (0, -1), (1, 0), (-1, 0)))
    ]
    board.label([str(number)], middle, spots, 4.2, "bold", "sheet-index", lead=False, most=2 * HARD)


def occupy_heading(board: Board, notes: Notes) -> None:
    """Keep the top of the field clear of labels for the heading."""
    if notes.trial:
        f = board.field
        half = max(45.0, heading_half(notes.trial))
        board.placer.add(Box((f.left + f.right) / 2, f.top + _HEADING_MM / 2, 1.0, 0.0, half, _HEADING_MM / 2), HARD)


def finish(drafts: Iterable[Draft], plan: Plan, words: Words, first: int = 1, total: int = 0) -> list[Scene]:
    """Frames, numbers and titles; ``first`` is the number of the first sheet, ``total`` of all (0: these alone)."""
    listed = list(drafts)
    total = total or first - 1 + len(listed)
    scenes = []
    for k, draft in enumerate(listed):
        board = draft.board
        board.labels.settle()
        if draft.notes.trial:
            heading(board, draft.notes.trial)
        title = Title(draft.name, draft.scale, draft.scale_words, first + k, total, draft.north)
        draw_frame(board, draft.layout, draft.notes, words, title)
        scenes.append(
            Scene(
                draft.layout.width,
                draft.layout.height,
                f"{plan.settings.title}: {draft.name}",
                tuple(board.primitives),
                board.view,
                draft.kind,
                draft.alt,
                words.language,
                not plan.settings.north,
            )
        )
    return scenes
