"""Every figure that readings allow: points placed one by one on all the places where two readings meet.

Which figure a set of readings means need not be the one nearest to some rough places: tapes fix a point but for its
side, and a chain of such points has many figures. Here all of them are followed, and a branch ends where a reading
cannot be met. How far a place may be off is carried along as a radius: by how much two readings move their meeting
place when each gives as much as it may, with the curvature of the circles where they nearly touch. So a branch that
ends is a contradiction, not a search given up: no places exist at which the readings together are off by no more than
``reach`` standard deviations (root of the sum of squares; radii to first order in angles).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from palewright.errors import ProblemError
from palewright.model import Network, Observation
from palewright.plane import XY
from palewright.survey.fitting import fit
from palewright.survey.network_arrays import read_network
from palewright.survey.network_checks import LEAST_SIGMA
from palewright.survey.rough_join import fit_move
from palewright.survey.rough_shapes import Shape, is_signed, meet, miss, shapes

__all__ = ["MOST_FIGURES", "Figures", "can_be_built", "placed_at", "squares_near"]

MOST_FIGURES = 48
"""More figures are not followed: the readings left hardly hold the points."""
_MOST_NODES = 400
_QUICK = 1e-4
_ABSOLUTE = ("azimuth", "east", "north")
_FLAT = 1e-9
_SHARP = 0.4
"""A meeting place that may be off by more than this share of the way to where an angle is read is not used."""

Placed = dict[str, tuple[float, float, float]]
"""x, y and how far it may be off [m] of every point placed."""


def can_be_built(network: Network) -> bool:
    """Whether figures of a network can be followed at all: no circles of directions, no lines askew by an angle, and a
    frame to begin in."""
    held = _held(network)
    kinds = {o.kind for o in network.observations}
    askew = any(o.kind == "parallel" and o.value for o in network.observations)
    return (
        not askew
        and "direction" not in kinds
        and (len(held) > 1 or (not kinds & set(_ABSOLUTE) and "distance" in kinds))
    )


def _held(network: Network) -> dict[str, XY]:
    return {p.name: p.xy for p in network.points if p.held and p.xy is not None and network.datum == "held"}


@dataclass(slots=True)
class Figures:
    """A network whose figures are asked for, with some readings left out or for some points alone.

    reach
        how many standard deviations the readings may be off, as one vector.
    """

    network: Network
    reach: float
    _touching: dict[str, list[int]] = field(default_factory=dict)
    _freed: Figures | None = None
    _nodes: int = 0

    def __post_init__(self) -> None:
        self._touching = {p.name: [] for p in self.network.points}
        for k, o in enumerate(self.network.observations):
            for name in o.points if o.source != "assumed" else ():
                self._touching[name].append(k)

    def all(self, kept: Collection[int], names: Collection[str]) -> list[dict[str, XY]] | None:
        """The figures of some points that some readings allow, the best first: none where the readings contradict.

        kept
            numbers of the readings; those that reach other points are not looked at. None where the points cannot be
            placed one by one, or where more figures fit than are followed. What floats is laid on the places given.
        """
        wanted = frozenset(names)
        use = frozenset(kept).intersection(self.inside(wanted))
        for begin in self._begins(use, wanted):
            if self._closes(begin, use, wanted):
                self._nodes = 0
                found: list[tuple[float, int, dict[str, XY]]] = []
                if self._follow(begin, use, wanted, found):
                    return [self._laid(places, use) for _, _, places in sorted(found, key=lambda item: item[:2])]
        if self._floats:
            return None
        if self._freed is None:
            self._freed = Figures(_freed(self.network), self.reach)
        added = range(len(self.network.observations), len(self._freed.network.observations))
        return self._freed.all([*kept, *added], names)

    def inside(self, names: Collection[str]) -> list[int]:
        """Readings that reach no other points than these, but for what was assumed, and what tells where on the ground
        or to which side of it less than two held points lie."""
        some, held = frozenset(names), len(_held(self.network).keys() & names)
        return [
            k
            for k, o in enumerate(self.network.observations)
            if some.issuperset(o.points) and o.source != "assumed" and (held > 1 or o.kind not in _ABSOLUTE)
        ]

    def unknowns(self, names: Collection[str]) -> int:
        """How many readings fix some points."""
        held = len(_held(self.network).keys() & set(names))
        return 2 * (len(names) - held) if held > 1 else 2 * len(names) - 3

    # ------------------------------------------------------------ where to begin

    def _begins(self, use: frozenset[int], wanted: frozenset[str]) -> Iterator[Placed]:
        """The held points, or else a taped line, the long ones first."""
        held = {name: (*xy, 0.0) for name, xy in _held(self.network).items() if name in wanted}
        if len(held) > 1:
            yield held
            return
        lines = [o for o in (self.network.observations[k] for k in use) if o.kind == "distance"]
        for o in sorted(lines, key=lambda o: (-o.value, o.points)):
            yield {o.points[0]: (0.0, 0.0, 0.0), o.points[1]: (o.value, 0.0, self.reach * o.sigma)}

    def _closes(self, begin: Placed, use: frozenset[int], wanted: frozenset[str]) -> bool:
        """Whether every point is reached when points with two loci or more are placed in turn."""
        placed, grown = set(begin), True
        while grown and placed != wanted:
            new = {name for name in wanted - placed if len({key for key, _ in self._loci(name, placed, use)}) > 1}
            placed |= new
            grown = bool(new)
        return placed == wanted

    def _loci(self, name: str, placed: Collection[str], use: frozenset[int]) -> list[tuple[tuple[str, ...], int]]:
        """Readings that put a point on a line or circle, each with what tells loci apart that may meet in one place."""
        found = []
        for k in self._touching[name]:
            o = self.network.observations[k]
            if k in use and all(q in placed for q in o.points if q != name):
                key = _key(o, name)
                if key:
                    found.append((key, k))
        return found

    # ------------------------------------------------------------ following

    def _follow(
        self, at: Placed, use: frozenset[int], wanted: frozenset[str], found: list[tuple[float, int, dict[str, XY]]]
    ) -> bool:
        """Every figure from here on into ``found``; False where there are too many, or a point has no sharp place."""
        if len(at) == len(wanted):
            places = {name: (x, y) for name, (x, y, _) in at.items()}
            found.append((self._misses(places, use), len(found), places))
            return len(found) <= MOST_FIGURES
        self._nodes += 1
        choice = self._next(at, use, wanted)
        if choice is None or self._nodes > _MOST_NODES:
            return False
        name, options = choice
        return all(self._follow({**at, name: option}, use, wanted, found) for option in options)

    def _next(
        self, at: Placed, use: frozenset[int], wanted: frozenset[str]
    ) -> tuple[str, list[tuple[float, float, float]]] | None:
        """The point that is known best where two of its readings meet, and its places that no reading excludes."""
        best: tuple[float, str, list[tuple[float, float, float]]] | None = None
        for name in sorted(wanted - at.keys()):
            loci = self._loci(name, at, use)
            for (one, j), (two, k) in itertools.combinations(loci, 2):
                options = self._meetings(name, j, k, at) if one != two else None
                if options is None:
                    continue
                off = max((option[2] for option in options), default=0.0)
                if best is None or off < best[0]:
                    best = (off, name, options)
        if best is None:
            return None
        _, name, options = best
        ready = [k for k in self._touching[name] if k in use and all(q == name or q in at for q in self._of(k).points)]
        if self._turns_over(at, use):
            options = [option for option in options if option[1] >= 0.0] or options
        return name, [option for option in options if self._allowed(name, option, ready, at)]

    def _of(self, k: int) -> Observation:
        return self.network.observations[k]

    def _turns_over(self, at: Placed, use: frozenset[int]) -> bool:
        """Whether all points lie on the base line as yet, and nothing tells the figure from its image."""
        return self._floats and all(y == 0.0 for _, y, _ in at.values()) and not self._tells_sides(use)

    @property
    def _floats(self) -> bool:
        return len(_held(self.network)) < 2

    def _tells_sides(self, use: Collection[int]) -> bool:
        return any(p.side for p in self.network.points) or any(is_signed(self._of(k)) for k in use)

    def _laid(self, places: dict[str, XY], use: frozenset[int]) -> dict[str, XY]:
        """A figure laid on the places that the network has, turned over where nothing tells its sides."""
        given = {p.name: p.xy for p in self.network.points if p.xy is not None and p.name in places}
        held = [p.name for p in self.network.points if p.held and p.name in given]
        if not self._floats or len(given) < 2:
            return places
        some = held if len(held) > 1 else list(given)
        old, new = [places[name] for name in some], [given[name] for name in some]
        images = (False,) if self._tells_sides(use) else (False, True)
        moves = [fit_move(old, new, True, mirrored) for mirrored in images]
        off = [math.fsum(math.dist(move(places[name]), xy) ** 2 for name, xy in given.items()) for move in moves]
        move = moves[off.index(min(off))]
        return {name: move(xy) for name, xy in places.items()}

    def _meetings(self, name: str, j: int, k: int, at: Placed) -> list[tuple[float, float, float]] | None:
        """Where two readings meet, and how far that may be off; None where that is far as their points go."""
        known = {q: (x, y) for q, (x, y, _) in at.items()}
        one, two = self._of(j), self._of(k)
        pivots = [known[q] for o in (one, two) for q in _pivots(o, name)]
        found, met = [], False
        for a, b in itertools.product(shapes(one, name, known, 0.0), shapes(two, name, known, 0.0)):
            for xy in meet(a, b):
                near = min((math.dist(xy, q) for q in pivots), default=math.inf) or _FLAT
                gives, met = (self._gives(one, name, xy, at), self._gives(two, name, xy, at)), True
                more = 1.0 + _off(a, b, xy, *gives) / near  # a ray spreads on the way that the place may be off
                off = _off(a, b, xy, more * gives[0], more * gives[1])
                if off > _SHARP * near:
                    return None
                if _from(a, xy) + _from(b, xy) <= more * sum(gives) + _FLAT:
                    found.append((*xy, off))
        return found if met else None

    def _gives(self, o: Observation, name: str, xy: XY, at: Placed) -> float:
        """By how much the line or circle of a reading may be off at a place [m] when its points are off as they may."""
        own, others = self.reach * o.sigma, [at[q] for q in o.points if q != name]
        far = [math.hypot(xy[0] - x, xy[1] - y) or _FLAT for x, y, _ in others]
        off = [e for _, _, e in others]
        if o.kind == "distance":
            return own + off[0]
        if o.kind == "angle" and name == o.points[1]:
            chord = math.hypot(others[0][0] - others[1][0], others[0][1] - others[1][1]) or _FLAT
            return (own + off[0] / far[0] + off[1] / far[1]) * far[0] * far[1] / chord
        if o.kind == "angle":
            corner = 0 if name == o.points[0] else 1
            arm = math.hypot(others[0][0] - others[1][0], others[0][1] - others[1][1]) or _FLAT
            return far[corner] * (own + sum(off) / arm) + off[corner]
        if o.kind in _ABSOLUTE:
            return own * (far[0] if o.kind == "azimuth" else 1.0) + sum(off)
        if o.kind == "offset" and name != o.points[0]:  # the ray from the other point that passes the first so near
            base = math.hypot(others[0][0] - others[1][0], others[0][1] - others[1][1]) or _FLAT
            most, least = ((o.value + s * (own + sum(off))) / base for s in (1.0, -1.0))
            return far[1] * (math.asin(min(most, 1.0)) - math.asin(max(min(least, 1.0), -1.0))) + off[1]
        size = max((math.hypot(p[0] - q[0], p[1] - q[1]) for p, q in itertools.combinations(others, 2)), default=1.0)
        turned = 1.0 + max(far) / (size or _FLAT)
        return (max(far) * own if o.kind == "parallel" else own) + sum(off) * turned

    def _allowed(self, name: str, option: tuple[float, float, float], ready: Sequence[int], at: Placed) -> bool:
        """Whether a place misses no reading, and no side that was said, by more than may be."""
        all_of_them = {**at, name: option}
        known = {q: (x, y) for q, (x, y, _) in all_of_them.items()}
        for k in ready:
            o = self._of(k)
            gap, sigma = miss(o, known, 0.0)
            parts = [all_of_them[q] for q in o.points]
            if abs(gap) > self.reach * sigma + _felt(o, parts):
                return False
        for point in self.network.points:
            if point.side and name in (point.name, *point.side_of) and {point.name, *point.side_of} <= known.keys():
                (x, y), (ax, ay), (bx, by) = (known[q] for q in (point.name, *point.side_of))
                left = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / (math.hypot(bx - ax, by - ay) or 1.0)
                slack = 2.0 * sum(all_of_them[q][2] for q in (point.name, *point.side_of))
                if (left if point.side == "left" else -left) < -slack:
                    return False
        return True

    def _misses(self, places: dict[str, XY], use: frozenset[int]) -> float:
        """How badly the readings fit, no single one counting for much."""
        gaps = (miss(self._of(k), places, 0.0) for k in use)
        return math.fsum(math.log1p((gap / (sigma + _FLAT)) ** 2) for gap, sigma in gaps)


def placed_at(network: Network, places: Mapping[str, XY]) -> Network:
    """A network that begins at some places."""
    return replace(network, points=tuple(replace(p, xy=places[p.name]) for p in network.points))


def squares_near(network: Network, places: dict[str, XY]) -> float:
    """The sum of squares of the minimum near some places; infinite where there is none."""
    arrays = read_network(placed_at(network, places))
    try:
        return fit(arrays, np.where(arrays.out, 0.0, 1.0), None, _QUICK, bare=True).settled.squares
    except ProblemError:
        return math.inf


def _freed(network: Network) -> Network:
    """A network whose held points are let go, the distances between them known exactly."""
    held = _held(network)
    exact = tuple(
        Observation("distance", (a, b), math.dist(held[a], held[b]), LEAST_SIGMA, "record")
        for a, b in itertools.combinations(held, 2)
    )
    return replace(network, observations=network.observations + exact, datum="least")


def _key(o: Observation, name: str) -> tuple[str, ...]:
    """What tells the loci of a point apart: two of one key never fix it. Empty where a reading puts it on none."""
    others = tuple(q for q in o.points if q != name)
    if o.kind in ("east", "north"):
        return (o.kind,)
    if o.kind == "distance":
        return ("circle", *others)
    if o.kind == "azimuth":
        return ("ray", *others)
    if o.kind == "angle":
        return ("arc", *sorted(others)) if name == o.points[1] else ("ray", o.points[1])
    if o.kind == "parallel":
        pair = o.points[:2] if name in o.points[:2] else o.points[2:]
        return ("ray", pair[1] if pair[0] == name else pair[0])
    if name == o.points[0]:
        return ("across" if o.kind == "along" else "line", *sorted(others))
    return (
        () if o.kind == "along" or o.kind == "on line" else ("ray", o.points[2] if o.points[1] == name else o.points[1])
    )


def _pivots(o: Observation, name: str) -> tuple[str, ...]:
    """Points about which the line or circle that a point lies on turns."""
    if o.kind == "angle":
        return (o.points[0], o.points[2]) if name == o.points[1] else (o.points[1],)
    if o.kind == "azimuth" or o.kind == "parallel" or (o.kind == "offset" and name != o.points[0]):
        return _key(o, name)[1:]
    return ()


def _off(one: Shape, two: Shape, xy: XY, gives: float, other: float) -> float:
    """How far two lines or circles may move their meeting place when they give so much [m].

    Along the tangent s their gap is sin s, less or more half the curvature of one against the other times s squared.
    """
    (ax, ay), (bx, by) = _normal(one, xy), _normal(two, xy)
    cos, sin = ax * bx + ay * by, abs(ax * by - ay * bx)
    total = math.sqrt(gives**2 + other**2 + 2.0 * gives * other * abs(cos))
    bends = [1.0 / shape[2] if shape[2] else 0.0 for shape in (one, two)]
    bend = bends[0] + bends[1] if cos < 0.0 else abs(bends[0] - bends[1])
    if not one[2] or not two[2]:
        bend = max(bends)
    left = sin * sin - 2.0 * bend * total
    if bend < _FLAT or (left > 0.0 and bend * total < 1e-3 * sin * sin):
        return total / max(sin, _FLAT)
    along = (sin - math.sqrt(left)) / bend if left > 0.0 else (sin + math.sqrt(sin * sin + 2.0 * bend * total)) / bend
    return math.hypot(along, total)


def _from(shape: Shape, xy: XY) -> float:
    """How far a place is from a line or circle [m]."""
    x, y = xy[0] - shape[0], xy[1] - shape[1]
    return abs(math.hypot(x, y) - shape[2]) if shape[2] else abs(x * shape[4] - y * shape[3])


def _normal(shape: Shape, xy: XY) -> XY:
    if not shape[2]:
        return (-shape[4], shape[3])
    x, y = xy[0] - shape[0], xy[1] - shape[1]
    far = math.hypot(x, y) or _FLAT
    return (x / far, y / far)


def _felt(o: Observation, parts: Sequence[tuple[float, float, float]]) -> float:
    """By how much the miss of a reading may change when its points are off as they may [m]."""
    off = [e for _, _, e in parts]
    if o.kind in ("distance", "azimuth", "east", "north"):
        return sum(off)
    if o.kind == "angle":
        return off[0] + 2.0 * off[1] + off[2]
    if o.kind == "parallel":
        return 2.0 * sum(off)
    (x, y, e), (ax, ay, ea), (bx, by, eb) = parts
    share = math.hypot(x - ax, y - ay) / (math.hypot(bx - ax, by - ay) or _FLAT)
    return e + (ea + eb) * (1.0 + share)
