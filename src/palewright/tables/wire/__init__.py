"""Kinds of wire fence and the rules of agencies, from the data files of this folder."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from palewright.record import Record

__all__ = ["WireDocument", "WireEntry", "wire_documents", "wire_keys", "wire_kind", "wire_kind_names"]

_UNITS = {"ft": 0.3048, "in": 0.0254, "m": 1.0, "deg": math.radians(1.0), "": 1}
_SI = {"ft": "m", "in": "m", "m": "m", "deg": "rad", "": ""}

Value = float | str | tuple[float, ...]


class WireEntry(Record):
    """One value: in SI (``unit`` "m", "rad" or ""), a key of the ledger, and the words or the clause."""

    value: Value
    unit: str
    source: str
    words: str


class WireDocument(Record):
    """A document of an agency. rules: for (key, kind of fence). read: how much of it was seen."""

    name: str
    source: str
    read: str
    rules: dict[tuple[str, str], WireEntry]


def _load(name: str) -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name(f"{name}.toml").read_text(encoding="utf-8"))


def _entry(value: Any, unit: str, source: str, words: str) -> WireEntry:
    scale = _UNITS[unit]
    if isinstance(value, list):
        value = tuple(one * scale for one in value)
    elif not isinstance(value, str) and unit:
        value = value * scale
    return WireEntry(value, _SI[unit], source, words)


@cache
def wire_kind_names() -> tuple[str, ...]:
    """Kinds of wire fence.

    >>> "woven wire" in wire_kind_names()
    True
    """
    return tuple(name for name in _load("kinds") if name != "every")


@cache
def wire_kind(name: str) -> dict[str, WireEntry]:
    """What holds for a kind of wire fence where no document says otherwise, by key."""
    data = _load("kinds")
    return {key: _entry(*entry) for part in ("every", name) for key, entry in data[part].items() if key != "about"}


@cache
def wire_documents() -> dict[str, WireDocument]:
    """Every document by its name.

    >>> round(wire_documents()["tennessee 2002"].rules["longest bay", "woven wire"].value / 0.3048, 6)
    14.0
    """
    result = {}
    for name, data in _load("documents").items():
        rules = {
            (key, kind): _entry(value, unit, data["source"], words)
            for key, found in data["rules"].items()
            for kinds, value, unit, words in (found if isinstance(found[0][0], list) else [found])
            for kind in kinds
        }
        result[name] = WireDocument(name, data["source"], data["read"], rules)
    return result


@cache
def wire_keys() -> tuple[str, ...]:
    """Every key that a fence of wire may have, in alphabetical order."""
    keys = {key for name in wire_kind_names() for key in wire_kind(name)}
    keys |= {key for document in wire_documents().values() for key, _ in document.rules}
    return tuple(sorted(keys))
