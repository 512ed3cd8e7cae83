"""Revisions: save, undo, redo; and marks, which are revisions with a name."""

from __future__ import annotations

from palewright.store.core import Core, clean, line, once
from palewright.store.database import refuse
from palewright.store.entries import (
    append,
    check_text,
    get_job,
    get_revision,
    get_text,
    keep_text,
    plain,
    present,
    revision_of,
    title_line,
)
from palewright.store.folders import Folders
from palewright.store.records import JobEntry, Mark, Revision

__all__ = ["Marks", "Revisions"]


class Revisions:
    """The texts of a job, one after another."""

    def __init__(self, core: Core, folders: Folders) -> None:
        self._core = core
        self._folders = folders

    def text(self, job: str, number: int | None = None) -> str:
        """The text of a revision, of the head for None. Raises ProblemError ``job-unknown``, ``revision-unknown``."""
        with self._core.database.reading() as work:
            return get_text(work, get_revision(work, job, number).text_digest)

    def entry(self, job: str, number: int | None = None) -> Revision:
        """One revision, the head for None. Raises ProblemError ``job-unknown``, ``revision-unknown``."""
        with self._core.database.reading() as work:
            return get_revision(work, job, number)

    def all(self, job: str, *, before: int | None = None, most: int = 100) -> tuple[Revision, ...]:
        """Up to ``most`` revisions below ``before``, the newest first. Raises ProblemError ``job-unknown``."""
        with self._core.database.reading() as work:
            top = get_job(work, job).revision
            first = top if before is None else min(top, before - 1)
            rows = work.rows(
                "SELECT * FROM revisions WHERE job = :job AND number > :last AND number <= :first ORDER BY number DESC",
                job=job,
                last=first - most,
                first=first,
            )
        return tuple(revision_of(row) for row in rows)

    def save(
        self, job: str, text: str, *, on: int, title: str, by: str, why: str = "", key: str | None = None
    ) -> JobEntry:
        """A new revision with this text, made on revision ``on``. The text that stands already adds nothing.

        title
            what lists call the job. why: what was done, in words. key: the same key again gives the first answer.

        Raises ChangedElsewhere where ``on`` is not the head; ProblemError ``job-unknown``, ``job-gone``,
        ``job-text-unusable``, ``job-text-too-large``, ``key-unusable``, ``key-used-otherwise``, ``data-...``.
        """
        check_text(self._core, text)

        def do() -> dict[str, object]:
            present(work, job, on)
            head = get_revision(work, job, on)
            fresh = Revision(job, on + 1, title_line(title), keep_text(work, text), by, "", why, on, None)
            if (fresh.title, fresh.text_digest) == (head.title, head.text_digest):
                return plain(get_job(work, job))
            return plain(append(work, self._core, fresh, on))

        with self._core.database.writing() as work:
            entry = JobEntry(**once(work, self._core, key, ("save", job, text, on, title), do))
        return self._folders.refreshed(entry)

    def undo(self, job: str, *, on: int, by: str, key: str | None = None) -> JobEntry:
        """Take the last change back, as a new revision.

        Raises ProblemError ``nothing-to-undo``, ChangedElsewhere and the rest as :meth:`save`.
        """
        return self._step(job, "undo", on, by, key)

    def redo(self, job: str, *, on: int, by: str, key: str | None = None) -> JobEntry:
        """Do again what was last taken back, as a new revision.

        Raises ProblemError ``nothing-to-redo``, ChangedElsewhere and the rest as :meth:`save`.
        """
        return self._step(job, "redo", on, by, key)

    def _step(self, job: str, way: str, on: int, by: str, key: str | None) -> JobEntry:
        def do() -> dict[str, object]:
            present(work, job, on)
            head = get_revision(work, job, on)
            target = head.undo_to if way == "undo" else head.redo_to
            if target is None:
                if way == "undo":
                    raise refuse("nothing-to-undo", "There is nothing to undo")
                raise refuse("nothing-to-redo", "There is nothing to redo")
            there = get_revision(work, job, target)
            undo_to, redo_to = (there.undo_to, on) if way == "undo" else (on, there.redo_to)
            fresh = Revision(job, on + 1, there.title, there.text_digest, by, "", way, undo_to, redo_to)
            return plain(append(work, self._core, fresh, on))

        with self._core.database.writing() as work:
            entry = JobEntry(**once(work, self._core, key, (way, job, on), do))
        return self._folders.refreshed(entry)


class Marks:
    """Revisions with a name."""

    def __init__(self, core: Core) -> None:
        self._core = core

    def all(self, job: str) -> tuple[Mark, ...]:
        """The marks of a job, by revision. Raises ProblemError ``job-unknown``."""
        with self._core.database.reading() as work:
            get_job(work, job)
            rows = work.rows("SELECT * FROM marks WHERE job = :job ORDER BY number, made_at", job=job)
        return tuple(Mark(job, row["name"], row["number"], row["made_by"], row["made_at"]) for row in rows)

    def add(self, job: str, name: str, *, number: int, by: str) -> Mark:
        """Give a revision a name; the same name on the same revision again is harmless.

        Raises ProblemError ``mark-name-unusable``, ``mark-name-taken``, ``job-unknown``, ``job-gone``,
        ``revision-unknown``.
        """
        called = line(name, 200) if clean(name) else ""
        if not called or called != name.strip():
            raise refuse("mark-name-unusable", "A version needs a name of up to 200 letters on one line")
        with self._core.database.writing() as work:
            present(work, job)
            get_revision(work, job, number)
            work.run(
                """INSERT INTO marks (job, name, number, made_by, made_at)
                VALUES (:job, :name, :number, :by, :now) ON CONFLICT DO NOTHING""",
                job=job,
                name=called,
                number=number,
                by=line(by, 200),
                now=self._core.now(),
            )
            (row,) = work.rows("SELECT * FROM marks WHERE job = :job AND name = :name", job=job, name=called)
        if row["number"] != number:
            raise refuse(
                "mark-name-taken",
                f"Another version is called {called!r}",
                found=f"revision {row['number']}",
                hint="use another name, or take that name away first",
            )
        return Mark(job, called, number, row["made_by"], row["made_at"])

    def remove(self, job: str, name: str) -> None:
        """Take a name away; the revision stays. Raises ProblemError ``job-unknown``, ``mark-unknown``."""
        with self._core.database.writing() as work:
            present(work, job)
            if not clean(name) or not work.run(
                "DELETE FROM marks WHERE job = :job AND name = :name", job=job, name=name
            ):
                raise refuse("mark-unknown", "The job has no version of that name")
