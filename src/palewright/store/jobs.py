"""Jobs: list, make, remove, bring back."""

from __future__ import annotations

from palewright.store.core import Core, fresh_id, once
from palewright.store.database import Work
from palewright.store.entries import (
    JOIN,
    check_text,
    entry_of,
    get_job,
    insert_revision,
    keep_text,
    plain,
    present,
    title_line,
)
from palewright.store.folders import Folders
from palewright.store.records import ChangedElsewhere, JobEntry, Revision
from palewright.store.room import check_disk, check_room

__all__ = ["Jobs"]


class Jobs:
    """The list of jobs."""

    def __init__(self, core: Core, folders: Folders) -> None:
        self._core = core
        self._folders = folders

    def all(self, *, gone: bool = False) -> tuple[JobEntry, ...]:
        """Every job, the last changed first; with ``gone`` those that were removed.

        Raises ProblemError ``data-...`` where the database cannot be read.
        """
        which = "j.gone <> ''" if gone else "j.gone = ''"
        with self._core.database.reading() as work:
            found = [entry_of(row) for row in work.each(f"{JOIN} WHERE {which} ORDER BY j.changed DESC, j.id")]
        return tuple(self._folders.said(entry) for entry in found)

    def entry(self, job: str) -> JobEntry:
        """One job, also one that is gone. Raises ProblemError ``job-unknown``, ``data-...``."""
        with self._core.database.reading() as work:
            return self._folders.said(get_job(work, job))

    def create(
        self,
        text: str,
        *,
        title: str,
        by: str,
        why: str = "made",
        files_from: str | None = None,
        key: str | None = None,
    ) -> JobEntry:
        """A new job with its first revision.

        files_from
            another job: the files beside it stand beside the new one too. key: see :func:`palewright.store.core.once`.

        Raises ProblemError ``job-text-unusable``, ``job-text-too-large``, ``job-unknown`` (of ``files_from``),
        ``house-room-full``, ``key-unusable``, ``key-used-otherwise``, ``data-...``.
        """
        check_text(self._core, text)
        asked = ("create", text, title, files_from)

        def make() -> dict[str, object]:
            job = self._insert(work, text, title_line(title), by, why)
            if files_from is not None:
                self._copy_files(work, files_from, job)
            return plain(get_job(work, job))

        with self._core.database.writing() as work:
            entry = JobEntry(**once(work, self._core, key, asked, make))
        return self._folders.refreshed(entry)

    def _insert(self, work: Work, text: str, title: str, by: str, why: str) -> str:
        now = self._core.now()
        while True:
            job = fresh_id()
            if work.run(
                """INSERT INTO jobs (id, title, head, arrived, filed, made, changed, gone)
                VALUES (:id, :title, 1, 0, 0, :now, :now, '') ON CONFLICT DO NOTHING""",
                id=job,
                title=title,
                now=now,
            ):
                break
        insert_revision(work, Revision(job, 1, title, keep_text(work, text), by, now, why), now)
        return job

    def _copy_files(self, work: Work, other: str, job: str) -> None:
        """The files that stand beside another job, without the versions before them."""
        get_job(work, other)
        work.hold("room")
        work.run(
            """INSERT INTO files (job, number, name, digest, bytes, made_by, made_at, made_as)
            SELECT :job, f.number, f.name, f.digest, f.bytes, f.made_by, f.made_at, f.made_as FROM files f
            WHERE f.job = :other AND f.digest <> ''
            AND f.number = (SELECT MAX(l.number) FROM files l WHERE l.job = f.job AND l.name = f.name)""",
            job=job,
            other=other,
        )
        size = int(work.rows("SELECT COALESCE(SUM(bytes), 0) AS size FROM files WHERE job = :job", job=job)[0]["size"])
        if size:  # the folder of the new job has copies of its own
            check_disk(self._core, size, self._core.limits.spare_bytes)
            check_room(work, self._core, job, 0)
        work.run(
            "UPDATE jobs SET filed = (SELECT filed FROM jobs WHERE id = :other) WHERE id = :job", job=job, other=other
        )

    def remove(self, job: str, *, on: int, by: str, key: str | None = None) -> JobEntry:
        """Take a job off the list. Everything of it is kept; its folder moves to ``gone``.

        Raises ProblemError ``job-unknown``, ``job-gone``, ChangedElsewhere, ``key-...``, ``data-...``.
        """

        def do() -> dict[str, object]:
            present(work, job, on)
            if not work.run(
                "UPDATE jobs SET gone = :now WHERE id = :job AND head = :head AND gone = ''",
                now=self._core.now(),
                job=job,
                head=on,
            ):
                raise ChangedElsewhere(get_job(work, job), on)
            return plain(get_job(work, job))

        with self._core.database.writing() as work:
            entry = JobEntry(**once(work, self._core, key, ("remove", job, on), do))
        return self._folders.refreshed(entry)

    def bring_back(self, job: str) -> JobEntry:
        """Put a job that was removed back on the list; harmless for one that is there.

        Raises ProblemError ``job-unknown``, ``data-...``.
        """
        with self._core.database.writing() as work:
            get_job(work, job)
            work.run("UPDATE jobs SET gone = '', changed = :now WHERE id = :job", now=self._core.now(), job=job)
            entry = get_job(work, job)
        return self._folders.refreshed(entry)
