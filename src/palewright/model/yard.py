"""What was entered in the yard: events that are never changed and never deleted. SI: metres. No calculation here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from palewright.record import Record

__all__ = ["YardEntry"]


class YardEntry(Record):
    """One entry, made on one device, about one object of the plan.

    id
        a uuid made by the device: sent twice it is still one entry.
    device, who
        the device that it was made on, and the name of the person.
    seq
        counts the entries of that device. saw: the highest ``number`` that the device knew when it was made.
    made
        the device's clock [ISO 8601], to be shown; nothing is put in order by it.
    about
        the object by its label: ``post 12``, ``check NE-1``, ``gate side gate``, ``run rear``, ``bay 3-4``, ``job``.
    what
        ``done``, ``measured``, ``moved``, ``note``, ``photo``, ``checked``, ``gate``, ``gap``, ``length``, ``panel``,
        ``ticket`` or ``signed``. value: what is said of it, plain values by name, for instance ``{"depth_m": 0.91}``.
    number
        order of arrival within the job, from 1 and without gaps; 0 has not arrived. arrived: when, by the clock of
        the store.
    by
        the paired device whose session sent it, as the store knows it; "" where it came from a file. ``device`` and
        ``who`` are what the phone says of itself.
    """

    id: str
    device: str
    who: str
    seq: int
    saw: int
    made: str
    about: str
    what: str
    value: Mapping[str, Any]
    number: int = 0
    arrived: str = ""
    by: str = ""
