"""Heights: levelling as it was written down, the adjustment of it, and the heights of named points.

SI: metres, up positive. No calculation here.
"""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.model.network import ObservationFit, Suspect
from palewright.record import Record

__all__ = [
    "AdjustedLevels",
    "ClosureLimit",
    "Heights",
    "LevelClosure",
    "LevelFit",
    "LevelLine",
    "LevelNote",
    "MissingHeight",
    "PointHeight",
    "Rise",
]


class LevelNote(Record):
    """One line of levelling notes: the rod on ``point``.

    back
        read from a new set-up of the instrument [m]. fore: read from the set-up that stood before [m]. None: not read.
        ``back_text`` and ``fore_text``: as typed; "ask" where
        a reading is still asked for, which begins a set-up all the same.
    """

    point: str
    back: float | None = None
    fore: float | None = None
    back_text: str = ""
    fore_text: str = ""
    at: Where = field(default_factory=Where)


class LevelLine(Record):
    """A line of levels: its notes in the order they were read.

    how
        the instrument, in the person's words. within: standard deviation of a rise from one set-up, where given [m].
    length_m
        how far it went, out and back [m]; None not said. ``who`` read it, and ``when``, in words.
    """

    notes: tuple[LevelNote, ...]
    how: str = ""
    within: float | None = None
    length_m: float | None = None
    who: str = ""
    when: str = ""
    at: Where = field(default_factory=Where)


class Rise(Record):
    """How much higher ``end`` stands than ``start`` [m], with its standard deviation [m].

    kind
        "rise" between two points; "back" or "fore": the rod on ``start``, read from a set-up whose line of sight is
        ``end``.
    words, tool
        as the person wrote it; with what.
    """

    start: str
    end: str
    value: float
    sigma: float
    at: Where = field(default_factory=Where)
    kind: str = "rise"
    words: str = ""
    tool: str = ""


class PointHeight(Record):
    """The height of a named point [m] and its standard deviation [m]: 0 where it is given, or counts as zero."""

    name: str
    height: float
    sigma: float


class LevelFit(Record):
    """A fit of rises: heights, and the test of the whole. Fields as in :class:`palewright.model.NetFit`."""

    points: tuple[PointHeight, ...]
    fits: tuple[ObservationFit, ...]
    weighted_squares: float
    dof: int
    sigma0: float | None
    chi_low: float | None
    chi_high: float | None
    passes: bool | None


class AdjustedLevels(LevelFit):
    """Heights adjusted, and what was found.

    undetermined
        points that no rise ties to a given height. pieces: names of every connected part, in the order of the rises.
    suspects
        readings dropped one at a time by data snooping. doubted: given heights that may be what is wrong instead; where
        there are some and no suspect, it is one of them.
    without
        the fit when suspects, or the one doubted height, are left out; None: nothing was.
    """

    undetermined: tuple[str, ...] = ()
    pieces: tuple[tuple[str, ...], ...] = ()
    suspects: tuple[Suspect, ...] = ()
    doubted: tuple[str, ...] = ()
    without: LevelFit | None = None


class ClosureLimit(Record):
    """How far a line of levels may miss [m] by one rule of the table of levels, and whose rule it is."""

    rule: str
    most_m: float
    source: str


class LevelClosure(Record):
    """How a line of levels closes: from ``start`` to ``end``, both of known height, or back on its start.

    line
        which line, from 1. setups: how often the instrument stood.
    back_m, fore_m
        sums of the backsights and of the foresights that carry the height on [m]. known_m: the rise that is known.
    misclosure_m
        back_m - fore_m - known_m. expected_m: what the instrument explains, 19 times in 20 [m].
    length_m
        of the line, as said or by the places of its points [m]; None not known.
    """

    line: int
    start: str
    end: str
    setups: int
    back_m: float
    fore_m: float
    known_m: float
    misclosure_m: float
    expected_m: float
    length_m: float | None
    limits: tuple[ClosureLimit, ...]
    at: Where = field(default_factory=Where)


class MissingHeight(Record):
    """Points without a height, and the rise that would give it to all of them: from ``start`` to ``end``."""

    names: tuple[str, ...]
    start: str
    end: str


class Heights(Record):
    """Heights of the named points of a job: what later parts read of the ground.

    points
        every named point with a height, in the order of the job; readings that are known to be wrong are left out.
    above
        the point that counts as zero where no height is given; "" where heights are as given.
    rises, adjusted
        what was levelled, in the order of the job, and its adjustment. lines, closures: the notes, and how they close.
    missing
        points that were levelled and have no height.
    """

    points: tuple[PointHeight, ...]
    above: str
    rises: tuple[Rise, ...]
    adjusted: AdjustedLevels
    lines: tuple[LevelLine, ...] = ()
    closures: tuple[LevelClosure, ...] = ()
    missing: tuple[MissingHeight, ...] = ()
