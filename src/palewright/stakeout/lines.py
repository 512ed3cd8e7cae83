"""Which legs one string serves, on which side it runs, and what stands at its ends."""

from __future__ import annotations

import itertools
import math

from palewright.model import Design, Job, Leg, Post, RunSpec, Site
from palewright.plane import XY, add, cross, distance, dot, left_of, line_meet, scale, segment_distance, sub, unit
from palewright.stakeout.arcs import bowed, choose, is_curve
from palewright.stakeout.line import End, Line
from palewright.stakeout.stakes import Ground

__all__ = ["build_lines"]

_COLLINEAR = 5e-5
_FLAT = math.sin(math.radians(10.0))
_NOISE_M = 1e-9
_WALL_NEAR_M = 0.1
_WALL_FLAT = math.sin(math.radians(20.0))


def build_lines(job: Job, site: Site, design: Design, ground: Ground) -> list[Line]:
    """The strings of a design, in walking order, each with its ends; zero end first."""
    specs = {spec.name: spec for spec in job.runs}
    posts = {post.label: post for post in design.posts}
    lines: list[Line] = []
    for legs in bowed([legs for legs in _chains(design, specs) if legs[0].posts], posts):
        lines += _curve(job, specs, posts, legs, ground) if is_curve(legs) else [_line(job, specs, posts, legs)]
    for k, line in enumerate(lines):
        line.name = _letters(k)
    at_post: dict[str, list[int]] = {}
    for index, line in enumerate(lines):
        for post in line.posts:
            at_post.setdefault(post.label, []).append(index)
    for index, line in enumerate(lines):
        line.ends = [_end(site, lines, at_post, index, end) for end in (0, 1)]
    rank = {"crossing": 0, "wall": 1, "stake line": 2}
    for line in lines:
        if rank[line.ends[1].kind] < rank[line.ends[0].kind]:
            line.reverse()
    for line in lines:
        line.low = min(0.0, line.ends[0].s, line.ends[1].s)
    for line in lines:
        for end in line.ends:
            if end.partner >= 0:
                other = lines[end.partner]
                along = dot(sub(line.point(end.s), other.base), other.d)
                if along < other.low - _NOISE_M:
                    other.low = along
    return lines


def _letters(k: int) -> str:
    name = ""
    while True:
        name = chr(ord("A") + k % 26) + name
        k = k // 26 - 1
        if k < 0:
            return name


def _direction(leg: Leg) -> XY:
    return unit(sub(leg.end, leg.start))


def _same(a: Leg, b: Leg, specs: dict[str, RunSpec]) -> bool:
    """Whether one string can serve leg ``a`` and then ``b``."""
    if not a.posts or not b.posts or a.posts[-1] != b.posts[0] or a.yard != b.yard:
        return False
    if a.run != b.run and _strings(specs, a) != _strings(specs, b):
        return False
    u, v = _direction(a), _direction(b)
    return abs(cross(u, v)) < _COLLINEAR and dot(u, v) > 0.0


def _strings(specs: dict[str, RunSpec], leg: Leg) -> str:
    spec = specs.get(leg.run)
    return "out" if spec is not None and spec.strings == "out" else "yard"


def _chains(design: Design, specs: dict[str, RunSpec]) -> list[list[Leg]]:
    chains: list[list[Leg]] = []
    legs = {leg.index: leg for leg in design.legs}
    for run in design.runs:
        own: list[list[Leg]] = []
        for index in run.legs:
            leg = legs[index]
            if own and _same(own[-1][-1], leg, specs):
                own[-1].append(leg)
            else:
                own.append([leg])
        if run.closed and len(own) > 1 and _same(own[-1][-1], own[0][0], specs):
            own[-1].extend(own.pop(0))
        for chain in own:
            before = next((c for c in chains if _same(c[-1], chain[0], specs)), None)
            after = next((c for c in chains if c is not before and _same(chain[-1], c[0], specs)), None)
            if before is not None:
                before.extend(chain)
            elif after is not None:
                after[:0] = chain
            else:
                chains.append(chain)
    return chains


def _curve(job: Job, specs: dict[str, RunSpec], posts: dict[str, Post], legs: list[Leg], ground: Ground) -> list[Line]:
    """One string for the bays of a curve, or one for each bay where no such string can stand."""
    straight = _line(job, specs, posts, legs)

    def make(way: XY | None, other: bool) -> Line:
        d = way or straight.d
        yard = left_of(d) if legs[0].yard != "right" else scale(left_of(d), -1.0)
        side = {"yard": "out", "out": "yard"}[straight.side] if other else straight.side
        n = yard if side == "yard" else scale(yard, -1.0)
        stand = list(straight.posts)
        bulge = max(0.0, *(dot(sub(post.xy, stand[0].xy), n) for post in stand))
        walls = list(straight.walls)
        line = Line("", list(legs), stand, d, n, yard, side, straight.offset + bulge, walls, curved=True)
        line.measure()
        return line

    line = choose(make, legs, ground, job.stakes.beyond_m)
    return [line] if line is not None else [_line(job, specs, posts, [leg]) for leg in legs]


def _line(job: Job, specs: dict[str, RunSpec], posts: dict[str, Post], legs: list[Leg]) -> Line:
    labels = list(legs[0].posts)
    for leg in legs[1:]:
        labels.extend(leg.posts[1:])
    stand = [posts[label] for label in labels]
    d = unit(sub(stand[-1].xy, stand[0].xy))
    yard = left_of(d) if legs[0].yard != "right" else scale(left_of(d), -1.0)
    side = _strings(specs, legs[0])
    n = yard if side == "yard" else scale(yard, -1.0)
    walls = [_wall(specs, legs[0], stand[0], 0), _wall(specs, legs[-1], stand[-1], 1)]
    line = Line("", legs, stand, d, n, yard, side, job.stakes.offset_m, walls)
    line.measure()
    return line


def _wall(specs: dict[str, RunSpec], leg: Leg, post: Post, end: int) -> float | None:
    """Distance from the end post to the wall that stands there, along the leg [m]; None without a wall."""
    if post.number == 0:
        return 0.0
    spec = specs.get(leg.run)
    if spec is None or spec.closed or not spec.through:
        return None
    named = spec.through[-1 if end else 0].name
    for said in spec.ends:
        if said.point == named and said.how in {"post at wall", "post clear"}:
            return post.width_m / 2.0 + (said.clear_m if said.how == "post clear" else 0.0)
    return None


def _end(site: Site, lines: list[Line], at_post: dict[str, list[int]], index: int, end: int) -> End:
    line = lines[index]
    post = line.posts[-1 if end else 0]
    opposite = line.at[-1] if end else 0.0
    flat = False
    best: tuple[int, float, int, float] | None = None
    for other in at_post[post.label]:
        if other == index:
            continue
        across = abs(cross(line.d, lines[other].d))
        if across < _FLAT:
            flat = True
            continue
        hit = line_meet(line.point(0.0), line.d, lines[other].point(0.0), lines[other].d)
        if hit is None:
            continue
        strange = 0 if lines[other].legs[0].run == line.legs[0].run else 1
        found = (strange, -across, other, hit[0])
        best = min(best, found) if best is not None else found
    if best is not None:
        return End("crossing", best[3], best[2])
    wall = line.walls[end]
    if wall is not None:
        s, assumed = _wall_at(site, line, end, wall)
        if s is not None:
            return End("wall", s, wall_assumed=assumed)
    return End("stake line", opposite, flat=flat)


def _wall_at(site: Site, line: Line, end: int, wall: float) -> tuple[float | None, bool]:
    """Where the string meets the wall, and whether the wall was only assumed square to it. None: it misses the wall."""
    square = line.at[-1] + wall if end else -wall
    face = add(line.base, scale(line.d, square))
    along = False
    for _, ring in site.buildings:
        for a, b in itertools.pairwise((*ring, ring[0])):
            if distance(a, b) == 0.0 or segment_distance(face, a, b) > _WALL_NEAR_M:
                continue
            u = unit(sub(b, a))
            if abs(cross(line.d, u)) < _WALL_FLAT:
                along = True  # the fence goes on in line with the wall: no face to tie a string to
                continue
            hit = line_meet(line.point(0.0), line.d, a, u)
            if hit is None:
                continue
            return (hit[0], False) if -0.02 <= hit[1] <= distance(a, b) + 0.02 else (None, False)
    return (None, False) if along else (square, True)
