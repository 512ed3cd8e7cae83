"""The fence, drawn: lines, posts, holes, gates, side marks, post labels."""

from __future__ import annotations

import math
from collections.abc import Collection

from palewright.draw.board import LABEL_MM, NOTE_MM, Board, readable
from palewright.draw.fonts import text_width
from palewright.draw.labels import Option
from palewright.draw.palette import BLACK, FENCE, GREY
from palewright.draw.place import HARD, box_of_text
from palewright.draw.symbols import LEAST_LINE_MM, LEAST_TERMINAL_MM, bracket_sign, good_side_sign, hand_sign, post_sign
from palewright.draw.words import Words, short
from palewright.model import Gate, Leg, Plan, Post
from palewright.plane import segment_distance
from palewright.record import Record

__all__ = [
    "Look",
    "draw_fence",
    "draw_holes",
    "draw_posts",
    "gate_name",
    "gate_sizes",
    "label_posts",
    "mark_sides",
    "mark_yard",
    "name_gates",
    "name_runs",
    "outward",
]

XY = tuple[float, float]


_TURNS = (
    (0.0, 0.0),
    (0.45, 1.0),
    (-0.45, 1.0),
    (0.9, 2.0),
    (-0.9, 2.0),
    (math.pi, 2.5),
    (math.pi + 0.6, 3.0),
    (math.pi - 0.6, 3.0),
    (1.5, 3.5),
    (-1.5, 3.5),
)
"""Where a number may stand round its post: turned from the yard side [rad], with a penalty."""


class Look(Record):
    """How the fence is drawn: ``true_size`` for post sections never enlarged; ``light`` where it is background."""

    true_size: bool = False
    light: bool = False


def outward(leg: Leg) -> XY:
    """Unit vector square to a leg, away from the yard, in the world; to the left where the yard is not said."""
    dx, dy = math.sin(leg.azimuth), math.cos(leg.azimuth)
    return (dy, -dx) if leg.yard == "left" else (-dy, dx)


def _page_direction(board: Board, v: XY) -> XY:
    o, p = board.view.to_page((0.0, 0.0)), board.view.to_page(v)
    size = math.hypot(p[0] - o[0], p[1] - o[1])
    return ((p[0] - o[0]) / size, (p[1] - o[1]) / size)


def draw_fence(board: Board, plan: Plan, look: Look) -> None:
    """Fence lines between posts (never across a gate), then gates."""
    posts = {post.label: post for post in plan.design.posts}
    gates = {bay.number for bay in plan.design.bays if bay.kind == "gate"}
    stroke = 0.25 if look.light else 0.7
    for leg in plan.design.legs:
        ends = [(number, a, b) for number, a, b in zip(leg.bays, leg.posts[:-1], leg.posts[1:], strict=False)]
        chain: list[XY] = []
        for number, a, b in ends:
            if number in gates:
                _fence_chain(board, chain, stroke, leg)
                chain = []
                continue
            if not chain:
                chain = [board.at(posts[a].xy)]
            chain.append(board.at(posts[b].xy))
        _fence_chain(board, chain, stroke, leg)
    for gate in plan.design.gates:
        _draw_gate(board, gate, posts, look)


def _fence_chain(board: Board, chain: list[XY], stroke: float, leg: Leg) -> None:
    if len(chain) > 1:
        board.chain((chain[0], chain[-1]), "fence", stroke_mm=stroke, colour=FENCE, weight=HARD, crossing=24.0,
                    id=f"{leg.run} {leg.index + 1}")  # fmt: skip


def _draw_gate(board: Board, gate: Gate, posts: dict[str, Post], look: Look) -> None:
    a, b = (board.at(posts[label].xy) for label in gate.posts)
    ux, uy = b[0] - a[0], b[1] - a[1]
    for hinge, fan in zip(gate.hinge_xy, gate.swing, strict=False):
        h = board.at(hinge)
        outer = [board.at(p) for p in fan[1:]]
        if len(outer) < 2:
            continue
        off = [abs((p[0] - h[0]) * uy - (p[1] - h[1]) * ux) for p in (outer[0], outer[-1])]
        shut, wide = (outer[0], outer[-1]) if off[1] >= off[0] else (outer[-1], outer[0])
        radius = math.hypot(wide[0] - h[0], wide[1] - h[1])
        start = math.atan2(h[1] - shut[1], shut[0] - h[0])
        turn = math.atan2(h[1] - wide[1], wide[0] - h[0]) - start
        turn = math.atan2(math.sin(turn), math.cos(turn))
        board.chain((h, wide), "gate", stroke_mm=0.25 if look.light else 0.6, colour=FENCE, weight=HARD, id=gate.name)
        board.bow(h, radius, start, turn, "gate", HARD, stroke_mm=0.2, dash=(0.8, 0.6), colour=FENCE, id=gate.name)
        board.disc(h, 0.35 if look.light else 0.7, "gate", HARD, fill=BLACK, stroke_mm=0.1, id=gate.name)


def draw_holes(board: Board, plan: Plan, outlines: bool = True) -> None:
    """A heavy double ring round the holes to be dug by hand; with ``outlines`` every hole at true size, dashed."""
    k = board.view.mm_per_m
    for post in plan.design.posts:
        if post.hole is None:
            continue
        centre, radius = board.at(post.xy), post.hole.diameter_m / 2 * k
        if outlines:
            board.disc(centre, radius, "hole", stroke_mm=0.13, dash=(0.5, 0.5), colour=GREY, id=post.label)
        if post.hole.hand_dig:
            hand_sign(board, centre, radius + 0.6 if outlines else 0.0, id=post.label)


def draw_posts(board: Board, plan: Plan, look: Look) -> None:
    """Posts at true size, but never smaller than can be seen unless ``look.true_size``."""
    k = board.view.mm_per_m
    for post in plan.design.posts:
        centre = board.at(post.xy)
        angle = post.axis + board.view.rotation
        if not post.number:
            bracket_sign(board, centre, angle, id=post.label)
            continue
        least = LEAST_LINE_MM if post.role == "line" else LEAST_TERMINAL_MM
        if look.true_size:
            least = 0.0
        post_sign(board, centre, angle, max(least, post.width_m * k), max(least, post.depth_m * k), post.round,
                  post.assumed, id=post.label)  # fmt: skip


def mark_sides(board: Board, plan: Plan) -> None:
    """Good-side triangles on every leg with room whose side was decided."""
    unsaid = plan.open("fabric-side-not-said")
    posts = {post.label: post for post in plan.design.posts}
    for leg in plan.design.legs:
        out = _page_direction(board, outward(leg))
        bays = [
            (board.at(posts[a].xy), board.at(posts[b].xy))
            for number, a, b in zip(leg.bays, leg.posts[:-1], leg.posts[1:], strict=False)
            if plan.design.bays[number - 1].kind != "gate"
        ]
        wide = [bay for bay in bays if math.dist(*bay) >= 4.5]
        if leg.good_side in ("neighbour", "yard") and leg.fence not in unsaid and wide:
            normal = out if leg.good_side == "neighbour" else (-out[0], -out[1])
            for a, b in {wide[len(wide) // 6], wide[-1 - len(wide) // 6]}:
                good_side_sign(board, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), normal)


def mark_yard(board: Board, plan: Plan, words: Words) -> None:
    """The words "yard side" along every leg, where there is room; where nobody said it, that it is to be asked."""
    unsaid = plan.open("yard-not-said")
    for leg in plan.design.legs:
        if leg.yard not in ("left", "right"):
            continue
        a, b = board.at(leg.start), board.at(leg.end)
        out = _page_direction(board, outward(leg))
        text = words("ask_yard" if leg.run in unsaid else "yard")
        width = text_width(text, NOTE_MM)
        if math.dist(a, b) < width + 4.0:
            continue
        angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
        up = (-math.sin(angle), -math.cos(angle))
        towards = -(up[0] * out[0] + up[1] * out[1])
        places: list[Option] = []
        for away in (5.5, 8.0, 10.5, 13.0):
            for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
                base = away if towards > 0 else -(away + NOTE_MM * 0.71)
                at = (a[0] + (b[0] - a[0]) * t + up[0] * base, a[1] + (b[1] - a[1]) * t + up[1] * base)
                places.append(((box_of_text(at, width, NOTE_MM, "middle", angle, 0.6),), away, (at, angle)))

        def draw(place: tuple[XY, float], text: str = text) -> None:
            board.write(text, place[0], NOTE_MM, "middle", place[1], role="side", colour=GREY)

        board.labels.put(lambda places=places: places, draw, 60.0)  # type: ignore[misc]


def label_posts(board: Board, plan: Plan, only: Collection[str] | None = None, outside: bool = False) -> None:
    """A number at every post in the field: beside it on the yard side, else around it, else on a leader.

    ``only``: labels of the posts to number, when not all. ``outside``: away from the yard first.
    """
    waiting = [post for post in plan.design.posts if only is None or post.label in only]
    waiting = [post for post in sorted(waiting, key=lambda p: p.role == "line") if board.names(board.at(post.xy))]
    for now in (0.5, 6.0, math.inf):
        waiting = [post for post in waiting if not _label_post(board, plan, post, now, outside)]


def _label_post(board: Board, plan: Plan, post: Post, now: float, outside: bool) -> bool:
    """Number one post for less than ``now``; whether it was done."""
    centre = board.at(post.xy)
    outs = [_page_direction(board, outward(plan.design.legs[k])) for k in post.legs]
    ox, oy = sum(v[0] for v in outs), sum(v[1] for v in outs)
    base = (math.atan2(-oy, -ox) if math.hypot(ox, oy) > 1e-6 else 0.0) + math.pi * outside
    strong = "regular" if post.role == "line" else "bold"
    half, rise = board.block([post.label], LABEL_MM, strong)
    spots: list[tuple[XY, float]] = []
    for gap, extra in ((0.9, 0.0), (2.2, 3.0), (3.6, 6.0)):
        for turn, penalty in _TURNS:
            c, s = math.cos(base + turn), math.sin(base + turn)
            reach = LEAST_TERMINAL_MM / 2 + gap + min((half + 0.8) / max(abs(c), 1e-6), rise / max(abs(s), 1e-6))
            spots.append(((centre[0] + c * reach, centre[1] + s * reach), extra + penalty))
    spots.sort(key=lambda spot: spot[1])
    box = board.label([post.label], centre, spots, LABEL_MM, strong, "post-label", 0.35, 0.8, id=post.label,
                      now=now)  # fmt: skip
    return box is not None


def gate_name(gate: Gate, words: Words) -> str:
    """The word gate and its name, without saying it twice."""
    said = words("gate", name="").strip().lower()
    name = short(gate.name, 28)
    return name if said in name.lower().split() else words("gate", name=name)


def gate_sizes(gate: Gate, words: Words) -> list[str]:
    """The clear opening and the leaf, each with its word, so that nobody takes one for the other."""
    leaf = words.length(gate.leaf_m)
    many = words("leaf", leaf=leaf) if gate.leaves == 1 else words("leaves", count=gate.leaves, leaf=leaf)
    return [words("opening", opening=words.length(gate.opening_m)), many]


def gate_asks(plan: Plan, gate: Gate, words: Words) -> list[str]:
    """That nobody decided the hinges or the swing of a gate, where that is so: its drawing shows what was taken."""
    open_ = [what for what in ("hinges", "swings") if gate.name in plan.open(f"gate-{what}-not-said")]
    return [words("ask_gate", what=", ".join(words(f"ask_{what}") for what in open_))] if open_ else []


def name_gates(board: Board, plan: Plan, words: Words) -> None:
    """The name of each gate and the way it swings."""
    posts = {post.label: post for post in plan.design.posts}
    for gate in plan.design.gates:
        a, b = (board.at(posts[label].xy) for label in gate.posts)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if not board.names(middle):
            continue
        asks = gate_asks(plan, gate, words)
        way = "swings_yard" if gate.swings == "yard" else "swings_out"
        swings = [words(way)] if gate.swings and gate.name not in plan.open("gate-swings-not-said") else []
        lines = [gate_name(gate, words), *gate_sizes(gate, words), *swings, *asks]
        out = _page_direction(board, outward(plan.design.legs[gate.leg]))
        reach = gate.leaf_m * board.view.mm_per_m
        half, rise = board.block(lines, NOTE_MM, "bold")
        spots: list[tuple[XY, float]] = []
        along = (-out[1], out[0])
        for sign, far, extra in ((-1.0, reach + 1.5, 0.0), (-1.0, reach + 6.0, 2.0), (1.0, 14.0, 6.0), (1.0, 3.0, 7.0)):
            for shift in (0.0, 5.0, -5.0, 10.0, -10.0):
                c, s = sign * out[0], sign * out[1]
                away = far + half * abs(c) + rise * abs(s)
                spot = (middle[0] + c * away + along[0] * shift, middle[1] + s * away + along[1] * shift)
                spots.append((spot, extra + abs(shift) / 4))
        spots.sort(key=lambda spot: spot[1])
        # a leader may begin where the gate stands or beyond the way it swings
        feet = [middle, *((middle[0] + out[0] * far, middle[1] + out[1] * far) for far in (1.5, -reach))]
        board.label(lines, middle, spots, weight="bold", role="gate", id=gate.name, feet=feet)


def _nearest_run(board: Board, plan: Plan, spot: XY) -> str:
    """Name of the run whose leg is nearest to a page point."""
    world = board.view.to_world(spot)
    return min(plan.design.legs, key=lambda leg: segment_distance(world, leg.start, leg.end)).run


def name_runs(board: Board, plan: Plan, words: Words) -> None:
    """The name of each run beside its longest leg, with TRIAL where its stations are."""
    for run in plan.design.runs:
        legs = sorted((plan.design.legs[k] for k in run.legs), key=lambda leg: -leg.length_m)
        text = words("run", run=short(run.name)) + (f" ({words('trial_short')})" if run.trial else "")
        half, rise = board.block([text], 3.4, "bold")
        spots: list[tuple[XY, float]] = []
        feet: list[XY] = []
        for n, leg in enumerate(legs):
            out = _page_direction(board, outward(leg))
            a, b = board.at(leg.start), board.at(leg.end)
            for t in (0.5, 0.35, 0.65, 0.2, 0.8, -0.2, 1.2):
                foot = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
                if not board.shows(foot):
                    continue
                feet += [foot] if 0.0 < t < 1.0 else []
                for m, away in enumerate((8.0, 12.0, 17.0, -12.0, -17.0)):
                    reach = math.copysign(abs(away) + half * abs(out[0]) + rise * abs(out[1]), away)
                    spot = (foot[0] - out[0] * reach, foot[1] - out[1] * reach)
                    stray = 0.0 if _nearest_run(board, plan, spot) == run.name else 40.0
                    spots.append((spot, 2.0 * n + 0.5 * m + stray))
        spots.sort(key=lambda spot: spot[1])
        if feet:
            board.label([text], feet[0], spots, 3.4, "bold", "run", 0.8, id=run.name, feet=feet[:9])
