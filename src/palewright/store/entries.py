"""Reading and appending what the rest is made of: a job as it stands, and its next revision."""

from __future__ import annotations

import re
from dataclasses import fields
from hashlib import sha256
from typing import Any

from palewright.errors import ProblemError
from palewright.store.core import Core, clean, line
from palewright.store.database import Row, Work, damaged, refuse
from palewright.store.records import ChangedElsewhere, JobEntry, Revision
from palewright.store.room import check_disk

__all__ = [
    "JOB_ID", "JOIN", "append", "check_text", "entry_of", "get_job", "get_revision", "get_text", "hold_job",
    "insert_revision", "keep_text", "plain", "present", "revision_of", "title_line",
]  # fmt: skip

JOB_ID = re.compile(r"[0-9a-f]{16}", re.ASCII)
JOIN = """SELECT j.id, j.title, j.head, j.made, j.changed, j.gone, j.arrived, j.filed, r.undo_to, r.redo_to
FROM jobs j JOIN revisions r ON r.job = j.id AND r.number = j.head"""
_TITLE = 1000


def entry_of(row: Row) -> JobEntry:
    """A job from a row of ``JOIN``."""
    return JobEntry(
        row["id"], row["title"], row["head"], row["undo_to"] is not None, row["redo_to"] is not None,
        row["made"], row["changed"], row["filed"], row["arrived"], row["gone"],
    )  # fmt: skip


def get_job(work: Work, job: str) -> JobEntry:
    """The job as it stands, also one that is gone. Raises ProblemError ``job-unknown``."""
    rows = work.rows(f"{JOIN} WHERE j.id = :job", job=job) if JOB_ID.fullmatch(job) else []
    if not rows:
        raise refuse("job-unknown", "There is no such job")
    return entry_of(rows[0])


def present(work: Work, job: str, on: int | None = None) -> JobEntry:
    """A job that may be changed, whose head is ``on`` where that is given.

    Raises ProblemError ``job-unknown``, ``job-gone``; ChangedElsewhere.
    """
    entry = get_job(work, job)
    if entry.gone:
        raise refuse("job-gone", "The job was removed", found=entry.title, hint="bring it back, then change it")
    if on is not None and entry.revision != on:
        raise ChangedElsewhere(entry, on)
    return entry


def hold_job(work: Work, job: str) -> JobEntry:
    """As :func:`present`, and until this transaction ends whoever else holds the job waits."""
    get_job(work, job)
    work.hold(job)
    return present(work, job)


def get_revision(work: Work, job: str, number: int | None) -> Revision:
    """One revision, the head for None. Raises ProblemError ``job-unknown``, ``revision-unknown``."""
    entry = get_job(work, job)
    wanted = entry.revision if number is None else number
    if not 1 <= wanted <= entry.revision:
        raise refuse(
            "revision-unknown", "The job has no such revision", found=str(number), allowed=f"1 to {entry.revision}"
        )
    rows = work.rows("SELECT * FROM revisions WHERE job = :job AND number = :number", job=job, number=wanted)
    if not rows:
        raise ProblemError(damaged("", f"no revision {wanted} of a job"))
    return revision_of(rows[0])


def revision_of(row: Row) -> Revision:
    """A revision from its row."""
    return Revision(
        row["job"], row["number"], row["title"], row["digest"], row["made_by"], row["made_at"], row["why"],
        row["undo_to"], row["redo_to"],
    )  # fmt: skip


def get_text(work: Work, digest: str) -> str:
    """A text by its digest. Raises ProblemError ``data-damaged`` where what is kept is not what was saved."""
    rows = work.rows("SELECT text FROM texts WHERE digest = :digest", digest=digest)
    text = rows[0]["text"] if rows else ""
    if not isinstance(text, str) or sha256(text.encode("utf-8", "replace")).hexdigest() != digest:
        raise ProblemError(damaged("", "a text that is not what was saved"))
    return text


def check_text(core: Core, text: str) -> None:
    """Raises ProblemError ``job-text-unusable``, ``job-text-too-large``, ``data-disk-low``: it cannot be kept."""
    if not clean(text):
        raise refuse("job-text-unusable", "A job's text holds a NUL or half a letter; it was not saved")
    size, most = len(text.encode("utf-8")), core.limits.text_bytes
    if size > most:
        raise refuse(
            "job-text-too-large",
            "A job's text is too large; it was not saved",
            found=f"{size:,} bytes",
            allowed=f"up to {most:,} bytes",
            hint="put readings in bulk into a file beside the job",
        )
    check_disk(core, size, core.limits.spare_for_yard)


def keep_text(work: Work, text: str) -> str:
    """Keep a text, once however often it is saved; its digest."""
    digest = sha256(text.encode("utf-8")).hexdigest()
    work.run(
        "INSERT INTO texts (digest, text) VALUES (:digest, :text) ON CONFLICT DO NOTHING", digest=digest, text=text
    )
    return digest


def append(work: Work, core: Core, revision: Revision, on: int) -> JobEntry:
    """Make a revision the head, if the head still is ``on``; of two that try only one gets here.

    Raises ChangedElsewhere.
    """
    now = core.now()
    moved = work.run(
        """UPDATE jobs SET head = head + 1, title = :title, changed = :now
        WHERE id = :job AND head = :head AND gone = ''""",
        title=revision.title,
        now=now,
        job=revision.job,
        head=on,
    )
    if not moved:
        present(work, revision.job, on)
        raise refuse("data-busy", "The job was changed while it was saved; nothing was saved", hint="do it again")
    insert_revision(work, revision, now)
    return get_job(work, revision.job)


def insert_revision(work: Work, revision: Revision, now: str) -> None:
    """Write a revision down."""
    work.run(
        """INSERT INTO revisions (job, number, title, digest, made_by, made_at, why, undo_to, redo_to)
        VALUES (:job, :number, :title, :digest, :made_by, :made_at, :why, :undo_to, :redo_to)""",
        job=revision.job,
        number=revision.number,
        title=revision.title,
        digest=revision.text_digest,
        made_by=line(revision.by, 200),
        made_at=now,
        why=line(revision.why, 500),
        undo_to=revision.undo_to,
        redo_to=revision.redo_to,
    )


def title_line(title: str) -> str:
    """A title as lists show it: on one line, cut after a thousand letters; the job's text keeps all of it."""
    return line(title, _TITLE) or "job without a title"


def plain(entry: JobEntry) -> dict[str, Any]:
    """A job's entry as plain values, without what is to be said of its folder."""
    return {part.name: getattr(entry, part.name) for part in fields(entry) if part.name != "cautions"}
