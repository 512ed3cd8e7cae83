"""What goes into the ground along a run of wire, for the request to locate, and its labels in ranges."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence

from palewright.model import DigItem, LinePlan
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet

__all__ = ["dig_rows", "label_ranges"]

_LABEL = re.compile(r"([A-Z]+)(\d+)([a-z]?)")


def label_ranges(labels: Iterable[str], to: str = "to") -> list[str]:
    """Labels letter by letter, those that follow one another as a range; parts of one number in brackets.

    >>> label_ranges(["E1", "B1", "P1a", "P1b", "B2", "B3", "P2a", "P2b", "B5", "E2"])
    ['E1, E2', 'B1 to B3, B5', 'P1, P2 (a, b)']
    """
    found: dict[str, dict[int, list[str]]] = {}
    for label in labels:
        match = _LABEL.fullmatch(label)
        letter, number, part = match.groups() if match else (label, "0", "")
        found.setdefault(letter, {}).setdefault(int(number), []).append(part)
    made = []
    for letter, parts in found.items():
        for kind in dict.fromkeys(tuple(parts[number]) for number in parts):
            numbers = sorted(number for number in parts if tuple(parts[number]) == kind)
            text = ", ".join(_range(letter, group, to) for group in _groups(numbers))
            made.append(f"{text} ({', '.join(kind)})" if len(kind) > 1 or kind[0] else text)
    return made


def _groups(numbers: Sequence[int]) -> Iterable[list[int]]:
    for _, group in itertools.groupby(enumerate(numbers), lambda pair: pair[1] - pair[0]):
        yield [number for _, number in group]


def _range(letter: str, group: Sequence[int], to: str) -> str:
    names = [f"{letter}{number or ''}" for number in group]
    return ", ".join(names) if len(names) < 3 else f"{names[0]} {to} {names[-1]}"


def dig_rows(sheet: Sheet, line: LinePlan) -> list[str]:
    """Posts of assemblies and fixed posts that are in no zone in one row; then stretch by stretch, and those in zones.

    A stretch of steel and wood is one row where neither is in a zone.
    """
    mine = [dig for dig in sheet.plan.locate.digs if dig.run == line.run]
    alone = [dig.label for dig in mine if dig.to is None and not dig.zones]
    width = sheet.measures.length(line.rules.number("hole"))
    ranges = "; ".join(label_ranges(alone, sheet("stretches.range_to")))
    rows = [sheet("stretches.dig_each", count=len(alone), labels=ranges, width=width)] if alone else []
    rest = [dig for dig in mine if dig.to is not None or dig.zones]
    for _, group in itertools.groupby(rest, lambda dig: dig.label if dig.to is not None else id(dig)):
        rows += _stretch(sheet, list(group))
    return rows


def _stretch(sheet: Sheet, digs: list[DigItem]) -> list[str]:
    if len(digs) == 1 or any(dig.zones for dig in digs):
        return [_dig(sheet, dig) for dig in digs]
    driven_first = sorted(digs, key=lambda dig: dig.what)
    return [sheet("stretches.dig_row", label=_label(sheet, digs[0]),
                  what="; ".join(_what(sheet, dig) for dig in driven_first))]  # fmt: skip


def _label(sheet: Sheet, dig: DigItem) -> str:
    start, _, end = dig.label.partition("-")
    return sheet("stretches.between", start=start, end=end) if end else start


def _what(sheet: Sheet, dig: DigItem) -> str:
    every = sheet.measures.length(dig.every_m) if dig.every_m is not None else ""
    what = "driven" if dig.what == "driven post" else "hole"
    key = f"stretches.dig_{what}{'' if dig.count == 1 else 's_every' if every else 's'}"
    return sheet(key, count=dig.count, every=every)


def _dig(sheet: Sheet, dig: DigItem) -> str:
    text = sheet("stretches.dig_row", label=_label(sheet, dig), what=_what(sheet, dig))
    zones = ", ".join(short(zone, 40) for zone in dig.zones)
    return sheet("stretches.dig_zone", what=text, zones=zones) if zones else text
