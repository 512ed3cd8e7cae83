"""What goes with every result: how a number came about, and what a reader must know. No calculation here."""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.record import Record

__all__ = ["Reason", "Remark"]


class Reason(Record):
    """How one number came about.

    about
        the thing: "post 7", "bay 3", "gate side", "run rear", "concrete", ...
    quantity
        what it is: "hole depth", "bay", "posts", ...
    value
        SI number or a word; ``unit`` "m", "m2", "m3", "rad", "kg", "count" or "".
    formula
        in plain symbols; ``inputs`` pairs (name, SI value or word), in the value's unit unless the name ends in ``_m``,
        ``_m2``, ``_m3``, ``_kg`` or ``_rad``; "part", "waste" and "bulking" are pure numbers.
    source
        key of the ledger, or "common practice", "from memory", "as typed", "geometry".
    """

    about: str
    quantity: str
    value: float | int | str
    unit: str
    formula: str
    inputs: tuple[tuple[str, float | int | str], ...] = ()
    source: str = "geometry"


class Remark(Record):
    """Something a reader must know, in either language: the words live in ``papers``.

    slug
        kebab-case; has a text in every language.
    level
        "assumption", "caution", "ask" (not given and can hurt) or "note".
    about
        the thing it is said of.
    args
        what the text names: words, counts, and lengths whose key ends in ``_m`` (printed as the job prints).
    """

    slug: str
    level: str
    about: str = ""
    args: tuple[tuple[str, float | int | str], ...] = ()
    at: Where = field(default_factory=Where)
