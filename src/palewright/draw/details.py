"""Enlarged details: what is too small to be named on a sheet is drawn once more beside it, larger, and named there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.place import HARD, Box, box_of_segment, boxes_meet
from palewright.draw.room import Room
from palewright.draw.view import Field, Scale, view_of
from palewright.draw.words import Words
from palewright.model import Plan
from palewright.record import Record

__all__ = ["Crowd", "Detail", "detailed", "name_details"]

XY = tuple[float, float]
Drawing = Callable[[Board], None]
Way = Callable[[XY, XY], float | tuple[float, float]]

_SCALES = (
    ((24.0, '1/2" = 1\'-0"'), (48.0, '1/4" = 1\'-0"'), (60.0, "1\" = 5'"), (120.0, "1\" = 10'"), (240.0, "1\" = 20'")),
    tuple((float(n), f"1:{n}") for n in (20, 25, 50, 100, 200)),
)
"""In feet and in metres."""

_ROUND_MM = 1.4
_TITLE_MM = 4.8
_PADS = ((4.0, 9.0, 16.0, 24.0), (4.0, 9.0, 15.0, 22.0))
_LEAST = (36.0, 24.0)
_LARGEST = (100.0, 68.0)
_LEADER_MM2 = 350.0
_CROSSED_MM2 = 1e5
_AS_LARGE = 1.7
"""A detail on which nothing is crossed is not tried so many times larger."""

_OPTIONS = 3


class Crowd(Record):
    """Points in the world [m] round which names have no room; ``more``: what a detail should show besides."""

    points: tuple[XY, ...]
    more: tuple[XY, ...] = ()


class Detail(Record):
    """A part of a sheet [mm on it], the middle of its detail there, the frame [mm] and the scale of the detail.

    ``marks``: how many points of a crowd it shows; ``crossed``: words that lie across what they should not.
    """

    part: Field
    centre: XY
    frame: Field
    scale: Scale
    marks: int = 1
    crossed: int = 0


def detailed(
    boards: Iterable[Board], draw: Drawing, again: Drawing, crowds: Sequence[Crowd], plan: Plan, gaps: XY
) -> tuple[Board, list[Detail]]:
    """The board that has room for details of the most points of the crowds, with ``draw`` and the details drawn on it.

    again
        draws and names a detail. gaps: crowds so near each other on the page share one [mm]; kept free between a frame
        and the fence for the names there [mm].
    """
    near, away = gaps
    best: tuple[Board, list[Detail]] | None = None
    options: list[list[Detail]] | None = None
    for board in boards:
        draw(board)
        joined = _joined(board, crowds, near)
        if options is None:
            options = [_options(board, crowd, again, plan.settings.print_style) for crowd in joined]
        found = _place(
            board, [_moved(board, crowd, few) for crowd, few in zip(joined, options, strict=True)], plan, away
        )
        if best is None or _marks(found) > _marks(best[1]):
            best = (board, found)
        if len(found) == len(joined):
            break
    assert best is not None
    for detail in best[1]:
        best[0].hidden.append(detail.part)
        best[0].placer.add(_box(detail.frame, 1.0), HARD)
        best[0].placer.add_line(_ring(detail.part), HARD, closed=True)
    _draw(*best, again, Words(plan.settings))
    return best


def _draw(board: Board, details: Sequence[Detail], again: Drawing, words: Words) -> None:
    """Each detail in its frame, drawn and named by ``again``, with its number and scale."""
    for number, detail in enumerate(details, 1):
        inner = _inner(board, detail)
        again(inner)
        f = detail.frame
        text = f"{words('detail', number=number)}: {detail.scale.words}"
        inner.write(text, (f.left + 1.5, f.top + 3.6), weight="bold", role="detail", halo=False, taken=False)
        board.primitives += [replace(p, space="detail") for p in inner.primitives]
        board.chain(_ring(f), "label", closed=True, stroke_mm=0.35, space="detail")
        board.chain(_ring(detail.part), "label", closed=True, stroke_mm=0.18, space="detail")


def name_details(board: Board, details: Sequence[Detail], words: Words) -> None:
    """The number of each detail at the part of the sheet that it shows."""
    for number, detail in enumerate(details, 1):
        name = words("detail", number=number)
        half, rise = board.block([name], NOTE_MM, "bold")
        (x, y), part = detail.part.centre, detail.part
        spots = []
        for n, gap in enumerate((0.9, 3.0, 5.5)):
            reach = (part.width / 2 + half + gap, part.height / 2 + rise + gap)
            ways = ((0, -1), (0, 1), (1, 0), (-1, 0), (1, -1), (-1, -1), (1, 1), (-1, 1))
            spots += [((x + a * reach[0], y + b * reach[1]), 0.2 * k + 3.0 * n) for k, (a, b) in enumerate(ways)]
        board.label([name], (x, y), spots, weight="bold", role="detail")


def _inner(board: Board, detail: Detail) -> Board:
    """An empty board for a detail, under the strip of its number; it names what stands in its part of the sheet."""
    field = replace(detail.frame, top=detail.frame.top + _TITLE_MM)
    view = view_of(board.view.to_world(detail.centre), field, detail.scale, board.view.rotation)
    only = _field(view.to_page(board.view.to_world(corner)) for corner in _ring(detail.part))
    return Board(field, view, only=only)


def _ring(f: Field) -> tuple[XY, XY, XY, XY]:
    return ((f.left, f.top), (f.right, f.top), (f.right, f.bottom), (f.left, f.bottom))


def _box(f: Field, pad: float) -> Box:
    return Box(*f.centre, 1.0, 0.0, f.width / 2 + pad, f.height / 2 + pad)


def _field(points: Iterable[XY], pad: float = 0.0) -> Field:
    xs, ys = zip(*points, strict=True)
    return Field(min(xs) - pad, min(ys) - pad, max(xs) + pad, max(ys) + pad, 0.0)


def _page(board: Board, points: Iterable[XY], pad: float = 0.0) -> Field:
    return _field(map(board.at, points), pad)


def _joined(board: Board, crowds: Sequence[Crowd], near: float) -> list[Crowd]:
    """The crowds that lie in the field, those near each other made one."""
    out: list[Crowd] = []
    for crowd in crowds:
        if not all(board.shows(p, 2.0) for p in _ring(_page(board, crowd.points, _ROUND_MM))):
            continue
        one = crowd
        while met := [
            c for c in out if boxes_meet(_box(_page(board, c.points), near), _box(_page(board, one.points), near))
        ]:
            out = [c for c in out if c not in met]
            one = Crowd(tuple(p for c in (*met, one) for p in c.points), tuple(p for c in (*met, one) for p in c.more))
        out.append(one)
    return out


def _options(board: Board, crowd: Crowd, again: Drawing, style: str) -> list[Detail]:
    """Details of a crowd on which everything is named, those with few leaders and small frames first."""
    seen, part = _page(board, (*crowd.points, *crowd.more)), _page(board, crowd.points, _ROUND_MM)
    sizes = []
    for (number, words), across, down in itertools.product(_SCALES[style == "metric"], *_PADS):
        k = board.view.denominator / number
        wide, tall = max(seen.width * k + 2 * across, _LEAST[0]), max(seen.height * k + 2 * down, _LEAST[1])
        if k >= 2.0 and wide <= _LARGEST[0] and tall <= _LARGEST[1]:
            sizes.append((wide * tall, wide, tall + _TITLE_MM, Scale(number, words, (), ())))
    found: list[tuple[float, int, Detail]] = []
    largest = math.inf
    for area, wide, tall, scale in sorted(sizes, key=lambda size: size[0]):
        if area > largest or (
            len(found) >= _OPTIONS and area > sorted(found, key=lambda option: option[:2])[_OPTIONS - 1][0]
        ):
            break
        detail = Detail(part, seen.centre, Field(0.0, 0.0, wide, tall, 0.0), scale, len(crowd.points))
        inner = _inner(board, detail)
        again(inner)
        if not inner.unseen and not inner.labels.lost:
            price = _LEADER_MM2 * inner.labels.leaders + _CROSSED_MM2 * inner.labels.crossed
            found.append((area + price, len(found), replace(detail, crossed=inner.labels.crossed)))
            largest = min(largest, math.inf if inner.labels.crossed else _AS_LARGE * area)
    return [detail for _, _, detail in sorted(found, key=lambda option: option[:2])[:_OPTIONS]]


def _moved(board: Board, crowd: Crowd, options: Sequence[Detail]) -> list[Detail]:
    """The options for a board on which the drawing lies elsewhere."""
    part = _page(board, crowd.points, _ROUND_MM)
    centre = _page(board, (*crowd.points, *crowd.more)).centre
    return [replace(detail, part=part, centre=centre) for detail in options]


def _place(board: Board, wanted: Sequence[Sequence[Detail]], plan: Plan, away: float) -> list[Detail]:
    """A frame for each part, as many as there is room for, each near its part."""
    legs = [box_of_segment(board.at(leg.start), board.at(leg.end), 2.0 * away) for leg in plan.design.legs]
    parts = [_box(options[0].part, 6.0) for options in wanted if options]
    order = sorted((options for options in wanted if options), key=lambda options: -min(map(_area, options)))
    tall = sorted(order, key=lambda options: -min(detail.frame.height for detail in options))
    many = sorted(order, key=lambda options: -options[0].marks)
    tries = (
        order,
        many,
        [options for options in wanted if options],
        [sorted(options, key=_small) for options in order],
        tall,
    )
    room = Room(board.field, [*legs, *parts, *board.placer.boxes(1.0)])
    found = [_fill(options, room, math.dist) for options in tries]
    if max(map(len, found)) < len(order):
        small = [sorted(options, key=_small) for options in many]
        found += [_fill(options, room, way) for options in (tall, small) for way in (_up, _left)]
    places = [options[0].part for options in wanted if options]
    best = min(
        found,
        key=lambda details: (
            -_marks(details),
            sum(d.crossed for d in details),
            sum(math.dist(d.part.centre, d.frame.centre) for d in details),
        ),
    )
    return sorted(best, key=lambda detail: places.index(detail.part))


def _marks(details: Sequence[Detail]) -> int:
    return sum(detail.marks for detail in details)


def _small(detail: Detail) -> tuple[int, float]:
    return detail.crossed, _area(detail)


def _area(detail: Detail) -> float:
    return detail.frame.width * detail.frame.height


def _up(p: XY, part: XY) -> tuple[float, float]:
    return (p[1], abs(p[0] - part[0]))


def _left(p: XY, part: XY) -> tuple[float, float]:
    return (p[0], abs(p[1] - part[1]))


def _fill(wanted: Sequence[Sequence[Detail]], room: Room, way: Way) -> list[Detail]:
    """Frames one after the other, each at the free spot that is the first in a ``way`` of looking from its part."""
    found: list[Detail] = []
    for options in wanted:
        for detail in options:
            frame = _spot(detail, room, found, way)
            if frame is not None:
                found.append(replace(detail, frame=frame))
                break
    return found


def _spot(detail: Detail, room: Room, others: Sequence[Detail], way: Way) -> Field | None:
    """The first frame that touches nothing, or None."""
    wide, tall = detail.frame.width / 2, detail.frame.height / 2
    free = [p for p in room.spots(wide, tall) if all(_apart(p, wide, tall, o.frame) >= 4.0 for o in others)]
    if not free:
        return None
    x, y = min(free, key=lambda p: way(p, detail.part.centre))
    return Field(x - wide, y - tall, x + wide, y + tall, 0.0)


def _apart(p: XY, wide: float, tall: float, frame: Field) -> float:
    """How far apart a frame round a point and another one are, across or down; less than 0 where they overlap."""
    (x, y), half, rise = frame.centre, frame.width / 2, frame.height / 2
    return max(abs(p[0] - x) - wide - half, abs(p[1] - y) - tall - rise)
