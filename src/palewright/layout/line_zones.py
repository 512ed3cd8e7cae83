"""Posts of a line of wire against ground to keep clear of: moved within their bays where that helps, else named."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.layout.line import LineArrays, Role, longest_bays
from palewright.layout.line_posts import line_posts
from palewright.layout.line_sizes import STEEL_M
from palewright.layout.zones import TOUCHING
from palewright.model import LinePlan, PostMove, PostZone, WireRules, Zone

__all__ = ["clear_of_zone", "named_posts", "posts_in_zones", "reach_of"]

Floats = NDArray[np.float64]
_STEP_M = 0.0254
_LEAST = 0.25
_NEAR_M = 10.0


def reach_of(role: NDArray[Any], rules: WireRules) -> Floats:
    """Half the width of what goes into the ground for each post [m]: its hole, or the post itself that is driven."""
    return np.where(role == Role.STEEL, STEEL_M, rules.number("hole")) / 2.0


def clear_of_zone(xy: Floats, zone: Zone) -> Floats:
    """From points (n, 2) to the edge of a zone [m], negative within it.

    >>> clear_of_zone(np.array([[3.0, 4.0], [0.5, 0.0]]), Zone("gas", ((0.0, 0.0),), 1.0, "no hole"))
    array([ 4. , -0.5])
    """
    points = np.array(zone.points)
    closed = zone.closed and len(points) > 2
    ends = np.roll(points, -1, axis=0) if closed else points[1:] if len(points) > 1 else points
    far, inside = np.full(len(xy), np.inf), np.zeros(len(xy), dtype=bool)
    for a, b in zip(points, ends, strict=False):
        d = b - a
        size2 = float(d @ d)
        t = np.clip((xy - a) @ d / size2, 0.0, 1.0) if size2 > 0.0 else np.zeros(len(xy))
        far = np.minimum(far, np.hypot(*(xy - a - t[:, None] * d).T))
        if closed and a[1] != b[1]:
            crosses = (a[1] > xy[:, 1]) != (b[1] > xy[:, 1])
            inside ^= crosses & (xy[:, 0] < a[0] + (xy[:, 1] - a[1]) * d[0] / d[1])
    return np.where(inside, -far, far) - zone.half_m


class _Posts(NamedTuple):
    """Posts in walking order: distance along the ground and reach [m], role, stretch."""

    along: Floats
    reach: Floats
    role: NDArray[Any]
    of: NDArray[Any]


def posts_in_zones(
    line: LineArrays, plan: LinePlan, zones: Sequence[Zone]
) -> tuple[tuple[PostMove, ...], tuple[PostZone, ...]]:
    """Line posts that are moved clear of zones, and posts that stand in one where they are.

    A line post moves along the run to the nearest place that is clear of every zone, as long as both bays beside it
    stay within the longest (and are no shorter than a quarter of it). Posts of assemblies stay.
    """
    zones = [zone for zone in zones if zone.points]
    if not zones:
        return (), ()
    placed = line_posts(line, plan.rules)
    posts = _Posts(placed.along, reach_of(placed.role, plan.rules), placed.role, placed.of)
    xy = line.way.xy_of(line.way.level_of(posts.along))
    clear = np.array([clear_of_zone(xy, zone) - posts.reach for zone in zones])
    moves: list[PostMove] = []
    stay: list[PostZone] = []
    most = longest_bays(line, plan.rules)
    for k in np.flatnonzero((clear < -TOUCHING).any(axis=0)).tolist():
        worst = int(clear[:, k].argmin())
        near = [zone for zone, far in zip(zones, clear[:, k], strict=True) if far < _NEAR_M]
        move = _moved(line, posts, k, near, most)
        stretch, number = _number(line, posts, k)
        if move is not None:
            before, at, after = _beside(line, posts, k)
            moves.append(PostMove(stretch, number, at, move, at + move - before, after - at - move, zones[worst].name))
            posts.along[k] += move
            continue
        label = "" if stretch else _label(line, plan, float(posts.along[k]))
        stay += [
            PostZone(label, stretch, number, bool(posts.role[k] == Role.STEEL), zone.name, zone.kind, float(far))
            for zone, far in zip(zones, clear[:, k], strict=True)
            if far < -TOUCHING
        ]
    return tuple(moves), tuple(stay)


def _number(line: LineArrays, posts: _Posts, k: int) -> tuple[int, int]:
    """Stretch and number of a line post, both from 1; 0 where it is none."""
    if posts.role[k] not in (Role.WOOD, Role.STEEL):
        return 0, 0
    of = int(posts.of[k])
    return of + 1, round(float((posts.along[k] - line.start[of]) / line.spacing[of]))


def _beside(line: LineArrays, posts: _Posts, k: int) -> tuple[float, float, float]:
    """Where the post before a line post, it, and the post after it stand along the ground [m]."""
    after = posts.along[k + 1] if k + 1 < len(posts.along) else line.end[int(posts.of[k])]
    return float(posts.along[k - 1]), float(posts.along[k]), float(after)


def _moved(line: LineArrays, posts: _Posts, k: int, near: Sequence[Zone], most: Floats) -> float | None:
    """How far a line post moves to stand clear [m]; None where it cannot, or is none."""
    if posts.role[k] not in (Role.WOOD, Role.STEEL):
        return None
    longest = float(most[int(posts.of[k])])
    before, at, after = _beside(line, posts, k)
    count = int(longest / _STEP_M)
    by = np.arange(-count, count + 1) * _STEP_M
    by = by[np.argsort(np.abs(by), kind="stable")]
    left, right = at + by - before, after - at - by
    fits = (np.maximum(left, right) <= longest + 1e-9) & (np.minimum(left, right) >= _LEAST * longest)
    by = by[fits]
    xy = line.way.xy_of(line.way.level_of(at + by))
    for zone in near:
        ok = clear_of_zone(xy, zone) >= posts.reach[k]
        by, xy = by[ok], xy[ok]
    return float(by[0]) if len(by) else None


def _label(line: LineArrays, plan: LinePlan, along: float) -> str:
    """The label of the post of an assembly, or of a fixed post, that stands at a distance along the ground [m]."""
    station = float(line.way.level_of(np.array([along]))[0])
    posts = [*(post for one in plan.assemblies for post in one.posts), *plan.fixed]
    return min(posts, key=lambda post: abs(post.station_m - station)).label


def named_posts(plan: LinePlan, posts: Sequence[PostZone | PostMove]) -> str:
    """Posts in words: labels, and line posts by their stretch and number, as "B2-B3 #4-7, 9"."""
    labels = [post.label for post in posts if isinstance(post, PostZone) and post.label]
    rows: dict[int, list[int]] = {}
    for post in posts:
        if post.stretch:
            rows.setdefault(post.stretch, []).append(post.post)
    for stretch, numbers in rows.items():
        one = plan.stretches[stretch - 1]
        labels.append(f"{one.start}-{one.end} #{_ranges(numbers)}")
    return "; ".join(labels)


def _ranges(numbers: Sequence[int]) -> str:
    found: list[list[int]] = []
    for number in sorted(set(numbers)):
        if found and number == found[-1][1] + 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    return ", ".join(f"{a}" if a == b else f"{a}-{b}" for a, b in found)
