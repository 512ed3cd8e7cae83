"""A cluster of points placed together in one frame, and how it grows from point to point.

The frame of a cluster may be turned, mirrored or of unknown scale until something inside it says. While it may be
mirrored (``handed`` False) and has left the straight line (``flat`` False), nothing that tells left from right is
looked at, because it cannot be told to which of the two images it belongs.
"""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from palewright.model import NetPoint, Network, Observation
from palewright.plane import XY
from palewright.survey.rough_options import FITS, Option, best_options
from palewright.survey.rough_shapes import Shape, is_signed, miss, shapes, wrap

__all__ = ["NORTH", "Cluster", "Index", "angles_between"]

NORTH = ("", "")
_WEAK = 5.0
"""A place with more dilution than this (tapes that cross at less than 16 degrees) waits for something better."""
_TARGETS = 6
_LARGEST = 1e8
_SHORTEST = 1e-6
_OFF_LINE = 5.0


class Index:
    """A network by its points: which observations touch a point, and which directions belong to one circle."""

    def __init__(self, network: Network) -> None:
        self.points: dict[str, NetPoint] = {
            p.name: p if p.xy is None or abs(p.xy[0]) + abs(p.xy[1]) < _LARGEST else replace(p, xy=None)
            for p in network.points
        }
        self.order = {name: k for k, name in enumerate(self.points)}
        self.observations = [
            o
            for o in network.observations
            if len(set(o.points)) == len(o.points)
            and all(name in self.points for name in o.points)
            and (_SHORTEST if o.kind == "distance" else -_LARGEST) < o.value < _LARGEST
            and 0.0 < o.sigma < _LARGEST
        ]
        self.touching: dict[str, list[int]] = defaultdict(list)
        self.circles: dict[tuple[str, str], list[int]] = defaultdict(list)
        for k, o in enumerate(self.observations):
            for name in o.points:
                self.touching[name].append(k)
            if o.kind == "azimuth":
                self.circles[NORTH].append(k)
            elif o.kind == "direction":
                self.circles[o.points[0], o.group].append(k)

    def circle(self, o: Observation) -> tuple[str, str] | None:
        """Which circle a direction or azimuth is read on; None for other kinds."""
        return NORTH if o.kind == "azimuth" else (o.points[0], o.group) if o.kind == "direction" else None


@dataclass(slots=True)
class Cluster:
    """Points in one frame.

    at, spread
        place [m] and rough standard deviation [m] of each point. zeros: azimuth of the zero of a circle of directions
        in this frame [rad]; key ("", ""): of north.
    handed, flat, scaled
        whether left and right are known, whether all points are on one line, whether lengths are. ground: the frame of
        the coordinates that were given.
    cost
        how badly what has been checked so far fits, a sum of logarithms. open, weak: points with more than one
        place, and points known badly in one direction.
    first_off
        the point that was put to the left of the line without a reason.
    """

    index: Index
    at: dict[str, XY] = field(default_factory=dict)
    spread: dict[str, float] = field(default_factory=dict)
    zeros: dict[tuple[str, str], float] = field(default_factory=dict)
    handed: bool = False
    flat: bool = True
    scaled: bool = True
    ground: bool = False
    cost: float = 0.0
    open: dict[str, list[Option]] = field(default_factory=dict)
    weak: dict[str, Option] = field(default_factory=dict)
    first_off: str = ""
    _count: dict[str, int] = field(default_factory=dict)
    _heap: list[tuple[int, int, str]] = field(default_factory=list)

    @property
    def sided(self) -> bool:
        """Whether left and right may be looked at."""
        return self.handed or self.flat

    def copy(self) -> Cluster:
        """The same cluster, to try something on; what waits is left behind."""
        return Cluster(
            self.index, dict(self.at), dict(self.spread), dict(self.zeros), self.handed, self.flat, self.scaled,
            self.ground, self.cost, {}, {}, self.first_off, dict(self._count), [],
        )  # fmt: skip

    # ------------------------------------------------------------ placing

    def place(self, name: str, xy: XY, spread: float) -> None:
        """Give a point its place and wake the points that it helps to find."""
        if self.flat and len(self.at) >= 2:
            self.flat = not self._off_line(xy, spread)
        self.at[name] = xy
        self.spread[name] = spread
        self.open.pop(name, None)
        self.weak.pop(name, None)
        for k in self.index.touching[name]:
            o = self.index.observations[k]
            circle = self.index.circle(o)
            if circle is not None:
                self._orient(circle, o)
            if not self.scaled and o.kind == "distance":
                self._rescale(o)
            for other in o.points:
                if other not in self.at:
                    self._wake(other)

    def _wake(self, name: str) -> None:
        self._count[name] = self._count.get(name, 0) + 1
        heapq.heappush(self._heap, (-self._count[name], self.index.order[name], name))

    def wake_all(self, names: Iterable[str]) -> None:
        """Look at these points again."""
        for name in names:
            if name not in self.at:
                heapq.heappush(self._heap, (-self._count.get(name, 0), self.index.order[name], name))

    def _off_line(self, xy: XY, spread: float) -> bool:
        names = iter(self.at)
        a = self.at[next(names)]
        b = max((self.at[name] for name in names), key=lambda q: math.dist(a, q))
        length = math.dist(a, b)
        off = abs((b[0] - a[0]) * (xy[1] - a[1]) - (b[1] - a[1]) * (xy[0] - a[0])) / length if length else 0.0
        return off > _OFF_LINE * spread + 1e-6

    def _orient(self, circle: tuple[str, str], o: Observation) -> None:
        """Learn the zero of a circle from the first of its readings whose ends are both placed."""
        if circle in self.zeros or not all(name in self.at for name in o.points) or not self.sided:
            return
        a, b = (self.at[name] for name in o.points)
        if a == b:
            return
        self.zeros[circle] = wrap(math.atan2(b[0] - a[0], b[1] - a[1]) - o.value)
        for k in self.index.circles[circle]:
            for name in self.index.observations[k].points:
                if name not in self.at:
                    self._wake(name)

    def reorient(self) -> None:
        """Learn the zeros of all circles anew (left and right are known now), and look at every point again."""
        self.zeros.clear()
        for circle, members in self.index.circles.items():
            for k in members:
                self._orient(circle, self.index.observations[k])
        self.wake_all(self._count)

    def _rescale(self, o: Observation) -> None:
        if not all(name in self.at for name in o.points):
            return
        long = math.dist(self.at[o.points[0]], self.at[o.points[1]])
        if long > 0.0:
            k = o.value / long
            self.at = {name: (x * k, y * k) for name, (x, y) in self.at.items()}
            self.spread = {name: spread * k for name, spread in self.spread.items()}
            self.scaled = True
            self.wake_all(self._count)

    # ------------------------------------------------------------ finding

    def ready(self, name: str) -> list[tuple[Observation, float]]:
        """Observations that say something of a point, all their others being placed, with the zero that they need."""
        known, signed = self.at, self.sided
        found: list[tuple[Observation, float]] = []
        circles: dict[tuple[str, str], list[Observation]] = {}
        for k in self.index.touching[name]:
            o = self.index.observations[k]
            if not all(other in known for other in o.points if other != name) or not self._usable(o):
                continue
            circle = self.index.circle(o)
            if circle is None:
                found.append((o, 0.0))
            elif not signed:
                continue
            elif circle != NORTH and o.points[0] == name:
                circles.setdefault(circle, []).append(o)
            elif circle in self.zeros:
                found.append((o, self.zeros[circle]))
        for readings in circles.values():
            found += [(angle, 0.0) for angle in angles_between(readings[:_TARGETS])]
        return found

    def _usable(self, o: Observation) -> bool:
        if o.kind in ("distance", "along", "offset") and not self.scaled:
            return False
        return self.ground or o.kind not in ("east", "north")

    def shapes(self, name: str, o: Observation, zero: float) -> list[Shape]:
        """Circles and lines for a point."""
        return shapes(o, name, self.at, zero)

    def gap(self, o: Observation, zero: float, at: Mapping[str, XY], signed: bool | None = None) -> float:
        """By how many standard deviations an observation misses, the spread of its points counted in."""
        signed = self.sided if signed is None else signed
        off, sigma = miss(o, at, zero, signed)
        spread = max([self.spread.get(name, 0.0) for name in o.points])
        return off / math.sqrt(sigma * sigma + spread * spread + 1e-12)

    def wrong_side(self, name: str, xy: XY) -> bool:
        """Whether a point would be on the side of its base where it is said not to be; False where nobody can say."""
        point = self.index.points[name]
        if not point.side or not self.sided or not all(base in self.at for base in point.side_of):
            return False
        a, b = (self.at[base] for base in point.side_of)
        left = (b[0] - a[0]) * (xy[1] - a[1]) - (b[1] - a[1]) * (xy[0] - a[0])
        return (left > 0.0) != (point.side == "left") and left != 0.0

    def options(self, name: str) -> list[Option]:
        """Where a point may be, the likeliest first: one where that is settled, more where it is not."""
        ready = self.ready(name)
        if len(ready) < 2:
            return []
        return best_options(self, name, ready)

    def settle(self, name: str, option: Option) -> None:
        """Take an option as the place of a point."""
        if self.flat and not self.handed and len(self.at) >= 2 and self._off_line(option.xy, option.spread):
            self.handed = self._tells_sides(name)
        self.cost += option.cost
        self.place(name, option.xy, option.spread)

    def _tells_sides(self, name: str) -> bool:
        """Whether what is known of a point tells left from right."""
        point = self.index.points[name]
        sided = bool(point.side) and all(base in self.at for base in point.side_of)
        return sided or any(is_signed(o) for o, _ in self.ready(name))

    def grow(self, most: int = 1_000_000_000) -> int:
        """Place what can be placed without doubt, the best supported first; returns how many. Stops after ``most``."""
        placed = 0
        while placed < most and (name := self._next()) is not None:
            self.open.pop(name, None)
            self.weak.pop(name, None)
            found = self.options(name)
            if len(found) > 1:
                self.open[name] = found
            elif found and found[0].dilution > _WEAK:
                self.weak[name] = found[0]
            elif found:
                self.settle(name, found[0])
                placed += 1
        return placed

    def _next(self) -> str | None:
        while self._heap:
            negative, _, name = heapq.heappop(self._heap)
            if name not in self.at and -negative == self._count.get(name, 0):
                return name
        return None

    # ------------------------------------------------------------ checking

    def misfit(self, name: str) -> float:
        """The worst gap of what touches a placed point."""
        return max((abs(self.gap(o, zero, self.at)) for o, zero in self.ready(name)), default=0.0)

    def suspicious(self) -> list[str]:
        """Placed points that something misses, in the order of the network."""
        return [name for name in self.index.order if name in self.at and self.misfit(name) > FITS]


def angles_between(readings: list[Observation]) -> list[Observation]:
    """Clockwise angles between directions of one circle, each to the next, and the first to the last."""
    pairs = [(k, k + 1) for k in range(len(readings) - 1)]
    if len(readings) > 2:
        pairs.append((0, len(readings) - 1))
    return [
        Observation(
            "angle",
            (readings[i].points[1], readings[j].points[0], readings[j].points[1]),
            (readings[j].value - readings[i].value) % (2.0 * math.pi),
            math.hypot(readings[i].sigma, readings[j].sigma),
            side="clockwise",
        )
        for i, j in pairs
    ]
