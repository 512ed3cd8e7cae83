"""From a job to its site: every named point in its place, the boundary, zones, old fences, and what is assumed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from palewright import notation
from palewright.boundary import build_ring, corner_names, run_calls, run_deed
from palewright.errors import JobError, Problem, ProblemError
from palewright.model import (
    BoundaryEvidence,
    Heights,
    Job,
    Measurement,
    PointRef,
    Reason,
    Remark,
    Removal,
    RemovalSpec,
    Ring,
    Site,
    SitePoint,
    Zone,
)
from palewright.plan.evidence import boundary_evidence, evidence_reasons
from palewright.plan.measuring import Measuring
from palewright.plan.names import name_problems
from palewright.plane import XY, add, azimuth, distance, divide_path, path_length, sub
from palewright.survey import Adjustment, Fixed, Fixing, Repeat, angle_at, differs, tape_allowance

__all__ = ["PIN_CLEAR_M", "build_site", "site_and_network"]

PIN_CLEAR_M = 0.1524
"""Kept clear of holes round a found monument unless the job says otherwise: 6 in (common practice) [m]."""
_MOST_OLD_POSTS = 10_000
_ANGLE_DIFFERS = math.radians(0.5)
_DIRECTION_DIFFERS = math.radians(1.0)


#: A tool explains a difference of up to so many of its standard deviations: 1 of 100 is larger.
_BY_THE_TOOL = 2.5758


def build_site(job: Job) -> Site:
    """The site of a job: points to a fixpoint, boundary, zones, old fences, buildings, remarks and reasons.

    job
        as written, in SI.
    A job without coordinates gets a local frame: the start of the boundary, or else the first thing a walk starts from,
    is (0, 0). Raises JobError with every problem: a point that nothing fixes, two places for one name, an unknown name,
    a boundary that does not close, ...
    """
    return site_and_network(job)[0]


def site_and_network(job: Job) -> tuple[Site, Adjustment | None]:
    """The site of a job, as :func:`build_site`, and the adjusted network that gives the covariance of its points."""
    work = _Work(job)
    work.fix()
    named = name_problems(job, work.fixing.places, work.corner_names, ring_refused=work.ring_refused)
    if work.measuring.problems:  # what hangs on a reading that is refused is no problem of its own
        named = [problem for problem in named if problem.slug != "point-not-fixed"]
    work.problems += work.measuring.with_tapes(named, work.fixing.places)
    if work.problems:
        raise JobError(_unique(work.problems))
    points = work.site_points()
    removals = work.removals()
    zones = work.zones(points, removals)
    buildings = tuple((name, work.path(refs)) for name, refs in job.buildings)
    remarks = work.all_remarks(removals)
    if work.problems:
        raise JobError(_unique(work.problems))
    evidence = work.evidence()
    site = Site(
        points=points,
        ring=work.ring,
        zones=zones,
        removals=removals,
        buildings=buildings,
        north=job.north and work.oriented,
        remarks=remarks,
        reasons=(*work.reasons, *_reasons(points, removals, zones), *work.more_reasons(evidence)),
        survey=work.measuring.survey,
        evidence=evidence,
        heights=work.heights,
    )
    return site, work.measuring.adjustment


class _Work:
    """What is known while a site is being built."""

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

    # ------------------------------------------------------------ places

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

    # ------------------------------------------------------------ the records

    def site_points(self) -> tuple[SitePoint, ...]:
        """Every point that has a place: boundary corners first, then the job's points, then the rest."""
        specs = {point.name: point for point in self.job.points}
        corners = {corner.name: corner for corner in self.ring.corners} if self.ring else {}
        order = dict.fromkeys([*corners, *specs, *self.fixing.places])
        rows = []
        for name in order:
            fixed = self.fixing.places.get(name)
            if fixed is None:
                continue
            spec, corner = specs.get(name), corners.get(name)
            found = (corner.found if corner else "") or (spec.found if spec else "")
            clear = spec.pin_clear_m if spec and spec.pin_clear_m is not None else PIN_CLEAR_M
            rows.append(SitePoint(name, fixed.xy, fixed.how, found, fixed.assumed, clear if found else 0.0))
        return tuple(rows)

    def removals(self) -> tuple[Removal, ...]:
        """Old fences with their posts counted: at both ends, at corners, and evenly between."""
        rows = []
        for spec in self.job.removals:
            points = self.path(spec.through)
            problem = _removal_problem(spec, points)
            if problem is not None:
                self.problems.append(problem)
                continue
            posts = tuple(divide_path(points, spec.every_m))
            length = path_length(points)
            rows.append(Removal(spec.name, points, length, posts, spec.footing_m, spec.then, spec.kind, spec.height_m))
        return tuple(rows)

    def zones(self, points: Sequence[SitePoint], removals: Sequence[Removal]) -> tuple[Zone, ...]:
        """Ground to keep clear of: what the job says, old footings, and a ring round every found monument."""
        rows = []
        for spec in self.job.zones:
            path = self.path(spec.through)
            if not path:
                self.problems.append(
                    Problem("zone-without-place", "this zone has no point", where=spec.at, found=spec.name)
                )
                continue
            half = spec.width_m / 2.0 + spec.each_side_m
            rows.append(Zone(spec.name, path, half, spec.inside, spec.utility, spec.width_m, spec.closed))
        for removal in removals:
            kind = "loose ground" if removal.then == "pull" else "no hole"
            for k, xy in enumerate(removal.posts if removal.footing_m > 0.0 else ()):
                name = f"{removal.name}, old footing {k + 1}"
                rows.append(Zone(name, (xy,), removal.footing_m / 2.0, kind, width_m=removal.footing_m))
        rows += [Zone(f"pin {p.name}", (p.xy,), p.pin_clear_m, "pin") for p in points if p.pin_clear_m > 0.0]
        return tuple(rows)

    def evidence(self) -> BoundaryEvidence | None:
        """Record beside measured, and where to look for pins; None without a boundary."""
        if self.ring is None:
            return None
        places = {name: fixed.xy for name, fixed in self.fixing.places.items()}
        north = self.job.north and self.oriented
        return boundary_evidence(self.job, self.ring, places, self.measuring.observations, north)

    def more_reasons(self, evidence: BoundaryEvidence | None) -> tuple[Reason, ...]:
        """Reasons of the boundary's evidence, and of the heights."""
        rows = evidence_reasons(evidence) if evidence else ()
        if self.heights is None:
            return rows
        from palewright.plan.heights_said import height_reasons

        return (*rows, *height_reasons(self.heights))

    # ------------------------------------------------------------ what must be said

    def all_remarks(self, removals: Sequence[Removal]) -> tuple[Remark, ...]:
        """Everything a reader must know of the site."""
        rows: list[Remark] = []
        if not self.job.north:
            rows.append(Remark("no-north", "note", "site"))
        if self.job.boundary is None:
            rows.append(Remark("no-boundary", "caution", "site"))
        rows += self.frame
        rows += self.said
        for corner in self.fixing.corners:
            args = (("point", corner.point), ("before", corner.before), ("after", corner.after))
            rows.append(Remark("assumed-right-angle", "assumption", f"point {corner.point}", args, corner.at))
        for repeat in self.fixing.repeats:
            if repeat.length_m:
                args2 = (("point", repeat.name), ("miss_m", repeat.miss_m), ("walked_m", repeat.length_m))
                close = repeat.miss_m <= tape_allowance(repeat.length_m)
                slug, level = ("walk-closes", "note") if close else ("walk-misses", "caution")
                rows.append(Remark(slug, level, f"point {repeat.name}", args2, repeat.at))
        rows += self.measuring.remarks(self.fixing.places)
        for k, m in enumerate(() if self.measuring.disagree else self.job.measured):
            if k not in self.fixing.used and m.kind != "rise":
                rows += self._check(m)
        if self.heights is not None:
            from palewright.plan.heights_said import height_remarks

            rows += height_remarks(self.job, self.heights)
        for removal in removals:
            args3 = (("posts", len(removal.posts)), ("fence", removal.name))
            rows.append(Remark("old-posts-counted", "assumption", removal.name, args3))
        return tuple(rows)

    def _check(self, m: Measurement) -> list[Remark]:
        """A measurement that defined nothing, compared with what was computed."""
        places = [self.fixing.places.get(name) for name in m.points]
        about = " to ".join(m.points)
        spots = [fixed.xy for fixed in places if fixed is not None]
        if len(spots) < len(places):
            return [Remark("measurement-not-used", "note", about, (("points", ", ".join(m.points)),), m.at)]
        if m.kind == "tape":
            return [] if self._in_status(m) else [self._tape_remark(m, distance(spots[0], spots[1]), about)]
        if m.kind == "square":
            got, limit = angle_at(spots[0], spots[1], spots[2]), _ANGLE_DIFFERS
            slug, about = "angle", f"point {m.points[1]}"
        else:
            if m.kind != "direction" or not self.job.north or self._in_status(m):
                return []
            got, limit = azimuth(spots[0], spots[1]), _DIRECTION_DIFFERS
            slug = "direction"
        off = math.remainder(m.value - got, 2.0 * math.pi)
        args: tuple[tuple[str, float | str], ...] = (("points", ", ".join(m.points)),)
        args = (*args, ("measured_deg", round(math.degrees(m.value), 4)))
        args = (
            *args,
            ("computed_deg", round(math.degrees(got), 4)),
            ("difference_deg", round(math.degrees(abs(off)), 4)),
        )
        word, level = ("differs", "caution") if abs(off) > limit else ("agrees", "note")
        return [Remark(f"{slug}-{word}", level, about, args, m.at)]

    def _tape_remark(self, m: Measurement, level_m: float, about: str) -> Remark:
        """What a tape should read, slope and corrections in it, beside what it reads; its tool may explain the rest."""
        same = (o for o in self.measuring.observations if o.kind == "distance" and (o.at, o.points) == (m.at, m.points))
        read = next(same, None)
        computed, sigma = (level_m + m.value - read.value, read.sigma) if read is not None else (level_m, 0.0)
        off = abs(m.value - computed)
        args = (("start", m.points[0]), ("end", m.points[1]), ("reads_m", m.value), ("computed_m", computed))
        apart = differs(m.value, computed) and off > _BY_THE_TOOL * sigma
        slug, level = ("tape-differs", "caution") if apart else ("tape-agrees", "note")
        return Remark(slug, level, about, (*args, ("difference_m", off)), m.at)

    def _in_status(self, m: Measurement) -> bool:
        """Whether the status of the lines has dealt with it: both ends are found corners that match the record."""
        corners = {corner.name: corner for corner in self.ring.corners} if self.ring else {}
        if any(name not in corners for name in m.points):
            return False
        good = [corners[name].counts for name in m.points]
        return all(good) if m.kind == "tape" else any(good)


def _removal_problem(spec: RemovalSpec, points: Sequence[XY]) -> Problem | None:
    if len(points) < 2 or any(distance(a, b) < 1e-6 for a, b in itertools.pairwise(points)):
        what = "the old fence needs two points, and none twice in a row"
        return Problem("old-fence-without-length", what, where=spec.at, found=spec.name)
    if not spec.every_m > 0.0 or path_length(points) / spec.every_m > _MOST_OLD_POSTS:
        return Problem(
            "old-fence-posts",
            "the posts of the old fence cannot be counted",
            where=spec.at,
            found=spec.name,
            allowed=f"posts every: more than 0, and fewer than {_MOST_OLD_POSTS} posts",
        )
    return None


def _unique(problems: Iterable[Problem]) -> list[Problem]:
    """Each problem once."""
    kept: dict[tuple[str, str, str], Problem] = {}
    for problem in problems:
        kept.setdefault((problem.slug, problem.found, problem.what), problem)
    return [replace(problem) for problem in kept.values()]


def _reasons(points: Sequence[SitePoint], removals: Sequence[Removal], zones: Sequence[Zone]) -> tuple[Reason, ...]:
    rows = [
        Reason(f"point {p.name}", "clear round the pin", p.pin_clear_m, "m", "as the job says, or 6 in",
               (("found", p.found),), "common practice")
        for p in points if p.pin_clear_m > 0.0
    ]  # fmt: skip
    rows += [
        Reason(removal.name, "old posts", len(removal.posts), "count",
               "each straight piece cut into ceil(length / spacing) parts; corners counted once",
               (("length_m", removal.length_m),), "common practice")
        for removal in removals
    ]  # fmt: skip
    rows += [
        Reason(f"zone {zone.name}", "half width", zone.half_m, "m",
               "half the outside width + the distance kept on each side",
               (("outside width", zone.width_m),), "as typed")
        for zone in zones if zone.kind in ("no hole", "hand dig") and ", old footing " not in zone.name
    ]  # fmt: skip
    return tuple(rows)
