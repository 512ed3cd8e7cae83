"""Entries as they come from outside: every fault named, and what only shows between entries."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.model import YardEntry

__all__ = ["EARLIEST", "check_entries", "entry_of"]

EARLIEST = date(2020, 1, 1)
"""A clock that shows an earlier day is taken to be wrong (our own choice): the program is younger."""

_MOST_TEXT, _MOST_NAME = 2_000, 200
_MOST_COUNT = 10_000_000
_PHOTO = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
_WHY = ("rock", "root", "pipe", "other")

_Check = Callable[[Any], str]
"""What is allowed, where a value is not; "" where it is."""


def _length(low: float, high: float) -> _Check:
    def check(value: Any) -> str:
        good = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
        return "" if good and low <= value <= high else f"a length in metres from {low:g} to {high:g}"

    return check


def _text(value: Any) -> str:
    return "" if isinstance(value, str) and len(value) <= _MOST_TEXT else f"a text of at most {_MOST_TEXT:,} letters"


def _name(value: Any) -> str:
    return "" if isinstance(value, str) and 0 < len(value) <= _MOST_NAME else f"a name of 1 to {_MOST_NAME} letters"


def _yes(value: Any) -> str:
    return "" if isinstance(value, bool) else "true or false"


def _photo(value: Any) -> str:
    return "" if isinstance(value, str) and _PHOTO.fullmatch(value) else "the id of a photo: letters, digits, - and _"


def _why(value: Any) -> str:
    return "" if value in _WHY and isinstance(value, str) else ", ".join(_WHY)


def _count(value: Any) -> str:
    good = isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _MOST_COUNT
    return "" if good else f"a whole number from 0 to {_MOST_COUNT:,}"


def _clock(value: Any) -> str:
    try:
        datetime.fromisoformat(value)
    except (TypeError, ValueError):
        return "a day and a time, for instance 2026-05-04T08:12:00-05:00"
    return ""


_ENTRY: Mapping[str, _Check] = {
    "id": _name, "device": _name, "who": _text, "seq": _count, "saw": _count, "made": _clock, "about": _name,
}  # fmt: skip
_WHAT: Mapping[str, Mapping[str, _Check]] = {
    "done": {"done": _yes},
    "measured": {
        "offset_m": _length(0, 100), "depth_m": _length(0, 10), "back_m": _length(-30, 30),
        "aside_m": _length(-30, 30), "string": _text,
    },
    "moved": {"along_m": _length(-30, 30), "why": _why},
    "note": {"text": _text},
    "photo": {"photo": _photo, "shows": _text},
    "checked": {"reads_m": _length(0, 10_000)},
    "gate": {"clear_m": _length(0, 100), "latch_m": _length(0, 10)},
    "gap": {"worst_m": _length(0, 10)},
    "length": {"built_m": _length(0, 1_000_000)},
    "panel": {"remade": _yes, "width_m": _length(0, 100)},
    "ticket": {"closed": _yes, "number": _text},
    "signed": {"name": _text, "photo": _photo},
}  # fmt: skip
_PLACE: Mapping[str, _Check] = {"place": _text}
_NEEDED = {"note": "text", "photo": "photo"}


def entry_of(value: object, where: Where | None = None) -> YardEntry:
    """One entry from plain JSON values.

    where
        of the entry, for what is said of it. Lengths are metres; a value of null takes back what was measured.
    Raises ProblemError with every fault of the entry at once.
    """
    where = where or Where(thing="entry")
    if not isinstance(value, Mapping):
        raise ProblemError(
            _problem("yard-entry-shape", "an entry is an object", where, value, "an object with " + _keys())
        )
    problems = _outside(value, where)
    number = value.get("number", 0)
    if allowed := _count(number):
        problems.append(_problem("yard-entry-value", "number of an entry cannot be", where, number, allowed))
    what, said = value.get("what"), value.get("value")
    if not isinstance(what, str) or what not in _WHAT:
        problems.append(_problem("yard-entry-what", "nobody knows what an entry says", where, what, ", ".join(_WHAT)))
    elif not isinstance(said, Mapping):
        problems.append(_problem("yard-entry-shape", "value of an entry is an object", where, said, _allowed(what)))
    else:
        problems += _said(what, said, where)
    if problems:
        raise ProblemError(problems)
    assert isinstance(said, Mapping)
    arrived, by = value.get("arrived", ""), value.get("by", "")
    return YardEntry(
        id=str(value["id"]),
        device=str(value["device"]),
        who=str(value["who"]),
        seq=int(value["seq"]),
        saw=int(value["saw"]),
        made=str(value["made"]),
        about=str(value["about"]),
        what=str(what),
        value=dict(said),
        number=int(number),
        arrived=arrived if isinstance(arrived, str) else "",
        by=by if isinstance(by, str) and len(by) <= _MOST_NAME else "",
    )


def _outside(value: Mapping[Any, Any], where: Where) -> list[Problem]:
    """Faults in what every entry has."""
    problems = []
    for key, check in _ENTRY.items():
        if key not in value:
            problems.append(_problem("yard-entry-shape", f"an entry has no {key}", where, "nothing", _keys()))
        elif allowed := check(value[key]):
            problems.append(_problem("yard-entry-value", f"{key} of an entry cannot be", where, value[key], allowed))
    return problems


def _said(what: str, said: Mapping[Any, Any], where: Where) -> list[Problem]:
    """Faults in what an entry says."""
    problems = []
    needed = _NEEDED.get(what)
    if not said.keys() - _PLACE.keys() or (needed and not said.get(needed)):
        problems.append(
            _problem("yard-entry-shape", f"an entry of {what} says nothing", where, dict(said), _allowed(what))
        )
    for key, value in said.items():
        check = (_PLACE.get(key) or _WHAT[what].get(key)) if isinstance(key, str) else None
        if check is None:
            hint = "lengths are given in metres, and their names end in _m"
            problems.append(
                _problem("yard-entry-key", f"an entry of {what} has no such key", where, key, _allowed(what), hint)
            )
        elif value is not None and (allowed := check(value)):
            hint = "convert it to metres: 2 ft is 0.6096" if key.endswith("_m") else ""
            at = replace(where, path=key)
            problems.append(_problem("yard-entry-value", f"{key} of an entry cannot be", at, value, allowed, hint))
    return problems


def _keys() -> str:
    return ", ".join((*_ENTRY, "what", "value"))


def _allowed(what: str) -> str:
    return ", ".join(_WHAT[what])


def _problem(slug: str, what: str, where: Where, found: object, allowed: str, hint: str = "") -> Problem:
    text = found if isinstance(found, str) and found.strip() else repr(found)
    return Problem(slug, what, where, found=text[:80] + ("..." if len(text) > 80 else ""), allowed=allowed, hint=hint)


# ---------------------------------------------------------------- between entries


def check_entries(
    entries: Sequence[YardEntry], today: date | None = None, known: frozenset[str] | None = None
) -> tuple[Problem, ...]:
    """What is wrong between entries.

    today
        the present day unless given. known: what entries may be about; None: not looked at.
    An id that says two things, and two entries of a device with one count, are errors. A count that is missing, a clock
    that cannot be right, an entry that claims to have seen itself, and one about something that the plan does not have
    are cautions: nobody's day is thrown away for them.
    """
    return (
        *_twice(entries),
        *_gaps(entries),
        *_clocks(entries, today or date.today()),
        *_later(entries),
        *(_strangers(entries, known) if known is not None else ()),
    )


def _content(entry: YardEntry) -> tuple[object, ...]:
    said = json.dumps(dict(entry.value), sort_keys=True, default=str)
    return (entry.device, entry.who, entry.seq, entry.saw, entry.made, entry.about, entry.what, said)


def _twice(entries: Iterable[YardEntry]) -> list[Problem]:
    problems = []
    ids: dict[str, tuple[object, ...]] = {}
    counts: dict[tuple[str, str, int], str] = {}
    for entry in entries:
        where = Where(thing=f"entry {entry.id}")
        content = _content(entry)
        if ids.setdefault(entry.id, content) != content:
            problems.append(
                Problem(
                    "yard-id-twice",
                    "one id stands for two different entries",
                    where,
                    found=f"{entry.what} of {entry.about}",
                    allowed="an id of its own for every entry",
                    hint="take the file from the device again",
                )
            )
        elif counts.setdefault((entry.device, entry.by, entry.seq), entry.id) != entry.id:
            problems.append(
                Problem(
                    "yard-seq-twice",
                    "a device gave one count to two entries",
                    where,
                    found=f"seq {entry.seq} of {entry.device}",
                    allowed="a count of its own for every entry of a device",
                    hint="two devices may be using one name: pair one of them again",
                )
            )
    return problems


def _gaps(entries: Iterable[YardEntry]) -> list[Problem]:
    counts: dict[str, set[int]] = {}
    for entry in entries:
        counts.setdefault(entry.device, set()).add(entry.seq)
    problems = []
    for device, seen in sorted(counts.items()):
        gone = max(seen) - len(seen - {0})
        if gone > 0:
            first = next(k for k in range(1, max(seen)) if k not in seen)
            problems.append(
                Problem(
                    "yard-seq-gap",
                    f"entries of a device have not arrived ({gone:,})",
                    Where(thing=f"device {device}"),
                    "caution",
                    found=f"no entry {first}, but one with {max(seen)}",
                    allowed="1, 2, 3 ... without gaps",
                    hint="send again from that device; until then what it says there is not known",
                )
            )
    return problems


def _clocks(entries: Iterable[YardEntry], today: date) -> list[Problem]:
    wrong: dict[str, list[str]] = {}
    for entry in entries:
        try:
            day = datetime.fromisoformat(entry.made).date()
            good = EARLIEST <= day <= today + timedelta(days=2)
        except (TypeError, ValueError, OverflowError):
            good = False
        if not good:
            wrong.setdefault(entry.by or entry.device, []).append(entry.made)
    return [
        Problem(
            "yard-clock",
            f"the clock of a device cannot be right ({len(made):,} entries)",
            Where(thing=f"device {device}"),
            "caution",
            found=made[0][:40],
            allowed=f"a day from {EARLIEST} to {today}",
            hint="set its clock; entries are not put in order by clocks, so nothing is lost",
        )
        for device, made in sorted(wrong.items())
    ]


def _later(entries: Iterable[YardEntry]) -> list[Problem]:
    return [
        Problem(
            "yard-saw-later",
            "an entry claims to have seen what came after it",
            Where(thing=f"entry {entry.id}"),
            "caution",
            found=f"number {entry.number}, saw {entry.saw}",
            allowed="saw below number",
            hint="it is taken to have seen only what came before it",
        )
        for entry in entries
        if 0 < entry.number <= entry.saw
    ]


def _strangers(entries: Iterable[YardEntry], known: frozenset[str]) -> list[Problem]:
    counts: dict[str, int] = {}
    for entry in entries:
        if entry.about not in known:
            counts[entry.about] = counts.get(entry.about, 0) + 1
    return [
        Problem(
            "yard-about-unknown",
            "entries are about something that the plan does not have",
            Where(thing=about[:60]),
            "caution",
            found=f"{about[:60]} ({count:,} {'entry' if count == 1 else 'entries'})",
            allowed=_examples(about, known),
            hint="was the job planned anew after the day in the yard? They are kept, and not used",
        )
        for about, count in sorted(counts.items())
    ]


def _examples(about: str, known: frozenset[str]) -> str:
    """Names of the same sort, a few of them."""
    sort = about.partition(" ")[0]
    alike = sorted((name for name in known if name.partition(" ")[0] == sort), key=lambda name: (len(name), name))
    names = alike or sorted({name.partition(" ")[0] for name in known})
    return ", ".join([*names[:3], "...", *names[-1:]] if len(names) > 5 else names)
