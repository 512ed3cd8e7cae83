"""How the places of a stake-out move with the points that it is taped from: derivatives, to first order."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

from palewright.model import Job, Post, Site, Tie
from palewright.plane import XY, cross, distance, left_of, project, segment_distance, sub, unit
from palewright.stakeout.line import Line
from palewright.stakeout.places import Wall, in_line, walls_of

__all__ = ["Base", "Move", "Moves", "UnknownMoveError", "along"]

Base = tuple[str, str]
"""What a place hangs on: ("network", point), ("pin", corner) or ("typed", "") for a place that is given as exact."""

Matrix = tuple[float, float, float, float]
Move = dict[Base, Matrix]

_SAME_M = 0.001
_ONE: Matrix = (1.0, 0.0, 0.0, 1.0)
_TYPED: Move = {("typed", ""): _ONE}


class UnknownMoveError(Exception):
    """Nothing says where a point is that a place hangs on."""


def along(move: Move, u: XY) -> dict[Base, XY]:
    """How far a place goes in the direction ``u``: a row of two derivatives for each of its bases."""
    return {base: (u[0] * m[0] + u[1] * m[2], u[0] * m[1] + u[1] * m[3]) for base, m in move.items()}


def _sum(parts: Iterable[tuple[Matrix, Move]]) -> Move:
    """Sum of matrix times move."""
    total: Move = {}
    for (a, b, c, d), move in parts:
        for base, (e, f, g, h) in move.items():
            o = total.get(base, (0.0, 0.0, 0.0, 0.0))
            total[base] = (o[0] + a * e + b * g, o[1] + a * f + b * h, o[2] + c * e + d * g, o[3] + c * f + d * h)
    return total


def _times(k: float) -> Matrix:
    return (k, 0.0, 0.0, k)


def _between(t: float, a: Move, b: Move) -> Move:
    return _sum(((_times(1.0 - t), a), (_times(t), b)))


class Moves:
    """The moves of named points and of the end posts of strings.

    measured
        points of the network that are free and determined; loose: those that nothing fixes. ties: of the stake-out, in
        order of work.
    A post on two tapes goes where both keep their length; one in line with a wall keeps its tape and goes with the
    wall; a bracket goes with its wall; what no tape places is taken to be marked where its run was measured.
    """

    def __init__(
        self, job: Job, site: Site, lines: list[Line], ties: Iterable[Tie], measured: set[str], loose: set[str]
    ) -> None:
        self._job, self._site = job, site
        self._measured, self._loose = measured, loose
        self._points = {point.name: point.xy for point in site.points}
        self._specs = {spec.name: spec for spec in job.points}
        ring = site.ring
        self._pins = {corner.name: corner.xy for corner in ring.corners} if ring is not None else {}
        self._walls = walls_of(site)
        self._posts = {post.label: post for line in lines for post in (line.posts[0], line.posts[-1])}
        self._runs = {line.posts[k].label: line.legs[k].run for line in lines for k in (0, -1)}
        placing: dict[str, list[Tie]] = {}
        for tie in ties:
            if tie.why == "tie":
                placing.setdefault(tie.end, []).append(tie)
        self._known: dict[str, Move] = {}
        self._unknown: set[str] = set()
        for label, tapes in placing.items():
            if label in self._posts:
                try:
                    self._known[label] = self._placed(self._posts[label], tapes)
                except UnknownMoveError:
                    self._unknown.add(label)

    def place(self, name: str) -> tuple[XY, Move]:
        """Where a post or point is, and how it moves. Raises :class:`UnknownMoveError`."""
        if name in self._unknown:
            raise UnknownMoveError(name)
        if name in self._posts:
            post = self._posts[name]
            if name not in self._known:
                self._known[name] = self._at(post.xy) if post.hole is None else self._marked(post)
            return post.xy, self._known[name]
        return self._points.get(name) or self._pins[name], self._point(name)

    def _placed(self, post: Post, tapes: list[Tie]) -> Move:
        if len(tapes) > 1:
            (p, one), (q, two) = (self.place(tape.start) for tape in tapes[:2])
            u, v = unit(sub(post.xy, p)), unit(sub(post.xy, q))
            det = cross(u, v)
            first = (v[1] * u[0] / det, v[1] * u[1] / det, -v[0] * u[0] / det, -v[0] * u[1] / det)
            second = (-u[1] * v[0] / det, -u[1] * v[1] / det, u[0] * v[0] / det, u[0] * v[1] / det)
            return _sum(((first, one), (second, two)))
        line = in_line(self._walls, post.xy, self._job.stakes.tolerance_m / 2.0, self._job.tape_m)
        if line is None or line.start != tapes[0].start:
            return self._marked(post)
        near, far = line.wall.ends if line.xy == line.wall.ends[0] else line.wall.ends[::-1]
        t = line.length_m / distance(near, far)
        one, two = self._at(near), self._at(far)
        u = unit(sub(near, far))
        n = left_of(u)
        kept = (u[0] * u[0], u[0] * u[1], u[1] * u[0], u[1] * u[1])
        across = (n[0] * n[0], n[0] * n[1], n[1] * n[0], n[1] * n[1])
        return _sum(((kept, one), (across, _between(-t, one, two))))

    def _at(self, xy: XY) -> Move:
        """Of a place on a building: its corner by name, else between the ends of its wall."""
        name = next((name for name, at in self._points.items() if distance(at, xy) < _SAME_M), "")
        if name:
            return self._point(name)
        wall = min(self._walls, key=lambda w: segment_distance(xy, *w.ends), default=None)
        if wall is None or min(distance(end, xy) for end in wall.ends) < _SAME_M:
            return _TYPED
        return self._on(xy, wall)

    def _on(self, xy: XY, wall: Wall) -> Move:
        ends = [self._point(name) if name else _TYPED for name in wall.names]
        return _between(project(xy, *wall.ends)[0] / distance(*wall.ends), *ends)

    def _point(self, name: str) -> Move:
        if name in self._loose:
            raise UnknownMoveError(name)
        if name in self._measured:
            return {("network", name): _ONE}
        if name in self._pins:
            return {("pin", name): _ONE}
        spec = self._specs.get(name)
        if spec is not None and spec.how == "calls" and spec.start:
            return self._point(spec.start)
        if spec is not None and spec.how == "on line":
            a, b = (self._points.get(end) or self._pins[end] for end in spec.line)
            return _between(spec.distance_m / distance(a, b), *(self._point(end) for end in spec.line))
        return _TYPED

    def _marked(self, post: Post) -> Move:
        """Of a post that no tape places: with the points between which its run was measured, or with the boundary."""
        spec = next((run for run in self._job.runs if run.name == self._runs[post.label]), None)
        named = [] if spec is None else [(ref.name, ref.xy or self._points.get(ref.name)) for ref in spec.through]
        if spec is not None and spec.closed:
            named += named[:1]
        ends: list[tuple[str, XY]] = [(name, xy) for name, xy in named if xy is not None]
        if len(ends) < 2:
            ends = [*self._pins.items()]
            ends += ends[:1]
        pairs = [(a, b) for a, b in itertools.pairwise(ends) if distance(a[1], b[1]) > _SAME_M]
        if not pairs:
            return _TYPED
        a, b = min(pairs, key=lambda pair: segment_distance(post.xy, pair[0][1], pair[1][1]))
        t = project(post.xy, a[1], b[1])[0] / distance(a[1], b[1])
        return _between(t, *(self._point(name) if name else _TYPED for name in (a[0], b[0])))
