"""Values of a kind of fence: the catalogue's, with the firm's file and the job's own values laid over and checked."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from palewright.errors import NotationError, Problem, TableError, Where
from palewright.model import FenceSpec, PostSize
from palewright.tables import KeySpec, KindTable, Section, kind_names, kind_table, read_kind_file, section

__all__ = [
    "LaidOver",
    "Values",
    "base_of",
    "bay_key",
    "follow",
    "longest_of",
    "number",
    "posts_of",
    "section_of",
    "values_of",
]

Scalar = float | int | str | bool
Values = dict[str, Scalar]
LaidOver = dict[str, tuple[Scalar, Where]]
_ROLES = ("line", "end", "corner", "tee", "change", "gate")
SLACK = 1e-9
_HINTS = {
    "height": "the height is worked out: give the boards, panel or fabric and the bottom gap",
    "gap": 'say which: "bottom gap" or "board gap"',
    "pickets": 'the boards are "board" (their length) and "board size"',
    "hole": 'say which: "hole.line", "hole.end", "hole.gate" are diameters, "hole.depth" is the depth',
    "post": 'say which: "post.line", "post.end", "post.corner", "post.gate"',
}


def base_of(spec: FenceSpec, problems: list[Problem]) -> tuple[KindTable, LaidOver] | None:
    """The catalogue kind, and what is laid over it with the places: the firm's file first, then the job's values."""
    laid_over: LaidOver = {}
    name = spec.kind
    places = dict(spec.value_places)
    if spec.kind_file:
        at = places.get("kind file", spec.at)
        path = Path(spec.kind_file)
        if not path.is_absolute() and spec.at.file:
            path = Path(spec.at.file).parent / path
        try:
            own = read_kind_file(path)
        except TableError as error:
            problems.append(
                Problem(
                    "kind-file-unusable",
                    "the file of the firm's own kind cannot be used",
                    where=at,
                    found=str(error),
                    hint="it is a TOML file with name, based on and a table values",
                )
            )
            return None
        name = own.based_on
        for key, value in own.values:
            laid_over[key] = (value, Where(file=path.name, thing=f"kind {own.name}, {key}"))
    if name not in kind_names():
        near = _nearest(name, kind_names())
        problems.append(
            Problem(
                "kind-unknown",
                "there is no such kind of fence",
                where=places.get("kind", spec.at),
                found=name or "nothing",
                allowed=", ".join(kind_names()),
                hint=f"did you mean {near}?" if near else "a kind of your own is a file: see docs/kinds.md",
            )
        )
        return None
    laid_over.update((key, (value, places.get(key, spec.at))) for key, value in spec.values)
    return kind_table(name), laid_over


def values_of(table: KindTable, laid_over: LaidOver, problems: list[Problem]) -> tuple[Values, set[str]]:
    values: Values = {key: entry.value for key, entry in table.keys.items() if entry.value is not None}
    for key, (value, at) in laid_over.items():
        entry = table.keys.get(key)
        if entry is None:
            problems.append(_unknown_key(table, key, value, at))
            continue
        checked = _check(entry, value, at)
        if isinstance(checked, Problem):
            problems.append(checked)
        else:
            values[key] = checked
    return values, set(laid_over)


def _unknown_key(table: KindTable, key: str, value: Scalar, at: Where) -> Problem:
    near = _nearest(key, tuple(table.keys))
    hint = _HINTS.get(key) or (
        f'did you mean "{near}"?' if near else "the keys of each kind are listed in docs/kinds.md"
    )
    if key == "longest bay" and "module" in table.keys:
        hint = 'panels have a "module": the longest bay is a whole panel'
    return Problem(
        "kind-key-unknown",
        f"the kind {table.name} has no such key",
        where=at,
        found=key,
        allowed=", ".join(table.keys),
        hint=hint,
    )


def _nearest(word: str, words: tuple[str, ...]) -> str:
    import difflib

    found = difflib.get_close_matches(word, words, 1, 0.6)
    return found[0] if found else ""


def _check(entry: KeySpec, value: Scalar, at: Where) -> Scalar | Problem:
    """The value in the type of its key, or what is wrong with it."""
    made = _MAKERS[entry.type](entry, value)
    if isinstance(made, str) and entry.type in ("word", "section"):
        if made in entry.allowed or (entry.optional and not made):
            return made
        near = _nearest(made, entry.allowed)
        return _wrong(entry, value, at, f"did you mean {near}?" if near else "")
    if made is None:
        return _wrong(entry, value, at, "")
    if isinstance(made, (int, float)) and not isinstance(made, bool):
        low = -math.inf if entry.least is None else entry.least
        high = math.inf if entry.most is None else entry.most
        if not low - SLACK <= made <= high + SLACK:
            return _wrong(entry, value, at, "")
    return made


def _length(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, str):
        from palewright.notation import parse_length

        try:
            return float(parse_length(value).m)
        except NotationError:
            return None
    return None if isinstance(value, bool) or not math.isfinite(value) else float(value)


def _count(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, str):
        return int(value) if value.isascii() and value.isdigit() else None
    if isinstance(value, bool) or not math.isfinite(value) or value != int(value):
        return None
    return int(value)


def _ratio(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, str):
        top, _, bottom = value.partition("/")
        try:
            return float(top) / float(bottom or 1)
        except (ValueError, ZeroDivisionError):
            return None
    return None if isinstance(value, bool) or not math.isfinite(value) else float(value)


def _word(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, bool):
        return "yes" if value else "none"
    if isinstance(value, float) and entry.type == "word":
        for name in entry.allowed:
            if name[:1].isdigit() and (length := _length(entry, name)) and abs(float(length) - value) < 1e-6:
                return name
    if isinstance(value, float) and math.isfinite(value) and value == int(value):
        value = int(value)
    text = " ".join(str(value).split())
    if entry.optional and text in ("none", "no"):
        return ""
    return text


def _name_of_section(entry: KeySpec, value: Scalar) -> Scalar | None:
    """The trade name; a length ("2 3/8 in") stands for the section of that width."""
    if isinstance(value, float):
        for name in entry.allowed:
            if abs(section(entry.table, name).width_m - value) < 1e-4:
                return name
    return _word(entry, value)


def _flag(entry: KeySpec, value: Scalar) -> Scalar | None:
    if isinstance(value, bool):
        return value
    return {"yes": True, "no": False}.get(str(value).strip().lower())


_MAKERS: dict[str, Callable[[KeySpec, Scalar], Scalar | None]] = {
    "length": _length,
    "count": _count,
    "ratio": _ratio,
    "word": _word,
    "section": _name_of_section,
    "flag": _flag,
}


def _wrong(entry: KeySpec, value: Scalar, at: Where, hint: str) -> Problem:
    allowed = {"flag": "yes or no", "length": "a length", "count": "a whole number", "ratio": "a number"}.get(
        entry.type, ""
    )
    if entry.allowed:
        allowed = ", ".join((*entry.allowed, "none") if entry.optional else entry.allowed)
    elif entry.least is not None and entry.most is not None:
        allowed += f" from {_shown(entry, entry.least)} to {_shown(entry, entry.most)}"
    if isinstance(value, bool):
        found = "yes" if value else "no"
    else:
        found = value if isinstance(value, str) else _shown(entry, float(value))
    return Problem(
        "kind-value-wrong",
        f'"{entry.name}" cannot be this',
        where=at,
        found=found or "nothing",
        allowed=allowed,
        hint=hint,
    )


def _shown(entry: KeySpec, value: float) -> str:
    return f"{round(value / 0.0254, 3):g} in" if entry.type == "length" else f"{value:g}"


def follow(table: KindTable, values: Values, typed: set[str]) -> None:
    """Fill in what follows from other values: counts by the height of the infill, and what the pattern asks for."""
    for key, entry in table.keys.items():
        if key not in values and entry.by:
            height = number(values, table.infill)
            values[key] = next((count for limit, count in entry.by if height <= limit + SLACK), entry.by[-1][1])
    if table.family == "boards" and values["pattern"] == "horizontal":
        values["rails"] = 0
    if table.family == "boards" and values["pattern"] == "both sides" and "rail mount" not in typed:
        values["rail mount"] = "between posts"


def posts_of(table: KindTable, values: Values) -> tuple[tuple[str, PostSize], ...]:
    posts = []
    for role in _ROLES:
        name = values.get(f"post.{role}", "")
        if name:
            entry = section(table.posts, str(name))
            posts.append(
                (
                    role,
                    PostSize(
                        entry.name,
                        entry.width_m,
                        entry.thick_m,
                        entry.round,
                        entry.stocks_m,
                        entry.mass_kg_m,
                        entry.source,
                    ),
                )
            )
    return tuple(posts)


def bay_key(values: Values) -> str:
    return "module" if "module" in values else "longest bay"


def longest_of(values: Values) -> float:
    return number(values, bay_key(values))


def number(values: Values, key: str) -> float:
    return float(values[key])


def section_of(table: str, values: Values, key: str) -> Section:
    return section(table, str(values[key]))
