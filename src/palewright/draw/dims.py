"""Dimension strings: each stretch between fixed posts, and each opening, as the tape says it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.draw.board import LEADER_MM, NOTE_MM, Board, clip_chain, readable
from palewright.draw.details import Crowd
from palewright.draw.fence import outward
from palewright.draw.fonts import text_width
from palewright.draw.labels import Option
from palewright.draw.place import HARD, Box, box_of_segment, box_of_text
from palewright.draw.words import Words
from palewright.model import Bay, Leg, Plan
from palewright.record import Record

__all__ = ["Stretch", "draw_dimensions", "opening_words", "short_stretches", "stretches"]

XY = tuple[float, float]

_SAME_M = 0.0015
_SHORT_MM = 7.0


class Stretch(Record):
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


def opening_words(bay: Bay, words: Words) -> str:
    """A gate between the centres of its posts, as the string is drawn, and in brackets the clear opening."""
    return words("opening_within", bay=words.length(bay.length_m), opening=words.length(bay.clear_m))


def _stretch(group: list[Bay], words: Words) -> Stretch:
    first, last = group[0], group[-1]
    if first.kind == "gate":
        return Stretch(first.start, last.end, (opening_words(first, words),), True)
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
        (
            words("bays", count=len(group), bay=bay, total=total),
            words("bays_brief", count=len(group), bay=bay, total=total),
            words("bays_short", count=len(group), bay=bay),
        ),
        False,
    )


def draw_dimensions(board: Board, plan: Plan, words: Words) -> None:
    """A dimension string beside every leg, outside the yard where there is room."""
    posts = {post.label: post for post in plan.design.posts}
    for leg in plan.design.legs:
        pieces = stretches(plan, leg, words)
        ends = [(board.at(posts[s.start].xy), board.at(posts[s.end].xy)) for s in pieces]
        seen = [(s, e) for s, e in zip(pieces, ends, strict=True) if _visible(board, *e) is not None]
        if board.only is not None:
            seen = [(s, e) for s, e in seen if all(board.names(p) for p in e)]
        if any(board.names(p) for _, e in seen for p in e):
            _string(board, leg, [s for s, _ in seen], [e for _, e in seen])


def short_stretches(plan: Plan, words: Words, mm_per_m: float) -> list[Crowd]:
    """Ends of every stretch too short on the page for its figure, and of a gate beside one, with its swing."""
    posts = {post.label: post for post in plan.design.posts}
    swings = {gate.posts: [p for fan in gate.swing for p in fan] for gate in plan.design.gates}
    found = []
    for leg in plan.design.legs:
        pieces = stretches(plan, leg, words)
        ends = [(posts[piece.start].xy, posts[piece.end].xy) for piece in pieces]
        short = [math.dist(*pair) * mm_per_m < _SHORT_MM for pair in ends]
        for k, (piece, pair) in enumerate(zip(pieces, ends, strict=True)):
            if short[k] or (piece.gate and any(short[max(0, k - 1) : k + 2])):
                found.append(Crowd((*pair, *swings.get((piece.start, piece.end), ()))))
    return found


def _visible(board: Board, a: XY, b: XY) -> tuple[XY, XY] | None:
    """The part of a line that lies in the field, or None."""
    if not board.clipped:
        return (a, b)
    parts = clip_chain((a, b), board.window)
    return (parts[0][0], parts[0][1]) if parts else None


def _string(board: Board, leg: Leg, pieces: Sequence[Stretch], ends: Sequence[tuple[XY, XY]]) -> None:
    o, q = board.at((0.0, 0.0)), board.at(outward(leg))
    size = math.hypot(q[0] - o[0], q[1] - o[1])
    out = ((q[0] - o[0]) / size, (q[1] - o[1]) / size)
    candidates = (6.0, 8.5, 11.0, 14.0, -9.0, -12.0, -15.0, -18.0)
    lines = [[(_moved(a, out, away), _moved(b, out, away)) for a, b in ends] for away in candidates]
    scores = []
    for k, line in enumerate(lines):
        parts = [part for a, b in line if (part := _visible(board, a, b)) is not None]
        scores.append(([box_of_segment(a, b, 0.3) for a, b in parts], 5.0 * k + 30.0 * (len(line) - len(parts))))
    order = sorted(range(len(scores)), key=lambda k: scores[k][1])
    found, _ = board.placer.best((scores[k] for k in order), lines=True)
    chosen = order[found] if found >= 0 else 0
    away, line = candidates[chosen], lines[chosen]
    for foot in dict.fromkeys(p for pair in ends for p in pair):
        end = _moved(foot, out, away)
        start, stop = _moved(foot, out, math.copysign(1.6, away)), _moved(end, out, math.copysign(1.0, away))
        board.chain((start, stop), "dimension", stroke_mm=0.13, weight=40.0, crossing=4.0)
        _tick(board, end, out)
    board.chain((line[0][0], line[-1][1]), "dimension", stroke_mm=0.18, weight=60.0, crossing=8.0)
    side = 1.0 if away > 0 else -1.0
    for piece, feet, (a, b) in zip(pieces, ends, line, strict=True):
        part = _visible(board, a, b)
        if not any(board.names(p) for p in feet):
            continue
        if part is not None and math.dist(*part) > 0.5:
            _figure(board, piece, *part, (out[0] * side, out[1] * side))
        else:
            board.unseen += 1


def _moved(p: XY, direction: XY, by: float) -> XY:
    return (p[0] + direction[0] * by, p[1] + direction[1] * by)


def _tick(board: Board, p: XY, out: XY) -> None:
    u = (-out[1], out[0])
    d = ((u[0] + out[0]) * 0.75, (u[1] + out[1]) * 0.75)
    board.chain(((p[0] - d[0], p[1] - d[1]), (p[0] + d[0], p[1] + d[1])), "dimension", stroke_mm=0.4)


class _Spot(Record):
    """Where a figure may go: words, baseline point, how it is anchored and turned, its leader, its penalty."""

    text: str
    at: XY
    anchor: str
    angle: float
    box: Box
    leader: tuple[XY, XY] | None
    penalty: float


def _figure(board: Board, piece: Stretch, a: XY, b: XY, out: XY) -> None:
    """The figure of one stretch: along its line, across it where that is short, or farther out on a leader."""
    strong = "bold" if piece.gate else "regular"
    spots = [*_along(piece, a, b, out, strong), *_across(piece, a, b, out, strong), *_led(piece, a, b, out, strong)]
    spots.sort(key=lambda spot: spot.penalty)

    def options() -> Iterator[Option]:
        for s in spots:
            yield ((s.box, box_of_segment(*s.leader, 0.2)) if s.leader else (s.box,), s.penalty, s)

    def draw(spot: _Spot) -> None:
        if spot.leader is not None:
            board.chain(spot.leader, "dimension", stroke_mm=LEADER_MM, weight=HARD, crossing=HARD / 4, id="leader")
        board.write(spot.text, spot.at, NOTE_MM, spot.anchor, spot.angle, "dimension", strong, "dimension")

    board.labels.put(options, draw)


def _along(piece: Stretch, a: XY, b: XY, out: XY, strong: str) -> list[_Spot]:
    """On the dimension line, outer side first, where the words fit between its ends."""
    length, angle = math.dist(a, b), readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))
    outward_up = up[0] * out[0] + up[1] * out[1] > 0
    spots = []
    for n, text in enumerate(piece.texts):
        width = text_width(text, NOTE_MM, strong)
        if width > length - 1.0:
            continue
        for outer in (True, False):
            for t in (0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85):
                rise = 1.15 if outer == outward_up else -(0.75 + NOTE_MM * 0.714)
                at = (a[0] + (b[0] - a[0]) * t + up[0] * rise, a[1] + (b[1] - a[1]) * t + up[1] * rise)
                box = box_of_text(at, width, NOTE_MM, "middle", angle, 0.25)
                spots.append(_Spot(text, at, "middle", angle, box, None, 4.0 * n + 2.0 * (not outer) + abs(t - 0.5)))
    return spots


def _across(piece: Stretch, a: XY, b: XY, out: XY, strong: str) -> list[_Spot]:
    """Square to the dimension line, from it outward: for stretches shorter than their words."""
    if math.dist(a, b) < NOTE_MM * 0.714 + 1.4:
        return []
    outward_angle = math.atan2(-out[1], out[0])
    angle = readable(outward_angle)
    anchor = "start" if math.cos(angle - outward_angle) > 0 else "end"
    drop = NOTE_MM * 0.714 / 2
    spots = []
    for n, text in enumerate(_short_first(piece.texts)):
        for k, t in enumerate((0.5, 0.4, 0.6)):
            foot = (a[0] + (b[0] - a[0]) * t + out[0] * 1.3, a[1] + (b[1] - a[1]) * t + out[1] * 1.3)
            at = (foot[0] + math.sin(angle) * drop, foot[1] + math.cos(angle) * drop)
            width = text_width(text, NOTE_MM, strong)
            box = box_of_text(at, width, NOTE_MM, anchor, angle, 0.25)
            spots.append(_Spot(text, at, anchor, angle, box, None, 5.0 + width / 6.0 + 2.0 * n + 0.1 * k))
    return spots


def _short_first(texts: tuple[str, ...]) -> tuple[str, ...]:
    """The words with their total written short before those written out."""
    return (texts[1], texts[0], *texts[2:]) if len(texts) > 2 else texts


def _led(piece: Stretch, a: XY, b: XY, out: XY, strong: str) -> list[_Spot]:
    """Along the line but farther from it, with a leader."""
    length, angle = math.dist(a, b), readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    up = (-math.sin(angle), -math.cos(angle))
    outward_up = up[0] * out[0] + up[1] * out[1] > 0
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length else (1.0, 0.0)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    spots = []
    for n, text in enumerate(_short_first(piece.texts)):
        width = text_width(text, NOTE_MM, strong)
        for level, far in enumerate((5.0, 8.8, 12.6, -10.0, -14.0)):
            for shift in (0.0, 5.0, -5.0, 10.0, -10.0, 16.0, -16.0, 24.0, -24.0):
                rise = far if outward_up else -(far + NOTE_MM * 0.714)
                at = (middle[0] + along[0] * shift + up[0] * rise, middle[1] + along[1] * shift + up[1] * rise)
                box = box_of_text(at, width, NOTE_MM, "middle", angle, 0.25)
                foot = _nearest(box, middle)
                start = _toward(middle, foot, 0.4)
                penalty = 14.0 + 4.0 * level + 2.0 * n + abs(shift) / 4
                spots.append(_Spot(text, at, "middle", angle, box, (start, foot), penalty))
    return spots


def _toward(p: XY, q: XY, by: float) -> XY:
    """A point ``by`` from ``p`` toward ``q``, or ``q`` when that is nearer."""
    length = math.dist(p, q)
    k = min(1.0, by / length) if length else 0.0
    return (p[0] + (q[0] - p[0]) * k, p[1] + (q[1] - p[1]) * k)


def _nearest(box: Box, p: XY) -> XY:
    """The point of a rectangle nearest to ``p``."""
    dx, dy = p[0] - box.x, p[1] - box.y
    u = max(-box.half, min(box.half, dx * box.ux + dy * box.uy))
    v = max(-box.rise, min(box.rise, dy * box.ux - dx * box.uy))
    return (box.x + box.ux * u - box.uy * v, box.y + box.uy * u + box.ux * v)
