"""Words of the drawing table in every language: ``en.toml`` and ``es.toml``, the same keys in both."""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path

from palewright.papers.words.once import once

__all__ = ["LANGUAGES", "has", "keys", "text"]

LANGUAGES = ("en", "es")


@functools.cache
def _tables(language: str) -> dict[str, dict[str, str]]:
    file = Path(__file__).with_name(f"{language if language in LANGUAGES else 'en'}.toml")
    return tomllib.loads(file.read_text("utf-8"))


def keys(language: str) -> frozenset[str]:
    """Every ``table.entry`` of a language.

    >>> keys("en") == keys("es")
    True
    """
    return frozenset(f"{table}.{entry}" for table, rows in _tables(language).items() for entry in rows)


def has(key: str) -> bool:
    """Whether there are words for ``table.entry``."""
    table, _, entry = key.partition(".")
    return entry in _tables("en").get(table, {})


def text(key: str, language: str = "en", /, **args: object) -> str:
    """The words of ``table.entry`` with their ``{places}`` filled in.

    >>> text("item.hole_of", "es", post="3")
    'hoyo del poste 3'
    """
    table, _, entry = key.partition(".")
    return once(_tables(language)[table][entry].format_map(args))
