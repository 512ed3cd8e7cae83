"""Single values: what may stand behind a key, how it is read, and how the JSON Schema says it."""

from __future__ import annotations

import math
import re
from typing import Any, Protocol

from palewright import notation
from palewright.jobfile.reading import MISSING, Reading, Word, nearest
from palewright.jobfile.source import Node
from palewright.model import PointRef
from palewright.record import Record

__all__ = [
    "UNSURE_NAME",
    "Angle",
    "Bearing",
    "Choice",
    "Count",
    "Length",
    "Name",
    "Place",
    "Quantity",
    "Schema",
    "Text",
    "Value",
    "YesNo",
    "check_name",
    "is_ask",
    "only_text",
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


def is_ask(node: Node) -> bool:
    """True for the word ``ask`` without quotes."""
    return node.kind == "text" and node.plain and node.text == "ask"


def only_text(rd: Reading, node: Node, path: str, expected: str) -> str | None:
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


class Text(Record):
    """Words for people."""

    empty: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The words, blanks at both ends taken off."""
        if self.empty and node.is_null:
            return ""
        text = only_text(rd, node, path, self.says())
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


class Name(Record):
    """A name: text with the spelling of the file."""

    skip: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The name and its place; ``_`` or nothing at all where a name may be skipped."""
        if self.skip and (node.is_null or (node.kind == "text" and node.text == "_")):
            return Word("", rd.where(node, path))
        text = only_text(rd, node, path, self.says())
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


class Choice(Record):
    """One of a few words; ``words`` maps what is typed to what the record holds."""

    words: tuple[tuple[str, Any], ...]

    @staticmethod
    def of(*words: str) -> Choice:
        """Words that stand for themselves."""
        return Choice(tuple((word, word) for word in words))

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """What the word stands for."""
        text = only_text(rd, node, path, self.says())
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


class YesNo(Record):
    """``yes`` or ``no``."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """True or False."""
        text = only_text(rd, node, path, self.says())
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


class Count(Record):
    """A whole number from ``least`` to ``most``."""

    least: int = 0
    most: int = 1_000

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The number."""
        text = only_text(rd, node, path, self.says())
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


class Length(Record):
    """A length with its unit. sign: "any", "not negative" or "positive"."""

    sign: str = "positive"

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The length [m]."""
        text = only_text(rd, node, path, self.says())
        if text is None:
            return MISSING
        return self.read_part(rd, node, path, text)

    def read_part(self, rd: Reading, node: Node, path: str, text: str, skip: int = 0) -> Any:
        """A length that is a part of a value [m]."""
        length = rd.notation(lambda part: length_of(rd, part), node, path, text, skip)
        if not isinstance(length, float):
            return MISSING
        if not math.isfinite(length) or abs(length) > _FAR_M:
            return rd.wrong("length-out-of-range", "this length is too large", node, path, allowed="up to 10,000 km",
                            hint="check the unit")  # fmt: skip
        if (length <= 0 and self.sign == "positive") or (length < 0 and self.sign == "not negative"):
            allowed = "more than 0" if self.sign == "positive" else "0 or more"
            hint = "check the sign; leave the key out where there is no such length"
            return rd.wrong("length-out-of-range", "this length is too small", node, path, allowed=allowed, hint=hint)
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


class Angle(Record):
    """An angle in degrees, more than 0 (or 0 too) and less than ``most`` [degrees]."""

    most: float = 180.0
    zero: bool = False

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The angle [rad]."""
        text = only_text(rd, node, path, self.says())
        return MISSING if text is None else self.read_part(rd, node, path, text)

    def read_part(self, rd: Reading, node: Node, path: str, text: str, skip: int = 0) -> Any:
        """An angle that is a part of a value [rad]."""
        angle = rd.notation(notation.parse_angle, node, path, text, skip)
        if not isinstance(angle, float):
            return MISSING
        if angle < 0.0 or (angle == 0.0 and not self.zero) or angle >= math.radians(self.most):
            least = "0° or more" if self.zero else "more than 0°"
            return rd.wrong("angle-out-of-range", "this angle cannot be", node, path,
                            allowed=f"{least} and less than {self.most:g}°")  # fmt: skip
        return angle

    def schema(self) -> Schema:
        """Text with a degree sign."""
        return {"$ref": "#/$defs/angle"}

    def says(self) -> str:
        """What is expected."""
        return "an angle such as 88°30'"


class Quantity(Record):
    """A temperature, a force, an area, ... as :func:`palewright.notation.parse_quantity` reads it."""

    kind: str
    example: str

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The number in SI, a temperature in degrees C."""
        text = only_text(rd, node, path, self.says())
        if text is None:
            return MISSING
        return rd.notation(lambda part: notation.parse_quantity(part, self.kind), node, path, text)

    def schema(self) -> Schema:
        """Text with a unit."""
        return {"type": "string", "description": self.says(), "examples": [self.example]}

    def says(self) -> str:
        """What is expected."""
        return f"a {self.kind} with its unit, such as {self.example}"


class Bearing(Record):
    """A quadrant bearing or an azimuth."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """The azimuth [rad]."""
        text = only_text(rd, node, path, self.says())
        return MISSING if text is None else rd.notation(notation.parse_bearing, node, path, text)

    def schema(self) -> Schema:
        """Text."""
        return {"$ref": "#/$defs/bearing"}

    def says(self) -> str:
        """What is expected."""
        return "a bearing such as N 12°30' E"


class Place(Record):
    """A point by its name, or by coordinates [east, north]. only: "both", "name" or "coordinates"."""

    only: str = "both"

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A PointRef."""
        if node.kind == "list" and self.only != "name":
            return self._coordinates(rd, node, path)
        if node.is_null:
            return rd.wrong("no-value", f"{self.says()} is expected here", node, path)
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
