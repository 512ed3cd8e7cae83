"""What a person wrote, in SI: metres, radians, newtons. No calculation here.

Every record that came from a place in a file carries it as ``at``, so that a problem found later can
still point there. ``None`` means "not given"; a value typed as ``ask`` is ``None`` too and is listed
in :attr:`Job.asks`.
"""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.model.evidence import CornerEvidence
from palewright.model.heights import LevelLine
from palewright.model.permit import AgreementSpec, LotSpec, RuleBook
from palewright.model.prose import DeedProse
from palewright.model.terrain import GroundSpec
from palewright.record import Record

__all__ = [
    "BoundarySpec",
    "Call",
    "CornerSpec",
    "CurveCall",
    "EndSpec",
    "FallSpec",
    "FenceSpec",
    "GateSpec",
    "GivenBay",
    "InsetSpec",
    "Job",
    "LocateSpec",
    "Measurement",
    "MemberAnswer",
    "PointRef",
    "PointSpec",
    "RemovalSpec",
    "RunSpec",
    "SiteSpec",
    "StepSpec",
    "StakeSpec",
    "StretchSpec",
    "TapeSpec",
    "Turn",
    "Walk",
    "ZoneSpec",
]


class PointRef(Record):
    """A point named in the job, or written as coordinates (east, north) [m]."""

    name: str = ""
    xy: tuple[float, float] | None = None
    at: Where = field(default_factory=Where)


class PointSpec(Record):
    """A named point.

    how
        "coordinates" (``xy`` [m], east, north), "calls" (``calls`` from ``start``), "on line"
        (``distance_m`` from ``line[0]`` toward ``line[1]``, level), "thing" (it stands there: a house
        corner, a tree; its place comes from a walk, or from a wall in ``measured``).
    found
        what stands in the ground there, in the person's words ("5/8 in iron pin, cap 1178"); empty
        for a point that is not a found monument.
    matches_record
        yes, no, or not said.
    side
        where two tapes leave two places for it: "left" or "right" of the line ``side_of``, as one walks along it.
    height_m
        its height where that is given [m].
    """

    name: str
    how: str = "thing"
    xy: tuple[float, float] | None = None
    start: str = ""
    calls: tuple[Call, ...] = ()
    line: tuple[str, str] = ("", "")
    distance_m: float = 0.0
    found: str = ""
    matches_record: bool | None = None
    pin_clear_m: float | None = None
    at: Where = field(default_factory=Where)
    side: str = ""
    side_of: tuple[str, str] = ("", "")
    height_m: float | None = None


class CurveCall(Record):
    """What a deed says of a curve; None where it does not say it.

    side
        "left" or "right" as one goes along it. radius_m, arc_m, tangent_m [m]; delta: central angle [rad].
    degree, degree_by, station_m
        degree of curve [rad] by the "arc" or by the "chord" of one station [m], 100 ft of the foot of the deed.
    radial
        azimuth from the beginning of the curve to its centre [rad].
    joins
        "tangent" or "non-tangent" to the course before it; "" not said.
    """

    side: str
    radius_m: float | None = None
    delta: float | None = None
    arc_m: float | None = None
    tangent_m: float | None = None
    degree: float | None = None
    degree_by: str = ""
    station_m: float = 30.48
    radial: float | None = None
    joins: str = ""


class Call(Record):
    """One leg of a deed with its words: azimuth from north, clockwise [rad], and length [m]; of a curve its chord.

    ``None``: the deed does not say it. ``closing``: it goes "to beginning". ``about``: "more or less" stands in it.
    ``north``: the word that stands with its bearing ("magnetic", "grid", "true"), or "".
    """

    text: str
    azimuth: float | None
    length_m: float | None
    at: Where = field(default_factory=Where)
    curve: CurveCall | None = None
    closing: bool = False
    about: bool = False
    north: str = ""


class Turn(Record):
    """One step of a walk: go ``length_m`` [m], or turn by ``turn`` [rad, left positive].

    assumed
        True for a plain "left" or "right": a right angle that nobody measured.
    """

    length_m: float | None = None
    turn: float | None = None
    assumed: bool = False
    words: str = ""
    at: Where = field(default_factory=Where)


class Walk(Record):
    """Stand at ``start``; ``sight`` is the other named thing, and ``facing`` says how it is used.

    facing
        "away" (``along``: in line with the sight, walking on past the start, one's back to it),
        "toward" (facing the sight) or "azimuth" (``azimuth`` [rad] from north).
    names
        the points called out, one after each "go".
    """

    start: str
    sight: str
    facing: str
    steps: tuple[Turn, ...]
    names: tuple[str, ...]
    azimuth: float | None = None
    at: Where = field(default_factory=Where)


class Measurement(Record):
    """Something measured between named points.

    kind, points, value
        "tape" (two points) [m]; "square" (three points, the middle one is the corner) the angle between the arms, pi/2
        for a square [rad]; "direction" (two points) the azimuth [rad]; "sights" (the instrument, then what it sighted)
        with ``readings``; "on line" (a point, two points of a line), ``at_m`` from the first of them where that was
        taped; "offset" (a point, two points of a line), level and square to the line [m], ``side`` "left", "right" or
        "" of it, ``at_m`` along it; "parallel" (two points of a line, two of another); "position" (one point) ``xy``;
        "rise" (two points): how much higher the second stands [m].
    how
        in the person's words: "long fibreglass", "9-12-15 ft", "compass".
    text
        the value as it was typed.
    rise_m
        how much the ends of a tape that lay along the slope differ in height [m].
    within
        its standard deviation where the person gives one [m].
    source
        "measured", or "record": read from a deed or plat. ``who`` measured or said it, and ``when``, in words.
    temperature_c, pull_n, spans
        of the tape: how warm [C], how hard pulled [N], over how many equal spans it hung (0: it lay on the ground).
    readings
        clockwise readings of a circle, one for each point sighted [rad].
    """

    kind: str
    points: tuple[str, ...]
    value: float
    how: str = ""
    text: str = ""
    at: Where = field(default_factory=Where)
    side: str = ""
    at_m: float | None = None
    rise_m: float = 0.0
    within: float | None = None
    source: str = "measured"
    who: str = ""
    when: str = ""
    readings: tuple[float, ...] = ()
    xy: tuple[float, float] | None = None
    temperature_c: float | None = None
    pull_n: float | None = None
    spans: int = 0


class TapeSpec(Record):
    """A tape of the job: how good it is in a person's words, and when it is right.

    marked_m, true_m
        the length that stands on it, and its length when compared [m].
    right_at_c, right_under_n
        temperature [C] and pull [N] at which it is right. section_m2: of its ribbon [m2]; weight_n_m: [N/m].
    """

    name: str
    accuracy: str
    marked_m: float | None = None
    true_m: float | None = None
    right_at_c: float | None = None
    right_under_n: float | None = None
    section_m2: float | None = None
    weight_n_m: float | None = None
    at: Where = field(default_factory=Where)


class CornerSpec(Record):
    """What is known of one boundary corner: ``found`` in words, or empty for record only, and what it rests on."""

    name: str
    found: str = ""
    matches_record: bool | None = None
    at: Where = field(default_factory=Where)
    evidence: CornerEvidence = field(default_factory=CornerEvidence)


class BoundarySpec(Record):
    """A boundary by ``through`` (named points or coordinates) or by ``calls`` from ``start``.

    names
        corner names in order, beginning with the start; made up ("corner 1") where not given.
    yards
        side number (1-based, side k runs from corner k) to yard: "rear", "side", "street front", ...
    bearings
        what the bearings are counted from, in words that begin with "magnetic", "grid", "true", "assumed" or
        "record"; "" not said. Bearings are never turned for it.
    risk
        chance that the person accepts that measuring error puts the fence over the line [0 < risk < 0.5].
    prose
        the legal description that the calls were read from, where it was pasted.
    """

    start: PointRef
    calls: tuple[Call, ...] = ()
    through: tuple[PointRef, ...] = ()
    names: tuple[str, ...] = ()
    corners: tuple[CornerSpec, ...] = ()
    yards: tuple[tuple[int, str], ...] = ()
    record: str = ""
    at: Where = field(default_factory=Where)
    bearings: str = ""
    risk: float | None = None
    prose: DeedProse | None = None


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
