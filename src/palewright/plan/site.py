"""From a job to its site: every named point in its place, the boundary, zones, old fences, and what is assumed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from palewright.errors import JobError, Problem
from palewright.model import (
    BoundaryEvidence,
    Job,
    Measurement,
    Reason,
    Remark,
    Removal,
    RemovalSpec,
    Site,
    SitePoint,
    Zone,
)
from palewright.plan.evidence import boundary_evidence, evidence_reasons
from palewright.plan.names import name_problems
from palewright.plan.placing import Placing
from palewright.plane import XY, azimuth, distance, divide_path, path_length
from palewright.survey import Adjustment, angle_at, differs, tape_allowance

__all__ = ["PIN_CLEAR_M", "build_site", "site_and_network"]

PIN_CLEAR_M = 0.1524
"""Kept clear of holes round a found monument unless the job says otherwise: 6 in (common practice) [m]."""
_MOST_OLD_POSTS = 10_000
_ANGLE_DIFFERS = math.radians(0.5)
_DIRECTION_DIFFERS = math.radians(1.0)
#: A larger difference is told in hundredths of a degree.
_FINE = math.radians(0.02)
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
    placed = Placing(job)
    placed.fix()
    named = name_problems(job, placed.fixing.places, placed.corner_names, ring_refused=placed.ring_refused)
    if placed.measuring.problems:  # what hangs on a reading that is refused is no problem of its own
        named = [problem for problem in named if problem.slug != "point-not-fixed"]
    placed.problems += placed.measuring.with_tapes(named, placed.fixing.places)
    if placed.problems:
        raise JobError(_unique(placed.problems))
    points = _site_points(placed)
    removals = _removals(placed)
    zones = _zones(placed, points, removals)
    buildings = tuple((name, placed.path(refs)) for name, refs in job.buildings)
    remarks = _remarks(placed, removals)
    if placed.problems:
        raise JobError(_unique(placed.problems))
    evidence = _evidence(placed)
    site = Site(
        points=points,
        ring=placed.ring,
        zones=zones,
        removals=removals,
        buildings=buildings,
        north=job.north and placed.oriented,
        remarks=remarks,
        reasons=(*placed.reasons, *_reasons(points, removals, zones), *_more_reasons(placed, evidence)),
        survey=placed.measuring.survey,
        evidence=evidence,
        heights=placed.heights,
    )
    return site, placed.measuring.adjustment


def _site_points(placed: Placing) -> tuple[SitePoint, ...]:
    """Every point that has a place: boundary corners first, then the job's points, then the rest."""
    specs = {point.name: point for point in placed.job.points}
    corners = {corner.name: corner for corner in placed.ring.corners} if placed.ring else {}
    order = dict.fromkeys([*corners, *specs, *placed.fixing.places])
    rows = []
    for name in order:
        fixed = placed.fixing.places.get(name)
        if fixed is None:
            continue
        spec, corner = specs.get(name), corners.get(name)
        found = (corner.found if corner else "") or (spec.found if spec else "")
        clear = spec.pin_clear_m if spec and spec.pin_clear_m is not None else PIN_CLEAR_M
        rows.append(SitePoint(name, fixed.xy, fixed.how, found, fixed.assumed, clear if found else 0.0))
    return tuple(rows)


def _removals(placed: Placing) -> tuple[Removal, ...]:
    """Old fences with their posts counted: at both ends, at corners, and evenly between."""
    rows = []
    for spec in placed.job.removals:
        points = placed.path(spec.through)
        problem = _removal_problem(spec, points)
        if problem is not None:
            placed.problems.append(problem)
            continue
        posts = tuple(divide_path(points, spec.every_m))
        length = path_length(points)
        rows.append(Removal(spec.name, points, length, posts, spec.footing_m, spec.then, spec.kind, spec.height_m))
    return tuple(rows)


def _zones(placed: Placing, points: Sequence[SitePoint], removals: Sequence[Removal]) -> tuple[Zone, ...]:
    """Ground to keep clear of: what the job says, old footings, and a ring round every found monument."""
    rows = []
    for spec in placed.job.zones:
        path = placed.path(spec.through)
        if not path:
            placed.problems.append(
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


def _evidence(placed: Placing) -> BoundaryEvidence | None:
    """Record beside measured, and where to look for pins; None without a boundary."""
    if placed.ring is None:
        return None
    places = {name: fixed.xy for name, fixed in placed.fixing.places.items()}
    north = placed.job.north and placed.oriented
    return boundary_evidence(placed.job, placed.ring, places, placed.measuring.observations, north)


def _more_reasons(placed: Placing, evidence: BoundaryEvidence | None) -> tuple[Reason, ...]:
    """Reasons of the boundary's evidence, and of the heights."""
    rows = evidence_reasons(evidence) if evidence else ()
    if placed.heights is None:
        return rows
    from palewright.plan.heights_said import height_reasons

    return (*rows, *height_reasons(placed.heights))


def _remarks(placed: Placing, removals: Sequence[Removal]) -> tuple[Remark, ...]:
    """Everything a reader must know of the site."""
    rows: list[Remark] = []
    if not placed.job.north:
        rows.append(Remark("no-north", "note", "site"))
    if placed.job.boundary is None:
        rows.append(Remark("no-boundary", "caution", "site"))
    rows += placed.frame
    rows += placed.said
    for corner in placed.fixing.corners:
        args = (("point", corner.point), ("before", corner.before), ("after", corner.after))
        rows.append(Remark("assumed-right-angle", "assumption", f"point {corner.point}", args, corner.at))
    for repeat in placed.fixing.repeats:
        if repeat.length_m:
            args2 = (("point", repeat.name), ("miss_m", repeat.miss_m), ("walked_m", repeat.length_m))
            close = repeat.miss_m <= tape_allowance(repeat.length_m)
            slug, level = ("walk-closes", "note") if close else ("walk-misses", "caution")
            rows.append(Remark(slug, level, f"point {repeat.name}", args2, repeat.at))
    rows += placed.measuring.remarks(placed.fixing.places)
    for k, m in enumerate(() if placed.measuring.disagree else placed.job.measured):
        if k not in placed.fixing.used and m.kind != "rise":
            rows += _check(placed, m)
    if placed.heights is not None:
        from palewright.plan.heights_said import height_remarks

        rows += height_remarks(placed.job, placed.heights)
    for removal in removals:
        args3 = (("posts", len(removal.posts)), ("fence", removal.name))
        rows.append(Remark("old-posts-counted", "assumption", removal.name, args3))
    return tuple(rows)


def _check(placed: Placing, m: Measurement) -> list[Remark]:
    """A measurement that defined nothing, compared with what was computed."""
    places = [placed.fixing.places.get(name) for name in m.points]
    about = " to ".join(m.points)
    spots = [fixed.xy for fixed in places if fixed is not None]
    if len(spots) < len(places):
        return [Remark("measurement-not-used", "note", about, (("points", ", ".join(m.points)),), m.at)]
    if m.kind == "tape":
        return [] if _in_status(placed, m) else [_tape_remark(placed, m, distance(spots[0], spots[1]), about)]
    if m.kind == "square":
        got, limit = angle_at(spots[0], spots[1], spots[2]), _ANGLE_DIFFERS
        slug, about = "angle", f"point {m.points[1]}"
    else:
        if m.kind != "direction" or not placed.job.north or _in_status(placed, m):
            return []
        got, limit = azimuth(spots[0], spots[1]), _DIRECTION_DIFFERS
        slug = "direction"
    off = math.remainder(m.value - got, 2.0 * math.pi)
    digits = 2 if abs(off) > _FINE else 4
    figures = (("measured_deg", m.value), ("computed_deg", got), ("difference_deg", abs(off)))
    rounded = ((name, round(math.degrees(value), digits)) for name, value in figures)
    args: tuple[tuple[str, float | str], ...] = (("points", ", ".join(m.points)), *rounded)
    word, level = ("differs", "caution") if abs(off) > limit else ("agrees", "note")
    return [Remark(f"{slug}-{word}", level, about, args, m.at)]


def _tape_remark(placed: Placing, m: Measurement, level_m: float, about: str) -> Remark:
    """What a tape should read, slope and corrections in it, beside what it reads; its tool may explain the rest."""
    same = (o for o in placed.measuring.observations if o.kind == "distance" and (o.at, o.points) == (m.at, m.points))
    read = next(same, None)
    computed, sigma = (level_m + m.value - read.value, read.sigma) if read is not None else (level_m, 0.0)
    off = abs(m.value - computed)
    args = (("start", m.points[0]), ("end", m.points[1]), ("reads_m", m.value), ("computed_m", computed))
    apart = differs(m.value, computed) and off > _BY_THE_TOOL * sigma
    slug, level = ("tape-differs", "caution") if apart else ("tape-agrees", "note")
    return Remark(slug, level, about, (*args, ("difference_m", off)), m.at)


def _in_status(placed: Placing, m: Measurement) -> bool:
    """Whether the status of the lines has dealt with it: both ends are found corners that match the record."""
    corners = {corner.name: corner for corner in placed.ring.corners} if placed.ring else {}
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
