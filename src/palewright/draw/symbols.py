"""Signs on the drawings: posts, corners, stakes, and the key that shows them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from palewright.draw.board import Board
from palewright.draw.palette import BLACK, FENCE, PAPER, utility_colour, utility_hatch, zone_layer
from palewright.draw.place import HARD
from palewright.draw.scene import Hatch, Line

__all__ = [
    "BOUNDARY_DASH",
    "BOUNDARY_SOLID",
    "CHECK_DASH",
    "DRIVE_DASH",
    "EASEMENT_HATCH",
    "LEAST_LINE_MM",
    "LEAST_TERMINAL_MM",
    "READING_DASH",
    "READING_MM",
    "SETBACK_DASH",
    "SIGHT_DASH",
    "brace_sign",
    "corner_sign",
    "draw_key",
    "footing_sign",
    "good_side_sign",
    "hand_sign",
    "offset_sign",
    "old_fence_sign",
    "opening_sign",
    "post_sign",
    "ring_of",
    "stake_sign",
    "struck_sign",
    "thing_sign",
    "tree_sign",
]

XY = tuple[float, float]

LEAST_LINE_MM = 1.3
LEAST_TERMINAL_MM = 2.0
LEAST_FOOTING_MM = 1.0
BOUNDARY_SOLID: tuple[float, ...] = (9.0, 1.3, 1.3, 1.3)
BOUNDARY_DASH: tuple[float, ...] = (3.0, 2.0)
STRING_DASH: tuple[float, ...] = ()
TIE_DASH: tuple[float, ...] = (5.0, 1.2, 0.6, 1.2)
READING_DASH: tuple[float, ...] = (2.4, 0.9, 0.3, 0.9)
READING_MM = 0.13
CHECK_DASH: tuple[float, ...] = (1.0, 0.8)
OLD_DASH: tuple[float, ...] = (1.6, 1.2)
SETBACK_DASH: tuple[float, ...] = (2.0, 1.0)
SIGHT_DASH: tuple[float, ...] = (5.0, 1.0, 1.0, 1.0, 1.0, 1.0)
DRIVE_DASH: tuple[float, ...] = (0.6, 0.6)
EASEMENT_HATCH = Hatch(math.radians(30), 2.4, 0.13)


def ring_of(centre: XY, half_u: float, half_v: float, angle: float) -> tuple[XY, ...]:
    """Corners of a rectangle turned by ``angle`` (counter-clockwise as seen)."""
    c, s = math.cos(angle), -math.sin(angle)
    corners = ((-half_u, -half_v), (half_u, -half_v), (half_u, half_v), (-half_u, half_v))
    return tuple((centre[0] + u * c - v * s, centre[1] + u * s + v * c) for u, v in corners)


def post_sign(
    board: Board,
    centre: XY,
    angle: float,
    along: float,
    across: float,
    round_: bool = False,
    hollow: bool = False,
    space: str = "model",
    id: str = "",
) -> None:
    """A post: its section, filled, or hollow where it stands on an assumption."""
    fill, stroke = (PAPER, 0.35) if hollow else (BLACK, 0.13)
    if round_:
        board.disc(centre, along / 2, "post", HARD, fill=fill, stroke_mm=stroke, space=space, id=id)
        return
    if space == "model" and not board.shows(centre):
        return
    board.area(ring_of(centre, along / 2, across / 2, angle), "post", fill=fill, stroke_mm=stroke, space=space, id=id)
    if space == "model":
        half = max(along, across) / 2 + 0.1
        board.placer.add_line(((centre[0] - half, centre[1]), (centre[0] + half, centre[1])), HARD, thick=2 * half)


def hand_sign(board: Board, centre: XY, least: float = 0.0, space: str = "model", id: str = "") -> None:
    """A hole to be dug by hand: a heavy double ring round its post, its inner radius ``least`` or what can be seen."""
    inner = max(1.7, least)
    for radius in (inner, inner + 0.7):
        board.disc(centre, radius, "hole", HARD, stroke_mm=0.35, space=space, id=id)


def bracket_sign(board: Board, centre: XY, angle: float, space: str = "model", id: str = "") -> None:
    """A wall bracket: a T against the wall; ``angle`` is that of the fence."""
    c, s = math.cos(angle), -math.sin(angle)
    a, b = (centre[0] - s * 1.5, centre[1] + c * 1.5), (centre[0] + s * 1.5, centre[1] - c * 1.5)
    board.chain((a, b), "post", stroke_mm=0.7, weight=HARD, space=space, id=id)


def corner_sign(board: Board, centre: XY, found: bool, space: str = "model", id: str = "") -> None:
    """A property corner: filled where it was found, hollow where only the record knows it."""
    board.disc(centre, 1.3, "boundary", HARD, fill=BLACK if found else PAPER,
               stroke_mm=0.3, space=space, id=id)  # fmt: skip


def thing_sign(board: Board, centre: XY, space: str = "model", id: str = "") -> None:
    """A named thing that stands there: an upright cross."""
    for dx, dy in ((1.6, 0.0), (0.0, 1.6)):
        ends = ((centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy))
        board.chain(ends, "building", stroke_mm=0.25, weight=20.0, space=space, id=id)


def tree_sign(board: Board, centre: XY, crown: float, trunk: float, space: str = "model", id: str = "") -> None:
    """A tree: its trunk filled, its crown dotted, both as radii in millimetres on the page."""
    board.disc(centre, max(trunk, 0.5), "lot", HARD, fill=BLACK, stroke_mm=0.1, space=space, id=id)
    if crown > trunk:
        board.bow(centre, crown, 0.0, 2.0 * math.pi, "lot", 30.0, stroke_mm=0.18, dash=(0.4, 0.8), space=space, id=id)


def stake_sign(board: Board, centre: XY, space: str = "model", id: str = "") -> None:
    """A stake: a cross in a triangle's place, 2.4 mm."""
    r = 1.2
    for a, b in (((-r, -r), (r, r)), ((-r, r), (r, -r))):
        board.chain(((centre[0] + a[0], centre[1] + a[1]), (centre[0] + b[0], centre[1] + b[1])), "string",
                    stroke_mm=0.45, weight=HARD, space=space, id=id)  # fmt: skip


def struck_sign(board: Board, centre: XY, angle: float, space: str = "model", id: str = "") -> None:
    """Two strokes across a reading that is doubted; ``angle`` is that of its line on the page."""
    u, v = (math.cos(angle), math.sin(angle)), (math.cos(angle + 1.2), math.sin(angle + 1.2))
    for along in (-0.5, 0.5):
        x, y = centre[0] + u[0] * along, centre[1] + u[1] * along
        ends = ((x - v[0] * 1.4, y - v[1] * 1.4), (x + v[0] * 1.4, y + v[1] * 1.4))
        board.chain(ends, "check", stroke_mm=0.35, weight=14.0, space=space, id=id)


def crossing_sign(board: Board, centre: XY, space: str = "model", id: str = "") -> None:
    """Where strings cross: a ring."""
    board.disc(centre, 1.1, "string", HARD, fill=PAPER, stroke_mm=0.35, space=space, id=id)


def offset_sign(board: Board, fence: XY, side: XY, n: XY, arm: float, space: str = "model") -> None:
    """Two arrows toward each other, their points at the fence and at the side; ``n`` from the one to the other."""
    for tip, sign in ((side, 1.0), (fence, -1.0)):
        tail, base = ((tip[0] + n[0] * sign * far, tip[1] + n[1] * sign * far) for far in (arm, 1.6))
        board.chain((tail, tip), "dimension", stroke_mm=0.18, weight=60.0, crossing=8.0,
                    space=space)  # fmt: skip
        wings = ((base[0] - n[1] * 0.55, base[1] + n[0] * 0.55), (base[0] + n[1] * 0.55, base[1] - n[0] * 0.55))
        board.area((tip, *wings), "dimension", fill=BLACK, stroke_mm=0.1, space=space)


def old_fence_sign(board: Board, a: XY, b: XY, then: str, space: str = "model", id: str = "") -> None:
    """A stretch of an old fence: a line with crosses on it, dashed to pull, unbroken to leave."""
    dash = OLD_DASH if then == "pull" else ()
    board.chain((a, b), "removal", stroke_mm=0.25, dash=dash, weight=14.0, space=space, id=id)
    length = math.dist(a, b)
    count = max(1, round(length / 9.0)) if length > 2.0 else 0
    for k in range(count):
        t = (k + 0.5) / count
        x, y = a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t
        for dx in (0.7, -0.7):
            board.chain(((x - dx, y - 0.7), (x + dx, y + 0.7)), "removal", stroke_mm=0.25, space=space, id=id)


def footing_sign(board: Board, centre: XY, radius: float, then: str, space: str = "model", id: str = "") -> None:
    """The footing of an old post, large enough to be seen: one stroke where it is pulled, two where it is left."""
    r = max(LEAST_FOOTING_MM, radius)
    if space == "model" and not board.shows(centre, r):
        return
    board.disc(centre, r, "removal", 14.0, fill=PAPER, stroke_mm=0.2, space=space, id=id)
    for dx in (r * 0.7, -r * 0.7)[: 1 if then == "pull" else 2]:
        ends = ((centre[0] - dx, centre[1] - r * 0.7), (centre[0] + dx, centre[1] + r * 0.7))
        board.chain(ends, "removal", stroke_mm=0.2, space=space, id=id)


def good_side_sign(board: Board, foot: XY, normal: XY, space: str = "model") -> None:
    """A small open triangle on the good side, its base on the fence line."""
    along = (-normal[1], normal[0])
    r = 1.1
    ring = (
        (foot[0] + along[0] * r, foot[1] + along[1] * r),
        (foot[0] - along[0] * r, foot[1] - along[1] * r),
        (foot[0] + normal[0] * 2.0, foot[1] + normal[1] * 2.0),
    )
    if space == "model" and not board.shows(foot, 2.0):
        return
    board.area(ring, "fence", fill=PAPER, stroke_mm=0.25, colour=FENCE, space=space)
    if space == "model":
        tip = (foot[0] + normal[0] * 2.2, foot[1] + normal[1] * 2.2)
        board.placer.add_line((foot, tip), HARD, thick=2.2)


def brace_sign(board: Board, foot: XY, head: XY, space: str = "model") -> None:
    """A brace post, and the diagonal to it beside the wire, foot to head."""
    size = math.dist(foot, head)
    off = ((head[1] - foot[1]) / size * 1.4, (foot[0] - head[0]) / size * 1.4)
    board.disc(head, 0.5, "fence", HARD, fill=PAPER, stroke_mm=0.2, space=space)
    chain = (foot, (head[0] + off[0], head[1] + off[1]), head)
    board.chain(chain, "fence", stroke_mm=0.18, weight=20.0, space=space)


def opening_sign(
    board: Board, centre: XY, half: float, angle: float, what: str, id: str = "", space: str = "model"
) -> None:
    """What closes an opening, seen from above: a leaf, the zigzag of a floodgate, the bars of a cattle guard."""
    if what == "floodgate":
        steps = [(-half + half * k / 3, 0.9 if k % 2 else -0.9) for k in range(7)]
        board.area(ring_of(centre, half, 0.9, angle), "gate", fill=PAPER, stroke_mm=0.0, space=space)
        board.chain(_turned(centre, steps, angle), "gate", stroke_mm=0.35, colour=FENCE, space=space, id=id)
        return
    wide = 1.6 if what else 0.5
    board.area(ring_of(centre, half, wide, angle), "gate", fill=PAPER, stroke_mm=0.25, colour=FENCE, space=space, id=id)
    if what:
        for k in range(1, 5):
            u = -half + 2 * half * k / 5
            bar = _turned(centre, [(u, -wide), (u, wide)], angle)
            board.chain(bar, "gate", stroke_mm=0.25, colour=FENCE, space=space)


def _turned(centre: XY, points: list[XY], angle: float) -> list[XY]:
    c, s = math.cos(angle), -math.sin(angle)
    return [(centre[0] + u * c - v * s, centre[1] + u * s + v * c) for u, v in points]


# ---------------------------------------------------------------- the key


KeySign = Callable[[Board, XY], None]


def _key_line(layer: str, stroke: float, dash: Sequence[float] = (), colour: str = BLACK) -> KeySign:
    def draw(board: Board, p: XY) -> None:
        board.primitives.append(
            Line(layer=layer, a=(p[0] - 5, p[1]), b=(p[0] + 5, p[1]), stroke_mm=stroke, dash=tuple(dash), colour=colour,
                 space="sheet")
        )  # fmt: skip

    return draw


def _key_zone(kind: str) -> Callable[[Board, XY, str], None]:
    def draw(board: Board, p: XY, utility: str) -> None:
        ring = ring_of(p, 4.5, 1.6, 0.0)
        colour = utility_colour(utility)
        board.area(ring, zone_layer(utility), hatch=utility_hatch(kind), stroke_mm=0.25, dash=(1.2, 0.8), colour=colour,
                   space="sheet")  # fmt: skip

    return draw


def _key_post(board: Board, p: XY, size: float, shape: str, hollow: bool = False) -> None:
    post_sign(board, p, 0.0, size, size, shape == "round", hollow, space="sheet")


def _key_hand(board: Board, p: XY, shape: str) -> None:
    _key_post(board, p, LEAST_LINE_MM, shape)
    hand_sign(board, p, space="sheet")


def _key_offset(board: Board, p: XY) -> None:
    offset_sign(board, (p[0] - 0.5, p[1]), (p[0] + 0.5, p[1]), (1.0, 0.0), 4.5, space="sheet")


def _key_old_fence(then: str) -> KeySign:
    return lambda board, p: old_fence_sign(board, (p[0] - 5, p[1]), (p[0] + 5, p[1]), then, space="sheet")


def _key_struck(board: Board, p: XY) -> None:
    _key_line("check", READING_MM, READING_DASH)(board, p)
    struck_sign(board, p, 0.0, space="sheet")


def _key_gate(board: Board, p: XY) -> None:
    hinge = (p[0] - 2.5, p[1] + 1.6)
    board.chain((hinge, (hinge[0], hinge[1] - 3.4)), "gate", stroke_mm=0.6, space="sheet", colour=FENCE)
    board.bow(hinge, 3.4, 0.0, math.pi / 2, "gate", stroke_mm=0.2, dash=(0.8, 0.6), space="sheet", colour=FENCE)
    board.disc(hinge, 0.7, "gate", fill=BLACK, stroke_mm=0.1, space="sheet")


def _key_easement(board: Board, p: XY) -> None:
    board.area(ring_of(p, 4.5, 1.6, 0.0), "easement", hatch=EASEMENT_HATCH, space="sheet", stroke_mm=0.2,
               dash=(0.8, 0.8))  # fmt: skip


_FENCE_SIGNS: dict[str, KeySign] = {
    "fence": _key_line("fence", 0.7, colour=FENCE),
    "bracket": lambda b, p: bracket_sign(b, p, 0.0, space="sheet"),
    "gate": _key_gate,
    "good": lambda b, p: good_side_sign(b, (p[0], p[1] + 1.0), (0.0, -1.0), space="sheet"),
    "removal_pull": _key_old_fence("pull"),
    "removal_leave": _key_old_fence("leave"),
    "footing_pull": lambda b, p: footing_sign(b, p, 0.0, "pull", space="sheet"),
    "footing_leave": lambda b, p: footing_sign(b, p, 0.0, "leave", space="sheet"),
}
_WIRE_SIGNS: dict[str, KeySign] = {
    "pulled": lambda b, p: b.disc(p, 0.8, "fence", space="sheet", fill=BLACK, stroke_mm=0.1),
    "brace": lambda b, p: brace_sign(b, (p[0] - 3.5, p[1]), (p[0] + 3.5, p[1]), space="sheet"),
    "stiff": lambda b, p: b.disc(p, 0.9, "fence", space="sheet", fill=PAPER, stroke_mm=0.35),
    "wire_gate": lambda b, p: opening_sign(b, p, 3.5, 0.0, "", space="sheet"),
    "floodgate": lambda b, p: opening_sign(b, p, 3.5, 0.0, "floodgate", space="sheet"),
    "cattle_guard": lambda b, p: opening_sign(b, p, 3.5, 0.0, "cattle guard", space="sheet"),
}
_SITE_SIGNS: dict[str, KeySign] = {
    "boundary_solid": _key_line("boundary", 0.35, (4.0, 1.0, 1.0, 1.0)),
    "boundary_dashed": _key_line("boundary", 0.35, BOUNDARY_DASH),
    "found": lambda b, p: corner_sign(b, p, True, space="sheet"),
    "record": lambda b, p: corner_sign(b, p, False, space="sheet"),
    **dict.fromkeys(("offset_face", "offset_post", "offset_footing"), _key_offset),
    "thing": lambda b, p: thing_sign(b, p, space="sheet"),
    "easement": _key_easement,
    "setback": _key_line("setback", 0.2, SETBACK_DASH),
    "sight": _key_line("setback", 0.35, SIGHT_DASH),
    "curb": _key_line("street", 0.5),
    "pavement": _key_line("street", 0.18),
    "drive": _key_line("lot", 0.18, DRIVE_DASH),
    "tree": lambda b, p: tree_sign(b, p, 1.8, 0.5, space="sheet"),
    "retaining": _key_line("lot", 0.9, (1.5, 0.6)),
}
_TAPE_SIGNS: dict[str, KeySign] = {
    "string": _key_line("string", 0.3, STRING_DASH),
    "stake": lambda b, p: stake_sign(b, p, space="sheet"),
    "crossing": lambda b, p: crossing_sign(b, p, space="sheet"),
    "tie": _key_line("check", 0.2, TIE_DASH),
    "check": _key_line("check", 0.2, CHECK_DASH),
    "measured": _key_line("check", READING_MM, READING_DASH),
    "struck": _key_struck,
    "reading": _key_line("check", 0.2, TIE_DASH),
    "doubted": _key_line("check", 0.9),
    "ellipse": lambda b, p: b.disc(p, 1.6, "check", space="sheet", stroke_mm=0.3),
}
_SIGNS = _FENCE_SIGNS | _WIRE_SIGNS | _SITE_SIGNS | _TAPE_SIGNS
_SHAPED_SIGNS: dict[str, Callable[[Board, XY, str], None]] = {
    "line": lambda b, p, shape: _key_post(b, p, LEAST_LINE_MM, shape),
    "terminal": lambda b, p, shape: _key_post(b, p, LEAST_TERMINAL_MM, shape),
    "assumed": lambda b, p, shape: _key_post(b, p, LEAST_TERMINAL_MM, shape, hollow=True),
    "hand": _key_hand,
    "zone_none": _key_zone("no hole"),
    "zone_hand": _key_zone("hand dig"),
    "zone_loose": _key_zone("loose ground"),
    "zone_pin": _key_zone("pin"),
}
"""Signs that have more than one shape, by what stands after the colon: "round", or the utility."""


def draw_key(board: Board, name: str, p: XY) -> None:
    """The sign of one entry of the key, centred at ``p``; ``name`` may carry a utility or shape: "zone_hand:gas"."""
    plain, _, more = name.partition(":")
    if plain in _SHAPED_SIGNS:
        _SHAPED_SIGNS[plain](board, p, more)
    else:
        _SIGNS[plain](board, p)
