"""Which fences of a job are of wire: they are laid out by an engine of their own, and ordinary ones as if alone."""

from __future__ import annotations

from dataclasses import replace

from palewright.errors import JobError, Problem
from palewright.layout.line_rules import is_wire
from palewright.model import Job

__all__ = ["split_wire"]


def split_wire(job: Job) -> tuple[Job, Job | None]:
    """A job without its wire, and one with nothing else; the second is None where there is none. Raises JobError."""
    wire = {spec.name for spec in job.fences if is_wire(spec)}
    wrong = [gate for run in job.runs if run.fence not in wire for gate in run.gates if gate.what]
    if wrong:
        what = "a floodgate or a cattle guard stands in a run of wire"
        raise JobError([Problem("gate-what", what, gate.at, found=gate.what, allowed="gate") for gate in wrong])
    if not wire:
        return job, None
    return (
        replace(
            job,
            fences=tuple(spec for spec in job.fences if spec.name not in wire),
            runs=tuple(run for run in job.runs if run.fence not in wire),
        ),
        replace(
            job,
            fences=tuple(spec for spec in job.fences if spec.name in wire),
            runs=tuple(run for run in job.runs if run.fence in wire),
        ),
    )
