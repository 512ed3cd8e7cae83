"""Where named points are: coordinates, calls, points on lines, walks, and a tape with a direction, to a fixpoint."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import field

from palewright.errors import Problem, Where
from palewright.model import Measurement, PointSpec, Turn, Walk
from palewright.plane import XY, add, along, azimuth, direction, distance, scale
from palewright.record import Record

__all__ = ["AssumedCorner", "Fixed", "Fixing", "Repeat"]

_QUARTER = math.pi / 2.0
SAME_PLACE_M = 0.001
"""Two places of one name that are this close are one place [m]."""


class Fixed(Record):
    """A place and how it came about; ``assumed``: a right angle nobody measured lies between it and what stands."""

    xy: XY
    how: str
    assumed: bool = False


class AssumedCorner(Record):
    """A turn of a walk that nobody measured: at ``point``, coming from ``before``, going on to ``after``."""

    point: str
    before: str
    after: str
    at: Where = field(default_factory=Where)


class Repeat(Record):
    """A name reached a second time: how far from its first place [m], after walking ``length_m`` (0: not a walk)."""

    name: str
    miss_m: float
    length_m: float
    at: Where = field(default_factory=Where)


class Fixing:
    """Points being fixed. Give places with :meth:`place`, then :meth:`settle`; again, until nothing changes.

    points, walks, measured
        of the job. ``places`` holds what is fixed so far; ``corners`` the turns that were assumed; ``repeats`` names
        reached twice; ``used`` indices of measurements that defined a place or an angle; ``problems`` what is wrong.
    """

    def __init__(self, points: Sequence[PointSpec], walks: Sequence[Walk], measured: Sequence[Measurement]) -> None:
        self.points = points
        self.walks = walks
        self.measured = measured
        self.places: dict[str, Fixed] = {}
        self.corners: list[AssumedCorner] = []
        self.repeats: list[Repeat] = []
        self.used: set[int] = set()
        self.problems: list[Problem] = []
        self.headings: dict[int, float] = {}
        self._done: set[int] = set()
        self._waiting = list(points)

    def place(self, name: str, fixed: Fixed, length_m: float = 0.0, at: Where | None = None) -> bool:
        """Give a name its place; a name that has one already is compared and noted. Returns whether it is new."""
        known = self.places.get(name)
        if known is None:
            self.places[name] = fixed
            return True
        miss = distance(known.xy, fixed.xy)
        if miss > SAME_PLACE_M or length_m:
            self.repeats.append(Repeat(name, miss, length_m, at or Where()))
        return False

    def settle(self) -> bool:
        """Fix everything that can be fixed from what is fixed; returns whether anything was."""
        before = len(self.places), len(self._done)
        moved = True
        while moved:
            moved = self._points() | self._walks() | self._rays()
        return (len(self.places), len(self._done)) != before

    def base_line(self) -> tuple[str, str, bool]:
        """Lay down a local frame where at most one thing has a place: it, or the first thing at (0, 0); the other
        toward +x.

        The two things are start and sight of the first walk, or the ends of the first tape, of those that begin at
        the place that there is. A direction measured between them turns the frame to north. Returns the two names
        ("" for none) and whether it is turned to north.
        """
        placed = next(iter(self.places), "")
        for k, walk in enumerate(self.walks):
            if placed and walk.start != placed:
                continue
            self.places.setdefault(walk.start, Fixed((0.0, 0.0), "thing"))
            if walk.facing == "azimuth":
                return walk.start, "", True
            bearing, index = self._direction(walk.start, walk.sight)
            length, tape = self._tape(walk.start, walk.sight)
            if length is None:
                toward = _QUARTER if bearing is None else bearing
                self.headings[k] = toward if walk.facing == "toward" else toward + math.pi
            else:
                self._lay(walk.start, walk.sight, length, bearing)
                self.used.add(tape)
            if bearing is not None:
                self.used.add(index)
            return walk.start, walk.sight, bearing is not None
        for k, m in enumerate(self.measured):
            if m.kind == "tape" and (not placed or placed in m.points):
                one, two = m.points if m.points[1] != placed else m.points[::-1]
                bearing, index = self._direction(one, two)
                self.places.setdefault(one, Fixed((0.0, 0.0), "thing"))
                self._lay(one, two, m.value, bearing)
                self.used |= {k, index} if bearing is not None else {k}
                return one, two, bearing is not None
        return "", "", False

    def _lay(self, start: str, end: str, length: float, bearing: float | None) -> None:
        """Place ``end`` from ``start``, toward +x where no bearing is known."""
        toward = direction(_QUARTER if bearing is None else bearing)
        self.places[end] = Fixed(add(self.places[start].xy, scale(toward, length)), "thing")

    def _direction(self, a: str, b: str) -> tuple[float | None, int]:
        """Measured azimuth from ``a`` to ``b``, either way round."""
        for k, m in enumerate(self.measured):
            if m.kind == "direction" and set(m.points) == {a, b}:
                return (m.value if m.points[0] == a else m.value + math.pi), k
        return None, -1

    def _tape(self, a: str, b: str) -> tuple[float | None, int]:
        for k, m in enumerate(self.measured):
            if m.kind == "tape" and set(m.points) == {a, b}:
                return m.value, k
        return None, -1

    def _points(self) -> bool:
        """Coordinates, calls and points on lines."""
        left: list[PointSpec] = []
        moved = False
        for spec in self._waiting:
            fixed = self._one(spec)
            if fixed is None:
                left.append(spec)
            else:
                self.place(spec.name, fixed, at=spec.at)
                moved = True
        self._waiting = left
        return moved

    def _one(self, spec: PointSpec) -> Fixed | None:
        if spec.how == "coordinates" and spec.xy is not None:
            return Fixed(spec.xy, "coordinates")
        if spec.how == "calls" and spec.start in self.places:
            base = self.places[spec.start]
            xy = base.xy
            for call in spec.calls:
                if call.azimuth is None or call.length_m is None:
                    what = "a point by calls needs a bearing and a length in every call"
                    self.problems.append(Problem("call-incomplete", what, where=call.at, found=call.text))
                    continue
                xy = add(xy, scale(direction(call.azimuth), call.length_m))
            return Fixed(xy, "calls", base.assumed)
        if spec.how == "on line" and all(name in self.places for name in spec.line):
            a, b = (self.places[name] for name in spec.line)
            if distance(a.xy, b.xy) <= SAME_PLACE_M:
                what = f"{spec.name} is on a line between two points in one place"
                self.problems.append(Problem("line-without-length", what, where=spec.at, found=" and ".join(spec.line)))
                return Fixed(a.xy, "on line", a.assumed)
            return Fixed(along(a.xy, b.xy, spec.distance_m), "on line", a.assumed or b.assumed)
        return None

    def _walks(self) -> bool:
        moved = False
        for k, walk in enumerate(self.walks):
            if k in self._done or walk.start not in self.places:
                continue
            heading = self._heading(k, walk)
            if heading is None:
                continue
            self._done.add(k)
            self._walk(walk, heading)
            moved = True
        return moved

    def _heading(self, k: int, walk: Walk) -> float | None:
        if walk.facing == "azimuth":
            return walk.azimuth
        if k in self.headings:
            return self.headings[k]
        if walk.sight not in self.places:
            return None
        a, b = self.places[walk.start].xy, self.places[walk.sight].xy
        if distance(a, b) <= SAME_PLACE_M:
            what = f"the walk from {walk.start} sights a point in the same place"
            self.problems.append(Problem("line-without-length", what, where=walk.at, found=walk.sight))
        return azimuth(a, b) if walk.facing == "toward" else azimuth(b, a)

    def _walk(self, walk: Walk, heading: float) -> None:
        start = self.places[walk.start]
        sight = self.places.get(walk.sight)
        assumed = start.assumed or bool(sight and sight.assumed and walk.facing != "azimuth")
        behind: set[str] = {walk.sight} if walk.facing == "away" else set()
        ahead: set[str] = {walk.sight} if walk.facing == "toward" else set()
        xy, here, before, gone, called = start.xy, walk.start, walk.sight, 0.0, 0
        names = list(walk.names)
        for k, step in enumerate(walk.steps):
            if step.turn is not None:
                outgoing = _names_after(walk.steps[k + 1 :], names[called:])
                turn, measured = self._turn(step, here, behind, ahead, outgoing)
                if step.assumed and not measured:
                    assumed = True
                    after = outgoing[0] if outgoing else ""
                    corner = here or f"the turn after {before}"
                    self.corners.append(AssumedCorner(corner, before, after, step.at))
                heading -= turn
                behind, ahead = set(), set()
            if step.length_m is not None:
                xy = add(xy, scale(direction(heading), step.length_m))
                gone += step.length_m
                behind.add(here)
                before = here or before
                here = names[called] if called < len(names) else ""
                called += 1
                if here:
                    self.place(here, Fixed(xy, "walk", assumed), gone, step.at)

    def _turn(
        self, step: Turn, here: str, behind: set[str], ahead: set[str], outgoing: Sequence[str]
    ) -> tuple[float, bool]:
        """The turn to take, and whether it was measured at this corner."""
        assert step.turn is not None
        for k, m in enumerate(self.measured):
            if m.kind != "square" or len(m.points) != 3 or m.points[1] != here:
                continue
            for one, other in ((m.points[0], m.points[2]), (m.points[2], m.points[0])):
                if other not in outgoing or one not in behind | ahead:
                    continue
                self.used.add(k)
                turn = math.copysign(math.pi - m.value if one in behind else m.value, step.turn)
                if not step.assumed and abs(turn - step.turn) > math.radians(0.1):
                    self.problems.append(_two_angles(here, step, m))
                return turn, True
        return step.turn, False

    def _rays(self) -> bool:
        """A point fixed by one tape and one direction from a fixed point."""
        moved = False
        for k, m in enumerate(self.measured):
            if m.kind != "direction" or k in self.used or len(m.points) != 2:
                continue
            a, b = m.points
            if (a in self.places) == (b in self.places) or self._defined(b if a in self.places else a):
                continue
            length, tape = self._tape(a, b)
            if length is None:
                continue
            known, new, turned = (a, b, 0.0) if a in self.places else (b, a, math.pi)
            base = self.places[known]
            self.used |= {k, tape}
            moved |= self.place(
                new, Fixed(add(base.xy, scale(direction(m.value + turned), length)), "thing", base.assumed), at=m.at
            )
        return moved

    def _defined(self, name: str) -> bool:
        """Whether the job says another way where a point is."""
        return any(p.name == name and p.how != "thing" for p in self.points)


def _names_after(steps: Iterable[Turn], names: Sequence[str]) -> list[str]:
    """The names called on the straight that follows a turn."""
    count = 0
    for step in steps:
        if step.turn is not None:
            break
        count += step.length_m is not None
    return [name for name in names[:count] if name]


def _two_angles(here: str, step: Turn, m: Measurement) -> Problem:
    return Problem(
        "angle-said-twice",
        f"the turn at {here} and the angle measured there do not agree",
        where=step.at,
        found=f"a turn of {math.degrees(abs(step.turn or 0.0)):.2f}°, an angle of {math.degrees(m.value):.2f}°",
        hint="an angle is between the two fences, a turn is what is left of 180°; say plain left or right in the walk",
    )
