"""Runs along boundary sides that begin or end abreast of a point, not at a corner."""

from __future__ import annotations

from palewright.errors import Problem
from palewright.layout.frame import SAME, Vertex
from palewright.layout.say import Say
from palewright.model import PointRef, RunSpec, Site
from palewright.plane import along, distance, project

__all__ = ["cut_abreast"]


def cut_abreast(
    site: Site,
    spec: RunSpec,
    vertices: list[Vertex],
    closed: bool,
    curved: tuple[bool, ...],
    say: Say,
    problems: list[Problem],
) -> bool:
    """Move the ends of a run by sides to where it is abreast of the points it names; False when that cannot be.

    ``curved``: whether its first and its last side are arcs.
    """
    sound = True
    for ref, k, beside in ((spec.begins, 0, 1), (spec.finishes, -1, -2)):
        if ref is not None:
            problem = _cut(
                site, spec, ref, vertices, k, beside, "closed" if closed else "arc" if curved[k] else "", say
            )
            problems += [problem] if problem is not None else []
            sound = sound and problem is None
    return sound


def _cut(
    site: Site, spec: RunSpec, ref: PointRef, vertices: list[Vertex], k: int, beside: int, barred: str, say: Say
) -> Problem | None:
    """Move one end; the problem where that cannot be."""
    xy = ref.xy if ref.xy is not None else {point.name: point.xy for point in site.points}.get(ref.name)
    at = ref.at if ref.at.line else spec.at
    if xy is None or barred:
        said = {"closed": "a closed run has no ends", "arc": "no run ends abreast of a point on a side that is an arc"}
        what = said.get(barred, f"run {spec.name} names a point that the job does not have")
        return Problem("abreast-not-possible", what, at, found=ref.name, allowed="points of the job")
    corner, inner = vertices[k].xy, vertices[beside].xy
    back, _ = project(xy, inner, corner)
    if not SAME < back <= distance(inner, corner) + SAME:
        return Problem(
            "abreast-not-possible",
            f"run {spec.name} does not pass abreast of {ref.name or 'that point'} on its "
            f"{'first' if k == 0 else 'last'} side",
            at,
            found=f"{say.m(abs(min(back, distance(inner, corner) - back)))} past that side",
            allowed=f"a point abreast of the {say.m(distance(inner, corner))} of the side",
            hint="add or leave out a side of the run",
        )
    foot = along(inner, corner, back)
    vertices[k] = Vertex(foot, "", foot)
    return None
