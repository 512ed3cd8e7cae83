"""The tapes that prove a stake-out: a number in a circle on each, and a row of the table for each number."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.draw.board import NOTE_MM, Board, clip_chain
from palewright.draw.palette import PAPER
from palewright.draw.place import HARD, Box, box_of_segment
from palewright.draw.symbols import CHECK_DASH, TIE_DASH
from palewright.draw.table import NUMBER_MM, Row
from palewright.draw.words import Words, short
from palewright.model import CornerCheck, Plan, StringLine, Tie
from palewright.plane import along, segment_distance
from palewright.record import Record

__all__ = ["Tape", "all_tapes", "draw_lines", "draw_numbers", "places"]

XY = tuple[float, float]

_CLEAR_MM = NUMBER_MM + 0.6
_FOOT_MM = 0.9
_TRIES = sorted((k / 32 for k in range(1, 32)), key=lambda t: abs(t - 0.5))


class Tape(Record):
    """One tape as it lies in the world [m]. ``kind``: "tie", "triangle" or "diagonal".

    corner
        of a triangle: where its strings cross, its legs run from there to the ends of ``line``. names: what stands at
        the ends. row: what the table says.
    """

    kind: str
    line: tuple[XY, XY]
    names: tuple[str, ...]
    row: Row
    corner: XY | None = None


def places(plan: Plan) -> dict[str, XY]:
    """Every place that a tape may be held at: points, corners of the property, posts."""
    found = {point.name: point.xy for point in plan.site.points}
    if plan.site.ring is not None:
        found |= {corner.name: corner.xy for corner in plan.site.ring.corners}
    return found | {post.label: post.xy for post in plan.design.posts}


def all_tapes(plan: Plan, words: Words) -> list[Tape]:
    """Tapes from what stands, then the triangles, then the diagonals, numbered through; whole legs are on the plan."""
    found = places(plan)
    ties = [tie for tie in plan.stakeout.ties if tie.start in found and tie.end in found and tie.why != "overall"]
    out = [_tie(plan, found, tie, words) for tie in ties if tie.why == "tie"]
    out += [tape for check in plan.stakeout.checks if (tape := _triangle(plan, check, words)) is not None]
    out += [_tie(plan, found, tie, words) for tie in ties if tie.why != "tie"]
    return [
        Tape(t.kind, t.line, t.names, Row(t.row.section, str(k + 1), t.row.lines, t.row.figure), t.corner)
        for k, t in enumerate(out)
    ]


def _tie(plan: Plan, found: dict[str, XY], tie: Tie, words: Words) -> Tape:
    labels = {post.label for post in plan.design.posts if post.number}
    ends = [words("post", post=name) if name in labels else short(name, 24) for name in (tie.start, tie.end)]
    text = " – ".join(ends)
    lines = (text,) if len(text) <= 26 else (f"{ends[0]} –", ends[1])
    kind = "tie" if tie.why == "tie" else "diagonal"
    row = Row(words("tapes_" + kind), "", lines, words.length(tie.length_m))
    return Tape(kind, (found[tie.start], found[tie.end]), (tie.start, tie.end), row)


def _triangle(plan: Plan, check: CornerCheck, words: Words) -> Tape | None:
    """The tape across a corner from leg end to leg end, on the sides of the crossing where it has its length."""
    strings = {string.name: string for string in plan.stakeout.strings}
    corner = next((c.xy for c in plan.stakeout.crossings if (c.post, c.strings) == (check.post, check.strings)), None)
    if corner is None or not all(name in strings for name in check.strings):
        return None
    arms = [_arms(strings[name], corner, leg) for name, leg in zip(check.strings, check.legs_m, strict=True)]
    pairs = [
        (abs(math.dist(a[0], b[0]) - check.diagonal_m) > 0.01, -a[1] - b[1], a, b) for a in arms[0] for b in arms[1]
    ]
    _, _, a, b = min(pairs)
    lines = [words("triangle", post=check.post)]
    for name, leg, arm in zip(check.strings, check.legs_m, (a, b), strict=True):
        lines.append(words("leg", string=short(name), leg=words.length(leg), stake=arm[2]))
    row = Row(words("tapes_triangle"), "", tuple(lines), words.length(check.diagonal_m))
    return Tape("triangle", (a[0], b[0]), (check.post,), row, corner)


def _arms(string: StringLine, corner: XY, leg: float) -> list[tuple[XY, float, str]]:
    """Both ways along a string: end of the leg, how far the stake that way is, its label."""
    stakes = [(stake.xy, math.dist(stake.xy, corner), stake.label) for stake in string.stakes]
    return [(along(corner, xy, leg), far, label) for xy, far, label in stakes if far > 1e-9]


def draw_lines(board: Board, tapes: Sequence[Tape]) -> None:
    """The tapes: dash and dot between posts and points, dashed across a corner with its legs drawn strong."""
    for tape in tapes:
        ends = (board.at(tape.line[0]), board.at(tape.line[1]))
        triangle = tape.corner is not None
        name = f"{'corner ' if triangle else ''}{' '.join(tape.names)}"
        board.chain(ends, "check", stroke_mm=0.25 if triangle else 0.2, dash=CHECK_DASH if triangle else TIE_DASH,
                    weight=12.0, crossing=3.0, id=name)  # fmt: skip
        if tape.corner is not None:
            corner = board.at(tape.corner)
            for end in ends:
                board.chain((corner, end), "check", stroke_mm=0.5, id=name)
                board.disc(end, 0.6, "check", 12.0, fill="#000000", stroke_mm=0.1, id=name)


def draw_numbers(board: Board, tapes: Sequence[Tape], one_line: bool = False) -> list[Tape]:
    """A number in a circle on every tape, where no other tape is near. Returns the tapes that had no such place.

    ``one_line``: tapes that lie along one line may be near each other; the table alone tells them apart.
    """
    lines = [(board.at(tape.line[0]), board.at(tape.line[1])) for tape in tapes]
    crowded = []
    for k, tape in enumerate(tapes):
        others = [line for n, line in enumerate(lines) if n != k and not (one_line and _one_line(line, lines[k]))]
        parts = clip_chain(lines[k], board.window)
        if not parts or not _number(board, tape, (parts[0][0], parts[0][1]), others):
            crowded.append(tape)
    return crowded


def _one_line(one: tuple[XY, XY], other: tuple[XY, XY]) -> bool:
    """Whether two tapes lie along one line: the table tells them apart, not their place."""
    a, b = other
    return all(segment_distance(p, a, b) < 0.1 for p in one) or all(segment_distance(p, *one) < 0.1 for p in other)


def _number(board: Board, tape: Tape, line: tuple[XY, XY], others: Sequence[tuple[XY, XY]]) -> bool:
    """The cheapest place on the tape, else beside it on a leader that ends in a dot on it; whether there was one.

    A tape alone on its sheet always has one.
    """
    best: tuple[float, XY, XY | None] = (math.inf, (0.0, 0.0), None)
    limit = HARD / 4 if others else math.inf
    for price, spot, foot in itertools.chain(_on(line, others), _beside(line, others)):
        if price < best[0]:
            cost = board.placer.cost(Box(spot[0], spot[1], 1.0, 0.0, NUMBER_MM + 0.3, NUMBER_MM + 0.3), limit)
            if foot is not None and cost < limit:
                # what stands at the foot is what the tape is held at
                start = along(foot, spot, 2.2)
                cost += board.placer.cost(box_of_segment(start, spot, 0.2), limit, leader=True)
            if cost < limit and price + cost / 4 < best[0]:
                best = (price + cost / 4, spot, foot)
    _, spot, foot = best
    if best[0] == math.inf:
        return False
    if foot is not None:
        board.chain((foot, spot), "check", stroke_mm=0.13, weight=HARD / 4, id=f"number {tape.row.number}")
        board.disc(foot, 0.5, "check", fill="#000000", stroke_mm=0.1, id=f"number {tape.row.number}")
    board.disc(spot, NUMBER_MM, "check", HARD, fill=PAPER, stroke_mm=0.3, id=f"number {tape.row.number}")
    board.write(tape.row.number, spot, NOTE_MM, "middle", weight="bold", role="tape", halo=False, middle=True,
                taken=False, id=f"number {tape.row.number}")  # fmt: skip
    return True


def _free(p: XY, others: Sequence[tuple[XY, XY]], least: float) -> bool:
    return all(segment_distance(p, a, b) >= least for a, b in others)


def _on(line: tuple[XY, XY], others: Sequence[tuple[XY, XY]]) -> list[tuple[float, XY, XY | None]]:
    spots = [(_at(line, t), 20.0 * abs(t - 0.5)) for t in _TRIES]
    return [(price, p, None) for p, price in spots if _free(p, others, _CLEAR_MM)]


def _beside(line: tuple[XY, XY], others: Sequence[tuple[XY, XY]]) -> list[tuple[float, XY, XY | None]]:
    a, b = line
    length = math.dist(a, b)
    if length < 1e-6:
        return []
    out: list[tuple[float, XY, XY | None]] = []
    for t in _TRIES:
        foot = _at(line, t)
        if not _free(foot, others, _FOOT_MM):
            continue
        for far, side, lean in itertools.product((6.0, 8.5, 12.0, 16.0), (1.0, -1.0), (0.0, 0.6, -0.6)):
            turn = math.atan2(b[1] - a[1], b[0] - a[0]) + side * math.pi / 2 + lean
            spot = (foot[0] + far * math.cos(turn), foot[1] + far * math.sin(turn))
            if _free(spot, others, _CLEAR_MM):
                out.append((20.0 + 2.0 * far + 10.0 * abs(t - 0.5) + 3.0 * abs(lean), spot, foot))
    return out


def _at(line: tuple[XY, XY], t: float) -> XY:
    (ax, ay), (bx, by) = line
    return (ax + (bx - ax) * t, ay + (by - ay) * t)
