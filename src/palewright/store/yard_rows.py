"""Yard entries as rows and as ``yard.json``."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from palewright.errors import ProblemError
from palewright.model.yard import YardEntry
from palewright.store.database import Row, Work, damaged
from palewright.store.records import JobEntry

__all__ = ["entries_of", "entry_value", "yard_json"]


def entries_of(work: Work, job: str, after: int = 0) -> Iterator[YardEntry]:
    """The entries of a job above a number, in order of arrival."""
    for row in work.each(
        "SELECT * FROM entries WHERE job = :job AND number > :after ORDER BY number", job=job, after=after
    ):
        yield _entry(row)


def _entry(row: Row) -> YardEntry:
    try:
        value = json.loads(row["value"])
    except ValueError as error:
        raise ProblemError(damaged("", "an entry of the yard")) from error
    return YardEntry(
        row["id"], row["device"], row["who"], row["seq"], row["saw"], row["made"], row["about"], row["what"],
        value, row["number"], row["arrived"], row["sent_by"],
    )  # fmt: skip


def entry_value(entry: YardEntry) -> dict[str, Any]:
    """An entry as ``yard.json`` has it."""
    return {name: getattr(entry, name) for name in YardEntry.__dataclass_fields__}


def yard_json(work: Work, job: JobEntry) -> bytes:
    """All entries of a job as a file: ``{"job": ..., "entries": [...]}``, one entry on a line."""
    lines = [json.dumps(entry_value(entry), ensure_ascii=False) for entry in entries_of(work, job.id)]
    body = ",\n".join(lines)
    return f'{{"job": {json.dumps(job.title, ensure_ascii=False)}, "entries": [\n{body}\n]}}\n'.encode()
