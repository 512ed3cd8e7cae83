"""From the text of a job file to its tree.

YAML 1.2 is read as a stream of events (ruamel.yaml). Anchors, aliases, merge keys, tags, a second document and
a repeated key are refused while the stream runs, before anything is put together, so that an alias bomb costs
nothing. The tree keeps the spelling of every value: ``1.10`` stays ``1.10`` and ``no`` stays ``no``.
"""

from __future__ import annotations

import re
import threading
from collections import OrderedDict
from dataclasses import replace
from typing import Any

from palewright.errors import Problem
from palewright.jobfile.source import LIMITS, Node, Source, decode

__all__ = ["read_source"]

_TAB_INDENT = re.compile(r"^ *\t[ \t]*(?=[^\s#])", re.MULTILINE)
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


def read_source(data: bytes, file: str = "") -> tuple[Source, Node | None, list[Problem]]:
    """Decode and compose a job file.

    data
        the bytes of the file; UTF-8 with or without a byte order mark, any line ends.
    Returns the source, the top node (None where nothing can be read on) and the problems found so far.
    """
    source, problems = decode(data, file)
    if problems:
        return source, None, problems
    top, found = _kept.compose(source.text)
    return source, top, [replace(problem, where=replace(problem.where, file=file)) for problem in found]


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


class _Kept:
    """The trees of the last texts: one edit reads its text several times, and twenty jobs may be edited in turn."""

    LONGEST, ALL = 100_000, 1_000_000
    """Characters of one text and of all together; a tree takes some 60 bytes for each."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._trees: OrderedDict[str, tuple[Node | None, list[Problem]]] = OrderedDict()
        self._size = 0

    def compose(self, text: str) -> tuple[Node | None, list[Problem]]:
        if len(text) > self.LONGEST:
            return _compose(text)
        with self._lock:
            if text in self._trees:
                self._trees.move_to_end(text)
                return self._trees[text]
        made = _compose(text)
        with self._lock:
            self._size += 0 if text in self._trees else len(text)
            self._trees[text] = made
            while self._size > self.ALL:
                self._size -= len(self._trees.popitem(last=False)[0])
        return made


_kept = _Kept()


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
