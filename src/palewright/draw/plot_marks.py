"""Marks of the plot plan: words along lines, distances of buildings to lot lines, gates in two lines."""

from __future__ import annotations

import math
from operator import itemgetter

from palewright.boundary import ring_sides
from palewright.draw.board import NOTE_MM, Board, readable
from palewright.draw.fence import gate_name, outward
from palewright.draw.fonts import text_width, wrap
from palewright.draw.labels import Option
from palewright.draw.place import HARD, box_of_text
from palewright.draw.words import Words, call_words
from palewright.model import Gate, Plan
from palewright.permit import depth_of, nearest_of_segment
from palewright.plane import Side, add, area, distance, scale, segments_meet, side_points, sides_area, sub, unit

__all__ = ["along_text", "building_distances", "name_arcs", "name_dimension", "name_gate_short"]

XY = tuple[float, float]

_ARC_MM = 21.0
"""How wide the words of an arc may be set [mm]."""

_FAR_M, _NEAR_M = 60.0, 12.0
"""The main building, and any other, farther from a lot line than this are not dimensioned to it [m]."""


def along_text(
    board: Board, text: str, a: XY, b: XY, toward: XY, role: str, size: float = NOTE_MM, weight: str = "regular",
    least: float = 1.5, most: float = 60.0,
) -> bool:  # fmt: skip
    """A text along a line of the world, on the side of the direction ``toward``; whether there was room for it.

    least
        free between line and text [mm].
    """
    p, q = board.at(a), board.at(b)
    length, width = math.dist(p, q), text_width(text, size, weight)
    if length < width * 0.9:
        return False
    angle = readable(math.atan2(p[1] - q[1], q[0] - p[0]))
    up = (-math.sin(angle), -math.cos(angle))
    o, t = board.view.to_page((0.0, 0.0)), board.view.to_page(toward)
    above = up[0] * (t[0] - o[0]) + up[1] * (t[1] - o[1]) > 0.0
    places: list[Option] = []
    for away in (least, least + 2.5, least + 5.0, least + 8.0, least + 12.0):
        for share in (0.5, 0.35, 0.65, 0.25, 0.75):
            base = away if above else -(away + size * 0.75)
            at = (p[0] + (q[0] - p[0]) * share + up[0] * base, p[1] + (q[1] - p[1]) * share + up[1] * base)
            box = box_of_text(at, width, size, "middle", angle, 0.6)
            places.append(((box,), away + abs(share - 0.5), at))
    places.sort(key=itemgetter(1))

    def draw(at: XY) -> None:
        board.write(text, at, size, "middle", angle, weight=weight, role=role)

    return board.labels.put(lambda: places, draw, most) is not None


def building_distances(board: Board, plan: Plan) -> list[tuple[float, XY, XY]]:
    """From every building the least distance to each lot line that it faces, drawn square to the line.

    Returns each distance [m] with its two ends on the page, for :func:`name_dimension`.
    """
    ring = plan.site.ring
    if ring is None:
        return []
    sides, made = ring_sides(ring), []
    left = sides_area(sides) > 0.0
    solid = sorted((ring for _, ring in plan.site.buildings if len(ring) > 2), key=area, reverse=True)
    for n, corners in enumerate(solid):
        for side in sides:
            found = _least(corners, side, left)
            if found is None or found[0] >= (_NEAR_M if n else _FAR_M) or _hidden(plan, corners, *found[1:]):
                continue
            a, b = board.at(found[1]), board.at(found[2])
            if math.dist(a, b) >= 1.0:
                _draw_dimension(board, a, b)
                made.append((found[0], a, b))
    return made


def _least(corners: tuple[XY, ...], side: Side, left: bool) -> tuple[float, XY, XY] | None:
    """Least distance of a building to a side, from where and to where; None where no foot falls on the side."""
    best: tuple[float, XY, XY] | None = None
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        _, at = nearest_of_segment(a, b, side)
        near, far = nearest_of_segment(a, a, side)[0], nearest_of_segment(b, b, side)[0]
        # a wall along the line is dimensioned from its middle
        p = middle if abs(near - far) < 0.01 else at
        depth = depth_of(p, side, left)
        if not 0.0 < depth < _FAR_M:
            continue
        foot = _foot(p, depth, side, left)
        if nearest_of_segment(foot, foot, side)[0] < 1e-6 and (best is None or depth < best[0] - 1e-6):
            best = (depth, p, foot)
    return best


def _foot(p: XY, depth: float, side: Side, left: bool) -> XY:
    if side.sweep:
        return add(side.centre, scale(unit(sub(p, side.centre)), side.radius))
    d = unit(sub(side.b, side.a))
    out = (d[1], -d[0]) if left else (-d[1], d[0])
    return add(p, scale(out, depth))


def _hidden(plan: Plan, own: tuple[XY, ...], p: XY, foot: XY) -> bool:
    """Whether another building stands between a building and the line."""
    rings = [ring for _, ring in plan.site.buildings if ring != own and len(ring) > 2]
    return any(
        segments_meet(p, foot, a, b) is not None
        for ring in rings
        for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)
    )


def _draw_dimension(board: Board, a: XY, b: XY) -> None:
    board.chain((a, b), "dimension", stroke_mm=0.18, weight=60.0, crossing=4.0)
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    for x, y in (a, b):
        tick = ((x - (ux - uy) * 0.8, y - (uy + ux) * 0.8), (x + (ux - uy) * 0.8, y + (uy + ux) * 0.8))
        board.chain(tick, "dimension", stroke_mm=0.35)


def name_dimension(board: Board, dimension: tuple[float, XY, XY], words: Words) -> None:
    """The figure of a distance beside its line."""
    metres, a, b = dimension
    text, length = words.length(metres), math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    half, rise = board.block([text], NOTE_MM)
    spots: list[tuple[XY, float]] = []
    for share in (0.5, 0.35, 0.65, 0.25, 0.75):
        for sign in (1.0, -1.0):
            reach = 0.8 + half * abs(uy) + rise * abs(ux)
            middle = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
            spots.append(
                ((middle[0] - uy * sign * reach, middle[1] + ux * sign * reach), abs(share - 0.5) + (sign < 0))
            )
    spots.sort(key=lambda spot: spot[1])
    board.label([text], ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), spots, role="dimension", pad=0.3)


def name_gate_short(board: Board, plan: Plan, gate: Gate, words: Words) -> None:
    """A gate by its name and opening."""
    posts = {post.label: post.xy for post in plan.design.posts}
    (ax, ay), (bx, by) = (posts[label] for label in gate.posts)
    middle = ((ax + bx) / 2, (ay + by) / 2)
    lines = [gate_name(gate, words), words("opening", opening=words.length(gate.opening_m))]
    half, rise = board.block(lines, NOTE_MM, "bold")
    out = outward(plan.design.legs[gate.leg])
    p, q = board.at(middle), board.at(add(middle, out))
    c, s = unit(sub(q, p)) if distance(p, q) > 0.0 else (0.0, 1.0)
    reach = gate.leaf_m * board.view.mm_per_m
    spots: list[tuple[XY, float]] = []
    for sign in (-1.0, 1.0):
        for far in (2.0, reach + 1.5, reach + 5.0, reach + 9.0):
            away = sign * (far + half * abs(c) + rise * abs(s))
            for shift in (0.0, 5.0, -5.0, 10.0, -10.0):
                spots.append(((p[0] + c * away - s * shift, p[1] + s * away + c * shift), far / 4 + abs(shift) / 4))
    spots.sort(key=lambda spot: spot[1])
    board.label(lines, p, spots, weight="bold", role="gate", id=gate.name, most=HARD)


def name_arcs(board: Board, plan: Plan, words: Words) -> None:
    """The words of the call of each curved side, a part a line, outside it."""
    ring = plan.site.ring
    if ring is None:
        return
    sides = ring_sides(ring)
    left = sides_area(sides) > 0.0
    for course, side in zip(ring.courses, sides, strict=True):
        if not side.sweep or not course.text:
            continue
        lines = [line for part in call_words(words, course).split(", ") for line in wrap(part, NOTE_MM, _ARC_MM)]
        half, rise = board.block(lines, NOTE_MM)
        points = side_points(side, math.inf, 8)
        spots: list[tuple[XY, float]] = []
        for n, at in enumerate((4, 3, 5, 2, 6)):
            inward = unit(sub(points[at], side.centre))
            out = inward if (side.sweep > 0.0) == left else scale(inward, -1.0)
            p, q = board.at(points[at]), board.at(add(points[at], out))
            c, s = unit(sub(q, p))
            for m, far in enumerate((2.0, 5.0, 8.0, 12.0)):
                away = far + half * abs(c) + rise * abs(s)
                spots.append(((p[0] + c * away, p[1] + s * away), n + 1.5 * m))
        spots.sort(key=lambda spot: spot[1])
        board.label(lines, board.at(points[4]), spots, role="course", id=f"side {course.number}")
