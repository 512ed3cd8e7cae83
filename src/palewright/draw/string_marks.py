"""Strings on a drawing: lines, stakes, crossings, zeros, and their words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import itemgetter

from palewright.draw.board import NOTE_MM, Board, clip_chain, readable
from palewright.draw.fonts import text_width
from palewright.draw.labels import Option
from palewright.draw.place import HARD, box_of_text
from palewright.draw.symbols import crossing_sign, stake_sign
from palewright.draw.words import Words, short
from palewright.model import Crossing, Plan, Stake, StringLine

__all__ = ["draw_strings", "name_crossing", "name_stakes", "name_string", "name_zero", "ring_spots"]

XY = tuple[float, float]


def draw_strings(board: Board, plan: Plan) -> None:
    """Strings, stakes, crossings and zero marks, without their words."""
    weight = HARD / 2 if board.only is None else HARD
    for string in plan.stakeout.strings:
        ends = tuple(board.at(stake.xy) for stake in string.stakes)
        board.chain(ends, "string", stroke_mm=0.35, weight=weight, crossing=12.0, id=string.name)
    for string in plan.stakeout.strings:
        for stake in string.stakes:
            if not stake.refused:
                stake_sign(board, board.at(stake.xy), id=stake.label)
    for crossing in plan.stakeout.crossings:
        crossing_sign(board, board.at(crossing.xy), id=f"{crossing.strings[0]} {crossing.strings[1]}")
    for string in plan.stakeout.strings:
        if string.zero != "crossing":
            _zero_mark(board, string)


def _zero_mark(board: Board, string: StringLine) -> None:
    """A short cross line where the tape is held."""
    p, a, b = board.at(string.zero_xy), board.at(string.start_xy), board.at(string.end_xy)
    length = math.dist(a, b)
    n = (-(b[1] - a[1]) / length * 1.6, (b[0] - a[0]) / length * 1.6)
    board.chain(((p[0] - n[0], p[1] - n[1]), (p[0] + n[0], p[1] + n[1])), "string", stroke_mm=0.5, weight=HARD)


def ring_spots(p: XY, half: float, rise: float, gaps: tuple[float, ...] = (1.6, 3.2, 5.5)) -> list[tuple[XY, float]]:
    """Places for a block of words round a point, nearest first, with their penalties."""
    spots = []
    for n, gap in enumerate(gaps):
        for k in range(12):
            c, s = math.cos(math.pi * k / 6 + 0.26), math.sin(math.pi * k / 6 + 0.26)
            reach = gap + min(half / max(abs(c), 1e-6), rise / max(abs(s), 1e-6))
            spots.append(((p[0] + c * reach, p[1] + s * reach), 2.0 * n + 0.01 * k))
    return spots


def name_stakes(board: Board, plan: Plan) -> None:
    """The label of every stake in the field."""
    seen: set[str] = set()
    for string in plan.stakeout.strings:
        for stake in string.stakes:
            if stake.label not in seen:
                seen.add(stake.label)
                _name_stake(board, stake)


def _name_stake(board: Board, stake: Stake) -> None:
    p = board.at(stake.xy)
    if stake.refused or not board.names(p):
        return
    half, rise = board.block([stake.label], 3.2, "bold")
    board.label([stake.label], p, ring_spots(p, half, rise), 3.2, "bold", "stake", 0.35, id=stake.label)


def name_crossing(board: Board, crossing: Crossing, strings: Sequence[StringLine], words: Words) -> None:
    """What both tapes read where two strings cross; past a re-zero mark, from the last one."""
    p = board.at(crossing.xy)
    if not board.names(p):
        return
    marks = {string.name: string.rezeros_m for string in strings}
    lines = []
    for name, reads in zip(crossing.strings, crossing.reads_m, strict=True):
        base = max((at for at in marks.get(name, ()) if at <= reads), default=0.0)
        lines.append(words("reads_rezero" if base else "reads", string=short(name), reads=words.length(reads - base)))
    half, rise = board.block(lines, 3.0, "bold")
    board.label(lines, p, ring_spots(p, half, rise, (2.0, 4.0, 7.0)), 3.0, "bold", "reading", 0.5,
                id=f"{crossing.strings[0]} {crossing.strings[1]}")  # fmt: skip


def name_zero(board: Board, string: StringLine, words: Words) -> None:
    """Where the tape of a string is held."""
    p = board.at(string.zero_xy)
    if not board.names(p):
        return
    text = (
        words("zero_wall", string=short(string.name))
        if string.zero == "wall"
        else words("zero", string=short(string.name))
    )
    half, rise = board.block([text], NOTE_MM)
    board.label([text], p, ring_spots(p, half, rise, (2.0, 4.0, 7.0)), role="reading", id=string.name)


def name_string(board: Board, string: StringLine, words: Words) -> None:
    """The name of a string along it, on the side that has room."""
    parts = clip_chain([board.at(stake.xy) for stake in string.stakes], board.window)
    if not parts:
        return
    a, b = parts[0]
    angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))
    name = short(string.name)
    long = words("string_short", name=name)
    places: list[Option] = []
    # a lone letter is kept clear of a number beyond it, so that the two are not read together
    extra = 0.5 if board.only is not None else 0.0
    for text, price in ((long, 0.0), (name, 6.0)) if board.only is not None else ((long, 0.0),):
        width = text_width(text, 3.2, "bold")
        for away in (1.1, -3.4, 2.4, -4.7, 3.6, -5.9):
            for t in (0.5, 0.42, 0.58, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85):
                at = (a[0] + (b[0] - a[0]) * t + up[0] * away, a[1] + (b[1] - a[1]) * t + up[1] * away)
                side = math.copysign(extra, away)
                beyond = (at[0] + up[0] * side, at[1] + up[1] * side)
                box = box_of_text(beyond, width + 2.0 * extra, 3.2, "middle", angle, 0.3 + extra)
                places.append(((box,), price + abs(away) / 2 + abs(t - 0.5), (text, at)))
    places.sort(key=itemgetter(1))

    def draw(place: tuple[str, XY]) -> None:
        text, at = place
        board.write(text, at, 3.2, "middle", angle, weight="bold", role="string", id=string.name)

    if board.labels.put(lambda: places, draw, 20.0) is None:
        feet = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in (0.5, 0.35, 0.65, 0.2, 0.8)]
        half, rise = board.block([long], 3.2, "bold")
        spots = ring_spots(feet[0], half, rise)
        board.label([long], feet[0], spots, 3.2, "bold", "string", id=string.name, feet=feet)
