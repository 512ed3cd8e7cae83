"""Edits as a page sends them: read with everything that is wrong with them, and written."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Any

from palewright.drafting.edits import (
    XY,
    AddGate,
    Built,
    ChangeGate,
    Delete,
    DrawBoundary,
    DrawBuilding,
    DrawOld,
    DrawRun,
    DrawZone,
    Edit,
    Evidence,
    Follows,
    Ground,
    KeepInside,
    Length,
    Move,
    MoveGate,
    PasteDeed,
    RemoveKey,
    Rename,
    SetValue,
    Spot,
    Square,
    Tape,
    Walk,
    WalkOn,
    Wall,
)
from palewright.errors import Problem, ProblemError, Where
from palewright.jobfile.reading import nearest
from palewright.record import Record

__all__ = ["edits_from_json", "edits_to_json"]

_KINDS: dict[str, type[Record]] = {
    "set": SetValue, "remove": RemoveKey, "rename": Rename, "delete": Delete, "move": Move, "length": Length,
    "run": DrawRun, "gate": AddGate, "move gate": MoveGate, "gate change": ChangeGate, "zone": DrawZone,
    "building": DrawBuilding, "old fence": DrawOld, "boundary": DrawBoundary, "deed": PasteDeed, "tape": Tape,
    "square": Square, "wall": Wall, "walk": Walk, "walk on": WalkOn, "follows": Follows,
    "evidence": Evidence, "built": Built, "ground": Ground, "inside": KeepInside,
}  # fmt: skip
_SPELLED = {"with": "tool"}
_MOST = 200
_LONGEST = 400_000
"""Letters of a text; what is too long for a deed or a name is said where it is read."""
_FAR_M = 1.0e6


def edits_from_json(data: Any) -> tuple[Edit, ...]:
    """Edits as a page sends them; raises ProblemError with every one that cannot be used.

    >>> edits_from_json([{"kind": "move", "about": "point A", "to": [1, 2.5]}])
    (Move(about='point A', to=(1.0, 2.5), index=-1, held=None, snapped=False),)
    """
    if not isinstance(data, Sequence) or isinstance(data, str | bytes) or len(data) > _MOST:
        raise ProblemError(_wrong("a list of edits is expected", "", f"up to {_MOST} edits"))
    problems: list[Problem] = []
    edits = [edit for k, row in enumerate(data) if (edit := _edit(row, f"edits[{k}]", problems)) is not None]
    if problems:
        raise ProblemError(problems)
    return tuple(edits)


def edits_to_json(edits: Sequence[Edit]) -> list[dict[str, Any]]:
    """Edits as :func:`edits_from_json` reads them."""
    names = {kind: name for name, kind in _KINDS.items()}
    back = {field: name for name, field in _SPELLED.items()}
    return [
        {"kind": names[type(edit)]}
        | {back.get(f.name, f.name): getattr(edit, f.name) for f in dataclasses.fields(edit)
           if getattr(edit, f.name) != f.default}
        for edit in edits
    ]  # fmt: skip


def _wrong(what: str, path: str, allowed: str = "", found: object = "", hint: str = "") -> Problem:
    return Problem("edit-unusable", what, Where(path=path), found=str(found)[:60], allowed=allowed, hint=hint)


def _edit(row: Any, path: str, problems: list[Problem]) -> Edit | None:
    name = row.get("kind") if isinstance(row, Mapping) else None
    kind = _KINDS.get(name) if isinstance(name, str) else None
    if kind is None:
        close = nearest(name, _KINDS) if isinstance(name, str) else ""
        hint = f"did you mean `{close}`?" if close else ""
        problems.append(_wrong("this kind of edit is not known", path, ", ".join(_KINDS), name, hint))
        return None
    fields = {f.name: f for f in dataclasses.fields(kind)}
    given: dict[str, Any] = {}
    for key, value in row.items():
        field = _SPELLED.get(key, key)
        if key == "kind":
            continue
        if field not in fields or key in _SPELLED.values():
            problems.append(_wrong("this edit has no such key", f"{path}.{key}", ", ".join(fields), key))
            continue
        read = _READ[str(fields[field].type)](value)
        if read is None:
            problems.append(_wrong("this value cannot be used here", f"{path}.{key}", _SAYS[str(fields[field].type)],
                                   value))  # fmt: skip
            continue
        given[field] = read
    missing = [f.name for f in fields.values() if f.default is dataclasses.MISSING and f.name not in row]
    missing = [key for key in missing if key not in given and not (key == "tool" and "with" in row)]
    problems.extend(_wrong("this edit needs a key", f"{path}.{key}", key) for key in missing)
    if missing or len(given) + 1 < len(row):
        return None
    return kind(**given)  # type: ignore[return-value]


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) and len(value) <= _LONGEST else None


def _number(value: Any) -> float | None:
    good = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    return float(value) if good and abs(value) <= _FAR_M else None


def _xy(value: Any) -> XY | None:
    if not isinstance(value, list | tuple) or len(value) != 2:
        return None
    x, y = _number(value[0]), _number(value[1])
    return None if x is None or y is None else (x, y)


def _texts(value: Any) -> tuple[str, ...] | None:
    good = isinstance(value, list | tuple) and len(value) <= 500 and all(_text(item) is not None for item in value)
    return tuple(value) if good else None


def _spots(value: Any) -> tuple[Spot, ...] | None:
    if not isinstance(value, list | tuple) or len(value) > 500:
        return None
    spots = [_text(item) if isinstance(item, str) else _xy(item) for item in value]
    return None if any(spot is None for spot in spots) else tuple(spot for spot in spots if spot is not None)


def _whole(value: Any) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 100_000 else None


def _plain(value: Any, depth: int = 0) -> Any:
    if isinstance(value, str | int):
        return value if not isinstance(value, str) or len(value) <= _LONGEST else None
    if isinstance(value, list) and depth < 6:
        return value if all(_plain(item, depth + 1) is not None for item in value) else None
    if isinstance(value, Mapping) and depth < 6:
        good = all(isinstance(key, str) and _plain(item, depth + 1) is not None for key, item in value.items())
        return value if good else None
    return None


_READ: dict[str, Any] = {
    "str": _text, "int": _whole, "XY": _xy, "XY | None": _xy, "Any": _plain, "tuple[str, ...]": _texts,
    "tuple[Spot, ...]": _spots, "bool": lambda value: value if isinstance(value, bool) else None,
}  # fmt: skip
_SAYS = {
    "str": f"text of up to {_LONGEST:,} letters",
    "int": "a whole number", "XY": "[x, y] in metres", "XY | None": "[x, y] in metres",
    "Any": "text, a whole number, yes or no, a list or a table", "tuple[str, ...]": "a list of texts",
    "tuple[Spot, ...]": "a list of names and places [x, y] in metres", "bool": "true or false",
}  # fmt: skip
