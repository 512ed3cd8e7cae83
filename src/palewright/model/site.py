"""The site: what is there before anything is laid out. Computed records, no calculation here."""

from __future__ import annotations

from dataclasses import field

from palewright.model.evidence import BoundaryEvidence, CornerEvidence
from palewright.model.heights import Heights
from palewright.model.network import Survey
from palewright.model.prose import DeedProse
from palewright.model.said import Reason, Remark
from palewright.record import Record

__all__ = [
    "ArcSide",
    "Closure",
    "Corner",
    "Course",
    "LineStatus",
    "Removal",
    "Ring",
    "Site",
    "SitePoint",
    "Zone",
]

XY = tuple[float, float]


class SitePoint(Record):
    """A named point with its place (east, north, or local x, y) [m].

    how
        "coordinates", "calls", "walk", "on line", "thing", "boundary".
    found
        description of the monument found there, or "".
    assumed_angle
        True when a right angle nobody measured lies between it and what stands: drawn hollow.
    """

    name: str
    xy: XY
    how: str
    found: str = ""
    assumed_angle: bool = False
    pin_clear_m: float = 0.0


class ArcSide(Record):
    """The arc of a curved side: centre, radius and length along it [m].

    sweep
        how far the direction of travel turns along it [rad], left positive.
    """

    centre: XY
    radius_m: float
    sweep: float
    length_m: float


class Course(Record):
    """One side of the boundary: side ``number`` from corner ``start`` to corner ``end``; azimuth [rad], length [m].

    arc
        of a curved side; azimuth and length are those of its chord then. about: its length is "more or less".
    """

    number: int
    start: str
    end: str
    azimuth: float
    length_m: float
    text: str
    yard: str = ""
    arc: ArcSide | None = None
    about: bool = False


class Corner(Record):
    """A boundary corner: its place, and the pin that was found there or nothing (record only).

    weak
        what keeps it from holding anything down: "kind" or "mark" (the pin is not described), "match" (not compared
        with the record), "differs", "stands off" (a witness bar), "no pin" (something else was found), "map", "gnss",
        "neighbour's fence", "owner's word", "record only"; empty for a pin that counts.
    """

    name: str
    xy: XY
    found: str = ""
    matches_record: bool | None = None
    evidence: CornerEvidence = field(default_factory=CornerEvidence)
    weak: tuple[str, ...] = ()

    @property
    def counts(self) -> bool:
        """Whether a pin was found that may hold something down: described, like the record, at the corner itself."""
        return bool(self.found) and not self.weak


class Closure(Record):
    """Closure of the calls: errors are sums of latitudes and departures [m]; ``precision`` is perimeter / misclosure.

    ``precision`` is 0 for a boundary given by points (nothing to close).
    """

    perimeter_m: float
    latitude_error_m: float
    departure_error_m: float
    misclosure_m: float
    precision: float


class LineStatus(Record):
    """Whether the lines may be drawn solid: ``found`` of ``total`` corners found, ``located`` and why (a slug).

    found
        corners with a pin that counts (:attr:`Corner.counts`); ``more``: those with a pin that does not.
    """

    found: int
    total: int
    located: bool
    why: str
    more: int = 0


class Ring(Record):
    """The boundary: corners in order (not repeated at the end), its sides, closure, area as called [m2].

    bearings
        what its bearings are counted from, in the words of the deed; "" not said.
    prose
        the legal description that the calls were read from, where it was pasted.
    """

    corners: tuple[Corner, ...]
    courses: tuple[Course, ...]
    closure: Closure
    area_m2: float
    clockwise: bool
    status: LineStatus
    record: str = ""
    bearings: str = ""
    prose: DeedProse | None = None


class Zone(Record):
    """Ground to keep clear of, resolved. ``half_m``: from the centre line to the edge of the zone [m].

    kind
        "no hole", "hand dig", "loose ground" (a footing pulled) or "pin" (round a found monument).
    """

    name: str
    points: tuple[XY, ...]
    half_m: float
    kind: str
    utility: str = ""
    width_m: float = 0.0
    closed: bool = False


class Removal(Record):
    """An old fence: length [m], posts counted along it, their places, and whether they are pulled or left."""

    name: str
    points: tuple[XY, ...]
    length_m: float
    posts: tuple[XY, ...]
    footing_m: float
    then: str
    kind: str = ""
    height_m: float | None = None


class Site(Record):
    """What is there: points, boundary, zones, buildings, old fences; ``survey`` where something was measured.

    evidence
        of the boundary: record beside measured, where to look for pins; None without a boundary.
    heights
        of named points; None where nothing was levelled and no height is given.
    """

    points: tuple[SitePoint, ...]
    ring: Ring | None
    zones: tuple[Zone, ...]
    removals: tuple[Removal, ...]
    buildings: tuple[tuple[str, tuple[XY, ...]], ...]
    north: bool
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()
    survey: Survey | None = None
    evidence: BoundaryEvidence | None = None
    heights: Heights | None = None
