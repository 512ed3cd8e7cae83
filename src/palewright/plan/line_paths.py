"""The paths of runs of wire: through points, or along sides of the boundary with an inset as other fences have it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from palewright.boundary import ring_sides
from palewright.errors import Problem, Where
from palewright.layout.frame import Vertex
from palewright.layout.line_curves import curve_bay
from palewright.layout.line_sizes import STEEL_M, post_width
from palewright.layout.say import Say
from palewright.layout.sides import all_side_offsets, by_sides
from palewright.model import HoleRule, Job, Kind, PointRef, PostSize, RunSpec, Site, WireRules
from palewright.plane import XY, path_stations
from palewright.record import Record

__all__ = ["LinePath", "line_paths"]

_SAME = 1e-6
_CHORD_M = 0.3048
_NOT_HERE = (
    ("ends", "ends"), ("given", "given bays"), ("shortest_m", "shortest bay"), ("divide", "bays"), ("steps", "steps"),
    ("breaks", "top changes at"), ("stretches", "stretches"),
)  # fmt: skip


class LinePath(Record):
    """Corners of a run of wire, and their names ("" has none); a closed one ends where it begins."""

    xy: tuple[XY, ...]
    names: tuple[str, ...]

    @property
    def closed(self) -> bool:
        """Whether it ends where it begins."""
        return len(self.xy) > 3 and math.dist(self.xy[0], self.xy[-1]) <= _SAME

    @property
    def at(self) -> list[float]:
        """Stations of its corners [m]."""
        return path_stations(self.xy)


def line_paths(
    job: Job, site: Site, rules: Mapping[str, WireRules], problems: list[Problem]
) -> dict[str, LinePath]:  # fmt: skip
    """The path of every run of wire; what is wrong goes to ``problems``, and that run is left out."""
    for run in job.runs:
        for field, key in _NOT_HERE:
            if getattr(run, field):
                problems.append(Problem("wire-run-key", f"a run of wire has no `{key}`", run.at, found=key,
                                        hint="a run of wire goes through points or along sides"))  # fmt: skip
        if run.follows not in ("", "grade"):
            problems.append(Problem("wire-run-key", "a run of wire follows the ground", run.at, allowed="grade",
                                    found=f"follows: {run.follows}", hint="leave `follows` out"))  # fmt: skip
    places = {point.name: point.xy for point in site.points}
    if site.ring is not None:
        places = {corner.name: corner.xy for corner in site.ring.corners} | places
    made = _along_sides(job, site, rules, problems)
    for run in job.runs:
        if run.sides and run.call and run.name in made:
            places |= {name: xy for name, xy in zip(made[run.name].names, made[run.name].xy, strict=True) if name}
    unmade = {name for run in job.runs for name in run.call if name} - places.keys()
    for run in job.runs:
        if run.fence in rules and not run.sides and unmade.isdisjoint(ref.name for ref in run.through):
            path = _through(run, places, problems)
            if len(path.xy) > 1:
                made[run.name] = path
    return made


def _through(run: RunSpec, places: Mapping[str, XY], problems: list[Problem]) -> LinePath:
    path: list[XY] = []
    for ref in run.through:
        place = places.get(ref.name) if ref.name else ref.xy
        if place is None:
            problems.append(
                Problem("unknown-point", f"run {run.name} goes through a point that the job does not have",
                        _at(ref, run), found=ref.name or "no coordinates",
                        allowed=", ".join(places) or "no point is described")
            )  # fmt: skip
            return LinePath((), ())
        if path and math.dist(path[-1], place) <= _SAME:
            problems.append(Problem("zero-length-leg", f"run {run.name} names the same place twice in a row",
                                    _at(ref, run), found=ref.name,
                                    hint="leave one of the two out, or check where they are"))  # fmt: skip
            return LinePath((), ())
        path.append(place)
    names = [ref.name for ref in run.through]
    if run.closed and len(path) > 2 and math.dist(path[0], path[-1]) > _SAME:
        path, names = [*path, path[0]], [*names, names[0]]
    return LinePath(tuple(path), tuple(names))


def _at(ref: PointRef, run: RunSpec) -> Where:
    return ref.at if ref.at.line else run.at


def _along_sides(
    job: Job, site: Site, rules: Mapping[str, WireRules], problems: list[Problem]
) -> dict[str, LinePath]:  # fmt: skip
    """Runs along sides: on the inset lines that other fences have, an arc as chords of a foot."""
    runs = [
        (k, run, _as_kind(rules[run.fence], site)) for k, run in enumerate(job.runs) if run.sides and run.fence in rules
    ]
    if not runs:
        return {}
    say, made = Say.of(job), dict[str, LinePath]()
    offsets = all_side_offsets(site.ring, runs, problems)
    for _, run, kind in runs:
        fine: Kind = replace(kind, longest_m=_CHORD_M)
        vertices, closed, _, _ = by_sides(site, run, fine, offsets, say, problems)
        if vertices:
            whole: Sequence[Vertex] = [*vertices, vertices[0]] if closed else vertices
            made[run.name] = LinePath(tuple(v.xy for v in whole), tuple(v.name for v in whole))
    return made


def _as_kind(rules: WireRules, site: Site) -> Kind:
    """What the tracing of sides asks of a kind: widths of posts and holes, and the longest bay on any arc."""
    longest = rules.number("longest bay")
    arcs = [side.radius for side in (ring_sides(site.ring) if site.ring is not None else ()) if side.sweep]
    bay = max((curve_bay(radius, longest) for radius in arcs), default=longest)
    sizes = {role: post_width(rules, role) for role in ("end", "corner", "gate")}
    sizes["line"] = max(post_width(rules, "wood"), STEEL_M)
    hole = HoleRule(rules.number("hole"), rules.number("depth pulled"), 0.0)
    return Kind(
        rules.fence, rules.kind, "wire", "mesh", "", False, 0.0, (), 0.0, 0.0, 0.0, bay, 0.0, None, 0.0, 0.0,
        tuple((role, PostSize(role, width, width, round=True)) for role, width in sizes.items()), (),
        tuple((role, hole) for role in sizes), 0, (), 0.0, 0.0, 0.0, 0.0,
    )  # fmt: skip
