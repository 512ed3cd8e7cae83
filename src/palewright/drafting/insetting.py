"""A run kept inside the line of the property: the inset that a person gives, and its drawn points moved to keep it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from typing import NamedTuple

from palewright.drafting.desk import Desk, checked_length, refuse
from palewright.drafting.edits import KeepInside
from palewright.drafting.naming import known_names, new_letters, uses_of
from palewright.errors import ProblemError
from palewright.layout.frame import outline_of, reach
from palewright.layout.kinds import resolve
from palewright.model import Kind, Ring, RunSpec
from palewright.plane import XY, add, distance, dot, left_of, line_meet, project, scale, sub, unit

__all__ = ["keep_inside"]

_OUT_M = 1.0
"""What lies further outside than this was not meant to lie on the line (our own choice)."""
_SLACK_M = 1e-6
_HAIR_M = 0.00005
"""What a place is written further inside where its coordinates would round it too near."""
_FLAT = math.sin(math.radians(30.0))
"""A leg that meets the line at less than this is not moved along itself."""

_TURNS = 3
_ROLES = ("line", "end", "corner")


class _Stock(NamedTuple):
    """What a run is built of, and what of it is to stand how far inside [m]."""

    kind: Kind | None
    of: str
    wanted_m: float
    facing_m: float


def keep_inside(desk: Desk, edit: KeepInside) -> None:
    """The inset of a run, and its drawn points that stand nearer the line moved inside by what is missing.

    The outermost face counts, and no post comes nearer, as along sides. A corner of the property that the run goes
    through stays where it is: the run gets a point of its own inside.
    """
    k, run = desk.run(edit.run.removeprefix("run "))
    wanted, ring = checked_length(desk, edit.inside), desk.site.ring
    if ring is None:
        raise refuse("boundary-missing", "there is no boundary to stand inside of", edit.run, path=f"runs[{k}]")
    of = run.inset.of if run.inset is not None else "face"
    for _ in range(_TURNS if run.through else 0):  # a leg that turns a little turns its posts
        run = desk.run(run.name)[1]
        for n, (to, ways) in _moved(run, ring, _stock(desk, run, of, wanted), desk.places()).items():
            _put(desk, k, n, to, ways)
    desk.set(["runs", k, "inside boundary", of], edit.inside)


def _stock(desk: Desk, run: RunSpec, of: str, wanted: float) -> _Stock:
    """The face toward the line is the one that is turned there, the deeper one where nobody has said which that is."""
    with suppress(ProblemError, StopIteration):
        kind = resolve(next(spec for spec in desk.job.fences if spec.name == run.fence))
        known = {"neighbour": kind.front_m, "yard": kind.back_m} if run.yard in ("left", "right") else {}
        return _Stock(kind, of, wanted, known.get(kind.good_side, max(kind.front_m, kind.back_m)))
    return _Stock(None, of, wanted, 0.0)


def _moved(run: RunSpec, ring: Ring, stock: _Stock, known: dict[str, XY]) -> dict[int, tuple[XY, list[XY]]]:
    """Where the points of a run go that are too near the line, by their numbers; and the ways inside."""
    spots = [ref.xy or known.get(ref.name) for ref in run.through]
    path = [xy for xy in spots if xy is not None]
    if len(path) < len(spots):
        return {}
    found = {}
    for n, at in enumerate(path):
        beside = [path[m % len(path)] for m in (n - 1, n + 1) if run.closed or 0 <= m < len(path)]
        legs = [unit(sub(at, other)) for other in beside if distance(at, other) > _SLACK_M]
        near = _sides(ring, stock, at, legs)
        if near:
            found[n] = (_to(at, legs, near), [way for _, way, _ in near])
    return found


def _sides(ring: Ring, stock: _Stock, at: XY, legs: Sequence[XY]) -> list[tuple[XY, XY, float]]:
    """The straight sides that a point is too near, the ways inside, and how far inside its post must stand [m]."""
    found = []
    corners = [corner.xy for corner in ring.corners]
    for course, a, b in zip(ring.courses, corners, [*corners[1:], corners[0]], strict=True):
        if course.arc is not None or distance(a, b) < _SLACK_M:
            continue
        way = scale(left_of(unit(sub(b, a))), -1.0 if ring.clockwise else 1.0)
        need = stock.wanted_m + _reach(stock, legs, scale(way, -1.0))
        station, beside = project(at, a, b)[0], dot(sub(at, a), way)
        if -_OUT_M < beside < need - _SLACK_M and -need < station < distance(a, b) + need:
            found.append((a, way, need))
    return found[:2]


def _reach(stock: _Stock, legs: Sequence[XY], out: XY) -> float:
    """From post centres to what stands furthest out: a face, a post, or a footing [m]."""
    kind = stock.kind
    if kind is None:
        return 0.0
    if stock.of == "footing":
        return max(kind.hole(role).diameter_m for role in _ROLES) / 2.0
    axes = [math.atan2(y, x) for x, y in legs] or [math.atan2(-out[0], out[1])]
    posts = [reach(outline_of(kind.post(role)), axis, out) for role in _ROLES for axis in axes]
    return max(*posts, 0.0 if stock.of == "post" else stock.facing_m)


def _to(at: XY, legs: Sequence[XY], near: Sequence[tuple[XY, XY, float]]) -> XY:
    """Where it stands far enough inside of one side, or of two: an end along its leg, all else square to the side."""
    a, way, need = near[0]
    on = add(a, scale(way, need))
    if len(near) > 1:
        b, other, far = near[1]
        met = line_meet(on, left_of(way), add(b, scale(other, far)), left_of(other))
        if met is not None:
            return add(on, scale(left_of(way), met[0]))
    missing = need - dot(sub(at, a), way)
    if len(legs) == 1 and abs(steep := dot(legs[0], way)) > _FLAT:
        return add(at, scale(legs[0], missing / steep))
    return add(at, scale(way, missing))


def _put(desk: Desk, k: int, n: int, to: XY, ways: Sequence[XY]) -> None:
    """A point of a run at another place: its own coordinates, or a new point where it is more than a drawn one."""
    path: list[str | int] = ["runs", k, "through", n]
    name = str(desk.document.get(path))
    held = desk.document.get(["points", name])
    at = _written(desk, to, ways)
    if isinstance(held, dict) and list(held) == ["at"] and name not in desk.corners():
        desk.set(["points", name, "at"], at)
        return
    tree = desk.document.get([])
    if name in known_names(tree) and name not in desk.corners():
        return  # walked to or measured: the plan says what is missing
    fresh = new_letters(known_names(tree), 1)[0]
    desk.insert(["points", fresh], {"at": at})
    desk.made.append(f"point {fresh}")
    for use in uses_of(desk.document.get([]), "point"):
        if use.name == name and use.path[:2] == ("runs", k) and not use.key:
            desk.set(use.path, use.lead + fresh)


def _written(desk: Desk, at: XY, ways: Sequence[XY]) -> list[str]:
    """Coordinates that do not round a place toward the line."""
    texts = [desk.coordinate(c, exact=True) for c in at]
    if any(dot(sub((desk.read(texts[0]), desk.read(texts[1])), at), way) < -_SLACK_M / 2.0 for way in ways):
        for way in ways:
            at = add(at, scale(way, _HAIR_M))
        texts = [desk.coordinate(c, exact=True) for c in at]
    return texts
