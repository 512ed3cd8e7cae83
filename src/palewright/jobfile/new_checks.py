"""What is wrong with an answer to `palewright new`, in words; "" when nothing is."""

from __future__ import annotations

import re
from collections.abc import Callable

from palewright import notation
from palewright.errors import JobError, NotationError
from palewright.jobfile.calls import read_call
from palewright.jobfile.phrases import read_step
from palewright.jobfile.reading import Reading
from palewright.jobfile.source import Node, Source

__all__ = [
    "any_line",
    "is_calls",
    "is_gate",
    "is_kind",
    "is_length",
    "is_line",
    "is_pasted",
    "is_points",
    "is_rules",
    "is_steps",
    "is_turn",
    "is_wire_kind",
    "one_of",
    "pair_of",
    "pasted_calls",
]


def any_line(answer: str) -> str:
    """One line of text."""
    return "" if answer.isprintable() and len(answer) <= 200 else "one line of text is expected"


def one_of(*words: str) -> Callable[[str], str]:
    """A check for one of some words, spelled here or in America."""
    return lambda answer: (
        "" if answer.replace("neighbor", "neighbour") in words else f"one of {', '.join(words)} is expected"
    )


def is_kind(answer: str) -> str:
    """A kind of fence."""
    from palewright.tables import kind_names

    return one_of(*kind_names())(answer)


def is_wire_kind(answer: str) -> str:
    """A kind of wire fence."""
    from palewright.tables.wire import wire_kind_names

    return one_of(*wire_kind_names())(answer)


def is_rules(answer: str) -> str:
    """Documents of agencies, with commas between them."""
    from palewright.tables.wire import wire_documents

    return next((said for name in answer.split(",") if (said := one_of(*wire_documents())(name.strip()))), "")


def is_length(answer: str) -> str:
    """A length with its unit."""
    try:
        return "" if notation.parse_length(answer).m > 0 else "a length larger than 0 is expected"
    except NotationError as error:
        return error.problems[0].what


def is_gate(answer: str) -> str:
    """A length, or none."""
    return "" if answer == "none" else is_length(answer)


def _said(read: Callable[[Reading, Node, str], object], text: str) -> str:
    reading = Reading(Source(text, ""))
    read(reading, Node("text", 0, len(text), text=text), "")
    return reading.problems[0].what if reading.problems else ""


def is_turn(step: str) -> bool:
    """Whether a step of a walk is a turn and no length."""
    return bool(step) and not step[0].isdigit() and step[0] != "."


def is_steps(answer: str) -> str:
    """Lengths and turns of a walk."""
    steps = [step.strip() for step in answer.split(",")]
    said = next((said for step in steps if (said := _said(read_step, step))), "")
    return said or ("a walk ends with a length" if is_turn(steps[-1]) else "")


def is_line(answer: str) -> str:
    """A walk that begins with a length."""
    return "a line begins with a length" if is_turn(answer.strip()) else is_steps(answer)


def is_pasted(answer: str) -> bool:
    """Whether an answer is a legal description in sentences, and no list of calls."""
    return re.search(r"\bthence\b", answer, re.IGNORECASE) is not None


def pasted_calls(description: str) -> int:
    """How many calls a legal description has. Raises JobError for one that cannot be read."""
    from palewright.jobfile.reader import read_text
    from palewright.jobfile.writing import write_value

    job = read_text(f"palewright: 1\njob: {{title: T}}\nboundary:\n  deed: {write_value(description)}\n")
    assert job.boundary is not None
    return len(job.boundary.calls)


def is_calls(answer: str) -> str:
    """Calls of a deed, or the description that holds them."""
    if is_pasted(answer):
        try:
            return "" if pasted_calls(answer) > 2 else "three calls or more are expected"
        except JobError as error:
            return f"{error.problems[0].what}: {error.problems[0].found}"
    calls = [call.strip() for call in answer.split(";") if call.strip()]
    if len(calls) < 3:
        return "three calls or more are expected"
    return next((said for call in calls if (said := _said(read_call, call))), "")


def pair_of(text: str) -> list[str]:
    """Two lengths with a comma between them."""
    return [part.strip() for part in text.split(",")]


def is_points(answer: str) -> str:
    """Points by coordinates."""
    pairs = [pair_of(part) for part in answer.split(";") if part.strip()]
    if len(pairs) < 2:
        return "two points or more are expected"
    for pair in pairs:
        if len(pair) != 2:
            return "each point is two lengths, east then north"
        try:
            for part in pair:
                notation.parse_length(part, signed=True)
        except NotationError as error:
            return error.problems[0].what
    return ""
