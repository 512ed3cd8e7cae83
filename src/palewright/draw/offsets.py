"""How far the fence stands inside the boundary, dimensioned once for every leg that follows a side."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.boundary import ring_sides
from palewright.draw.board import NOTE_MM, Board
from palewright.draw.place import box_of_segment
from palewright.draw.symbols import offset_sign
from palewright.draw.words import Words
from palewright.model import Leg, Plan, Post
from palewright.plane import Side, along, angle_between, midpoint, project, segment_distance, side_distance, sub
from palewright.record import Record

__all__ = ["Offset", "draw_offsets", "name_offsets", "offsets"]

XY = tuple[float, float]

_FAR_M = 3.0
_ALIKE = math.radians(2.0)
_SAME_M = 0.0015
_ARM_MM = 5.0


class Offset(Record):
    """The least distance of a leg to a side [m], of what it is, and where to show it.

    post
        label of the post where it is the least; "" where it is the same all along.
    spots
        places on the line of post centres with their feet on the side [m], the best first.
    """

    what: str
    distance_m: float
    post: str
    spots: tuple[tuple[XY, XY], ...]


def offsets(plan: Plan) -> list[Offset]:
    """The distance of every leg that follows a straight side, of the face, post or footing that was asked for."""
    ring = plan.site.ring
    if ring is None:
        return []
    every = ring_sides(ring)
    sides = [(side.a, side.b) for side in every if not side.sweep]
    found = []
    for run in plan.design.runs:
        for leg in (plan.design.legs[k] for k in run.legs):
            side = min(sides, key=lambda ends: _apart(leg, ends), default=None)
            if side is not None and _apart(leg, side) < math.inf:
                offset = _offset(plan, leg, side, every, run.inside or "face")
                found += [offset] if offset is not None else []
    return found


def _apart(leg: Leg, side: tuple[XY, XY]) -> float:
    """Distance of a leg to a side that it follows [m]; infinite where it does not."""
    turn = angle_between(sub(leg.end, leg.start), sub(side[1], side[0]))
    far = segment_distance(midpoint(leg.start, leg.end), *side)
    return far if min(turn, math.pi - turn) < _ALIKE and far < _FAR_M else math.inf


def _offset(plan: Plan, leg: Leg, side: tuple[XY, XY], sides: Sequence[Side], what: str) -> Offset | None:
    posts = {post.label: post for post in plan.design.posts}
    mine = [posts[label] for label in leg.posts]
    near = [post for post in mine if _nearest(post, side, sides) and what in dict(post.inset)]
    if not near:
        return None
    values = {post.label: dict(post.inset)[what] for post in near}
    least = min(near, key=lambda post: values[post.label])
    inner = [post for post in near if post not in (mine[0], mine[-1])] or near
    same = max(values[post.label] for post in inner) - values[least.label] < _SAME_M
    points = [least.xy]
    if same:
        gates = {bay.number for bay in plan.design.bays if bay.kind == "gate"}
        pairs = zip(leg.bays, mine[:-1], mine[1:], strict=False)
        bays = [(a.xy, b.xy) for n, a, b in pairs if n not in gates]
        points = [along(a, b, math.dist(a, b) * t) for a, b in bays for t in (0.5, 0.35)]
        points.sort(key=lambda p: abs(math.dist(p, leg.start) - 0.7 * leg.length_m))
    spots = tuple((p, _foot(p, side)) for p in points)
    return Offset(what, values[least.label], "" if same else least.label, spots)


def _nearest(post: Post, side: tuple[XY, XY], sides: Sequence[Side]) -> bool:
    """Whether a post stands abreast of a side, and no other side is nearer."""
    own = abs(project(post.xy, *side)[1])
    if own < segment_distance(post.xy, *side) - 1e-9:
        return False
    return all(own <= side_distance(post.xy, other) + 1e-9 for other in sides)


def _foot(p: XY, side: tuple[XY, XY]) -> XY:
    t, _ = project(p, *side)
    return along(side[0], side[1], t)


def draw_offsets(board: Board, plan: Plan, words: Words) -> list[tuple[str, XY, XY]]:
    """Two arrows at the fence and at the side. Returns their words with the two points, for :func:`name_offsets`."""
    marks = []
    for offset in offsets(plan):
        pages = [(board.at(p), board.at(q)) for p, q in offset.spots]
        shown = [(p, q) for p, q in pages if board.names(p, 3.0) and board.names(q, 3.0) and math.dist(p, q) > 1e-6]
        text = words(f"offset_{offset.what}", size=words.length(offset.distance_m))
        if offset.post:
            text = words("offset_at", post=offset.post, what=text)
        if shown:
            fence, side = min(shown, key=lambda pair: _cost(board, *pair))
            offset_sign(board, fence, side, _way(fence, side), _ARM_MM)
            marks.append((text, fence, side))
    return marks


def _cost(board: Board, p: XY, q: XY) -> float:
    n = _way(p, q)
    ends = ((_go(q, n, 1.2), _go(q, n, _ARM_MM)), (_go(p, n, -1.2), _go(p, n, -_ARM_MM)))
    return sum(board.placer.cost(box_of_segment(a, b, 1.2), leader=True) for a, b in ends)


def name_offsets(board: Board, marks: Sequence[tuple[str, XY, XY]]) -> None:
    """The words of the arrows, at an end of one or on a leader to it."""
    for text, fence, side in marks:
        _name(board, text, fence, side)


def _name(board: Board, text: str, fence: XY, side: XY) -> None:
    n = _way(fence, side)
    half, rise = board.block([text], NOTE_MM)
    spots = []
    for end, sign, price in ((_go(side, n, _ARM_MM), 1.0, 0.0), (_go(fence, n, -_ARM_MM), -1.0, 2.0)):
        c, s = n[0] * sign, n[1] * sign
        for shift in (0.0, 0.6, -0.6, 1.1, -1.1):
            x, y = c * math.cos(shift) - s * math.sin(shift), c * math.sin(shift) + s * math.cos(shift)
            reach = 0.8 + min(half / max(abs(x), 1e-6), rise / max(abs(y), 1e-6))
            spots.append(((end[0] + x * reach, end[1] + y * reach), price + abs(shift)))
    spots.sort(key=lambda spot: spot[1])
    board.label([text], _go(side, n, _ARM_MM), spots, role="offset", pad=1.2, layer="dimension")


def _way(p: XY, q: XY) -> XY:
    far = math.dist(p, q)
    return ((q[0] - p[0]) / far, (q[1] - p[1]) / far)


def _go(p: XY, n: XY, far: float) -> XY:
    return (p[0] + n[0] * far, p[1] + n[1] * far)
