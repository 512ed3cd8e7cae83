"""Reading one job file: problems, open questions, places, and the names that refer to something."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from palewright.errors import NotationError, Problem, Where
from palewright.jobfile.source import LIMITS, Node, Source
from palewright.record import Record

__all__ = ["MISSING", "Entry", "Reading", "Table", "Word", "nearest"]

_T = TypeVar("_T")


class _Missing:
    """The value of what is not there, was left open with ``ask``, or could not be read."""

    def __bool__(self) -> bool:
        return False

    def __repr__(self) -> str:
        return "MISSING"


MISSING = _Missing()


class Word(Record):
    """A name as typed, and its place."""

    text: str
    at: Where


@dataclass(slots=True)
class Entry:
    """One value that was read: its own place and that of its key."""

    value: Any
    at: Where
    asked: bool = False


@dataclass(slots=True)
class Table:
    """A table that was read by its keys. ``ok`` False: something in it is wrong and was reported."""

    at: Where
    path: str
    entries: dict[str, Entry] = field(default_factory=dict)
    ok: bool = True

    def has(self, key: str) -> bool:
        """True when the key was typed with a value that could be read."""
        entry = self.entries.get(key)
        return entry is not None and entry.value is not MISSING

    def asked(self, key: str) -> bool:
        """True when ``ask`` was typed."""
        entry = self.entries.get(key)
        return entry is not None and entry.asked

    def typed(self, key: str) -> bool:
        """True when the key stands there, whatever its value."""
        return key in self.entries

    def get(self, key: str, default: Any = None) -> Any:
        """The value of a key, or ``default``."""
        entry = self.entries.get(key)
        return default if entry is None or entry.value is MISSING else entry.value

    def place(self, key: str) -> Where:
        """The place of the value of a key, or of the table."""
        entry = self.entries.get(key)
        return self.at if entry is None else entry.at


class Reading:
    """What is known while a job file is read."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.problems: list[Problem] = []
        self.asks: list[Where] = []
        self.unit = ""
        self.vara = ""
        self.foot = "international"
        self.azimuths = ""
        self.left_out = 0

    def report(self, problem: Problem) -> None:
        """Keep a problem; after a couple of hundred only their number is kept."""
        if len(self.problems) < LIMITS.problems:
            self.problems.append(problem)
        else:
            self.left_out += 1

    def where(self, node: Node, path: str) -> Where:
        """The place of a value."""
        return self.source.where(node.start, node.end, path)

    def wrong(self, slug: str, what: str, node: Node, path: str, **more: str) -> _Missing:
        """Report a problem with a value."""
        more.setdefault("found", shorten(node))
        self.report(self.source.problem(slug, what, node.start, node.end, path, **more))
        return MISSING

    def wrong_at(self, slug: str, what: str, where: Where, **more: str) -> None:
        """Report a problem at a place that was read before."""
        self.report(Problem(slug, what, where=where, excerpt=self.source.excerpt(where), **more))

    def ask(self, node: Node, path: str) -> None:
        """Note that a value was left open."""
        self.asks.append(self.where(node, path))

    def notation(
        self, read: Callable[[str], _T], node: Node, path: str, text: str = "", skip: int = 0
    ) -> _T | _Missing:
        """Read (a part of) a value in notation; a problem is marked inside the file.

        text
            the part to read, beginning ``skip`` characters into the value; the whole value when empty.
        """
        part = text or node.text
        try:
            return read(part)
        except NotationError as error:
            for problem in error.problems:
                self.report(self._shift(problem, node, path, skip, len(part)))
            return MISSING

    def _shift(self, problem: Problem, node: Node, path: str, skip: int, length: int) -> Problem:
        """The problem of a part of a value, placed in the file."""
        span = self.span(node, skip + max(problem.where.column - 1, 0), problem.where.width)
        if not problem.where.column:
            span = self.span(node, skip, length)
        where = replace(span, path=path)
        return problem.at(where, self.source.excerpt(where))

    def span(self, node: Node, skip: int, width: int, path: str = "") -> Where:
        """The place of a part of a value; the whole value where its spelling in the file differs (escapes, folds)."""
        quote = 0 if node.plain else 1
        start = node.start + quote + skip
        end = min(start + max(width, 1), max(node.end - quote, start + 1))
        raw = self.source.text[node.start + quote : node.end - quote]
        if raw != node.text:
            return self.source.where(node.start, node.end, path)
        return self.source.where(start, end, path)

    def part(self, node: Node, skip: int, text: str, path: str) -> Word:
        """A name that is a part of a value ("B" in "22 ft from B")."""
        return Word(text, self.span(node, skip, len(text), path))


def shorten(node: Node) -> str:
    """A value as a problem shows it."""
    if node.kind == "list":
        return "a list"
    if node.kind == "table":
        return "a table"
    if node.is_null:
        return "nothing"
    text = " ".join(node.text.split())
    text = "".join(sign if sign.isprintable() else "?" for sign in text)
    return text if len(text) <= 60 else text[:57] + "..."


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that is spelled most like ``word``, or "".

    >>> nearest("bottom_gap", ["board", "bottom gap"])
    'bottom gap'
    """
    by_folded: dict[str, str] = {}
    for name in known:
        by_folded.setdefault(_fold(name), name)
    from difflib import get_close_matches

    found = get_close_matches(_fold(word[:80]), list(by_folded), n=1, cutoff=0.6)
    return by_folded[found[0]] if found else ""


def _fold(word: str) -> str:
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split())
