"""Jobs: the list, a new one, its text, steps back and forth, versions with names, copies."""

from __future__ import annotations

import re
from importlib import resources
from typing import Annotated

from fastapi import Query

from palewright.errors import Problem, ProblemError
from palewright.store import JobEntry
from palewright.web import shapes
from palewright.web.api_files import named
from palewright.web.desk import problems_of
from palewright.web.faults import plain_problem, said
from palewright.web.routes import JobId, job_of, router
from palewright.web.security import Crew, Estimator, Owner, Visit

__all__ = ["api", "entry_on", "title_of"]

api = router("jobs")


@api.get("/jobs")
def jobs(visit: Crew) -> list[shapes.Job]:
    """Every job, the one last changed first."""
    return [shapes.Job.of(entry) for entry in visit.house.store.jobs.all()]


@api.post("/jobs", status_code=201)
def new_job(visit: Estimator, new: shapes.NewJob) -> shapes.Job:
    """Begin a job: from nothing, from the sample site, or from the text of a job file."""
    if (new.source == "text") != (new.text is not None):
        raise ProblemError(
            Problem("request-value-unusable", "a text goes with `from` text, and only with it", found=new.source)
        )
    text = new.text if new.text is not None else _sample(new.title) if new.source == "sample" else _empty(new.title)
    entry = visit.house.store.jobs.create(
        text, title=title_of(text, new.title), by=visit.by, why=f"begun from {new.source}", key=new.key
    )
    return shapes.Job.of(entry)


@api.get("/jobs/{job}")
def job(visit: Crew, job: JobId) -> shapes.Job:
    """One job as it stands."""
    return shapes.Job.of(visit.house.store.jobs.entry(job))


@api.delete("/jobs/{job}")
def remove_job(visit: Owner, job: JobId, revision: Annotated[int, Query(ge=1, le=2**31 - 1)]) -> shapes.Job:
    """Take a job off the list. Everything of it is kept, and the owner can bring it back."""
    return shapes.Job.of(visit.house.store.jobs.remove(job, on=revision, by=visit.by))


@api.post("/jobs/{job}/back")
def bring_back(visit: Owner, job: JobId) -> shapes.Job:
    """Put a job that was taken off the list back on it; harmless for one that is there."""
    return shapes.Job.of(visit.house.store.jobs.bring_back(job))


@api.get("/jobs/{job}/text")
def text(visit: Estimator, job: JobId) -> shapes.Text:
    """The job file, and what is wrong with it."""
    entry = job_of(visit, job)
    found = visit.house.store.revisions.text(job, entry.revision)
    return shapes.Text(revision=entry.revision, text=found, problems=_said(visit, job, found))


@api.put("/jobs/{job}/text")
def save_text(visit: Estimator, job: JobId, new: shapes.NewText) -> shapes.Saved:
    """Save a whole text. One with problems is saved too: they are in the answer, each with its line."""
    entry = job_of(visit, job)
    named(visit, job, new.text)
    saved = visit.house.store.revisions.save(
        job,
        new.text,
        on=new.revision,
        title=title_of(new.text, entry.title),
        by=visit.by,
        why="edited as text",
        key=new.key,
    )
    return shapes.Saved(job=shapes.Job.of(saved), problems=_said(visit, job, new.text))


@api.post("/jobs/{job}/check")
def check_text(visit: Estimator, job: JobId, new: shapes.AnyText) -> shapes.Problems:
    """Read and plan a text as if it were this job's, and save nothing."""
    job_of(visit, job)
    named(visit, job, new.text)
    return shapes.Problems(problems=_said(visit, job, new.text))


@api.get("/jobs/{job}/marks")
def marks(visit: Estimator, job: JobId) -> list[shapes.Mark]:
    """The versions with names."""
    return [shapes.Mark.of(mark) for mark in visit.house.store.marks.all(job)]


@api.post("/jobs/{job}/marks", status_code=201)
def new_mark(visit: Estimator, job: JobId, new: shapes.NewMark) -> shapes.Mark:
    """Give a revision a name."""
    return shapes.Mark.of(visit.house.store.marks.add(job, new.name, number=new.revision, by=visit.by))


@api.post("/jobs/{job}/copy", status_code=201)
def copy_job(visit: Estimator, job: JobId, new: shapes.Copy) -> shapes.Job:
    """A second job with the same text and files, under a new title: an alternate beside the first."""
    store = visit.house.store
    text = _titled(store.revisions.text(job_of(visit, job).id), new.title)
    entry = store.jobs.create(text, title=new.title, by=visit.by, why="copied", files_from=job, key=new.key)
    return shapes.Job.of(entry)


def title_of(text: str, otherwise: str) -> str:
    """The title that a text gives its job; ``otherwise`` the one that it had, which mostly still stands there.

    >>> title_of("palewright: 1\\njob: {title: Yard}\\n", "Garden")
    'Yard'
    """
    from palewright.jobfile import Document

    if re.search(rf"^(?:job: *\{{|  )title: *{re.escape(otherwise)} *(?:\}}.*)?$", text, re.MULTILINE):
        return otherwise  # reading the whole text takes longer than all the rest of a save
    try:
        found = Document(text).get("job.title")
    except ProblemError:
        found = None
    return found.strip()[:200] if isinstance(found, str) and found.strip() else otherwise


def _titled(text: str, title: str) -> str:
    """The text with another title; as it is where it cannot be read."""
    from palewright.jobfile import Document

    try:
        document = Document(text)
        document.set("job.title", title)
    except ProblemError:
        return text
    return document.dump()


def _empty(title: str) -> str:
    return _titled("palewright: 1\njob:\n  title: new job\n", title)


def _sample(title: str) -> str:
    return _titled(resources.files("palewright.web").joinpath("sample.yaml").read_text("utf-8"), title)


def _said(visit: Visit, job: str, text: str) -> list[shapes.Trouble]:
    found = said(problems_of(visit.house, job, text), visit.language)
    return [shapes.Trouble.model_validate(plain_problem(problem)) for problem in found]


def entry_on(visit: Visit, job: str, revision: int) -> JobEntry:
    """The job, when its head is the revision that the page shows.

    Raises ProblemError ``job-changed-elsewhere``.
    """
    from palewright.store import ChangedElsewhere

    entry = job_of(visit, job)
    if entry.revision != revision:
        raise ChangedElsewhere(entry, revision)
    return entry
