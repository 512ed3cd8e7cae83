"""What a boundary rests on: what was found at each corner, record beside measured, and where to look for pins.

SI: metres, radians, azimuths clockwise from north. No calculation here.
"""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.record import Record

__all__ = ["BoundaryEvidence", "CornerEvidence", "PinArea", "PinNeighbour", "PinSearch", "PinTie", "RecordCheck"]


class CornerEvidence(Record):
    """What one corner rests on, in the words of the person who says so.

    rests_on
        "monument", "record only", "map", "gnss", "neighbour's fence" or "owner's word"; "" not said: a monument where
        one was found, else the record only.
    what, size, cap, stamp
        the parts of the pin, where a person gives them apart.
    stands_off_m
        how far a witness bar stands from the corner that it bears witness to [m].
    record
        what the record says stands there. seen: what was found and is no pin (a lath, a flag, a fence post).
    """

    rests_on: str = ""
    who: str = ""
    when: str = ""
    what: str = ""
    size: str = ""
    cap: str = ""
    stamp: str = ""
    stands_off_m: float | None = None
    record: str = ""
    seen: str = ""


class RecordCheck(Record):
    """Record, measured, difference.

    kind, points
        "distance" or "direction" between two corners, or "place" of one corner.
    record, measured
        [m or rad]; both 0 for a place.
    difference
        measured less record [m or rad]; of a place the distance between the two [m], ``toward``: from the place by
        record to the one measured [rad].
    sigma
        standard deviation of what was measured [m or rad], of a place along the long axis of its ellipse.
    beyond
        the difference is more than the tools explain.
    by
        "tape", "direction", "coordinates", or "adjusted": all readings together. how: the tool in the person's words.
    chord
        the distance is the chord of a curved side.
    """

    kind: str
    points: tuple[str, ...]
    record: float
    measured: float
    difference: float
    sigma: float
    beyond: bool
    by: str
    how: str = ""
    toward: float | None = None
    chord: bool = False
    at: Where = field(default_factory=Where)


class PinTie(Record):
    """A tape to where a pin should be: from what stands or was found, how long [m], and whether one tape reaches."""

    start: str
    length_m: float
    reaches: bool


class PinNeighbour(Record):
    """A corner next to the one that is looked for: how far by the record [m], which way [rad], whether it was found."""

    name: str
    length_m: float
    azimuth: float
    found: bool


class PinArea(Record):
    """Where a pin is by one other pin alone: as far from it as the record says, in a direction known more or less.

    pin, distance_m, along_m
        the pin that was found, how far from it by the record, and how much nearer or farther [m].
    azimuth, across_m
        the direction by the record [rad] and how far to either side [m]; both None where no direction is known on the
        ground: the pin is then anywhere on the circle.
    by
        how the direction is known: "measured", or "north" (a compass, from the north that the bearings count from); ""
        not known. sigma: its standard deviation [rad], 0 where it is not known. tool: the tool, or that north.
    Half lengths, of an area that holds the pin with 95 % chance, if record and readings are as good as they say.
    """

    pin: str
    distance_m: float
    along_m: float
    azimuth: float | None = None
    across_m: float | None = None
    by: str = ""
    sigma: float = 0.0
    tool: str = ""


class PinSearch(Record):
    """Where to look for the pin of one corner.

    ties, crossing, side
        the tapes, the angle at which the two cross [rad], and on which side of the line from where the first begins to
        where the second does, "left" or "right"; 0 and "" with fewer than two.
    radius_m
        in it the pin stands with 95 % chance, if record and readings are as good as they say; None: no radius can be
        given, and ``why``: "nothing-found" or "one-corner" (what ties the record to the ground), "no-two-tapes" (they
        do not cross).
    sigmas_m
        standard deviation of each tie: of the record, the tape, and the place it is taken from, together [m].
    area
        where one pin counts ("one-corner"): what it alone says.
    """

    corner: str
    ties: tuple[PinTie, ...]
    crossing: float
    radius_m: float | None
    why: str
    sigmas_m: tuple[float, ...]
    neighbours: tuple[PinNeighbour, ...]
    side: str = ""
    area: PinArea | None = None


class BoundaryEvidence(Record):
    """What was measured of a boundary beside its record.

    base, held, dof
        the two corners by which the places measured are laid on the record: the first in its place, the second in its
        direction, or in its place too (``held``); empty where no places follow from what was measured. How many
        readings check the others there.
    record_sigma_m
        what the record is off by its own figures or at found corners, whichever is more [m].
    """

    checks: tuple[RecordCheck, ...] = ()
    base: tuple[str, ...] = ()
    dof: int = 0
    record_sigma_m: float = 0.0
    searches: tuple[PinSearch, ...] = ()
    held: bool = False
