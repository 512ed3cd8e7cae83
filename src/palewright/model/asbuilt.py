"""What the yard says after its entries were folded, and the fence as it was built. SI: metres. No calculation here."""

from __future__ import annotations

from palewright.model.site import XY
from palewright.record import Record

__all__ = [
    "AsBuilt",
    "BuiltBay",
    "BuiltCheck",
    "BuiltGate",
    "BuiltLine",
    "BuiltPost",
    "BuiltRun",
    "Yard",
    "YardMissing",
    "YardNote",
    "YardPhoto",
    "YardSaid",
    "YardState",
]

Value = float | bool | str | None


class YardSaid(Record):
    """One value that one entry gave: its id, who made it on which device, by which clock, and its order of arrival.

    ``by`` is the paired device that sent it, "" where nobody knows: ``who`` and ``device`` are what the phone says.
    """

    value: Value
    entry: str
    who: str
    device: str
    made: str
    number: int
    by: str = ""


class YardState(Record):
    """What is known of one field of one object.

    field
        "done", or what was entered and its key: "measured.offset_m", "moved.why"; a string that is not the first of its
        post follows after "@": "measured.offset_m@D".
    value
        None where it was taken back, or where entries disagree (``conflict``).
    said
        the entries that nobody overrode, by device; earlier: those that were overridden, in order of arrival.
    """

    about: str
    field: str
    value: Value
    conflict: bool
    said: tuple[YardSaid, ...]
    earlier: tuple[YardSaid, ...] = ()


class YardNote(Record):
    """A note; notes are never overridden. elsewhere: what it is about was at another place then."""

    about: str
    text: str
    who: str
    device: str
    made: str
    elsewhere: bool = False


class YardPhoto(Record):
    """A photo by its id, and what it shows. elsewhere: what it is about was at another place then."""

    about: str
    photo: str
    shows: str
    who: str
    made: str
    elsewhere: bool = False


class YardMissing(Record):
    """Entries of a device that have not arrived: ``first`` to ``last`` of its own count."""

    device: str
    first: int
    last: int


class Yard(Record):
    """All entries of a job, folded. elsewhere: what was entered at another place than the plan has it at now."""

    states: tuple[YardState, ...]
    notes: tuple[YardNote, ...] = ()
    photos: tuple[YardPhoto, ...] = ()
    missing: tuple[YardMissing, ...] = ()
    elsewhere: tuple[str, ...] = ()

    @property
    def conflicts(self) -> tuple[YardState, ...]:
        """The fields on which entries disagree."""
        return tuple(state for state in self.states if state.conflict)


class BuiltLine(Record):
    """How far inside the line a post stands as built: fence face, post face and footing edge [m]; minus is over it.

    sigma_m, footing_sigma_m
        standard deviations of the first two and of the third [m], None where nobody can say; ``why`` as of a
        :class:`~palewright.model.LineDistance`.
    """

    side: int
    face_m: float
    post_m: float
    footing_m: float
    sigma_m: float | None
    footing_sigma_m: float | None
    why: str


class BuiltPost(Record):
    """A post as planned and as built; None: not measured, and never the planned value.

    string, planned_m
        its first string, and what the tape reads there [m]; "" and 0 where no string leads to it.
    along_m, aside_m
        how far it stands from its place, along the string (onward as the tape reads) and square to it (away from the
        string) [m]. offset_m: planned, from the string to its own near face, or to its centre where that turns far [m].
    moved_m, why
        how far the crew meant to move it along the string [m], and why; None, "" where it was not moved.
    depth_m, needed_m
        of its hole [m]. least_m: the mark of the tape nearest to what is needed, as papers and phone say it.
    xy
        where it stands, where both differences are known.
    disputed
        fields of it on which entries disagree.
    """

    post: str
    role: str
    string: str
    planned_m: float
    offset_m: float
    along_m: float | None
    aside_m: float | None
    moved_m: float | None
    why: str
    depth_m: float | None
    needed_m: float
    done: bool
    xy: XY | None
    planned_line: BuiltLine | None
    line: BuiltLine | None
    disputed: tuple[str, ...] = ()
    least_m: float = 0.0

    @property
    def deep_enough(self) -> bool | None:
        """Whether its hole is as deep as it must be, to a hair; None where it was not measured."""
        return None if self.depth_m is None else self.depth_m >= (self.least_m or self.needed_m) - 1e-6


class BuiltBay(Record):
    """A bay as planned and as built, centre to centre and clear between the posts [m]; None: not measured.

    verdict
        "fits", "too-long", "too-short" or "" (not measured). by_m: how much too long or too short.
    remake
        "panel" (cut one to ``clear_m``), "rails" (they are cut to the bay as built), "post" (it fits no longer) or "".
    remade, remade_m
        whether a panel was remade, and how wide it was made, as entered.
    unmeasured
        its post that nobody measured and that is taken to stand where it was planned, beside one that was moved; "".
    """

    bay: int
    run: str
    start: str
    end: str
    kind: str
    planned_m: float
    planned_clear_m: float
    built_m: float | None
    clear_m: float | None
    verdict: str
    by_m: float
    remake: str
    remade: bool
    remade_m: float | None
    unmeasured: str = ""


class BuiltGate(Record):
    """A gate: clear opening and height of the latch, planned and measured [m].

    latch_planned_m
        what the rules as typed ask for at least; None where none does. fits: whether the leaves fit into the opening.
    """

    gate: str
    run: str
    posts: tuple[str, str]
    opening_m: float
    clear_m: float | None
    leaves_m: float
    fits: bool | None
    latch_planned_m: float | None
    latch_m: float | None


class BuiltRun(Record):
    """A run: planned, signed and built length, and the worst room below it [m].

    signed_m
        as agreed in writing; None where the job does not say. built_m: as taped; bays_m: the sum of its bays as built,
        None unless all of them were measured.
    gap_limit_m, limit_by
        the most room allowed below it, and whether it is "rule" or "planned". gap_at: the bay or run it was found at.
    """

    run: str
    planned_m: float
    signed_m: float | None
    built_m: float | None
    bays_m: float | None
    gap_m: float | None
    gap_at: str
    gap_limit_m: float
    limit_by: str


class BuiltCheck(Record):
    """A check of the stake-out as it was read.

    verdict
        "passed", "explained" (off by more than the tolerance, but not by more than the points behind it), "failed",
        or "" (not done). tries_m: what it read before [m].
    """

    check: str
    what: str
    of: tuple[str, str]
    expected_m: float
    tolerance_m: float
    reads_m: float | None
    verdict: str
    tries_m: tuple[float, ...] = ()


class BuiltWirePosts(Record):
    """Braced and fixed posts of a run of wire: how many are set, how many it has.

    depths
        of those whose hole was measured: label, as built and as needed [m].
    """

    run: str
    done: int
    count: int
    depths: tuple[tuple[str, float, float], ...]


class AsBuilt(Record):
    """The fence as built beside its plan.

    open_holes
        posts whose hole was not ticked as set. unknown: what entries are about that the plan does not have.
        elsewhere: what they are about that the plan has at another place now; such entries are not used.
    ticket_closed, ticket
        whether the locate ticket was closed, and its number as entered in the yard.
    signed, signature
        the owner's name, and the photo of the signature, as entered. signed_on: when, by the clock of the phone.
    wire
        of each run of wire: its name, stretches done, and how many it has. wire_posts: the posts of its assemblies and
        those that stand first.
    """

    posts: tuple[BuiltPost, ...]
    bays: tuple[BuiltBay, ...]
    gates: tuple[BuiltGate, ...]
    runs: tuple[BuiltRun, ...]
    checks: tuple[BuiltCheck, ...]
    open_holes: tuple[str, ...]
    conflicts: tuple[YardState, ...]
    notes: tuple[YardNote, ...]
    photos: tuple[YardPhoto, ...]
    missing: tuple[YardMissing, ...]
    unknown: tuple[str, ...]
    ticket_closed: bool | None
    ticket: str
    signed: str
    signature: str
    wire: tuple[tuple[str, int, int], ...] = ()
    wire_posts: tuple[BuiltWirePosts, ...] = ()
    signed_on: str = ""
    elsewhere: tuple[str, ...] = ()
