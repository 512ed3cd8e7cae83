"""Units of length, exact, from ``units.toml`` beside this file."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path

from palewright.record import Record

__all__ = ["Units", "units"]


class Units(Record):
    """Exact factors.

    words
        spelling in lower case to unit name. size: (unit name, survey?) to metres; a metric unit has one size for both.
    vara
        state to metres. metric: names of the metric units.
    """

    words: dict[str, str]
    size: dict[tuple[str, bool], Fraction]
    vara: dict[str, Fraction]
    metric: frozenset[str]


@cache
def units() -> Units:
    """The units, read once.

    >>> units().size["ft", True] == 1200 / Fraction(3937)
    True
    """
    data = tomllib.loads(Path(__file__).with_name("units.toml").read_text(encoding="utf-8"))
    foot = {False: Fraction(data["feet"]["international"]), True: Fraction(data["feet"]["survey"])}
    words: dict[str, str] = {}
    size: dict[tuple[str, bool], Fraction] = {}
    metric: set[str] = set()
    for name, entry in data["unit"].items():
        for word in entry["words"]:
            words[word] = name
        for survey in (False, True):
            if "metres" in entry:
                metric.add(name)
                size[name, survey] = Fraction(entry["metres"])
            else:
                size[name, survey] = Fraction(entry["feet"]) * foot[survey]
    vara = {state: Fraction(entry["feet"]) * foot[False] for state, entry in data["vara"].items()}
    return Units(words, size, vara, frozenset(metric))
