"""Files of ground that a job names, read beside the job file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from palewright.errors import JobError, Problem, ProblemError
from palewright.exchange.terrain_in import read_terrain
from palewright.model import Job

__all__ = ["read_ground"]


def read_ground(job: Job, folder: Path) -> Job:
    """The job with the surfaces and grids that its heights name.

    folder
        where files with a relative name are looked for.
    Raises JobError with the problems of every file, at the place in the job file that names it.
    """
    problems: list[Problem] = []
    found = []
    for spec in job.ground.files:
        try:
            found.append(read_terrain(folder / spec.file, spec))
        except ProblemError as error:
            problems += [
                p if p.where.line else replace(p, where=replace(spec.at, thing=spec.file)) for p in error.problems
            ]
    if problems:
        raise JobError(problems)
    return replace(job, ground=replace(job.ground, terrain=tuple(found)))
