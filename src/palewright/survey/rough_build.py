"""From a network to one cluster of places: the ground first, then pieces built apart and brought in."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model import Observation
from palewright.plane import XY, project, sub, unit
from palewright.survey.rough_cluster import NORTH, Cluster, Index
from palewright.survey.rough_join import Move, Work, adopt, bridges, complete, dock, join, ways
from palewright.survey.rough_options import RIVAL, best_options, cost_of, judge, refined

__all__ = ["Built", "build"]

_GIVEN_M = 1.0
_WORK = 4000
_WORK_EACH = 10
_PIECE_WORK = 60
_MOST_PIECES = 500
_SEEDS = 3
_SWEEPS = 3
_BETTER = 3.0
_TWO_PLACES = 2
_CHOICES = 3
_MOST_DOCKS = 60


@dataclass(slots=True)
class Built:
    """The cluster, clusters that nothing brings in, and the points that may as well lie somewhere else.

    pivot
        the one given point about which the whole was turned as one likes, or "".
    """

    world: Cluster
    apart: list[Cluster]
    doubtful: dict[str, tuple[XY, XY]]
    work: Work
    pivot: str = ""


def build(index: Index) -> Built:
    """Place everything that can be placed."""
    work = Work(_WORK + _WORK_EACH * len(index.points))
    world = _ground(index)
    complete(world, work)
    clusters = _pieces(index, world, work) if len(world.at) < len(index.points) else []
    if not world.at and clusters:
        world = max(clusters, key=lambda cluster: (cluster.scaled, len(cluster.at)))
        clusters.remove(world)
    built = Built(world, clusters, {}, work)
    docks: dict[str, int] = {}
    while len(built.world.at) < len(index.points):
        before = len(built.world.at), built.world.handed
        _absorb(built)
        for step in (_by_dock, _by_given, _by_turning, _by_weak, _by_choice, _by_hand):
            if (len(built.world.at), built.world.handed) != before:
                break
            step(built, docks)
        complete(built.world, work)
        if (len(built.world.at), built.world.handed) == before:
            break
    _revise(built)
    return built


def _ground(index: Index) -> Cluster:
    """Points whose coordinates were given or observed: what is held, or else what is said to be near a place."""
    world = Cluster(index)
    seen: dict[str, dict[str, Observation]] = defaultdict(dict)
    for o in index.observations:
        if o.kind in ("east", "north"):
            seen[o.points[0]].setdefault(o.kind, o)
    placed = {p.name: (p.xy, 0.0) for p in index.points.values() if p.held and p.xy is not None}
    for name, pair in seen.items():
        if len(pair) == _TWO_PLACES and name not in placed:
            sigma = max(pair["east"].sigma, pair["north"].sigma)
            placed[name] = ((pair["east"].value, pair["north"].value), sigma)
    if not placed:
        placed = {p.name: (p.xy, _GIVEN_M) for p in index.points.values() if p.xy is not None}
    if placed:
        world.ground = world.handed = True
        world.zeros[NORTH] = 0.0
        for name, (xy, spread) in placed.items():
            world.place(name, xy, spread)
    return world


# ---------------------------------------------------------------- pieces


def _pieces(index: Index, world: Cluster, work: Work) -> list[Cluster]:
    """Clusters that together hold every measured line that has an end outside the ground; joined where they can be."""
    clusters: list[Cluster] = []
    covered: set[int] = set()
    for scaled in (True, False):
        for k, o in _seeds(index, world, scaled):
            if k in covered or (not scaled and any(set(o.points) <= c.at.keys() for c in clusters)):
                continue
            if len(clusters) >= _MOST_PIECES:
                break
            first = not clusters and not world.at
            own = work if first else Work(min(_PIECE_WORK, work.left))
            cluster = _best_of(index, o, scaled, own, first)
            if not first:
                work.left -= _PIECE_WORK - own.left
            clusters.append(cluster)
            covered |= {j for name in cluster.at for j in index.touching[name]
                        if all(p in cluster.at for p in index.observations[j].points)}  # fmt: skip
    return _joined(clusters, work)


def _seeds(index: Index, world: Cluster, scaled: bool) -> Iterator[tuple[int, Observation]]:
    """Lines to begin a cluster with, those in most triangles first; without ``scaled`` sights instead of tapes."""
    kinds = ("distance",) if scaled else ("direction", "azimuth")
    lines = [
        (k, o) for k, o in enumerate(index.observations) if o.kind in kinds and not set(o.points) <= world.at.keys()
    ]
    near: dict[str, set[str]] = defaultdict(set)
    for _, o in lines:
        near[o.points[0]].add(o.points[1])
        near[o.points[1]].add(o.points[0])
    ranked = sorted(lines, key=lambda entry: (-len(near[entry[1].points[0]] & near[entry[1].points[1]]), entry[0]))
    yield from ranked


def _best_of(index: Index, o: Observation, scaled: bool, work: Work, first: bool) -> Cluster:
    """A cluster from one line; the first of all is begun anew elsewhere where something in it does not fit."""
    cluster = _from_line(index, o, scaled, work)
    if not first:
        return cluster
    for _ in range(_SEEDS - 1):
        wrong = set(cluster.suspicious())
        if len(wrong) <= max(2, len(cluster.at) // 20):
            break
        others = [
            p
            for p in index.observations
            if p.kind == "distance" and p is not o and not set(p.points) & set(o.points) and not set(p.points) & wrong
        ]
        if not others or not scaled:
            break
        o = others[0]
        again = _from_line(index, o, scaled, work)
        if (len(again.at), -again.cost) > (len(cluster.at), -cluster.cost):
            cluster = again
    return cluster


def _from_line(index: Index, o: Observation, scaled: bool, work: Work) -> Cluster:
    cluster = Cluster(index, scaled=scaled)
    length = o.value if scaled else 1.0
    cluster.place(o.points[0], (0.0, 0.0), 0.0)
    cluster.place(o.points[1], (length, 0.0), o.sigma if scaled else 1e-6)
    complete(cluster, work)
    return cluster


def _joined(clusters: list[Cluster], work: Work) -> list[Cluster]:
    """Clusters joined with each other, the largest first, until nothing joins."""
    waiting = sorted(clusters, key=lambda cluster: -len(cluster.at))
    done: list[Cluster] = []
    while waiting:
        built = Built(waiting.pop(0), waiting, {}, work)
        before = -1
        while before != len(built.world.at):
            before = len(built.world.at)
            _absorb(built)
            complete(built.world, work)
        done.append(built.world)
        waiting = built.apart
    return done


def _absorb(built: Built) -> None:
    """Join every cluster that shares points with the world and whose place is certain."""
    moved = True
    while moved:
        moved = False
        for guest in list(built.apart):
            world = built.world
            if guest.at.keys() <= world.at.keys():
                built.apart.remove(guest)
            elif not guest.at.keys().isdisjoint(world.at):
                if guest.handed and not world.handed and not world.flat and join(guest, world):
                    built.world, moved = guest, True
                elif join(world, guest):
                    moved = True
                if moved:
                    built.apart.remove(guest)


# ---------------------------------------------------------------- what is left


def _by_dock(built: Built, docks: dict[str, int], doubt: bool = False) -> None:
    """Fit one cluster, or one point, by everything measured to it; with ``doubt`` also where two places fit."""
    world = built.world
    for guest in [*built.apart, *_single(world)]:
        own = [name for name in guest.at if name not in world.at]
        key = f"{doubt} {' '.join(sorted(own))}"
        count = len(bridges(world, guest))
        if not own or docks.get(key) == count or len(docks) > _MOST_DOCKS or (guest.handed and not world.handed):
            continue
        docks[key] = count
        answers = dock(world, guest)
        if answers and (len(answers) == 1 or doubt):
            if len(answers) > 1:
                built.doubtful[own[0]] = answers[0][1](guest.at[own[0]]), answers[1][1](guest.at[own[0]])
            adopt(world, guest, answers[0][1])
            if guest in built.apart:
                built.apart.remove(guest)
            return


def _single(world: Cluster) -> Iterator[Cluster]:
    """Points that several observations tell of, but none by a simple line or circle."""
    for name in world.index.order:
        if name not in world.at and name not in world.open and len(world.ready(name)) >= _TWO_PLACES:
            yield Cluster(world.index, {name: (0.0, 0.0)}, {name: 0.0})


def _by_given(built: Built, docks: dict[str, int]) -> None:
    """Points that nothing fixes, but whose place is nearly known."""
    if built.world.ground:
        for name, point in built.world.index.points.items():
            if point.xy is not None and name not in built.world.at:
                built.world.place(name, point.xy, _GIVEN_M)


def _by_turning(built: Built, docks: dict[str, int]) -> None:
    """Where the ground is one point only, the cluster that holds it may be turned: its next point to the east."""
    world = built.world
    if len(world.at) != 1:
        return
    ((name, xy),) = world.at.items()
    for guest in sorted(built.apart, key=lambda cluster: -len(cluster.at)):
        if name in guest.at and guest.scaled:
            first = guest.at[name]
            other = next(p for p in world.index.order if p in guest.at and p != name)
            turn = -math.atan2(guest.at[other][1] - first[1], guest.at[other][0] - first[0])
            x, y = Move(turn, (0.0, 0.0))(first)
            world.handed, world.first_off = guest.handed, guest.first_off
            built.pivot = name
            world.zeros.clear()
            adopt(world, guest, Move(turn, (xy[0] - x, xy[1] - y)))
            built.apart.remove(guest)
            return


def _by_weak(built: Built, docks: dict[str, int]) -> None:
    """The best of the points that are known badly in one direction."""
    world = built.world
    if world.weak:
        name = min(world.weak, key=lambda other: (world.weak[other].dilution, world.index.order[other]))
        world.settle(name, world.weak[name])


def _by_choice(built: Built, docks: dict[str, int]) -> None:
    """Of two places that fit equally well take one, and remember the other."""
    world = built.world
    if world.open:
        _choose(built)
        return
    for guest in built.apart:
        found = ways(world, guest)
        own = [name for name in guest.at if name not in world.at]
        if found and own:
            if len(found) > 1 and found[1][0] <= found[0][0] + RIVAL:
                first = max(own, key=lambda name: math.dist(found[0][1](guest.at[name]), found[1][1](guest.at[name])))
                built.doubtful[first] = found[0][1](guest.at[first]), found[1][1](guest.at[first])
            adopt(world, guest, found[0][1])
            built.apart.remove(guest)
            return
    _by_dock(built, docks, doubt=True)


def _choose(built: Built) -> None:
    """Of the first open points, the one whose options lead most apart when all is done; in doubt the very first."""
    world = built.world
    ranked = sorted(world.open, key=lambda other: (-world.open[other][0].agree, world.index.order[other]))
    for name in ranked[:_CHOICES] if built.work.left > 0 else ():
        costs = []
        for k, option in enumerate(world.open[name]):
            trial = world.copy()
            trial.settle(name, option)
            complete(trial, Work(min(_WORK // 10, built.work.left)))
            built.work.left -= len(trial.at) - len(world.at) + _WORK // 100
            costs.append((trial.cost, k))
        costs.sort()
        if costs[1][0] > costs[0][0] + RIVAL:
            world.settle(name, world.open[name][costs[0][1]])
            return
    options = world.open[ranked[0]]
    built.doubtful[ranked[0]] = options[0].xy, options[1].xy
    world.settle(ranked[0], options[0])


def _by_hand(built: Built, docks: dict[str, int]) -> None:
    """A cluster that may be mirrored is taken as it is, where what is left asks for left and right."""
    world = built.world
    if not world.handed and not world.flat:
        world.handed = True
        world.reorient()
        if world.first_off:
            a, b = list(world.at.values())[:2]
            xy = world.at[world.first_off]
            along, off = project(xy, a, b)
            d = unit(sub(b, a))
            built.doubtful[world.first_off] = xy, (a[0] + along * d[0] + off * d[1], a[1] + along * d[1] - off * d[0])


# ---------------------------------------------------------------- second thoughts


def _revise(built: Built) -> None:
    """Move points that something misses to where more agrees, now that all their neighbours are placed."""
    world, index = built.world, built.world.index
    fixed = {p.name for p in index.points.values() if p.held and p.xy is not None}
    for circle in world.zeros:
        if circle != NORTH or built.pivot or not world.ground:
            _best_zero(world, circle)
    for sweep in range(_SWEEPS):
        names = [name for name in (index.order if not sweep else world.suspicious()) if name in world.at]
        if not sum(_improve(world, name) for name in names if name not in fixed):
            return


def _improve(world: Cluster, name: str) -> bool:
    """Move a point to where more agrees, or to the middle of what agrees where it is; whether that made it better."""
    ready = world.ready(name)
    if len(ready) < _TWO_PLACES:
        return False
    now = judge(world, name, ready, world.at[name])
    here = refined(world, name, ready, now)
    if here.cost > 0.0 or here.spread == math.inf:
        at = world.at[name]
        found = [option for option in best_options(world, name, ready) if option.cost < here.cost - _BETTER]
        here = min(found, key=lambda option: math.dist(option.xy, at), default=here)
    if here.cost > now.cost or here.spread == math.inf:
        return False
    world.at[name] = here.xy
    world.spread[name] = min(here.spread, world.spread[name])
    return here.cost < now.cost


def _best_zero(world: Cluster, circle: tuple[str, str]) -> None:
    """The zero of a circle on which most of its readings agree."""
    readings = [world.index.observations[k] for k in world.index.circles[circle]]
    readings = [o for o in readings if all(name in world.at for name in o.points)]
    zeros = []
    for o in readings[: 2 * _TWO_PLACES]:
        a, b = (world.at[name] for name in o.points)
        zeros.append(math.atan2(b[0] - a[0], b[1] - a[1]) - o.value)
    if zeros:
        world.zeros[circle] = min(
            zeros, key=lambda zero: math.fsum(cost_of(world.gap(o, zero, world.at)) for o in readings)
        )
