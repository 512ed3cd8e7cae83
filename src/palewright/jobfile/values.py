"""The readers of values: what may stand behind a key, how it is read, and how the JSON Schema says it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from palewright import notation
from palewright.jobfile.reading import MISSING, Entry, Reading, Table, Word, nearest, shorten
from palewright.jobfile.source import Node
from palewright.model import PointRef

__all__ = [
    "Angle", "Bearing", "Choice", "Count", "Each", "Either", "Free", "Key", "Length", "ListOf", "Name", "Named",
    "Place", "Section", "Text", "Value", "YesNo",
]  # fmt: skip

Schema = dict[str, Any]


class Value(Protocol):
    """What may stand behind a key."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The value, or MISSING after reporting what is wrong."""

    def schema(self) -> Schema:
        """Its JSON Schema."""

    def says(self) -> str:
        """What is expected, in words."""


@dataclass(frozen=True, slots=True)
class Key:
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


def is_ask(node: Node) -> bool:
    """True for the word ``ask`` without quotes."""
    return node.kind == "text" and node.plain and node.text == "ask"


def _text_of(rd: Reading, node: Node, path: str, expected: str) -> str | None:
    """The text of a single value, or None after reporting why it is none."""
    if node.kind == "bad":
        return None
    if node.kind != "text":
        rd.wrong("wrong-type", f"{expected} is expected here", node, path)
        return None
    if node.is_null or not node.text.strip():
        rd.wrong("no-value", f"{expected} is expected here", node, path, hint="write `ask` for what is not known yet")
        return None
    return node.text


@dataclass(frozen=True, slots=True)
class Text:
    """Words for people."""

    empty: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The words, blanks at both ends taken off."""
        if self.empty and node.is_null:
            return ""
        text = _text_of(rd, node, path, self.says())
        return MISSING if text is None else text.strip()

    def schema(self) -> Schema:
        """Any scalar: YAML may take unquoted words for a number."""
        return {"type": ["string", "number", "boolean", "null"] if self.empty else ["string", "number", "boolean"]}

    def says(self) -> str:
        """What is expected."""
        return "text"


UNSURE_NAME = re.compile(
    r"[-+]?(0[0-9_]+|0[xob][0-9A-Fa-f_]+|[0-9][0-9_]*_[0-9_]*|[0-9_]*\.[0-9_]*([eE][-+]?[0-9]+)?|[0-9]+[eE][-+]?[0-9]+"
    r"|\.inf|\.nan|[0-9]+(:[0-9]+)+)|[+-][0-9]+|true|false|null|True|False|Null|TRUE|FALSE|NULL"
)


@dataclass(frozen=True, slots=True)
class Name:
    """A name: text with the spelling of the file."""

    skip: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The name and its place; ``_`` or nothing at all where a name may be skipped."""
        if self.skip and (node.is_null or (node.kind == "text" and node.text == "_")):
            return Word("", rd.where(node, path))
        text = _text_of(rd, node, path, self.says())
        if text is None or not check_name(rd, node, path):
            return MISSING
        return Word(" ".join(text.split()), rd.where(node, path))

    def schema(self) -> Schema:
        """Text, or a whole number."""
        return {"type": ["string", "integer", "null"] if self.skip else ["string", "integer"]}

    def says(self) -> str:
        """What is expected."""
        return "a name"


def check_name(rd: Reading, node: Node, path: str) -> bool:
    """Report a name that other readers of YAML would take for a number or a truth value."""
    if node.plain and UNSURE_NAME.fullmatch(node.text):
        rd.wrong(
            "name-unsure", "this name would be read as a number or a truth value by other programs", node, path,
            hint=f'put it in quotes: "{node.text}"',
        )  # fmt: skip
        return False
    if any(not sign.isprintable() for sign in node.text):
        rd.wrong("name-unsure", "a name stands on one line, without characters that cannot be printed", node, path)
        return False
    return True


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words; ``words`` maps what is typed to what the record holds."""

    words: tuple[tuple[str, Any], ...]

    @staticmethod
    def of(*words: str) -> Choice:
        """Words that stand for themselves."""
        return Choice(tuple((word, word) for word in words))

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """What the word stands for."""
        text = _text_of(rd, node, path, self.says())
        if text is None:
            return MISSING
        for word, value in self.words:
            if word == text.strip():
                return value
        close = nearest(text, [word for word, _ in self.words])
        return rd.wrong(
            "not-a-choice", "this word is not known here", node, path, allowed=self._list(),
            hint=f"did you mean `{close}`?" if close else "",
        )  # fmt: skip

    def schema(self) -> Schema:
        """The words."""
        return {"enum": [int(word) if word.isdigit() else word for word, _ in self.words]}

    def says(self) -> str:
        """What is expected."""
        return f"one of {self._list()}"

    def _list(self) -> str:
        return ", ".join(word for word, _ in self.words)


@dataclass(frozen=True, slots=True)
class YesNo:
    """``yes`` or ``no``."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """True or False."""
        text = _text_of(rd, node, path, self.says())
        if text is None:
            return MISSING
        if text in ("yes", "true"):
            return True
        if text in ("no", "false"):
            return False
        return rd.wrong("not-a-choice", "yes or no is expected here", node, path, allowed="yes, no")

    def schema(self) -> Schema:
        """The words, and what older YAML makes of them."""
        return {"enum": ["yes", "no", True, False]}

    def says(self) -> str:
        """What is expected."""
        return "yes or no"


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number from ``least`` to ``most``."""

    least: int = 0
    most: int = 1_000

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The number."""
        text = _text_of(rd, node, path, self.says())
        if text is None:
            return MISSING
        if not re.fullmatch(r"0|[1-9][0-9]{0,8}", text) or not self.least <= int(text) <= self.most:
            return rd.wrong("not-a-count", "a whole number is expected here", node, path, allowed=self.says())
        return int(text)

    def schema(self) -> Schema:
        """An integer between the limits."""
        return {"type": "integer", "minimum": self.least, "maximum": self.most}

    def says(self) -> str:
        """What is expected."""
        return f"a whole number from {self.least} to {self.most}"


_FAR_M = 1.0e7


@dataclass(frozen=True, slots=True)
class Length:
    """A length with its unit. sign: "any", "not negative" or "positive"."""

    sign: str = "positive"

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The length [m]."""
        text = _text_of(rd, node, path, self.says())
        if text is None:
            return MISSING
        return self.read_part(rd, node, path, text)

    def read_part(self, rd: Reading, node: Node, path: str, text: str, skip: int = 0) -> Any:
        """A length that is a part of a value [m]."""
        length = rd.notation(lambda part: length_of(rd, part), node, path, text, skip)
        if not isinstance(length, float):
            return MISSING
        if not math.isfinite(length) or abs(length) > _FAR_M:
            return rd.wrong("length-out-of-range", "this length is too large", node, path, allowed="up to 10,000 km")
        if (length <= 0 and self.sign == "positive") or (length < 0 and self.sign == "not negative"):
            allowed = "more than 0" if self.sign == "positive" else "0 or more"
            return rd.wrong("length-out-of-range", "this length is too small", node, path, allowed=allowed)
        return length

    def schema(self) -> Schema:
        """Text in tape notation."""
        return {"$ref": "#/$defs/length"}

    def says(self) -> str:
        """What is expected."""
        return "a length with its unit"


def length_of(rd: Reading, text: str) -> float:
    """A length [m] in the units of the job; a minus before it is allowed here and judged by the caller."""
    return notation.parse_length(text, unit=rd.unit, vara=rd.vara, foot=rd.foot, signed=True).m


@dataclass(frozen=True, slots=True)
class Angle:
    """An angle in degrees, more than 0 and less than ``most`` [degrees]."""

    most: float = 180.0

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The angle [rad]."""
        text = _text_of(rd, node, path, self.says())
        return MISSING if text is None else self.read_part(rd, node, path, text)

    def read_part(self, rd: Reading, node: Node, path: str, text: str, skip: int = 0) -> Any:
        """An angle that is a part of a value [rad]."""
        angle = rd.notation(notation.parse_angle, node, path, text, skip)
        if not isinstance(angle, float):
            return MISSING
        if not 0.0 < angle < math.radians(self.most):
            return rd.wrong("angle-out-of-range", "this angle cannot be", node, path,
                            allowed=f"more than 0° and less than {self.most:g}°")  # fmt: skip
        return angle

    def schema(self) -> Schema:
        """Text with a degree sign."""
        return {"$ref": "#/$defs/angle"}

    def says(self) -> str:
        """What is expected."""
        return "an angle such as 88°30'"


@dataclass(frozen=True, slots=True)
class Bearing:
    """A quadrant bearing or an azimuth."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The azimuth [rad]."""
        text = _text_of(rd, node, path, self.says())
        return MISSING if text is None else rd.notation(notation.parse_bearing, node, path, text)

    def schema(self) -> Schema:
        """Text."""
        return {"$ref": "#/$defs/bearing"}

    def says(self) -> str:
        """What is expected."""
        return "a bearing such as N 12°30' E"


@dataclass(frozen=True, slots=True)
class Place:
    """A point by its name, or by coordinates [east, north]. only: "both", "name" or "coordinates"."""

    only: str = "both"

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A PointRef."""
        if node.kind == "list" and self.only != "name":
            return self._coordinates(rd, node, path)
        if self.only == "coordinates":
            if node.kind != "bad":
                rd.wrong("wrong-type", f"{self.says()} is expected here", node, path)
            return MISSING
        word = Name().read(rd, node, path) if node.kind == "text" else MISSING
        if isinstance(word, Word):
            return PointRef(name=word.text, at=word.at)
        if node.kind not in ("text", "bad"):
            rd.wrong("wrong-type", f"{self.says()} is expected here", node, path)
        return MISSING

    def _coordinates(self, rd: Reading, node: Node, path: str) -> Any:
        if len(node.items) != 2:
            return rd.wrong("wrong-type", "coordinates are two lengths", node, path, found=f"{len(node.items)} values",
                            allowed="[east, north]")  # fmt: skip
        pair = [Length("any").read(rd, item, f"{path}[{k}]") for k, item in enumerate(node.items)]
        if MISSING in pair:
            return MISSING
        return PointRef(xy=(pair[0], pair[1]), at=rd.where(node, path))

    def schema(self) -> Schema:
        """A name or two lengths."""
        return {"$ref": f"#/$defs/{'place' if self.only == 'both' else self.only}"}

    def says(self) -> str:
        """What is expected."""
        return {
            "both": "the name of a point, or [east, north]", "name": "the name of a point",
            "coordinates": "[east, north]",
        }[self.only]  # fmt: skip


@dataclass(frozen=True, slots=True)
class ListOf:
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


@dataclass(frozen=True, slots=True)
class Section:
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
                rd.ask(path)
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


def _head(rd: Reading, node: Node, where: Any) -> Any:
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
        before = node.pairs[number - 1][0].text
        hint = f"inside {{ }} a comma begins a new key: put the words of `{before}` in quotes"
    what = f"this key is not known in {section.name}"
    full = f"{path}.{key.text}" if path else key.text
    rd.wrong("unknown-key", what, key, full[:200], allowed=", ".join(names), hint=hint)


@dataclass(frozen=True, slots=True)
class Named:
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
                rd.ask(here)
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


@dataclass(frozen=True, slots=True)
class Either:
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


@dataclass(frozen=True, slots=True)
class Free:
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


def only_text(rd: Reading, node: Node, path: str, expected: str) -> str | None:
    """The text of a single value for readers elsewhere; None after reporting."""
    return _text_of(rd, node, path, expected)


@dataclass(frozen=True, slots=True)
class Each:
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
