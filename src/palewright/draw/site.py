"""What is there, drawn: boundary, buildings, zones, old fences."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from palewright.boundary import ring_sides
from palewright.draw.board import NOTE_MM, Board, clip_chain, clip_ring, readable
from palewright.draw.fonts import text_width
from palewright.draw.labels import Option
from palewright.draw.palette import BUILDING, utility_colour, utility_hatch, zone_layer
from palewright.draw.place import box_of_text
from palewright.draw.symbols import (
    BOUNDARY_DASH,
    BOUNDARY_SOLID,
    corner_sign,
    footing_sign,
    old_fence_sign,
    thing_sign,
)
from palewright.draw.words import Words, call_words, corners_found, short
from palewright.model import Course, Plan, Ring, SitePoint, Zone
from palewright.plane import side_points, signed_area

__all__ = ["draw_site", "name_site", "zone_outline"]

XY = tuple[float, float]

_LINE, _LINE_OF_DETAIL = 22.0, 250.0
"""What it costs words to lie over the boundary; in a detail, made to be read, so much that it is rather larger."""

_SHARES = (0.5, 0.42, 0.58, 0.35, 0.65, 0.27, 0.73, 0.2, 0.8)
"""Where along a line words are tried."""

_INDOORS = 40.0
"""What it costs a word to stand on a building."""


def zone_outline(zone: Zone) -> list[XY]:
    """Outline of a zone in the world [m]: its centre line widened by ``half_m``, ends and corners round."""
    points = list(dict.fromkeys(zone.points))
    half = zone.half_m
    if len(points) == 1 or half <= 0.0:
        return _round(points[0], half, 0.0, 2 * math.pi) if len(points) == 1 else points
    path = [*points, *([] if zone.closed else points[-2:0:-1])]
    if zone.closed and signed_area(path) < 0.0:
        path.reverse()
    outline: list[XY] = []
    n = len(path)
    for k in range(n):
        a, b, c = path[k - 1], path[k], path[(k + 1) % n]
        before, after = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
        turn = math.atan2(math.sin(after - before), math.cos(after - before))
        if turn <= -math.pi + 1e-9:
            turn = math.pi
        if turn >= 0.0:
            outline += _round(b, half, before - math.pi / 2, turn)
        else:
            mid = before + turn / 2 - math.pi / 2
            reach = half / max(math.cos(turn / 2), 0.2)
            outline.append((b[0] + reach * math.cos(mid), b[1] + reach * math.sin(mid)))
    return outline


def _round(centre: XY, radius: float, start: float, sweep: float) -> list[XY]:
    steps = max(1, math.ceil(sweep / math.radians(15)))
    turns = [start + sweep * k / steps for k in range(steps + 1)]
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns]


def draw_site(board: Board, plan: Plan, light: bool = False) -> None:
    """Buildings, zones, old fences and boundary, in that order; ``light`` for a sheet where they are background."""
    for name, ring in plan.site.buildings:
        page = [board.at(p) for p in ring]
        board.area(page, "building", fill=BUILDING, stroke_mm=0.35, id=name)
        board.placer.add_line(page, 60.0, closed=True, crossing=10.0)
        board.placer.add_ground(page, _INDOORS)
    for point in plan.site.points:
        if point.how == "thing":
            thing_sign(board, board.at(point.xy), id=point.name)
    footings = {p for removal in plan.site.removals for p in removal.posts}
    for zone in plan.site.zones:
        if zone.points[0] not in footings:
            _zone(board, zone, light)
    for removal in plan.site.removals:
        for a, b in itertools.pairwise(board.at(p) for p in removal.points if not light or removal.then == "leave"):
            old_fence_sign(board, a, b, removal.then, id=removal.name)
        for p in removal.posts:
            footing_sign(board, board.at(p), removal.footing_m / 2 * board.view.mm_per_m, removal.then, id=removal.name)
    if plan.site.ring is not None:
        _boundary(board, plan.site.ring)


def _zone(board: Board, zone: Zone, light: bool) -> None:
    colour, layer = utility_colour(zone.utility), zone_layer(zone.utility)
    page = [board.at(p) for p in zone_outline(zone)]
    tiny = len(zone.points) == 1 and zone.half_m * board.view.mm_per_m < 1.6
    board.area(page, layer, hatch=None if tiny else utility_hatch(zone.kind), stroke_mm=0.18 if tiny else 0.25,
               dash=() if tiny else (1.2, 0.8), colour=colour, id=zone.name)  # fmt: skip
    board.placer.add_line(page, 2.0, closed=True, crossing=0.3)
    if len(zone.points) > 1 and not zone.closed and not light:
        width = 2.0 * zone.half_m * board.view.mm_per_m
        board.placer.add_line([board.at(p) for p in zone.points], 4.0, thick=width, crossing=0.3)
    if len(zone.points) > 1 and not zone.closed:
        board.chain(
            [board.at(p) for p in zone.points],
            layer,
            stroke_mm=0.5,
            colour=colour,
            weight=16.0,
            crossing=1.0,
            id=zone.name,
        )


def _boundary(board: Board, ring: Ring) -> None:
    dash = BOUNDARY_SOLID if ring.status.located else BOUNDARY_DASH
    heavy = _LINE if board.only is None else _LINE_OF_DETAIL
    for course, side in zip(ring.courses, ring_sides(ring), strict=True):
        mark = f"side {course.number}"
        if side.sweep:
            start = math.atan2(side.a[1] - side.centre[1], side.a[0] - side.centre[0]) + board.view.rotation
            radius = side.radius * board.view.mm_per_m
            board.bow(board.at(side.centre), radius, start, side.sweep, "boundary", weight=heavy, stroke_mm=0.35,
                      dash=dash, id=mark)  # fmt: skip
        else:
            board.chain((board.at(side.a), board.at(side.b)), "boundary", stroke_mm=0.35, dash=dash, weight=heavy,
                        crossing=6.0, id=mark)  # fmt: skip
    for corner in ring.corners:
        corner_sign(board, board.at(corner.xy), corner.counts, id=corner.name)


def name_site(
    board: Board, plan: Plan, words: Words, light: bool = False, within: dict[str, str] | None = None
) -> None:
    """Names of corners, sides, zones, buildings and old fences, where there is room; ``within``: said after a name."""
    ring = plan.site.ring
    if ring is not None:
        _name_corners(board, ring, words, light)
    for removal in () if light else plan.site.removals:
        middle = removal.points[len(removal.points) // 2 - 1], removal.points[len(removal.points) // 2]
        p, q = board.at(middle[0]), board.at(middle[1])
        key = "old_fence_pull" if removal.then == "pull" else "old_fence_leave"
        _name_line(board, words(key, name=short(removal.name)), p, q, "removal", 30.0, 4.6)

    if ring is not None:
        for course in () if light else ring.courses:
            _name_side(board, ring, course, words)
    for zone in plan.site.zones:
        if zone.kind in ("no hole", "hand dig"):
            _name_zone(board, zone)
    for name, polygon in plan.site.buildings:
        seen = clip_ring([board.at(p) for p in polygon], board.window)
        if len(seen) > 2:
            centre = (sum(p[0] for p in seen) / len(seen), sum(p[1] for p in seen) / len(seen))
            spots = [((centre[0], centre[1] + dy), abs(dy) / 2) for dy in (0.0, 5.0, -5.0)]
            board.label([short(name)], centre, spots, 3.2, role="building", lead=False)
    for point in plan.site.points:
        if point.how == "thing":
            _name_thing(board, point, (within or {}).get(point.name, ""))


def _name_corners(board: Board, ring: Ring, words: Words, light: bool) -> None:
    mid = (
        sum(c.xy[0] for c in ring.corners) / len(ring.corners),
        sum(c.xy[1] for c in ring.corners) / len(ring.corners),
    )
    centre = board.at(mid)
    for corner in ring.corners:
        p = board.at(corner.xy)
        if not board.names(p):
            continue
        name = short(corner.name, 20)
        lines = [name] if light else [words("corner_record", name=name)]
        if corner.found and not light:
            parts = [short(part) for part in corner.found.split(", ")[:3]]
            lines = [f"{name}:", *parts] if len(corner.found) > 14 else [f"{name}: {corner.found}"]
        half, rise = board.block(lines, NOTE_MM)
        sx, sy = (1.0 if p[0] >= centre[0] else -1.0), (1.0 if p[1] >= centre[1] else -1.0)
        spots = [
            ((p[0] + dx * (half + 2.0), p[1] + dy * (rise + 2.0)), cost)
            for dx, dy, cost in ((sx, sy, 0.0), (-sx, sy, 1.0), (sx, -sy, 2.0), (-sx, -sy, 3.0))
        ]
        board.label(lines, p, spots, role="corner", id=corner.name)


def _name_side(board: Board, ring: Ring, course: Course, words: Words) -> None:
    """The words of a call along its side; along the tangent in the middle of an arc."""
    if not course.text:
        return
    side = ring_sides(ring)[course.number - 1]
    a, b = board.at(side.a), board.at(side.b)
    if side.sweep:
        middle = board.at(side_points(side, math.inf, 2)[1])
        dx, dy = middle[0] - (a[0] + b[0]) / 2, middle[1] - (a[1] + b[1]) / 2
        a, b = (a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)
    _name_line(board, call_words(words, course), a, b, "course", 40.0, 16.0)
    if not ring.status.located:
        said = corners_found(words, "not_located", ring.status)
        _beside(board, said, a, b, "course", 14.0, 16.0)


def _beside(board: Board, text: str, a: XY, b: XY, role: str, most: float, far: float) -> bool:
    """A text along a line and no farther than ``far`` from it, on whichever side has room for less than ``most``."""
    size, width = NOTE_MM, text_width(text, NOTE_MM)
    if math.dist(a, b) < width * 0.8:
        return False
    angle = readable(math.atan2(a[1] - b[1], b[0] - a[0]))
    nx, ny = -math.sin(angle), -math.cos(angle)

    def options() -> Iterator[Option]:
        for away in (gap for gap in (1.0, 2.8, 4.6, 6.4, 8.2, 11.8, 15.4) if gap <= far):
            for t, side in itertools.product(_SHARES, (1.0, -1.0)):
                up = away if side > 0 else -(away + size * 0.75)
                at = (a[0] + (b[0] - a[0]) * t + nx * up, a[1] + (b[1] - a[1]) * t + ny * up)
                yield ((box_of_text(at, width, size, "middle", angle, 0.5),), away, at)

    def draw(at: XY) -> None:
        board.write(text, at, size, "middle", angle, role=role)

    return board.labels.put(options, draw, most) is not None


def _name_line(board: Board, text: str, a: XY, b: XY, role: str, most: float, far: float) -> None:
    """A text along a line, else on a leader to it."""
    parts = clip_chain((a, b), board.window)
    if not parts or _beside(board, text, a, b, role, most, far):
        return
    (ax, ay), (bx, by) = parts[0]
    rise = board.block([text], NOTE_MM)[1]
    feet = [(ax + (bx - ax) * t, ay + (by - ay) * t) for t in _SHARES]
    spots = [((x, y + side * (rise + 2.0)), 1.0) for x, y in feet for side in (1.0, -1.0)]
    board.label([text], feet[0], spots, role=role, pad=1.0, feet=feet)


def _name_thing(board: Board, point: SitePoint, within: str) -> None:
    p = board.at(point.xy)
    if not board.names(p, 2.0):
        return
    text = f"{short(point.name)} {within}".rstrip()
    half, rise = board.block([text], NOTE_MM)
    spots = []
    for n, gap in enumerate((2.0, 4.5)):
        for k in range(12):
            c, s = math.cos(math.pi * k / 6), math.sin(math.pi * k / 6)
            reach = gap + min(half / max(abs(c), 1e-6), rise / max(abs(s), 1e-6))
            spots.append(((p[0] + c * reach, p[1] + s * reach), 2.0 * n + 0.01 * k))
    board.label([text], p, spots, role="thing", id=point.name)


def _name_zone(board: Board, zone: Zone) -> None:
    pages = [board.at(p) for p in zone.points]
    seen = [p for p in pages if board.shows(p, 2.0)]
    for a, b in itertools.pairwise(pages):
        seen += [
            q for t in (0.25, 0.5, 0.75) if board.shows(q := (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t), 2.0)
        ]
    if not seen:
        return
    anchor = seen[len(seen) // 2]
    half, rise = board.block([short(zone.name)], NOTE_MM)
    reach = zone.half_m * board.view.mm_per_m
    spots = []
    if zone.closed:
        middle = (sum(p[0] for p in pages) / len(pages), sum(p[1] for p in pages) / len(pages))
        spots.append((middle, 0.0))
    for p in seen:
        for side in (1.0, -1.0):
            spots.append(((p[0] + side * (reach + half + 1.2), p[1]), 1.0))
            spots.append(((p[0], p[1] + side * (reach + rise + 1.2)), 1.5))
    spots.sort(key=lambda spot: spot[1])
    board.label([short(zone.name)], anchor, spots, role="zone", halo=True, id=zone.name)
