"""Where one point may be, from all that was observed to it: the places on which most agree."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from palewright.model import Observation
from palewright.plane import XY
from palewright.record import Record
from palewright.survey.rough_shapes import Shape, meet

if TYPE_CHECKING:
    from palewright.survey.rough_cluster import Cluster

__all__ = ["FITS", "RIVAL", "WRONG_SIDE", "Option", "best_options", "cost_of", "every_place", "judge", "refined"]

FITS = 5.0
"""An observation that misses by less than so many standard deviations agrees."""
RIVAL = 5.0
"""Two places whose costs differ by less than this are both possible."""
WRONG_SIDE = 25.0
_TRIED = 6
_NEAR = 0.05
_MOST = 4
_STEP_M = 1e-4
_APART_M = 0.02
_GIVEN_M = 1.0
_NOISE = 9.0

_BY_ANGLE = ("angle", "azimuth", "direction", "parallel")

Ready = list[tuple[Observation, float]]
Gap = Callable[[float, float], float]


class Option(Record):
    """A possible place: what it costs, how many observations agree, how well it is known [m].

    dilution
        how many times worse than what was measured the place is, by the angles at which things cross; 1 is best.
    """

    xy: XY
    cost: float
    agree: int
    spread: float = 0.0
    dilution: float = 1.0


def cost_of(gap: float) -> float:
    """What a gap in standard deviations costs: nothing up to 3, then its logarithm, so that one misread cannot run up.

    >>> cost_of(2.9), round(cost_of(10.0), 2), round(cost_of(1000.0), 2)
    (0.0, 4.52, 13.82)
    """
    return math.log1p(max(0.0, gap * gap - _NOISE))


def best_options(cluster: Cluster, name: str, ready: Ready) -> list[Option]:
    """The possible places of a point: several only where what is known cannot choose between them.

    ready
        observations with every other point placed, and the zeros of their circles.
    Pairs of shapes are met; each place is judged by all observations with a cost that one misread tape cannot run up.
    A rival counts when it fits nearly as well, and is as fully agreed on as the best or lies far from it: places that
    differ by one misread tape among many are all good enough to begin from.
    """
    gaps = [_gap_of(cluster, name, o, zero) for o, zero in ready]
    found = _meetings(cluster, name, ready, gaps, all_of_them=False)
    if not found:
        return []
    best = found[0]
    refined = refine(gaps, best)
    if refined.spread == math.inf:
        return []
    rivals = [
        option
        for option in found[1:]
        if option.cost < best.cost + RIVAL
        and (option.agree >= best.agree or best.agree <= 2)
        and math.dist(option.xy, best.xy) > 3.0 * refined.spread
    ]
    if rivals:
        arms = (math.dist(best.xy, cluster.at[q]) for o, _ in ready for q in o.points if q != name)
        reach = _NEAR * max(arms, default=0.0)
        rivals = [
            option
            for option in _apart(rivals, refined.spread)
            if option.agree == best.agree == len(ready) or math.dist(option.xy, best.xy) > reach
        ]
    return _apart([refined, *(refine(gaps, option) for option in rivals)], refined.spread)[:_MOST]


def every_place(cluster: Cluster, name: str, ready: Ready) -> list[Option]:
    """Every place where two readings to a point meet, the cheapest first."""
    gaps = [_gap_of(cluster, name, o, zero) for o, zero in ready]
    return _meetings(cluster, name, ready, gaps, all_of_them=True)


def _meetings(cluster: Cluster, name: str, ready: Ready, gaps: list[Gap], all_of_them: bool) -> list[Option]:
    """Where two readings to a point meet, the cheapest first; without ``all_of_them`` no more than settle the point."""
    corners = [cluster.at[q] for o, _ in ready if o.kind in _BY_ANGLE for q in o.points if q != name]
    found: list[Option] = []
    for one, two in itertools.combinations(_chosen(cluster, name, ready), 2):
        for a, b in itertools.product(one, two):
            # an angle cannot be read where its own arm ends
            places = (xy for xy in meet(a, b) if all(math.dist(xy, q) > _APART_M for q in corners))
            found += [_judge(cluster, name, gaps, xy) for xy in places]
        if len(ready) > 2 and not all_of_them and _clear(found, len(ready)):
            break
    found.sort(key=_cost)
    return found


def judge(cluster: Cluster, name: str, ready: Ready, xy: XY) -> Option:
    """What one place of a point costs, and how many of its observations agree there."""
    return _judge(cluster, name, [_gap_of(cluster, name, o, zero) for o, zero in ready], xy)


def refined(cluster: Cluster, name: str, ready: Ready, option: Option) -> Option:
    """A place moved to the middle of what agrees there, and judged there; spread infinite where it can move."""
    gaps = [_gap_of(cluster, name, o, zero) for o, zero in ready]
    moved = refine(gaps, option)
    return replace(_judge(cluster, name, gaps, moved.xy), spread=moved.spread, dilution=moved.dilution)


def _cost(option: Option) -> float:
    return option.cost


def _gap_of(cluster: Cluster, name: str, o: Observation, zero: float) -> Gap:
    """By how many standard deviations one observation misses, for a place of the point."""
    if o.kind == "distance":
        other = o.points[1] if o.points[0] == name else o.points[0]
        (qx, qy), value = cluster.at[other], o.value
        weight = 1.0 / math.sqrt(o.sigma**2 + cluster.spread[other] ** 2 + 1e-12)
        return lambda x, y: (math.hypot(x - qx, y - qy) - value) * weight
    at = {other: cluster.at[other] for other in o.points if other != name}

    def gap(x: float, y: float) -> float:
        at[name] = (x, y)
        return cluster.gap(o, zero, at)

    return gap


def _chosen(cluster: Cluster, name: str, ready: Ready) -> list[list[Shape]]:
    """Shapes of the sharpest observations."""
    ranked: list[tuple[float, int, list[Shape]]] = []
    for k, (o, zero) in enumerate(ready):
        found = cluster.shapes(name, o, zero)
        if found:
            others = [q for q in o.points if q != name]
            sigma = o.sigma
            if o.kind in _BY_ANGLE:
                arm = max(math.dist(cluster.at[q], cluster.at[r]) for q in others for r in others)
                sigma *= found[0][2] or arm or 1.0
            ranked.append((sigma + max([cluster.spread[q] for q in others], default=0.0), k, found))
    ranked.sort()
    return [found for _, _, found in ranked[:_TRIED]]


def _judge(cluster: Cluster, name: str, gaps: list[Gap], xy: XY) -> Option:
    x, y = xy
    cost, agree = 0.0, 0
    for gap_at in gaps:
        gap = gap_at(x, y)
        if gap * gap > _NOISE:
            cost += math.log1p(gap * gap - _NOISE)
        agree += -FITS < gap < FITS
    if cluster.wrong_side(name, xy):
        cost, agree = cost + WRONG_SIDE, 0
    given = cluster.index.points[name].xy
    if cluster.ground and given is not None:
        cost += math.log1p((math.dist(given, xy) / _GIVEN_M) ** 2)
    return Option(xy, cost, agree)


def _clear(found: list[Option], count: int) -> bool:
    """Whether one place fits everything and no other comes near."""
    best = min(found, key=_cost, default=None)
    return (
        best is not None
        and best.agree == count
        and all(option is best or option.cost > best.cost + 2.0 * RIVAL for option in found)
    )


def _apart(options: list[Option], spread: float) -> list[Option]:
    kept: list[Option] = []
    for option in options:
        if all(math.dist(option.xy, other.xy) > 3.0 * spread + 1e-6 for other in kept):
            kept.append(option)
    return kept


def refine(gaps: list[Gap], option: Option) -> Option:
    """The place moved to the middle of what agrees there, and how well it is known.

    Least squares with slopes by differences; a step that makes it worse is not taken. ``spread`` is infinite where
    nothing holds the point in some direction.
    """
    x, y = option.xy
    used = [gap for gap in gaps if abs(gap(x, y)) <= FITS] if option.agree >= 2 else gaps
    for last in (False, True):
        n11 = n12 = n22 = r1 = r2 = before = 0.0
        for gap_at in used:
            gap = gap_at(x, y)
            gx, gy = (gap_at(x + _STEP_M, y) - gap) / _STEP_M, (gap_at(x, y + _STEP_M) - gap) / _STEP_M
            n11, n12, n22 = n11 + gx * gx, n12 + gx * gy, n22 + gy * gy
            r1, r2, before = r1 + gx * gap, r2 + gy * gap, before + gap * gap
        det = n11 * n22 - n12 * n12
        if det <= 1e-9 * (n11 + n22) ** 2:
            return Option(option.xy, option.cost, option.agree, math.inf, math.inf)
        if last or option.agree <= 2:
            break
        nx, ny = x - (n22 * r1 - n12 * r2) / det, y - (n11 * r2 - n12 * r1) / det
        if math.fsum(gap(nx, ny) ** 2 for gap in used) >= before:
            break
        x, y = nx, ny
    mean = (n11 + n22) / 2.0
    low = mean - math.hypot((n11 - n22) / 2.0, n12)
    return Option((x, y), option.cost, option.agree, 1.0 / math.sqrt(low), math.sqrt(mean / low))
