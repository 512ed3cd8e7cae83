"""Where along a run a place is, counted from one of its named points; and a new gate there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.drafting.desk import Desk, checked_length, refuse
from palewright.drafting.edits import AddGate
from palewright.drafting.naming import new_name
from palewright.drafting.things import gate_names
from palewright.jobfile.writing import Plain
from palewright.model import RunSpec
from palewright.plane import XY, distance, dot, scale, sub, unit

__all__ = ["add_gate", "along_run", "path_of_run"]

_SAME_M = 1e-6


def path_of_run(desk: Desk, run: RunSpec) -> tuple[list[XY], dict[str, float]]:
    """The path of a run [m], and the stations of its named points along it."""
    if run.through:
        places = desk.places()
        spots = [(ref.name, ref.xy or places.get(ref.name)) for ref in run.through]
        named = [(name, xy) for name, xy in spots if xy is not None]
        path = [xy for _, xy in named]
        stations = [0.0, *itertools.accumulate(distance(a, b) for a, b in itertools.pairwise(path))]
        names = {name: at for (name, _), at in zip(named, stations, strict=True) if name}
        return ([*path, path[0]] if run.closed and path else path), names
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


def along_run(desk: Desk, run: RunSpec, at: XY, point: str) -> float:
    """How far along a run a place is from one of its points [m]: on from it, or back from the last one."""
    path, names = path_of_run(desk, run)
    station = _station(path, at)
    if point not in names:
        raise desk.unknown(f"point {point}", [f"point {name}" for name in names])
    length = sum(distance(a, b) for a, b in itertools.pairwise(path))
    last = not run.closed and abs(names[point] - length) < 1e-3
    return (
        names[point] - station if last else (station - names[point]) % length if run.closed else station - names[point]
    )


def add_gate(desk: Desk, edit: AddGate) -> None:
    """A gate with its middle at a place: it is counted from the point of the run before it, or back from the last."""
    k, run = desk.run(edit.run.removeprefix("run "))
    opening = checked_length(desk, edit.opening)
    path, names = path_of_run(desk, run)
    if len(path) < 2 or not names:
        raise refuse("edit-unusable", "no point of this run has a name to count from", f"run {run.name}")
    station = _station(path, edit.at)
    before = [(at, name) for name, at in names.items() if at <= station]
    at, point = max(before, default=min((at, name) for name, at in names.items()))
    length = sum(distance(a, b) for a, b in itertools.pairwise(path))
    low = station - opening / 2.0
    if not run.closed and abs(at - length) < 1e-3:
        away = at - station - opening / 2.0
    else:
        away = max(low - at, 0.0)
    taken = set(gate_names(desk.job))
    name = new_name(edit.name or ("gate" if "gate" not in taken else f"gate {len(taken) + 1}"), taken)
    row: dict[str, Plain] = {"name": name, "opening": edit.opening}
    row["starts"] = f"{desk.length(max(away, 0.0), 1)} from {point}"
    row |= {"hinges": "ask", "swings": "ask"}
    held = desk.document.get(["runs", k, "gates"])
    if isinstance(held, Sequence) and held:
        desk.insert(["runs", k, "gates", len(held)], row)
    else:
        desk.insert(["runs", k, "gates"], [row], 1)
    desk.made.append(f"gate {name}")
