"""What a screen shows of a plan: records without calculation. Metres, y up, in the frame of the site."""

from __future__ import annotations

from collections.abc import Mapping

from palewright.record import Record

__all__ = [
    "SIGHT_VERSION",
    "ArcOf",
    "Ask",
    "Bar",
    "Change",
    "Choice",
    "Counts",
    "Difference",
    "DifferenceLine",
    "Elevation",
    "ElevationBay",
    "ElevationGap",
    "ElevationPost",
    "Item",
    "NextTape",
    "Notice",
    "RunCounts",
    "Sight",
    "TapeLine",
]

XY = tuple[float, float]

SIGHT_VERSION = 1


class ArcOf(Record):
    """A side that is an arc: radius [m], whether it turns left on its way, and whether it is the larger part."""

    radius: float
    left: bool
    large: bool


class Item(Record):
    """One thing of the drawing.

    id, kind, layer
        its own name, what it is and where it is drawn. about: the thing that it belongs to, where that is another.
    path
        key path of what it comes from in the job file.
    text, say
        what is written beside it; a sentence about it. marks: plain words for its looks.
    points, closed, arc, half
        a line, or a ring; half its width [m]. centre, radius, width, depth, axis: a disc or a section [m, degrees].
    rings, spots
        swings and hinges of a gate. drag, why: how a hand may move it, or why it may not.
    """

    id: str
    kind: str
    layer: str
    about: str = ""
    path: str = ""
    text: str = ""
    say: str = ""
    marks: tuple[str, ...] = ()
    points: tuple[XY, ...] = ()
    closed: bool = False
    arc: ArcOf | None = None
    half: float = 0.0
    centre: XY | None = None
    radius: float = 0.0
    width: float = 0.0
    depth: float = 0.0
    axis: float = 0.0
    rings: tuple[tuple[XY, ...], ...] = ()
    spots: tuple[XY, ...] = ()
    drag: str = ""
    why: str = ""


class Choice(Record):
    """A value of the job file and what it means in words."""

    value: str
    text: str


class ElevationGap(Record):
    """Room under a bay: station, ground, bottom [m], and the figure."""

    at: float
    z0: float
    z1: float
    text: str


class ElevationBay(Record):
    """A bay from the side: stations, bottom and top at its two ends [m]; ``breaks`` rules it cannot keep, in words."""

    id: str
    start: float
    end: float
    bottom: XY
    top: XY
    mode: str = ""
    text: str = ""
    gap: ElevationGap | None = None
    breaks: tuple[str, ...] = ()
    gate: str = ""


class ElevationPost(Record):
    """A post from the side: station, half its width, heights of ground, top, foot and bottom of the hole [m]."""

    id: str
    at: float
    half: float
    ground: float
    top: float
    foot: float
    hole: float | None = None
    text: str = ""
    step: str = ""


class Elevation(Record):
    """One run laid flat; heights over its lowest ground [m]. ``level``: the ground is assumed, not known."""

    run: str
    about: str
    path: str
    follows: str
    choices: tuple[Choice, ...]
    length: float
    level: bool
    extent: tuple[float, float, float, float]
    ground: tuple[XY, ...]
    unknown: tuple[XY, ...]
    bays: tuple[ElevationBay, ...]
    posts: tuple[ElevationPost, ...]
    say: str = ""


class Notice(Record):
    """One problem, caution, question, assumption or note; ``about`` the id of its thing, ``path`` where it is typed.

    language
        of the text, where that is not the one of the screen.
    answer
        key path of the value that answers a question.
    """

    slug: str
    level: str
    text: str
    about: str = "job"
    path: str = ""
    line: int = 0
    found: str = ""
    allowed: str = ""
    hint: str = ""
    language: str = ""
    answer: str = ""


class RunCounts(Record):
    """Figures of one run."""

    about: str
    name: str
    fence: str
    length: str
    posts: int
    gates: int
    binding: str
    binding_text: str


class Counts(Record):
    """Figures of the job: fence in words and [m], posts, holes, gates, bays, the longest bay, what binds."""

    fence: str = ""
    fence_m: float = 0.0
    posts: int = 0
    holes: int = 0
    gates: int = 0
    bays: int = 0
    longest: str = ""
    binding: str = ""
    runs: tuple[RunCounts, ...] = ()


class DifferenceLine(Record):
    """One figure that differs: what, before, now, and in words."""

    what: str
    was: str
    now: str
    text: str


class Difference(Record):
    """What differs from an earlier plan; ids of posts and gates that moved, are new, are gone."""

    lines: tuple[DifferenceLine, ...] = ()
    moved: tuple[str, ...] = ()
    new: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()


class TapeLine(Record):
    """One thing that was measured.

    state
        "fits", "off", "doubted", "unchecked" or "not used". off: how far the others would have it otherwise, in words;
        guess: what may have happened.
    """

    id: str
    number: int
    path: str
    kind: str
    points: tuple[str, ...]
    what: str
    reads: str
    tool: str = ""
    off: str = ""
    state: str = "unchecked"
    say: str = ""
    guess: str = ""


class NextTape(Record):
    """A further measurement that would help most, in words."""

    kind: str
    points: tuple[str, ...]
    text: str


class Ask(Record):
    """A value that is left open: where, what is asked, and what it can hurt."""

    path: str
    line: int
    text: str
    hurts: str
    about: str = "job"


class Bar(Record):
    """A length for the scale bar and the grid [m], and as it is written."""

    m: float
    text: str


class Sight(Record):
    """All that a screen shows of one job.

    whole
        False while something is dragged: what only a full plan says is left out.
    drawn
        False where the file cannot be read at all: a page then keeps what it showed.
    """

    title: str
    language: str
    print: str
    north: bool
    extent: tuple[float, float, float, float]
    bars: tuple[Bar, ...]
    items: tuple[Item, ...]
    elevations: tuple[Elevation, ...]
    notices: tuple[Notice, ...]
    counts: Counts
    difference: Difference | None = None
    tapes: tuple[TapeLine, ...] = ()
    next: tuple[NextTape, ...] = ()
    asks: tuple[Ask, ...] = ()
    assumed: tuple[str, ...] = ()
    whole: bool = True
    drawn: bool = True
    version: int = SIGHT_VERSION


class Change(Record):
    """What differs between two sights: items that may be other, after what each was (None: it is new), ids that are
    gone, and other keys that differ. ``moved``: what differs of items that were there before, as it is sent.
    """

    items: tuple[tuple[Item | None, Item], ...]
    gone: tuple[str, ...]
    rest: tuple[tuple[str, object], ...]
    moved: tuple[Mapping[str, object], ...] = ()
