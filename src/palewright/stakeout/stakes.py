"""Where a stake can stand: inside the boundary, clear of zones, holes and buildings. A stake is a hole too."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator

from palewright.boundary import ring_sides
from palewright.model import Design, Job, Site, Zone
from palewright.plane import (
    XY,
    cross,
    distance_to_ring,
    inside,
    line_meet,
    path_of_sides,
    point_path_distance,
    scale,
    segments_meet,
    sub,
)
from palewright.stakeout.line import Line

__all__ = ["STAKE_DEPTH_M", "STAKE_RADIUS_M", "Ground", "zone_clear"]

STAKE_RADIUS_M = 0.0254
"""Half the width of a stake [m]: 2 in across (common practice)."""
STAKE_DEPTH_M = 0.4572
"""How deep a stake is driven [m]: 18 in (common practice)."""

_SHOWN_M = 0.0016
_ARC_ERROR_M = 0.001  # chords for a curved side: a millimetre, against stakes two inches across
_STANDING_M = 0.1524
_STEP_M = 0.0762
_NEAR_M = 0.0762
"""A zone edge this near a stake is told [m]: 3 in (our own choice)."""
_LEAST_M = 0.1524
_OUTWARD_M = 1.8288
_REACH_M = 8.0


class Ground:
    """What a stake must keep clear of, prepared once for a job."""

    def __init__(self, job: Job, site: Site, design: Design) -> None:
        self._ring = path_of_sides(ring_sides(site.ring), _ARC_ERROR_M) if site.ring else []
        self._bounded: dict[str, bool] = {}
        self._paint = job.stakes.paint_m
        self._zones = [
            (zone, _box(zone.points, zone.half_m + job.stakes.paint_m + STAKE_RADIUS_M)) for zone in site.zones
        ]
        holes = [(p.xy[0], p.xy[1], p.hole.diameter_m / 2.0, p.label) for p in design.posts if p.hole is not None]
        self._holes = sorted(holes)
        self._widest = max((radius for _, _, radius, _ in holes), default=0.0)
        self._buildings = [ring for _, ring in site.buildings]

    def fence_inside(self, line: Line) -> bool:
        """Whether both ends of the line stand inside the boundary, so that its stakes must too."""
        if line.name not in self._bounded:
            ends = (line.posts[0].xy, line.posts[-1].xy)
            self._bounded[line.name] = bool(self._ring) and all(distance_to_ring(p, self._ring) >= -1e-6 for p in ends)
        return self._bounded[line.name]

    def within(self, at: XY) -> bool:
        """Whether a place lies in the boundary, or on it; True without one."""
        return not self._ring or distance_to_ring(at, self._ring) >= 0.0

    def blocked(self, at: XY, start: XY, bounded: bool, paint: bool) -> str:
        """What forbids a stake at ``at`` on a string from ``start``, in the words of ``Stake.moved``; or ""."""
        if bounded and distance_to_ring(at, self._ring) < STAKE_RADIUS_M:
            return "boundary"
        margin = STAKE_RADIUS_M + (self._paint if paint else 0.0)
        for zone, box in self._zones:
            if box[0] <= at[0] <= box[2] and box[1] <= at[1] <= box[3] and zone_clear(zone, at) < margin:
                return f"zone {zone.name}"
        window = self._widest + STAKE_RADIUS_M + _STANDING_M
        for k in range(bisect_left(self._holes, (at[0] - window,)), len(self._holes)):
            x, y, radius, label = self._holes[k]
            if x > at[0] + window:
                break
            reach = radius + STAKE_RADIUS_M + _STANDING_M
            if abs(x - at[0]) < reach and abs(y - at[1]) < reach and math.hypot(x - at[0], y - at[1]) < reach:
                return f"post {label}"
        for ring in self._buildings:
            if inside(at, ring) or _crosses(start, at, ring):
                return "building"
        return ""

    def zones_near(self, at: XY) -> list[tuple[str, float]]:
        """Zones whose edge lies within 3 in of a stake at ``at``, and how far off it lies [m]; 0 inside."""
        clear = [(zone, zone_clear(zone, at) - STAKE_RADIUS_M) for zone, _ in self._zones]
        return [(zone.name, max(0.0, off)) for zone, off in clear if zone.kind != "loose ground" and off < _NEAR_M]

    def place(self, line: Line, end: int, corner: float, beyond: float) -> tuple[float, str, str]:
        """Place of a stake: (distance past the end of the string's work [m], moved because of, refused because of).

        It is moved only when it stands elsewhere than wanted by more than a tape shows.
        corner
            how far past the crossing the point opposite the end post lies [m] (negative: short of it).
        beyond
            how far past both the stake is wanted [m].
        """
        out = 1.0 if end else -1.0
        origin = line.ends[end].s
        start = line.point(origin)
        bounded = self.fence_inside(line)
        outer = max(corner, 0.0)
        wanted, most = outer + beyond, outer + beyond + _OUTWARD_M
        first = ""
        if bounded:
            u = line.d if end else scale(line.d, -1.0)
            most = min(most, self._room(start, u))
            if most < wanted:
                first = "boundary"
        for paint in (True, False):
            for t in _candidates(wanted, outer, most):
                why = self.blocked(line.point(origin + out * t), start, bounded, paint)
                if not why:
                    return t, first if abs(t - wanted) > _SHOWN_M else "", ""
                first = first or why
        return wanted, "", first

    def _room(self, start: XY, u: XY) -> float:
        """How far a stake can stand from ``start`` along ``u`` before it leaves the boundary [m]; negative outside."""
        if not inside(start, self._ring):
            return -math.inf
        room = math.inf
        for a, b in itertools.pairwise((*self._ring, self._ring[0])):
            v = sub(b, a)
            length = math.hypot(v[0], v[1])
            hit = line_meet(start, u, a, (v[0] / length, v[1] / length)) if length else None
            if hit is not None and hit[0] > 0.0 and 0.0 <= hit[1] <= length:
                room = min(room, hit[0] - STAKE_RADIUS_M * length / abs(cross(u, v)) - 1e-9)
        return room

    def buildings_between(self, a: XY, b: XY, slack: float = 0.05) -> bool:
        """Whether a building stands between two points; ``slack`` [m] is left out at both ends."""
        if not self._buildings:
            return False
        length = math.hypot(b[0] - a[0], b[1] - a[1])
        if length <= 2.0 * slack:
            return False
        u = ((b[0] - a[0]) / length * slack, (b[1] - a[1]) / length * slack)
        a, b = (a[0] + u[0], a[1] + u[1]), (b[0] - u[0], b[1] - u[1])
        middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
        return any(_crosses(a, b, ring) or inside(middle, ring) for ring in self._buildings)

    def sighted(self, line: Line, low: float, high: float, longest: float) -> list[float]:
        """Places along the string between its stakes that hold it, no two further apart than ``longest`` [m].

        Evenly spaced; moved along the string, off holes, zones and buildings, by no more than the spans allow.
        """
        if high - low <= longest + 1e-9:
            return []
        bounded = self.fence_inside(line)
        for spans in range(math.ceil((high - low) / longest - 1e-9), math.ceil((high - low) / longest) + 6):
            places = self._sighted(line, low, high, spans, longest, bounded)
            if places is not None:
                return places
        count = math.ceil((high - low) / longest - 1e-9)
        return [low + (high - low) * k / count for k in range(1, count)]

    def _sighted(
        self, line: Line, low: float, high: float, spans: int, longest: float, bounded: bool
    ) -> list[float] | None:
        places: list[float] = []
        last = low
        for k in range(1, spans):
            even = low + (high - low) * k / spans
            for j in range(int((high - low) / spans / _STEP_M)):
                place = even + (j + 1) // 2 * _STEP_M * (1 if j % 2 else -1)
                if place <= last or place - last > longest + 1e-9:
                    continue
                if high - place > longest * (spans - k) + 1e-9 or self._on_hole(line, place):
                    continue
                at = line.point(place)
                if not self.blocked(at, at, bounded, True):
                    break
            else:
                return None
            places.append(place)
            last = place
        return places

    def _on_hole(self, line: Line, place: float) -> bool:
        window = self._widest + _STANDING_M
        low, high = bisect_left(line.at, place - window), bisect_right(line.at, place + window)
        return any(
            post.hole is not None and abs(at - place) < post.hole.diameter_m / 2.0 + _STANDING_M
            for post, at in zip(line.posts[low:high], line.at[low:high], strict=True)
        )


def _candidates(wanted: float, outer: float, most: float) -> Iterator[float]:
    """Places to try up to ``most``, nearest to the wanted one first; last those short of the corner post."""
    begin = min(wanted, most)
    if begin >= outer + _LEAST_M:
        yield begin
    for k in range(1, int(_REACH_M / _STEP_M)):
        if begin - k * _STEP_M >= outer + _LEAST_M:
            yield begin - k * _STEP_M
        if wanted + k * _STEP_M <= most:
            yield wanted + k * _STEP_M
    place = min(outer + _LEAST_M / 2.0, most)
    while outer > _LEAST_M and place >= _LEAST_M:
        yield place
        place -= _STEP_M


def zone_clear(zone: Zone, at: XY) -> float:
    """From a point to the edge of a zone [m]; negative inside."""
    if zone.closed and len(zone.points) > 2 and inside(at, zone.points):
        return -1.0
    return point_path_distance(at, zone.points, zone.closed) - zone.half_m


def _box(points: tuple[XY, ...], reach: float) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) - reach, min(ys) - reach, max(xs) + reach, max(ys) + reach)


def _crosses(a: XY, b: XY, ring: tuple[XY, ...]) -> bool:
    return any(segments_meet(a, b, c, d) is not None for c, d in itertools.pairwise((*ring, ring[0])))
