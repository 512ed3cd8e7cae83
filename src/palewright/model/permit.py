"""The legal shape of a fence: what lies on the lot, the rules as typed, what they say of the design. No calculation."""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.model.places import PointRef
from palewright.model.said import Reason, Remark
from palewright.model.site import XY, ArcSide
from palewright.record import Record

__all__ = [
    "Agreement",
    "AgreementSpec",
    "Drive",
    "DriveSpec",
    "Easement",
    "EasementSpec",
    "FenceFacts",
    "Finding",
    "GateFacts",
    "LotSpec",
    "Permit",
    "PoolSpec",
    "RetainingSpec",
    "Rule",
    "RuleBook",
    "Setback",
    "SightTriangle",
    "Street",
    "StreetSpec",
    "Tree",
    "TreeSpec",
    "Wall",
]


# ---------------------------------------------------------------- as typed in the job file


class StreetSpec(Record):
    """A street along sides of the boundary (1-based). Lengths are from the property line outward [m]; None: not said.

    curb_m, pavement_m, centre_m
        to the face of the curb, to the edge of the pavement, to the centre line.
    """

    name: str
    sides: tuple[int, ...]
    curb_m: float | None = None
    pavement_m: float | None = None
    centre_m: float | None = None
    at: Where = field(default_factory=Where)


class DriveSpec(Record):
    """A drive: its centre line from the street into the lot, and its width [m]."""

    name: str
    through: tuple[PointRef, ...]
    width_m: float
    at: Where = field(default_factory=Where)


class TreeSpec(Record):
    """A tree: trunk and crown across [m]."""

    name: str
    place: PointRef
    trunk_m: float | None = None
    crown_m: float | None = None
    at: Where = field(default_factory=Where)


class EasementSpec(Record):
    """An easement: a strip ``width_m`` wide along ``sides`` (1-based), or an area by its corners ``through``."""

    name: str
    sides: tuple[int, ...] = ()
    width_m: float = 0.0
    through: tuple[PointRef, ...] = ()
    record: str = ""
    at: Where = field(default_factory=Where)


class PoolSpec(Record):
    """A pool by the edge of its water; ``barrier``: names of the runs that keep people from it (empty: not said).

    surface
        below the barrier: "soil", "solid" or "" not said, which counts as soil.
    """

    name: str
    through: tuple[PointRef, ...]
    barrier: tuple[str, ...] = ()
    at: Where = field(default_factory=Where)
    surface: str = ""


class RetainingSpec(Record):
    """A retaining wall: height [m]; ``holds`` "fill", "cut" or "" not said."""

    name: str
    through: tuple[PointRef, ...]
    height_m: float | None = None
    holds: str = ""
    at: Where = field(default_factory=Where)


class GateFacts(Record):
    """Hardware of a gate as typed: None where it was not said. ``latch_m``: height of its release above ground [m]."""

    gate: str
    self_closing: bool | None = None
    self_latching: bool | None = None
    latch_m: float | None = None


class FenceFacts(Record):
    """What a rule may ask of a kind of fence: share that is open, widest opening [m], side of the rails.

    rails
        "in" (pool or yard side), "out", "none" or "" not said.
    """

    fence: str
    open_share: float | None = None
    opening_m: float | None = None
    rails: str = ""


class LotSpec(Record):
    """What lies on and round the lot, as typed.

    front
        sides that count as front; empty where not said. building: name of the main building, "" for the largest.
    """

    streets: tuple[StreetSpec, ...] = ()
    front: tuple[int, ...] = ()
    building: str = ""
    drives: tuple[DriveSpec, ...] = ()
    trees: tuple[TreeSpec, ...] = ()
    easements: tuple[EasementSpec, ...] = ()
    pools: tuple[PoolSpec, ...] = ()
    walls: tuple[RetainingSpec, ...] = ()
    gates: tuple[GateFacts, ...] = ()
    fences: tuple[FenceFacts, ...] = ()
    at: Where = field(default_factory=Where)


class AgreementSpec(Record):
    """What two neighbours agree about a line, in their words; "" leaves a blank to fill in on the paper.

    sides
        of the boundary (1-based). shown_by, found_how, shown_on: who showed the line, how it was found, on which day.
    """

    neighbour: str
    sides: tuple[int, ...] = ()
    shown_by: str = ""
    found_how: str = ""
    shown_on: str = ""
    share: str = ""
    good_side: str = ""
    upkeep: str = ""
    access: str = ""
    more: str = ""
    at: Where = field(default_factory=Where)


# ---------------------------------------------------------------- the rules as typed


class Rule(Record):
    """One rule of a place, as somebody typed it.

    kind
        "setback", "height", "openness", "corner-sight", "drive-sight", "easement", "pool", "retaining", "good-side",
        "material".
    lengths, shares
        numbers by their keys [m; parts of one]. words, lists: choices by their keys, yes and no as "yes" and "no".
    source, checked
        who says so, and the day on which that was looked up (year-month-day).
    """

    name: str
    kind: str
    clause: str
    source: str
    checked: str
    lengths: tuple[tuple[str, float], ...] = ()
    shares: tuple[tuple[str, float], ...] = ()
    words: tuple[tuple[str, str], ...] = ()
    lists: tuple[tuple[str, tuple[str, ...]], ...] = ()
    note: str = ""
    at: Where = field(default_factory=Where)

    def length(self, key: str) -> float | None:
        """A length by its key [m], or None."""
        return dict(self.lengths).get(key)

    def share(self, key: str) -> float | None:
        """A share by its key, or None."""
        return dict(self.shares).get(key)

    def word(self, key: str, default: str = "") -> str:
        """A word by its key."""
        return dict(self.words).get(key, default)

    def names(self, key: str) -> tuple[str, ...]:
        """A list of words by its key."""
        return dict(self.lists).get(key, ())


class RuleBook(Record):
    """The rules of one file: for which place, from which document, looked up on which day, and who answered."""

    place: str
    source: str
    checked: str
    rules: tuple[Rule, ...]
    answered: str = ""
    file: str = ""


# ---------------------------------------------------------------- resolved and judged


class Street(Record):
    """A street and the sides along it; ``front``: whether they count as front, None where that is not said."""

    name: str
    sides: tuple[int, ...]
    curb_m: float | None
    pavement_m: float | None
    centre_m: float | None
    front: bool | None


class Drive(Record):
    """A drive: centre line in metres, width [m]."""

    name: str
    points: tuple[XY, ...]
    width_m: float


class Tree(Record):
    """A tree: place, trunk and crown across [m], 0 where not said."""

    name: str
    xy: XY
    trunk_m: float
    crown_m: float


class Easement(Record):
    """An easement as an area in metres (an arc by short chords); ``width_m`` [m] and ``sides`` where it is a strip."""

    name: str
    ring: tuple[XY, ...]
    width_m: float
    sides: tuple[int, ...]
    record: str


class Setback(Record):
    """A line inside a side at the distance of a rule [m]; ``arc`` where it is curved."""

    rule: str
    side: int
    start: XY
    end: XY
    distance_m: float
    arc: ArcSide | None = None


class SightTriangle(Record):
    """A triangle in which a rule limits what stands; ``thing``: "corner" or the name of the drive."""

    rule: str
    thing: str
    ring: tuple[XY, ...]


class Wall(Record):
    """A retaining wall in metres."""

    name: str
    points: tuple[XY, ...]
    height_m: float | None


class Finding(Record):
    """What one rule says of one part of the fence.

    verdict
        "meets", "does-not" or "ask".
    measure
        slug of what was compared ("height", "face-to-side", ...), with words in ``papers``.
    provided, required
        SI numbers or words, None where unknown; ``unit`` "m", "share", "count" or "". bound: "least", "most", "".
    run, posts, bays, side
        where: the run, its first and last post, the bays, the side of the boundary (0: none).
    part
        the length along the run from its start, both ends [m]; () for all of it.
    yard
        yard in which that is, or "". ask: slug of what must be asked.
    args
        what the words name.
    number
        of the rule in its file, counted from 1; 0 where no rule was typed.
    """

    rule: str
    kind: str
    clause: str
    verdict: str
    measure: str
    provided: float | int | str | None = None
    required: float | int | str | None = None
    unit: str = "m"
    bound: str = ""
    run: str = ""
    posts: tuple[str, ...] = ()
    bays: tuple[int, ...] = ()
    side: int = 0
    part: tuple[float, ...] = ()
    yard: str = ""
    ask: str = ""
    args: tuple[tuple[str, float | int | str], ...] = ()
    number: int = 0


class Agreement(Record):
    """What two neighbours agree, and the fence that stands beside the line: fences by name, length [m], good sides."""

    spec: AgreementSpec
    runs: tuple[str, ...] = ()
    fences: tuple[str, ...] = ()
    length_m: float = 0.0
    good_sides: tuple[str, ...] = ()


class Permit(Record):
    """The lot, the rules, what they say of the design, and what neighbours agree.

    rules
        None where no rules were given. stale: names of rules that were looked up more than a year before ``today``.
    candidates
        street sides of which one counts as front, where nobody has said which.
    """

    today: str
    rules: RuleBook | None
    streets: tuple[Street, ...]
    candidates: tuple[int, ...]
    drives: tuple[Drive, ...]
    trees: tuple[Tree, ...]
    easements: tuple[Easement, ...]
    setbacks: tuple[Setback, ...]
    triangles: tuple[SightTriangle, ...]
    pools: tuple[tuple[str, tuple[XY, ...]], ...]
    walls: tuple[Wall, ...]
    findings: tuple[Finding, ...]
    agreements: tuple[Agreement, ...]
    stale: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()
    drawn: bool = False
