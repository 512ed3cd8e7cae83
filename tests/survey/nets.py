"""Networks made up for tests: true places known, readings of every kind with noise of their sigma; and the same
arithmetic once more, point by point in complex numbers, to compare with."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.model import NetPoint, Network, Observation

TAPE, SIGHT = 0.006, math.radians(0.02)
KINDS = ("distance", "azimuth", "direction", "angle", "on line", "offset", "along", "parallel", "east", "north")
Places = dict[str, tuple[float, float]]


def _azimuth(d: complex) -> float:
    return math.atan2(d.real, d.imag)


def reading(kind: str, names: tuple[str, ...], places: Places, side: str = "") -> float:
    """What an observation would read if there were no error."""
    p = [complex(*places[name]) for name in names]
    if kind == "distance":
        return abs(p[1] - p[0])
    if kind in ("azimuth", "direction"):
        return _azimuth(p[1] - p[0]) % math.tau
    if kind == "angle":
        turn = (_azimuth(p[2] - p[1]) - _azimuth(p[0] - p[1])) % math.tau
        return turn if side == "clockwise" else min(turn, math.tau - turn)
    if kind in ("offset", "on line", "along"):
        z = (p[0] - p[1]) * (p[2] - p[1]).conjugate() / abs(p[2] - p[1])
        sign = -1.0 if side == "right" else 1.0
        return z.real if kind == "along" else abs(z.imag) if kind == "offset" and not side else sign * z.imag
    if kind == "parallel":
        return _azimuth(p[3] - p[2]) - _azimuth(p[1] - p[0])
    return p[0].real if kind == "east" else p[0].imag


def misfit(observation: Observation, places: Places, zero: float = 0.0) -> float:
    """Computed minus observed, over sigma."""
    off = reading(observation.kind, observation.points, places, observation.side) - observation.value
    if observation.kind == "direction":
        off -= zero
    if observation.kind in ("azimuth", "direction", "angle"):
        off = math.remainder(off, math.tau)
    elif observation.kind == "parallel":
        off = math.remainder(off, math.pi)
    return off / observation.sigma


@dataclass
class Model:
    """A network as a function of one vector, for solvers outside: east and north of what moves, then the zeros."""

    network: Network

    def __post_init__(self) -> None:
        self.moving = [p.name for p in self.network.points if not (p.held and self.network.datum == "held")]
        circles = [(o.points[0], o.group) for o in self.network.observations if o.kind == "direction"]
        self.circles = list(dict.fromkeys(circles))

    def start(self, places: Places) -> np.ndarray:
        """The vector at some places, the zeros as the first reading of each circle has them."""
        zeros = {}
        for o in self.network.observations:
            if o.kind == "direction":
                zeros.setdefault((o.points[0], o.group), reading(o.kind, o.points, places) - o.value)
        return np.array([c for name in self.moving for c in places[name]] + [zeros[c] for c in self.circles])

    def places(self, x: np.ndarray) -> Places:
        places = {p.name: p.xy for p in self.network.points if p.xy}
        return places | {name: (float(x[2 * k]), float(x[2 * k + 1])) for k, name in enumerate(self.moving)}

    def __call__(self, x: np.ndarray) -> np.ndarray:
        places, zeros = self.places(x), dict(zip(self.circles, x[2 * len(self.moving) :], strict=True))
        return np.array([misfit(o, places, zeros.get((o.points[0], o.group), 0.0)) for o in self.network.observations])

    def slope(self, x: np.ndarray, step: float = 1e-4) -> np.ndarray:
        """Derivatives (m, n) by central differences."""
        columns = []
        for k in range(len(x)):
            h = np.zeros(len(x))
            h[k] = step if k < 2 * len(self.moving) else 1e-6
            columns.append((self(x + h) - self(x - h)) / (2.0 * h[k]))
        return np.array(columns).T


def random_net(
    number: int, points: int = 8, kinds: tuple[str, ...] = KINDS, datum: str = "held", held: int = 2
) -> Network:
    """A network of points in a square, with readings of some kinds between near ones; always enough distances."""
    draw = np.random.default_rng(number)
    size = 20.0 * math.sqrt(points)
    places: Places = {f"P{k}": (float(x), float(y)) for k, (x, y) in enumerate(draw.random((points, 2)) * size)}
    names = list(places)
    if "on line" in kinds:
        (x0, y0), (x1, y1) = places[names[0]], places[names[-1]]
        share = float(draw.uniform(0.2, 0.8))
        places[names[2]] = (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
    found: list[Observation] = []
    for one in names:
        near = sorted((n for n in names if n != one), key=lambda other: math.dist(places[one], places[other]))[:6]
        found += [_noisy(draw, "distance", (one, other), places) for other in near[:4]]
        a, b = (near[k] for k in draw.choice(len(near), 2, replace=False))
        ends = {
            "azimuth": [(one, a)],
            "direction": [(one, other) for other in near[:3]],
            "angle": [(a, one, b)],
            "offset": [(one, a, b)],
            "along": [(one, a, b)],
            "east": [(one,)],
            "north": [(one,)],
        }
        found += [_noisy(draw, kind, some, places) for kind in kinds for some in ends.get(kind, ())]
    found += [o for kind in ("on line", "parallel") if kind in kinds for o in _built(draw, kind, places)]
    fixed = {names[k] for k in np.linspace(0, points - 1, held).astype(int)} if datum == "held" else set()
    some = []
    for name, (x, y) in places.items():
        near_it = (x + float(draw.normal(0.0, 0.2)), y + float(draw.normal(0.0, 0.2)))
        some.append(NetPoint(name, (x, y) if name in fixed else near_it, name in fixed))
    return Network(tuple(some), tuple(found), datum)


def _built(draw: np.random.Generator, kind: str, places: Places) -> list[Observation]:
    """P2 stands on the line from P0 to the last point; and the angle between two lines, modulo a half turn."""
    names = list(places)
    if kind == "on line":
        return [Observation(kind, (names[2], names[0], names[-1]), 0.0, TAPE)]
    four = tuple(names[k] for k in (0, 1, 2, 3))
    off = math.remainder(reading(kind, four, places) + float(draw.normal(0.0, SIGHT)), math.pi)
    return [Observation(kind, four, off, SIGHT)]


def _noisy(draw: np.random.Generator, kind: str, names: tuple[str, ...], places: Places) -> Observation:
    """A reading with noise; its side is said most of the time, and always where the rough places may be on the other."""
    side = ""
    plain = reading(kind, names, places)
    if kind == "angle" and (draw.random() < 0.7 or not 0.2 < plain < math.pi - 0.2):
        side = "clockwise"
    if kind == "offset" and (draw.random() < 0.7 or plain < 1.0):
        side = "left" if reading("on line", names, places) > 0.0 else "right"
    sigma = SIGHT if kind in ("angle", "azimuth", "direction") else TAPE
    value = reading(kind, names, places, side) + float(draw.normal(0.0, sigma))
    if kind == "direction":
        value -= 0.3 * int(names[0][1:])
    if kind == "angle":
        value = min(max(value, 0.0), math.tau if side else math.pi)
    return Observation(kind, names, max(value, 0.0) if kind == "offset" else value, sigma, side=side, group="noon")
