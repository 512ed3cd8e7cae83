"""Backup: everything in one zip file, that moves between SQLite and PostgreSQL.

``palewright-backup.json`` says what is in it; ``tables/*.jsonl`` has the rows, one on a line; photos and the files
beside a job stand under ``jobs/<folder>/`` and what was replaced since under ``kept/``; ``job.yaml`` and
``yard.json`` of every job are there to be read, and are made anew from the rows by a restore. Open pairing codes are
not in it.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import zipfile
from collections.abc import Iterator
from glob import escape
from hashlib import sha256
from pathlib import Path
from typing import IO, Any

from palewright.errors import OutputError, Problem
from palewright.record import Record
from palewright.store.core import Core
from palewright.store.database import MIGRATIONS, Work, refuse
from palewright.store.entries import JOIN, entry_of, get_revision, get_text
from palewright.store.folders import ENDINGS, JOB_FILE, YARD_FILE, folder_name
from palewright.store.kept import at_rest, kept_path, sweep
from palewright.store.yard_rows import yard_json

__all__ = ["MANIFEST", "TABLES", "Backup", "write_backup"]

MANIFEST = "palewright-backup.json"
FORMAT = 1
TABLES = ("jobs", "texts", "revisions", "marks", "answers", "files", "entries", "photos", "devices")
"""Tables that a backup holds, in an order in which they can be filled."""


class Backup(Record):
    """A backup that was written: its file, how large, how many jobs, and what is to be said of it."""

    path: Path
    bytes: int
    jobs: int
    cautions: tuple[Problem, ...]


def write_backup(core: Core, path: Path, *, replaces: bool = False) -> Backup:
    """Write everything into a zip file, as it is at one moment; the work may go on meanwhile.

    The file stands under its name only when all of it is written and was read through once.

    Raises OutputError where the file cannot be written, or is there and not to be replaced; ProblemError
    ``data-damaged`` for a database that is not sound, so that no good backup is replaced by a bad one, and
    ``data-...``.
    """
    if path.exists() and not replaces:
        raise OutputError(f"{path} is there already (--replace writes over it)")
    if faults := core.database.faults():
        raise refuse("data-damaged", "The database is damaged; no backup was written", found=faults[0])
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    sweep(path.parent, f".{escape(path.name)}.*.new", core.clock().timestamp())  # of backups that were killed
    try:
        with os.fdopen(os.open(fresh, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as out:
            with (
                at_rest(core.folder, wait=True),  # no version of a file is let go meanwhile
                zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as box,
                core.database.reading() as work,
            ):
                jobs, cautions = _fill(core, work, box)
            out.flush()
            os.fsync(out.fileno())
        with zipfile.ZipFile(fresh) as box:
            if (bad := box.testzip()) is not None:
                raise OutputError(f"{path} could not be read back ({bad})")
        os.replace(fresh, path)
        return Backup(path, path.stat().st_size, jobs, cautions)
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror or error}") from error
    finally:
        fresh.unlink(missing_ok=True)


def _fill(core: Core, work: Work, box: zipfile.ZipFile) -> tuple[int, tuple[Problem, ...]]:
    tables: dict[str, Any] = {}
    for table in TABLES:
        digest, count = sha256(), 0
        with box.open(f"tables/{table}.jsonl", "w", force_zip64=True) as out:
            for row in work.each(f"SELECT * FROM {table}"):
                data = json.dumps(row, ensure_ascii=False).encode("utf-8") + b"\n"
                digest.update(data)
                out.write(data)
                count += 1
        tables[table] = {"rows": count, "sha256": digest.hexdigest()}
    kept: dict[str, str] = {}
    missing: list[str] = []
    cautions: list[Problem] = []
    for digest_of, member in _members(work):
        if digest_of in missing or (digest_of in kept and member.startswith("kept/")):
            continue
        if _put_kept(box, kept_path(core.folder, digest_of), digest_of, member):
            kept.setdefault(digest_of, member)
        else:
            missing.append(digest_of)
            cautions.append(_missing(member))
    _put_folders(work, box)
    manifest = {
        "palewright backup": FORMAT, "schema": MIGRATIONS[-1], "made": core.now(), "tables": tables, "kept": kept,
        "missing": missing,
    }  # fmt: skip
    box.writestr(MANIFEST, json.dumps(manifest, indent=1) + "\n")
    return tables["jobs"]["rows"], tuple(cautions)


def _members(work: Work) -> Iterator[tuple[str, str]]:
    """Digests of kept bytes and the name that each gets; what stands beside a job now comes before older files."""
    folders = {row["id"]: f"jobs/{folder_name(entry_of(row))}" for row in work.each(JOIN)}
    photos = work.rows("SELECT job, id, kind, digest FROM photos ORDER BY job, id")
    for row in photos:
        yield row["digest"], f"{folders[row['job']]}/photos/{row['id']}.{ENDINGS[row['kind']]}"
    files = work.rows("SELECT job, name, digest FROM files ORDER BY job, number")
    for (job, name), digest in {(row["job"], row["name"]): row["digest"] for row in files}.items():
        if digest:
            yield digest, f"{folders[job]}/{name}"
    for row in files:
        if row["digest"]:
            yield row["digest"], f"kept/{row['digest']}"


def _put_kept(box: zipfile.ZipFile, path: Path, digest: str, member: str) -> bool:
    """Put kept bytes into the zip; False where they are not there or are no longer what was put."""
    try:
        with path.open("rb") as data:
            if _digest(data) != digest:
                return False
            data.seek(0)
            with box.open(member, "w", force_zip64=True) as out:
                shutil.copyfileobj(data, out, 1 << 20)
    except FileNotFoundError:
        return False
    return True


def _digest(data: IO[bytes]) -> str:
    found = sha256()
    while chunk := data.read(1 << 20):
        found.update(chunk)
    return found.hexdigest()


def _put_folders(work: Work, box: zipfile.ZipFile) -> None:
    """What a person reads: every job's text and its yard entries."""
    for row in work.rows(JOIN):
        entry = entry_of(row)
        text = get_text(work, get_revision(work, entry.id, entry.revision).text_digest)
        box.writestr(f"jobs/{folder_name(entry)}/{JOB_FILE}", text.encode("utf-8"))
        box.writestr(f"jobs/{folder_name(entry)}/{YARD_FILE}", yard_json(work, entry))


def _missing(member: str) -> Problem:
    return Problem(
        "kept-file-missing",
        "A photo or file that was put in is no longer on the disk, or is not what was put; the backup is without it",
        severity="caution",
        found=member,
    )
