"""The web of what was measured, lightly on the fence plan: tapes, ties and corners, and how well points are known."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence

from palewright.boundary import ring_sides
from palewright.draw.board import NOTE_MM, Board
from palewright.draw.network_sheet import doubted_readings, readings, shown_fit
from palewright.draw.notes import shows_web
from palewright.draw.scene import Line
from palewright.draw.string_marks import ring_spots
from palewright.draw.symbols import READING_DASH, READING_MM, struck_sign
from palewright.draw.words import Words, short
from palewright.model import Plan, Survey
from palewright.plane import segment_distance

__all__ = ["draw_web", "name_web", "thin_web", "within"]

XY = tuple[float, float]

_ID = "measured "
_ALONG_MM = 1.0
_NEAR_MM = 1.8
_MOSTLY = 0.7
_SOME = 0.4
_CORNER_MM = 4.5
_LEAST_MM = 3.0
_EXACT_M = 1e-4


def draw_web(board: Board, plan: Plan, words: Words) -> None:
    """A thin line for every reading that does not run along the fence, a side or a wall; drawn under all of these."""
    survey = plan.site.survey
    if survey is None or not shows_web(plan) or board.only is not None:
        return
    drawn = list(_drawn(board, plan))
    doubted = doubted_readings(survey)
    for tape in readings(survey, words):
        k = int(tape.kind.split()[1])
        name = f"{_ID}{k + 1}"
        if survey.network.observations[k].kind == "angle":
            _corner(board, survey, tape.names, name)
            continue
        a, b = (board.at(p) for p in tape.line)
        if math.dist(a, b) < _LEAST_MM or _share(a, b, drawn, _ALONG_MM) > _MOSTLY:
            continue
        board.chain((a, b), "check", weight=2.0, crossing=0.5, stroke_mm=READING_MM, dash=READING_DASH, id=name)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if k in doubted and board.shows(middle, 2.0):
            struck_sign(board, middle, math.atan2(b[1] - a[1], b[0] - a[0]), id=name)


def thin_web(board: Board) -> None:
    """Leave out the lines that run along a dimension string."""
    strings = [(p.a, p.b) for p in board.primitives if isinstance(p, Line) and p.layer == "dimension"]
    strings = [ends for ends in strings if math.dist(*ends) > _LEAST_MM]
    gone = {
        p.id
        for p in board.primitives
        if isinstance(p, Line) and p.dash == READING_DASH and p.id.startswith(_ID)
        if any(_share(*_shorter((p.a, p.b), ends), _NEAR_MM) > _SOME for ends in strings)
    }
    board.primitives[:] = [p for p in board.primitives if not (isinstance(p, Line) and p.id in gone)]


def within(plan: Plan, words: Words) -> dict[str, str]:
    """Plus or minus, 19 times in 20, of every point that the readings place, by its name."""
    survey = plan.site.survey
    if survey is None or not shows_web(plan):
        return {}
    from palewright.survey import ELLIPSE_95

    read = {name for tape in readings(survey, words) for name in tape.names}
    sizes = {fit.name: ELLIPSE_95 * fit.semi_major for fit in shown_fit(survey).points if fit.semi_major > _EXACT_M}
    return {name: words("within", off=words.spread(size)) for name, size in sizes.items() if name in read}


def name_web(board: Board, plan: Plan, said: Mapping[str, str]) -> None:
    """What :func:`within` says, at the points that have no name on the sheet of their own, with their name."""
    things = {point.name for point in plan.site.points if point.how == "thing"}
    at = {fit.name: board.at(fit.xy) for fit in shown_fit(plan.site.survey).points} if plan.site.survey else {}
    for name, text in said.items():
        if name not in things and board.names(at[name], 2.0):
            lines = [f"{short(name, 20)} {text}"]
            half, rise = board.block(lines, NOTE_MM)
            board.label(lines, at[name], ring_spots(at[name], half, rise), role="measured", id=name,
                        reach=(7.0, 10.0, 13.0), most=100.0)  # fmt: skip


def _corner(board: Board, survey: Survey, names: Sequence[str], id: str) -> None:
    """A small arc between the arms of a corner that was measured."""
    places = {fit.name: board.at(fit.xy) for fit in shown_fit(survey).points}
    a, c, b = (places[name] for name in names)
    start = math.atan2(c[1] - a[1], a[0] - c[0])
    sweep = math.remainder(math.atan2(c[1] - b[1], b[0] - c[0]) - start, math.tau)
    board.bow(c, _CORNER_MM, start, sweep, "check", weight=2.0, stroke_mm=READING_MM, dash=READING_DASH, id=id)


def _drawn(board: Board, plan: Plan) -> Iterator[tuple[XY, XY]]:
    """The lines of the plan along which no reading is drawn, on the page."""
    for leg in plan.design.legs:
        yield board.at(leg.start), board.at(leg.end)
    for side in ring_sides(plan.site.ring) if plan.site.ring is not None else ():
        if not side.sweep:
            yield board.at(side.a), board.at(side.b)
    for _, ring in plan.site.buildings:
        for a, b in itertools.pairwise((*ring, ring[0])):
            yield board.at(a), board.at(b)


def _share(a: XY, b: XY, lines: Sequence[tuple[XY, XY]], near: float) -> float:
    """How much of a line lies within ``near`` of others."""
    spots = [(a[0] + (b[0] - a[0]) * k / 16, a[1] + (b[1] - a[1]) * k / 16) for k in range(17)]
    return sum(any(segment_distance(p, *line) < near for line in lines) for p in spots) / len(spots)


def _shorter(one: tuple[XY, XY], other: tuple[XY, XY]) -> tuple[XY, XY, list[tuple[XY, XY]]]:
    short, long = sorted((one, other), key=lambda ends: math.dist(*ends))
    return (*short, [long])
