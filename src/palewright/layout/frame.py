"""Working records of the layout: traced runs, the places where legs meet, legs and what stands fixed in them.

These are scratch records of one call of :func:`palewright.layout.lay_out`; what leaves the room is in ``model``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from palewright.errors import Where
from palewright.layout.grade import Grade
from palewright.model import GateSpec, Kind, PostSize, Profile, RunSpec, StepSpec
from palewright.plane import XY
from palewright.record import Record

__all__ = [
    "SAME",
    "STRAIGHT",
    "Bend",
    "Fixed",
    "Frame",
    "LegFrame",
    "Node",
    "Opening",
    "Outline",
    "Part",
    "Trace",
    "Vertex",
    "outline_of",
    "reach",
]

SAME = 1e-6
"""Points nearer than this are one point [m]."""

STRAIGHT = math.radians(1.0)
"""A turn up to this is no corner: a stiffer post is asked for from more than 1 degree (Ohio DOT item 607)."""


class Outline(Record):
    """The section of a post seen from above: half sizes along and across ``axis`` [m]; a wall has none."""

    half_width: float = 0.0
    half_depth: float = 0.0
    round: bool = False


def outline_of(size: PostSize) -> Outline:
    """The outline of a post of this size."""
    return Outline(size.width_m / 2.0, size.depth_m / 2.0, size.round)


def reach(outline: Outline, axis: float, d: XY) -> float:
    """How far a post section reaches from its centre in the direction ``d`` (unit vector) [m].

    This is the support function of the section, so no part of the post is nearer to what lies that way.

    >>> reach(Outline(0.05, 0.05), 0.0, (0.0, 1.0))
    0.05
    """
    if outline.round:
        return outline.half_width
    if outline.half_width == 0.0:
        return 0.0
    c, s = math.cos(axis), math.sin(axis)
    along = abs(c * d[0] + s * d[1])
    across = abs(c * d[1] - s * d[0])
    # a direction square to the section up to rounding must not gain a hair of the other side
    along = 0.0 if along < 1e-12 else along
    across = 0.0 if across < 1e-12 else across
    return outline.half_width * along + outline.half_depth * across


class Vertex(Record):
    """A point of a run's path: post centre (or wall face), its name, and the point it was made from.

    ``wall`` is how the run meets a wall there ("" for none); ``wall_m`` from the wall face to the post centre [m].
    ``bend``: a post along an arc, which is no corner.
    """

    xy: XY
    name: str
    ref: XY
    assumed: bool = False
    wall: str = ""
    wall_m: float = 0.0
    bend: bool = False


class Bend(Record):
    """An arc side as it is fenced: ``count`` straight bays of ``chord_m``, each ``middle_m`` off the arc at its middle.

    side
        its number. The posts stand on the offset arc of ``radius_m`` [m].
    """

    side: int
    count: int
    chord_m: float
    middle_m: float
    radius_m: float


class Part(Record):
    """A part of a run that follows the ground in its own way, from station to station [m]."""

    from_m: float
    to_m: float
    follows: str
    steps: StepSpec | None = None


@dataclass(slots=True)
class Trace:
    """One run traced: vertices in walking order (the first not repeated when closed), sides as built.

    ``bends``: the arc sides among them, as they are cut into bays. ``profile``: the ground under it, where it is known.
    ``parts``: where it follows the ground in another way. ``assumed``: from which station to which the bays stand on
    ground that nobody knows [m], where it is known under others.
    """

    index: int
    spec: RunSpec
    kind: Kind
    vertices: list[Vertex]
    closed: bool
    yard: str
    sides: tuple[int, ...] = ()
    bends: tuple[Bend, ...] = ()
    profile: Profile | None = None
    parts: list[Part] = field(default_factory=list)
    assumed: list[tuple[float, float]] = field(default_factory=list)
    on_ground: bool = False

    def follows_at(self, station_m: float) -> str:
        """How it follows the ground at a station [m], as asked; "" where nothing was said."""
        inside = (part.follows for part in self.parts if part.from_m <= station_m <= part.to_m)
        return next(inside, self.spec.follows)

    def steps_at(self, station_m: float) -> StepSpec | None:
        """What its steps must keep at a station [m]: as its part says, else as the run does."""
        inside = (part.steps for part in self.parts if part.from_m <= station_m <= part.to_m)
        return next(inside, None) or self.spec.steps

    @property
    def path(self) -> list[XY]:
        """The line of post centres, back to its first point when closed."""
        points = [vertex.xy for vertex in self.vertices]
        return [*points, points[0]] if self.closed else points

    @property
    def pairs(self) -> list[tuple[int, int]]:
        """Indices of the two vertices of each straight piece."""
        n = len(self.vertices)
        return [(k, (k + 1) % n) for k in range(n if self.closed else n - 1)]


@dataclass(slots=True)
class Node:
    """A place where legs meet or end. ``ends``: (leg index, True when the leg starts here), in walking order."""

    xy: XY
    bracket: bool = False
    names: list[str] = field(default_factory=list)
    wall: str = ""
    wall_m: float = 0.0
    assumed: bool = False
    bend: bool = False
    ends: list[tuple[int, bool]] = field(default_factory=list)
    gates: list[str] = field(default_factory=list)
    role: str = "end"
    base_role: str = "end"
    axis: float = 0.0
    turn: float = 0.0
    kinds: tuple[Kind, ...] = ()
    tall: Kind | None = None
    outline: Outline = field(default_factory=Outline)
    radius: float = 0.0

    @property
    def thing(self) -> str:
        """How a problem names it."""
        return f"point {self.names[0]}" if self.names else f"point ({self.xy[0]:.2f}, {self.xy[1]:.2f})"


@dataclass(slots=True)
class Fixed:
    """A post that stands fixed in a leg: at a node (``node``), a gate post, or one at which the way that the fence
    follows the ground changes or fabric steps (``change``, in words). ``reach_m`` half extent along the leg."""

    at_m: float
    reach_m: float
    node: int | None = None
    gates: list[str] = field(default_factory=list)
    change: str = ""


@dataclass(slots=True)
class Opening:
    """A gate placed in a leg: clear opening from ``low_m`` to ``high_m``; ``forward`` seen from its own point."""

    spec: GateSpec
    name: str
    leg: int
    low_m: float
    high_m: float
    forward: bool
    opening_m: float
    leaf_m: float
    allowance_m: float
    source: str
    low_post: int = -1
    high_post: int = -1


@dataclass(slots=True)
class LegFrame:
    """A leg between two nodes, with its unit direction and the posts that stand fixed in it, gates included.

    ``piece``: the vertices of the straight piece it is part of; ``start_vertex``, ``end_vertex`` -1 at a tee.
    ``grade``: the slope of the ground where bays are measured along it; None where they are measured level.
    """

    index: int
    trace: Trace
    start: int
    end: int
    a: XY
    b: XY
    d: XY
    length: float
    from_m: float
    fixed: list[Fixed] = field(default_factory=list)
    openings: list[Opening] = field(default_factory=list)
    start_vertex: int = -1
    end_vertex: int = -1
    piece: tuple[int, int] = (-1, -1)
    grade: Grade | None = None

    def along(self, level_m: float) -> float:
        """A station of the leg [m] as bays are measured: along the slope, or level."""
        return level_m if self.grade is None else self.grade.along(level_m)

    def level(self, along_m: float) -> float:
        """The level station [m] of one measured as bays are."""
        return along_m if self.grade is None else self.grade.level(along_m)

    @property
    def axis(self) -> float:
        """Direction counter-clockwise from +x [rad]."""
        return math.atan2(self.d[1], self.d[0])

    def point(self, at_m: float) -> XY:
        """The point ``at_m`` from the start of the leg."""
        return (self.a[0] + self.d[0] * at_m, self.a[1] + self.d[1] * at_m)


@dataclass(slots=True)
class Frame:
    """All runs joined: nodes and legs; ``legs_of`` run index to leg indices in walking order."""

    traces: list[Trace]
    nodes: list[Node]
    legs: list[LegFrame]
    legs_of: dict[int, list[int]]

    def where(self, leg: LegFrame) -> Where:
        """The place of the leg's run in the file."""
        return leg.trace.spec.at
