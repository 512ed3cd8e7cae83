"""A job file that is edited in place: comments, order, spelling and line ends stay as the person typed them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from os import PathLike, fspath
from pathlib import Path

from palewright.errors import JobError, Problem, Where
from palewright.jobfile.reader import read_bytes, read_file
from palewright.jobfile.source import Node, Source, need_table, read_source
from palewright.jobfile.writing import Plain, write_value
from palewright.model import Job

__all__ = ["Document", "KeyPath"]

KeyPath = str | Sequence[str | int]
_PART = re.compile(r"\[([0-9]{1,6})\]|\.?([^.\[\]]+)")


class Document:
    """The text of a job file, with values read and changed by key path.

    A key path is written as problems print it, ``runs[0].gates[1].opening``, or as a sequence of keys and numbers
    (needed where a name holds a dot or a bracket).

    >>> doc = Document("palewright: 1\\njob: {title: Yard}   # ours\\nsite: {frost: ask}\\n")
    >>> doc.set("site.frost", "30 in")
    >>> print(doc.dump(), end="")
    palewright: 1
    job: {title: Yard}   # ours
    site: {frost: 30 in}
    """

    def __init__(self, text: str | bytes, file: str = "") -> None:
        """Take the text of a job file; raises JobError when it is not one table of keys and values."""
        data = text.encode("utf-8") if isinstance(text, str) else text
        self._mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        self.file = file
        self._source, self._top = _parse(data, file)

    @classmethod
    def load(cls, path: str | PathLike[str]) -> Document:
        """Open a job file."""
        name = fspath(path)
        return cls(read_file(name), name)

    def dump(self) -> str:
        """The text as it now stands, without a byte order mark."""
        return self._source.text

    def save(self, path: str | PathLike[str] | None = None) -> None:
        """Write the file, byte for byte as loaded where nothing was set."""
        Path(path if path is not None else self.file).write_bytes(self._bytes())

    def job(self) -> Job:
        """The job as it now stands; raises JobError with every problem."""
        return read_bytes(self._bytes(), self.file)

    def get(self, path: KeyPath) -> Plain:
        """The value at a key path, text as typed; None where nothing stands."""
        node = self._find(_parts(path))[0]
        return None if node is None else _plain(node)

    def set(self, path: KeyPath, value: Plain) -> None:
        """Put a value at a key path; the rest of the file stays as it is.

        A key that is not there is added at the end of its table, and a list grows by one when the number after its
        last item is given. Raises JobError when the path leads through text, or past the end of a list.
        """
        parts = _parts(path)
        before = _plain(self._top)
        text = self._edited(parts, value)
        source, top = _parse(text.encode("utf-8"), self.file)
        if _plain(top) != _changed(before, parts, value):
            raise JobError(self._cannot(parts, "the file cannot be changed there"))
        self._source, self._top = source, top

    # where things stand

    def _bytes(self) -> bytes:
        return self._mark + self._source.text.encode("utf-8")

    def _cannot(self, parts: Sequence[str | int], what: str) -> Problem:
        return Problem("cannot-edit", what, Where(file=self.file, path=_path(parts)), found=_path(parts))

    def _find(self, parts: Sequence[str | int]) -> tuple[Node | None, Node | None, Node | None]:
        """The node at a path, its key (in a table), and the list or table that holds it."""
        node: Node | None = self._top
        key: Node | None = None
        holder: Node | None = None
        for part in parts:
            holder, key = node, None
            if holder is None:
                return None, None, None
            if isinstance(part, int) and holder.kind == "list":
                node = holder.items[part] if 0 <= part < len(holder.items) else None
            elif holder.kind == "table":
                found = [(k, v) for k, v in holder.pairs if k.text == str(part)]
                key, node = found[0] if found else (None, None)
            else:
                return None, None, holder
        return node, key, holder

    # edits

    def _edited(self, parts: Sequence[str | int], value: Plain) -> str:
        if not parts:
            raise JobError(self._cannot(parts, "a key path is needed"))
        node, key, holder = self._find(parts)
        if node is not None:
            return self._replaced(node, key, self._in_flow(parts), value)
        depth = len(parts) - 1
        while depth and self._find(parts[:depth])[0] is None:
            value = self._under(parts, depth, value)
            depth -= 1
        holder = self._find(parts[:depth])[0] if depth else self._top
        assert holder is not None
        part = parts[depth]
        if holder.is_null:
            made = self._under(parts, depth, value)
            return self._replaced(holder, self._find(parts[:depth])[1], self._in_flow(parts[:depth]), made)
        if holder.kind == "table" and isinstance(part, str):
            return self._added(holder, f"{write_value(part, True)}: ", value)
        if holder.kind == "list" and part == len(holder.items):
            return self._added(holder, "" if holder.flow else "- ", value)
        raise JobError(self._cannot(parts, "nothing can stand at this key path"))

    def _under(self, parts: Sequence[str | int], depth: int, value: Plain) -> Plain:
        """A value under a key that is not there yet: a new table, or a new list for its first item."""
        part = parts[depth]
        if isinstance(part, str):
            return {part: value}
        if part != 0:
            raise JobError(self._cannot(parts, "a new list begins with item 0"))
        return [value]

    def _in_flow(self, parts: Sequence[str | int]) -> bool:
        """True when the value stands inside brackets."""
        return any(
            (holder := self._find(parts[:depth])[0]) is not None and holder.flow for depth in range(1, len(parts))
        ) or (self._top.flow)

    def _replaced(self, node: Node, key: Node | None, flow: bool, value: Plain) -> str:
        text = self._source.text
        new = write_value(value, flow)
        if node.kind == "text" and node.start == node.end:
            return text[: node.start] + " " + new + text[node.start :]
        end = _end(node)
        if node.kind == "text":
            raw = text[node.start : node.end]
            tail = raw[len(raw.rstrip("\r\n")) :] if raw[:1] in "|>" else ""
            return text[: node.start] + new + tail + text[node.end :]
        if node.flow or key is None:
            return text[: node.start] + new + text[end:]
        colon = text.index(":", key.end) + 1
        line = self._source.starts[self._source.place(node.start)[0] - 1]
        if line < colon:
            return text[: node.start] + new + text[end:]
        rest = _line_end(text, end)
        return text[:colon] + " " + new + text[colon:line].rstrip("\r\n \t") + text[rest:]

    def _added(self, holder: Node, before: str, value: Plain) -> str:
        text = self._source.text
        if holder.flow:
            close = holder.end - 1
            children = holder.items or [value for _, value in holder.pairs]
            if not children:
                return text[: holder.start + 1] + before + write_value(value, True) + text[close:]
            last = _end(children[-1])
            return text[:last] + ", " + before + write_value(value, True) + text[last:]
        last = _line_end(text, _end(holder))
        column = self._source.place(holder.start)[1] - 1
        line_end = "\r\n" if "\r\n" in text else "\n"
        return text[:last] + line_end + " " * column + before + write_value(value) + text[last:]


def _parse(data: bytes, file: str) -> tuple[Source, Node]:
    source, node, problems = read_source(data, file)
    if node is None and problems:
        raise JobError(problems)
    top = need_table(source, node, problems)
    if problems:
        raise JobError(problems)
    return source, top


def _parts(path: KeyPath) -> list[str | int]:
    """A key path as a list of keys and numbers."""
    if not isinstance(path, str):
        return list(path)
    parts: list[str | int] = []
    at = 0
    while at < len(path):
        match = _PART.match(path, at)
        if match is None:
            raise JobError(
                Problem("cannot-edit", "this is not a key path", found=path, allowed="runs[0].gates[1].opening")
            )
        parts.append(int(match.group(1)) if match.group(1) is not None else match.group(2))
        at = match.end()
    return parts


def _path(parts: Sequence[str | int]) -> str:
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts)
    return text.removeprefix(".")


def _end(node: Node) -> int:
    """Where a value really ends; a list or table in lines has no mark of its own."""
    if node.kind == "text" or node.flow:
        return node.end
    last = node.items[-1] if node.items else node.pairs[-1][1] if node.pairs else None
    return node.end if last is None else max(_end(last), node.pairs[-1][0].end + 1 if node.pairs else 0)


def _line_end(text: str, offset: int) -> int:
    """The end of the line that holds an offset, its line end not counted."""
    if offset and text[offset - 1] == "\n":
        offset -= 2 if text[offset - 2 : offset] == "\r\n" else 1
        return offset
    match = re.compile(r"\r\n|\r|\n").search(text, offset)
    return len(text) if match is None else match.start()


def _plain(node: Node) -> Plain:
    if node.kind == "list":
        return [_plain(item) for item in node.items]
    if node.kind == "table":
        return {key.text: _plain(value) for key, value in node.pairs}
    return None if node.is_null else node.text


def _as_read(value: Plain) -> Plain:
    """A value as it reads back: text, lists and tables."""
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return {str(key): _as_read(item) for key, item in value.items()}
    if isinstance(value, Sequence):
        return [_as_read(item) for item in value]
    return write_value(value)


def _changed(tree: Plain, parts: Sequence[str | int], value: Plain) -> Plain:
    """The tree with one value put in."""
    if not parts:
        return _as_read(value)
    first, rest = parts[0], parts[1:]
    if isinstance(tree, Mapping):
        return {**tree, str(first): _changed(tree.get(str(first)), rest, value)}
    if isinstance(tree, Sequence) and not isinstance(tree, str) and isinstance(first, int):
        items = [*tree, None] if first == len(tree) else list(tree)
        items[first] = _changed(items[first], rest, value)
        return items
    below = _changed(None, rest, value)
    return [below] if isinstance(first, int) else {first: below}
