"""How good a measurement is, by the tool it was made with."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from palewright.errors import TableError
from palewright.record import Record
from palewright.tables.loader import _load, to_si

__all__ = ["ToolAccuracy", "tool_accuracies"]

_ANGLES = {"degrees": 1.0, "minutes": 1.0 / 60.0, "seconds": 1.0 / 3600.0}
_YARD_M = 0.9144
_CONFIDENCE = ("published", "published, split by us", "common practice", "from memory")


class ToolAccuracy(Record):
    """A tool and how good it is: one standard deviation is sqrt(fixed^2 + (length / per)^2).

    kind
        "length", "angle", "position" (each coordinate), "line" (a point put on a line), "setting" (a post, a hole),
        "level" (a difference of height between two points so far apart) or "north" (how well the north that bearings
        count from can be found again, the compass apart).
    fixed, per
        [m, or rad for angles and norths] and 1 in so much (inf: no part grows with the length).
    words
        phrases, each a set of words in lower case. source: key of the ledger.
    confidence
        "published", "published, split by us", "common practice" or "from memory".
    unset
        counts where nothing is said.
    """

    name: str
    kind: str
    fixed: float
    per: float
    words: tuple[frozenset[str], ...]
    source: str
    confidence: str
    doc: str
    unset: bool

    def sigma(self, length: float = 0.0) -> float:
        """Standard deviation at a length [m]: in m, or rad for an angle."""
        return math.hypot(self.fixed, length / self.per)


@cache
def tool_accuracies(kind: str) -> tuple[ToolAccuracy, ...]:
    """Every tool of one kind in the order of the file. Raises TableError for an unknown kind or an unusable file.

    >>> [tool.name for tool in tool_accuracies("length") if tool.unset]
    ['long fibreglass tape']
    """
    try:
        rows = [_row(entry) for entry in _load("accuracy.toml")["row"]]
    except (KeyError, ValueError) as error:
        raise TableError(f"accuracy.toml: {error!r} is missing or wrong") from error
    found = tuple(row for row in rows if row.kind == kind)
    if not found:
        raise TableError(f"no accuracies of kind {kind!r}")
    return found


def _row(entry: dict[str, Any]) -> ToolAccuracy:
    value, unit = float(entry["fixed"]), entry["unit"]
    if entry["kind"] in ("angle", "north"):
        fixed = math.radians(value * _ANGLES[unit])
    else:
        fixed = value * _YARD_M if unit == "yd" else to_si(value, unit)
    if entry["confidence"] not in _CONFIDENCE:
        raise ValueError(f"{entry['name']}: confidence {entry['confidence']}")
    return ToolAccuracy(
        entry["name"],
        entry["kind"],
        fixed,
        float(entry.get("per", math.inf)),
        tuple(frozenset(phrase.split()) for phrase in entry["words"]),
        entry["source"],
        entry["confidence"],
        entry["doc"],
        bool(entry.get("unset", False)),
    )
