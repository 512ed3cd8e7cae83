"""From bytes to a small tree of text, lists and tables, each tied to its place in the file.

YAML 1.2 is read as a stream of events (ruamel.yaml). Anchors, aliases, merge keys, tags, a second document and
a repeated key are refused while the stream runs, before anything is put together, so that an alias bomb costs
nothing. The tree keeps the spelling of every value: ``1.10`` stays ``1.10`` and ``no`` stays ``no``.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

from palewright.errors import JobError, Problem, Where
from palewright.record import Record

__all__ = ["LIMITS", "Node", "Source", "decode", "read_source"]


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
_TAB_INDENT = re.compile(r"^ *\t[ \t]*(?=[^\s#])", re.MULTILINE)
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


def read_source(data: bytes, file: str = "") -> tuple[Source, Node | None, list[Problem]]:
    """Decode and compose a job file.

    data
        the bytes of the file; UTF-8 with or without a byte order mark, any line ends.
    Returns the source, the top node (None where nothing can be read on) and the problems found so far.
    """
    source, problems = decode(data, file)
    if problems:
        return source, None, problems
    top, found = (_kept if len(source.text) <= _KEPT else _compose)(source.text)
    return source, top, [replace(problem, where=replace(problem.where, file=file)) for problem in found]


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


class _Composer:
    """Builds the tree from events and collects what a job file does not allow."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.problems: list[Problem] = []
        self.stack: list[Node] = []
        self.keys: list[Node | None] = []
        self.seen: list[dict[str, Node]] = []
        self.top: Node | None = None
        self.count = 0
        self.documents = 0
        self.not_allowed = 0

    def report(self, slug: str, what: str, start: int, end: int, **more: str) -> None:
        if slug == "yaml-not-allowed":
            self.not_allowed += 1
            if self.not_allowed > LIMITS.not_allowed:
                return
        if len(self.problems) < LIMITS.problems:
            self.problems.append(self.source.problem(slug, what, start, end, **more))

    def found(self) -> list[Problem]:
        """The problems; of anchors, aliases and the like only the first ones, and how many more there are."""
        more = self.not_allowed - LIMITS.not_allowed
        if more <= 0:
            return self.problems
        what = f"{more} more of the anchors, aliases, tags and the like are not shown"
        last = [problem.where for problem in self.problems if problem.slug == "yaml-not-allowed"][-1]
        return [*self.problems, Problem("more-problems", what, where=last)]

    def take(self, event: Any) -> bool:
        """Take one event; False to stop reading."""
        name = type(event).__name__
        start, end = event.start_mark.index, event.end_mark.index
        if name == "DocumentStartEvent":
            return self._document(event, start, end)
        if name in ("ScalarEvent", "AliasEvent", "MappingStartEvent", "SequenceStartEvent"):
            self.count += 1
            if self.count > LIMITS.nodes:
                self.report("too-many-values", "there are too many values in this file", start, end,
                            allowed=f"at most {LIMITS.nodes:,}", hint="is this the right file?")  # fmt: skip
                return False
            node = self._node(name, event, start, end)
            self._add(node)
            if name.endswith("StartEvent"):
                return self._open(node)
        elif name in ("MappingEndEvent", "SequenceEndEvent"):
            node = self.stack.pop()
            self.keys.pop()
            self.seen.pop()
            node.end = end
        return True

    def _document(self, event: Any, start: int, end: int) -> bool:
        self.documents += 1
        if self.documents > 1:
            self.report("second-document", "a job file holds one document", start, end, found="---",
                        hint="put the second job into a file of its own")  # fmt: skip
            return False
        if event.version or event.tags:
            self.report("yaml-not-allowed", "directives are not used in a job file", start, end, found="%",
                        hint="take out the line that begins with %")  # fmt: skip
        return True

    def _node(self, name: str, event: Any, start: int, end: int) -> Node:
        bad = False
        source = self.source.text
        if name == "AliasEvent":
            self.report("yaml-not-allowed", "aliases are not used in a job file", start, end, found=f"*{event.anchor}",
                        hint="write the value out; text that begins with * needs quotes")  # fmt: skip
            return Node("bad", start, end)
        if event.anchor is not None:
            anchor_end = start + len(str(event.anchor)) + 1
            self.report("yaml-not-allowed", "anchors are not used in a job file", start, anchor_end,
                        found=f"&{event.anchor}",
                        hint="write the value out; text that begins with & needs quotes")  # fmt: skip
            bad = True
        if event.ctag is not None:
            self.report("yaml-not-allowed", "tags are not used in a job file", start, end,
                        found=source[start:end].split(None, 1)[0][:40] if end > start else "!",
                        hint="write the value without it; text that begins with ! needs quotes")  # fmt: skip
            bad = True
        if name == "ScalarEvent":
            node = Node("text", start, end, text=event.value, plain=event.style is None)
            key = self.keys[-1] if self.keys else None
            most = LIMITS.deed if key is not None and key.text == "deed" else LIMITS.text
            if len(event.value) > most:
                self.report("text-too-long", "this text is too long", start, end,
                            found=f"{len(event.value):,} characters", allowed=f"at most {most:,}")  # fmt: skip
                bad = True
        else:
            node = Node("table" if name == "MappingStartEvent" else "list", start, end, flow=bool(event.flow_style))
        if bad and node.kind == "text":
            node.kind = "bad"
        return node

    def _open(self, node: Node) -> bool:
        self.stack.append(node)
        self.keys.append(None)
        self.seen.append({})
        if len(self.stack) > LIMITS.depth:
            self.report("too-deep", "lists and tables stand too deep in each other", node.start, node.end,
                        allowed=f"{LIMITS.depth} deep", hint="close the brackets that were opened before")  # fmt: skip
            return False
        return True

    def _add(self, node: Node) -> None:
        if not self.stack:
            self.top = node
            return
        parent = self.stack[-1]
        if parent.kind == "list":
            parent.items.append(node)
            return
        key = self.keys[-1]
        if key is None:
            self.keys[-1] = node
            return
        self.keys[-1] = None
        if node.start == node.end and "\n" in self.source.text[key.end : node.start]:
            node.start = node.end = self.source.text.find(":", key.end) + 1  # nothing stands at its key, not further on
        if self._good_key(key):
            parent.pairs.append((key, node))

    def _good_key(self, key: Node) -> bool:
        if key.kind == "bad":
            return False
        if key.kind != "text":
            self.report("key-not-text", "a key has to be a word, not a list or a table", key.start, key.end)
            return False
        if key.text == "<<" and key.plain:
            self.report("yaml-not-allowed", "merge keys are not used in a job file", key.start, key.end, found="<<",
                        hint="write the values out")  # fmt: skip
            return False
        first = self.seen[-1].get(key.text)
        if first is not None:
            line, column = self.source.place(first.start)
            self.report("duplicate-key", "this key stands twice in the same table", key.start, key.end, found=key.text,
                        hint=f"it stands at line {line}, column {column} already; keep one of them")  # fmt: skip
            return False
        self.seen[-1][key.text] = key
        return True


def _compose(text: str) -> tuple[Node | None, list[Problem]]:
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError

    source = Source(text, "")
    composer, offset = _Composer(source), 0
    try:
        for event in YAML(typ="safe", pure=True).parse(source.text):
            offset = event.end_mark.index
            if not composer.take(event):
                return None, composer.found()
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        index = mark.index if mark is not None else offset
        composer.problems.extend(_not_yaml(source, index, str(error.problem or error.context or "")))
        return None, composer.found()
    except Exception:  # what the parser trips over is the person's text, whatever it raises
        composer.problems.extend(_not_yaml(source, offset, ""))
        return None, composer.found()
    if composer.top is None or composer.top.is_null:
        empty = Problem("empty-file", "the file is empty", hint="`palewright new` writes a first job file")
        return None, [*composer.found(), empty]
    return composer.top, composer.found()


_KEPT = 100_000
_kept = lru_cache(maxsize=32)(_compose)
"""One edit reads its text several times; the trees of the last texts of up to so many characters are kept."""


_SAID: tuple[tuple[str, str, str], ...] = (
    ("cannot start any token", "this character cannot stand at the beginning of a value",
     "put the text in quotes, or take the character out"),
    ("mapping values are not allowed", "there is a second colon in this line, or the line is indented wrongly",
     "put text that holds a colon and a blank in quotes; line up keys of one table"),
    ("could not find expected ':'", "a key without its colon", "write `key: value`"),
    ("expected <block end>", "this line is not indented like its neighbours",
     "line up keys of one table, and dashes of one list, in the same column"),
    ("expected ',' or '}'", "a table in { } is not closed, or a comma is missing",
     "text that holds a comma, a quote at its beginning or a bracket needs quotes"),
    ("expected ',' or ']'", "a list in [ ] is not closed, or a comma is missing",
     "text that holds a comma, a quote at its beginning or a bracket needs quotes"),
    ("found unexpected end of stream", "a quote is not closed", "close it with the same sign"),
    ("found unknown escape character", "a backslash in double quotes", "use single quotes, or write \\\\"),
    ("did not find expected", "the line cannot be read", "is a bracket or a quote left open above?"),
)  # fmt: skip


def _not_yaml(source: Source, index: int, said: str) -> list[Problem]:
    tabs = []
    for match in _TAB_INDENT.finditer(source.text):
        tab = source.text.index("\t", match.start())
        tabs.append(
            source.problem("tab-indent", "a line is indented with a tab", tab, match.end(), hint="indent with blanks")
        )
        if len(tabs) == 20:
            break
    if tabs:
        return tabs
    index = max(0, min(index, len(source.text)))
    what, hint = "the file is not YAML from here on", "compare it with an example of the job file"
    for pattern, words, advice in _SAID:
        if pattern in said:
            what, hint = words, advice
            break
    found = source.text[index : index + 1].strip()
    return [source.problem("not-yaml", what, index, index + 1, found=found, hint=hint)]


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
