"""Lists and tables of values, and the line of the key table."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from palewright.errors import Where
from palewright.jobfile.reading import MISSING, Entry, Reading, Table, Word, nearest, shorten
from palewright.jobfile.source import Node
from palewright.jobfile.values import Schema, Value, check_name, is_ask
from palewright.record import Record

__all__ = ["Each", "Either", "Free", "Key", "ListOf", "Named", "Section", "unknown_key"]

_MOST_SAID = 60
"""Longer values than this are not repeated in a hint."""


class Key(Record):
    """A line of the key table.

    name
        as typed in the job file. value: what may stand there. doc: one sentence. example: a value as typed.
    required
        True when the table is of no use without it. ask: True when ``ask`` may stand there.
    """

    name: str
    value: Value
    doc: str
    example: str
    required: bool = False
    ask: bool = False


class ListOf(Record):
    """A list of values; ``exactly`` or at least ``least`` of them. one: a single value may stand without brackets."""

    item: Value
    least: int = 1
    exactly: int = 0
    one: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A list of what could be read; MISSING when an item could not, or when there are too few."""
        if node.kind == "text" and self.one and not node.is_null:
            value = self.item.read(rd, node, path)
            return MISSING if value is MISSING else [value]
        if node.kind != "list":
            if node.kind == "table" or (node.kind == "text" and not node.is_null):
                rd.wrong("wrong-type", f"{self.says()} is expected here", node, path,
                         hint="put it in [ ], or begin each line with a dash")  # fmt: skip
            elif node.kind == "text":
                rd.wrong("no-value", f"{self.says()} is expected here", node, path)
            return MISSING
        if (self.exactly and len(node.items) != self.exactly) or len(node.items) < self.least:
            return rd.wrong("wrong-number", "this list has the wrong number of values", node, path,
                            found=str(len(node.items)), allowed=self.says())  # fmt: skip
        values = [self.item.read(rd, item, f"{path}[{k}]") for k, item in enumerate(node.items)]
        return MISSING if any(value is MISSING for value in values) else values

    def schema(self) -> Schema:
        """An array, or one item."""
        made: Schema = {"type": "array", "items": self.item.schema()}
        if self.exactly:
            made |= {"minItems": self.exactly, "maxItems": self.exactly}
        elif self.least:
            made["minItems"] = self.least
        return {"anyOf": [made, self.item.schema()]} if self.one else made

    def says(self) -> str:
        """What is expected."""
        if self.exactly:
            return f"a list of {self.exactly}"
        return f"a list of {self.least} or more" if self.least > 1 else "a list"


class Section(Record):
    """A table with known keys; ``notes`` are hints for keys that are not among them."""

    name: str
    doc: str
    keys: tuple[Key, ...]
    notes: tuple[tuple[str, str], ...] = ()

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A Table; every key that is not known, not readable or missing is reported."""
        if node.kind == "bad":
            return MISSING
        if node.kind != "table":
            slug = "no-value" if node.is_null else "wrong-type"
            return rd.wrong(slug, f"{self.says()} is expected here", node, path,
                            hint=f"write it as {{{self.keys[0].name}: {self.keys[0].example}}}")  # fmt: skip
        table = Table(rd.where(node, path), path)
        known = {key.name: key for key in self.keys}
        for number, (key_node, value_node) in enumerate(node.pairs):
            key = known.get(key_node.text)
            if key is None:
                table.ok = False
                unknown_key(rd, self, node, number, path)
                continue
            self._read_key(rd, key, value_node, table)
        for key in self.keys:
            if key.required and key.name not in table.entries:
                table.ok = False
                where = rd.where(node, path)
                rd.wrong_at("missing-key", f"`{key.name}` is missing", _head(rd, node, where),
                            hint=f"add `{key.name}: {key.example}`")  # fmt: skip
        return table

    def _read_key(self, rd: Reading, key: Key, node: Node, table: Table) -> None:
        path = f"{table.path}.{key.name}" if table.path else key.name
        at = rd.where(node, path)
        if is_ask(node):
            if key.ask:
                rd.ask(node, path)
                table.entries[key.name] = Entry(MISSING, at, asked=True)
                return
            rd.wrong("cannot-ask", f"`{key.name}` has to be known before anything can be drawn", node, path,
                     allowed=key.value.says())  # fmt: skip
            value: Any = MISSING
        else:
            value = key.value.read(rd, node, path)
        if value is MISSING or (isinstance(value, Table) and not value.ok):
            table.ok = False
        table.entries[key.name] = Entry(value, at)

    def schema(self) -> Schema:
        """A reference; the table itself stands under $defs."""
        return {"$ref": f"#/$defs/{self.name.replace(' ', '-')}"}

    def table_schema(self) -> Schema:
        """The table of keys itself."""
        properties: Schema = {}
        for key in self.keys:
            made = key.value.schema()
            made = {"anyOf": [made, {"const": "ask"}]} if key.ask else made
            properties[key.name] = made | {"description": key.doc, "examples": [key.example]}
        required = [key.name for key in self.keys if key.required]
        made = {"type": "object", "description": self.doc, "properties": properties, "additionalProperties": False}
        return made | {"required": required} if required else made

    def says(self) -> str:
        """What is expected."""
        return f"a table ({self.name})"


def _head(rd: Reading, node: Node, where: Where) -> Where:
    """The place of the first key of a table in lines, where the table itself has no mark of its own."""
    if node.flow or not node.pairs:
        return where
    key = node.pairs[0][0]
    return rd.source.where(key.start, key.end, where.path)


def unknown_key(rd: Reading, section: Section, node: Node, number: int, path: str) -> None:
    """Report a key that is not known, with the nearest spelling; a comma inside words makes keys by accident."""
    key, value = node.pairs[number]
    names = [known.name for known in section.keys]
    close = nearest(key.text, names)
    hint = dict(section.notes).get(key.text) or (f"did you mean `{close}`?" if close else "")
    if node.flow and value.is_null and number and not close:
        before, said = (part.text for part in node.pairs[number - 1])
        hint = f"inside {{ }} a comma begins a new key: put the words of `{before}` in quotes"
        if said[:1].isdigit() and key.text[:1].isdigit() and len(said + key.text) <= _MOST_SAID:
            hint = f"inside {{ }} a comma begins a new key: write `{before}: [{said}, {key.text}]`"
    what = f"this key is not known in {section.name}"
    full = f"{path}.{key.text}" if path else key.text
    rd.wrong("unknown-key", what, key, full[:200], allowed=", ".join(names), hint=hint)


class Named(Record):
    """A table whose keys are names the person chose."""

    value: Value
    what: str
    ask: bool = False
    numbers: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A list of (Word, value); a value that could not be read is MISSING, its name is still there."""
        if node.kind == "bad":
            return MISSING
        if node.kind != "table":
            slug = "no-value" if node.is_null else "wrong-type"
            return rd.wrong(slug, f"{self.says()} is expected here", node, path)
        result: list[tuple[Word, Any]] = []
        for key, value in node.pairs:
            name = " ".join(key.text.split())
            here = f"{path}.{name}"
            if not name:
                rd.wrong("no-value", "a name is expected here", key, path)
                continue
            if not check_name(rd, key, here[:200]):
                continue
            word = Word(name, rd.where(key, here))
            if self.ask and is_ask(value):
                rd.ask(value, here)
                result.append((word, MISSING))
                continue
            result.append((word, self.value.read(rd, value, here)))
        return result

    def schema(self) -> Schema:
        """An object with free keys."""
        made = self.value.schema()
        return {"type": "object", "additionalProperties": {"anyOf": [made, {"const": "ask"}]} if self.ask else made}

    def says(self) -> str:
        """What is expected."""
        return f"a table of {self.what}"


class Either(Record):
    """Different values by their shape: text, list or table."""

    text: Value | None = None
    list: Value | None = None
    table: Value | None = None

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The value of the reader that fits the shape."""
        if node.kind == "bad":
            return MISSING
        reader: Value | None = {"text": self.text, "list": self.list, "table": self.table}[node.kind]
        if reader is None:
            return rd.wrong("wrong-type", f"{self.says()} is expected here", node, path)
        return reader.read(rd, node, path)

    def schema(self) -> Schema:
        """Any of them."""
        return {"anyOf": [part.schema() for part in (self.text, self.list, self.table) if part is not None]}

    def says(self) -> str:
        """What is expected."""
        return ", or ".join(part.says() for part in (self.text, self.list, self.table) if part is not None)


class Free(Record):
    """A value with a reader of its own: a call, a step of a walk, a place of a gate."""

    name: str
    reader: Callable[[Reading, Node, str], Any]
    words: str

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """What the reader makes of it."""
        if node.kind == "bad":
            return MISSING
        return self.reader(rd, node, path)

    def schema(self) -> Schema:
        """A reference."""
        return {"$ref": f"#/$defs/{self.name}"}

    def says(self) -> str:
        """What is expected."""
        return self.words


class Each(Record):
    """A list of tables that is read as far as possible: one that is wrong does not hide the others."""

    section: Section
    least: int = 1

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A list of Table."""
        if node.kind == "bad":
            return MISSING
        if node.kind != "list":
            if node.is_null:
                return rd.wrong("no-value", f"{self.says()} is expected here", node, path)
            return rd.wrong("wrong-type", f"{self.says()} is expected here", node, path, found=shorten(node),
                            hint="begin each one with a dash")  # fmt: skip
        if len(node.items) < self.least:
            return rd.wrong("wrong-number", "this list is empty", node, path, found="0", allowed=self.says())
        tables = [self.section.read(rd, item, f"{path}[{k}]") for k, item in enumerate(node.items)]
        return [table for table in tables if table is not MISSING]

    def schema(self) -> Schema:
        """An array of tables."""
        return {"type": "array", "items": self.section.schema(), "minItems": self.least}

    def says(self) -> str:
        """What is expected."""
        return f"a list of tables ({self.section.name})"
