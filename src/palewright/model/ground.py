"""The ground under a fence, and how the fence meets it. Computed records, no calculation here.

Heights are metres above one datum for the whole job, up positive; stations are level distances [m] along a run.
"""

from __future__ import annotations

from palewright.record import Record

__all__ = [
    "BayMeeting",
    "Gap",
    "HeightLine",
    "LevelLineMark",
    "Meeting",
    "MeetingRemedy",
    "PostHeight",
    "Profile",
    "RunLimits",
    "Unknown",
]


class Unknown(Record):
    """A stretch of a run, from station to station [m], whose ground no height reaches; ``why`` is a slug."""

    from_m: float
    to_m: float
    why: str


class Profile(Record):
    """The ground along a run: its height at each knot, straight between them.

    stations_m
        rising, from 0 to the length of the run. heights_m: at each knot. sigmas_m: standard deviation of each.
    how
        what it rests on, most telling first: "levels", "drops", "spots", "story", "surface", "grid".
    source
        in words: the file, the string, the person.
    unknown
        stretches that nothing reaches, and why: "outside" every surface, "no-data" (a hole in one), "not-measured". The
        profile goes straight through them, level beyond its last height, and nothing may rest on it.
    """

    run: str
    stations_m: tuple[float, ...]
    heights_m: tuple[float, ...]
    sigmas_m: tuple[float, ...]
    how: tuple[str, ...]
    source: str = ""
    unknown: tuple[Unknown, ...] = ()


class HeightLine(Record):
    """A legal height along one stretch of a run: nothing stands higher than ``most_m`` above this line [m].

    rule
        its name.
    stations_m, heights_m
        the heights from which the rule measures, straight between stations; equal stations where they jump.
    """

    rule: str
    most_m: float
    stations_m: tuple[float, ...]
    heights_m: tuple[float, ...]


class RunLimits(Record):
    """What rules as typed ask of one run. ``most_gap_m``: room allowed below it as a barrier; None: no such rule."""

    heights: tuple[HeightLine, ...] = ()
    most_gap_m: float | None = None


class Gap(Record):
    """Room between the fence bottom and the ground [m], and the station along the run where it is found [m]."""

    gap_m: float
    at_m: float


class BayMeeting(Record):
    """How one bay meets the ground.

    bay
        its number. mode: "racked", "stepped", "level-top", "grade", "gate", or "assumed" where the ground is not known
        under the whole bay: its figures stand for a fence along the straight line over that ground, and nothing rests
        on them.
    asked
        what was asked of it, "best" where it was left to the program.
    bottom_m, top_m
        heights of the bottom and the top of its infill at its two posts [m].
    least, most
        smallest and largest room under it, anywhere in the bay.
    highest_m
        the most that its top stands above the ground straight below it [m].
    along_m
        from post to post along the slope of its bottom [m].
    breaks
        slugs of the rules that it cannot keep, each with how far it misses [m].
    """

    bay: int
    mode: str
    bottom_m: tuple[float, float]
    top_m: tuple[float, float]
    least: Gap
    most: Gap
    highest_m: float
    along_m: float
    breaks: tuple[tuple[str, float], ...] = ()
    asked: str = ""

    @property
    def known(self) -> bool:
        """Whether the ground under all of it is known."""
        return self.mode != "assumed"


class PostHeight(Record):
    """One post in height.

    ground_m, top_m, foot_m
        ground, top of the post, and its lower end in the hole [m]. sigma_m: of the ground.
    step_m
        how far the bottom of the fence steps up at it, in walking order [m]; 0 where it runs through.
    below_string_m
        from the level string over it down to its top [m].
    known
        whether the ground under a bay at its side is known; where not the post is as long as on level ground, and its
        heights stand on the straight line over that ground.
    """

    post: str
    ground_m: float
    top_m: float
    foot_m: float
    sigma_m: float
    step_m: float = 0.0
    below_string_m: float | None = None
    known: bool = True


class LevelLineMark(Record):
    """A level string over some posts of a run [m]: it is set ``above_m`` over the ground at ``post``."""

    height_m: float
    post: str
    above_m: float
    posts: tuple[str, ...]


class MeetingRemedy(Record):
    """What would heal, by itself, one rule that a bay cannot keep.

    rule
        that is broken: "least-gap", "most-gap", "legal-height", "rack", "largest-step".
    slug
        "fill", "cut", "kick-board", "another-bay", "more-gap", "less-gap", "lower-infill", "more-rack", "step-it" or
        "more-levels"; below a gate "lower-leaf", "threshold", "other-swing" or "other-place".
    bay, start, end
        number of the bay, and its posts. from_m, to_m: stations between which it is done [m].
    amount_m
        how deep, how high or how much at the worst place; of "another-bay" the length of each new bay, of "more-rack"
        the rise that a panel would have to take [m].
    count
        bays of "another-bay", level stretches of "more-levels"; else 0.
    """

    rule: str
    slug: str
    bay: int
    start: str
    end: str
    from_m: float
    to_m: float
    amount_m: float
    count: int = 0


class Meeting(Record):
    """How one run meets the ground.

    follows
        as asked of the run; "best" when it was left to the program, which only proposes. weights: what "best" weighed,
        in words and numbers. cost: of the choice; bound: no choice costs less. proof: how that is known. remedies: of
        every rule that is not kept, in the order of the bays.
    """

    run: str
    follows: str
    bays: tuple[BayMeeting, ...]
    posts: tuple[PostHeight, ...]
    strings: tuple[LevelLineMark, ...] = ()
    weights: tuple[tuple[str, float], ...] = ()
    cost: float = 0.0
    bound: float = 0.0
    proof: str = ""
    remedies: tuple[MeetingRemedy, ...] = ()
