"""Files beside a job: prices, rules, terrain. They have plain names; no path from outside is ever opened."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from pathlib import Path

from palewright.store.core import Core, line
from palewright.store.database import Work, refuse
from palewright.store.entries import get_job, get_revision, get_text, hold_job, present
from palewright.store.folders import JOB_FILE, STATE_FILE, YARD_FILE, Folders, beside
from palewright.store.kept import Intake, at_rest, keeping, kept_path, let_go, too_large
from palewright.store.records import FileEntry
from palewright.store.room import check_disk, check_room, drop_earlier
from palewright.store.trouble import files_told, replace_file

__all__ = ["Files", "check_name"]

_MARKS = frozenset(" ._-()")
_TAKEN = {JOB_FILE, YARD_FILE, STATE_FILE, "photos", "con", "prn", "aux", "nul"}
_TAKEN |= {f"{port}{number}" for port in ("com", "lpt") for number in range(10)}


def check_name(name: str) -> str:
    """A file's name as it is kept (Unicode NFC). Raises ProblemError ``file-name-refused``.

    Letters and digits of any script, space and ``. _ - ( )``; up to 100 letters; no dot, space or hyphen first, no dot
    or space last, no two dots in a row; not a name that has a meaning already.

    >>> check_name("prices 2026.csv")
    'prices 2026.csv'
    """
    plain = unicodedata.normalize("NFC", name[:400])
    alike = unicodedata.normalize("NFKC", plain).casefold()
    if (
        not 1 <= len(plain) <= 100
        or len(plain.encode("utf-8", "replace")) > 200
        or not all(letter.isalnum() or letter in _MARKS for letter in plain)
        or plain[0] in " .-"
        or plain[-1] in " ."
        or ".." in plain
        or alike in _TAKEN
        or alike.split(".")[0].strip() in _TAKEN
    ):
        raise refuse(
            "file-name-refused",
            "A file beside a job cannot have this name",
            found=line(name, 80) or "no name",
            allowed="a plain name of letters, digits, space and . _ - ( ), for instance prices.csv",
        )
    return plain


class Files:
    """The files beside each job."""

    def __init__(self, core: Core, folders: Folders) -> None:
        self._core = core
        self._folders = folders

    def all(self, job: str) -> tuple[FileEntry, ...]:
        """The files beside a job, by name. Raises ProblemError ``job-unknown``."""
        with self._core.database.reading() as work:
            get_job(work, job)
            return tuple(sorted(_files(work, job).values(), key=lambda entry: entry.name))

    def receive(self, job: str, name: str, *, by: str, role: str = "", announced: int = 0) -> Intake[FileEntry]:
        """An intake for a file beside a job, in place of one of that name.

        role
            of who puts it. announced: bytes that will come, 0 where nobody knows: refused now what would be later.
        Raises ProblemError ``file-name-refused``, ``job-unknown``, ``job-gone``, ``data-disk-low``, and as its
        ``done()`` ``upload-too-large``, ``job-room-full``, ``house-room-full``; its ``done()`` also ``files-too-many``.
        """
        called, core = check_name(name), self._core
        if announced > core.limits.file_bytes:
            raise too_large(core.limits.file_bytes)
        check_disk(core, 2 * announced, core.limits.spare_bytes)  # it is kept, and stands in the job's folder
        with core.database.reading() as work:
            present(work, job)
            check_room(work, core, job, announced, called)
        return Intake(
            core,
            core.limits.file_bytes,
            lambda received: self._insert(job, called, received.digest, received.size, by, role),
            after=lambda: self._folders.refresh(job),
        )

    def put(self, job: str, name: str, data: bytes | Iterable[bytes], *, by: str, role: str = "") -> FileEntry:
        """Put a file beside a job; the same bytes again are harmless. Raises as :meth:`receive`."""
        with self.receive(job, name, by=by, role=role) as intake:
            for chunk in [data] if isinstance(data, bytes) else data:
                intake.write(chunk)
            return intake.done()

    def _insert(self, job: str, name: str, digest: str, size: int, by: str, role: str) -> FileEntry:
        """Write a file down and let go of what it replaces; who calls is ``keeping``."""
        core = self._core
        dropped: set[str] = set()
        with at_rest(core.folder) as rest:
            with core.database.writing() as work:
                number = hold_job(work, job).files + 1
                work.hold("room")
                files = _files(work, job)
                self._check(files, name, digest)
                if name not in files or files[name].digest != digest:
                    if digest:
                        check_room(work, core, job, size, name)
                    row = FileEntry(job, name, digest, size, line(by, 200), core.now(), role)
                    _write(work, row, number)
                    dropped = drop_earlier(work, core, job) if rest else dropped
                entry = _files(work, job).get(name) or FileEntry(job, name, "", 0, by, core.now(), role)
            let_go(core, dropped)
        return entry

    def _check(self, files: dict[str, FileEntry], name: str, digest: str) -> None:
        """Raises ProblemError where a file of this name cannot stand beside the others."""
        other = next((found for found in files if found.casefold() == name.casefold() and found != name), None)
        if digest and other is not None:
            raise refuse(
                "file-name-refused", "A file whose name differs in capitals only is there", found=name, allowed=other
            )
        if digest and name not in files and len(files) >= self._core.limits.files:
            raise refuse("files-too-many", "There are too many files beside the job", found=str(len(files)))

    def remove(self, job: str, name: str, *, by: str) -> None:
        """Take a file away; its last versions are kept.

        Raises ProblemError ``file-unknown``, ``job-unknown``, ``job-gone``.
        """
        called = self.entry(job, name).name
        with keeping(self._core.folder):
            self._insert(job, called, "", 0, by, "")
        self._folders.refresh(job)

    def entry(self, job: str, name: str) -> FileEntry:
        """A file as it was last put. Raises ProblemError ``file-unknown``, ``job-unknown``."""
        with self._core.database.reading() as work:
            get_job(work, job)
            found = _files(work, job).get(unicodedata.normalize("NFC", name[:400]))
        if found is None:
            raise refuse("file-unknown", "There is no such file beside the job", found=line(name, 80))
        return found

    def path(self, job: str, name: str) -> Path:
        """Where the bytes of a file are kept; read them only. Raises ProblemError ``file-unknown``, ``job-unknown``."""
        return kept_path(self._core.folder, self.entry(job, name).digest)

    def read(self, job: str, name: str) -> bytes:
        """The bytes of a file. Raises ProblemError ``file-unknown``, ``job-unknown``, ``data-disk-failed``."""
        path = self.path(job, name)
        with files_told(path):
            return path.read_bytes()

    def folder(self, job: str) -> Path:
        """The job's folder with everything in it as it stands now, to plan from.

        Raises ProblemError ``job-unknown``, ``job-folder-not-written``.
        """
        return self._folders.path(job)

    def lay_out(self, job: str, folder: Path, number: int | None = None) -> Path:
        """Write ``job.yaml``, as it was at a revision, and the files beside the job into a folder; its path.

        Raises ProblemError ``job-unknown``, ``revision-unknown``, ``data-...``.
        """
        with self._core.database.reading() as work:
            text = get_text(work, get_revision(work, job, number).text_digest)
            files = _files(work, job)
        with files_told(folder):
            folder.mkdir(parents=True, exist_ok=True)
            replace_file(folder / JOB_FILE, text.encode("utf-8"))
            for entry in files.values():
                replace_file(beside(folder, entry.name), kept_path(self._core.folder, entry.digest).read_bytes())
        return folder / JOB_FILE


def _write(work: Work, row: FileEntry, number: int) -> None:
    work.run(
        """INSERT INTO files (job, number, name, digest, bytes, made_by, made_at, made_as)
        VALUES (:job, :number, :name, :digest, :bytes, :by, :at, :role)""",
        job=row.job,
        number=number,
        name=row.name,
        digest=row.digest,
        bytes=row.bytes,
        by=row.by,
        at=row.at,
        role=row.role,
    )
    work.run("UPDATE jobs SET filed = :number WHERE id = :job", number=number, job=row.job)


def _files(work: Work, job: str) -> dict[str, FileEntry]:
    """The files that stand beside a job, by name."""
    files: dict[str, FileEntry] = {}
    for row in work.each("SELECT * FROM files WHERE job = :job ORDER BY number", job=job):
        if row["digest"]:
            files[row["name"]] = FileEntry(
                job, row["name"], row["digest"], row["bytes"], row["made_by"], row["made_at"], row["made_as"]
            )
        else:
            files.pop(row["name"], None)
    return files
