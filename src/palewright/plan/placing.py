"""Every named point of a job in its place: calls, walks, readings and the boundary, to a fixpoint."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from palewright import notation
from palewright.boundary import build_ring, corner_names, run_calls, run_deed
from palewright.errors import Problem, ProblemError
from palewright.model import Heights, Job, PointRef, Reason, Remark, Ring
from palewright.plan.measuring import Measuring
from palewright.plane import XY, add, sub
from palewright.survey import Fixed, Fixing, Repeat

__all__ = ["Placing"]


class Placing:
    """What is known while the places of a site are sought; :meth:`fix`, then read."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.fixing = Fixing(job.points, job.walks, job.measured)
        self.measuring = Measuring(job)
        self.heights: Heights | None = None
        self.base_line: tuple[str, str] = ("", "")
        self.ring: Ring | None = None
        self.ring_done = job.boundary is None
        self.oriented = True
        self.problems: list[Problem] = []
        self.frame: list[Remark] = []
        self.said: tuple[Remark, ...] = ()
        self.reasons: tuple[Reason, ...] = ()
        self.corner_names: tuple[str, ...] = ()
        if job.boundary is not None:
            try:
                self.corner_names = corner_names(job.boundary)
            except ProblemError as error:
                self.problems += error.problems
                self.ring_done = True
                self.corner_names = tuple(name for name in job.boundary.names if name)

    @property
    def ring_refused(self) -> bool:
        """Whether the boundary was tried and has a problem of its own."""
        return self.ring is None and self.ring_done and self.job.boundary is not None

    def fix(self) -> None:
        """Everything that can be fixed; a local frame where nothing has coordinates."""
        framed = False
        while True:
            moved = self.fixing.settle()
            moved |= self._boundary(at_origin=False)
            moved = moved or self._measured()
            if moved:
                continue
            if framed or len(self.fixing.places) > 1:
                break
            framed = True
            if self.fixing.places or not self._boundary(at_origin=True):
                self._base_line()
        self._adjust()
        self._level()
        self.problems += [*self.fixing.problems, *self.measuring.problems]
        self.problems += [p for r in self.fixing.repeats for p in self._two_places(r)]

    def _measured(self) -> bool:
        """Places of points that only measurements fix; returns whether there were any."""
        if not self.fixing.places and not self.measuring.positioned:
            return False
        found = self.measuring.rough(self.fixing.places)
        for name, xy in found.items():
            self.fixing.place(name, Fixed(xy, "measured"))
        return bool(found)

    def _adjust(self) -> None:
        """Move every measured point to its adjusted place, and what was told from it along with it."""
        places = self.fixing.places
        moved = self.measuring.adjust(places, self.base_line, self.ring)
        shifts = {name: sub(xy, places[name].xy) for name, xy in moved.items()}
        for spec in self.job.points:
            if spec.how == "calls" and spec.start in shifts and spec.name in places and spec.name not in moved:
                moved[spec.name] = add(places[spec.name].xy, shifts[spec.start])
        cleared = self.measuring.cleared()
        self.fixing.corners = [corner for corner in self.fixing.corners if corner.point not in cleared]
        for name, xy in moved.items():
            assumed = places[name].assumed and bool(self.fixing.corners)
            places[name] = replace(places[name], xy=xy, assumed=assumed)
        if moved and self.ring is not None and self.job.boundary is not None and self.job.boundary.through:
            self.ring_done = False
            self._boundary(at_origin=False)

    def _level(self) -> None:
        """Heights of what was levelled, once places say how far each rise went."""
        job = self.job
        if job.levels or any(m.kind == "rise" for m in job.measured) or any(p.height_m is not None for p in job.points):
            from palewright.plan.heights import job_heights

            try:
                self.heights = job_heights(job, {name: fixed.xy for name, fixed in self.fixing.places.items()})
            except ProblemError as error:
                self.problems += error.problems

    def _boundary(self, at_origin: bool) -> bool:
        """Build the ring once its start, or its corners, have places; returns whether that was done now."""
        spec = self.job.boundary
        if spec is None or self.ring_done:
            return False
        start: XY | None = (0.0, 0.0)
        through: list[XY] = []
        if spec.calls:
            start = self._start(spec.start, at_origin)
            assumed = self._assumed([spec.start.name, *self.corner_names])
        else:
            spots = [self.spot(ref) for ref in spec.through]
            through = [xy for xy in spots if xy is not None]
            assumed = self._assumed(ref.name for ref in spec.through)
            if len(through) < len(spots):
                return False
        if start is None:
            return False
        self.ring_done = True
        try:
            points = {point.name: point for point in self.job.points}
            self.ring, self.said, self.reasons = build_ring(
                spec, start, through, points, self.job.measured, self.job.print_style
            )
        except ProblemError as error:
            self.problems += error.problems
            return True
        self.measuring.not_found = frozenset(corner.name for corner in self.ring.corners if not corner.found)
        for corner in self.ring.corners:
            self.fixing.place(corner.name, Fixed(corner.xy, "boundary", assumed), at=spec.at)
        return True

    def _start(self, ref: PointRef, at_origin: bool) -> XY | None:
        """Where the calls begin: a place, or what brings a corner to its place, or (0, 0) where nothing else is known.

        A start with a name at (0, 0) was put there by the reader of the job file, not by a person.
        """
        if ref.name in self.fixing.places:
            return self.fixing.places[ref.name].xy
        if ref.xy is not None and (not ref.name or ref.xy != (0.0, 0.0)):
            return ref.xy
        start = self._start_from_corner()
        if start is None and (at_origin or not ref.name or ref.xy is not None):
            start = (0.0, 0.0)
            args = (("corner", self.corner_names[0]),)
            if self.fixing.places:
                self.frame.append(Remark("corner-taken-as-zero", "assumption", "boundary", args))
            else:
                self.frame.append(Remark("frame-from-corner", "note", "site", args))
        return start

    def _start_from_corner(self) -> XY | None:
        """Where the calls must begin so that the first corner that has a place of its own comes to it."""
        spec = self.job.boundary
        fixed = [k for k, name in enumerate(self.corner_names) if name in self.fixing.places]
        if spec is None or not fixed:
            return None
        try:
            deed = run_deed(spec.calls)
        except ProblemError:
            return (0.0, 0.0)  # build_ring says what is wrong
        reached = run_calls((0.0, 0.0), deed.calls)[fixed[0]]
        return sub(self.fixing.places[self.corner_names[fixed[0]]].xy, reached)

    def _assumed(self, names: Iterable[str]) -> bool:
        return any(name in self.fixing.places and self.fixing.places[name].assumed for name in names)

    def _base_line(self) -> None:
        origin, toward, north = self.fixing.base_line()
        if not origin:
            return
        self.oriented = north
        self.base_line = (origin, toward)
        if self.fixing.places[origin].how == "coordinates" and not north:
            self.frame.append(
                Remark("frame-turned-freely", "assumption", "site", (("origin", origin), ("toward", toward)))
            )
        elif toward:
            self.frame.append(Remark("frame-from-base-line", "note", "site", (("origin", origin), ("toward", toward))))
        else:
            self.frame.append(Remark("frame-from-point", "note", "site", (("origin", origin),)))
        if self.job.north and not north:
            args = (("start", origin), ("end", toward))
            self.frame.append(Remark("north-not-tied", "caution", "site", args))

    def spot(self, ref: PointRef) -> XY | None:
        """Where a reference is, or None."""
        if ref.xy is not None:
            return ref.xy
        fixed = self.fixing.places.get(ref.name)
        return fixed.xy if fixed else None

    def path(self, refs: Iterable[PointRef]) -> tuple[XY, ...]:
        """Places of references that are known to be fixed."""
        return tuple(xy for ref in refs if (xy := self.spot(ref)) is not None)

    def _two_places(self, repeat: Repeat) -> list[Problem]:
        if repeat.length_m and repeat.miss_m <= max(0.3048, repeat.length_m / 50.0):
            return []
        off = notation.show_length(repeat.miss_m, self.job.print_style)
        return [
            Problem(
                "two-places",
                f"{repeat.name} has two places, {off} apart",
                where=repeat.at,
                found=repeat.name,
                hint="give one of the two points another name, or measure again",
            )
        ]
