"""The text of a job file with its lines and places, and the nodes of the tree it becomes, each tied to its span."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise

from palewright.errors import JobError, Problem, Where
from palewright.record import Record

__all__ = ["LIMITS", "Node", "Source", "decode", "need_table"]


class Limits(Record):
    """How much of a file is read: bytes, characters of a line, of one value and of a deed, values, depth, problems (of
    what YAML has and a job file has not: the first few)."""

    file_bytes: int = 1_000_000
    line: int = 20_000
    nodes: int = 20_000
    depth: int = 12
    text: int = 2_000
    deed: int = 20_000
    problems: int = 200
    not_allowed: int = 5


LIMITS = Limits()

_LINE_END = re.compile(r"\r\n|\r|\n")
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x84\x86-\x9f\ufffe\uffff\ufeff\ud800-\udfff]")
_NULLS = frozenset({"", "~", "null", "Null", "NULL"})


@dataclass(slots=True)
class Node:
    """One value of the file.

    kind
        "text", "list", "table", or "bad" (already reported: say nothing more about it).
    start, end
        character offsets in the text, counted after a byte order mark.
    plain
        True for text without quotes; ``flow`` True for a list or table in brackets.
    """

    kind: str
    start: int
    end: int
    text: str = ""
    plain: bool = True
    flow: bool = False
    items: list[Node] = field(default_factory=list)
    pairs: list[tuple[Node, Node]] = field(default_factory=list)

    @property
    def is_null(self) -> bool:
        """True for nothing at all, ``~`` and ``null`` without quotes."""
        return self.kind == "text" and self.plain and self.text in _NULLS


class Source:
    """The text of a job file and its lines; makes places and problems out of character offsets."""

    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.starts = [0, *(match.end() for match in _LINE_END.finditer(text))]

    def place(self, offset: int) -> tuple[int, int]:
        """Line and column (both from 1) of a character offset."""
        line = bisect_right(self.starts, offset)
        return line, offset - self.starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of a line (from 1), without its end; tabs become single blanks so that columns still fit."""
        start = self.starts[number - 1]
        end = self.starts[number] if number < len(self.starts) else len(self.text)
        return self.text[start : min(end, start + 400)].rstrip("\r\n").replace("\t", " ")

    def where(self, start: int, end: int, path: str = "") -> Where:
        """The place of a span; its width ends with its first line."""
        line, column = self.place(start)
        line_end = self.starts[line] if line < len(self.starts) else len(self.text)
        width = len(self.text[start : min(end, line_end)].rstrip("\r\n"))
        return Where(self.file, line, column, min(max(width, 1), 200), path)

    def excerpt(self, where: Where) -> str:
        """The line to print above the marked span; nothing when it would not fit on a screen."""
        if where.line == 0 or where.column > 160:
            return ""
        return self.line(where.line)[:200]

    def problem(self, slug: str, what: str, start: int, end: int, path: str = "", **more: str) -> Problem:
        """A problem at a span of the text."""
        where = self.where(start, end, path)
        return Problem(slug, what, where=where, excerpt=self.excerpt(where), **more)


def decode(data: bytes, file: str = "") -> tuple[Source, list[Problem]]:
    """The text of a small file that a person wrote, and why it cannot be read: too large, no UTF-8, no plain text."""
    if len(data) > LIMITS.file_bytes:
        found = f"more than {LIMITS.file_bytes:,} bytes"
        limit = f"at most {LIMITS.file_bytes:,} bytes"
        return Source("", file), [
            Problem("file-too-large", "this file is too large", Where(file=file), found=found, allowed=limit,
                    hint="a page or two of text is wanted; is this the right file?")
        ]  # fmt: skip
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return Source("", file), [_not_utf8(data, error, file)]
    source = Source(text, file)
    return source, _controls(source) or _long_lines(source)


def _not_utf8(data: bytes, error: UnicodeDecodeError, file: str) -> Problem:
    start = error.start + (3 if data.startswith(b"\xef\xbb\xbf") else 0)
    bad = data[start]
    before = Source(data[:start].decode("utf-8-sig", errors="replace"), file)
    line, column = before.place(len(before.text))
    rest = _LINE_END.split(data[start : start + 200].decode("latin-1"), maxsplit=1)[0]
    excerpt = before.line(line) + rest.replace("\t", " ") if column <= 160 and rest.isprintable() else ""
    hint = "save the file as UTF-8"
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        hint += "; this looks like UTF-16"
    elif bad >= 0xA0:
        hint += f"; read as Latin-1 this byte would be {bytes([bad]).decode('latin-1')}"
    return Problem(
        "not-utf8", "the file is not UTF-8 text", Where(file, line, column), found=f"byte {bad:#04x}", hint=hint,
        excerpt=excerpt,
    )  # fmt: skip


def _controls(source: Source) -> list[Problem]:
    problems = []
    for match in _CONTROL.finditer(source.text):
        found = f"U+{ord(match.group()):04X}"
        hint = "take it out; plain text is wanted"
        what = "there is a character in the file that cannot be printed"
        problems.append(source.problem("control-character", what, match.start(), match.end(), found=found, hint=hint))
        if len(problems) == 10:
            break
    return problems


def _long_lines(source: Source) -> list[Problem]:
    """Nobody types lines of this length, and a parser can be slow on them."""
    for start, end in pairwise([*source.starts, len(source.text)]):
        if end - start > LIMITS.line:
            return [
                source.problem("line-too-long", "this line is too long", start, start + 1,
                               found=f"{end - start:,} characters", allowed=f"at most {LIMITS.line:,}",
                               hint="is this the right file?")
            ]  # fmt: skip
    return []


def need_table(source: Source, top: Node | None, problems: list[Problem]) -> Node:
    """The top of the file as a table, or JobError with everything found so far."""
    if top is not None and top.kind != "table":
        found = {"list": "a list", "text": "text"}.get(top.kind, "something else")
        problems.append(
            source.problem("not-a-table", "a job file is a table of keys and values", top.start, top.end, found=found,
                           hint="begin with `palewright: 1`")
        )  # fmt: skip
    if top is None or top.kind != "table":
        raise JobError(problems)
    return top
