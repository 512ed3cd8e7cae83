"""Restore a backup into an empty data folder, or into an empty database."""

from __future__ import annotations

import json
import os
import re
import secrets
import shutil
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any

from palewright.errors import ProblemError
from palewright.record import Record
from palewright.store.backup import FORMAT, MANIFEST, TABLES
from palewright.store.database import MIGRATIONS, Database, Row, Work, newer, refuse
from palewright.store.entries import JOB_ID
from palewright.store.files import check_name
from palewright.store.folders import ENDINGS
from palewright.store.kept import kept_path
from palewright.store.people import ROLES
from palewright.store.photos import UUID
from palewright.store.trouble import files_told, sync_folder

__all__ = ["Restored", "check_backup", "check_empty", "fill_database", "put_kept", "restoring"]

_HEX = re.compile(r"[0-9a-f]{64}", re.ASCII)
_COLUMN = re.compile(r"[a-z_]{1,30}", re.ASCII)
_AT_ONCE = 500
_MOST_MANIFEST = 64 << 20
_MOST_ROW = 64 << 20
"""Bytes of a row: a text of 4 MB whose every letter is escaped has 24 MB."""


class Restored(Record):
    """What a restore brought back: the data folder and how many jobs."""

    folder: Path
    jobs: int


@contextmanager
def restoring(path: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, Any]]]:
    """A backup file that is open, and what it says is in it.

    Raises ProblemError ``backup-unusable`` for a file that is no backup, is cut off or was changed, ``data-newer``.
    """
    try:
        with zipfile.ZipFile(path) as box:
            if box.getinfo(MANIFEST).file_size > _MOST_MANIFEST:
                raise ValueError(f"{MANIFEST} is too large")
            manifest = json.loads(box.read(MANIFEST))
            if manifest["schema"] > MIGRATIONS[-1] or manifest["palewright backup"] > FORMAT:
                raise newer(manifest["schema"], str(path))
            yield box, manifest
    except FileNotFoundError as error:
        raise _unusable(path, "there is no such file") from error
    except OSError as error:
        raise _unusable(path, error.strerror or str(error)) from error
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise _unusable(path, str(error)) from error
    except ProblemError as error:
        if error.problems[0].slug == "data-rows-refused":
            raise _unusable(path, error.problems[0].found) from error
        raise
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _unusable(path, f"its contents are not as a backup has them ({error})") from error


def check_backup(box: zipfile.ZipFile, manifest: dict[str, Any], place: Path) -> None:
    """Read everything through once and compare it with its digests, before anything is written.

    place
        where it is to go: what has no room there, once it is unpacked, is not unpacked.
    Raises ValueError, or what the zip file raises.
    """
    size = sum(member.file_size for member in box.infolist())
    whole = place.absolute()
    room = shutil.disk_usage(next(folder for folder in (whole, *whole.parents) if folder.exists())).free
    if size > room:
        raise ValueError(f"{size:,} bytes when unpacked, and {room:,} are free on the disk")
    for table in TABLES:
        _same(box, f"tables/{table}.jsonl", manifest["tables"][table]["sha256"])
    for digest, member in manifest["kept"].items():
        if not _HEX.fullmatch(digest):
            raise ValueError("a digest is not one")
        _same(box, member, digest)


def _same(box: zipfile.ZipFile, member: str, digest: str) -> None:
    found = sha256()
    with box.open(member) as data:
        while chunk := data.read(1 << 20):
            found.update(chunk)
    if found.hexdigest() != digest:
        raise ValueError(f"{member} is not what was backed up")


def put_kept(box: zipfile.ZipFile, manifest: dict[str, Any], folder: Path) -> None:
    """Write photos and files of a backup under a data folder; where each goes follows from its digest alone."""
    with files_told(folder):
        for digest, member in manifest["kept"].items():
            target = kept_path(folder, digest)
            target.parent.mkdir(parents=True, exist_ok=True)
            fresh = target.with_name(f".new-{secrets.token_hex(8)}")
            with box.open(member) as data, fresh.open("xb") as out:
                shutil.copyfileobj(data, out, 1 << 20)
                out.flush()
                os.fsync(out.fileno())
            os.chmod(fresh, 0o444)
            os.replace(fresh, target)
            sync_folder(target.parent)


def fill_database(box: zipfile.ZipFile, manifest: dict[str, Any], database: Database) -> int:
    """Write the rows of a backup into an empty database, all or none; the number of jobs.

    Raises ProblemError ``data-not-empty``; ValueError for rows that are not as they must be.
    """
    with database.writing() as work:
        _check_empty(work)
        for table in TABLES:
            _fill_table(box, table, work)
        jobs: int = manifest["tables"]["jobs"]["rows"]
        whole = """SELECT count(*) AS jobs FROM jobs j JOIN revisions r ON r.job = j.id AND r.number = j.head
            JOIN texts t ON t.digest = r.digest"""
        if work.rows(whole)[0]["jobs"] != jobs:
            raise ValueError("a job has no text")
    return jobs


def check_empty(database: Database) -> None:
    """Raises ProblemError ``data-not-empty`` for a database that holds jobs or devices."""
    with database.reading() as work:
        _check_empty(work)


def _check_empty(work: Work) -> None:
    if work.rows("SELECT id FROM jobs") or work.rows("SELECT id FROM devices"):
        raise refuse("data-not-empty", "The database holds jobs or devices already; nothing was restored")


def _fill_table(box: zipfile.ZipFile, table: str, work: Work) -> None:
    rows: list[Row] = []
    size = 0
    with box.open(f"tables/{table}.jsonl") as data:
        while line := data.readline(_MOST_ROW):
            row = json.loads(line)
            if table == "texts" and sha256(row["text"].encode("utf-8")).hexdigest() != row["digest"]:
                raise ValueError("a text is not what its digest says")
            _check_row(table, row)
            size += len(line)
            if rows and (row.keys() != rows[0].keys() or len(rows) >= _AT_ONCE or size > _MOST_ROW):
                _insert(work, table, rows)
                rows, size = [], len(line)
            rows.append(row)
    if rows:
        _insert(work, table, rows)


def _check_row(table: str, row: Row) -> None:
    """Raises ValueError for what becomes part of a path, or says who may what, and is nothing that we write.

    A backup may come from anybody: a file of it must not land outside of the folder of its job.
    """
    for column, fits in _FITS.get(table, {}).items():
        if not fits(row[column]):
            raise ValueError(f"a row of {table} has a {column} that is none")


def _is_name(name: str) -> bool:
    try:
        return check_name(name) == name
    except ProblemError:
        return False


_FITS: dict[str, dict[str, Callable[[str], object]]] = {
    "jobs": {"id": JOB_ID.fullmatch},
    "files": {"name": _is_name, "digest": lambda digest: digest == "" or _HEX.fullmatch(digest)},
    "entries": {"id": UUID.fullmatch},
    "photos": {"id": UUID.fullmatch, "kind": ENDINGS.__contains__, "digest": _HEX.fullmatch},
    "devices": {"role": ROLES.__contains__},
}


def _insert(work: Work, table: str, rows: list[Row]) -> None:
    columns = list(rows[0])
    if not all(_COLUMN.fullmatch(column) for column in columns):
        raise ValueError(f"a column of {table} is not one")
    values = ", ".join(f":{column}" for column in columns)
    work.many(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({values})", rows)


def _unusable(path: Path, found: str) -> ProblemError:
    return refuse("backup-unusable", "This cannot be restored; nothing was written", file=str(path), found=found)
