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
from palewright.layout.line_sizes import post_width
from palewright.layout.line_zones import posts_in_zones
from palewright.layout.say import Say
from palewright.model import GateSpec, Job, LinePlan, PostMove, Profile, RunSpec, Site, Stretch, WireRules
from palewright.notation import show_length
from palewright.plan.line_paths import LinePath, line_paths
from palewright.plan.line_said import ground_said, inset_said, rail_said, top_said, zones_said
from palewright.supply.line import wire_rolls

__all__ = ["lay_lines"]

_SAME = 1e-6
#: from running station to running station, and from mileage post to mileage post [m].
_EVERY_M = ((30.48, 1609.344), (25.0, 1000.0))
_MOST_POSTS = 1_000_000


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
    paths = line_paths(job, site, rules, problems)
    openings = {
        run.name: _openings(run, paths[run.name], rules[run.fence], site, problems)
        for run in job.runs
        if run.name in paths
    }
    if problems:
        raise JobError(problems)
    known = _profiles(paths, ground)
    return tuple(_lay(run, rules[run.fence], paths[run.name], openings[run.name], known, job, site) for run in job.runs)


def _profiles(paths: dict[str, LinePath], ground: Ground | None) -> dict[str, Profile]:
    if ground is None:
        return {}
    return {profile.run: profile for profile in ground([(name, path.xy) for name, path in paths.items()], {})}


def _lay(
    run: RunSpec,
    rules: WireRules,
    path: LinePath,
    openings: list[Opening],
    known: dict[str, Profile],
    job: Job,
    site: Site,
) -> LinePlan:
    profile = known.get(run.name)
    xy = np.array(path.xy)
    if profile is None:
        way = Way.of(xy)
    else:
        way = Way.of(xy, np.array(profile.stations_m), np.array(profile.heights_m))
    posts = way.along[-1] / rules.number("longest bay")
    if posts > _MOST_POSTS:
        raise JobError(
            Problem("too-many-posts", "so many bays are taken for a slip of the unit", run.at,
                    found=f"{posts:.0f} bays", allowed=f"up to {_MOST_POSTS}", hint="check the units of the run")
        )  # fmt: skip
    line = lay_line(way, path.closed, [(o.from_m, o.to_m) for o in openings], rules)
    made = line_plan(run.name, line, rules, openings, path.closed, profile, *_EVERY_M[job.print_style == "metric"])
    moves, in_zones = posts_in_zones(line, made, site.zones)
    stretches = tuple(_past_moved(one, moves) for one in made.stretches) if moves else made.stretches
    made = replace(made, rolls=wire_rolls(made), moves=moves, in_zones=in_zones, stretches=stretches)
    said = [
        *ground_said(made),
        *zones_said(made),
        *inset_said(run, line, made, site, Say.of(job)),
        *top_said(rules, run.name),
        *rail_said(rules, run.name),
    ]
    return replace(made, remarks=(*made.remarks, *said))


def _openings(run: RunSpec, path: LinePath, rules: WireRules, site: Site, problems: list[Problem]) -> list[Opening]:
    width = post_width(rules, "gate")
    made: list[Opening] = []
    for spec in run.gates:
        opening = _opening(run, spec, path, width, site, problems)
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


def _past_moved(one: Stretch, moves: Sequence[PostMove]) -> Stretch:
    """A stretch whose running stations are told from the line posts where they stand, some of them moved."""
    by = {move.post: move.by_m for move in moves if move.stretch == one.number}
    made = []
    for at in one.running:
        past, post = at.past_m - by.get(at.post, 0.0), at.post
        if past < 0.0:
            past, post = past + by.get(post, 0.0) + one.spacing_m - by.get(post - 1, 0.0), post - 1
        made.append(replace(at, past_m=past, post=post))
    return replace(one, running=tuple(made))


def _corner(name: str, path: LinePath, site: Site) -> int | None:
    """Which corner of a path a point is: by its name, or by its place."""
    if name in path.names:
        return path.names.index(name)
    here = next((point.xy for point in site.points if point.name == name), None)
    near = [k for k, xy in enumerate(path.xy) if here is not None and math.dist(xy, here) <= _SAME]
    return near[0] if near else None


def _opening(
    run: RunSpec, spec: GateSpec, path: LinePath, width: float, site: Site, problems: list[Problem]
) -> Opening | None:
    k, at = _corner(spec.from_point, path, site), path.at
    if k is None:
        problems.append(
            Problem("gate-point-not-on-run",
                    f"gate {spec.name} is measured from a point that run {run.name} does not go through", spec.at,
                    found=spec.from_point, allowed=", ".join(name for name in path.names if name))
        )  # fmt: skip
        return None
    forward = k < len(at) - 1
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
