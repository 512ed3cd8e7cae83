"""A job file that is edited in place: comments, order, spelling and line ends stay as the person typed them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from os import PathLike, fspath
from pathlib import Path

from palewright.errors import JobError, Problem, Where
from palewright.jobfile.composing import read_source
from palewright.jobfile.reader import read_bytes, read_file
from palewright.jobfile.source import Node, Source, need_table
from palewright.jobfile.splicing import (
    above,
    dash_of,
    end_of,
    indents,
    line_end,
    line_start,
    next_line,
    start_of,
    without_line,
    without_part,
)
from palewright.jobfile.trees import KeyPath, changed, inserted, parts_of, path_of, plain, removed, renamed, same
from palewright.jobfile.writing import Indent, Plain, write_block, write_item, write_value
from palewright.model import Job

__all__ = ["Document", "KeyPath"]


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
        node = self._find(parts_of(path))[0]
        return None if node is None else plain(node)

    def set(self, path: KeyPath, value: Plain) -> None:
        """Put a value at a key path; the rest of the file stays as it is.

        A key that is not there is added at the end of its table, and a list grows by one when the number after its
        last item is given. Raises JobError when the path leads through text, or past the end of a list.
        """
        parts = parts_of(path)
        before = plain(self._top)
        text = self._edited(parts, value)
        source, top = _parse(text.encode("utf-8"), self.file)
        if plain(top) != changed(before, parts, value):
            raise JobError(self._cannot(parts, "the file cannot be changed there"))
        self._source, self._top = source, top

    def insert(self, path: KeyPath, value: Plain, *, levels: int = 0, before: Sequence[str] = ()) -> None:
        """Put a new entry in.

        path
            ends with the number that the item shall have in its list, or with a key that is not there yet.
        levels
            how many levels of it stand in lines; what is in brackets already stays there.
        before
            keys of the same table before which the new key is to stand; the first that is there counts. Without one it
            stands last.
        A list or a table that is not there yet is made. Raises JobError where nothing can stand.
        """
        parts = parts_of(path)
        before_tree = plain(self._top)
        made = parts
        while len(made) > 1 and self._find(made[:-1])[0] is None:
            value, made, levels = self._under(made, len(made) - 1, value), made[:-1], levels + 1
        self._take(self._inserted(made, value, levels, before), made, inserted(before_tree, made, value, before))

    def remove(self, path: KeyPath) -> None:
        """Take an entry out, with its comments: those in it, behind it, and straight above it.

        A list or table that loses its last entry stays, empty. Raises JobError where nothing stands there.
        """
        parts = parts_of(path)
        node, key, holder = self._find(parts)
        if node is None or holder is None or not parts:
            raise JobError(self._cannot(parts, "nothing stands at this key path"))
        self._take(self._removed(parts, node, key, holder), parts, removed(plain(self._top), parts))

    def rename(self, path: KeyPath, name: str) -> None:
        """Give a key another name. Raises JobError where it is not there, or the name is taken."""
        parts = parts_of(path)
        _, key, holder = self._find(parts)
        if key is None or holder is None or any(k.text == name for k, _ in holder.pairs):
            raise JobError(self._cannot(parts, "this key cannot get that name"))
        text = self._source.text
        new = write_value(name, self._in_flow(parts))
        self._take(text[: key.start] + new + text[key.end :], parts, renamed(plain(self._top), parts, name))

    def line(self, path: KeyPath) -> int:
        """The line of the value at a key path, from 1; 0 where nothing stands."""
        node = self._find(parts_of(path))[0]
        return 0 if node is None else self._source.place(node.start)[0]

    def _take(self, text: str, parts: Sequence[str | int], wanted: Plain) -> None:
        """Take over an edited text, if it reads as it should."""
        try:
            source, top = _parse(text.encode("utf-8"), self.file)
        except JobError as error:
            raise JobError(self._cannot(parts, "the file cannot be changed there")) from error
        if not same(plain(top), wanted):
            raise JobError(self._cannot(parts, "the file cannot be changed there"))
        self._source, self._top = source, top

    # where things stand

    def _bytes(self) -> bytes:
        return self._mark + self._source.text.encode("utf-8")

    def _cannot(self, parts: Sequence[str | int], what: str) -> Problem:
        return Problem("cannot-edit", what, Where(file=self.file, path=path_of(parts)), found=path_of(parts))

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
        end = end_of(node)
        if node.kind == "text":
            raw = text[node.start : node.end]
            tail = raw[len(raw.rstrip("\r\n")) :] if raw[:1] in "|>" else ""
            return text[: node.start] + new + tail + text[node.end :]
        if node.flow or key is None:
            return text[: node.start] + new + text[end:]
        colon = text.index(":", key.end) + 1
        begin = start_of(text, node)
        line = line_start(text, begin)
        if line < colon:
            return text[:begin] + new + text[end:]
        rest = line_end(text, end)
        return text[:colon] + " " + new + text[colon:line].rstrip("\r\n \t") + text[rest:]

    def _added(self, holder: Node, before: str, value: Plain) -> str:
        text = self._source.text
        if holder.flow:
            close = holder.end - 1
            children = holder.items or [value for _, value in holder.pairs]
            if not children:
                return text[: holder.start + 1] + before + write_value(value, True) + text[close:]
            last = end_of(children[-1])
            return text[:last] + ", " + before + write_value(value, True) + text[last:]
        last = line_end(text, end_of(holder))
        column = self._column(holder)
        return text[:last] + self._ends("\n") + " " * column + before + write_value(value) + text[last:]

    def _inserted(self, parts: Sequence[str | int], value: Plain, levels: int, before: Sequence[str]) -> str:
        holder = self._find(parts[:-1])[0] if len(parts) > 1 else self._top
        assert holder is not None
        part = parts[-1]
        if holder.is_null or (not holder.items and not holder.pairs):
            made: Plain = {part: value} if isinstance(part, str) else [value]
            if not isinstance(part, str) and part != 0:
                raise JobError(self._cannot(parts, "a new list begins with item 0"))
            return self._filled(holder, parts, made, levels + 1)
        if holder.kind == "list" and isinstance(part, int) and 0 <= part <= len(holder.items):
            spots = [start_of(self._source.text, item) for item in holder.items]
            return self._among(parts, holder, spots, part, "", value, levels)
        if holder.kind == "table" and isinstance(part, str) and all(k.text != part for k, _ in holder.pairs):
            names = [k.text for k, _ in holder.pairs]
            at = next((names.index(name) for name in before if name in names), len(names))
            spots = [k.start for k, _ in holder.pairs]
            return self._among(parts, holder, spots, at, write_value(part, holder.flow) + ":", value, levels)
        raise JobError(self._cannot(parts, "nothing can stand at this key path"))

    def _filled(self, holder: Node, parts: Sequence[str | int], made: Plain, levels: int) -> str:
        """The text with a list or table put where an empty one, or nothing, stands."""
        text, key = self._source.text, self._find(parts[:-1])[1]
        flow = self._in_flow(parts[:-1])
        if flow or key is None or not levels:
            return self._replaced(holder, key, flow, made)
        column = key.start - line_start(text, key.start)
        colon = text.index(":", key.end) + 1
        rest = text[max(end_of(holder), colon) : line_end(text, max(end_of(holder), colon))].rstrip()
        block = self._ends(write_block(made, levels, column, indent=self._indent(parts)))
        return text[:colon] + ("  " + rest.strip() if rest.strip() else "") + block + text[line_end(text, colon) :]

    def _among(
        self, parts: KeyPath, holder: Node, spots: Sequence[int], at: int, key: str, value: Plain, levels: int
    ) -> str:
        """The text with an entry put before the one at ``at``, or behind the last."""
        text = self._source.text
        if holder.flow:
            new = (f"{key} " if key else "") + write_value(value, True)
            if at < len(spots):
                return text[: spots[at]] + new + ", " + text[spots[at] :]
            return self._added(holder, f"{key} " if key else "", value)
        column = self._column(holder)
        if key:
            new = " " * column + key + write_block(value, levels, column, column + len(key), self._indent(parts))
        else:
            new = " " * column + "-" + write_item(value, levels, column, self._indent(parts))
        end = self._ends("\n")
        airy, many = holder is self._top and self._airy(), "\n" in new
        lead = end if airy and at and (many or self._tall(holder, at - 1)) else ""
        tail = end if airy and at < len(spots) and (many or self._tall(holder, at)) else ""
        new = self._ends(new)
        if at < len(spots) and key and text[line_start(text, spots[at]) : spots[at]].strip():
            return text[: spots[at]] + new.lstrip(" ") + end + " " * column + text[spots[at] :]
        if at < len(spots):
            place = above(text, line_start(text, spots[at]), column)
            if lead and not _ends_blank(text[:place]):
                new = lead + new
            return text[:place] + new + end + tail + text[place:]
        last = line_end(text, end_of(holder))
        return text[:last] + end + lead + new + text[last:]

    def _tall(self, holder: Node, k: int) -> bool:
        """Whether an entry of a table stands on several lines."""
        key, value = holder.pairs[k]
        return "\n" in self._source.text[key.start : max(end_of(value), key.end)].rstrip()

    def _airy(self) -> bool:
        """Whether sections of several lines stand apart in this file; so they do where there is none yet."""
        lines = self._source.text.strip().count("\n") + 1
        return _BLANK.search(self._source.text) is not None or lines <= len(self._top.pairs)

    def _column(self, holder: Node) -> int:
        """Where the keys or the dashes of a table or list in lines stand."""
        first = dash_of(self._source.text, holder.items[0]) if holder.items else holder.pairs[0][0].start
        return first - line_start(self._source.text, first)

    def _indent(self, parts: KeyPath) -> Indent:
        """How the person indents nearest to a key path: what stands in the same list or table, else round it."""
        found: dict[str, int] = {}
        for depth in range(len(parts) - 1, -1, -1):
            node = self._find(list(parts[:depth]))[0]
            for what, columns in indents(self._source.text, node) if node is not None else ():
                found.setdefault(what, columns)
        if "table" in found:
            found.setdefault("dash", found["table"])
        return Indent(**found)

    def _ends(self, text: str) -> str:
        return text.replace("\n", "\r\n") if "\r\n" in self._source.text else text

    def _removed(self, parts: Sequence[str | int], node: Node, key: Node | None, holder: Node) -> str:
        text = self._source.text
        spans = [(start_of(text, item), end_of(item)) for item in holder.items]
        spans = spans or [(k.start, max(end_of(v), k.end)) for k, v in holder.pairs]
        starts = [span[0] for span in spans]
        k = starts.index(key.start if key is not None else start_of(text, node))
        if holder.flow:
            return without_part(text, spans, k, holder.end - 1)
        if len(spans) == 1:
            empty: Plain = [] if holder.items else {}
            holder_key = self._find(parts[:-1])[1]
            if holder is self._top:
                raise JobError(self._cannot(parts, "the last key of a file stays"))
            return self._replaced(holder, holder_key, self._in_flow(parts[:-1]), empty)
        start, end = spans[k]
        if key is None:
            start = dash_of(self._source.text, node)
        column = start - line_start(text, start)
        if text[line_start(text, start) : start].strip():  # it shares the line of a dash with what it stands in
            return self._lifted(spans, k)
        return without_line(text, start, end, column, holder is self._top)

    def _lifted(self, spans: Sequence[tuple[int, int]], k: int) -> str:
        """The text without the first entry of a table behind a dash: the next one takes its place."""
        text = self._source.text
        start, following = spans[k][0], spans[k + 1][0]
        between = text[next_line(text, line_end(text, spans[k][1])) : line_start(text, following)]
        line = line_start(text, start)
        return text[:line] + between + text[line:start] + text[following:]


_BLANK = re.compile(r"\n\r?\n")


def _ends_blank(text: str) -> bool:
    return text.endswith(("\n\n", "\r\n\r\n"))


def _parse(data: bytes, file: str) -> tuple[Source, Node]:
    source, node, problems = read_source(data, file)
    if node is None and problems:
        raise JobError(problems)
    top = need_table(source, node, problems)
    if problems:
        raise JobError(problems)
    return source, top
