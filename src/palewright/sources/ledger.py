"""The ledger of sources, read from ``ledger.toml`` beside this file."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from palewright.errors import TableError
from palewright.record import Record

__all__ = ["Source", "all_sources", "cite", "source"]


class Source(Record):
    """One document: ``key``, ``title``, ``edition`` (or year), where the numbers stand, and what kind of source it is.

    kind
        "standard", "handbook", "statute", "ordinance", "leaflet", "paper", "common practice", "from memory",
        "geometry" or "as typed".
    """

    key: str
    title: str
    edition: str
    where: str
    kind: str


@cache
def all_sources() -> dict[str, Source]:
    """Every source by key, in the order of the ledger. Raises TableError when an entry lacks a field."""
    text = Path(__file__).with_name("ledger.toml").read_text(encoding="utf-8")
    result: dict[str, Source] = {}
    for key, entry in tomllib.loads(text).items():
        try:
            result[key] = Source(key, entry["title"], entry["edition"], entry["where"], entry["kind"])
        except (KeyError, TypeError) as error:
            raise TableError(f"source {key!r} of the ledger lacks {error}") from error
    return result


def source(key: str) -> Source:
    """One source; raises TableError for an unknown key."""
    try:
        return all_sources()[key]
    except KeyError:
        raise TableError(f"no source {key!r} in the ledger") from None


def cite(key: str, where: str = "") -> str:
    """A source in one line, as papers print it; ``where`` adds a clause or table.

    >>> cite("common practice")
    'common practice'
    """
    entry = source(key)
    parts = [entry.title, entry.edition, where or entry.where]
    return ", ".join(part for part in parts if part)
