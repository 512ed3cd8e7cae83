"""Which legs one string serves, on which side it runs, and what stands at its ends."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

from palewright.model import Design, Job, Leg, Post, RunSpec, Site
from palewright.plane import XY, add, cross, distance, dot, left_of, line_meet, scale, segment_distance, sub, unit

__all__ = ["End", "Line", "build_lines"]

_COLLINEAR = 5e-5
_FLAT = math.sin(math.radians(10.0))
_NOISE_M = 1e-9
_WALL_NEAR_M = 0.1
_WALL_FLAT = math.sin(math.radians(20.0))


@dataclass(slots=True)
class End:
    """What stands at one end of a string.

    kind
        "crossing", "wall" or "stake line". s: its place along the string from opposite the first post [m].
    partner
        index of the line that crosses. flat: a line meets here, but too flat for a crossing.
    """

    kind: str
    s: float
    partner: int = -1
    flat: bool = False
    wall_assumed: bool = False


@dataclass(slots=True)
class Line:
    """One string before its tape is laid: posts in tape order, direction ``d``, normal ``n`` toward the string.

    base
        place of the first post; ``at`` how far each post stands from it along ``d`` [m]; ``yard`` the normal toward
        the yard. low: the least place that is read on this string [m], never above 0; the tape reads 0 there.
    """

    name: str
    legs: list[Leg]
    posts: list[Post]
    d: XY
    n: XY
    yard: XY
    side: str
    offset: float
    walls: list[float | None]
    at: list[float] = field(default_factory=list)
    ends: list[End] = field(default_factory=list)
    yard_said: bool = True
    low: float = 0.0

    @property
    def base(self) -> XY:
        """Place of the first post."""
        return self.posts[0].xy

    def point(self, s: float) -> XY:
        """Place on the string at ``s`` from opposite the first post."""
        return (
            self.base[0] + self.d[0] * s + self.n[0] * self.offset,
            self.base[1] + self.d[1] * s + self.n[1] * self.offset,
        )

    def measure(self) -> None:
        """Fill ``at``."""
        x, y = self.base
        self.at = [(p.xy[0] - x) * self.d[0] + (p.xy[1] - y) * self.d[1] for p in self.posts]

    def reverse(self) -> None:
        """Lay the tape from the other end."""
        last = self.at[-1]
        self.posts.reverse()
        self.legs.reverse()
        self.walls.reverse()
        self.d = scale(self.d, -1.0)
        self.measure()
        self.ends = [End(e.kind, last - e.s, e.partner, e.flat, e.wall_assumed) for e in reversed(self.ends)]


def build_lines(job: Job, site: Site, design: Design) -> list[Line]:
    """The strings of a design, in walking order, each with its ends; zero end first."""
    specs = {spec.name: spec for spec in job.runs}
    posts = {post.label: post for post in design.posts}
    lines = [
        _line(job, specs, posts, legs, _letters(k)) for k, legs in enumerate(_chains(design, specs)) if legs[0].posts
    ]
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


def _line(job: Job, specs: dict[str, RunSpec], posts: dict[str, Post], legs: list[Leg], name: str) -> Line:
    labels = list(legs[0].posts)
    for leg in legs[1:]:
        labels.extend(leg.posts[1:])
    stand = [posts[label] for label in labels]
    d = unit(sub(stand[-1].xy, stand[0].xy))
    yard = left_of(d) if legs[0].yard != "right" else scale(left_of(d), -1.0)
    side = _strings(specs, legs[0])
    n = yard if side == "yard" else scale(yard, -1.0)
    walls = [_wall(specs, legs[0], stand[0], 0), _wall(specs, legs[-1], stand[-1], 1)]
    line = Line(name, legs, stand, d, n, yard, side, job.stakes.offset_m, walls, yard_said=bool(legs[0].yard))
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
