"""Dimension strings: each stretch between fixed posts, and each opening, as the tape says it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.draw.board import NOTE_MM, Board, readable
from palewright.draw.fence import outward
from palewright.draw.fonts import text_width
from palewright.draw.palette import BLACK
from palewright.draw.place import HARD, Box, box_of_segment, box_of_text
from palewright.draw.words import Words
from palewright.model import Bay, Leg, Plan

__all__ = ["Stretch", "draw_dimensions", "stretches"]

XY = tuple[float, float]

_SAME_M = 0.0015


@dataclass(frozen=True, slots=True)
class Stretch:
    """Neighbouring bays that read alike, or one opening: labels of its two posts, its words from long to short."""

    start: str
    end: str
    texts: tuple[str, ...]
    gate: bool


def stretches(plan: Plan, leg: Leg, words: Words) -> list[Stretch]:
    """The stretches of a leg: equal bays between fixed posts together, each opening alone."""
    roles = {post.label: post.role for post in plan.design.posts}
    bays = [plan.design.bays[number - 1] for number in leg.bays]
    groups: list[list[Bay]] = []
    for bay in bays:
        last = groups[-1][-1] if groups else None
        alike = last is not None and last.kind == bay.kind and abs(last.length_m - bay.length_m) < _SAME_M
        if last is not None and alike and bay.kind != "gate" and roles.get(bay.start) == "line":
            groups[-1].append(bay)
        else:
            groups.append([bay])
    if len(groups) > 6:
        groups = _coarser(groups, roles)
    return [_stretch(group, words) for group in groups]


def _coarser(groups: list[list[Bay]], roles: dict[str, str]) -> list[list[Bay]]:
    merged: list[list[Bay]] = []
    for group in groups:
        plain = group[0].kind != "gate" and merged and merged[-1][0].kind != "gate"
        if plain and roles.get(group[0].start) == "line":
            merged[-1] = [*merged[-1], *group]
        else:
            merged.append(list(group))
    return merged


def _stretch(group: list[Bay], words: Words) -> Stretch:
    first, last = group[0], group[-1]
    if first.kind == "gate":
        opening = words.length(first.clear_m)
        return Stretch(first.start, last.end, (words("opening", opening=opening), opening), True)
    total = words.length(sum(bay.length_m for bay in group))
    if len(group) == 1:
        return Stretch(first.start, last.end, (total,), False)
    low, high = min(b.length_m for b in group), max(b.length_m for b in group)
    if high - low >= _SAME_M:
        text = words("bays_range", count=len(group), low=words.length(low), high=words.length(high))
        return Stretch(first.start, last.end, (f"{text} = {total}", text), False)
    bay = words.length(first.length_m)
    return Stretch(
        first.start,
        last.end,
        (words("bays", count=len(group), bay=bay, total=total), words("bays_short", count=len(group), bay=bay)),
        False,
    )


def draw_dimensions(board: Board, plan: Plan, words: Words) -> None:
    """A dimension string beside every leg, outside the yard where there is room."""
    posts = {post.label: post for post in plan.design.posts}
    for leg in plan.design.legs:
        pieces = stretches(plan, leg, words)
        ends = [(board.at(posts[s.start].xy), board.at(posts[s.end].xy)) for s in pieces]
        seen = [(s, e) for s, e in zip(pieces, ends, strict=True) if board.shows(e[0]) or board.shows(e[1])]
        if seen:
            _string(board, leg, [s for s, _ in seen], [e for _, e in seen])


def _string(board: Board, leg: Leg, pieces: Sequence[Stretch], ends: Sequence[tuple[XY, XY]]) -> None:
    o, q = board.at((0.0, 0.0)), board.at(outward(leg))
    size = math.hypot(q[0] - o[0], q[1] - o[1])
    out = ((q[0] - o[0]) / size, (q[1] - o[1]) / size)
    candidates = (6.0, 8.5, 11.0, 14.0, -9.0, -12.0, -15.0, -18.0)
    lines = [[_moved(p, out, away) for p in (ends[0][0], *(e[1] for e in ends))] for away in candidates]
    scores = []
    for k, line in enumerate(lines):
        boxes = [box_of_segment(a, b, 0.3) for a, b in itertools.pairwise(line)]
        scores.append((boxes, 5.0 * k))
    found, _ = board.placer.best(scores)
    if found < 0:
        found = 0
    away, line = candidates[found], lines[found]
    for foot, end in zip((ends[0][0], *(e[1] for e in ends)), line, strict=True):
        gap = math.copysign(1.6, away)
        start = _moved(foot, out, gap)
        stop = _moved(end, out, math.copysign(1.0, away))
        board.chain((start, stop), "dimension", stroke_mm=0.13, weight=25.0)
        _tick(board, end, leg, out)
    board.chain((line[0], line[-1]), "dimension", stroke_mm=0.18, weight=60.0)
    side = 1.0 if away > 0 else -1.0
    for piece, (a, b) in zip(pieces, itertools.pairwise(line), strict=True):
        _figure(board, piece, a, b, (out[0] * side, out[1] * side))


def _moved(p: XY, direction: XY, by: float) -> XY:
    return (p[0] + direction[0] * by, p[1] + direction[1] * by)


def _tick(board: Board, p: XY, leg: Leg, out: XY) -> None:
    u = (-out[1], out[0])
    d = ((u[0] + out[0]) * 0.75, (u[1] + out[1]) * 0.75)
    board.chain(((p[0] - d[0], p[1] - d[1]), (p[0] + d[0], p[1] + d[1])), "dimension", stroke_mm=0.4)


def _figure(board: Board, piece: Stretch, a: XY, b: XY, out: XY) -> None:
    """The figure of one stretch: on its line, or farther out on a leader."""
    if not (board.clipped is False or board.shows(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))):
        parts = [t for t in (0.25, 0.75, 0.1, 0.9) if board.shows((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))]
        if not parts:
            return
    length = math.dist(a, b)
    angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))
    with_out = up[0] * out[0] + up[1] * out[1] > 0
    size = NOTE_MM
    options: list[tuple[str, XY, float, bool]] = []
    scores: list[tuple[tuple[Box, ...], float]] = []
    for n, text in enumerate(piece.texts):
        width = text_width(text, size)
        if width <= length - 1.0:
            for side in (1.0, -1.0):
                for t in (0.5, 0.35, 0.65, 0.25, 0.75):
                    outer = (side > 0) == with_out
                    rise = 1.15 if outer else -(0.75 + size * 0.714)
                    at = (a[0] + (b[0] - a[0]) * t + up[0] * rise, a[1] + (b[1] - a[1]) * t + up[1] * rise)
                    options.append((text, at, angle, False))
                    scores.append(((box_of_text(at, width, size, "middle", angle, 0.25),),
                                   4.0 * n + (0.0 if side > 0 else 2.0) + abs(t - 0.5)))  # fmt: skip
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    for n, text in enumerate(() if piece.gate else piece.texts):
        width = text_width(text, size)
        for level, far in enumerate((1.3, 5.0, 8.8, 12.6, -10.0, -14.0)):
            for shift in (0.0, 5.0, -5.0, 10.0, -10.0, 16.0, -16.0, 24.0, -24.0):
                rise = far if with_out else -(far + size * 0.714)
                centre = (middle[0] + along[0] * shift + up[0] * rise, middle[1] + along[1] * shift + up[1] * rise)
                options.append((text, centre, angle, level > 0 or abs(shift) > 4.0))
                scores.append(((box_of_text(centre, width, size, "middle", angle, 0.25),),
                               8.0 + 4.0 * level + 2.0 * n + abs(shift) / 4))  # fmt: skip
    order = sorted(range(len(options)), key=lambda k: scores[k][1])
    found, cost = board.placer.best(scores[k] for k in order)
    if found < 0 or cost >= HARD:
        return
    text, at, turn, leader = options[order[found]]
    if leader:
        box = scores[order[found]][0][0]
        foot = _nearest(box, middle)
        board.chain((middle, foot), "dimension", stroke_mm=0.13, weight=60.0)
    board.write(
        text, at, size, "middle", turn, "dimension", "bold" if piece.gate else "regular", "dimension", colour=BLACK
    )


def _nearest(box: Box, p: XY) -> XY:
    """The point of a rectangle nearest to ``p``."""
    dx, dy = p[0] - box.x, p[1] - box.y
    u = max(-box.half, min(box.half, dx * box.ux + dy * box.uy))
    v = max(-box.rise, min(box.rise, dy * box.ux - dx * box.uy))
    return (box.x + box.ux * u - box.uy * v, box.y + box.uy * u + box.ux * v)
