"""What stands in a legal description beside bearings and distances: monuments, adjoiners, lots, books, dates, ..."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

__all__ = ["Note", "beginning_in", "notes_in", "pattern"]

_GONE, _KEPT = "\x01", "\x02"
_BLANKS = r"\s{0,50}"
"""Blanks between words, line ends and indents among them: a page of blanks is not searched over and over."""
_HOLDS = ("adjoiner", "remark", "basis", "curve begins")


class Note(NamedTuple):
    """A part of the text that is no call.

    kind
        "monument", "adjoiner", "curve begins", "basis" (of bearings), "remark" (of a corner), "named" (a lot, a book, a
        road by its number), "width", "date", "money" or "aside".
    """

    kind: str
    start: int
    end: int


@cache
def _table() -> tuple[dict[str, re.Pattern[str]], tuple[tuple[str, re.Pattern[str]], ...]]:
    """The patterns of ``prose_patterns.toml``: by name, and those of notes in their order."""
    data = tomllib.loads(Path(__file__).with_name("prose_patterns.toml").read_text(encoding="utf-8"))
    parts: dict[str, str] = {}

    def whole(text: str) -> str:
        text = text.replace(r"\s*", _BLANKS).replace(r"\s+", _BLANKS.replace("0", "1", 1))
        return re.sub(r"<([a-z_]+)>", lambda name: parts.get(name[1], name[0]), text)

    for name, text in data["part"].items():
        parts[name] = whole(text)
    flags = re.IGNORECASE | re.VERBOSE
    named = {name: re.compile(whole(text), flags) for name, text in data["pattern"].items()}
    return named, tuple((note["kind"], re.compile(whole(note["is"]), flags)) for note in data["note"])


def pattern(name: str) -> re.Pattern[str]:
    """A pattern of the file by its name."""
    return _table()[0][name]


def notes_in(plain: str, start: int, end: int, kept: tuple[tuple[int, int], ...] = ()) -> list[Note]:
    """What a part of the text says beside its calls, in its order.

    kept
        spans that no note may take (where a description comes back to its beginning).
    A note that was found hides its text from those that are looked for after it; adjoiners may hold names.
    """
    hidden = list(plain[:end])
    for first, last in kept:
        hidden[first:last] = _KEPT * (last - first)
    found: list[Note] = []
    for kind, known in _table()[1]:
        for hit in known.finditer("".join(hidden), start, end):
            first, last = hit.span("said") if "said" in known.groupindex else hit.span()
            last = next((k for k in range(first, last) if hidden[k] == _KEPT), last)
            if last <= first or (_GONE in hit[0] and kind not in _HOLDS):
                continue
            found.append(Note(kind, first, last))
            if kind != "curve begins":
                hidden[first:last] = _GONE * (last - first)
    return sorted(found, key=lambda note: note.start)


def beginning_in(plain: str, start: int, end: int) -> Iterator[tuple[int, int, bool]]:
    """Places in a call at which it comes to the point of beginning: (start, end, called the true one)."""
    for hit in pattern("beginning").finditer(plain, start, end):
        if pattern("goes_to").search(plain, max(start, hit.start() - 40), hit.start()):
            yield hit.start(), hit.end(), bool(hit["true"])
