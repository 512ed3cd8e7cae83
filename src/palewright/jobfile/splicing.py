"""Where lines of a job file begin and end: taking an entry out with its comments, and putting one in at its place."""

from __future__ import annotations

import re
from collections.abc import Iterator

from palewright.jobfile.source import Node

__all__ = [
    "above",
    "dash_of",
    "end_of",
    "indents",
    "line_end",
    "line_start",
    "next_line",
    "start_of",
    "without_line",
    "without_part",
]

_LINE_END = re.compile(r"\r\n|\r|\n")
_COMMENT = re.compile(r"[ \t]*#")


def end_of(node: Node) -> int:
    """Where a value really ends; a list or table in lines has no mark of its own."""
    if node.kind == "text" or node.flow:
        return node.end
    last = node.items[-1] if node.items else node.pairs[-1][1] if node.pairs else None
    return node.end if last is None else max(end_of(last), node.pairs[-1][0].end + 1 if node.pairs else 0)


def indents(text: str, node: Node) -> Iterator[tuple[str, int]]:
    """How far lines under a value stand in, as the fields of an ``Indent``, in the order of the file."""

    def column(at: int) -> int:
        return at - line_start(text, at)

    if node.flow:
        return
    for item in node.items:
        dash, inside = dash_of(text, item), start_of(text, item)
        if line_start(text, dash) == line_start(text, inside):
            yield "item", inside - dash
        yield from indents(text, item)
    for key, value in node.pairs:
        inside = start_of(text, value)
        if line_start(text, inside) > key.start and not value.flow and value.kind in ("table", "list"):
            yield "dash" if value.items else "table", column(inside) - column(key.start)
        yield from indents(text, value)


def line_end(text: str, offset: int) -> int:
    """The end of the line that holds an offset, its line end not counted."""
    if offset and text[offset - 1] == "\n":
        offset -= 2 if text[offset - 2 : offset] == "\r\n" else 1
        return offset
    match = _LINE_END.search(text, offset)
    return len(text) if match is None else match.start()


def line_start(text: str, offset: int) -> int:
    """The first character of the line that holds an offset."""
    return max(text.rfind("\n", 0, offset), text.rfind("\r", 0, offset)) + 1


def next_line(text: str, offset: int) -> int:
    """The first character after the line end at or behind an offset."""
    match = _LINE_END.search(text, offset)
    return len(text) if match is None else match.end()


def above(text: str, start: int, column: int) -> int:
    """The first of the comment lines that stand straight above a line and begin in its column."""
    while start > 0:
        before = line_start(text, start - (2 if text[start - 2 : start] == "\r\n" else 1))
        line = text[before:start]
        if not _COMMENT.match(line) or len(line) - len(line.lstrip(" ")) != column:
            break
        start = before
    return start


def dash_of(text: str, item: Node) -> int:
    """The dash of an item of a list in lines."""
    return text.rindex("-", 0, start_of(text, item))


def start_of(text: str, node: Node) -> int:
    """Where a value really begins: a list in lines with its first dash, a table with its first key."""
    if node.kind == "text" or node.flow or not (node.items or node.pairs):
        return node.start
    return dash_of(text, node.items[0]) if node.items else node.pairs[0][0].start


def without_line(text: str, start: int, end: int, column: int, head: bool) -> str:
    """The text without the lines from ``start`` to the end of the one that holds ``end``, and the comments above.

    head
        the entry stands on the top level: one of two blank lines round it goes too.
    """
    first = above(text, line_start(text, start), column)
    last = next_line(text, line_end(text, end))
    if head or not text[:first].strip():
        blank = _LINE_END.match(text, last)
        before = text[:first]
        if blank is not None and (not before.strip() or before.endswith(("\n\n", "\r\n\r\n"))):
            last = blank.end()
        elif last >= len(text):
            first = len(before.rstrip("\r\n")) + (len(_first_end(text)) if before.strip() else 0)
    return text[:first] + text[last:]


def _first_end(text: str) -> str:
    match = _LINE_END.search(text)
    return match.group() if match else "\n"


def without_part(text: str, spans: list[tuple[int, int]], k: int, close: int) -> str:
    """The text without the part ``k`` of a list or table in brackets; a comment behind the part before it stays.

    spans
        of all parts. close: offset of the closing bracket.
    """
    start, end = spans[k]
    if k + 1 < len(spans):
        return text[:start] + text[spans[k + 1][0] :]
    if k == 0:
        return text[:start] + text[close:]
    before = spans[k - 1][1]
    between = text[before:start]
    if "#" in between:
        kept = between.replace(",", "", 1).rstrip() + _first_end(text) + " " * (start - line_start(text, start))
        return text[:before] + kept + text[close:]
    return text[:before] + text[close if text[end:close].strip() in ("", ",") else end :]
