"""How far a line of levels may miss where it closes."""

from __future__ import annotations

import math
from functools import cache

from palewright.errors import TableError
from palewright.record import Record
from palewright.tables.loader import _load, to_si

__all__ = ["ClosureRule", "closure_rules"]


class ClosureRule(Record):
    """A rule for the closure of levels.

    most_m
        for a line of any length [m]; where ``by_length`` for one of a kilometre, and by the root of the length for
        others. source: key of the ledger.
    """

    name: str
    most_m: float
    by_length: bool
    source: str

    def allows(self, length_m: float | None) -> float | None:
        """What a line of this length [m, >= 0] may miss [m]; None where the rule needs a length nobody knows.

        >>> rule = next(rule for rule in closure_rules() if rule.name == "third order")
        >>> round(rule.allows(250.0), 6), rule.allows(None)
        (0.006, None)
        """
        if not self.by_length:
            return self.most_m
        return None if length_m is None else self.most_m * math.sqrt(length_m / 1000.0)


@cache
def closure_rules() -> tuple[ClosureRule, ...]:
    """Every rule, in the order of the file. Raises TableError for an unusable file.

    >>> [rule.name for rule in closure_rules()]
    ['small site', 'third order', 'construction layout']
    """
    by_length = {"line": False, "root km": True}
    try:
        return tuple(
            ClosureRule(row["rule"], to_si(float(row["most"]), row["unit"]), by_length[row["per"]], row["source"])
            for row in _load("levels.toml")["limit"]
        )
    except (KeyError, ValueError) as error:
        raise TableError(f"levels.toml: {error!r} is missing or wrong") from error
