"""Words of runs of wire on the plan: labels and angles of assemblies, gates, lengths of legs, running stations."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from palewright.draw.board import LABEL_MM, NOTE_MM, Board, clip_chain, readable
from palewright.draw.fonts import text_width
from palewright.draw.labels import Option
from palewright.draw.line import places_of, stations
from palewright.draw.palette import PAPER
from palewright.draw.place import HARD, box_of_text
from palewright.draw.words import Words, short
from palewright.model import Assembly, LineGate, LineLeg, LinePlan, Plan
from palewright.notation import show_angle

__all__ = ["line_notes", "name_corners", "name_lines"]

XY = tuple[float, float]
_MOST_LABELS = 2_000
_SHORT_LEG_MM = 14.0
_TURNS = tuple(math.radians(45.0 * k) for k in (6, 2, 0, 4, 1, 3, 5, 7))
_WHAT = {"": "wire_gate", "floodgate": "wire_floodgate", "cattle guard": "wire_cattle_guard"}
_SEEN = math.radians(0.5)


def line_notes(plan: Plan, words: Words) -> Iterator[str]:
    """What a plan says of its wire in words: its side, and how its lengths are measured."""
    for line in plan.lines:
        side = line.rules.wire_side
        key = "wire_side" if side else "wire_side_ask"
        yield words(key, run=short(line.run), side=short(side, 60))
    if any(line.profile is not None for line in plan.lines):
        yield words("wire_level")


def name_corners(board: Board, plan: Plan) -> None:
    """Labels of ends and corners alone, for an overview."""
    for line in plan.lines:
        for one in line.assemblies:
            if one.role in ("end", "corner"):
                _beside(board, [one.label], board.at(one.posts[0].xy), "bold")


def name_lines(board: Board, plan: Plan, words: Words) -> None:
    """Words of every run: what is needed most first, as long as there are few enough to be read."""
    metric = plan.settings.print_style == "metric"
    for line in plan.lines:
        place = places_of(line)
        if len(line.assemblies) <= _MOST_LABELS:
            for assembly in line.assemblies:
                _assembly(board, assembly)
            for post in line.fixed:
                if post.role == "stiff":
                    _beside(board, [post.label], board.at(post.xy), "bold")
        for gate in line.gates:
            _gate(board, place, gate, words)
        for leg in line.legs:
            _leg(board, place, leg, words)
        if board.only is None:
            _miles(board, line, metric, words)
            _stations(board, line, metric)


def _assembly(board: Board, one: Assembly) -> None:
    xy = next(post.xy for post in one.posts if post.role != "brace")
    bent = one.role in ("corner", "anchor") and abs(one.turn) > _SEEN
    lines = [one.label, show_angle(round(math.pi - abs(one.turn), 4))] if bent else [one.label]
    _beside(board, lines, board.at(xy), "bold")


def _beside(board: Board, lines: Sequence[str], centre: XY, weight: str) -> None:
    if not board.names(centre):
        return
    half, rise = board.block(lines, LABEL_MM, weight)
    spots = [
        ((centre[0] + math.cos(t) * (half + gap), centre[1] + math.sin(t) * (rise + gap)), k * 0.5 + gap)
        for gap in (1.6, 3.2)
        for k, t in enumerate(_TURNS)
    ]
    board.label(lines, centre, spots, LABEL_MM, weight, "assembly-label", 0.35, 0.8, id=lines[0])


def _gate(board: Board, place: Callable[[float], XY], gate: LineGate, words: Words) -> None:
    a, b = (board.at(place(station)) for station in (gate.from_m, gate.to_m))
    centre = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if not board.names(centre):
        return
    name, what = short(gate.name, 28), words(_WHAT[gate.what])
    said = name if what.lower() in name.lower() else f"{what} {name}"
    lines = [said, words("opening", opening=words.length(gate.opening_m))]
    half, rise = board.block(lines, NOTE_MM, "bold")
    spots = [
        ((centre[0] + math.cos(t) * (half + gap), centre[1] + math.sin(t) * (rise + gap)), k * 0.5 + gap)
        for gap in (5.0, 8.0, 12.0)
        for k, t in enumerate(_TURNS)
    ]
    board.label(lines, centre, spots, weight="bold", role="gate", id=gate.name)


def _leg(board: Board, place: Callable[[float], XY], leg: LineLeg, words: Words) -> None:
    """The length of a leg along it, where it is long enough on the page to carry it."""
    ends = (board.at(place(leg.from_m + 1e-6)), board.at(place(leg.to_m - 1e-6)))
    seen = clip_chain(ends, board.window) if board.clipped else [list(ends)]
    if not seen or math.dist(*ends) < _SHORT_LEG_MM:
        return
    a, b = seen[0]
    text = words.length(leg.to_m - leg.from_m)
    width, length = text_width(text, NOTE_MM), math.dist(a, b)
    if width > length or not board.names(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)):
        return
    angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))

    def options() -> Iterator[Option]:
        for far in (1.4, 5.0):
            for rise in (far, -far - NOTE_MM * 0.72):
                for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
                    at = (a[0] + (b[0] - a[0]) * t + up[0] * rise, a[1] + (b[1] - a[1]) * t + up[1] * rise)
                    yield ((box_of_text(at, width, NOTE_MM, "middle", angle, 0.3),), far + abs(t - 0.5), at)

    def draw(at: XY) -> None:
        board.write(text, at, NOTE_MM, "middle", angle, "dimension", "regular", "dimension")

    board.labels.put(options, draw)


def _miles(board: Board, line: LinePlan, metric: bool, words: Words) -> None:
    """Mileage posts: a small diamond on the run, and its number."""
    place = places_of(line)
    for number, station in enumerate(line.miles_m, 1):
        x, y = board.at(place(station))
        if not board.names((x, y), 2.0):
            continue
        board.area(((x - 1.1, y), (x, y - 1.1), (x + 1.1, y), (x, y + 1.1)), "fence", fill=PAPER, stroke_mm=0.3)
        _beside(board, [words("kilometre" if metric else "mile", number=number)], (x, y), "regular")


def _stations(board: Board, line: LinePlan, metric: bool) -> None:
    """A tick across the run at round running stations, and its figure where there is room."""
    for centre, (u, v), text in stations(board, line, metric):
        if not board.names(centre, 2.0):
            continue
        board.chain(((centre[0] - u, centre[1] - v), (centre[0] + u, centre[1] + v)), "dimension", stroke_mm=0.25)
        half, rise = board.block([text], NOTE_MM)
        spots: list[tuple[XY, float]] = []
        for k, (side, gap) in enumerate(((1.0, 1.5), (-1.0, 1.5), (1.0, 4.0), (-1.0, 4.0))):
            away = gap + half * abs(u) + rise * abs(v)
            spots.append(((centre[0] + side * u * away, centre[1] + side * v * away), 1.0 + k))
        board.label([text], centre, spots, role="station", pad=0.2, layer="dimension", lead=False, most=HARD / 2)
