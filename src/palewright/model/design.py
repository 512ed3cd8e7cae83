"""The site and the design: what stands where. Computed records, no calculation here."""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.model.evidence import BoundaryEvidence, CornerEvidence
from palewright.model.ground import Meeting, Profile
from palewright.model.heights import Heights
from palewright.model.network import Survey
from palewright.model.prose import DeedProse
from palewright.record import Record

__all__ = [
    "ArcSide",
    "Bay",
    "Closure",
    "Corner",
    "Course",
    "Design",
    "Embedment",
    "Gate",
    "Hole",
    "Leg",
    "LineStatus",
    "Move",
    "Post",
    "Reason",
    "Remark",
    "Removal",
    "Ring",
    "Run",
    "Site",
    "SitePoint",
    "Zone",
    "ZoneHit",
]

XY = tuple[float, float]


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


# ---------------------------------------------------------------- the site


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


# ---------------------------------------------------------------- the design


class Embedment(Record):
    """How deep: hole depth, post in the ground and gravel under it [m]; which rule governs, and why.

    governs
        "kind", "third", "frost" or "typed".
    """

    depth_m: float
    in_ground_m: float
    gravel_m: float
    governs: str
    reasons: tuple[Reason, ...] = ()


class ZoneHit(Record):
    """A hole and a zone: ``clear_m`` from hole edge to zone edge (negative when inside) [m]."""

    zone: str
    kind: str
    clear_m: float
    utility: str = ""


class Move(Record):
    """How far a hole may go along its leg with its neighbours standing, each way [m], and what stops it.

    ``back`` is toward the start of the run. A stop is "bay" (longest bay), "short bay", "zone NAME",
    "fixed" (corner, gate or end: not to be moved), ...
    """

    back_m: float
    back_stop: str
    on_m: float
    on_stop: str


class Hole(Record):
    """A hole: diameter, depth, gravel, post in the ground [m]; what governs the depth; how it is dug.

    governs
        "kind", "third", "frost" or "typed".
    """

    diameter_m: float
    depth_m: float
    gravel_m: float
    in_ground_m: float
    governs: str
    fill: str
    hand_dig: bool
    hits: tuple[ZoneHit, ...] = ()


class Post(Record):
    """A post, or a wall bracket (``number`` 0, no hole).

    label
        "1", "2", ... in walking order over all runs, or "W1", "W2", ... for brackets.
    role
        "end", "corner", "line", "gate", "tee", "change".
    kind
        name of the fence whose post it is (the taller one where two meet).
    places
        (run, station [m]) for each run it stands in; ``legs``: the legs it stands in.
    axis
        azimuth-like angle of the leg the section is square to [rad, counter-clockwise from x].
    above_m, length_m, stock_m
        top above ground, whole length as set, length to buy [m]; stock 0 when not known.
    inset
        to the boundary, each [m]: nearest fence face, post face and footing edge; empty without boundary.
    """

    label: str
    number: int
    role: str
    xy: XY
    kind: str
    section: str
    width_m: float
    depth_m: float
    round: bool
    axis: float
    above_m: float
    length_m: float
    stock_m: float
    hole: Hole | None
    places: tuple[tuple[str, float], ...]
    legs: tuple[int, ...]
    move: Move | None = None
    inset: tuple[tuple[str, float], ...] = ()
    assumed: bool = False
    turn: float = 0.0
    why: str = ""


class Bay(Record):
    """From post to post: centre to centre and clear between faces [m].

    kind
        "fence", "gate" or "given". ``cut`` True for a panel that must be cut. ``note`` why it is as it is.
    """

    number: int
    run: str
    leg: int
    start: str
    end: str
    length_m: float
    clear_m: float
    kind: str
    fence: str
    cut: bool = False
    note: str = ""


class Gate(Record):
    """A gate as laid out.

    opening_m
        post face to post face [m]; ``leaf_m`` each leaf; ``allowance_m`` opening minus leaves.
    hinge, latch
        post labels; ``hinge_xy`` where the hinge dot is drawn for each leaf; ``swing`` one polygon per leaf, from the
        hinge, in metres; ``swings`` "yard" or "out".
    bottom_m, top_m
        of the leaves above the ground at the first hinge post [m].
    low_gap_m, uphill_m
        most room below the shut leaves, and how much higher they hang because the ground rises in their swing [m].
    """

    name: str
    run: str
    leg: int
    bay: int
    opening_m: float
    leaf_m: float
    leaves: int
    allowance_m: float
    allowance_source: str
    posts: tuple[str, str]
    hinge: tuple[str, ...]
    latch: tuple[str, ...]
    swings: str
    hinge_xy: tuple[XY, ...] = ()
    swing: tuple[tuple[XY, ...], ...] = ()
    height_m: float = 0.0
    fence: str = ""
    bottom_m: float = 0.0
    top_m: float = 0.0
    low_gap_m: float = 0.0
    uphill_m: float = 0.0


class Leg(Record):
    """A straight piece of a run between two fixed posts at corners, tees or ends.

    start, end
        places of the two end post centres (a bracket: the wall face) [m]; ``azimuth`` [rad] from north (or from +y),
        clockwise; stations count from the start of the run. ``binding`` says which rule decided the number of bays.
    """

    index: int
    run: str
    fence: str
    start: XY
    end: XY
    azimuth: float
    length_m: float
    from_m: float
    posts: tuple[str, ...]
    bays: tuple[int, ...]
    yard: str
    good_side: str
    binding: str
    proof: str = ""


class Run(Record):
    """A run: length centre to centre over its legs, gates included [m]; ``closed`` for a loop.

    fall_m, fall_by
        how far the ground falls in walking order [m]: "levelled" by the heights of its ends, or as "typed"; None and ""
        where neither is known.
    inside
        what keeps the distance to the boundary that was asked for: "face", "post" or "footing"; "" where none was.
    profile
        the ground under it; None where no height reaches it. assumed: from which station to which its bays stand on
        ground that nobody knows, while it is known under others [m].
    stretches
        parts that were asked to follow the ground in another way: from station to station [m], and how.
    """

    name: str
    fence: str
    legs: tuple[int, ...]
    length_m: float
    fence_m: float
    closed: bool
    follows: str
    level_assumed: bool
    fall_m: float | None = None
    trial: bool = False
    inside: str = ""
    fall_by: str = ""
    profile: Profile | None = None
    assumed: tuple[tuple[float, float], ...] = ()
    stretches: tuple[tuple[float, float, str], ...] = ()


class Design(Record):
    """All that is laid out. ``meetings``: how each run whose ground is known meets it."""

    runs: tuple[Run, ...]
    legs: tuple[Leg, ...]
    posts: tuple[Post, ...]
    bays: tuple[Bay, ...]
    gates: tuple[Gate, ...]
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()
    meetings: tuple[Meeting, ...] = ()
