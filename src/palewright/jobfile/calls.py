"""Calls of a deed in the job file, as a line of text or as the table of a curve; and whole deeds, one call a line."""

from __future__ import annotations

import re
from typing import Any

from palewright import notation
from palewright.errors import NotationError, Problem, ProblemError, Where
from palewright.jobfile.reading import MISSING, Reading, Table
from palewright.jobfile.source import Node
from palewright.jobfile.tables import Section
from palewright.jobfile.values import only_text
from palewright.model import Call, CurveCall
from palewright.notation import CallText

__all__ = [
    "MOST_CALLS",
    "CurveTable",
    "as_call",
    "read_bearings",
    "read_call",
    "read_chord",
    "read_deed",
    "read_direction",
]


MOST_CALLS = 2000
"""Most calls of a deed in a file of its own."""


def as_call(read: CallText, text: str, at: Where) -> Call:
    """The record of a call that was read, with its words and its place."""
    curve = None
    if read.curve is not None:
        c = read.curve
        lengths = [None if part is None else part.m for part in (c.radius, c.arc, c.tangent)]
        curve = CurveCall(
            c.side, lengths[0], c.delta, lengths[1], lengths[2], c.degree, c.degree_by, c.station_m, c.radial, c.joins
        )
    length = None if read.length is None else read.length.m
    return Call(text, read.azimuth, length, at, curve, read.closing, read.about, read.north)


def _parse(rd: Reading, text: str) -> CallText:
    return notation.parse_call(text, unit=rd.unit, vara=rd.vara, foot=rd.foot, azimuths=rd.azimuths)


def read_call(rd: Reading, node: Node, path: str) -> Any:
    """A call in one line of text, as a Call."""
    text = only_text(rd, node, path, "a call")
    if text is None:
        return MISSING
    read = rd.notation(lambda part: _parse(rd, part), node, path)
    return as_call(read, " ".join(text.split()), rd.where(node, path)) if isinstance(read, CallText) else MISSING


def read_chord(rd: Reading, node: Node, path: str) -> Any:
    """The chord of a curve: its bearing, its length, or both, as (azimuth [rad] or None, length [m] or None, north)."""
    text = only_text(rd, node, path, "the chord of a curve")
    if text is None:
        return MISSING
    if text.strip()[:1].isdigit():
        length = rd.notation(
            lambda part: notation.parse_length(part, unit=rd.unit, vara=rd.vara, foot=rd.foot), node, path
        )
        return MISSING if length is MISSING else (None, length.m, "")  # type: ignore[union-attr]
    read = rd.notation(lambda part: _parse(rd, part), node, path)
    if not isinstance(read, CallText):
        return MISSING
    if read.azimuth is None or read.curve is not None or read.closing:
        return rd.wrong("wrong-type", "the chord of a curve has a bearing, a length or both", node, path,
                        allowed="S 80°12' W 61.20 ft")  # fmt: skip
    return read.azimuth, None if read.length is None else read.length.m, read.north


def read_direction(rd: Reading, node: Node, path: str) -> Any:
    """A bearing in the azimuths of the boundary [rad]."""
    chord = read_chord(rd, node, path)
    if chord is MISSING:
        return MISSING
    if chord[0] is None or chord[1] is not None:
        return rd.wrong("wrong-type", "a bearing is expected here", node, path, allowed="S 12° E")
    return chord[0]


_NORTHS = ("magnetic", "grid", "true", "assumed", "record")


def read_bearings(rd: Reading, node: Node, path: str) -> Any:
    """What the bearings of a deed are counted from, in words."""
    text = only_text(rd, node, path, "what the bearings are counted from")
    if text is None:
        return MISSING
    words = " ".join(text.split())
    if re.split(r"[ ,]", words)[0].lower() not in _NORTHS:
        return rd.wrong("not-a-choice", "the words begin with the kind of north", node, path,
                        allowed=", ".join(_NORTHS), hint="magnetic 1812; grid, New York East; true")  # fmt: skip
    return words


class CurveTable(Section):
    """The table of a curve call; what is read is a Call."""

    def read(self, rd: Reading, node: Node, path: str) -> Any:
        """A Call."""
        table = Section.read(self, rd, node, path)
        if not isinstance(table, Table) or not table.ok:
            return MISSING
        if table.typed("degree") != table.typed("degree by"):
            return rd.wrong("curve-degree-definition", "a degree of curve is by the arc or by the chord", node, path,
                            allowed="degree: 15°, degree by: arc", hint="the plat says which")  # fmt: skip
        if table.typed("radial to centre") and table.typed("radial from centre"):
            return rd.wrong("curve-part-twice", "one radial bearing is enough", node, path,
                            allowed="radial to centre, or radial from centre")  # fmt: skip
        azimuth, chord_m, north = table.get("chord", (None, None, ""))
        radial = table.get("radial to centre")
        if radial is None and table.has("radial from centre"):
            radial = (table.get("radial from centre") + notation.parse_angle("180°")) % notation.parse_angle("360°")
        curve = CurveCall(
            table.get("curve"), table.get("radius"), table.get("delta"), table.get("arc"), table.get("tangent"),
            table.get("degree"), table.get("degree by", ""), _station(rd), radial, table.get("joins", ""),
        )  # fmt: skip
        text = _words(node)
        return Call(text, azimuth, chord_m, table.at, curve, bool(table.get("to beginning")),
                    bool(table.get("more or less")), north)  # fmt: skip


def _station(rd: Reading) -> float:
    return notation.parse_length("100 ft", foot=rd.foot).m


def _words(node: Node) -> str:
    """The table as a line of text that reads as the same call."""
    typed = {key.text: " ".join(value.text.split()) for key, value in node.pairs}
    parts = []
    for key, value in typed.items():
        if key == "degree":
            parts.append(f"degree {value} by {typed.get('degree by', 'arc')}")
        elif key == "joins":
            parts.append(value)
        elif key in ("to beginning", "more or less"):
            parts += [key] if value in ("yes", "true") else []
        elif key != "degree by":
            parts.append(f"{key} {value}")
    return ", ".join(sorted(parts, key=lambda part: (part == "to beginning", not part.startswith("curve"))))


def read_deed(text: str, file: str = "", unit: str = "") -> tuple[Call, ...]:
    """The calls of a deed, one a line, ``#`` before what is no call; a dash may begin a line as in a job file.

    text
        the lines. file: named in problems. unit: of lengths without one.
    Raises ProblemError with every problem, each at its line.
    """
    calls: list[Call] = []
    problems: list[Problem] = []
    for number, line in enumerate(text.splitlines(), 1):
        typed = re.sub(r"^(\s*)-(\s)", r"\1 \2", line.partition("#")[0].rstrip())
        if not typed.strip():
            continue
        begin = len(typed) - len(typed.lstrip())
        try:
            read = notation.parse_call(typed, unit=unit)
        except NotationError as error:
            for problem in error.problems:
                at, width = problem.where.column, problem.where.width
                if at <= begin:  # the whole line is meant
                    at, width = begin + 1, max(1, len(typed) - begin)
                problems.append(problem.at(Where(file, number, at, width), typed[:200]))
            continue
        calls.append(as_call(read, " ".join(typed.split()), Where(file, number, begin + 1, len(typed) - begin)))
        if len(calls) > MOST_CALLS:
            raise ProblemError(
                Problem("too-many-calls", "a deed of so many calls is taken for another kind of file", calls[-1].at,
                        found=f"more than {MOST_CALLS}", allowed=f"up to {MOST_CALLS} calls")
            )  # fmt: skip
    if problems:
        raise ProblemError(problems)
    return tuple(calls)
