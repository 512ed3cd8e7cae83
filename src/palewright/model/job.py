"""What a person wrote, in SI: metres, radians, newtons. No calculation here.

Every record that came from a place in a file carries it as ``at``, so that a problem found later can
still point there. ``None`` means "not given"; a value typed as ``ask`` is ``None`` too and is listed
in :attr:`Job.asks`.
"""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.model.heights import LevelLine
from palewright.model.permit import AgreementSpec, LotSpec, RuleBook
from palewright.model.places import BoundarySpec, Measurement, PointRef, PointSpec, TapeSpec, Walk
from palewright.model.terrain import GroundSpec
from palewright.record import Record

__all__ = [
    "EndSpec",
    "FallSpec",
    "FenceSpec",
    "GateSpec",
    "GivenBay",
    "InsetSpec",
    "Job",
    "LocateSpec",
    "MemberAnswer",
    "RemovalSpec",
    "RunSpec",
    "SiteSpec",
    "StepSpec",
    "StakeSpec",
    "StretchSpec",
    "ZoneSpec",
]


class FenceSpec(Record):
    """A fence as the job wants it: a kind of the catalogue with the job's own values laid over.

    kind
        name of a kind file ("boards", "chain-link", ...).
    values
        overrides of the kind's own keys, flattened with dots, in SI or plain words:
        ``{"board": 1.8288, "longest bay": 2.4384, "hole.line": 0.254, "post.gate": "6x6"}``.
    good_side
        "neighbour", "yard", "both", "ask" (left open for now: the plan asks for it) or "" (not said).
    """

    name: str
    kind: str
    values: tuple[tuple[str, float | int | str | bool], ...] = ()
    good_side: str = ""
    kind_file: str = ""
    at: Where = field(default_factory=Where)
    value_places: tuple[tuple[str, Where], ...] = ()


class InsetSpec(Record):
    """How far inside the boundary: ``of`` is "face", "post" or "footing"; ``distance_m`` [m]."""

    of: str
    distance_m: float
    at: Where = field(default_factory=Where)


class EndSpec(Record):
    """How a run begins or ends at ``point``.

    how
        "post" (a post of its own), "bracket" (fixed to a wall, no post and no hole),
        "post at wall" (a post against the wall) or "post clear" (a post clear of the footing by
        ``clear_m`` from the wall to the near face of the post).
    """

    point: str
    how: str
    clear_m: float = 0.0
    at: Where = field(default_factory=Where)


class GateSpec(Record):
    """A gate.

    opening_m, leaf_m
        post face to post face, or one leaf; at least one is given.
    starts_m, from_point, reference
        where: ``starts_m`` from ``from_point`` along the run to the near edge of the opening
        (``reference`` "start"), or to its middle ("centre"). ``starts_m`` 0 with reference "start":
        the post at that point is the gate post.
    hinges
        "near" or "far": which post carries the hinge, seen from ``from_point``; "" not said.
    swings
        "yard", "out" or "" not said. leaves: 1 or 2.
    uphill
        "keep": the owner knows that the ground rises in its swing, and keeps it.
    what
        "floodgate" or "cattle guard" where it is no gate (runs of wire only); "" a gate.
    """

    name: str
    opening_m: float | None
    leaf_m: float | None
    starts_m: float
    from_point: str
    reference: str = "start"
    hinges: str = ""
    swings: str = ""
    leaves: int = 1
    open_angle: float = 1.5707963267948966
    at: Where = field(default_factory=Where)
    uphill: str = ""
    what: str = ""


class GivenBay(Record):
    """Bays of a given length at one end of a leg: ``count`` bays of ``length_m`` starting at ``point``.

    toward
        the next named point along the run, which names the leg when ``point`` is a corner; "" else.
    why
        "brace", "first panel", ...: printed beside the bay.
    """

    point: str
    length_m: float
    count: int = 1
    toward: str = ""
    why: str = ""
    at: Where = field(default_factory=Where)


class StepSpec(Record):
    """What the steps of a fence must keep: smallest, largest, what they are whole numbers of [m]; all alike or not."""

    smallest_m: float = 0.0
    largest_m: float | None = None
    multiple_m: float = 0.0
    equal: bool = False


class StretchSpec(Record):
    """Part of a run that follows the ground in its own way, from one place to another along it.

    start, end
        each a distance [m] from a point of the run, by its name; 0 for the point itself. steps: those of the run where
        None.
    """

    start: tuple[float, str]
    end: tuple[float, str]
    follows: str
    at: Where = field(default_factory=Where)
    steps: StepSpec | None = None


class RunSpec(Record):
    """A fence between two ends.

    Either ``through`` (points), or ``sides`` of the boundary (1-based; all of them for a closed loop)
    with ``inset``. With ``through`` an ``inset`` is a requirement that is checked.

    begins, finishes
        with ``sides``: the run begins (ends) where its first (last) side is abreast of this point, not at the corner.
    call
        with ``sides``: names for its corners and ends in walking order, for other runs to go through.
    yard
        "left" or "right" of the direction of the run.
    follows
        "racked", "stepped", "level-top", "grade", "mixed" (racked and level bays), "best" or "" (ask).
    signed_m
        its length as signed for [m], for the as-built sheet alone.
    stretches
        parts that follow the ground in another way. steps: what its steps must keep. breaks: points at which a level
        top may change its height.
    divide
        "even", "short first", "short last", "short both" or "panels"; "" for panels at their own
        module where the kind has one, and even bays elsewhere.
    """

    name: str
    fence: str
    through: tuple[PointRef, ...] = ()
    sides: tuple[int, ...] = ()
    closed: bool = False
    inset: InsetSpec | None = None
    yard: str = ""
    follows: str = ""
    divide: str = ""
    ends: tuple[EndSpec, ...] = ()
    gates: tuple[GateSpec, ...] = ()
    given: tuple[GivenBay, ...] = ()
    shortest_m: float | None = None
    strings: str = "yard"
    at: Where = field(default_factory=Where)
    begins: PointRef | None = None
    finishes: PointRef | None = None
    call: tuple[str, ...] = ()
    steps: StepSpec | None = None
    breaks: tuple[str, ...] = ()
    stretches: tuple[StretchSpec, ...] = ()
    signed_m: float | None = None


class RemovalSpec(Record):
    """An old fence: ``then`` "pull" or "leave". Its footings are ``footing_m`` across, ``every_m`` apart."""

    name: str
    through: tuple[PointRef, ...]
    every_m: float
    footing_m: float
    then: str
    kind: str = ""
    height_m: float | None = None
    at: Where = field(default_factory=Where)


class ZoneSpec(Record):
    """Ground to keep clear of: a line (two or more points) or one point.

    width_m
        outside width of the facility; each_side_m: kept clear on each side of its *outside*.
    inside
        "no hole" or "hand dig".
    utility
        "gas", "electric", "water", "sewer", "communication", "reclaimed", "" (none): gives the colour.
    """

    name: str
    through: tuple[PointRef, ...]
    width_m: float
    each_side_m: float
    inside: str
    utility: str = ""
    closed: bool = False
    at: Where = field(default_factory=Where)


class FallSpec(Record):
    """The ground falls ``fall_m`` from ``start`` to ``end`` (rises when negative).

    even
        it is one straight slope, so the person says. how: with what it was measured, in words; within: its standard
        deviation where the person gives one [m].
    """

    start: str
    end: str
    fall_m: float
    at: Where = field(default_factory=Where)
    even: bool = False
    how: str = ""
    within: float | None = None


class MemberAnswer(Record):
    """What one member of the locate answered: "marked", "clear", ... or "" for nothing yet."""

    name: str
    answer: str = ""
    when: str = ""


class LocateSpec(Record):
    """The locate as typed. Empty strings were not entered."""

    ticket: str = ""
    called_on: str = ""
    legal_from: str = ""
    expires: str = ""
    members: tuple[MemberAnswer, ...] = ()
    private: tuple[str, ...] = ()
    at: Where = field(default_factory=Where)

    @property
    def begun(self) -> bool:
        """Whether anything of a ticket is typed."""
        return any((self.ticket, self.called_on, self.legal_from, self.expires))


class SiteSpec(Record):
    """The site as typed; ``None`` or "" was not given. frost_m: depth of frost below ground [m]."""

    frost_m: float | None = None
    soil: str = ""
    wind: str = ""
    exposure: str = ""
    frost_source: str = ""
    at: Where = field(default_factory=Where)


class StakeSpec(Record):
    """How strings are set.

    offset_m
        from the line of post centres to the string [m].
    beyond_m
        how far beyond the corner the stake stands [m].
    paint_m
        paint margin outside a zone [m]. longest_string_m: longest without a sighted point [m].
    tolerance_m
        sideways at the far end that a corner check may leave [m].
    tape
        what the crew tapes with, in the person's words; "" not said.
    """

    offset_m: float = 0.6096
    beyond_m: float = 0.9144
    paint_m: float = 0.0762
    longest_string_m: float = 30.48
    tolerance_m: float = 0.0127
    mark_extra_m: float = 0.0508
    at: Where = field(default_factory=Where)
    tape: str = ""


class Job(Record):
    """A whole job as written. Read with :func:`palewright.jobfile.read`."""

    title: str
    file: str = ""
    version: int = 1
    address: str = ""
    client: str = ""
    notes: tuple[str, ...] = ()
    print_style: str = "feet-inches"
    fraction: int = 8
    language: str = "en"
    paper: str = "letter"
    tape_m: float = 30.48
    north: bool = False
    north_basis: str = ""
    points: tuple[PointSpec, ...] = ()
    walks: tuple[Walk, ...] = ()
    measured: tuple[Measurement, ...] = ()
    tapes: tuple[TapeSpec, ...] = ()
    boundary: BoundarySpec | None = None
    fences: tuple[FenceSpec, ...] = ()
    runs: tuple[RunSpec, ...] = ()
    removals: tuple[RemovalSpec, ...] = ()
    zones: tuple[ZoneSpec, ...] = ()
    falls: tuple[FallSpec, ...] = ()
    locate: LocateSpec = field(default_factory=LocateSpec)
    site: SiteSpec = field(default_factory=SiteSpec)
    stakes: StakeSpec = field(default_factory=StakeSpec)
    buildings: tuple[tuple[str, tuple[PointRef, ...]], ...] = ()
    prices_file: str = ""
    currency: str = ""
    asks: tuple[Where, ...] = ()
    at: Where = field(default_factory=Where)
    prices_at: Where = field(default_factory=Where)
    lot: LotSpec = field(default_factory=LotSpec)
    agreements: tuple[AgreementSpec, ...] = ()
    rules_file: str = ""
    rules_at: Where = field(default_factory=Where)
    rules: RuleBook | None = None
    levels: tuple[LevelLine, ...] = ()
    ground: GroundSpec = field(default_factory=GroundSpec)
