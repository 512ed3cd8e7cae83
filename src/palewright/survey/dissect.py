"""In which order the points of a network are eliminated: nested dissection by place.

The network is cut in two at the middle of its longer side by a few points (a separator) that alone join the halves;
each half is cut again. Points of the halves are eliminated before their separator, so that elimination in one half does
not touch the other.

Source: A. George, Nested dissection of a regular finite element mesh, SIAM J. Numer. Anal. 10 (1973).
"""

from __future__ import annotations

import numpy as np

from palewright.survey.rows import Flags, Floats, Ints

__all__ = ["dissect"]

LEAF = 20
"""A piece of so many points is not cut again."""


def dissect(places: Floats, edges: Ints, leaf: int = LEAF) -> list[Ints]:
    """Groups of points in the order of elimination.

    places
        (n, 2): any that are roughly true; bad ones cost time, never correctness. edges (e, 2): pairs of different
        points that share an observation.
    Returns arrays of point numbers; each point is in one. A group meets, besides itself, only points of the groups
    below it in its own half and of separators above.
    """
    groups: list[Ints] = []
    _cut(places, np.arange(len(places)), edges, leaf, groups, np.zeros(len(places), dtype=np.int8))
    return groups


def _cut(places: Floats, points: Ints, edges: Ints, leaf: int, groups: list[Ints], side: Ints) -> None:
    """Append the groups of ``points`` (with the edges among them); ``side`` is scratch, one place for each point."""
    if len(points) <= leaf:
        if len(points):
            groups.append(points)
        return
    best: tuple[Ints, Ints] | None = None
    spread = np.ptp(places[points], axis=0)
    for axis in (int(spread[1] > spread[0]), int(spread[1] <= spread[0])):
        rank = np.argsort(places[points, axis], kind="stable")
        far = points[rank[len(points) // 2 :]]
        side[points] = 0
        side[far] = 1
        separator = _cover(edges, side, len(places))
        if best is None or len(separator) < 0.7 * len(best[0]):
            best = separator, far
        if len(separator) ** 2 <= 4 * len(points):
            break
    assert best is not None
    separator, far = best
    if 2 * len(separator) > len(points):
        groups.append(points)
        return
    side[points] = 0
    side[far] = 1
    side[separator] = 2
    one, two = side[edges[:, 0]], side[edges[:, 1]]
    inner = [edges[(one == k) & (two == k)] for k in (0, 1)]
    parts = [points[side[points] == k] for k in (0, 1)]
    for part, part_edges in zip(parts, inner, strict=True):
        _cut(places, part, part_edges, leaf, groups, side)
    if len(separator):
        groups.append(separator)


def _cover(edges: Ints, side: Ints, n: int) -> Ints:
    """Few points that touch every edge between the sides: the best of three simple covers.

    All ends on one side, all on the other, or of every edge the end with more crossing edges (which finds the hub that
    everything is tied to).
    """
    crossing = edges[side[edges[:, 0]] != side[edges[:, 1]]]
    if not len(crossing):
        return np.zeros(0, dtype=np.int64)
    flip = side[crossing[:, 0]] == 1
    near = np.where(flip, crossing[:, 1], crossing[:, 0])
    far = np.where(flip, crossing[:, 0], crossing[:, 1])
    count = np.bincount(near, minlength=n) + np.bincount(far, minlength=n)
    hub = np.where(count[near] >= count[far], near, far)
    covers = [_distinct(ends, n) for ends in (near, far, hub)]
    return min(covers, key=len)


def _distinct(points: Ints, n: int) -> Ints:
    seen: Flags = np.zeros(n, dtype=np.bool_)
    seen[points] = True
    return np.flatnonzero(seen)
