"""What was found at a corner of the property, as typed in a form, and what of a thing is typed in the job file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from palewright.drafting.desk import Desk, refuse
from palewright.drafting.edits import Evidence
from palewright.drafting.grounding import said_of_ground
from palewright.drafting.things import things_of
from palewright.jobfile.writing import Plain

__all__ = ["say_evidence", "typed"]

_KEYS = ("what", "size", "cap", "stamp", "matches record", "stands off", "rests on", "who", "when")
_NEEDS_PIN = ("matches record", "stands off")
_FIELDS = {"matches record": "matches", "stands off": "stands_off", "rests on": "rests_on"}
_OF_POINT = ("found", "matches record")


def say_evidence(desk: Desk, edit: Evidence) -> None:
    """What was found at a corner, in place of all that was said of it; with nothing given it is record only again."""
    name = edit.about.removeprefix("corner ")
    ring = desk.site.ring
    known = [corner.name for corner in ring.corners] if ring is not None else []
    if name not in known:
        raise desk.unknown(edit.about, [f"corner {corner}" for corner in known])
    before = _typed(desk, name)
    given = {key: " ".join(getattr(edit, _FIELDS.get(key, key)).split()) for key in _KEYS}
    pin = any(given[key] for key in _KEYS[:4])
    if not pin and any(given[key] for key in _NEEDS_PIN):
        raise refuse("edit-unusable", "say first what was found", edit.about, path=f"boundary.corners.{name}")
    words = "found" if "found" in before and "what" not in before else "what"
    row = {words if key == "what" else key: value for key, value in given.items() if value}
    for key in _OF_POINT:
        if desk.document.get(["points", name, key]) is not None:
            desk.remove(["points", name, key])
    _put(desk, name, before, row)


def _put(desk: Desk, name: str, before: Mapping[str, str], row: dict[str, str]) -> None:
    """The corner in the table of the boundary: key by key where it is a table already, so that comments stay."""
    path: list[str | int] = ["boundary", "corners", name]
    held = desk.document.get(path)
    if not isinstance(held, Mapping):
        table = desk.document.get(path[:-1])
        value: Plain = dict(row) if row else "record only"
        if table is None and row:
            desk.set(path[:-1], {name: value})
        elif row or held is not None:
            desk.set(path, value)
        return
    for key, value in row.items():
        if before.get(key) != value:
            desk.set([*path, key], value)
    for key in (*_KEYS, "found"):
        if key in held and key not in row:
            desk.remove([*path, key])


def _typed(desk: Desk, name: str) -> dict[str, str]:
    """What is typed of a corner, at its point and in the table of the boundary."""
    rows = [desk.document.get(["points", name]), desk.document.get(["boundary", "corners", name])]
    known: dict[str, str] = {}
    for row, keys in zip(rows, (_OF_POINT, (*_KEYS, "found", "record")), strict=True):
        if isinstance(row, Mapping):
            known |= {key: _text(row[key]) for key in keys if key in row}
    return known


def typed(text: str, about: str, folder: Path | None = None) -> dict[str, str]:
    """What stands in the job file of a thing, by key, as it is typed; {} for what is not typed there.

    >>> typed("palewright: 1\\njob: {title: Yard}\\npoints: {A: {at: [0 ft, 0 ft]}}\\n", "point A")
    {'at': '0 ft, 0 ft'}
    """
    desk = Desk(text, folder)
    if about.startswith("corner "):
        found = _typed(desk, about.removeprefix("corner "))
        return ({"what": found.pop("found")} if "found" in found and "what" not in found else {}) | found
    if about.startswith("ground "):
        return said_of_ground(desk, about.removeprefix("ground "))
    path = "locate" if about == "locate" else things_of(desk.job).path(about)
    row = desk.document.get(path) if path else None
    return {key: _text(value) for key, value in row.items()} if isinstance(row, Mapping) else {}


def _text(value: Plain) -> str:
    if isinstance(value, Mapping):  # a line for each: the companies of a locate and what they answered
        rows = ((key, _text([*item.values()] if isinstance(item, Mapping) else item)) for key, item in value.items())
        return "\n".join(f"{key}: {said}" if said != "ask" else f"{key}:" for key, said in rows)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(_text(item) for item in value)
    return "" if value is None else str(value)
