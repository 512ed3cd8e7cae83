"""The ground under a run as it was measured: drops below a level string, or an even slope that somebody vouches for."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from palewright.drafting.desk import Desk, checked_length, refuse
from palewright.drafting.edits import Ground
from palewright.jobfile.writing import Plain

__all__ = ["measured_ground", "said_of_ground"]

_PAIR = re.compile(r"\s*(.+?)\s*[:;=,\t]\s*(.+?)\s*")


def measured_ground(desk: Desk, edit: Ground) -> None:
    """Drops below a string along a run, in place of those from the same point; without any they go."""
    name = edit.run.removeprefix("run ")
    _, run = desk.run(name)
    known = [ref.name for ref in run.through if ref.name] or [called for called in run.call if called]
    if edit.start and edit.start not in known:
        raise desk.unknown(f"point {edit.start}", [f"point {point}" for point in known])
    if edit.falls:
        if not edit.start or edit.end not in known or edit.end == edit.start:
            raise refuse("edit-unusable", "a slope goes from one point of the run to another", edit.end)
        checked_length(desk, edit.falls)
        desk.append("heights", {"falls": edit.falls, "from": edit.start, "to": edit.end, "even": "yes"})
        return
    drops: list[Plain] = [_pair(desk, row) for row in edit.drops if row.strip()]
    k = next((k for k, row in enumerate(_rows(desk)) if _of(row, name, edit.start)), None)
    if drops and len(drops) < 2:
        raise refuse("edit-unusable", "the ground is measured at two places or more", "; ".join(edit.drops))
    if k is not None:
        if drops:
            desk.set(["heights", k, "drops"], drops)
        else:
            desk.remove(["heights", k])
    elif drops:
        start: dict[str, Plain] = {"from": edit.start} if edit.start else {}
        desk.append("heights", {"string": name, **start, "drops": drops})


def _pair(desk: Desk, row: str) -> list[Plain]:
    """One line of what was measured: how far along, and how far down."""
    found = _PAIR.fullmatch(row)
    if found is None:
        raise refuse("edit-unusable", "a line has a distance along the string, a colon, and how far down", row)
    for text in found.groups():
        desk.read(text)
    return [found[1], found[2]]


def _rows(desk: Desk) -> Sequence[Plain]:
    held = desk.document.get(["heights"])
    return held if isinstance(held, Sequence) and not isinstance(held, str) else ()


def _of(row: Plain, run: str, start: str) -> bool:
    return isinstance(row, Mapping) and row.get("string") == run and str(row.get("from") or "") == start


def said_of_ground(desk: Desk, run: str) -> dict[str, str]:
    """What is typed of the ground under a run: by the point that is counted from, a line for each drop."""
    found = {}
    for row in _rows(desk):
        drops = row.get("drops") if isinstance(row, Mapping) and row.get("string") == run else None
        if isinstance(row, Mapping) and isinstance(drops, Sequence) and not isinstance(drops, str):
            pairs = [[str(text) for text in drop] for drop in drops if isinstance(drop, Sequence)]
            found[str(row.get("from") or "")] = "\n".join(": ".join(pair) for pair in pairs)
    return found
