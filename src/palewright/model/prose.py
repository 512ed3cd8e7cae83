"""A legal description as it was pasted, with what was read in it. SI: metres, radians. No calculation here."""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.record import Record

__all__ = ["CalledArea", "DeedProse", "ProseLine"]


class ProseLine(Record):
    """One call of a description.

    source, text
        its words in the description, and those that the call was read from.
    azimuth, length_m
        what was read, of a curve its chord; None where the words do not say it.
    monument
        what the record calls for at its end: a word of the record, no proof. along: what it says to run along.
    noted, passed
        words with a number that is not the call's, and words without one that were passed by.
    """

    source: str
    text: str
    azimuth: float | None
    length_m: float | None
    monument: str = ""
    along: tuple[str, ...] = ()
    noted: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()
    at: Where = field(default_factory=Where)


class CalledArea(Record):
    """An area that the description calls for [m2], half a unit of its last digit [m2], and whether "more or less"."""

    text: str
    m2: float
    within_m2: float
    about: bool


class DeedProse(Record):
    """A description: lines of the calls of the ring, and of those that lead to its beginning.

    begins, commences
        what the record calls for where the ring begins, and where the calls that lead to it begin.
    noted, passed
        of what stands before and after the calls. comes_back: it says that it ends where it begins.
    """

    lines: tuple[ProseLine, ...]
    ties: tuple[ProseLine, ...] = ()
    begins: str = ""
    commences: str = ""
    areas: tuple[CalledArea, ...] = ()
    noted: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()
    comes_back: bool = True
