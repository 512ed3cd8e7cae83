"""Walls that stand: posts in line with one, and where on it a bracket or a string is fastened."""

from __future__ import annotations

import itertools

from palewright.model import Job, Post, Remark, Site, SitePoint, StringLine
from palewright.plane import XY, cross, distance, dot, segment_distance, sub, unit
from palewright.record import Record
from palewright.stakeout.line import Line

__all__ = ["InLine", "Wall", "in_line", "things_of", "wall_remarks", "walls_of"]

_SAME_M = 0.001
_ON_M = 0.02

Arg = tuple[str, float | int | str]


class Wall(Record):
    """A straight wall of a building between two corners; their names where they have one."""

    building: str
    ends: tuple[XY, XY]
    names: tuple[str, str]

    @property
    def name(self) -> str:
        """Its corners by name, or the building."""
        return " – ".join(self.names) if all(self.names) else self.building


class InLine(Record):
    """A post in line with a wall: how far past its end ``start``, at ``xy`` [m]."""

    wall: Wall
    start: str
    xy: XY
    length_m: float


def walls_of(site: Site) -> list[Wall]:
    """Every wall of every building."""

    def name(at: XY) -> str:
        return next((p.name for p in site.points if distance(p.xy, at) < _SAME_M), "")

    return [
        Wall(building, (a, b), (name(a), name(b)))
        for building, ring in site.buildings
        for a, b in itertools.pairwise((*ring, ring[0]) if len(ring) > 2 else ring)
        if distance(a, b) > _SAME_M
    ]


def things_of(job: Job, site: Site, walls: list[Wall]) -> list[SitePoint]:
    """Points to hold a tape to: things of walks and walls, points where something stands, found monuments, corners of
    buildings and points on their walls.
    """
    corners = {ref.name for _, refs in job.buildings for ref in refs if ref.name}
    corners |= {point.name for point in job.points if point.stands}
    return [
        p
        for p in site.points
        if not p.assumed_angle
        and (p.how == "thing" or p.found or p.name in corners or any(_on(wall, p.xy, _SAME_M) for wall in walls))
    ]


def in_line(walls: list[Wall], at: XY, off: float, most: float) -> InLine | None:
    """The nearest wall whose line goes through ``at``, no farther past its end than it is long.

    off
        how far beside the line [m]; most: the longest tape [m].
    """
    found: list[tuple[float, str, XY, Wall]] = []
    for wall in walls:
        for near, far, name in ((*wall.ends, wall.names[0]), (*wall.ends[::-1], wall.names[1])):
            u, v = unit(sub(near, far)), sub(at, near)
            along = dot(u, v)
            if name and _SAME_M < along <= min(distance(near, far), most) and abs(cross(u, v)) <= off:
                found.append((along, name, near, wall))
    if not found:
        return None
    along, name, near, wall = min(found, key=lambda one: one[:2])
    return InLine(wall, name, near, along)


def wall_remarks(job: Job, site: Site, lines: list[Line], strings: list[StringLine]) -> list[Remark]:
    """Where brackets and strings are on a wall, and strings that run parallel to one."""
    walls = walls_of(site)
    made: dict[str, Remark] = {}
    things = things_of(job, site, walls)
    for line, string in zip(lines, strings, strict=True):
        about = f"string {line.name}"
        for end, post in enumerate((line.posts[0], line.posts[-1])):
            beside = line.posts[0 if end else -1]
            if post.hole is None and post.label not in made:
                made[post.label] = _bracket(walls, things, post, beside.xy)
            if line.ends[end].kind == "wall":
                wall = next((w for w in walls if _on(w, line.point(line.ends[end].s), _ON_M)), None)
                if wall is not None:
                    args = _along(wall, line.point(line.ends[end].s), beside.xy)
                    made[f"{about} {end}"] = Remark("string-at-wall", "note", about, (("string", line.name), *args))
            beyond = next((w for w in walls if _parallel(w, line, post, job.stakes.tolerance_m / 2.0)), None)
            if beyond is not None:
                more = (("string", line.name), ("wall", beyond.name), ("offset_m", string.offset_m))
                made[f"{about} along"] = Remark("string-along-wall", "note", about, more)
    return list(made.values())


def _on(wall: Wall, at: XY, off: float) -> bool:
    return segment_distance(at, *wall.ends) <= off


def _parallel(wall: Wall, line: Line, post: Post, off: float) -> bool:
    """Whether the fence goes on, past ``post``, in line with the wall."""
    u = unit(sub(wall.ends[1], wall.ends[0]))
    if any(abs(cross(u, sub(p.xy, wall.ends[0]))) > off for p in line.posts):
        return False
    near = min(distance(end, post.xy) for end in wall.ends)
    return near <= min(distance(end, p.xy) for end in wall.ends for p in line.posts) + _SAME_M


def _bracket(walls: list[Wall], things: list[SitePoint], post: Post, seen: XY) -> Remark:
    """Where a bracket is screwed to the wall, as seen from ``seen``."""
    about, args = f"post {post.label}", (("bracket", post.label),)
    at = next((thing.name for thing in things if distance(thing.xy, post.xy) < _SAME_M), "")
    on = [wall for wall in walls if _on(wall, post.xy, _ON_M)]
    if at and (not on or any(min(distance(end, post.xy) for end in wall.ends) < _SAME_M for wall in on)):
        return Remark("bracket-place", "note", about, (*args, ("at", at)))
    if not on:
        return Remark("bracket-not-locatable", "caution", about, args)
    more: tuple[Arg, ...] = (("on", at),) if at else ()
    return Remark("bracket-place", "note", about, (*args, *more, *_along(on[0], post.xy, seen)))


def _along(wall: Wall, at: XY, seen: XY) -> tuple[Arg, ...]:
    """How far a point of a wall is from both its ends: by their names, or from left and right as seen from ``seen``."""
    far = [abs(dot(unit(sub(wall.ends[1], wall.ends[0])), sub(at, end))) for end in wall.ends]
    if all(wall.names):
        return (("first", wall.names[0]), ("first_m", far[0]), ("second", wall.names[1]), ("second_m", far[1]))
    # Seen from its left, a wall goes from the right hand to the left.
    left = cross(sub(wall.ends[1], wall.ends[0]), sub(seen, wall.ends[0])) < 0.0
    return (("wall", wall.building), ("left_m", far[0 if left else 1]), ("right_m", far[1 if left else 0]))
