"""Deeds as text: a legal description in sentences, in the job file or in a file of its own, or calls one a line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.jobfile.calls import as_call, read_deed
from palewright.jobfile.reading import MISSING, Reading
from palewright.jobfile.source import Node
from palewright.jobfile.values import only_text
from palewright.model import Call, CalledArea, DeedProse, ProseLine
from palewright.record import Record

__all__ = ["DeedText", "read_deed_text", "read_prose_key"]


class DeedText(Record):
    """The calls of a deed, what it says beside them (None: they stood one a line), and the kind of north it names."""

    calls: tuple[Call, ...]
    prose: DeedProse | None = None
    bearings: str = ""


def read_deed_text(text: str, file: str = "", unit: str = "") -> DeedText:
    """A deed in a file: calls one a line, as :func:`read_deed` takes them, or a legal description in sentences.

    text
        of the file. file: named in problems. unit: of lengths without one.
    Raises ProblemError with every problem, each at its line.
    """
    from palewright.boundary import is_prose

    try:
        return DeedText(read_deed(text, file, unit))
    except ProblemError:
        if not is_prose(text):
            raise
    words = "\n".join(line.partition("#")[0] if line.lstrip().startswith("#") else line for line in text.split("\n"))

    def place(problem: Problem) -> Problem:
        return replace(problem, where=replace(problem.where, file=file))

    def where(start: int, end: int) -> Where:
        line = words.count("\n", 0, start)
        return Where(file, line + 1, start - (words.rfind("\n", 0, start) + 1) + 1, max(1, min(end - start, 200)))

    return _deed(words, where, place, unit=unit)


def read_prose_key(rd: Reading, node: Node, path: str) -> Any:
    """A legal description in the job file, as a DeedText."""
    text = only_text(rd, node, path, "a legal description")
    if text is None:
        return MISSING
    raw = _places(rd.source.text[node.start : node.end], text)

    def span(start: int, end: int) -> Where:
        if raw is None:
            return rd.where(node, path)
        return rd.source.where(node.start + raw[start], node.start + raw[max(start, end - 1)] + 1, path)

    lines = [0, *(k + 1 for k, c in enumerate(text) if c == "\n")]

    def place(problem: Problem) -> Problem:
        start = lines[problem.where.line - 1] + problem.where.column - 1 if problem.where.line else 0
        at = span(min(start, len(text) - 1), min(start + problem.where.width, len(text)))
        return problem.at(at, rd.source.excerpt(at))

    try:
        return _deed(text, span, place, unit=rd.unit, vara=rd.vara, foot=rd.foot, azimuths=rd.azimuths)
    except ProblemError as error:
        for problem in error.problems:
            rd.report(problem)
        return MISSING


def _deed(
    text: str, where: Callable[[int, int], Where], place: Callable[[Problem], Problem], **options: str
) -> DeedText:
    """A description as calls and as records to print; ``place`` moves a problem into the file."""
    from palewright.boundary import Options, ProseCall, read_prose

    try:
        prose = read_prose(text, Options(**options))
    except ProblemError as error:
        raise ProblemError([place(problem) for problem in error.problems]) from None

    def line(call: ProseCall) -> ProseLine:
        read = call.read
        length = None if read.length is None else read.length.m
        source = " ".join(text[call.start : call.end].split())
        return ProseLine(source, call.text, read.azimuth, length, call.monument, call.along, call.noted, call.passed,
                         where(call.start, call.end))  # fmt: skip

    def made(call: ProseCall) -> Call:
        read = as_call(call.read, call.text or "to the point of beginning", where(call.start, call.end))
        open_end = read.azimuth is None and read.length_m is None and read.curve is None
        return replace(read, closing=True) if open_end else read

    areas = tuple(
        CalledArea(" ".join(text[area.start : area.end].split()), area.m2, area.within_m2, area.about)
        for area in prose.areas
        if area.called
    )
    shown = DeedProse(
        tuple(line(call) for call in prose.calls),
        tuple(line(call) for call in prose.ties),
        prose.begins,
        prose.commences,
        areas,
        prose.noted,
        prose.passed,
        prose.comes_back,
    )
    return DeedText(tuple(made(call) for call in prose.calls), shown, prose.bearings)


def _places(raw: str, text: str) -> list[int] | None:
    """For each character of a value its place in the spelling of the file; None where the two do not go together.

    Blanks and line ends of a block or a folded value differ from those of the file; other characters do not, but for
    a doubled quote and the escapes of a value in double quotes.
    """
    at = 0
    if raw[:1] in "|>":
        at = raw.find("\n")
    places: list[int] = []
    for char in text:
        if not char.isspace():
            while at < len(raw) and raw[at] != char and (raw[at].isspace() or raw[at] in "'\""):
                at += 1
            if at >= len(raw) or raw[at] != char:
                return None
        places.append(min(at, len(raw) - 1))
        at += not char.isspace() or (at < len(raw) and raw[at].isspace())
    return places
