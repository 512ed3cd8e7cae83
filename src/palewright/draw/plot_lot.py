"""What lies on and round the lot, drawn: streets, easements, setbacks, sight triangles, drives, trees, pools, walls."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from palewright.boundary import ring_sides
from palewright.draw.board import NOTE_MM, Board
from palewright.draw.plot_marks import along_text
from palewright.draw.symbols import DRIVE_DASH, EASEMENT_HATCH, SETBACK_DASH, SIGHT_DASH, tree_sign
from palewright.draw.words import Words, short
from palewright.model import Permit, Plan
from palewright.permit import inner_side
from palewright.plane import Side, add, left_of, scale, side_points, sides_area, sub, unit
from palewright.record import Record

__all__ = ["StreetLine", "draw_lot", "name_lot", "street_lines"]

XY = tuple[float, float]

_CHORD_M = 0.02


class StreetLine(Record):
    """A line of a street beside a side of the lot, in the world; ``what``: "curb" or "pavement"."""

    what: str
    street: str
    points: tuple[XY, ...]


def _outer(side: Side, distance_m: float, left: bool) -> Sequence[XY]:
    try:
        return side_points(inner_side(side, -distance_m, left), _CHORD_M)
    except ValueError:
        return ()


def street_lines(plan: Plan, permit: Permit) -> Iterator[StreetLine]:
    """Curbs and edges of pavements, as far as their distance from the lot line was typed."""
    ring = plan.site.ring
    if ring is None:
        return
    sides = ring_sides(ring)
    left = sides_area(sides) > 0.0
    for street in permit.streets:
        for number in street.sides:
            for what, off in (("curb", street.curb_m), ("pavement", street.pavement_m)):
                points = _outer(sides[number - 1], off, left) if off is not None else ()
                if points:
                    yield StreetLine(what, street.name, tuple(points))


def draw_lot(board: Board, plan: Plan, permit: Permit) -> None:
    """Areas first, then lines, then signs."""
    k = board.view.mm_per_m
    for easement in permit.easements:
        page = [board.at(p) for p in easement.ring]
        board.area(page, "easement", hatch=EASEMENT_HATCH, stroke_mm=0.2, dash=(0.8, 0.8), id=easement.name)
        board.placer.add_line(page, 2.0, closed=True, crossing=0.3)
    for name, water in permit.pools:
        board.area([board.at(p) for p in water], "lot", stroke_mm=0.3, id=name)
        board.placer.add_line([board.at(p) for p in water], 80.0, closed=True, crossing=5.0)
    for drive in permit.drives:
        for half in (drive.width_m / 2.0, -drive.width_m / 2.0):
            board.chain([board.at(p) for p in _beside(drive.points, half)], "lot", stroke_mm=0.18, dash=DRIVE_DASH,
                        weight=12.0, crossing=2.0, id=drive.name)  # fmt: skip
    for line in street_lines(plan, permit):
        board.chain([board.at(p) for p in line.points], "street", stroke_mm=0.5 if line.what == "curb" else 0.18,
                    weight=20.0, crossing=5.0, id=line.street)  # fmt: skip
    for setback in permit.setbacks:
        side = Side(setback.start, setback.end)
        if setback.arc is not None:
            side = Side(setback.start, setback.end, setback.arc.sweep, setback.arc.centre, setback.arc.radius_m)
        if setback.distance_m * k > 0.6:
            board.chain([board.at(p) for p in side_points(side, _CHORD_M)], "setback", stroke_mm=0.2, dash=SETBACK_DASH,
                        weight=6.0, crossing=1.0, id=setback.rule)  # fmt: skip
    for triangle in permit.triangles:
        page = [board.at(p) for p in triangle.ring]
        board.chain(page, "setback", closed=True, stroke_mm=0.35, dash=SIGHT_DASH, weight=10.0, crossing=2.0,
                    id=triangle.rule)  # fmt: skip
    for wall in permit.walls:
        board.chain(
            [board.at(p) for p in wall.points], "lot", stroke_mm=0.9, dash=(1.5, 0.6), weight=60.0, id=wall.name
        )
    for tree in permit.trees:
        tree_sign(board, board.at(tree.xy), tree.crown_m / 2.0 * k, tree.trunk_m / 2.0 * k, id=tree.name)


def _beside(points: Sequence[XY], off_m: float) -> list[XY]:
    """A path moved to the left, square to its parts; bends are cut short."""
    made = []
    for a, b in itertools.pairwise(points):
        move = scale(left_of(unit(sub(b, a))), off_m)
        made += [add(a, move), add(b, move)]
    return made


def name_lot(board: Board, plan: Plan, permit: Permit, words: Words) -> None:
    """Names of streets, easements, triangles, drives, trees, pools and walls, where there is room."""
    _name_streets(board, plan, permit, words)
    for easement in permit.easements:
        name = short(easement.name, 30)
        text = words("plot_easement", name=name, width=words.length(easement.width_m)) if easement.width_m else name
        _inside(board, text, easement.ring, "easement")
    for name, water in permit.pools:
        _inside(board, short(name, 24), water, "lot")
    done: set[str] = set()
    for triangle in permit.triangles:
        if triangle.thing not in done:
            done.add(triangle.thing)
            _inside(board, words("plot_triangle"), triangle.ring, "setback")
    for drive in permit.drives:
        middle = drive.points[len(drive.points) // 2 - 1], drive.points[len(drive.points) // 2]
        centre = ((middle[0][0] + middle[1][0]) / 2, (middle[0][1] + middle[1][1]) / 2)
        _at(board, short(drive.name, 24), centre, "lot", 0.0)
    for tree in permit.trees:
        _at(board, short(tree.name, 24), tree.xy, "lot", 2.5)
    for wall in permit.walls:
        text = short(wall.name, 24)
        if wall.height_m is not None:
            text = words("plot_wall", name=text, height=words.length(wall.height_m))
        _at(board, text, wall.points[0], "lot", 2.0)


def _name_streets(board: Board, plan: Plan, permit: Permit, words: Words) -> None:
    ring = plan.site.ring
    if ring is None:
        return
    sides = ring_sides(ring)
    left = sides_area(sides) > 0.0
    for street in permit.streets:
        key = "plot_street_front" if street.front else "plot_street"
        text = words(key, name=short(street.name, 30))
        for number in sorted(street.sides, key=lambda number: -math.dist(sides[number - 1].a, sides[number - 1].b)):
            side = sides[number - 1]
            off = street.pavement_m or street.curb_m or 0.0
            points = _outer(side, off, left) or (side.a, side.b)
            normal = left_of(unit(sub(side.b, side.a)))
            out = scale(normal, -1.0 if left else 1.0)
            if along_text(board, text, points[0], points[-1], out, "street", 3.6, "bold", least=1.2):
                break


def _inside(board: Board, text: str, ring: Sequence[XY], role: str) -> None:
    """A name in the middle of an area, or close to it."""
    pages = [board.at(p) for p in ring]
    xs, ys = [p[0] for p in pages], [p[1] for p in pages]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    spread = (max(xs) - min(xs), max(ys) - min(ys))
    spots = [
        ((middle[0] + dx * spread[0], middle[1] + dy * spread[1]), 4.0 * (abs(dx) + abs(dy)))
        for dx in (0.0, -0.2, 0.2, -0.35, 0.35)
        for dy in (0.0, -0.25, 0.25)
    ]
    spots.sort(key=lambda spot: spot[1])
    if board.shows(middle):
        board.label([text], middle, spots, role=role, halo=True, reach=(6.0, 9.0, 13.0, 18.0, 24.0))


def _at(board: Board, text: str, place: XY, role: str, gap: float) -> None:
    p = board.at(place)
    if not board.shows(p):
        return
    half, rise = board.block([text], NOTE_MM)
    spots: list[tuple[XY, float]] = [(p, 0.0)] if not gap else []
    for n, far in enumerate((gap or 2.0, gap + 3.0, gap + 6.0)):
        for m in range(8):
            c, s = math.cos(math.pi * m / 4), math.sin(math.pi * m / 4)
            spots.append(((p[0] + c * (far + half), p[1] + s * (far + rise)), 1.0 + 2.0 * n + 0.1 * m))
    board.label([text], p, spots, role=role, halo=True)
