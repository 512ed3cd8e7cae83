"""Runs along boundary sides that begin or end abreast of a point, not at a corner."""

from __future__ import annotations

import math

from palewright.errors import Problem
from palewright.layout.frame import SAME, Vertex
from palewright.layout.say import Say
from palewright.model import PointRef, RunSpec, Site
from palewright.plane import XY, Side, along, distance, project, side_points, sub, turn_between

__all__ = ["cut_abreast"]


def cut_abreast(
    site: Site,
    spec: RunSpec,
    vertices: list[Vertex],
    closed: bool,
    lain: tuple[Side, Side],
    say: Say,
    problems: list[Problem],
) -> bool:
    """Move the ends of a run by sides to where it is abreast of the points it names; False when that cannot be.

    ``lain``: its first and its last side. Abreast of a point on an arc is where the radius through it meets the run.
    """
    sound = True
    for ref, k, beside in ((spec.begins, 0, 1), (spec.finishes, -1, -2)):
        if ref is not None:
            problem = _cut(site, spec, ref, vertices, k, beside, closed, lain[k], say)
            problems += [problem] if problem is not None else []
            sound = sound and problem is None
    return sound


def _cut(
    site: Site,
    spec: RunSpec,
    ref: PointRef,
    vertices: list[Vertex],
    k: int,
    beside: int,
    closed: bool,
    side: Side,
    say: Say,
) -> Problem | None:
    """Move one end; the problem where that cannot be."""
    xy = ref.xy if ref.xy is not None else {point.name: point.xy for point in site.points}.get(ref.name)
    at = ref.at if ref.at.line else spec.at
    if closed:
        return Problem("abreast-not-possible", "a closed run has no ends", at, found=ref.name)
    if xy is None:
        what = f"run {spec.name} names a point that the job does not have"
        return Problem("abreast-not-possible", what, at, found=ref.name, allowed="points of the job")
    corner, inner = vertices[k].xy, vertices[beside].xy
    foot, back, whole = _abreast(xy, inner, corner, side)
    if not SAME < back <= whole + SAME:
        return Problem(
            "abreast-not-possible",
            f"run {spec.name} does not pass abreast of {ref.name or 'that point'} on its "
            f"{'first' if k == 0 else 'last'} side",
            at,
            found=f"{say.m(abs(min(back, whole - back)))} past that side",
            allowed=f"a point abreast of the {say.m(whole)} of the side",
            hint="add or leave out a side of the run",
        )
    vertices[k] = Vertex(foot, "", foot)
    return None


def _abreast(xy: XY, inner: XY, corner: XY, side: Side) -> tuple[XY, float, float]:
    """Where the line of post centres from ``inner`` to ``corner`` is abreast of a point; how far that is along it, and
    how long it is [m]."""
    if not side.sweep:
        back, _ = project(xy, inner, corner)
        return along(inner, corner, back), back, distance(inner, corner)
    radius, middle = distance(side.centre, inner), sub(side_points(side, math.inf, 2)[1], side.centre)
    begins, ends, at = (turn_between(middle, sub(p, side.centre)) for p in (inner, corner, xy))
    foot = corner if distance(side.centre, xy) < SAME else along(side.centre, xy, radius)
    return foot, (at - begins) * math.copysign(radius, ends - begins), abs(ends - begins) * radius
