"""The design: what is laid out on the site. Computed records, no calculation here."""

from __future__ import annotations

from palewright.model.ground import Meeting, Profile
from palewright.model.said import Reason, Remark
from palewright.model.site import XY
from palewright.record import Record

__all__ = [
    "Bay",
    "Design",
    "Embedment",
    "Gate",
    "Hole",
    "Leg",
    "Move",
    "Post",
    "Run",
    "ZoneHit",
]


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
    shortest_m
        its own shortest bay, which goes before that of its fence [m]; None: it has none.
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
    shortest_m: float | None = None


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
