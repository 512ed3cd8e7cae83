"""Where things are, as a person wrote it: points, calls, walks, measurements, the boundary. SI; no calculation here.

``at`` and ``None`` mean what they mean in :mod:`palewright.model.job`.
"""

from __future__ import annotations

from dataclasses import field

from palewright.errors import Where
from palewright.model.evidence import CornerEvidence
from palewright.model.prose import DeedProse
from palewright.record import Record

__all__ = [
    "BoundarySpec",
    "Call",
    "CornerSpec",
    "CurveCall",
    "Measurement",
    "PointRef",
    "PointSpec",
    "TapeSpec",
    "Turn",
    "Walk",
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
    stands
        something stands there to hold a tape to, whatever its place comes from.
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
    stands: bool = False


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
