"""A job file as text, lists and tables without places, and what an edit makes of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from palewright.errors import JobError, Problem
from palewright.jobfile.source import LIMITS, Node
from palewright.jobfile.writing import Plain, write_value

__all__ = ["KeyPath", "changed", "inserted", "parts_of", "path_of", "plain", "removed", "renamed", "same"]

KeyPath = str | Sequence[str | int]
_DEEP, _SHOWN = 2 * LIMITS.depth, 100
"""A path names tables and lists; of one that is none so many letters are shown."""
_PART = re.compile(r"\[([0-9]{1,6})\]|\.?([^.\[\]]+)")


def parts_of(path: KeyPath) -> list[str | int]:
    """A key path as a list of keys and numbers."""
    if not isinstance(path, str):
        return list(path)
    parts: list[str | int] = []
    at = 0
    while at < len(path):
        match = _PART.match(path, at)
        if match is None or len(parts) >= _DEEP:
            found = path if len(path) <= _SHOWN else path[:_SHOWN] + "…"
            raise JobError(
                Problem("cannot-edit", "this is not a key path", found=found, allowed="runs[0].gates[1].opening")
            )
        parts.append(int(match.group(1)) if match.group(1) is not None else match.group(2))
        at = match.end()
    return parts


def path_of(parts: Sequence[str | int]) -> str:
    """A list of keys and numbers as a key path.

    >>> path_of(["runs", 0, "name"])
    'runs[0].name'
    """
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts)
    return text.removeprefix(".")


def plain(node: Node) -> Plain:
    """What a value of the file says: text as typed, lists and tables."""
    if node.kind == "list":
        return [plain(item) for item in node.items]
    if node.kind == "table":
        return {key.text: plain(value) for key, value in node.pairs}
    return None if node.is_null else node.text


def as_read(value: Plain) -> Plain:
    """A value as it reads back: text, lists and tables."""
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return {str(key): as_read(item) for key, item in value.items()}
    if isinstance(value, Sequence):
        return [as_read(item) for item in value]
    return write_value(value)


def changed(tree: Plain, parts: Sequence[str | int], value: Plain) -> Plain:
    """The tree with one value put in."""
    if not parts:
        return as_read(value)
    first, rest = parts[0], parts[1:]
    if isinstance(tree, Mapping):
        return {**tree, str(first): changed(tree.get(str(first)), rest, value)}
    if isinstance(tree, Sequence) and not isinstance(tree, str) and isinstance(first, int):
        items = [*tree, None] if first == len(tree) else list(tree)
        items[first] = changed(items[first], rest, value)
        return items
    below = changed(None, rest, value)
    return [below] if isinstance(first, int) else {first: below}


def same(one: Plain, other: Plain) -> bool:
    """Whether two trees are the same; the order of keys counts, and nothing and an empty text are the same."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, str) or isinstance(other, str) or one is None or other is None:
        return one == other
    if isinstance(one, Sequence) and isinstance(other, Sequence):
        return len(one) == len(other) and all(same(a, b) for a, b in zip(one, other, strict=True))
    return one == other


def _at(tree: Plain, parts: Sequence[str | int], change: Callable[[Plain, str | int], Plain]) -> Plain:
    """The tree with what holds the last part of a path changed."""
    if len(parts) == 1:
        return change(tree, parts[0])
    first, rest = parts[0], parts[1:]
    if isinstance(tree, Mapping):
        return {**tree, str(first): _at(tree[str(first)], rest, change)}
    assert isinstance(tree, Sequence)
    assert isinstance(first, int)
    return [*tree[:first], _at(tree[first], rest, change), *tree[first + 1 :]]


def removed(tree: Plain, parts: Sequence[str | int]) -> Plain:
    """The tree without one entry."""

    def change(holder: Plain, part: str | int) -> Plain:
        if isinstance(holder, Mapping):
            return {key: value for key, value in holder.items() if key != str(part)}
        assert isinstance(holder, Sequence)
        return [item for k, item in enumerate(holder) if k != part]

    return _at(tree, parts, change)


def renamed(tree: Plain, parts: Sequence[str | int], name: str) -> Plain:
    """The tree with one key under another name."""

    def change(holder: Plain, part: str | int) -> Plain:
        assert isinstance(holder, Mapping)
        return {name if key == str(part) else key: value for key, value in holder.items()}

    return _at(tree, parts, change)


def inserted(tree: Plain, parts: Sequence[str | int], value: Plain, before: Sequence[str]) -> Plain:
    """The tree with one entry more, before the first of some keys that is there, or last."""

    def change(holder: Plain, part: str | int) -> Plain:
        new = as_read(value)
        if isinstance(part, str):
            rows = dict(holder) if isinstance(holder, Mapping) else {}
            names = list(rows)
            at = next((names.index(name) for name in before if name in names), len(names))
            items = [*rows.items()]
            return dict([*items[:at], (part, new), *items[at:]])
        items_of = list(holder) if isinstance(holder, Sequence) and not isinstance(holder, str) else []
        return [*items_of[:part], new, *items_of[part:]]

    return _at(tree, parts, change)
