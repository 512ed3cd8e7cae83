"""The runs of a job that are fences of wire: laid out by assemblies and stretches, not post by post."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from palewright.errors import JobError, Problem
from palewright.layout.laying import Ground
from palewright.layout.line import lay_line
from palewright.layout.line_ground import Way
from palewright.layout.line_records import Opening, line_plan
from palewright.layout.line_rules import resolve_wire
from palewright.model import GateSpec, Job, LinePlan, PointRef, Profile, RunSpec, Site, WireRules
from palewright.notation import show_length
from palewright.plane import XY
from palewright.supply.line import wire_rolls

__all__ = ["lay_lines"]

_SAME = 1e-6
#: from running station to running station [m]: 100 ft, or 25 m.
_EVERY_M = (30.48, 25.0)
_MOST_POSTS = 1_000_000
_NOT_HERE = (
    ("sides", "sides"), ("inset", "inside boundary"), ("ends", "ends"), ("given", "given bays"),
    ("shortest_m", "shortest bay"), ("divide", "bays"), ("steps", "steps"), ("breaks", "top changes at"),
)  # fmt: skip


def lay_lines(job: Job, site: Site, ground: Ground | None) -> tuple[LinePlan, ...]:
    """Every run of wire of a job, laid out.

    job
        only its wire: fences that are a kind of wire, and their runs. ground: as the layout asks for it.
    Raises JobError with every problem.
    """
    problems: list[Problem] = []
    rules: dict[str, WireRules] = {}
    for spec in job.fences:
        try:
            rules[spec.name] = resolve_wire(spec)
        except JobError as error:
            problems += error.problems
    paths = {run.name: _path(run, site, problems) for run in job.runs if run.fence in rules}
    openings = {
        run.name: _openings(run, paths[run.name], rules[run.fence], site, problems)
        for run in job.runs
        if run.name in paths and len(paths[run.name]) > 1
    }
    if problems:
        raise JobError(problems)
    known = _profiles(paths, ground)
    return tuple(_lay(run, rules[run.fence], paths[run.name], openings[run.name], known, job) for run in job.runs)


def _profiles(paths: dict[str, list[XY]], ground: Ground | None) -> dict[str, Profile]:
    if ground is None:
        return {}
    return {profile.run: profile for profile in ground(list(paths.items()), {})}


def _lay(
    run: RunSpec, rules: WireRules, path: list[XY], openings: list[Opening], known: dict[str, Profile], job: Job
) -> LinePlan:
    profile = known.get(run.name)
    xy = np.array(path)
    if profile is None:
        way = Way.of(xy)
    else:
        way = Way.of(xy, np.array(profile.stations_m), np.array(profile.heights_m))
    closed = _closed(path)
    posts = way.along[-1] / rules.number("longest bay")
    if posts > _MOST_POSTS:
        raise JobError(
            Problem("too-many-posts", "so many bays are taken for a slip of the unit", run.at,
                    found=f"{posts:.0f} bays", allowed=f"up to {_MOST_POSTS}", hint="check the units of the run")
        )  # fmt: skip
    line = lay_line(way, closed, [(o.from_m, o.to_m) for o in openings], rules)
    made = line_plan(run.name, line, rules, openings, closed, profile, _EVERY_M[job.print_style == "metric"])
    return replace(made, rolls=wire_rolls(made))


def _closed(path: Sequence[XY]) -> bool:
    return len(path) > 3 and math.dist(path[0], path[-1]) <= _SAME


def _place(ref: PointRef, site: Site) -> XY | None:
    places = {point.name: point.xy for point in site.points}
    if site.ring is not None:
        places = {corner.name: corner.xy for corner in site.ring.corners} | places
    return places.get(ref.name) if ref.name else ref.xy


def _path(run: RunSpec, site: Site, problems: list[Problem]) -> list[XY]:
    """Corners of a run of wire; a closed one ends where it begins."""
    for field, key in _NOT_HERE:
        if getattr(run, field):
            problems.append(Problem("wire-run-key", f"a run of wire has no `{key}`", run.at, found=key,
                                    hint="a run of wire goes through points"))  # fmt: skip
    path: list[XY] = []
    for ref in run.through:
        place = _place(ref, site)
        if place is None:
            problems.append(
                Problem("unknown-point", f"run {run.name} goes through a point that the job does not have",
                        ref.at if ref.at.line else run.at, found=ref.name or "no coordinates",
                        allowed=", ".join(point.name for point in site.points) or "no point is described")
            )  # fmt: skip
            return []
        if path and math.dist(path[-1], place) <= _SAME:
            problems.append(Problem("zero-length-leg", f"run {run.name} names the same place twice in a row",
                                    ref.at if ref.at.line else run.at, found=ref.name))  # fmt: skip
            return []
        path.append(place)
    if run.closed and len(path) > 2 and not _closed(path):
        path.append(path[0])
    return path


def _openings(run: RunSpec, path: list[XY], rules: WireRules, site: Site, problems: list[Problem]) -> list[Opening]:
    width = _width(rules)
    made: list[Opening] = []
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(np.array(path), axis=0).T))])
    for spec in run.gates:
        opening = _opening(run, spec, path, at.tolist(), width, site, problems)
        if opening is not None:
            made.append(opening)
    made.sort(key=lambda o: o.from_m)
    for before, after in itertools.pairwise(made):
        if after.from_m < before.to_m - _SAME:
            problems.append(
                Problem("gates-overlap", f"gates of run {run.name} overlap", run.at,
                        found=f"{before.name} and {after.name}", hint="move one of them along the run")
            )  # fmt: skip
    return made


def _width(rules: WireRules) -> float:
    """Width of a gate post as its words say [m]."""
    return float(rules.word("post gate").split()[0]) * 0.0254


def _opening(
    run: RunSpec, spec: GateSpec, path: list[XY], at: list[float], width: float, site: Site, problems: list[Problem]
) -> Opening | None:
    places = [_place(ref, site) for ref in run.through]
    names = [ref.name for ref in run.through]
    here = _place(PointRef(spec.from_point, None, spec.at), site)
    if here is None or here not in places:
        problems.append(
            Problem("gate-point-not-on-run",
                    f"gate {spec.name} is measured from a point that run {run.name} does not go through", spec.at,
                    found=spec.from_point, allowed=", ".join(name for name in names if name))
        )  # fmt: skip
        return None
    k = places.index(here)
    forward = k < len(path) - 1
    clear = spec.opening_m if spec.opening_m is not None else (spec.leaf_m or 0.0) * spec.leaves
    apart = clear + width
    shares = spec.starts_m == 0.0 and spec.reference == "start"
    near = 0.0 if shares else spec.starts_m - (apart / 2.0 if spec.reference == "centre" else width / 2.0)
    low = at[k] + near if forward else at[k] - near - apart
    leg = (at[k], at[k + 1]) if forward else (at[k - 1], at[k])
    if low < leg[0] - _SAME or low + apart > leg[1] + _SAME:
        problems.append(
            Problem("gate-off-leg", f"gate {spec.name} does not fit where it is to stand", spec.at,
                    found=f"{show_length(low - leg[0])} to {show_length(low + apart - leg[0])} along the piece",
                    allowed=f"0 to {show_length(leg[1] - leg[0])}")
        )  # fmt: skip
        return None
    return Opening(spec.name, clear, low, low + apart, spec.leaves, spec.swings, spec.what)
