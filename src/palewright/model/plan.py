"""Products made from a finished design, and the one record everything downstream reads: Plan."""

from __future__ import annotations

from palewright.errors import Where
from palewright.model.design import Design
from palewright.model.inside import Inside
from palewright.model.job import LocateSpec
from palewright.model.kind import Kind
from palewright.model.line import LinePlan
from palewright.model.permit import Permit
from palewright.model.said import Reason, Remark
from palewright.model.site import XY, Site
from palewright.model.takeoff import TakeOff
from palewright.record import Record

__all__ = [
    "ArcString",
    "CornerCheck",
    "Crossing",
    "DigItem",
    "LocateSheet",
    "Mark",
    "Plan",
    "Settings",
    "Stake",
    "Stakeout",
    "StringLine",
    "Tie",
    "PLAN_VERSION",
]

PLAN_VERSION = 1


class Stake(Record):
    """A stake that holds a string. ``beyond_m`` past the corner along the string [m].

    moved
        what is in the way where it was first meant to stand: "boundary", "building", "zone NAME" or "post LABEL";
        "" when it stands there.
    refused
        what leaves no room for any stake, in the same words; "" otherwise.
    """

    label: str
    xy: XY
    beyond_m: float
    moved: str = ""
    refused: str = ""


class Mark(Record):
    """One hole on one string.

    reads_m
        on the tape laid along the string from its zero [m]; ``from_rezero_m`` from the last re-zero mark
        (same as ``reads_m`` before the first); ``rezero`` 0, 1, 2, ... which mark it is counted from.
    gap_m
        from the mark before along the string [m]; 0 at the first.
    offset_m
        of a post on a curve: square off the string to its centre [m]; None: as all on the string do.
    face_m
        square off the string to the near face of this post [m]; a face that turns far from the string has none.
    """

    post: str
    reads_m: float
    rezero: int
    from_rezero_m: float
    gap_m: float
    role: str
    offset_m: float | None = None
    face_m: float | None = None


class ArcString(Record):
    """A string beside the long chord of a curve of posts, or beside a tangent of it; each post stands its own way off.

    way
        "chord" or "tangent". radius_m: of the circle of post centres; chord_m: between its end posts [m].
    middle_m
        how far the circle stands off the middle of that chord [m]: the proof. check_m, off_m: what the tape reads
        there, and how far it is square off the string [m].
    """

    way: str
    radius_m: float
    chord_m: float
    middle_m: float
    check_m: float
    off_m: float


class StringLine(Record):
    """One string.

    side
        "yard" or "out". offset_m: string to hole centre, square to it [m]; face_m: string to the near face
        of most of its posts, line posts first; that of each is in its mark.
    zero
        "crossing" (where it crosses ``zero_with``), "wall" (the wall face) or "stake line" (opposite the end post).
    zero_reads_m
        what the tape reads at that point [m]; ``first_reads_m`` opposite the first post. Never negative.
    sighted_m
        readings at which a sighted point holds the string [m].
    """

    name: str
    leg: int
    run: str
    side: str
    offset_m: float
    face_m: float
    stakes: tuple[Stake, Stake]
    length_m: float
    zero: str
    zero_with: str
    zero_xy: XY
    zero_reads_m: float
    first_reads_m: float
    end_reads_m: float
    end_with: str
    marks: tuple[Mark, ...]
    rezeros_m: tuple[float, ...]
    sighted_m: tuple[float, ...]
    start_xy: XY
    end_xy: XY
    arc: ArcString | None = None


class Crossing(Record):
    """Where two strings cross, what each tape reads there [m], and the angle between the legs inside the yard [rad]."""

    strings: tuple[str, str]
    post: str
    xy: XY
    reads_m: tuple[float, float]
    angle: float


class CornerCheck(Record):
    """A triangle that sets or proves a corner.

    method
        "3-4-5 by N" (whole feet or decimetres in ``legs_m``) or "chord". diagonal_m: between the leg ends [m].
    tolerance_m
        how much the diagonal may be off before the far end moves by the job's tolerance, but no less than a steel tape
        may be off itself [m]. far_off_m: how far the far end may then be off [m].
    known_m, most_off_m
        as of a :class:`Tie`.
    """

    post: str
    strings: tuple[str, str]
    angle: float
    method: str
    legs_m: tuple[float, float]
    diagonal_m: float
    tolerance_m: float
    assumed: bool
    far_off_m: float = 0.0
    known_m: float | None = None
    most_off_m: float | None = None


class Tie(Record):
    """A tape that places or proves: between two posts or named points, each pair of places once. ``tolerance_m`` [m].

    why
        "diagonal", "tie" (from what stands to a corner post), "overall".
    far_off_m
        of a diagonal: how far the far end of the longer string may be off within the tolerance [m]; else 0.
    known_m
        how far the expected length itself may be off, by how well the points are known that it hangs on, 2 standard
        deviations [m]; 0 of a tape that places a post, None where nobody can say. most_off_m: the largest difference
        that this and the tolerance together explain [m].
    """

    start: str
    end: str
    length_m: float
    tolerance_m: float
    why: str
    far_off_m: float = 0.0
    known_m: float | None = None
    most_off_m: float | None = None


class Stakeout(Record):
    """Strings, crossings, corner checks and ties; ``order`` of work as slugs; marks by role, larger than the hole."""

    strings: tuple[StringLine, ...]
    crossings: tuple[Crossing, ...]
    checks: tuple[CornerCheck, ...]
    ties: tuple[Tie, ...]
    order: tuple[str, ...]
    mark_diameter_m: tuple[tuple[str, float], ...]
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()


class DigItem(Record):
    """One proposed dig: hole of a post, a stake or a driven post. ``hand`` True: dig by hand.

    run, count, every_m, to
        of a run of wire. A row of alike posts in a stretch is one: how many, how far apart (None where driven posts and
        holes take turns) [m], and where the last one stands.
    """

    label: str
    what: str
    xy: XY
    diameter_m: float
    depth_m: float
    hand: bool
    zones: tuple[str, ...] = ()
    run: str = ""
    count: int = 1
    every_m: float | None = None
    to: XY | None = None


class LocateSheet(Record):
    """The locate block. ``entered`` False: LOCATE NOT ENTERED, DO NOT DIG.

    missing
        names of the empty lines: "ticket", "called on", "legal from", ... ``said``: private lines typed as there.
    """

    entered: bool
    typed: LocateSpec
    missing: tuple[str, ...]
    digs: tuple[DigItem, ...]
    private: tuple[str, ...]
    remarks: tuple[Remark, ...] = ()
    said: tuple[str, ...] = ()

    @property
    def expired(self) -> bool:
        """Whether the ticket had run out on the day on which the plan was made."""
        return any(remark.slug == "locate-expired" for remark in self.remarks)

    def counted(self, what: str) -> int:
        """How many digs of a sort there are: "hole", "stake" or "driven post"."""
        return sum(dig.count for dig in self.digs if dig.what == what)


class Settings(Record):
    """How the papers print, and what was agreed: from the job. ``signed``: length of runs by name, as signed [m]."""

    title: str
    address: str
    client: str
    notes: tuple[str, ...]
    print_style: str
    fraction: int
    language: str
    paper: str
    tape_m: float
    north: bool
    north_basis: str
    tolerance_m: float
    paint_m: float
    frost_m: float | None
    file: str
    signed: tuple[tuple[str, float], ...] = ()


class Plan(Record):
    """The whole job, computed. ``plan.json`` is this record.

    asks
        what was left open: key path and place in the job file.
    permit
        the lot, its rules and what neighbours agree; None where nothing of it was given.
    inside
        how far inside the line the fence stands and how well that is known; None without a boundary.
    lines
        runs of wire, laid out by assemblies and stretches.
    """

    version: int
    settings: Settings
    site: Site
    kinds: tuple[Kind, ...]
    design: Design
    stakeout: Stakeout
    locate: LocateSheet
    takeoff: TakeOff
    asks: tuple[Where, ...]
    permit: Permit | None = None
    inside: Inside | None = None
    lines: tuple[LinePlan, ...] = ()

    def open(self, slug: str) -> frozenset[str]:
        """The runs, gates or fences, by name, of which a remark asks: what is printed there was only taken."""
        asked = (*self.design.remarks, *(remark for line in self.lines for remark in line.remarks))
        return frozenset(str(r.args[0][1]) for r in asked if r.slug == slug and r.level == "ask" and r.args)

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """Every remark of every part, in the order of the parts."""
        permit = self.permit.remarks if self.permit is not None else ()
        made = self.site.remarks + self.design.remarks + self.stakeout.remarks
        inside = self.inside.remarks if self.inside is not None else ()
        lines = tuple(remark for line in self.lines for remark in line.remarks)
        return made + lines + inside + self.locate.remarks + self.takeoff.remarks + permit

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Every reason of every part, in the order of the parts."""
        permit = self.permit.reasons if self.permit is not None else ()
        inside = self.inside.reasons if self.inside is not None else ()
        made = self.site.reasons + self.design.reasons + self.stakeout.reasons
        lines = tuple(reason for line in self.lines for reason in line.reasons)
        return made + lines + inside + self.takeoff.reasons + permit
