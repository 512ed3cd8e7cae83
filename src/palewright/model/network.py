"""A measuring network: what was observed between points and how good it is, and what the adjustment makes of it.

SI: metres, radians. x is east, y is north, an azimuth runs clockwise from y. No calculation here.
"""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Problem, Where
from palewright.record import Record

__all__ = [
    "Adjusted",
    "Advice",
    "NetFit",
    "NetPoint",
    "Network",
    "Observation",
    "ObservationFit",
    "PointFit",
    "Survey",
    "Suspect",
]


class NetPoint(Record):
    """A point of the network.

    xy
        where it is, or nearly is [m]; None: the program finds an approximate place itself.
    held
        its place is given and does not move (a found monument, a published coordinate).
    side
        which side a swung tie falls: "left" or "right" of the line between ``side_of`` as one walks along it; "" not
        said.
    """

    name: str
    xy: tuple[float, float] | None = None
    held: bool = False
    side: str = ""
    side_of: tuple[str, str] = ("", "")
    at: Where = field(default_factory=Where)


class Observation(Record):
    """One observation.

    kind, points, value
        "distance" (a, b), level [m]; "azimuth" (a, b) [rad];
        "direction" (a, b): a reading, clockwise, of a circle whose zero is unknown [rad], one zero for each ``group``
        at each point a;
        "angle" (a, corner, b): between the arms [rad]: clockwise from a to b where ``side`` is "clockwise", else
        0 to pi without saying to which side;
        "on line" (p, a, b): p is on the straight line through a and b; ``value`` 0 [m];
        "offset" (p, a, b): level distance of p from that line [m, >= 0], to the ``side`` "left" or "right" of it as
        seen from a to b, "" where not said;
        "along" (p, a, b): from a to the foot of p on the line, toward b [m];
        "parallel" (a, b, c, d): angle from line a-b to line c-d modulo a half turn; ``value`` 0 [rad];
        "east" (p,), "north" (p,): a coordinate [m].
    sigma
        standard deviation in the unit of ``value``, > 0.
    source
        "measured"; "record" (read from a deed or plat); "assumed" (a right angle nobody measured: it lends a shape and
        proves nothing).
    words
        as the person wrote it; ``tool``: with what, in the person's words.
    """

    kind: str
    points: tuple[str, ...]
    value: float
    sigma: float
    source: str = "measured"
    side: str = ""
    group: str = ""
    tool: str = ""
    words: str = ""
    at: Where = field(default_factory=Where)


class Network(Record):
    """Points and observations between them.

    datum
        "held" (as many points held as the job holds; too few leave it undetermined), "least" (the first point stands
        and the direction to the second is kept) or "free" (inner constraints: the net floats on its rough places).
    """

    points: tuple[NetPoint, ...]
    observations: tuple[Observation, ...]
    datum: str = "held"


class PointFit(Record):
    """An adjusted point: place [m], covariance [m2], and its standard ellipse (one sigma) [m, rad].

    tilt
        azimuth of the long axis of the ellipse [rad, 0 to pi].
    """

    name: str
    xy: tuple[float, float]
    var_east: float
    var_north: float
    cov: float
    semi_major: float
    semi_minor: float
    tilt: float


class ObservationFit(Record):
    """What the adjustment says of one observation.

    residual
        adjusted minus observed [unit of the value]. redundancy: 0 (nothing checks it) to 1.
    test
        Baarda's w, residual over its standard deviation, with sign; None where the redundancy is 0.
    least_blunder
        the smallest blunder that the test finds with 80 % chance [unit of the value]; None where nothing checks it.
    blunder
        how much too long or large the reading is if it alone is wrong: minus residual over redundancy; None likewise.
    """

    index: int
    adjusted: float
    residual: float
    redundancy: float
    test: float | None
    least_blunder: float | None
    blunder: float | None


class Suspect(Record):
    """A reading that the rest do not allow.

    index
        of the observation; ``by``: how much too long or large it reads [unit of the value].
    guess
        what may have happened: "whole feet", "ten inches for a foot", "six and nine", "burnt foot", "swapped digits",
        "end not at zero", ... or "" where none fits; ``reading``: what it then should read [unit], or None.
    alone
        False where the readings that check it are so few that another may be the wrong one: ``among`` are all that
        may be, this one included.
    """

    index: int
    by: float
    guess: str = ""
    reading: float | None = None
    alone: bool = True
    among: tuple[int, ...] = ()


class Advice(Record):
    """A further measurement that would help: its kind and points, and what it does.

    for_point
        the place that gains, or is fixed at all; before, after: its semi-major axis, one sigma [m]; before None: the
        point is not determined yet.
    line
        names of two points where it is the distance of ``for_point`` from the line through them that gains: then
        before and after are standard deviations of that distance [m]; else ().
    """

    kind: str
    points: tuple[str, ...]
    for_point: str
    before: float | None
    after: float
    line: tuple[str, ...] = ()


class NetFit(Record):
    """A fit of a network: its points, its observations, and the test of the whole.

    points
        every point that is determined, held ones with no variance. fits: every observation, in its order.
    weighted_squares
        sum of (residual / sigma) squared; ``dof``: degrees of freedom; sigma0: root of their quotient (None: dof 0).
    chi_low, chi_high
        between these it should be, 95 % (None: dof 0); ``passes``: whether it is.
    """

    points: tuple[PointFit, ...]
    fits: tuple[ObservationFit, ...]
    weighted_squares: float
    dof: int
    sigma0: float | None
    chi_low: float | None
    chi_high: float | None
    passes: bool | None


class Adjusted(NetFit):
    """A network adjusted: its fit, and what was found. Covariance is with the sigmas as given, not scaled by sigma0.

    undetermined
        points that the observations do not fix. pieces: names of the points of each connected piece; held points are in
        one.
    suspects
        readings dropped one at a time by data snooping, in that order; ``without``: the fit when they are left out, and
        held points that the readings contradict are let go (None: nothing was).
    gradient
        largest shift that a single unknown still asks for, in units of its standard deviation were it alone.
    leaned_on
        assumed observations that the shape rests on, because nobody measured enough.
    cautions
        what should be said of the network: points not fixed and why, pieces, two names for one place, held points
        contradicted.
    """

    iterations: int
    datum: str
    undetermined: tuple[str, ...] = ()
    pieces: tuple[tuple[str, ...], ...] = ()
    suspects: tuple[Suspect, ...] = ()
    advice: tuple[Advice, ...] = ()
    gradient: float = 0.0
    leaned_on: tuple[int, ...] = ()
    without: NetFit | None = None
    cautions: tuple[Problem, ...] = ()


class Survey(Record):
    """What was measured on the site, as a network, and what the adjustment says of it."""

    network: Network
    adjusted: Adjusted
