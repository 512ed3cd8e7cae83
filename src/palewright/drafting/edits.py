"""What a hand does on the drawing table, as records; places in metres, lengths as they are typed."""

from __future__ import annotations

from typing import Any

from palewright.record import Record

__all__ = [
    "AddGate",
    "Built",
    "ChangeGate",
    "Delete",
    "DrawBoundary",
    "DrawBuilding",
    "DrawOld",
    "DrawRun",
    "DrawZone",
    "Edit",
    "Evidence",
    "Follows",
    "Ground",
    "KeepInside",
    "Length",
    "Move",
    "MoveGate",
    "PasteDeed",
    "RemoveKey",
    "Rename",
    "SetValue",
    "Spot",
    "Square",
    "Tape",
    "Walk",
    "WalkOn",
    "Wall",
]

XY = tuple[float, float]
Spot = str | XY
"""A named point, or a place [m]."""


class SetValue(Record):
    """A value at a key path, as typed."""

    path: str
    value: Any


class RemoveKey(Record):
    """An entry of the job file goes."""

    path: str


class Rename(Record):
    """A thing gets another name, everywhere."""

    about: str
    name: str


class Delete(Record):
    """A thing goes; what hangs on it goes too, or it is refused."""

    about: str


class Move(Record):
    """A thing, or the corner ``index`` of it, goes to a place [m]; ``held``: where it was held, else its middle.

    snapped
        here and where something is drawn: a place that is at no mark of the tape fell on something, and is held there.
    """

    about: str
    to: XY
    index: int = -1
    held: XY | None = None
    snapped: bool = False


class Length(Record):
    """A leg of a run ("leg rear 2") gets a typed length: its end goes along it, or the point that ``moves``."""

    about: str
    length: str
    moves: str = ""


class DrawRun(Record):
    """A run through points and places, for which points are made; or along sides of the property, its face inside.

    begins, ends
        along sides: the points that it begins and ends abreast of, where that is not at corners.
    """

    points: tuple[Spot, ...] = ()
    name: str = ""
    fence: str = ""
    yard: str = ""
    follows: str = ""
    closed: bool = False
    sides: tuple[str, ...] = ()
    inside: str = ""
    begins: str = ""
    ends: str = ""
    snapped: bool = False


class AddGate(Record):
    """A gate in a run, its middle at a place [m]."""

    run: str
    at: XY
    opening: str = "4 ft"
    name: str = ""


class MoveGate(Record):
    """A gate slides along its run, its middle to a place [m], or to a typed distance from its point."""

    about: str
    at: XY | None = None
    starts: str = ""


class ChangeGate(Record):
    """What is given of a gate changes: opening, hinges, swings, leaves."""

    about: str
    opening: str = ""
    hinges: str = ""
    swings: str = ""
    leaves: int = 0


class DrawZone(Record):
    """Ground to keep clear of."""

    name: str
    points: tuple[Spot, ...]
    each_side: str
    inside: str
    width: str = ""
    utility: str = ""
    closed: bool = False
    snapped: bool = False


class DrawBuilding(Record):
    """A building by its corners."""

    name: str
    points: tuple[Spot, ...]
    snapped: bool = False


class DrawOld(Record):
    """A fence that stands there: how far apart its posts are, how wide its footings; ``then``: it is pulled or left."""

    name: str
    points: tuple[Spot, ...]
    every: str
    footing: str
    then: str = "pull"
    snapped: bool = False


class DrawBoundary(Record):
    """The line of the property through points and places."""

    points: tuple[Spot, ...]
    names: tuple[str, ...] = ()
    snapped: bool = False


class PasteDeed(Record):
    """The line of the property by a legal description."""

    text: str


class Tape(Record):
    """A taped distance between two named points: a new one, or ``about`` one that is there."""

    points: tuple[str, ...]
    reads: str
    tool: str = ""
    about: str = ""


class Square(Record):
    """A right angle that was measured at the middle of three named points."""

    points: tuple[str, ...]
    by: str = ""


class Wall(Record):
    """A wall that stands there, and its taped length."""

    start: str
    end: str
    length: str
    tool: str = ""


class Walk(Record):
    """A walk from a thing that stands there: in line with another (``along``), or facing it (``toward``)."""

    start: str
    go: tuple[str, ...]
    call: tuple[str, ...]
    along: str = ""
    toward: str = ""


class WalkOn(Record):
    """A walk goes on."""

    go: tuple[str, ...]
    call: tuple[str, ...]
    index: int = 0


class Evidence(Record):
    """What was found at a corner of the property, as it was seen; all of it, in place of what was said before."""

    about: str
    what: str = ""
    size: str = ""
    cap: str = ""
    stamp: str = ""
    matches: str = ""
    stands_off: str = ""
    rests_on: str = ""
    who: str = ""
    when: str = ""


class Built(Record):
    """What is built along a run: a fence of the job or of the catalogue, how tall, whose the good side is."""

    run: str
    fence: str
    tall: str = ""
    good: str = ""


class Ground(Record):
    """The ground under a run: lines "8 ft: 14 in" of a level string from a point, or an even fall to another."""

    run: str
    start: str = ""
    drops: tuple[str, ...] = ()
    falls: str = ""
    end: str = ""


class KeepInside(Record):
    """The outermost face of a run stands so far inside the property: its drawn points go inside where they do not."""

    run: str
    inside: str


class Follows(Record):
    """How a run follows the ground."""

    run: str
    follows: str


Edit = (
    SetValue | RemoveKey | Rename | Delete | Move | Length | DrawRun | AddGate | MoveGate | ChangeGate | DrawZone
    | DrawBuilding | DrawOld | DrawBoundary | PasteDeed | Tape | Square | Wall | Walk | WalkOn | Follows | Evidence
    | Built | Ground | KeepInside
)  # fmt: skip
