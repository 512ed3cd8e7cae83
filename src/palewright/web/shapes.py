"""The shapes of the interface: what is sent and what is answered. Strict, closed, and without NaN or infinity."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, JsonValue

if TYPE_CHECKING:
    from palewright.store import Device as StoreDevice
    from palewright.store import FileEntry, JobEntry
    from palewright.store import Mark as StoreMark

BIGGEST = 2**31 - 1
_HALF = re.compile("[\ud800-\udfff]")


def _finite(value: JsonValue) -> JsonValue:
    """Refuse what JSON itself does not know: NaN and infinity, numbers too large for a float, halves of letters."""
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError("every number must be finite")
    if isinstance(value, int) and abs(value) > 2**53:
        raise ValueError("a whole number is too large")
    if isinstance(value, str) and _HALF.search(value):
        raise ValueError("a text holds half a letter")
    for item in (*value, *value.values()) if isinstance(value, dict) else value if isinstance(value, list) else ():
        _finite(item)
    return value


def _finite_table(value: dict[str, JsonValue]) -> dict[str, JsonValue]:
    _finite(value)
    return value


Language = Literal["en", "es"]
Role = Literal["owner", "estimator", "crew"]
Key = Annotated[
    str, Field(pattern=r"^[A-Za-z0-9-]{8,64}$", description="made new for every act; sent again it changes nothing")
]
Number = Annotated[int, Field(ge=1, le=BIGGEST, description="the revision that the change was made on")]
Since = Annotated[int, Field(ge=0, le=BIGGEST, description="revision that the answer is compared with; 0: none")]
Title = Annotated[str, Field(min_length=1, max_length=200)]
Name = Annotated[str, Field(min_length=1, max_length=80)]
Metres = Annotated[float, Field(ge=-1e8, le=1e8)]
At = Annotated[list[Metres], Field(min_length=2, max_length=2, description="x, y [m], y up")]
Table = Annotated[dict[str, JsonValue], AfterValidator(_finite_table)]


class Shape(BaseModel):
    """What all shapes share."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, frozen=True)


# ------------------------------------------------------------- what is sent


class NewJob(Shape):
    """A job to begin. ``text`` goes with ``from`` "text": a job file."""

    title: Title
    source: Annotated[Literal["empty", "sample", "text"], Field(alias="from")]
    text: Annotated[str | None, Field(max_length=2_000_000)] = None
    key: Key


class NewText(Shape):
    """The whole text of a job file."""

    revision: Number
    text: Annotated[str, Field(max_length=2_000_000)]
    key: Key


class AnyText(Shape):
    """A text to look at."""

    text: Annotated[str, Field(max_length=2_000_000)]


class Change(Shape):
    """A change on the page: the revision that it was made on, and the one whose sight the page has."""

    revision: Number
    key: Key
    lang: Language = "en"
    since: Since = 0


class Edits(Change):
    """What a hand did on the drawing table, in order (docs/edits.md)."""

    edits: Annotated[list[Table], Field(min_length=1, max_length=500)]


class Drag(Shape):
    """The same, to look at: nothing is saved. ``answer`` "change" sends only what differs from the saved revision,
    "places" only what the plan is redrawn from. ``side``: the only run seen from the side, "" for none.
    """

    revision: Number
    edits: Annotated[list[Table], Field(min_length=1, max_length=500)]
    answer: Literal["sight", "change", "places"] = "sight"
    side: Annotated[str, Field(max_length=200)] | None = None
    lang: Language = "en"


class Pointing(Shape):
    """Where the mouse is: what would it snap to?"""

    revision: Number
    at: At
    near_m: Annotated[float, Field(gt=0, le=1e6)]
    what: Annotated[str, Field(max_length=40)] = "point"
    so_far: Annotated[list[At], Field(max_length=500)] = []
    about: Annotated[str, Field(max_length=200)] = ""
    reads: Annotated[str, Field(max_length=200)] = ""
    lang: Language = "en"


class Import(Change):
    """A file beside the job, and how a person wants it read (docs/exchange.md)."""

    file: Annotated[str, Field(min_length=1, max_length=100)]
    ring: Annotated[str, Field(max_length=200)] = ""
    way: Literal["", "points", "calls"] = ""
    unit: Annotated[str, Field(max_length=20)] = ""
    crs: Annotated[str, Field(max_length=40)] = ""
    order: Literal["", "PNEZD", "PENZD"] = ""
    layer: Annotated[str, Field(max_length=200)] = ""
    height: Annotated[str, Field(max_length=40)] = ""
    any_size: bool = False


class Step(Change):
    """Undo or redo."""


class NewMark(Shape):
    """A name for a revision."""

    name: Name
    revision: Number


class Copy(Shape):
    """A job to copy under a new title."""

    title: Title
    key: Key


class NewPairing(Shape):
    """A code to be made for one device."""

    role: Role


class Pair(Shape):
    """A code as typed or scanned, and what the device is called."""

    code: Annotated[str, Field(min_length=1, max_length=40)]
    name: Name


# --------------------------------------------------------- what is answered


class Place(Shape):
    """Where a problem is: line and column from 1, 0 where there is none; the key path; or a thing by name."""

    file: str
    line: int
    column: int
    width: int
    path: str
    thing: str


class Trouble(Shape):
    """One thing wrong, or one caution; every slug is explained in docs/messages.md."""

    slug: str
    severity: str
    where: Place
    what: str
    found: str
    allowed: str
    hint: str


class Fault(Shape):
    """The one shape of every answer from 400 on. ``revision``: the present one, where another was expected."""

    problems: list[Trouble]
    revision: int | None = None


class About(Shape):
    """Who is asking, and what is serving. ``token`` goes back in X-Page-Token with every change."""

    version: str
    role: str
    name: str
    languages: list[str]
    token: str
    shared: bool


class Job(Shape):
    """A job as it stands. ``entries``: number of the last yard entry."""

    id: str
    title: str
    revision: int
    can_undo: bool
    can_redo: bool
    made: str
    changed: str
    entries: int
    gone: bool
    cautions: list[Trouble]

    @classmethod
    def of(cls, entry: JobEntry) -> Job:
        """From the store."""
        from palewright.web.faults import plain_problem

        return cls(
            id=entry.id, title=entry.title, revision=entry.revision, can_undo=entry.can_undo, can_redo=entry.can_redo,
            made=entry.made, changed=entry.changed, entries=entry.entries, gone=bool(entry.gone),
            cautions=[Trouble.model_validate(plain_problem(problem)) for problem in entry.cautions],
        )  # fmt: skip


class Text(Shape):
    """The text of a job file, and what is wrong with it."""

    revision: int
    text: str
    problems: list[Trouble]


class Saved(Shape):
    """A text that was saved: the job as it now stands, and what is wrong with the text."""

    job: Job
    problems: list[Trouble]


class Problems(Shape):
    """What is wrong with a text; nothing was saved."""

    problems: list[Trouble]


class Drawn(Shape):
    """A job and what a screen shows of it (docs/screen.md). ``said``: what an edit did besides; ``made``: new ids."""

    job: Job
    said: list[str]
    made: list[str]
    sight: dict[str, Any]


class Mark(Shape):
    """A revision with a name."""

    name: str
    revision: int
    by: str
    at: str

    @classmethod
    def of(cls, mark: StoreMark) -> Mark:
        """From the store."""
        return cls(name=mark.name, revision=mark.number, by=mark.by, at=mark.at)


class Paper(Shape):
    """A paper that can be asked for."""

    name: str
    title: str


class Papers(Shape):
    """The papers of a job; none where its ``problems`` keep it from being planned."""

    papers: list[Paper]
    problems: list[Trouble]


class File(Shape):
    """A file beside a job."""

    name: str
    bytes: int
    by: str
    at: str

    @classmethod
    def of(cls, entry: FileEntry) -> File:
        """From the store."""
        return cls(name=entry.name, bytes=entry.bytes, by=entry.by, at=entry.at)


class Outline(Shape):
    """A ring or a line of a file, with its size in words."""

    kind: str
    name: str
    layer: str
    size: str


class MoneyLine(Shape):
    """A line of the list to buy, with its price."""

    code: str
    what: str
    buy: int
    unit: str
    price: str | None
    cost: str | None


class Money(Shape):
    """What the material costs. ``total``: null where a price is missing; ``unpriced``: codes without one; no lines
    where the ``problems`` of the job keep it from being planned.
    """

    revision: int
    currency: str
    total: str | None
    unpriced: list[str]
    lines: list[MoneyLine]
    problems: list[Trouble] = []


class PairingCode(Shape):
    """A code for one device, once, until a time; ``qr``: a picture of ``url`` as a data address."""

    code: str
    role: str
    until: str
    url: str
    qr: str


class Device(Shape):
    """A device that may come in, or might."""

    id: str
    name: str
    role: str
    made: str
    seen: str
    ended: str
    this: bool

    @classmethod
    def of(cls, device: StoreDevice, own: str) -> Device:
        """From the store; ``own``: id of the device that asks."""
        return cls(
            id=device.id, name=device.name, role=device.role, made=device.made, seen=device.seen, ended=device.ended,
            this=device.id == own,
        )  # fmt: skip


class Done(Shape):
    """It was done."""

    done: bool = True
