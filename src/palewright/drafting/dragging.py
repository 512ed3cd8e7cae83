"""What a hand may drag, and what a drag then changes in the job file."""

from __future__ import annotations

from palewright.drafting.speech import Speech
from palewright.model import Job

__all__ = ["drag_of", "walked"]


def walked(job: Job, name: str) -> tuple[int, int, int] | None:
    """The walk that calls a point: its number, the number of the length that ends there, and its step."""
    for w, walk in enumerate(job.walks):
        goes = [k for k, step in enumerate(walk.steps) if step.length_m is not None]
        for n, called in enumerate(walk.names):
            if called == name and n < len(goes):
                return w, n, goes[n]
    return None


def drag_of(job: Job, name: str, speech: Speech) -> tuple[str, str]:
    """How a point may be dragged, and in words why it may not: "point" freely, "walk" along its leg of a walk."""
    spec = next((point for point in job.points if point.name == name), None)
    if spec is not None and spec.how == "coordinates":
        return "point", ""
    if walked(job, name) is not None:
        return "walk", speech("drag.walk")
    if spec is not None and spec.how == "on line":
        return "along", speech("drag.line")
    if job.boundary is not None and job.boundary.calls:
        corners = {*job.boundary.names, job.boundary.start.name}
        if name in corners:
            return "", speech("drag.calls")
    if any(name in run.call for run in job.runs):
        return "", speech("drag.sides")
    return "", speech("drag.measured")
