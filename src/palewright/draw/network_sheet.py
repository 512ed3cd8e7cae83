"""The sheet of what was measured: every reading with its number, what is doubted, and how well each point stands."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.notes import plan_notes
from palewright.draw.sheets import Choice, Draft, boards_for, closest, occupy_heading
from palewright.draw.site import draw_site
from palewright.draw.string_marks import ring_spots
from palewright.draw.symbols import TIE_DASH
from palewright.draw.table import Row
from palewright.draw.tapes import Tape, draw_numbers
from palewright.draw.words import Words, short
from palewright.model import NetFit, Observation, Plan, PointFit, Survey
from palewright.notation import show_small_angle
from palewright.plane import add, along, project, scale, sub, unit

__all__ = ["doubted_readings", "ellipse_note", "giants", "network_drafts", "readings", "shown_fit", "stretch"]

XY = tuple[float, float]

_LARGEST_MM = 7.0
_DOUBTED_MM = 0.9
_POINT_MM = 0.8
_NAMES_MM = (1.6, 3.2, 5.5, 8.0)
_GIANT = 20.0
_EXACT_M = 1e-6
_MOST_NAMED = 4
_NINETEEN = 2.4477
"""95 of 100 places lie within so many standard deviations of an ellipse (two degrees of freedom, sigma known)."""
_SMALLER = 2.0
"""The table stands beside the drawing as long as this does not get smaller than so many times for it."""
_ORDER = (
    "distance", "angle", "azimuth", "direction", "on line", "offset", "along", "parallel", "east", "north"
)  # fmt: skip
_LENGTHS = ("distance", "along", "offset", "on line", "east", "north")


def network_drafts(plan: Plan, words: Words) -> list[Draft]:
    """The sheet of the measurements; none where nothing was measured."""
    survey = plan.site.survey
    if survey is None or len(survey.adjusted.points) < 2:
        return []
    tapes = readings(survey, words)
    spots = [fit.xy for fit in shown_fit(survey).points]
    rows = tuple(tape.row for tape in tapes)
    extra: tuple[str, ...] = ()
    choice = _closest(plan, words, spots, rows, extra)
    bare = _closest(plan, words, spots, (), (words("readings_elsewhere"),))
    if choice.scale.denominator > _SMALLER * bare.scale.denominator:  # the table would crowd out the drawing
        choice, rows, extra = bare, (), (words("readings_elsewhere"),)
    times = stretch(survey, choice.scale.denominator)
    sized = ellipse_note(survey, choice.scale.denominator, words)
    notes = plan_notes(plan, words, "network", (*((sized,) if sized else ()), *extra), table=rows)
    (board,) = boards_for(choice, notes)
    occupy_heading(board, notes)
    _draw(board, plan, survey, tapes, times)
    slug = "alt_network" if rows else "alt_network_alone"
    alt = words(slug, title=plan.settings.title, scale=choice.scale.words, readings=len(tapes))
    return [Draft(board, choice.layout, choice.scale, words("network"), "network", notes, alt, plan.settings.north)]


def _closest(plan: Plan, words: Words, spots: Sequence[XY], rows: Sequence[Row], extra: tuple[str, ...]) -> Choice:
    """The sheet for the points beside the rows, with room for what is said of the ellipses."""
    assert plan.site.survey is not None
    notes = plan_notes(plan, words, "network", (_sized(words, plan.site.survey, 1000), *extra), table=tuple(rows))
    return closest(plan, notes, spots)[0]


def shown_fit(survey: Survey) -> NetFit:
    """The fit to show: without the readings that are known to be wrong; the whole where it is not known which are."""
    adjusted = survey.adjusted
    known = adjusted.without is not None and all(suspect.alone for suspect in adjusted.suspects)
    return adjusted.without if known and adjusted.without is not None else adjusted


def giants(survey: Survey) -> list[PointFit]:
    """The points whose ellipses are so much larger than those of the others that both cannot be drawn, largest first.

    One that a phone alone placed stands among tapes with an ellipse a thousand times theirs. No more than half of the
    points are such.
    """
    fits = sorted((fit for fit in shown_fit(survey).points if fit.semi_major > _EXACT_M), key=lambda f: -f.semi_major)
    for k in range(len(fits) // 2, 0, -1):
        if fits[k - 1].semi_major > _GIANT * fits[k].semi_major:
            return fits[:k]
    return []


def stretch(survey: Survey, denominator: float) -> int:
    """How many times larger than true the ellipses are drawn: 1, 2 or 5 with noughts; 0 where there is none to draw."""
    left_out = {fit.name for fit in giants(survey)}
    drawn = (fit.semi_major for fit in shown_fit(survey).points if fit.name not in left_out)
    largest = max(drawn, default=0.0) * 1000.0 / denominator
    if largest <= 0.0:
        return 0
    room = _LARGEST_MM / largest
    power = 10.0 ** math.floor(math.log10(room)) if room >= 1.0 else 1.0
    return int(max(step * power for step in (1, 2, 5) if step == 1 or step * power <= room))


def readings(survey: Survey, words: Words) -> list[Tape]:
    """Every reading as a numbered line with its row; what was assumed is left out, and a straight line of a walk that
    nobody doubts."""
    places = {fit.name: fit.xy for fit in shown_fit(survey).points}
    rows: list[Tape] = []
    order, doubted = {kind: k for k, kind in enumerate(_ORDER)}, doubted_readings(survey)
    listed = sorted(enumerate(survey.network.observations), key=lambda item: order[item[1].kind])
    for k, o in listed:
        if (
            o.source == "assumed"
            or not all(name in places for name in o.points)
            or (o.kind == "angle" and o.side and not o.words and k not in doubted)
        ):
            continue
        line = _line(o, [places[name] for name in o.points])
        section = words("measured_" + o.kind.replace(" ", "_"))
        text = " – ".join(short(name, 22) for name in o.points)
        lines = (text,) if len(text) <= 30 else tuple(_halves([short(name, 22) for name in o.points]))
        figure = words.length(o.value) if o.kind in _LENGTHS else f"{math.degrees(o.value):.2f}°"
        row = Row(section, str(len(rows) + 1), (*lines, _fits(survey, k, o, words)), figure)
        rows.append(Tape(f"reading {k}", line, o.points, row))
    return rows


def _halves(names: Sequence[str]) -> list[str]:
    return [f"{names[0]} –", " – ".join(names[1:])]


def _fits(survey: Survey, k: int, o: Observation, words: Words) -> str:
    """How far the rest would have it otherwise, in words."""
    fit = shown_fit(survey).fits[k]
    if k not in doubted_readings(survey) and fit.test is None:
        return words("reading_unchecked")
    off = -fit.residual
    said = words.spread(abs(off)) if o.kind in _LENGTHS else show_small_angle(abs(off))
    if said in (words.spread(0.0), show_small_angle(0.0)):
        return words("reading_fits")
    key = "reading_doubted" if k in doubted_readings(survey) else "reading_off"
    return words(key, off=f"{'+' if off > 0.0 else '−'}{said}")


def doubted_readings(survey: Survey) -> set[int]:
    """Numbers of the readings that are wrong, or of which one is."""
    found = {suspect.index for suspect in survey.adjusted.suspects}
    return found | {k for suspect in survey.adjusted.suspects for k in suspect.among}


def _line(o: Observation, at: Sequence[XY]) -> tuple[XY, XY]:
    """The line on the drawing that a reading is written on."""
    if o.kind in ("offset", "on line"):
        return at[0], _foot(at[0], at[1], at[2])
    if o.kind == "along":
        return at[1], _foot(at[0], at[1], at[2])
    if o.kind == "angle":
        arm = min(math.dist(at[0], at[1]), math.dist(at[1], at[2])) * 0.3
        return along(at[1], at[0], arm), along(at[1], at[2], arm)
    if o.kind == "parallel":
        middle = ((at[0][0] + at[1][0]) / 2, (at[0][1] + at[1][1]) / 2)
        return middle, ((at[2][0] + at[3][0]) / 2, (at[2][1] + at[3][1]) / 2)
    return at[0], at[-1]


def _foot(p: XY, a: XY, b: XY) -> XY:
    """Foot of a point on the line through two others."""
    return add(a, scale(unit(sub(b, a)), project(p, a, b)[0]))


def _draw(board: Board, plan: Plan, survey: Survey, tapes: Sequence[Tape], times: int) -> None:
    draw_site(board, plan, light=True)
    doubted = doubted_readings(survey)
    for tape in tapes:
        strong = int(tape.kind.split()[1]) in doubted
        ends = (board.at(tape.line[0]), board.at(tape.line[1]))
        style = {"stroke_mm": _DOUBTED_MM} if strong else {"stroke_mm": 0.2, "dash": TIE_DASH}
        board.chain(ends, "check", weight=12.0, crossing=3.0, id=f"reading {tape.row.number}", **style)
    names = {name for m in tapes for name in m.names}
    left_out = {fit.name for fit in giants(survey)}
    for fit in shown_fit(survey).points:
        spot = board.at(fit.xy)
        if times and fit.semi_major > 0.0 and fit.name not in left_out:
            ring = _ellipse(board, fit, times)
            board.chain(ring, "check", closed=True, weight=5.0, crossing=0.5, stroke_mm=0.3, id=f"ellipse {fit.name}")
        if fit.name in names:
            board.disc(spot, _POINT_MM, "check", 20.0, fill="#000000", stroke_mm=0.1, id=f"point {fit.name}")
    for fit in shown_fit(survey).points:
        if fit.name in names:
            spot = board.at(fit.xy)
            text = [short(fit.name, 22)]
            half, rise = board.block(text, NOTE_MM)
            board.label(text, spot, ring_spots(spot, half, rise, _NAMES_MM), role="thing", id=fit.name)
    draw_numbers(board, tapes, one_line=True)


def ellipse_note(survey: Survey, denominator: float, words: Words) -> str:
    """What is said under a drawing at a scale of 1:``denominator`` of its ellipses; "" where it has none."""
    times = stretch(survey, denominator)
    return _sized(words, survey, times) if times else ""


def _sized(words: Words, survey: Survey, times: int) -> str:
    """What the ellipses are, how large they are drawn, and which are not."""
    size = words("ellipses_true") if times == 1 else words("ellipses_times", times=times)
    note, big = words("ellipses_note", size=size), giants(survey)
    if not big:
        return note
    named = [f"{short(fit.name, 22)} (± {words.spread(_NINETEEN * fit.semi_major)})" for fit in big[:_MOST_NAMED]]
    points = ", ".join(named) + (", …" if len(big) > _MOST_NAMED else "")
    return f"{note} {words('ellipses_left_out', points=points)}"


def _ellipse(board: Board, fit: PointFit, times: int) -> list[XY]:
    """The standard ellipse of a point, so many times larger than true."""
    c, s = math.cos(fit.tilt), math.sin(fit.tilt)
    points = []
    for k in range(48):
        t = 2.0 * math.pi * k / 48
        u, v = fit.semi_major * times * math.cos(t), fit.semi_minor * times * math.sin(t)
        points.append(board.at((fit.xy[0] + u * s + v * c, fit.xy[1] + u * c - v * s)))
    return points
