"""Runs of wire on the plan: their lines between openings, and a dot with a label at every braced assembly."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right

from palewright.draw.board import LABEL_MM, Board
from palewright.draw.palette import BLACK, FENCE
from palewright.draw.place import HARD
from palewright.model import LinePlan, Plan

__all__ = ["draw_lines", "line_points", "name_lines"]

XY = tuple[float, float]
_MOST_LABELS = 2_000
_DOT_MM = 0.8


def line_points(plan: Plan) -> list[XY]:
    """World points of runs of wire that should be on the drawing."""
    return [xy for line in plan.lines for xy in line.path]


def draw_lines(board: Board, plan: Plan, light: bool = False) -> None:
    """The wire of each run, open at its gates; a dot at each post that is pulled, unless it is drawn ``light``."""
    for line in plan.lines:
        for part in _parts(line):
            board.chain([board.at(xy) for xy in part], "fence", stroke_mm=0.25 if light else 0.7, colour=FENCE,
                        weight=HARD, crossing=24.0, id=line.run)  # fmt: skip
        for assembly in () if light else line.assemblies:
            for post in assembly.posts:
                if post.role != "brace":
                    board.disc(board.at(post.xy), _DOT_MM, "fence", HARD, fill=BLACK, stroke_mm=0.1, id=post.label)


def name_lines(board: Board, plan: Plan) -> None:
    """The label of each assembly beside it, as long as there are few enough to be read."""
    for line in plan.lines:
        if len(line.assemblies) > _MOST_LABELS:
            continue
        for assembly in line.assemblies:
            xy = next(post.xy for post in assembly.posts if post.role != "brace")
            centre = board.at(xy)
            if not board.names(centre):
                continue
            half, rise = board.block([assembly.label], LABEL_MM, "bold")
            turns = [math.radians(45.0 * k) for k in (6, 2, 0, 4, 1, 3, 5, 7)]
            spots = [
                ((centre[0] + math.cos(t) * (half + gap), centre[1] + math.sin(t) * (rise + gap)), k * 0.5 + gap)
                for gap in (1.6, 3.2)
                for k, t in enumerate(turns)
            ]
            board.label(
                [assembly.label], centre, spots, LABEL_MM, "bold", "assembly-label", 0.35, 0.8, id=assembly.label
            )


def _parts(line: LinePlan) -> list[list[XY]]:
    """The path cut at its gates."""
    at = list(itertools.accumulate((math.dist(a, b) for a, b in itertools.pairwise(line.path)), initial=0.0))

    def place(station: float) -> XY:
        k = min(max(bisect_right(at, station) - 1, 0), len(at) - 2)
        share = (station - at[k]) / (at[k + 1] - at[k])
        (ax, ay), (bx, by) = line.path[k], line.path[k + 1]
        return (ax + share * (bx - ax), ay + share * (by - ay))

    edges = [0.0, *(s for gate in line.gates for s in (gate.from_m, gate.to_m)), at[-1]]
    parts = []
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        if b - a > 1e-6:
            inner = line.path[bisect_right(at, a + 1e-6) : bisect_left(at, b - 1e-6)]
            parts.append([place(a), *inner, place(b)])
    return parts
