"""A fence of wire as it is laid out: braced assemblies, and between them stretches of equal bays.

Computed records, no calculation here. Stations are level distances [m] along the run from its start; ``along`` is along
the slope of the ground where that is known, and level where it is not.
"""

from __future__ import annotations

from palewright.model.ground import Profile
from palewright.model.said import Reason, Remark
from palewright.record import Record

__all__ = [
    "Assembly",
    "LineCurve",
    "LineGate",
    "LineLeg",
    "LinePlan",
    "LinePost",
    "PostMove",
    "PostZone",
    "Roll",
    "Running",
    "Stretch",
    "WireRule",
    "WireRules",
]

XY = tuple[float, float]
_HELD = ("end", "corner", "anchor", "gate", "pull", "brace", "wood", "stiff", "low", "high")


class WireRule(Record):
    """One rule as it holds: value in SI (``unit`` "m", "rad" or ""), whose it is, and its words or clause.

    row
        where the rule is several numbers, as the heights of wires; ``value`` is their count then.
    """

    key: str
    value: float | str
    unit: str
    source: str
    words: str = ""
    row: tuple[float, ...] = ()


class WireRules(Record):
    """The rules of a fence of wire.

    documents
        as the job names them: the first that says a thing holds. silent: keys that none of them says, so that the
        value is typed, common practice or from memory.
    wire_side
        on which side of the posts the wire stands, in words; "" not said.
    """

    fence: str
    kind: str
    documents: tuple[str, ...]
    rules: tuple[WireRule, ...]
    silent: tuple[str, ...] = ()
    wire_side: str = ""

    def rule(self, key: str) -> WireRule | None:
        """A rule by its key; None where there is none."""
        return next((rule for rule in self.rules if rule.key == key), None)

    def number(self, key: str, default: float = 0.0) -> float:
        """A rule that is a number; the default where there is none."""
        rule = self.rule(key)
        return default if rule is None or isinstance(rule.value, str) else rule.value

    def word(self, key: str) -> str:
        """A rule that is a word; "" where there is none."""
        rule = self.rule(key)
        return rule.value if rule is not None and isinstance(rule.value, str) else ""


class LinePost(Record):
    """A post of an assembly: "E1", "C2", "B3", "P1a", ... ; role "end", "corner", "anchor", "gate", "pull", "brace"."""

    label: str
    role: str
    station_m: float
    xy: XY


class Assembly(Record):
    """Posts, rails and brace wires that hold a pull.

    role
        "end", "corner", "anchor" (a bend that is braced both ways), "gate" or "pull".
    turn
        of the run at it [rad], left positive.
    posts
        in walking order. rails: brace rails (struts where ``brace`` is "strut"). brace: "none", "single", "double" or
        "strut".
    diagonals
        (post at whose foot a brace wire begins, post at whose head it ends): from the foot of the pulled post to the
        head of the brace post.
    """

    label: str
    role: str
    station_m: float
    turn: float
    brace: str
    posts: tuple[LinePost, ...]
    rails: int
    diagonals: tuple[tuple[str, str], ...]


class Running(Record):
    """A running station [m]: it stands ``past_m`` along the ground past line post ``post``, 0 the start [m]."""

    station_m: float
    post: int
    past_m: float


class Stretch(Record):
    """Equal bays between two posts that stand.

    start, end
        labels of posts of assemblies, or "D3" (in a dip), "R1" (on a rise), "S2" (a stiff post at a bend).
    along_m
        from post to post along the ground [m]; spacing_m: each bay, measured the same way.
    wood, steel
        line posts between them. stays: in all its bays. wood_every: which line post is of wood, 0 none.
    running
        the round stations of the run that lie in it.
    """

    number: int
    start: str
    end: str
    from_m: float
    to_m: float
    along_m: float
    bays: int
    spacing_m: float
    wood: int
    steel: int
    stays: int
    wood_every: int = 0
    running: tuple[Running, ...] = ()


class LineLeg(Record):
    """A straight piece between two bends; sights_m: stations of the points sighted in between, in no opening [m]."""

    from_m: float
    to_m: float
    sights_m: tuple[float, ...]


class LineCurve(Record):
    """Where the run bends gradually: stations [m], tightest radius [m], turn [rad, left positive].

    bay_m
        the longest bay there [m]; middle_m: how far such a chord stands off the curve at its middle [m].
    """

    from_m: float
    to_m: float
    radius_m: float
    turn: float
    bay_m: float
    middle_m: float

    @property
    def outside(self) -> str:
        """The side of the run on which wire stands outside the curve."""
        return "right" if self.turn > 0.0 else "left"


class PostMove(Record):
    """A line post that is moved along the run so that it is clear of a zone.

    stretch, post
        its stretch and its number in it. along_m: where equal bays would put it, along the ground [m]; by_m: how far
        it is moved, positive onward [m].
    before_m, after_m
        the bays before and after it then [m].
    """

    stretch: int
    post: int
    along_m: float
    by_m: float
    before_m: float
    after_m: float
    zone: str


class PostZone(Record):
    """A post within a zone where it stands.

    label
        of a post of an assembly or a fixed one; "" for a line post, which has a stretch and a number.
    clear_m
        from the edge of its hole, or of the driven post, to the edge of the zone [m], negative.
    """

    label: str
    stretch: int
    post: int
    driven: bool
    zone: str
    kind: str
    clear_m: float


class LineGate(Record):
    """A gate: opening post face to post face [m]; stations are of its two post centres.

    what
        "floodgate" or "cattle guard" where it is no gate; "" a gate.
    """

    name: str
    opening_m: float
    from_m: float
    to_m: float
    posts: tuple[str, str]
    leaves: int
    swings: str
    what: str = ""


class Roll(Record):
    """Where one roll of wire begins to be used: what, its number, and the station at which it is dropped [m]."""

    what: str
    number: int
    station_m: float


class LinePlan(Record):
    """One run of wire, laid out.

    along_m
        its length along the ground; wire_m: the same without openings [m].
    pulls_m
        from tie to tie, each piece of wire [m].
    counts
        (what, how many): posts by role ("end", "corner", "pull", "brace", "wood", "steel", "low", "high", ...),
        "rail", "strut", "diagonal", "stay", "bay", "pull piece".
    profile
        the ground that it was laid on; None where that is not known, and then it is taken for level.
    fixed
        posts that stand first within its stretches.
    miles_m
        stations of the mileage posts: every mile, or every kilometre where the job prints metres.
    moves, in_zones
        line posts that are moved clear of zones, and posts that stand in one.
    """

    run: str
    rules: WireRules
    path: tuple[XY, ...]
    closed: bool
    length_m: float
    along_m: float
    wire_m: float
    assemblies: tuple[Assembly, ...]
    stretches: tuple[Stretch, ...]
    legs: tuple[LineLeg, ...]
    gates: tuple[LineGate, ...]
    pulls_m: tuple[float, ...]
    counts: tuple[tuple[str, int], ...]
    rolls: tuple[Roll, ...] = ()
    profile: Profile | None = None
    curves: tuple[LineCurve, ...] = ()
    fixed: tuple[LinePost, ...] = ()
    moves: tuple[PostMove, ...] = ()
    in_zones: tuple[PostZone, ...] = ()
    miles_m: tuple[float, ...] = ()
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()

    @property
    def holes(self) -> int:
        """How many of its posts stand in holes; those of steel are driven."""
        return sum(self.count(role) for role in _HELD)

    def count(self, what: str) -> int:
        """How many of a thing; 0 where there is none."""
        return dict(self.counts).get(what, 0)
