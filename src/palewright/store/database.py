"""What the store asks of a database: statements with :named values, that mean the same to SQLite and to PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, Protocol

from palewright.errors import Problem, ProblemError, Where

__all__ = ["MIGRATIONS", "Database", "Row", "Work", "damaged", "newer", "refuse", "rows_refused", "statements"]

Row = Mapping[str, Any]


class Work(Protocol):
    """One transaction."""

    def each(self, sql: str, **values: object) -> Iterator[Row]:
        """Rows one after another, by the names of their columns, without all of them in memory at once."""

    def rows(self, sql: str, **values: object) -> list[Row]:
        """All rows."""

    def run(self, sql: str, **values: object) -> int:
        """Carry a statement out; how many rows it touched."""

    def hold(self, name: str) -> None:
        """Until this transaction ends, others that hold the same name wait."""

    def many(self, sql: str, values: Iterable[Row]) -> None:
        """Carry one statement out for each of several sets of values."""


class Database(Protocol):
    """A database that is open. What goes wrong with it is raised as ProblemError with a slug in ``data-...``."""

    def reading(self) -> AbstractContextManager[Work]:
        """A transaction that sees one state of everything and changes nothing."""

    def writing(self) -> AbstractContextManager[Work]:
        """A transaction that is committed at its end, all of it or, where anything is raised, nothing."""

    def faults(self) -> list[str]:
        """What a look through the whole database finds wrong with it; nothing where it is sound."""

    def close(self) -> None:
        """Give everything back."""


def statements(number: int) -> list[str]:
    """The statements of one migration."""
    text = (Path(__file__).parent / "schema" / f"{number:04}.sql").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("--")]
    return [part.strip() for part in "\n".join(lines).split(";") if part.strip()]


MIGRATIONS = tuple(sorted(int(path.stem) for path in (Path(__file__).parent / "schema").glob("*.sql")))
"""Numbers of the migrations, in order; the last is the version of the schema that this program knows."""


def newer(found: object, where: str) -> ProblemError:
    """The problem of data that a later Palewright has written."""
    return refuse(
        "data-newer",
        "This was written by a later version of Palewright",
        file=where,
        found=f"version {found} of the data",
        allowed=f"up to {MIGRATIONS[-1]}",
        hint="use the later version; nothing was changed",
    )


def damaged(where: str, found: str) -> Problem:
    """The problem of a database that is not what was written."""
    return Problem(
        "data-damaged",
        "The database is damaged",
        Where(file=where),
        found=found,
        hint="move it aside and restore a backup; every job's folder still has its job.yaml and yard.json",
    )


def rows_refused(where: str, found: str) -> Problem:
    """The problem of rows that do not go with the schema: a backup that was changed, or a fault of ours."""
    what = "The database refused what was to be written; nothing was changed"
    return Problem("data-rows-refused", what, Where(file=where), found=found)


def refuse(slug: str, what: str, *, file: str = "", found: str = "", allowed: str = "", hint: str = "") -> ProblemError:
    """An error with one problem, to be raised; ``file``: where on this machine."""
    return ProblemError(Problem(slug, what, Where(file=file), found=found, allowed=allowed, hint=hint))
