"""Yard entries: what phones send, each once, numbered in the order in which it came."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.model.yard import YardEntry
from palewright.store.core import Core, clean, line
from palewright.store.database import Row, Work, refuse
from palewright.store.entries import get_job, hold_job
from palewright.store.folders import Folders
from palewright.store.photos import UUID
from palewright.store.records import Arrival
from palewright.store.room import in_words
from palewright.store.yard_rows import entries_of

__all__ = ["Yard"]

_SEQ = 2**53
_DEEP = 6


class Yard:
    """The entries of each job. They are never changed and never deleted."""

    def __init__(self, core: Core, folders: Folders) -> None:
        self._core = core
        self._folders = folders

    def entries(self, job: str, after: int = 0) -> tuple[YardEntry, ...]:
        """The entries with a number above ``after``, in order of arrival. Raises ProblemError ``job-unknown``."""
        with self._core.database.reading() as work:
            get_job(work, job)
            return tuple(entries_of(work, job, min(max(after, 0), 2**31 - 1)))

    def append(self, job: str, entries: Sequence[YardEntry]) -> Arrival:
        """Take entries in, all or none; one that came before keeps the number it has.

        Who sent an entry (``by``) is the caller's to say; one that comes again keeps its first. Numbers run from 1
        within a job without gaps, in the order of arrival. What an entry says it saw is kept as
        far as it can be true: up to the last number given before it came. Entries of a kind that is not known are
        kept too.

        Raises ProblemError ``entry-unusable``, ``entry-id-used``, ``entries-too-many``, ``job-unknown``, ``job-gone``,
        ``job-entries-full``, ``data-...``; the ``where.thing`` of its problems is the id of the entry.
        """
        most = self._core.limits.entries_at_once
        if len(entries) > most:
            raise refuse(
                "entries-too-many", "Too many entries came at once", found=str(len(entries)), allowed=f"up to {most}"
            )
        faults = [fault for entry in entries if (fault := self._fault(entry))]
        if faults:
            raise ProblemError(faults)
        with self._core.database.writing() as work:
            before = hold_job(work, job).entries
            numbers = self._insert(work, job, before, entries)
            last = max([before, *numbers])
            self._check_room(work, job, last, before)
            work.run("UPDATE jobs SET arrived = :last WHERE id = :job", last=last, job=job)
        self._folders.refresh(job)
        return Arrival(tuple(numbers), last)

    def _insert(self, work: Work, job: str, before: int, entries: Sequence[YardEntry]) -> list[int]:
        now = self._core.now()
        numbers: list[int] = []
        used: list[Problem] = []
        last = before
        for entry in entries:
            row = _row(job, entry, last + 1, before, now)
            if work.run(
                """INSERT INTO entries
                (id, job, number, device, who, seq, saw, made, about, what, value, arrived, sent_by)
                VALUES
                (:id, :job, :number, :device, :who, :seq, :saw, :made, :about, :what, :value, :arrived, :sent_by)
                ON CONFLICT (id) DO NOTHING""",
                **row,
            ):
                last += 1
            (kept,) = work.rows("SELECT * FROM entries WHERE id = :id", id=entry.id)
            if any(kept[name] != row[name] for name in row if name not in ("number", "saw", "arrived", "sent_by")):
                used.append(
                    _problem("entry-id-used", entry, "Another entry came with the same id; none of these was taken")
                )
            numbers.append(kept["number"])
        if used:
            raise ProblemError(used)
        return numbers

    def _check_room(self, work: Work, job: str, last: int, before: int) -> None:
        """Raises ProblemError where a job has more entries than any yard makes: a phone that sends without end."""
        limits = self._core.limits
        if last == before or last * limits.entry_bytes < limits.entries_bytes:
            return
        (row,) = work.rows("SELECT SUM(length(value)) AS size FROM entries WHERE job = :job", job=job)
        if last > limits.entries or row["size"] > limits.entries_bytes:
            raise refuse(
                "job-entries-full",
                "The entries of this job fill the room that a job has; none of these was taken",
                found=f"{last:,} entries, {in_words(int(row['size']))}",
                allowed=f"{limits.entries:,} entries, {in_words(limits.entries_bytes)}",
                hint="is a phone sending the same again and again? The owner can end its session",
            )

    def _fault(self, entry: YardEntry) -> Problem | None:
        """What is wrong with the shape of an entry; nothing for most."""
        said = _wrong(entry) or ""
        if not said and len(json.dumps(dict(entry.value)).encode()) > self._core.limits.entry_bytes:
            said = "what it says is too long"
        return _problem("entry-unusable", entry, f"An entry from the yard cannot be kept: {said}") if said else None


def _wrong(entry: YardEntry) -> str | None:
    if not UUID.fullmatch(entry.id):
        return "its id is no uuid"
    for name, most in (("device", 100), ("who", 200), ("made", 40), ("about", 200), ("what", 40)):
        text = getattr(entry, name)
        if not clean(text) or not text.isprintable() or len(text) > most:
            return f"its {name} is no plain text of up to {most} letters"
    if not (entry.device and entry.about and entry.what):
        return "device, about or what is missing"
    if not (0 <= entry.seq < _SEQ and 0 <= entry.saw < _SEQ):
        return "seq and saw are counts"
    return None if _plain(dict(entry.value), _DEEP) else "its value holds more than plain values by name"


def _plain(value: Any, deep: int) -> bool:
    """Whether a value goes into JSON and comes back the same."""
    if value is None or isinstance(value, bool):
        return True
    if isinstance(value, int):
        return abs(value) < _SEQ
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, str):
        return clean(value)
    if deep and isinstance(value, list | tuple):
        return all(_plain(part, deep - 1) for part in value)
    if deep and isinstance(value, dict):
        return all(isinstance(name, str) and clean(name) and _plain(part, deep - 1) for name, part in value.items())
    return False


def _row(job: str, entry: YardEntry, number: int, before: int, now: str) -> Row:
    return {
        "id": entry.id, "job": job, "number": number, "device": entry.device, "who": entry.who, "seq": entry.seq,
        "saw": min(entry.saw, before), "made": entry.made, "about": entry.about, "what": entry.what,
        "value": json.dumps(dict(entry.value), sort_keys=True), "arrived": now, "sent_by": line(entry.by, 200),
    }  # fmt: skip


def _problem(slug: str, entry: YardEntry, what: str) -> Problem:
    return Problem(
        slug, what, where=Where(thing=line(str(entry.id), 60)), found=line(f"{entry.about}: {entry.what}", 120)
    )
