"""Entries of many devices into one state: what nobody overrode, and where two disagree."""

from __future__ import annotations

import json
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping

from palewright.model import Yard, YardEntry, YardMissing, YardNote, YardPhoto, YardSaid, YardState
from palewright.record import Record

__all__ = ["fold"]

_SAME_PLACES = 5
"""Values are one value when they agree to a hundredth of a millimetre: far below any tape's mark (our own choice)."""

_SAME_MM, _SAME_POST_MM = 13.0, 150.0
"""Within half an inch a thing is where it was when something was read there; within 6 in it is the same post, and set
as deep (our own choice)."""

_OF_A_POST = frozenset({"done", "measured.depth_m", "note", "photo"})


class _Given(Record):
    """One value of one entry, and how much that entry is sure to have seen."""

    entry: YardEntry
    saw: int
    value: float | bool | str | None


def fold(entries: Iterable[YardEntry], places: Mapping[str, tuple[float, ...]] | None = None) -> Yard:
    """What is known after all entries, whatever order they come in.

    places
        what the plan says of things now (:func:`~palewright.asbuilt.planned_places`); None: entries are not compared
        with it. What was entered of a post, bay or check that was elsewhere then does not count: numbers move.

    An entry overrides one of the same field that it saw (its number is not above ``saw``), or that its own device made
    before. What nobody overrode counts; where such values differ nobody guesses: the field is a conflict until an entry
    is made that saw both. Clocks are never looked at. The same entry sent twice is one. An entry that claims to have
    seen more than it can (its own number, or more than its device knew later) is taken to have seen only what it can.
    What another session sent under the name of a device is not that device's own: it overrides what it saw, no more.
    """
    kept = _once(entries)
    saw = _seen(kept)
    fields: dict[tuple[str, str], list[_Given]] = defaultdict(list)
    notes, photos = [], []
    gone: dict[str, None] = {}
    for entry in sorted(kept, key=_arrived):
        off = _elsewhere(entry, places)
        if entry.what == "note":
            note = str(entry.value.get("text", "")), entry.who, entry.device, entry.made
            notes.append(YardNote(entry.about, *note, off > _SAME_POST_MM))
        elif entry.what == "photo":
            photo, shows = str(entry.value.get("photo", "")), str(entry.value.get("shows", ""))
            photos.append(YardPhoto(entry.about, photo, shows, entry.who, entry.made, off > _SAME_POST_MM))
        else:
            for field, value in _fields(entry):
                if off > (_SAME_POST_MM if field in _OF_A_POST else _SAME_MM):
                    gone[entry.about] = None
                    continue
                fields[entry.about, field].append(_Given(entry, saw[_author(entry), entry.seq, entry.id], value))
    states = tuple(_state(about, field, given) for (about, field), given in sorted(fields.items()))
    return Yard(states, tuple(notes), tuple(photos), _missing(kept), tuple(gone))


def _elsewhere(entry: YardEntry, places: Mapping[str, tuple[float, ...]] | None) -> float:
    """How far what an entry is about is now from where the plan had it when it was made [mm]; 0 where none said."""
    now, then = (places or {}).get(entry.about), entry.value.get("place")
    if now is None or not isinstance(then, str):
        return 0.0
    try:
        was = [float(part) for part in then.split(",")]
    except ValueError:
        return 0.0
    if len(was) != len(now):
        return math.inf
    return max(abs(one - 1000.0 * two) for one, two in zip(was, now, strict=True))


def _once(entries: Iterable[YardEntry]) -> list[YardEntry]:
    """Each entry once, with the number of its first arrival; by device and in the order that the device made them."""
    found: dict[tuple[object, ...], YardEntry] = {}
    for entry in entries:
        said = json.dumps(dict(entry.value), sort_keys=True, default=str)
        key = (entry.device, entry.seq, entry.id, entry.who, entry.saw, entry.made, entry.about, entry.what, said)
        first = found.get(key)
        if first is None or 0 < entry.number < (first.number or entry.number + 1):
            found[key] = entry
    return sorted(found.values(), key=lambda e: (*_author(e), e.seq, e.id, e.about, e.what, str(e.value)))


def _author(entry: YardEntry) -> tuple[str, str]:
    """The device that an entry says it is from, and the session that sent it."""
    return entry.device, entry.by


def _seen(entries: list[YardEntry]) -> dict[tuple[tuple[str, str], int, str], int]:
    """How much every entry can have seen: less than its own number, and no more than its device knew later."""
    seen: dict[tuple[tuple[str, str], int, str], int] = {}
    author, least = None, 0
    for entry in reversed(entries):
        if _author(entry) != author:
            author, least = _author(entry), entry.saw
        least = min(least, entry.saw, entry.number - 1 if entry.number else entry.saw)
        seen[_author(entry), entry.seq, entry.id] = least
    return seen


def _fields(entry: YardEntry) -> list[tuple[str, float | bool | str | None]]:
    value = {key: one for key, one in entry.value.items() if key != "place"}
    string = value.pop("string", "") if entry.what == "measured" else ""
    at = f"@{string}" if string else ""
    if entry.what == "done":
        return [("done", value.get("done"))]
    return [(f"{entry.what}.{key}{at}", value[key]) for key in sorted(value)]


def _state(about: str, field: str, given: list[_Given]) -> YardState:
    heads: list[_Given] = []
    earlier: list[_Given] = []
    last: dict[tuple[str, str], int] = {}
    most: dict[tuple[str, str], int] = {}
    for one in given:
        author = _author(one.entry)
        last[author] = max(last.get(author, one.entry.seq), one.entry.seq)
        most[author] = max(most.get(author, 0), one.saw)
    ranked = sorted(most.items(), key=lambda item: -item[1])[:2]
    for one in given:
        own = _author(one.entry)
        others = next((saw for author, saw in ranked if author != own), 0)
        overridden = one.entry.seq < last[own] or 0 < one.entry.number <= others
        (earlier if overridden else heads).append(one)
    values = {_key(one.value) for one in heads}
    conflict = len(values) > 1
    value = None if conflict or not heads else heads[0].value
    heads.sort(key=lambda one: (*_author(one.entry), one.entry.seq))
    return YardState(
        about, field, value, conflict, _said(heads), _said(sorted(earlier, key=lambda one: _arrived(one.entry)))
    )


def _key(value: float | bool | str | None) -> tuple[str, object]:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return (type(value).__name__, value)
    return ("number", round(float(value), _SAME_PLACES))


def _arrived(entry: YardEntry) -> tuple[bool, int, str, int]:
    """In order of arrival, what has not arrived last."""
    return (entry.number == 0, entry.number, entry.device, entry.seq)


def _said(given: list[_Given]) -> tuple[YardSaid, ...]:
    return tuple(
        YardSaid(
            one.value, one.entry.id, one.entry.who, one.entry.device, one.entry.made, one.entry.number, one.entry.by
        )
        for one in given
    )


def _missing(entries: list[YardEntry]) -> tuple[YardMissing, ...]:
    """Gaps in what each device counted, from 1."""
    found, device, next_one = [], None, 1
    for entry in sorted(entries, key=lambda e: (e.device, e.seq)):
        if entry.device != device:
            device, next_one = entry.device, 1
        if entry.seq > next_one:
            found.append(YardMissing(entry.by or entry.device, next_one, entry.seq - 1))
        next_one = max(next_one, entry.seq + 1)
    return tuple(found)
