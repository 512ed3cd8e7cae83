"""Names of points: those that nothing defines, and those that nothing puts in a place."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from palewright.errors import Problem, Where
from palewright.model import Job, PointRef

__all__ = ["name_problems"]


def name_problems(job: Job, places: Collection[str], corners: Sequence[str], ring_refused: bool) -> list[Problem]:
    """A problem for every name that nothing defines, and one for every point that keeps others from having a place.

    places
        names that have one. corners: names of the boundary corners. ring_refused: the boundary has a problem of its
        own, so that its corners are not blamed.
    """
    known = set(_defined(job, corners)) | set(places)
    problems: list[Problem] = []
    roots: dict[str, Where] = {}
    for name, where in _needed(job, corners):
        if name in places:
            continue
        for root in _roots(job, places, corners, name, set()) if name in known else [name]:
            if root in known:
                roots.setdefault(root, where)
            else:
                problems.append(_called(job, root, where) or _unknown(root, where, sorted(known)))
    if ring_refused:
        roots = {name: where for name, where in roots.items() if name not in corners}
    return problems + [_not_fixed(job, places, name, where) for name, where in roots.items()]


def _defined(job: Job, corners: Sequence[str]) -> Iterator[str]:
    for point in job.points:
        yield point.name
    for walk in job.walks:
        yield walk.start
        yield walk.sight
        yield from walk.names
    through = job.boundary.through if job.boundary is not None else ()
    referred = {ref.name for ref in through if ref.xy is None}
    yield from (name for name in corners if name not in referred)


def _needed(job: Job, corners: Sequence[str]) -> Iterator[tuple[str, Where]]:
    """Names that must have a place, each with where it is used.

    Names that a run along sides calls out get their place in the layout: runs and falls may use them.
    """
    called = {name for run in job.runs for name in run.call}
    runs = [([ref for ref in run.through if ref.name not in called], run.at) for run in job.runs]
    paths: list[tuple[Sequence[PointRef], Where]] = list(runs)
    for run in job.runs:
        paths.append(([ref for ref in (run.begins, run.finishes) if ref is not None], run.at))
    paths += [(removal.through, removal.at) for removal in job.removals]
    paths += [(zone.through, zone.at) for zone in job.zones]
    paths += [(refs, job.at) for _, refs in job.buildings]
    lot = job.lot
    paths += [(drive.through, drive.at) for drive in lot.drives]
    paths += [(easement.through, easement.at) for easement in lot.easements]
    paths += [(pool.through, pool.at) for pool in lot.pools]
    paths += [(wall.through, wall.at) for wall in lot.walls]
    paths += [((tree.place,), tree.at) for tree in lot.trees]
    if job.boundary is not None:
        paths.append((job.boundary.through or (job.boundary.start,), job.boundary.at))
    for refs, at in paths:
        yield from ((ref.name, ref.at if ref.at.line else at) for ref in refs if ref.xy is None and ref.name)
    for walk in job.walks:
        yield from ((name, walk.at) for name in (walk.start, *walk.names) if name)
    yield from ((point.name, point.at) for point in job.points if point.how != "thing")
    for fall in job.falls:
        yield from ((name, fall.at) for name in (fall.start, fall.end) if name not in called)
    yield from ((spot.name, spot.at) for spot in job.ground.spots if spot.name and spot.name not in called)
    for hung in job.ground.strings:
        yield from ((name, hung.at) for name in (*hung.ends, hung.start) if name and name not in called)
    others = set(_defined(job, corners))
    for m in job.measured:
        yield from ((name, m.at) for name in m.points if name not in others)


def _roots(job: Job, places: Collection[str], corners: Sequence[str], name: str, seen: set[str]) -> list[str]:
    """The names whose missing place keeps ``name`` from having one."""
    if name in seen:
        return [name]
    seen.add(name)
    missing = [other for other in _depends(job, corners, name) if other not in places]
    if not missing:
        return [name]
    return [root for other in missing for root in _roots(job, places, corners, other, seen)]


def _depends(job: Job, corners: Sequence[str], name: str) -> list[str]:
    """The names that the place of ``name`` is worked out from."""
    for point in job.points:
        if point.name == name and point.how == "calls":
            return [point.start]
        if point.name == name and point.how == "on line":
            return list(point.line)
    for walk in job.walks:
        if name in walk.names and name != walk.start:
            return [walk.start] if walk.facing == "azimuth" else [walk.start, walk.sight]
    spec = job.boundary
    if spec is not None and name in corners:
        refs = [ref.name for ref in spec.through] or [spec.start.name]
        return [ref for ref in refs if ref and ref != name]
    return []


def _not_fixed(job: Job, places: Collection[str], name: str, where: Where) -> Problem:
    """Nothing says where a point is; the hint names a measurement that would."""
    at = next((point.at for point in job.points if point.name == name and point.at.line), where)
    anchor = next((walk.start for walk in job.walks if walk.sight == name), "")
    anchor = anchor or next((walk.sight for walk in job.walks if walk.start == name), "")
    near = next(iter(places), "")
    if anchor in places and len(places) >= 1:
        hint = f"tape from {anchor} to {name}, and write it under measured; or give coordinates"
    else:
        hint = "give it coordinates, or reach it by calls or by a walk from a point that has a place"
        hint += f"; or measure a tape and a direction from {near} to it" if near else ""
    return Problem("point-not-fixed", "nothing says where this point is", where=at, found=name, hint=hint)


def _called(job: Job, name: str, where: Where) -> Problem | None:
    """A name that a run along sides calls out, used before there are runs."""
    run = next((run.name for run in job.runs if name in run.call), None)
    if run is None:
        return None
    return Problem("called-by-run", f"run {run} calls this name out: only runs, falls and heights may use it",
                   where, found=name, allowed="in runs, in falls, and in heights",
                   hint="use a point of the boundary, or one that is measured or has coordinates")  # fmt: skip


def _unknown(name: str, where: Where, known: Sequence[str]) -> Problem:
    import difflib

    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return Problem(
        "unknown-point",
        "the job has no point of this name",
        where=where,
        found=name,
        allowed=", ".join(known[:12]) + (", ..." if len(known) > 12 else ""),
        hint=f"nearest: {near[0]}" if near else "name it under points, in a walk, or in the boundary",
    )
