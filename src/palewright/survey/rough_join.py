"""Clusters completed, and joined to each other: over shared points, over north, or by whatever was measured between."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from palewright.model import Observation
from palewright.plane import XY
from palewright.record import Record
from palewright.survey.rough_cluster import Cluster
from palewright.survey.rough_options import FITS, RIVAL, WRONG_SIDE, Option, cost_of
from palewright.survey.rough_shapes import is_signed

__all__ = [
    "Move",
    "Work",
    "adopt",
    "bridge_cost",
    "bridges",
    "complete",
    "decide_hand",
    "dock",
    "fit_move",
    "join",
    "ways",
]

_LOOK_AHEAD = ((12, 1000), (60, 10), (300, 4))
"""How many points to look ahead, and from how many open points at most."""
_AGAIN = 8
_ZEROS = 6
_START_TURNS = 8
_MOST_BRIDGES = 40
_LEAST_BASE = 20.0
_MOST_STEPS = 25
_FLOOR = 1e-3

Vector = NDArray[np.float64]


@dataclass(slots=True)
class Work:
    """How many points may still be placed for trial; which points were looked ahead from, and at what size."""

    left: int
    tried: dict[tuple[str, int], int] = field(default_factory=dict)


class Move(Record):
    """A similarity of the plane: mirror in the y axis if ``mirrored``, turn counter-clockwise, scale, shift."""

    turn: float
    shift: XY
    scale: float = 1.0
    mirrored: bool = False

    def __call__(self, p: XY) -> XY:
        """Where the move brings a point."""
        x, y = (-p[0] if self.mirrored else p[0]) * self.scale, p[1] * self.scale
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        return (cos * x - sin * y + self.shift[0], sin * x + cos * y + self.shift[1])


def fit_move(old: Sequence[XY], new: Sequence[XY], scaled: bool, mirrored: bool) -> Move:
    """The similarity that brings ``old`` best upon ``new``, two points or more.

    scaled
        True: lengths are right already. Source: least squares in complex numbers.
    """
    z = np.array([complex(-x if mirrored else x, y) for x, y in old])
    w = np.array([complex(x, y) for x, y in new])
    dz, dw = z - z.mean(), w - w.mean()
    factor = complex(np.vdot(dz, dw)) / max(float(np.vdot(dz, dz).real), 1e-300)
    if scaled:
        factor = factor / abs(factor) if factor else 1.0 + 0.0j
    shift = w.mean() - factor * z.mean()
    turn = math.atan2(factor.imag, factor.real)
    return Move(turn, (float(shift.real), float(shift.imag)), abs(factor), mirrored)


# ---------------------------------------------------------------- one cluster


def complete(cluster: Cluster, work: Work) -> None:
    """Grow a cluster as far as its own observations go."""
    while True:
        cluster.grow()
        if not cluster.handed and cluster.flat and cluster.open:
            _pick_first(cluster)
        elif _try_open(cluster, work):
            continue
        elif cluster.sided or not decide_hand(cluster):
            return


def _pick_first(cluster: Cluster) -> None:
    """The first point off the line of a cluster that may be mirrored: to the left of it."""
    name = max(cluster.open, key=lambda other: (cluster.open[other][0].agree, -cluster.index.order[other]))
    a, b = list(cluster.at.values())[:2]

    def left(option: Option) -> float:
        return (b[0] - a[0]) * (option.xy[1] - a[1]) - (b[1] - a[1]) * (option.xy[0] - a[0])

    cluster.first_off = name
    cluster.settle(name, max(cluster.open[name], key=left))
    cluster.handed = False


def _try_open(cluster: Cluster, work: Work) -> bool:
    """Settle one point that has several places by what follows from each; False where nothing decides.

    Looks a few points ahead for every such point, then farther.
    """
    order = sorted(cluster.open, key=lambda other: (-cluster.open[other][0].agree, cluster.index.order[other]))
    for ahead, most in _LOOK_AHEAD:
        fresh = (name for name in order if work.tried.get((name, ahead), -_AGAIN) <= len(cluster.at) - _AGAIN)
        for name in itertools.islice(fresh, most):
            if work.left <= 0:
                return False
            work.tried[name, ahead] = len(cluster.at)
            ranked = sorted(
                (_foresee(cluster, name, option, ahead, 1, work), k) for k, option in enumerate(cluster.open[name])
            )
            if ranked[1][0] > ranked[0][0] + RIVAL:
                cluster.settle(name, cluster.open[name][ranked[0][1]])
                return True
    return False


def _foresee(cluster: Cluster, name: str, option: Option, ahead: int, depth: int, work: Work) -> float:
    """What a choice costs in the end: points that follow from it are placed, and the best of a further choice taken."""
    trial = cluster.copy()
    trial.settle(name, option)
    work.left -= trial.grow(ahead) + 1
    if not depth or not trial.open:
        return trial.cost
    other = max(trial.open, key=lambda p: (trial.open[p][0].agree, -trial.index.order[p]))
    return min(_foresee(trial, other, further, ahead, depth - 1, work) for further in trial.open[other])


def decide_hand(cluster: Cluster) -> bool:
    """Tell a cluster from its mirror image by what inside it tells left from right; turn it over where it is wrong."""
    as_is, mirrored = _hand_cost(cluster, cluster.at), _hand_cost(cluster, _mirror(cluster.at))
    if abs(as_is - mirrored) <= RIVAL:
        return False
    if mirrored < as_is:
        cluster.at = _mirror(cluster.at)
    cluster.handed = True
    cluster.reorient()
    return True


def _mirror(at: dict[str, XY]) -> dict[str, XY]:
    return {name: (-x, y) for name, (x, y) in at.items()}


def _hand_cost(cluster: Cluster, at: dict[str, XY]) -> float:
    """How badly everything that tells left from right fits inside a cluster."""
    index = cluster.index
    trial = Cluster(index, at, cluster.spread, handed=True)
    inside = {k for name in at for k in index.touching[name] if all(p in at for p in index.observations[k].points)}
    cost = 0.0
    for k in sorted(inside):
        o = index.observations[k]
        if index.circle(o) is None and is_signed(o):
            cost += cost_of(trial.gap(o, 0.0, at))
    for members in index.circles.values():
        cost += _circle_cost(trial, [index.observations[k] for k in members if k in inside])
    return cost + WRONG_SIDE * sum(trial.wrong_side(name, xy) for name, xy in at.items())


def _circle_cost(cluster: Cluster, readings: list[Observation]) -> float:
    """How badly the readings of one circle fit each other, about the zero of the best of the first few."""
    zeros = []
    for o in readings:
        a, b = (cluster.at[name] for name in o.points)
        zeros.append(math.atan2(b[0] - a[0], b[1] - a[1]) - o.value)
    return min(
        (math.fsum(cost_of(cluster.gap(o, zero, cluster.at)) for o in readings) for zero in zeros[:_ZEROS]),
        default=0.0,
    )


# ---------------------------------------------------------------- two clusters


def adopt(host: Cluster, guest: Cluster, move: Move) -> None:
    """Take the points of a guest into the host's frame."""
    shared = max((host.spread[name] for name in guest.at if name in host.at), default=0.0)
    for name, xy in guest.at.items():
        if name not in host.at:
            host.place(name, move(xy), math.hypot(guest.spread[name] * move.scale, shared))
    if guest.handed and not host.handed:
        host.handed = True


def bridge_cost(host: Cluster, guest: Cluster, move: Move) -> float:
    """How badly the observations between host and guest, and the sides of points, fit when the guest is moved so."""
    trial = host.copy()
    adopt(trial, guest, move)
    cost = 0.0
    for o in bridges(host, guest):
        circle = host.index.circle(o)
        if circle is None or circle in trial.zeros:
            cost += cost_of(trial.gap(o, trial.zeros[circle] if circle else 0.0, trial.at))
    own = (name for name in guest.at if name not in host.at)
    return cost + WRONG_SIDE * sum(trial.wrong_side(name, trial.at[name]) for name in own)


def bridges(host: Cluster, guest: Cluster) -> list[Observation]:
    """Observations that reach from points of the guest alone to points of the host alone."""
    found: dict[int, Observation] = {}
    for name in guest.at:
        if name in host.at:
            continue
        for k in host.index.touching[name]:
            o = host.index.observations[k]
            if all(other in host.at or other in guest.at for other in o.points) and not all(
                other in guest.at for other in o.points
            ):
                found[k] = o
    for name in guest.at:
        if name not in host.at:
            for k in host.index.touching[name]:
                o = host.index.observations[k]
                if o.kind in ("east", "north") and host.ground:
                    found[k] = o
    return [found[k] for k in sorted(found)]


def ways(host: Cluster, guest: Cluster) -> list[tuple[float, Move]]:
    """How a guest may be brought into the host's frame over shared points or one circle: (cost, move), the best first.

    More than one where it may be either of two mirror images. A host that may be mirrored takes no guest that may not.
    """
    shared = [name for name in guest.at if name in host.at]
    if guest.handed and not host.sided:
        return []
    images = (False,) if guest.sided else (False, True)
    moves: list[Move] = []
    if len(shared) >= 2 and (guest.scaled or host.scaled):
        old, new = [guest.at[name] for name in shared], [host.at[name] for name in shared]
        base = max(math.dist(new[0], q) for q in new)
        spread = max(host.spread[name] + guest.spread[name] for name in shared)
        if base > _LEAST_BASE * spread + 1e-6:
            moves = [fit_move(old, new, host.scaled and guest.scaled, mirrored) for mirrored in images]
    elif shared and guest.scaled and host.scaled and guest.sided and host.zeros.keys() & guest.zeros.keys():
        circle = next(circle for circle in host.zeros if circle in guest.zeros)
        turn = guest.zeros[circle] - host.zeros[circle]
        x, y = Move(turn, (0.0, 0.0))(guest.at[shared[0]])
        moves = [Move(turn, (host.at[shared[0]][0] - x, host.at[shared[0]][1] - y))]
    agreed = [move for move in moves if shared_cost(host, guest, move, shared) <= RIVAL]
    return sorted(((bridge_cost(host, guest, move), move) for move in agreed), key=lambda entry: entry[0])


def join(host: Cluster, guest: Cluster) -> bool:
    """Bring a guest into the host's frame; False where it is not certain how."""
    found = ways(host, guest)
    if not found or found[0][0] > 2.0 * RIVAL or (len(found) > 1 and found[1][0] <= found[0][0] + RIVAL):
        return False
    adopt(host, guest, found[0][1])
    return True


def shared_cost(host: Cluster, guest: Cluster, move: Move, shared: Iterable[str]) -> float:
    cost = 0.0
    for name in shared:
        spread = math.hypot(host.spread[name], guest.spread[name]) + 1e-6
        cost += cost_of(math.dist(move(guest.at[name]), host.at[name]) / spread)
    return cost


# ---------------------------------------------------------------- docking


def dock(host: Cluster, guest: Cluster) -> list[tuple[float, Move]]:
    """Where a guest may lie that shares too little with the host, by everything measured between the two.

    A rigid body is fitted by damped least squares from several beginnings. Returns (cost, move) of the different places
    that fit, the best first; empty where the observations leave it movable, or where nothing fits.
    """
    found = bridges(host, guest)[:_MOST_BRIDGES]
    shared = [name for name in guest.at if name in host.at]
    free = 2 if len(guest.at) == 1 else 3
    if not guest.scaled or len(found) + 2 * len(shared) < free or len(shared) == len(guest.at):
        return []
    middle = _mean(list(guest.at.values()))
    near = [host.at[name] for o in found for name in o.points if name in host.at] + [host.at[name] for name in shared]
    reach = max([o.value for o in found if o.kind == "distance"], default=1.0)
    answers: list[tuple[float, Move]] = []
    for mirrored in (False,) if guest.sided else (False, True):

        def of(v: Vector, mirrored: bool = mirrored) -> Move:
            turn = float(v[2]) if free == 3 else 0.0
            x, y = Move(turn, (0.0, 0.0), 1.0, mirrored)(middle)
            return Move(turn, (float(v[0]) - x, float(v[1]) - y), 1.0, mirrored)

        def gaps(v: Vector, of: Callable[[Vector], Move] = of) -> Vector:
            return _gaps(host, guest, of(v), found, shared)

        for start in _starts(_mean(near or list(host.at.values())), reach, free):
            fit = _fit(gaps, np.array(start), max(reach, 1.0))
            if fit is not None:
                answers.append((float(np.sum(np.log1p(gaps(fit) ** 2))), of(fit)))
    return _different(guest, answers, len(found) + 2 * len(shared))


def _fit(gaps: Callable[[Vector], Vector], v: Vector, size: float) -> Vector | None:
    """Damped least squares with weights that forgive one bad observation; None where something stays free to move."""
    steps = np.array([1e-4, 1e-4, 1e-4 / size])[: len(v)]
    damping, now = 1e-2, gaps(v)
    cost = float(np.sum(np.log1p(now**2)))
    for _ in range(_MOST_STEPS):
        slopes = np.stack([(gaps(v + step) - now) / steps[k] for k, step in enumerate(np.diag(steps))], axis=1)
        weight = 1.0 / (1.0 + now**2)
        normal = slopes.T @ (slopes * weight[:, None])
        if not np.isfinite(normal).all():
            return None
        damped = normal + damping * np.diag(np.diag(normal) + _FLOOR)
        step = np.linalg.lstsq(damped, slopes.T @ (weight * now), rcond=None)[0]
        after = gaps(v - step)
        if (reached := float(np.sum(np.log1p(after**2)))) < cost:
            small = cost - reached < 1e-6 * (1.0 + cost)
            v, now, cost, damping = v - step, after, reached, damping / 10.0
            if small:
                break
        else:
            damping *= 10.0
            if damping > 1e8:
                break
    scale = np.sqrt(np.sum(slopes**2, axis=0)) + 1e-300
    values = np.linalg.svd(slopes / scale, compute_uv=False)
    return v if values[-1] > 1e-4 * values[0] else None


def _starts(target: XY, reach: float, free: int) -> list[list[float]]:
    turns = [2.0 * math.pi * k / _START_TURNS for k in range(_START_TURNS)]
    if free == 2:
        return [[target[0] + reach * math.sin(t) / 2.0, target[1] + reach * math.cos(t) / 2.0] for t in turns]
    around = [target, *((target[0] + reach * math.sin(t), target[1] + reach * math.cos(t)) for t in turns[::2])]
    return [[x, y, t] for x, y in around for t in turns[::2]]


def _gaps(host: Cluster, guest: Cluster, move: Move, found: list[Observation], shared: list[str]) -> Vector:
    at = {name: host.at[name] if name in host.at else move(guest.at[name]) for o in found for name in o.points}
    values = []
    for o in found:
        circle = host.index.circle(o)
        zero = 0.0
        if circle is not None:
            zero = host.zeros.get(circle, math.nan)
            if math.isnan(zero):
                zero = guest.zeros.get(circle, math.nan) - move.turn
        values.append(0.0 if math.isnan(zero) else host.gap(o, zero, at))
    for name in shared:
        x, y = move(guest.at[name])
        spread = math.hypot(host.spread[name], guest.spread[name]) + 1e-4
        values += [(x - host.at[name][0]) / spread, (y - host.at[name][1]) / spread]
    return np.array(values)


def _different(guest: Cluster, answers: list[tuple[float, Move]], count: int) -> list[tuple[float, Move]]:
    """Places that are not the same, the best first, of those that fit most of what was measured."""
    kept: list[tuple[float, Move]] = []
    ends = list(guest.at.values())[:2]
    for cost, move in sorted(answers, key=lambda entry: entry[0]):
        if cost > count * math.log1p(FITS**2) / 2.0 or (kept and cost > kept[0][0] + RIVAL):
            break
        if all(max(math.dist(move(p), other(p)) for p in ends) > 0.05 for _, other in kept):
            kept.append((cost, move))
    return kept


def _mean(points: Sequence[XY]) -> XY:
    return (math.fsum(p[0] for p in points) / len(points), math.fsum(p[1] for p in points) / len(points))
