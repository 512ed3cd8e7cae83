"""Runs of a job that cannot be planned yet: as they were asked for, through the points that have a place."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.drafting.sight_records import Item
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.model import Job, Site

__all__ = ["wish_items"]


def wish_items(job: Job, site: Site | None, things: Things, speech: Speech) -> Iterator[Item]:
    """Runs through points, and points by coordinates where not even the site stands."""
    places = {point.name: point.xy for point in site.points} if site is not None else {}
    if site is None:
        for point in job.points:
            if point.xy is not None:
                places[point.name] = point.xy
                about = f"point {point.name}"
                yield Item(about, "point", "points", path=things.path(about), text=point.name, say=point.name,
                           marks=("coordinates",), centre=point.xy, drag="point")  # fmt: skip
    for run in job.runs:
        spots = [ref.xy or places.get(ref.name) for ref in run.through]
        points = tuple(xy for xy in spots if xy is not None)
        if len(points) > 1:
            about = f"run {run.name}"
            yield Item(about, "run", "fence", path=things.path(about), text=run.name,
                       say=speech("item.run_wish", name=run.name), marks=("not laid out",), points=points,
                       closed=run.closed)  # fmt: skip
