"""Lengths of a job that are worth snapping to: whole bays, insets, the mark of its tape."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from palewright.drafting.desk import Desk
from palewright.drafting.taped import length_text, mark_m
from palewright.errors import ProblemError
from palewright.layout.kinds import resolve
from palewright.layout.sides import side_offsets
from palewright.model import Job, Ring
from palewright.record import Record, other

__all__ = ["Hints", "Inset", "hints_for", "hints_of"]


class Inset(Record):
    """An inset that a run of the job keeps [m], and how far inside post centres then stand; of a side, "" for any."""

    inset_m: float
    centre_m: float
    text: str = ""
    side: str = ""


class Hints(Record):
    """Lengths of a job that are worth snapping to [m]: longest bays, insets of its runs; the mark of its tape."""

    bays: tuple[float, ...] = ()
    insets: tuple[Inset, ...] = ()
    mark: float = 0.0


def hints_of(job: Job, ring: Ring | None = None) -> Hints:
    """The lengths that a job asks for; a fence that cannot be read has none.

    ring
        the boundary, for the insets.
    """
    bays = set()
    for spec in job.fences:
        with suppress(ProblemError):
            bays.add(resolve(spec).longest_m)
    mark = mark_m(job.print_style, job.fraction)
    insets = dict.fromkeys(_insets(job, ring)) if ring is not None else ()
    return Hints(tuple(sorted(bay for bay in bays if bay > 0.0)), tuple(insets), mark)


def hints_for(text: str, folder: Path) -> Hints:
    """The same, of the text of a job file. Raises ProblemError where it cannot be read."""
    desk = Desk(text, folder)
    with suppress(ProblemError):
        if any(run.inset is not None for run in desk.job.runs):
            return hints_of(desk.job, desk.site.ring)
    return hints_of(desk.job)


def _insets(job: Job, ring: Ring) -> Iterator[Inset]:
    """What every run with an inset keeps along every side."""
    fences = {spec.name: spec for spec in job.fences}
    for run in job.runs:
        if run.inset is not None and run.fence in fences:
            with suppress(ProblemError):
                kind, text = (
                    resolve(fences[run.fence]),
                    length_text(run.inset.distance_m, job.print_style, job.fraction),
                )
                for number in range(1, len(ring.courses) + 1):
                    off = side_offsets(ring, other(run, sides=(number,)), kind)[number]
                    yield Inset(run.inset.distance_m, off, text, f"side {number}")
