"""The folder of every job on disk, readable without the program: a copy of what the database holds.

It is made after each change. ``jobs/<title>-<six of the id>/`` holds ``job.yaml``, ``yard.json``, ``photos/`` and the
files beside the job. Each file is moved into place whole. A file that a person changed is never written over: it is
kept beside under another name.
"""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from palewright.errors import Problem, ProblemError, Where
from palewright.store.core import Core
from palewright.store.database import Work, damaged
from palewright.store.entries import get_job, get_revision, get_text
from palewright.store.kept import kept_path, sweep
from palewright.store.records import JobEntry
from palewright.store.trouble import locked, replace_file
from palewright.store.yard_rows import yard_json

__all__ = ["ENDINGS", "JOB_FILE", "YARD_FILE", "Folders", "beside", "folder_name"]

JOB_FILE = "job.yaml"
YARD_FILE = "yard.json"
STATE_FILE = ".palewright.json"
ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp", "image/heic": "heic"}
"""Endings of photo files by media type."""


def folder_name(entry: JobEntry) -> str:
    """The name of a job's folder: letters and digits of its title, and six of its id.

    >>> folder_name(JobEntry("0123456789abcdef", "../Señor Ñu's fence: lot 7", 1, False, False, "", ""))
    'senor-nu-s-fence-lot-7-012345'
    """
    ascii_title = unicodedata.normalize("NFKD", entry.title[:400]).encode("ascii", "ignore").decode().lower()
    slug = "-".join(re.findall("[a-z0-9]+", re.sub("[\u0300-\u036f]", "", ascii_title)))[:60].strip("-")
    return f"{slug or 'job'}-{entry.id[:6]}"


class Folders:
    """Keeps folders as the database has it. What goes wrong is remembered and said; it never undoes a change."""

    def __init__(self, core: Core) -> None:
        self._core = core
        self._cautions: dict[str, tuple[Problem, ...]] = {}

    def said(self, entry: JobEntry) -> JobEntry:
        """An entry with what is to be said of the job's folder."""
        return replace(entry, cautions=self._cautions.get(entry.id, ()))

    def refreshed(self, entry: JobEntry) -> JobEntry:
        """Bring the job's folder up to date; the entry with what is to be said of it."""
        self.refresh(entry.id)
        return self.said(entry)

    def refresh(self, job: str, *, thorough: bool = False) -> None:
        """Bring a job's folder up to date with the database, as it is now. Never raises for trouble with the folder.

        thorough
            look at every file, not only at those that changed since the folder was last written.
        """
        said: list[Problem] = []
        try:
            with locked(self._core.folder / ".locks" / job[:6]):
                self._write(job, thorough, said)
        except OSError as error:
            said.append(_not_written(error.strerror or str(error)))
        except ProblemError as error:
            said.append(_not_written(error.problems[0].what))
        if said:
            self._cautions[job] = tuple(said)
        else:
            self._cautions.pop(job, None)

    def heal(self) -> tuple[Problem, ...]:
        """Look at the folder of every job and bring it up to date; what is to be said of them.

        Raises ProblemError ``data-...`` where the database cannot be read.
        """
        sweep(self._core.folder / "kept", ".new-*", self._core.clock().timestamp())  # uploads that were cut off
        with self._core.database.reading() as work:
            every = [row["id"] for row in work.each("SELECT id FROM jobs ORDER BY id")]
        for job in every:
            self.refresh(job, thorough=True)
        return tuple(problem for job in every for problem in self._cautions.get(job, ()))

    def path(self, job: str) -> Path:
        """The job's folder, up to date. Raises ProblemError ``job-unknown``, ``job-folder-not-written``."""
        with self._core.database.reading() as work:
            entry = get_job(work, job)
        self.refresh(job)
        failed = [problem for problem in self._cautions.get(job, ()) if problem.slug == "job-folder-not-written"]
        if failed:
            raise ProblemError(replace(failed[0], severity="error"))
        return self._place(entry)

    def _place(self, entry: JobEntry) -> Path:
        return self._core.folder / ("gone" if entry.gone else "jobs") / folder_name(entry)

    def _write(self, job: str, thorough: bool, said: list[Problem]) -> None:
        with self._core.database.reading() as work:
            entry = get_job(work, job)
            place = self._place(entry)
            self._move(entry, place)
            state = {} if thorough else _state(place)
            if thorough:
                _tidy(place)
            (count,) = work.rows("SELECT count(*) AS photos FROM photos WHERE job = :job", job=job)
            fresh = {
                "job": job,
                "revision": entry.revision,
                "files": entry.files,
                "entries": entry.entries,
                "photos": count["photos"],
            }
            self._write_text(work, entry, place, said)
            if state.get("files") != entry.files:
                self._write_files(work, job, place, said)
            if state.get("entries") != entry.entries:
                replace_file(place / YARD_FILE, yard_json(work, entry))
            if state.get("photos") != count["photos"]:
                self._write_photos(work, job, place)
        if state != fresh:
            replace_file(place / STATE_FILE, json.dumps(fresh).encode())

    def _move(self, entry: JobEntry, place: Path) -> None:
        """Bring the folder to the place that goes with the job's title, or make it there.

        Raises OSError where a link stands there: nothing is written, or read to plan with, where it leads.
        """
        if not place.is_dir():
            for folder in (self._core.folder / "jobs", self._core.folder / "gone"):
                for other in sorted(folder.glob(f"*-{entry.id[:6]}")):
                    if _state(other).get("job", entry.id) == entry.id and not place.is_dir():
                        place.parent.mkdir(parents=True, exist_ok=True)
                        os.replace(other, place)
        if place.is_symlink():
            raise NotADirectoryError(errno.ENOTDIR, f"{place.name} is a link")
        place.mkdir(parents=True, exist_ok=True)

    def _write_text(self, work: Work, entry: JobEntry, place: Path, said: list[Problem]) -> None:
        digest = get_revision(work, entry.id, entry.revision).text_digest

        def ours(digest: str) -> bool:
            return bool(
                work.rows(
                    "SELECT 1 AS one FROM revisions WHERE job = :job AND digest = :digest", job=entry.id, digest=digest
                )
            )

        target = place / JOB_FILE
        if _free(target, digest, ours, said):
            replace_file(target, get_text(work, digest).encode("utf-8"))

    def _write_files(self, work: Work, job: str, place: Path, said: list[Problem]) -> None:
        rows = work.rows("SELECT name, digest FROM files WHERE job = :job ORDER BY number", job=job)
        known: dict[str, list[str]] = {}
        for row in rows:
            known.setdefault(row["name"], []).append(row["digest"])
        for name, digests in known.items():
            target = beside(place, name)
            if _free(target, digests[-1], digests.__contains__, said):
                if digests[-1]:
                    _copy(kept_path(self._core.folder, digests[-1]), target)
                else:
                    target.unlink(missing_ok=True)

    def _write_photos(self, work: Work, job: str, place: Path) -> None:
        for row in work.rows("SELECT id, kind, digest FROM photos WHERE job = :job", job=job):
            target = place / "photos" / f"{row['id']}.{ENDINGS[row['kind']]}"
            if not target.exists():
                target.parent.mkdir(exist_ok=True)
                try:
                    os.link(kept_path(self._core.folder, row["digest"]), target)
                except OSError:
                    _copy(kept_path(self._core.folder, row["digest"]), target)


def beside(folder: Path, name: str) -> Path:
    """A file by its name in a folder. Raises ProblemError ``data-damaged`` for a name that leads elsewhere."""
    if (path := folder / name).parent != folder or name == "..":
        raise ProblemError(damaged("", "the name of a file"))
    return path


def _free(target: Path, digest: str, ours: Callable[[str], bool], said: list[Problem]) -> bool:
    """Whether a file is to be written; one that a person changed is moved aside first."""
    try:
        found = sha256(target.read_bytes()).hexdigest()
    except FileNotFoundError:
        return bool(digest)
    if found == digest:
        return False
    if not ours(found):
        aside = target.with_name(f"{target.stem} changed by hand {found[:6]}{target.suffix}")
        os.replace(target, aside)
        said.append(
            Problem(
                "job-folder-edited",
                f"{target.name} in the job's folder was changed by hand; it is kept beside as {aside.name}",
                Where(file=str(target)),
                severity="caution",
                hint="the folder is a copy: to use what was changed, put that file in on the page",
            )
        )
    return True


def _copy(source: Path, target: Path) -> None:
    fresh = target.with_name(f".{target.name[:60]}.{os.getpid()}.new")
    try:
        shutil.copyfile(source, fresh)
        os.replace(fresh, target)
    except OSError:
        fresh.unlink(missing_ok=True)
        raise


def _tidy(place: Path) -> None:
    """Remove what was left half written when the program was killed; who calls holds the job's lock."""
    for path in [*place.glob(".*.new"), *(place / "photos").glob(".*.new")]:
        path.unlink(missing_ok=True)


def _state(place: Path) -> dict[str, object]:
    try:
        found = json.loads((place / STATE_FILE).read_bytes())
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _not_written(found: str) -> Problem:
    return Problem(
        "job-folder-not-written",
        "The job is saved, but its folder on the disk could not be brought up to date",
        severity="caution",
        found=found,
        hint="it is tried again with the next change, and when the program starts",
    )
