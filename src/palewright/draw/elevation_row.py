"""One row of an elevation: posts and holes at true height and depth, bays, gates, and their figures."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.draw.board import LABEL_MM, NOTE_MM, Board
from palewright.draw.dims import opening_words
from palewright.draw.fence import gate_asks, gate_name, gate_sizes
from palewright.draw.fonts import text_width
from palewright.draw.infill import Opening, draw_infill
from palewright.draw.palette import BLACK, BUILDING, FENCE, GREY, PAPER
from palewright.draw.place import HARD, box_of_text
from palewright.draw.words import Words
from palewright.model import Bay, Gate, Kind, Leg, Meeting, Plan, Post, Run
from palewright.record import Record

__all__ = [
    "Strip",
    "bay_figures",
    "continued",
    "draw_gate",
    "draw_post",
    "draw_row",
    "gate_heights",
    "half_width",
    "label_post",
    "name_gate",
    "rails_seen",
    "rect",
    "unroll",
    "vertical",
]

XY = tuple[float, float]

_NAMED = 8.0 * HARD
"""What a post number may cost: it is left out nowhere."""


class Strip(Record):
    """A run laid flat: posts with their stations, bays between them; ``low``, ``high`` of all of it [m].

    meeting
        how it meets the ground; None where the ground is taken as level.
    """

    run: Run
    posts: tuple[tuple[float, Post], ...]
    bays: tuple[tuple[float, float, Bay], ...]
    low: float
    high: float
    meeting: Meeting | None = None

    @property
    def length(self) -> float:
        """Station of the last post [m]."""
        return max((s for s, _ in self.posts), default=0.0)


def unroll(plan: Plan, run: Run) -> Strip:
    """Posts and bays of a run by station, leg after leg."""
    by_label = {post.label: post for post in plan.design.posts}
    posts: list[tuple[float, Post]] = []
    bays: list[tuple[float, float, Bay]] = []
    for k in run.legs:
        leg = plan.design.legs[k]
        station = leg.from_m
        if not posts:
            posts.append((station, by_label[leg.posts[0]]))
        for number, label in zip(leg.bays, leg.posts[1:], strict=False):
            bay = plan.design.bays[number - 1]
            bays.append((station, station + bay.length_m, bay))
            station += bay.length_m
            posts.append((station, by_label[label]))
    low = max((post.hole.depth_m for _, post in posts if post.hole is not None), default=0.0)
    high = max((post.above_m for _, post in posts), default=1.0)
    meeting = next((one for one in plan.design.meetings if one.run == run.name and run.profile is not None), None)
    return Strip(run, tuple(posts), tuple(bays), low, high, meeting)


def draw_row(board: Board, plan: Plan, strip: Strip, start: float, end: float, words: Words, detailed: bool) -> None:
    """The run from station to station; ``detailed`` where its heights are told in parts."""
    eps = 1e-6
    posts = [(s, p) for s, p in strip.posts if start - eps <= s <= end + eps]
    bays = [(a, b, bay) for a, b, bay in strip.bays if a >= start - eps and b <= end + eps]
    kinds = {kind.name: kind for kind in plan.kinds}
    gates = {gate.bay: gate for gate in plan.design.gates}
    legs = {number: leg for leg in plan.design.legs for number in leg.bays}
    by_label = {post.label: post for _, post in strip.posts}
    names = []
    for a, b, bay in bays:
        kind = kinds.get(bay.fence)
        left, right = (half_width(by_label[label]) for label in (bay.start, bay.end))
        if bay.number in gates:
            low, high = gate_heights(gates[bay.number], kind)
            gate = gates[bay.number]
            draw_gate(board, gate, (a + left, low), (b - right, high))
            names.append((gate, (a + left, b - right, high)))
        elif kind is not None:
            place = Opening.level(kind, a + left, b - right)
            draw_infill(board, kind, place, rails_seen(legs[bay.number], kind))
    _ground(board, start, end, start <= strip.posts[0][0] + eps, end >= strip.length - eps)
    for station, post in posts:
        sunk = post.hole.in_ground_m if post.hole is not None else 0.0
        deep = post.hole.depth_m if post.hole is not None else 0.0
        draw_post(board, station, post, (-deep, -sunk, 0.0, post.above_m))
    for station, post in posts:
        label_post(board, (station, post.above_m), post, words)
    for gate, over in names:
        name_gate(board, gate, over, words, gate_asks(plan, gate, words))
    bay_figures(board, bays, board.at((0.0, -strip.low))[1] + 6.0, words)
    _heights(board, posts[0], kinds.get(strip.run.fence), words, detailed)
    if end >= strip.length - eps:
        _depth(board, posts, words)
    else:
        continued(board, end, (0.0, strip.high), False)
    if start > strip.posts[0][0] + eps:
        continued(board, start, (0.0, strip.high), True)


def rails_seen(leg: Leg, kind: Kind) -> bool:
    """Whether the elevation looks at the side away from the boards; a run is seen from the right of its walk."""
    return kind.two_faced and leg.good_side == {"right": "neighbour", "left": "yard"}.get(leg.yard, "not known")


def half_width(post: Post) -> float:
    """From the middle of a post to its face [m]; 0 at a wall."""
    return post.width_m / 2 if post.number else 0.0


def rect(board: Board, x0: float, y0: float, x1: float, y1: float) -> tuple[XY, XY, XY, XY]:
    """Page corners of a rectangle: lower left, lower right, upper right, upper left."""
    a, b = board.at((x0, y0)), board.at((x1, y1))
    return ((a[0], a[1]), (b[0], a[1]), (b[0], b[1]), (a[0], b[1]))


def _ground(board: Board, start: float, end: float, first: bool, last: bool) -> None:
    a, b = board.at((start, 0.0)), board.at((end, 0.0))
    a, b = (a[0] - (4.0 if first else 3.0), a[1]), (b[0] + (7.0 if last else 3.0), b[1])
    board.chain((a, b), "ground", stroke_mm=0.6, weight=40.0)
    x = a[0] + 1.0
    while x < b[0] - 2.0:
        board.chain(((x + 1.2, a[1]), (x, a[1] + 1.2)), "ground", stroke_mm=0.13, colour=GREY)
        x += 2.4


def draw_post(board: Board, station: float, post: Post, heights: tuple[float, float, float, float]) -> None:
    """A post and its hole. ``heights``: bottom of the hole, lower end of the post, ground, top [m]."""
    deep, foot, ground, top = heights
    if not post.number:
        ring = rect(board, station, ground - 0.15, station, top + 0.3)
        x, high, low = ring[0][0], ring[2][1], ring[0][1]
        board.area(((x, high), (x + 4.0, high), (x + 4.0, low), (x, low)), "building", fill=BUILDING, stroke_mm=0.35)
        board.placer.add_line(((x, high), (x, low)), HARD)
        return
    half = max(post.width_m / 2, 0.35 * board.view.denominator / 1000.0)
    if post.hole is not None:
        r = post.hole.diameter_m / 2
        hole = rect(board, station - r, deep, station + r, ground)
        board.chain(
            (hole[3], hole[0], hole[1], hole[2]), "hole", stroke_mm=0.25, dash=(1.2, 0.8), weight=HARD, id=post.label
        )
        ring = rect(board, station - half, foot, station + half, ground)
        board.area(ring, "post", stroke_mm=0.18, dash=(1.2, 0.8), id=post.label)
    ring = rect(board, station - half, ground, station + half, top)
    board.placer.add_line(((ring[0][0], ring[0][1]), (ring[0][0], ring[2][1] + 0.2)), HARD)
    board.placer.add_line(((ring[1][0], ring[0][1]), (ring[1][0], ring[2][1] + 0.2)), HARD)
    board.area(ring, "post", fill=PAPER, stroke_mm=0.4 if post.role == "line" else 0.6, colour=BLACK, id=post.label)


def label_post(board: Board, top: XY, post: Post, words: Words) -> None:
    """The number over the top of its post, on something rather than left out; over it, what turns or ends there."""
    x, y = board.at((top[0], top[1] if post.number else top[1] + 0.3))
    strong = "regular" if post.role == "line" else "bold"
    half, rise = board.block([post.label], LABEL_MM, strong)
    spots = [((x, y - 1.4 - rise), 0.0), ((x + half + 1.0, y - 1.6 - rise), 3.0), ((x, y - 4.8 - rise), 4.0)]
    spots += [((x, y - up - rise), cost) for up, cost in ((8.2, 7.0), (11.6, 10.0))]
    board.label([post.label], (x, y), spots, LABEL_MM, strong, "post-label", 0.3, id=post.label, most=_NAMED)
    if post.role in ("corner", "tee", "change"):
        text = words("role_" + post.role)
        half, rise = board.block([text], NOTE_MM)
        spots = [
            ((x + dx, y - up - rise), cost) for cost, (dx, up) in enumerate(((0.0, 5.2), (half - 1.0, 5.2), (0.0, 8.6)))
        ]
        board.label([text], (x, y), spots, NOTE_MM, role="note", pad=0.2, lead=False)


def gate_heights(gate: Gate, kind: Kind | None) -> XY:
    """Bottom and top of the leaves above level ground [m]."""
    low = kind.bottom_gap_m if kind is not None else 0.05
    return low, gate.height_m or (kind.height_m if kind is not None else 1.2)


def draw_gate(board: Board, gate: Gate, lower: XY, upper: XY) -> None:
    """Leaves with their frames, between two corners; the dashed V points at the hinge."""
    (x0, low), (x1, high) = lower, upper
    slack = gate.allowance_m / (gate.leaves + 1)
    leaf = (x1 - x0 - slack * (gate.leaves + 1)) / gate.leaves
    for k in range(gate.leaves):
        a = x0 + slack + k * (leaf + slack)
        ring = rect(board, a, low, a + leaf, high)
        board.area(ring, "gate", stroke_mm=0.6, colour=FENCE, id=gate.name)
        board.placer.add_line(ring, HARD, closed=True)
        hinge_left = _hinge_on_left(gate, k)
        pivot, free = (ring[0][0], ring[1][0]) if hinge_left else (ring[1][0], ring[0][0])
        middle = (ring[0][1] + ring[2][1]) / 2
        for y in (ring[0][1], ring[2][1]):
            board.chain(((free, y), (pivot, middle)), "gate", stroke_mm=0.2, dash=(1.6, 1.0), colour=FENCE,
                        weight=HARD, crossing=0.0)  # fmt: skip
        for y in (ring[0][1] - 0.18 * (ring[0][1] - ring[2][1]), ring[2][1] + 0.18 * (ring[0][1] - ring[2][1])):
            board.disc((pivot, y), 0.6, "gate", fill=BLACK, stroke_mm=0.1, id=gate.name)


def name_gate(board: Board, gate: Gate, place: tuple[float, float, float], words: Words, asks: Sequence[str]) -> None:
    """Name and sizes over a gate (from, to, top), and what is not decided of it; post numbers have their room first."""
    x0, x1, high = place
    x = (board.at((x0, 0))[0] + board.at((x1, 0))[0]) / 2
    y = board.at((0.0, high))[1]
    lines = [gate_name(gate, words), ", ".join(gate_sizes(gate, words)), *asks]
    rise = board.block(lines, NOTE_MM, "bold")[1]
    spots = [
        ((x, y - 5.0 - rise), 0.0),
        ((x, y - 1.4 - rise), 1.0),
        ((x, y - 7.0 - rise), 7.0),
        ((x, y + 4.0 + rise), 8.0),
    ]
    board.label(lines, (x, y), spots, weight="bold", role="gate", halo=True, id=gate.name)


def _hinge_on_left(gate: Gate, leaf: int) -> bool:
    if gate.leaves == 2:
        return leaf == 0
    return not gate.hinge or gate.hinge[0] == gate.posts[0]


def bay_figures(board: Board, bays: list[tuple[float, float, Bay]], y: float, words: Words) -> None:
    """A dimension string at page height ``y``: every bay where there is room, else equal neighbours together."""
    k = board.view.mm_per_m
    groups: list[list[tuple[float, float, Bay]]] = []
    single = all(
        (b - a) * k >= text_width(words.length(b - a), NOTE_MM) + 1.0 for a, b, bay in bays if bay.kind != "gate"
    )
    for item in bays:
        last = groups[-1][-1] if groups else None
        alike = (
            last is not None
            and last[2].kind == item[2].kind != "gate"
            and abs(last[2].length_m - item[2].length_m) < 0.0015
        )
        if alike and not single:
            groups[-1].append(item)
        else:
            groups.append([item])
    spans = [(board.at((group[0][0], 0.0))[0], board.at((group[-1][1], 0.0))[0]) for group in groups]
    board.chain(((spans[0][0], y), (spans[-1][1], y)), "dimension", stroke_mm=0.18)
    for x in dict.fromkeys(x for span in spans for x in span):
        board.chain(((x, y - 4.0), (x, y + 1.0)), "dimension", stroke_mm=0.13)
        board.chain(((x - 0.8, y + 0.8), (x + 0.8, y - 0.8)), "dimension", stroke_mm=0.4)
    level = 0
    for group, (x0, x1) in zip(groups, spans, strict=True):
        text, strong = _group_text(group, words)
        wide = text_width(text, NOTE_MM, strong)
        level = 0 if wide <= x1 - x0 - 0.6 else (level % 2) + 1
        middle, step = (x0 + x1) / 2, 3.4
        at = (middle, y + step * (level + 1))
        while board.placer.cost(box_of_text(at, wide, NOTE_MM, "middle", 0.0, 0.2)) >= HARD and at[1] < y + 4 * step:
            at = (at[0], at[1] + step)
        if board.placer.cost(box_of_text(at, wide, NOTE_MM, "middle", 0.0, 0.2)) < HARD:
            if at[1] > y + step + 0.1:
                board.chain(((middle, y), (middle, at[1] - 2.4)), "dimension", stroke_mm=0.13)
            board.write(text, at, NOTE_MM, "middle", layer="dimension", weight=strong, role="dimension")


def _group_text(group: list[tuple[float, float, Bay]], words: Words) -> tuple[str, str]:
    """Words and weight of one figure: an opening always with its word."""
    first = group[0][2]
    if first.kind == "gate":
        return opening_words(first, words), "bold"
    size = words.length(first.length_m)
    return (size if len(group) == 1 else words("bays_short", count=len(group), bay=size)), "regular"


def vertical(board: Board, x: float, marks: Sequence[float], texts: Sequence[str], left: bool) -> None:
    """A vertical dimension string at page ``x``; marks in metres above ground, a text for each gap."""
    ys = [board.at((0.0, m))[1] for m in marks]
    board.chain(((x, ys[0]), (x, ys[-1])), "dimension", stroke_mm=0.18)
    for y in ys:
        board.chain(((x - 1.4, y), (x + 1.4, y)), "dimension", stroke_mm=0.13)
        board.chain(((x - 0.8, y + 0.8), (x + 0.8, y - 0.8)), "dimension", stroke_mm=0.4)
    last = math.inf
    for low, high, text in zip(ys[:-1], ys[1:], texts, strict=True):
        y = (low + high) / 2
        if last == math.inf and low - high < NOTE_MM:
            y = max(y, low + 1.3)
        y = last = min(y, last - NOTE_MM * 1.05)
        at = (x - 1.8 if left else x + 1.8, y)
        board.write(text, at, NOTE_MM, "end" if left else "start", layer="dimension", role="dimension", middle=True)


def _heights(board: Board, first: tuple[float, Post], kind: Kind | None, words: Words, detailed: bool) -> None:
    """At the left end: how gap and infill make up the height, and the total above ground."""
    if kind is None:
        return
    x = board.at((first[0], 0.0))[0]
    parts = [size for _, size in kind.height_words if size > 0.0]
    if not detailed or len(parts) < 2:
        vertical(board, x - 9.0, (0.0, kind.height_m), (words.length(kind.height_m),), True)
        return
    marks, texts = [0.0, *itertools.accumulate(parts)], [words.length(size) for size in parts]
    vertical(board, x - 6.0, marks, texts, True)
    a, b = board.at((0.0, 0.0)), board.at((0.0, kind.height_m))
    far = x - 9.5 - max(text_width(text, NOTE_MM) for text in texts)
    board.chain(((far, a[1]), (far, b[1])), "dimension", stroke_mm=0.18)
    for y in (a[1], b[1]):
        board.chain(((far - 1.4, y), (far + 1.4, y)), "dimension", stroke_mm=0.13)
        board.chain(((far - 0.8, y + 0.8), (far + 0.8, y - 0.8)), "dimension", stroke_mm=0.4)
    at = (far - 1.2, (a[1] + b[1]) / 2)
    board.write(words.length(kind.height_m), at, NOTE_MM, "middle", math.pi / 2, "dimension", "bold", "dimension")


def _depth(board: Board, posts: list[tuple[float, Post]], words: Words) -> None:
    """At the right end: depth of the last hole."""
    found = [(s, p) for s, p in posts if p.hole is not None]
    if not found or found[-1][1].hole is None:
        return
    station, post = found[-1]
    hole = post.hole
    assert hole is not None
    x = board.at((station + hole.diameter_m / 2, 0.0))[0] + 4.0
    vertical(board, x, (-hole.depth_m, 0.0), (words.inches(hole.depth_m),), False)


def continued(board: Board, station: float, heights: XY, left: bool) -> None:
    """A zig-zag where the run goes on in another row, from the ground to the top."""
    x = board.at((station, 0.0))[0] + (-4.0 if left else 4.0)
    top, bottom = board.at((0.0, heights[1]))[1], board.at((0.0, heights[0]))[1]
    middle = (top + bottom) / 2
    chain = (
        (x, top - 1),
        (x, middle - 1.6),
        (x - 1.6, middle - 0.6),
        (x + 1.6, middle + 0.6),
        (x, middle + 1.6),
        (x, bottom + 2),
    )
    board.chain(chain, "match", stroke_mm=0.25)
