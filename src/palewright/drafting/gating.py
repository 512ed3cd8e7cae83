"""Where along a run a place is, counted from one of its named points; and a new gate there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.drafting.desk import Desk, checked_length, refuse
from palewright.drafting.edits import AddGate
from palewright.drafting.naming import new_name
from palewright.drafting.things import gate_names
from palewright.drafting.words import text as words
from palewright.jobfile.writing import Plain
from palewright.model import RunSpec
from palewright.plane import XY, distance, dot, scale, sub, unit

__all__ = ["add_gate", "counted", "path_of_run"]

_SAME_M = 1e-6
_NEAR_M = 1e-3


def path_of_run(desk: Desk, run: RunSpec) -> tuple[list[XY], dict[str, float]]:
    """The path of a run [m], and the stations of its named points along it."""
    if run.through:
        places = desk.places()
        spots = [(ref.name, ref.xy or places.get(ref.name)) for ref in run.through]
        called = {name for other in desk.job.runs for name in other.call}
        laid_out = _laid_out(desk, run) if any(xy is None and name in called for name, xy in spots) else {}
        placed = [(name, xy or laid_out.get(name)) for name, xy in spots]
        named = [(name, xy) for name, xy in placed if xy is not None]
        if not named:  # nothing is placed, for the job contradicts itself
            return [], {}
        path = [xy for _, xy in named]
        stations = [0.0, *itertools.accumulate(distance(a, b) for a, b in itertools.pairwise(path))]
        names = {name: at for (name, _), at in zip(named, stations, strict=True) if name}
        return ([*path, path[0]] if run.closed else path), names
    design = desk.plan.design
    laid = next((found for found in design.runs if found.name == run.name), None)
    if laid is None:
        return [], {}
    legs = [design.legs[k] for k in laid.legs]
    path = [legs[0].start, *(leg.end for leg in legs)]
    names = {}
    for post in design.posts:
        at = dict(post.places).get(run.name)
        if at is not None and post.why.startswith("point "):
            for name in post.why.removeprefix("point ").split(",")[0].split(" and "):
                names[name] = at
    return path, names


def _laid_out(desk: Desk, run: RunSpec) -> dict[str, XY]:
    """Where the points of a run stand that other runs call out: where these were laid out."""
    design = desk.plan.design
    found = {}
    laid = next((one for one in design.runs if one.name == run.name), None)
    legs = [design.legs[k] for k in laid.legs] if laid is not None else []
    if legs and len(legs) + 1 == len(run.through):
        ends = [legs[0].start, *(leg.end for leg in legs)]
        found = {ref.name: xy for ref, xy in zip(run.through, ends, strict=True) if ref.name}
    return found


def _station(path: Sequence[XY], at: XY) -> float:
    """The station of the place of a path that is nearest to a point [m]."""
    best, station, passed = math.inf, 0.0, 0.0
    for a, b in itertools.pairwise(path):
        length = distance(a, b)
        if length > _SAME_M:
            d = unit(sub(b, a))
            along = min(max(dot(sub(at, a), d), 0.0), length)
            foot = (a[0] + scale(d, along)[0], a[1] + scale(d, along)[1])
            if distance(foot, at) < best:
                best, station = distance(foot, at), passed + along
        passed += length
    return station


def counted(desk: Desk, run: RunSpec, at: XY, opening_m: float, point: str = "") -> tuple[float, str]:
    """How far from which point of its run a gate with its middle at a place starts [m].

    On along the straight piece from its first point, or back from the last point of the run; from ``point``, where the
    gate is counted from it already and that is in line.
    """
    path, names = path_of_run(desk, run)
    if len(path) < 2 or not names:
        raise refuse("edit-unusable", "no point of this run has a name to count from", f"run {run.name}")
    station = _station(path, at)
    marks = [0.0, *itertools.accumulate(distance(a, b) for a, b in itertools.pairwise(path))]
    k = max(n for n, mark in enumerate(marks[:-1]) if mark <= station + _SAME_M)
    known = desk.places()
    if point and point not in names and point in known:
        names = {**names, point: _station(path, known[point])}
    last = not run.closed and point in names and abs(names[point] - marks[-1]) < _NEAR_M
    if last and k == len(marks) - 2:
        return names[point] - station - opening_m / 2.0, point
    low = max(station - opening_m / 2.0, marks[k])
    if point in names and marks[k] - _NEAR_M <= names[point] <= low and not last:
        return low - names[point], point
    at_start = next((name for name, mark in names.items() if abs(mark - marks[k]) < _NEAR_M), "")
    if at_start:
        return low - marks[k], at_start
    away, nearest = min((abs(mark - low), name) for name, mark in names.items())
    return away, nearest


def add_gate(desk: Desk, edit: AddGate) -> None:
    """A gate with its middle at a place: it is counted from the point of the run before it, or back from the last."""
    k, run = desk.run(edit.run.removeprefix("run "))
    opening = checked_length(desk, edit.opening)
    away, point = counted(desk, run, edit.at, opening)
    taken = set(gate_names(desk.job))
    called = words("walk.gate_name", desk.language)
    name = new_name(edit.name or (called if called not in taken else f"{called} {len(taken) + 1}"), taken)
    row: dict[str, Plain] = {"name": name, "opening": edit.opening}
    row["starts"] = f"{desk.length(max(away, 0.0), 1)} from {point}"
    row |= {"hinges": "ask", "swings": "ask"}
    held = desk.document.get(["runs", k, "gates"])
    if isinstance(held, Sequence) and held:
        desk.insert(["runs", k, "gates", len(held)], row)
    else:
        desk.insert(["runs", k, "gates"], [row], 1)
    desk.made.append(f"gate {name}")
