"""SQLite: one file in the data folder, shared by threads and processes."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.store.database import MIGRATIONS, Row, damaged, newer, refuse, rows_refused, statements
from palewright.store.trouble import disk_full, files_told, locked, read_only

__all__ = ["SqliteDatabase"]

_WAIT_S = 20.0
_KEPT = 8


class SqliteDatabase:
    """A database file with a write-ahead log; a commit is on the disk before it is acknowledged.

    Writers of one process take turns by a lock and those of several processes wait for each other for up to 20 s.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._turn = threading.Lock()
        self._free: list[sqlite3.Connection] = []
        self._process = os.getpid()
        with files_told(path.parent), locked(path.parent / ".lock"), _told(path):
            if not path.exists():  # for its owner alone, as are the log and the index that SQLite puts beside it
                os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
            self._migrate()
            self._same = self._file()

    def _file(self) -> tuple[int, int]:
        """Which file stands under the name, (0, 0) for none."""
        try:
            found = self.path.stat()
        except FileNotFoundError:
            return 0, 0
        return found.st_dev, found.st_ino

    def _migrate(self) -> None:
        link = self._connect()
        try:
            version = link.execute("PRAGMA user_version").fetchone()["user_version"]
            if version > MIGRATIONS[-1]:
                raise newer(version, str(self.path))
            if version == 0 and link.execute("SELECT name FROM sqlite_master").fetchone():
                raise refuse(
                    "data-not-ours", "This is a database of another program; it was left as it is", file=str(self.path)
                )
            link.execute("PRAGMA journal_mode = WAL")
            link.execute("BEGIN IMMEDIATE")
            for number in [number for number in MIGRATIONS if number > version]:
                for statement in statements(number):
                    link.execute(statement)
                link.execute(f"PRAGMA user_version = {number}")
            link.execute("COMMIT")
        finally:
            link.close()

    def _connect(self) -> sqlite3.Connection:
        link = sqlite3.connect(self.path, timeout=_WAIT_S, isolation_level=None, check_same_thread=False)
        link.row_factory = _by_name
        link.execute("PRAGMA synchronous = FULL")
        link.execute("PRAGMA foreign_keys = ON")
        return link

    @contextmanager
    def _linked(self, begin: str) -> Iterator[_Work]:
        with _told(self.path):
            if self._process != os.getpid():  # connections do not survive a fork; the parent's are left alone
                self._left, self._free, self._process = self._free, [], os.getpid()
            if self._file() != self._same:  # what is open still takes what nobody will find again
                raise refuse(
                    "data-disk-failed", "The folder of the jobs was moved away or replaced while it was in use; "
                    "nothing was saved", file=str(self.path), hint="put it back, or start the program again",
                )  # fmt: skip
            link = self._free.pop() if self._free else self._connect()
            try:
                link.execute(begin)
                yield _Work(link)
                link.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    if link.in_transaction:
                        link.execute("ROLLBACK")
                raise
            finally:
                if len(self._free) < _KEPT and not link.in_transaction:
                    self._free.append(link)
                else:
                    link.close()

    @contextmanager
    def reading(self) -> Iterator[_Work]:
        """A transaction that sees one state and changes nothing."""
        with self._linked("BEGIN") as work:
            yield work

    @contextmanager
    def writing(self) -> Iterator[_Work]:
        """A transaction that is committed at its end or undone."""
        with self._turn, self._linked("BEGIN IMMEDIATE") as work:
            yield work

    def faults(self) -> list[str]:
        """What SQLite's own check finds wrong with the file."""
        with self.reading() as work:
            found = [str(row["integrity_check"]) for row in work.rows("PRAGMA integrity_check")]
        return [] if found == ["ok"] else found

    def close(self) -> None:
        """Close what is open."""
        while self._free:
            self._free.pop().close()


class _Work:
    """A transaction on one connection."""

    def __init__(self, link: sqlite3.Connection) -> None:
        self._link = link

    def each(self, sql: str, **values: object) -> Iterator[Row]:
        yield from self._link.execute(sql, values)

    def rows(self, sql: str, **values: object) -> list[Row]:
        return self._link.execute(sql, values).fetchall()

    def run(self, sql: str, **values: object) -> int:
        return self._link.execute(sql, values).rowcount

    def hold(self, name: str) -> None:
        pass  # there is one writer at a time

    def many(self, sql: str, values: Iterable[Row]) -> None:
        self._link.executemany(sql, values)


def _by_name(cursor: sqlite3.Cursor, row: tuple[Any, ...]) -> Row:
    return {column[0]: value for column, value in zip(cursor.description, row, strict=True)}


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as error:
        raise ProblemError(_problem(error, path)) from error
    except UnicodeDecodeError as error:  # a damaged schema, in SQLite's own message
        raise ProblemError(damaged(str(path), str(error))) from error


def _problem(error: sqlite3.Error, path: Path) -> Problem:
    """What SQLite says, in words; by its result codes, https://sqlite.org/rescode.html."""
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith("SQLITE_FULL"):
        return disk_full(str(path))
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH")):
        return read_only(str(path))
    if name.startswith("SQLITE_CANTOPEN"):
        return Problem(
            "data-folder-read-only",
            "The database cannot be opened for writing",
            Where(file=str(path)),
            hint="let this user read and write the folder, or name another with --data",
        )
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return Problem(
            "data-busy",
            f"The database is held by another program for longer than {_WAIT_S:.0f} s; this change was not saved",
            Where(file=str(path)),
            hint="do it again; if it stays so, see which program holds the file",
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or str(error).startswith("Could not decode"):
        return damaged(str(path), str(error))
    if name.startswith(("SQLITE_CONSTRAINT", "SQLITE_ERROR", "SQLITE_MISMATCH")):
        return rows_refused(str(path), str(error))
    return Problem(
        "data-disk-failed", "The database cannot be read or written", Where(file=str(path)), found=str(error)
    )
