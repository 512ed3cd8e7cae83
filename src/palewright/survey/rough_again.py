"""Second looks: where readings disagree, or a point may be on two sides, other beginnings are tried and compared.

Every point that something misses, or that may stand on another side, is moved to each place where two of its readings
meet, and what misses it there is placed anew. Every figure so found is brought to its least squares, the readings that
miss it left out, and judged by one cost: the square of each residual in standard deviations, and for a reading that is
far off no more than a mistake would cost. That is minus twice the logarithm of the odds, where one reading in a hundred
is misread by anything from 1 to 100,000 standard deviations, evenly spread over the logarithm (our judgement):
13.6 + 2 ln|v|. A difference of 6 is 20 to 1.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from palewright.errors import ProblemError
from palewright.model import Network
from palewright.plane import XY, add, dot, midpoint, project, scale, sub, unit
from palewright.record import Record
from palewright.survey.fitting import fit
from palewright.survey.network_arrays import read_network
from palewright.survey.network_checks import check_network
from palewright.survey.rough_build import Built
from palewright.survey.rough_cluster import Cluster, Index
from palewright.survey.rough_join import Work
from palewright.survey.rough_options import FITS, WRONG_SIDE, cost_of, every_place
from palewright.survey.rows import Floats
from palewright.survey.settle import DONE

__all__ = ["MISSES", "look_again", "seen_again"]

_AS_GOOD = 6.0
"""Figures whose costs differ by less are both possible: 20 to 1."""
MOST_POINTS = 60
"""Networks of more points are not built again: their points have neighbours enough on all sides."""
_MISTAKE = 2.0 * math.log(2.0 * math.log(1e5) / (0.01 * math.sqrt(2.0 * math.pi)))
MISSES = 4.5
"""From here on a reading costs less as a mistake than as a residual."""
_MOST_ROUNDS = 4
_MOST_PLACES = 12
_MOST_SETTLED = 10
_BETTER = 1.0
_QUICK = 1e-4
_SAME_M = 0.15


class Figure(Record):
    """Every point in a place, by least squares of the readings that do not miss it; its cost; which ones miss it."""

    cluster: Cluster
    cost: float
    wrong: frozenset[int]


def look_again(network: Network, index: Index, built: Built) -> Built:
    """The best of several figures, with the points that fit as well elsewhere; ``built`` where all is well."""
    built = _best(network, index, built)
    whole = built.world.scaled and built.world.at.keys() == index.points.keys()
    image = _image(built.world) if whole else None
    if image is not None:
        name, two, line = image
        told = any(_across(one, other, line) for one, other in built.doubtful.values())
        built.doubtful |= {} if told else {name: two}
    return built


def _image(world: Cluster) -> tuple[str, tuple[XY, XY], tuple[XY, XY]] | None:
    """Where all that is given is on one line and the figure fits as well turned over about it: a point that would tell
    by its side, its two places, and the line."""
    index = world.index
    pins = [p.xy for p in index.points.values() if p.xy is not None]
    line = (pins[0], max(pins, key=lambda xy: math.dist(xy, pins[0]))) if pins else ((0.0, 0.0), (0.0, 0.0))
    if math.dist(*line) <= _SAME_M:
        return None
    off = {name: project(xy, *line)[1] for name, xy in world.at.items()}
    names = [name for name in index.order if abs(off[name]) > _SAME_M]
    name = next((name for name in names if _rooted(index, name, set(names))), names[0] if names else "")
    if not name or any(abs(project(xy, *line)[1]) > _SAME_M for xy in pins):
        return None
    other = _over(world, (q for q in off if index.points[q].xy is None), line)
    other.reorient()
    worse = _rough_cost(other) + _sides(other) - _rough_cost(world) - _sides(world)
    return (name, (world.at[name], other.at[name]), line) if worse <= _AS_GOOD else None


def _across(one: XY, two: XY, line: tuple[XY, XY]) -> bool:
    """Whether two places are images of each other in a line."""
    (along, off), (other, other_off) = project(one, *line), project(two, *line)
    return math.hypot(along - other, off + other_off) <= _SAME_M


def _over(world: Cluster, names: Iterable[str], line: tuple[XY, XY]) -> Cluster:
    """A figure with some points at their images in a line."""
    other, along = world.copy(), unit(sub(line[1], line[0]))
    for name in names:
        gone = sub(world.at[name], line[0])
        other.at[name] = add(line[0], sub(scale(along, 2.0 * dot(gone, along)), gone))
    return other


def _sides(world: Cluster) -> float:
    return WRONG_SIDE * sum(world.wrong_side(name, xy) for name, xy in world.at.items())


def _best(network: Network, index: Index, built: Built) -> Built:
    """The best of several figures, found by moving what something misses or what may be on another side."""
    world = built.world
    small = 2 < len(index.points) <= MOST_POINTS
    whole = world.scaled and world.at.keys() == index.points.keys()
    if not small or not whole or not (built.doubtful or world.suspicious()):
        return built
    network = replace(network, observations=tuple(index.observations))
    best = None if check_network(network) else _settled(network, world)
    if best is None:
        return built
    figures: list[Figure] = []
    turned: set[str] = set()
    for _ in range(_MOST_ROUNDS):
        figures = []
        for name, other in [*_turned(best, built.doubtful), *_others(best, built.doubtful)]:
            figure = _settled(network, other)
            if figure is not None:
                figures.append(figure)
                turned |= {name}
        better = min(figures, key=lambda figure: figure.cost, default=best)
        if better.cost > best.cost - _BETTER:
            break
        best = better
    built.world = best.cluster
    untold = {name: two for name, two in built.doubtful.items() if name not in turned}
    built.doubtful = untold | _doubtful(network, index, best, figures)
    return built


def seen_again(network: Network, places: Mapping[str, XY]) -> dict[str, XY]:
    """Places of a whole network with points that miss their readings tried elsewhere."""
    index = Index(network)
    world = Cluster(index, dict(places), dict.fromkeys(places, 0.0), handed=True, flat=False, ground=True)
    world.reorient()
    return look_again(network, index, Built(world, [], {}, Work(0))).world.at


def _turned(best: Figure, doubtful: Mapping[str, tuple[XY, XY]]) -> Iterator[tuple[str, Cluster]]:
    """Each doubtful point at the one of its two places where it is not, and what misses it there placed anew; and the
    figure with all that hangs on the point turned over with it."""
    world = best.cluster
    for name, two in doubtful.items():
        xy = max(two, key=lambda xy: math.dist(xy, world.at[name]))
        yield from ((name, other) for other in (_with(world, name, xy), _turned_over(world, name, xy)) if other)


def _turned_over(world: Cluster, name: str, xy: XY) -> Cluster | None:
    """A figure turned over, from a point on, about the line that has the point's two places for images of each other.

    Points on that line stay, and so does what hangs on the point by none but these. None where a held point would move.
    """
    here, index = world.at[name], world.index
    middle = midpoint(here, xy)
    line = (middle, add(middle, (here[1] - xy[1], xy[0] - here[0])))
    off = {q: project(at, *line)[1] for q, at in world.at.items()}
    moved, waiting = {name}, [name]
    while waiting:
        near = {q for k in index.touching[waiting.pop()] for q in index.observations[k].points}
        new = {q for q in near - moved if abs(off[q]) > _SAME_M}
        moved |= new
        waiting += new
    if any(index.points[q].held and index.points[q].xy is not None for q in moved):
        return None
    return _over(world, moved, line)


def _others(best: Figure, doubtful: Iterable[str]) -> list[tuple[str, Cluster]]:
    """Figures with one point elsewhere, and what no longer fits placed anew; those that fit best."""
    world = best.cluster
    names = {*world.suspicious(), *doubtful}
    found: list[tuple[float, int, Cluster]] = []
    for name, point in world.index.points.items():
        if name not in names or (point.held and point.xy is not None):
            continue
        tried = [world.at[name]]
        for option in every_place(world, name, world.ready(name)):
            if all(math.dist(option.xy, xy) > _SAME_M for xy in tried) and len(tried) <= _MOST_PLACES:
                tried.append(option.xy)
                other = _with(world, name, option.xy)
                if other is not None:
                    found.append((_rough_cost(other), len(found), other))
    found.sort(key=lambda entry: entry[:2])
    return [("", other) for _, _, other in found[:_MOST_SETTLED]]


def _with(world: Cluster, name: str, xy: XY) -> Cluster | None:
    """A figure with one point moved; the points that miss it then are taken out and placed anew."""
    trial = world.copy()
    trial.at[name] = xy
    near = {q for k in world.index.touching[name] for q in world.index.observations[k].points}
    points = world.index.points
    gone = [q for q in trial.suspicious() if q != name and not (points[q].held and points[q].xy is not None)]
    gone = [q for q in gone if q in near or trial.misfit(q) > world.misfit(q) + 1.0]
    for q in gone:
        del trial.at[q], trial.spread[q]
    trial.wake_all(gone)
    while len(trial.at) < len(points):
        trial.grow()
        if trial.open:
            q = min(trial.open, key=lambda q: (trial.open[q][0].cost, trial.index.order[q]))
            trial.settle(q, trial.open[q][0])
        elif trial.weak:
            q = min(trial.weak, key=lambda q: (trial.weak[q].dilution, trial.index.order[q]))
            trial.settle(q, trial.weak[q])
        elif len(trial.at) < len(points):
            return None
    return trial


def _rough_cost(world: Cluster) -> float:
    return math.fsum(cost_of(gap) for gap in _gaps(world))


def _gaps(world: Cluster) -> list[float]:
    """By how many standard deviations each reading misses; 0 where the zero of its circle is not known."""
    gaps = []
    for o in world.index.observations:
        circle = world.index.circle(o)
        known = circle is None or circle in world.zeros
        gaps.append(abs(world.gap(o, world.zeros[circle] if circle else 0.0, world.at)) if known else 0.0)
    return gaps


def _settled(network: Network, world: Cluster) -> Figure | None:
    """A figure brought to its least squares, readings that miss it left out; None where it does not come to rest."""
    places = world.at
    points = tuple(p if p.held and p.xy is not None else replace(p, xy=places[p.name]) for p in network.points)
    arrays = read_network(replace(network, points=points))
    wrong = frozenset(k for k, gap in enumerate(_gaps(world)) if gap > FITS)
    state, seen = arrays.start, set()
    bare = not world.zeros  # without circles nothing hangs on how the figure lies
    for _ in range(_MOST_ROUNDS):
        seen.add(wrong)
        use = np.where(arrays.out, 0.0, 1.0)
        use[list(wrong)] = 0.0
        try:
            fitting = fit(arrays, use, state, DONE if bare else _QUICK, bare)
        except ProblemError:
            return None
        if wrong and fitting.loose.any():
            return None
        state, v = fitting.settled.state, np.abs(fitting.residual / arrays.sigma)
        v[arrays.assumed & (fitting.use == 0.0)] = 0.0
        wrong = frozenset(np.flatnonzero(v > MISSES).tolist())
        if wrong in seen:
            break
    settled = world.copy()
    settled.at = {name: (x, y) for name, (x, y) in zip(arrays.names, state.places.tolist(), strict=True)}
    return Figure(settled, float(cost(v).sum()) + _sides(settled), wrong)


def cost(v: Floats) -> Floats:
    """What residuals of ``v`` [standard deviations, >= 0] cost."""
    return np.minimum(v**2, _MISTAKE + 2.0 * np.log(np.maximum(v, 1.0)))


# ---------------------------------------------------------------- which fit as well


def _doubtful(network: Network, index: Index, best: Figure, figures: list[Figure]) -> dict[str, tuple[XY, XY]]:
    """Points that stand elsewhere in a figure that costs nearly as little.

    Where the two disagree about which reading is wrong, or a point hangs on such a reading, the adjustment has more to
    say of that reading than a side could.
    """
    found: dict[str, tuple[XY, XY]] = {}
    told = {name for k in best.wrong for name in network.observations[k].points}
    for figure in figures:
        if figure.cost > best.cost + _AS_GOOD or figure.wrong != best.wrong:
            continue
        moved = _moved(network, best.cluster.at, figure.cluster.at)
        if moved and not told & moved:
            roots = [n for n in index.order if n in moved and _rooted(index, n, moved)] or sorted(moved)
            found.setdefault(roots[0], (best.cluster.at[roots[0]], figure.cluster.at[roots[0]]))
    return found


def _rooted(index: Index, name: str, moved: set[str]) -> bool:
    """Whether a point is tied to two that did not move, or more."""
    ties = {q for k in index.touching[name] for q in index.observations[k].points if q != name}
    return len(ties - moved) >= 2


def _moved(network: Network, one: dict[str, XY], two: dict[str, XY]) -> set[str]:
    """Points whose place differs between two figures; of figures in frames of their own those with other distances.

    There those are named, the ones with most other distances first, without which no distance differs; among equals
    those whose side nobody said.
    """
    said = {p.name for p in network.points if p.side}
    names = sorted(one, key=lambda name: name in said)
    a, b = np.array([one[n] for n in names]), np.array([two[n] for n in names])
    if any(p.held for p in network.points):
        return {name for name, far in zip(names, np.hypot(*(a - b).T).tolist(), strict=True) if far > _SAME_M}
    apart = [np.hypot(*(c[:, None] - c[None]).transpose(2, 0, 1)) for c in (a, b)]
    other = np.abs(apart[0] - apart[1]) > _SAME_M
    found: set[str] = set()
    while other.any():
        most = int(np.argmax(other.sum(axis=0)))
        found.add(names[most])
        other[most, :] = other[:, most] = False
    return found
