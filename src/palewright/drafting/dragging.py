"""What a hand may drag, and what a drag then changes in the job file."""

from __future__ import annotations

from collections.abc import Mapping

from palewright.drafting.speech import Speech
from palewright.model import Job

__all__ = ["drag_of", "drag_said", "drags", "walked"]


def walked(job: Job, name: str) -> tuple[int, int, int] | None:
    """The walk that calls a point: its number, the number of the length that ends there, and its step."""
    for w, walk in enumerate(job.walks):
        goes = [k for k, step in enumerate(walk.steps) if step.length_m is not None]
        for n, called in enumerate(walk.names):
            if called == name and n < len(goes):
                return w, n, goes[n]
    return None


def drag_of(job: Job, name: str, speech: Speech) -> tuple[str, str]:
    """How a point may be dragged, and in words what a drag changes or why it may not be dragged.

    "point": anywhere; "walk": along its leg of a walk; "along": along its line.
    """
    return drag_said(drags(job), name, speech)


def drag_said(known: Mapping[str, tuple[str, str]], name: str, speech: Speech) -> tuple[str, str]:
    """The same, of one that is known."""
    how, why = known.get(name, ("", "measured"))
    return how, speech(f"drag.{why}") if why else ""


def drags(job: Job) -> dict[str, tuple[str, str]]:
    """How each point may be dragged, and the key of the words for it; points that are not in it are measured."""
    found = {name: ("", "sides") for run in job.runs for name in run.call}
    if job.boundary is not None and job.boundary.calls:
        found |= dict.fromkeys((*job.boundary.names, job.boundary.start.name), ("", "calls"))
    if job.boundary is not None:
        pins = {corner.name for corner in job.boundary.corners if corner.found}
        drawn = zip(job.boundary.names, job.boundary.through, strict=False)
        found |= {name: ("", "found") if name in pins else ("point", "") for name, ref in drawn if ref.xy}
    found |= {point.name: ("along", "line") for point in job.points if point.how == "on line"}
    found |= {name: ("walk", "walk") for walk in job.walks for name in walk.names}
    return found | {point.name: ("point", "") for point in job.points if point.how == "coordinates"}
