"""Entries of the yard as a JSON file: what the store keeps beside a job, and what a sheet is made from."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from palewright.asbuilt import check_entries, entry_of
from palewright.errors import Problem, ProblemError, Where
from palewright.exchange.records import encoder
from palewright.model import AsBuilt, YardEntry

__all__ = ["MOST_ENTRIES", "YARD_VERSION", "as_built_json", "entries_json", "read_entries"]

YARD_VERSION = 1
MOST_ENTRIES = 1_000_000
_MOST_TOLD = 50
"""Faulty entries beyond so many are counted and not told one by one (our own choice)."""


def as_built_json(built: AsBuilt) -> dict[str, Any]:
    """The fence as built as plain JSON values, in SI, unrounded: records as objects; null is not measured."""
    encode = encoder(AsBuilt)
    assert encode is not None
    made: dict[str, Any] = encode(built)
    return made


def entries_json(entries: Sequence[YardEntry]) -> str:
    """The text of a file of entries: one line for each, so that a person can read it."""
    lines = [json.dumps(_plain(entry), ensure_ascii=False, allow_nan=False) for entry in entries]
    return f'{{"yard": {YARD_VERSION}, "entries": [\n' + ",\n".join(lines) + "\n]}\n"


def _plain(entry: YardEntry) -> dict[str, Any]:
    made = {
        "id": entry.id, "number": entry.number, "device": entry.device, "who": entry.who, "seq": entry.seq,
        "saw": entry.saw, "made": entry.made, "about": entry.about, "what": entry.what, "value": dict(entry.value),
    }  # fmt: skip
    return made | {name: value for name in ("arrived", "by") if (value := getattr(entry, name))}


def read_entries(
    text: str, file: str = "", *, today: date | None = None, known: frozenset[str] | None = None
) -> tuple[tuple[YardEntry, ...], tuple[Problem, ...]]:
    """Entries from the text of their file, and the cautions to be printed with them.

    text
        an object with "yard" and "entries", or the bare list. file: its name, for problems.
    today, known
        as for :func:`palewright.asbuilt.check_entries`.
    Raises ProblemError with every fault: ``yard-not-json``, ``yard-version``, ``yard-too-many``, and of the entries.
    """
    listed = _listed(_parsed(text, file), file)
    entries: list[YardEntry] = []
    problems: list[Problem] = []
    for k, value in enumerate(listed):
        said = f", {value['about']}" if isinstance(value, dict) and isinstance(value.get("about"), str) else ""
        where = Where(file=file, path=f"entries[{k}]", thing=f"entry {k + 1}{said[:60]}")
        try:
            entries.append(entry_of(value, where))
        except ProblemError as error:
            problems.extend(error.problems)
    between = [_placed(problem, file) for problem in check_entries(entries, today, known)]
    problems += [problem for problem in between if problem.severity == "error"]
    if problems:
        raise ProblemError(_few(problems, file))
    return tuple(entries), tuple(between)


def _placed(problem: Problem, file: str) -> Problem:
    return problem.at(Where(file=file, thing=problem.where.thing))


def _few(problems: list[Problem], file: str) -> list[Problem]:
    more = len(problems) - _MOST_TOLD
    if more <= 0:
        return problems
    rest = Problem(
        "yard-more-problems", "there are more problems of the same file", Where(file=file), found=f"{more:,} more"
    )
    return [*problems[:_MOST_TOLD], rest]


def _parsed(text: str, file: str) -> Any:
    try:
        return json.loads(text.removeprefix("\ufeff"), parse_constant=_refuse)
    except json.JSONDecodeError as error:
        raise _not_json(error.msg, Where(file=file, line=error.lineno, column=error.colno)) from None
    except RecursionError:
        raise _not_json("it is nested too deeply", Where(file=file)) from None
    except ValueError as error:
        raise _not_json(str(error), Where(file=file)) from None


def _refuse(word: str) -> float:
    raise ValueError(f"{word} is not a number of JSON")


def _not_json(why: str, where: Where) -> ProblemError:
    hint = "was the file cut off while it was copied? Take it from the device or the store again"
    return ProblemError(Problem("yard-not-json", "this is not a whole JSON document", where, found=why, hint=hint))


def _listed(value: Any, file: str) -> list[Any]:
    allowed = f'an object with "yard": {YARD_VERSION} and "entries": a list; or the list alone'
    listed = value
    if isinstance(value, dict):
        if value.get("yard") != YARD_VERSION:
            found = str(value.get("yard", "none"))[:40]
            what = "these entries are of another version"
            raise ProblemError(Problem("yard-version", what, Where(file=file), found=found, allowed=str(YARD_VERSION)))
        listed = value.get("entries")
    if not isinstance(listed, list):
        found = type(listed).__name__
        raise ProblemError(
            Problem("yard-shape", "there is no list of entries", Where(file=file), found=found, allowed=allowed)
        )
    if len(listed) > MOST_ENTRIES:
        found = f"{len(listed):,} entries"
        what = "there are more entries than a job can have"
        raise ProblemError(
            Problem("yard-too-many", what, Where(file=file), found=found, allowed=f"at most {MOST_ENTRIES:,}")
        )
    return listed
