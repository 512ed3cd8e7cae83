"""The store: opens the data folder and its database, and hands out the parts."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from palewright.errors import Problem
from palewright.store.backup import Backup, write_backup
from palewright.store.core import Core
from palewright.store.database import Database, refuse
from palewright.store.files import Files
from palewright.store.folders import Folders
from palewright.store.jobs import Jobs
from palewright.store.people import People
from palewright.store.photos import Photos
from palewright.store.records import Limits
from palewright.store.restoring import Restored, check_backup, check_empty, fill_database, put_kept, restoring
from palewright.store.revisions import Marks, Revisions
from palewright.store.sqlite import SqliteDatabase
from palewright.store.trouble import files_told, locked, sync_folder
from palewright.store.yard import Yard

if TYPE_CHECKING:
    from zipfile import ZipFile

__all__ = ["DATABASE_FILE", "Store", "default_folder", "restore"]

DATABASE_FILE = "palewright.db"
_OURS = {".lock", ".locks"}
_STAGE = ".restoring"
"""Stands in a folder while a backup is restored into it, and after a restore that was killed."""


def default_folder() -> Path:
    """Where data goes when no folder is named: ``palewright`` in ``$XDG_DATA_HOME`` or in ``~/.local/share``."""
    base = os.environ.get("XDG_DATA_HOME", "")
    return (Path(base) if os.path.isabs(base) else Path.home() / ".local" / "share") / "palewright"


class Store:
    """Jobs with all their revisions, what came from the yard, photos, and who may come in.

    ``jobs``, ``revisions``, ``marks``, ``files``, ``yard``, ``photos`` and ``people`` are its parts. Threads and
    processes may share it. What a part returns is on the disk. Trouble with database or disk is raised as
    ProblemError with a slug that begins with ``data`` (or ``database-unreachable``), and then nothing was changed.
    """

    def __init__(self, core: Core) -> None:
        folders = Folders(core)
        self._core = core
        self._folders = folders
        self.jobs = Jobs(core, folders)
        self.revisions = Revisions(core, folders)
        self.marks = Marks(core)
        self.files = Files(core, folders)
        self.yard = Yard(core, folders)
        self.photos = Photos(core, folders)
        self.people = People(core)

    @classmethod
    def open(
        cls,
        folder: Path | None = None,
        url: str | None = None,
        *,
        limits: Limits | None = None,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        make: bool = True,
    ) -> Self:
        """Open the data folder, and make it where there is none.

        url
            of a PostgreSQL database (``postgresql://...``); without it rows are in ``palewright.db`` in the folder.
        make
            False: a folder that is not there is a problem.

        Raises ProblemError ``data-folder-read-only``, ``data-disk-full``, ``data-damaged``, ``data-newer``,
        ``data-not-ours``, ``data-not-there``, ``database-unreachable``, ``database-address-unusable``,
        ``server-extra-missing``.
        """
        place = default_folder() if folder is None else Path(folder)
        if not make and not (place / DATABASE_FILE).is_file() and url is None:
            raise refuse(
                "data-not-there", "There are no jobs here", file=str(place), hint="name the folder with --data"
            )
        with files_told(place):
            place.mkdir(parents=True, exist_ok=True, mode=0o700)
        return cls(Core(_database(place, url), place, limits or Limits(), clock))

    @property
    def folder(self) -> Path:
        """The data folder."""
        return self._core.folder

    def heal(self) -> tuple[Problem, ...]:
        """Bring the folder of every job up to date, also after the program was killed; what is to be said of them.

        Raises ProblemError ``data-...`` where the database cannot be read.
        """
        return self._folders.heal()

    def backup(self, path: Path, *, replaces: bool = False) -> Backup:
        """Write everything into a zip file; see :func:`palewright.store.backup.write_backup` for what it raises."""
        return write_backup(self._core, Path(path), replaces=replaces)

    def close(self) -> None:
        """Close the database."""
        self._core.database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _database(folder: Path, url: str | None) -> Database:
    if url is None:
        return SqliteDatabase(folder / DATABASE_FILE)
    try:
        from palewright.store.postgres import PostgresDatabase
    except ImportError as error:
        raise refuse(
            "server-extra-missing",
            "PostgreSQL needs parts that are not installed",
            found=str(error),
            hint="install palewright with its server extra: pip install 'palewright[server]'",
        ) from error
    return PostgresDatabase(url)


def restore(path: Path, folder: Path | None = None, url: str | None = None) -> Restored:
    """Bring a backup back into a data folder that is empty or not there, and make the folders of its jobs.

    The backup is read through and compared with its digests before anything is written; the database is moved into
    place last. With ``url`` rows go into that PostgreSQL database, which must be empty, in one transaction.

    Raises ProblemError ``backup-unusable``, ``data-not-empty``, ``data-newer`` and what :meth:`Store.open` raises.
    """
    place = default_folder() if folder is None else Path(folder)
    with restoring(Path(path)) as (box, manifest):
        check_backup(box, manifest, place)
        with files_told(place):
            place.mkdir(parents=True, exist_ok=True, mode=0o700)
        with files_told(place), locked(place):
            _clear(place)
            try:
                (place / _STAGE).mkdir()
                jobs = (
                    _restore_file(box, manifest, place) if url is None else _restore_server(box, manifest, place, url)
                )
            except BaseException:
                shutil.rmtree(place / "kept", ignore_errors=True)
                raise
            finally:
                shutil.rmtree(place / _STAGE, ignore_errors=True)
    with Store.open(place, url) as store:
        store.heal()
    return Restored(place, jobs)


def _clear(place: Path) -> None:
    """Make an empty folder of one where a restore was killed. Raises ProblemError ``data-not-empty`` for any other."""
    found = {one.name for one in place.iterdir()} - _OURS
    if found and not (_STAGE in found and found <= {_STAGE, "kept"}):
        raise refuse(
            "data-not-empty",
            "The folder is not empty; nothing was restored",
            file=str(place),
            hint="name an empty folder, or one that is not there, with --data",
        )
    for name in found:
        shutil.rmtree(place / name)


def _restore_file(box: ZipFile, manifest: dict[str, Any], place: Path) -> int:
    """Fill a SQLite file beside its place and move it there when all of it stands."""
    stage = place / _STAGE
    put_kept(box, manifest, place)
    database = SqliteDatabase(stage / DATABASE_FILE)
    try:
        jobs = fill_database(box, manifest, database)
    finally:
        database.close()
    os.replace(stage / DATABASE_FILE, place / DATABASE_FILE)
    sync_folder(place)
    return jobs


def _restore_server(box: ZipFile, manifest: dict[str, Any], place: Path, url: str) -> int:
    database = _database(place, url)
    try:
        check_empty(database)
        put_kept(box, manifest, place)
        return fill_database(box, manifest, database)
    finally:
        database.close()
