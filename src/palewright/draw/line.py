"""Runs of wire on the plan: wire between openings, what hangs in these, posts that are pulled, braces, stations."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import partial

from palewright.draw.board import Board
from palewright.draw.palette import BLACK, FENCE, PAPER
from palewright.draw.place import HARD
from palewright.draw.symbols import brace_sign, opening_sign
from palewright.draw.view import Extent
from palewright.model import LineGate, LinePlan, LinePost, Plan
from palewright.plane import XY, path_place, path_stations

__all__ = ["along_lines", "draw_lines", "line_key", "line_points", "places_of", "station_words", "stations"]

_DOT_MM = 0.8
_STIFF_MM = 0.9
_LEAST_SPAN_MM = 2.0
_LEAST_OPEN_MM = 4.0
_APART_MM = 22.0


def line_points(plan: Plan) -> list[XY]:
    """World points of runs of wire that should be on the drawing."""
    return [xy for line in plan.lines for xy in line.path]


def along_lines(plan: Plan, extents: Sequence[Extent]) -> list[Extent]:
    """Parts of a map in the order in which one walks along the runs of wire; the rest after them as they were."""
    found: list[Extent] = []
    for line in plan.lines:
        place = places_of(line)
        step = min((min(one.width, one.height) for one in extents), default=1.0) / 20.0
        for k in range(math.ceil(line.length_m / step) + 1):
            x, y = place(min(k * step, line.length_m))
            here = [one for one in extents if one.left <= x <= one.right and one.bottom <= y <= one.top]
            found += [one for one in here[:1] if one not in found]
    return found + [one for one in extents if one not in found]


def line_key(plan: Plan) -> tuple[str, ...]:
    """Names of the key for what runs of wire are drawn with."""
    made = []
    if plan.lines:
        made += ["pulled"]
        made += ["brace"] if any(assembly.diagonals for line in plan.lines for assembly in line.assemblies) else []
    if any(post.role == "stiff" for line in plan.lines for post in line.fixed):
        made.append("stiff")
    what = {gate.what for line in plan.lines for gate in line.gates}
    return (*made, *(key for key, name in _OPENINGS if name in what))


_OPENINGS = (("wire_gate", ""), ("floodgate", "floodgate"), ("cattle_guard", "cattle guard"))


def draw_lines(board: Board, plan: Plan, light: bool = False) -> None:
    """The wire of each run, open at its gates; with all that stands in it, unless it is drawn ``light``."""
    for line in plan.lines:
        for part in _parts(line):
            board.chain([board.at(xy) for xy in part], "fence", stroke_mm=0.25 if light else 0.7, colour=FENCE,
                        weight=HARD, crossing=24.0, id=line.run)  # fmt: skip
        if not light:
            _draw_held(board, line)


def _draw_held(board: Board, line: LinePlan) -> None:
    for assembly in line.assemblies:
        where = {post.label: board.at(post.xy) for post in assembly.posts}
        for foot, head in assembly.diagonals:
            if {foot, head} <= where.keys() and math.dist(where[foot], where[head]) > _LEAST_SPAN_MM:
                brace_sign(board, where[foot], where[head])
        for post in assembly.posts:
            if post.role != "brace":
                board.disc(where[post.label], _DOT_MM, "fence", HARD, fill=BLACK, stroke_mm=0.1, id=post.label)
    for post in line.fixed:
        _fixed(board, post)
    place = places_of(line)
    for gate in line.gates:
        _opening(board, place, gate)


def _opening(board: Board, place: Callable[[float], XY], gate: LineGate) -> None:
    """The sign of an opening between the dots of its posts; over them where it would not be seen."""
    a, b = (board.at(place(station)) for station in (gate.from_m, gate.to_m))
    centre, size = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), math.dist(a, b)
    if board.shows(centre):
        half = size / 2 - _DOT_MM - 0.3 if size > _LEAST_OPEN_MM else _LEAST_OPEN_MM / 2
        opening_sign(board, centre, half, math.atan2(a[1] - b[1], b[0] - a[0]), gate.what, gate.name)
        board.placer.add_line((a, b), HARD, thick=2.0)


def _fixed(board: Board, post: LinePost) -> None:
    if post.role == "stiff":
        board.disc(board.at(post.xy), _STIFF_MM, "fence", HARD, fill=PAPER, stroke_mm=0.35, id=post.label)


def station_words(line: LinePlan, mm_per_m: float, metric: bool) -> Iterator[tuple[float, str]]:
    """Round running stations [m] that stand far enough apart on the page, and their words."""
    unit = 25.0 if metric else 30.48
    steps = (1, 2, 4, 10, 20, 40, 100, 200, 400) if metric else (1, 2, 5, 10, 20, 50, 100, 200, 500)
    step = next((k for k in steps if k * unit * mm_per_m >= _APART_MM), steps[-1])
    for k in range(step, math.floor(line.length_m / unit - 0.05) + 1, step):
        hundreds, rest = divmod(k * 25, 1000) if metric else (k, 0)
        yield k * unit, f"{hundreds}+{rest:0{3 if metric else 2}d}"


def stations(board: Board, line: LinePlan, metric: bool) -> Iterator[tuple[XY, XY, str]]:
    """Round running stations outside openings: place, direction across the run, words."""
    place = places_of(line)
    for station, text in station_words(line, board.view.mm_per_m, metric):
        if any(gate.from_m <= station <= gate.to_m for gate in line.gates):
            continue
        a, b = (board.at(place(min(station + d, line.length_m))) for d in (-0.5, 0.5))
        size = math.dist(a, b) or 1.0
        yield board.at(place(station)), ((b[1] - a[1]) / size, (a[0] - b[0]) / size), text


def places_of(line: LinePlan) -> Callable[[float], XY]:
    """What gives the world point of a level station of a run [m]."""
    return partial(path_place, line.path, path_stations(line.path))


def _parts(line: LinePlan) -> list[list[XY]]:
    """The path cut at its gates."""
    at = path_stations(line.path)
    place = places_of(line)
    edges = [0.0, *(s for gate in line.gates for s in (gate.from_m, gate.to_m)), at[-1]]
    parts = []
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        if b - a > 1e-6:
            inner = line.path[bisect_right(at, a + 1e-6) : bisect_left(at, b - 1e-6)]
            parts.append([place(a), *inner, place(b)])
    return parts
