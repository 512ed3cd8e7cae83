"""Values that are read like a short sentence: calls, steps of a walk, "22 ft from B", "near B", "clear 6 in"."""

from __future__ import annotations

import math
import re
from typing import Any

from palewright import notation
from palewright.errors import NotationError
from palewright.jobfile.reading import MISSING, Entry, Reading, Table, nearest
from palewright.jobfile.source import Node
from palewright.jobfile.tables import Key, Section, unknown_key
from palewright.jobfile.values import Angle, Length, Name, Schema, is_ask, only_text
from palewright.model import Turn

__all__ = [
    "AT_WALL",
    "VERSION",
    "FenceTable",
    "read_along",
    "read_at_wall",
    "read_from",
    "read_hinges",
    "read_risk",
    "read_step",
    "read_version",
]

VERSION = 1


def read_version(rd: Reading, node: Node, path: str) -> Any:
    """The version of the job file."""
    text = only_text(rd, node, path, "the version of the job file")
    if text is None:
        return MISSING
    if text.strip() == str(VERSION):
        return VERSION
    return rd.wrong("version-unknown", "this version of the job file is not known here", node, path,
                    allowed=str(VERSION), hint="a newer Palewright may read it")  # fmt: skip


_SIDES = {"left": 1.0, "right": -1.0}
_STEP_ALLOWED = "18 ft, left, right, left 30°, turns 45° left, inside angle 70° left"
_RIGHT_ANGLE = math.pi / 2
_TURN_FIRST = re.compile(r"(?:turns?\s+)?(left|right)\s+(?:by\s+)?(\S.*)")
_TURN_LAST = re.compile(r"turns?\s+(\S.*?)\s+(?:to the\s+)?(left|right)")
_INSIDE = re.compile(r"inside angle\s+(\S.*?)\s+(?:to the\s+)?(left|right)")
_INSIDE_FIRST = re.compile(r"inside angle\s+(left|right)\s+(\S.*)")
_ANGLE_LIKE = re.compile(r"[°º˚]|\bdeg(rees?)?\b")


def read_step(rd: Reading, node: Node, path: str) -> Any:
    """One step of a walk as a Turn."""
    text = only_text(rd, node, path, "a step of a walk")
    if text is None:
        return MISSING
    at = rd.where(node, path)
    side = _SIDES.get(text.strip())
    if side is not None:
        return Turn(turn=side * _RIGHT_ANGLE, assumed=True, words=text.strip(), at=at)
    turn = _turn(rd, node, path, text)
    if turn is not None:
        return turn if turn is MISSING else Turn(turn=turn, words=" ".join(text.split()), at=at)
    if _ANGLE_LIKE.search(text) or text.startswith("inside angle"):
        return rd.wrong(
            "bare-angle", "an angle has to say what it is and to which side it goes", node, path,
            allowed="turns 110° left, left 110°, inside angle 70° left",
            hint="`inside angle` is the corner seen from the yard; `turns` is how far you turn from straight on",
        )  # fmt: skip
    if text[:1].isalpha():
        close = nearest(text.split()[0], ["left", "right", "turns", "inside angle"])
        return rd.wrong("walk-step", "this step cannot be read", node, path, allowed=_STEP_ALLOWED,
                        hint=f"did you mean `{close}`?" if close else "")  # fmt: skip
    length = Length().read(rd, node, path)
    return MISSING if length is MISSING else Turn(length_m=length, words=" ".join(text.split()), at=at)


def _turn(rd: Reading, node: Node, path: str, text: str) -> Any:
    """The signed turn [rad], MISSING when its angle is wrong, None when the text is no turn."""
    for pattern, side_group, angle_group, inside in (
        (_INSIDE, 2, 1, True),
        (_INSIDE_FIRST, 1, 2, True),
        (_TURN_FIRST, 1, 2, False),
        (_TURN_LAST, 2, 1, False),
    ):
        match = pattern.fullmatch(text.rstrip())
        if match is None:
            continue
        part = match.group(angle_group)
        angle = Angle().read_part(rd, node, path, part, match.start(angle_group))
        if angle is MISSING:
            return MISSING
        return _SIDES[match.group(side_group)] * (math.pi - angle if inside else angle)
    return None


_FROM = re.compile(r"(\S.*?)\s+from\s+(\S.*?)\s*")


def read_from(rd: Reading, node: Node, path: str) -> Any:
    """A place along a run, "22 ft from B", as (length [m], Word)."""
    text = only_text(rd, node, path, "a distance from a point")
    if text is None:
        return MISSING
    match = _FROM.fullmatch(text)
    if match is None:
        return rd.wrong("not-from-a-point", "a distance from a named point is expected here", node, path,
                        allowed="22 ft from B")  # fmt: skip
    length = Length("not negative").read_part(rd, node, path, match.group(1))
    if length is MISSING:
        return MISSING
    return length, rd.part(node, match.start(2), " ".join(match.group(2).split()), path)


def read_along(rd: Reading, node: Node, path: str) -> Any:
    """A place along a run, "22 ft from B" or "B", as (length [m], Word)."""
    text = only_text(rd, node, path, "a point, or a distance from one")
    if text is None:
        return MISSING
    if _FROM.fullmatch(text):
        return read_from(rd, node, path)
    word = Name().read(rd, node, path)
    return word if word is MISSING else (0.0, word)


_HINGES = re.compile(r"(near|far)(?:\s+(?:from\s+)?(\S.*?))?\s*")


def read_hinges(rd: Reading, node: Node, path: str) -> Any:
    """The hinge post, "near B" or "far from B", as ("near" or "far", Word or None)."""
    text = only_text(rd, node, path, "the hinge post")
    if text is None:
        return MISSING
    match = _HINGES.fullmatch(text)
    if match is None:
        return rd.wrong("not-a-choice", "the hinge post is named by a point of the run", node, path,
                        allowed="near B, far from B, near, far")  # fmt: skip
    name = match.group(2)
    return match.group(1), None if name is None else rd.part(node, match.start(2), " ".join(name.split()), path)


AT_WALL = "bracket, post, clear 6 in"


def read_at_wall(rd: Reading, node: Node, path: str) -> Any:
    """How a run ends at a wall, as (how, clear [m])."""
    text = only_text(rd, node, path, "how the run ends at the wall")
    if text is None:
        return MISSING
    words = text.strip()
    if words == "bracket":
        return "bracket", 0.0
    if words == "post":
        return "post at wall", 0.0
    match = re.fullmatch(r"(?:post\s+)?clear\s+(?:by\s+)?(\S.*)", words)
    if match is None:
        return rd.wrong("not-a-choice", "this way to end at a wall is not known", node, path, allowed=AT_WALL)
    skip = match.start(1) + len(text) - len(text.lstrip())
    length = Length().read_part(rd, node, path, match.group(1), skip)
    return MISSING if length is MISSING else ("post clear", length)


class FenceTable(Section):
    """The table of a fence: the keys of the job file, and every other key handed on to the kind of fence.

    What is handed on is flattened with dots and stands in the entry ``*`` of the table, as (key, value, place).
    """

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A Table with the known keys and ``*``."""
        if node.kind != "table":
            return Section.read(self, rd, node, path)
        table = Table(rd.where(node, path), path)
        known = {key.name: key for key in self.keys}
        values: list[tuple[str, Any, Any]] = []
        for number, (key_node, value_node) in enumerate(node.pairs):
            name, here = key_node.text, f"{path}.{key_node.text}"[:200]
            key = known.get(name)
            if key is not None:
                self._read_key(rd, key, value_node, table)
                entry = table.entries[name]
                if name not in _OWN and entry.value is not MISSING:
                    values.extend(_flatten(name, entry))
                continue
            if node.flow and value_node.is_null:
                table.ok = False
                unknown_key(rd, self, node, number, path)
                continue
            if not _hand_on(rd, name, value_node, here, values):
                table.ok = False
        table.entries["*"] = Entry(values, table.at)
        if not table.typed("kind"):
            table.ok = False
            kind: Key = known["kind"]
            rd.wrong_at("missing-key", "`kind` is missing", table.at, hint=f"add `kind: {kind.example}`")
        return table

    def table_schema(self) -> Schema:
        """Open for the keys of the kind."""
        made = Section.table_schema(self)
        return made | {"additionalProperties": {"$ref": "#/$defs/fence-value"}}


_OWN = frozenset({"kind", "kind file", "good side"})


def _flatten(name: str, entry: Entry) -> list[tuple[str, Any, Any]]:
    """The value of a known key, or of each key of a table behind it, as (key, value, place)."""
    if isinstance(entry.value, Table):
        return [
            (f"{name}.{key}", inner.value, inner.at)
            for key, inner in entry.value.entries.items()
            if inner.value is not MISSING
        ]
    return [(name, entry.value, entry.at)]


def _hand_on(rd: Reading, name: str, node: Node, path: str, values: list[tuple[str, Any, Any]]) -> bool:
    """Flatten a value of the kind's own; False after reporting a problem."""
    if node.kind == "bad":
        return False
    if is_ask(node):
        rd.ask(node, path)
        return True
    if node.kind == "table":
        good = True
        for key, value in node.pairs:
            good = _hand_on(rd, f"{name}.{key.text}", value, f"{path}.{key.text}"[:200], values) and good
        return good
    taken = read_any(rd, node, path)
    if taken is not MISSING:
        values.append((name, taken, rd.where(node, path)))
    return taken is not MISSING


def read_risk(rd: Reading, node: Node, path: str) -> Any:
    """A chance between 0 and a half, as a percentage."""
    text = only_text(rd, node, path, "a chance such as 1%")
    if text is None:
        return MISSING
    match = re.fullmatch(r"([0-9]{1,2}(?:\.[0-9]{1,6})?)\s*%", text.strip())
    chance = float(match.group(1)) / 100.0 if match else 0.0
    if not 0.0 < chance < 0.5:
        return rd.wrong("not-a-risk", "a chance that you accept is expected here", node, path,
                        allowed="more than 0% and less than 50%", hint="write it like 1%; leave it out where you do not"
                        " want to choose")  # fmt: skip
    return chance


def read_any(rd: Reading, node: Node, path: str) -> Any:
    """A value of a kind of fence: a length with its unit [m], a share (5%), yes or no; anything else as typed.

    A number without a unit stays text: only the kind knows whether it is a count, a ratio or a trade name.
    """
    text = only_text(rd, node, path, "a length, a number or a word")
    if text is None:
        return MISSING
    text = text.strip()
    if node.plain and text in ("yes", "true", "no", "false"):
        return text in ("yes", "true")
    share = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,6})?)\s*%", text)
    if share:
        return float(share.group(1)) / 100.0
    if not text[:1].isdigit() and text[:1] not in "-−.":
        return text
    try:
        return float(notation.parse_length(text, vara=rd.vara, foot=rd.foot, signed=True).m)
    except NotationError:
        return text
