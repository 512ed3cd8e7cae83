"""What the phone in the yard sends, and what it is answered."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from palewright.web.shapes import BIGGEST, Job, Shape, Table


class NewEntries(Shape):
    """Yard entries, in the order in which they were made; ``after``: the highest number that the phone knows."""

    entries: Annotated[list[Table], Field(max_length=2000)]
    after: Annotated[int, Field(ge=0, le=BIGGEST)] = 0


class Arrived(Shape):
    """One number for each entry sent; the last number; and what came in after ``after``, the entries sent among it."""

    numbers: list[int]
    last: int
    entries: list[dict[str, Any]]


class Entries(Shape):
    """Yard entries in order of arrival."""

    last: int
    entries: list[dict[str, Any]]


class Yard(Shape):
    """All that a phone needs for a day (docs/yard.md)."""

    job: Job
    device: str
    who: str
    pack: dict[str, Any]


class Photo(Shape):
    """A photo that arrived."""

    id: str
    kind: str
    bytes: int
