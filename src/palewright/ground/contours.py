"""Contour lines of heights on a grid."""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["contour"]

XY = tuple[float, float]


def contour(
    xs: Sequence[float], ys: Sequence[float], heights: Sequence[Sequence[float]], level: float
) -> list[list[XY]]:
    """The lines along which heights on a grid are at a level.

    xs, ys
        rising places of the grid lines [m]. heights: a row for each y, a height for each x [m]; nan where not known.
    level
        [m].
    Returns chains of points [m]; a closed one ends where it begins. Each cell is two triangles with straight slopes; a
    triangle with an unknown corner has no line. A height that is the level counts as above it.

    >>> contour([0.0, 1.0], [0.0, 1.0, 2.0], [[0.0, 1.0], [0.0, 1.0], [0.0, 1.0]], 0.5)
    [[(0.5, 0.0), (0.5, 0.5), (0.5, 1.0), (0.5, 1.5), (0.5, 2.0)]]
    """
    pieces: list[tuple[XY, XY]] = []
    for j in range(len(ys) - 1):
        for i in range(len(xs) - 1):
            corners = [(xs[i + a], ys[j + b], heights[j + b][i + a]) for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))]
            zs = [z for _, _, z in corners]
            if min(zs) < level <= max(zs) or any(math.isnan(z) for z in zs):
                pieces += _cut((corners[0], corners[1], corners[2]), level)
                pieces += _cut((corners[0], corners[2], corners[3]), level)
    return _joined(pieces)


def _cut(triangle: Sequence[tuple[float, float, float]], level: float) -> list[tuple[XY, XY]]:
    """The piece of a level line in one triangle."""
    if any(math.isnan(z) for _, _, z in triangle):
        return []
    ends = []
    for k in range(3):
        (x0, y0, z0), (x1, y1, z1) = sorted((triangle[k], triangle[(k + 1) % 3]))
        if (z0 >= level) != (z1 >= level):
            share = (level - z0) / (z1 - z0)
            ends.append((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share))
    return [(ends[0], ends[1])] if len(ends) == 2 and ends[0] != ends[1] else []


def _joined(pieces: Sequence[tuple[XY, XY]]) -> list[list[XY]]:
    """Pieces as chains: ends that are one point are joined."""
    at: dict[XY, list[int]] = {}
    for k, (a, b) in enumerate(pieces):
        at.setdefault(a, []).append(k)
        at.setdefault(b, []).append(k)
    used: set[int] = set()
    chains = []
    starts = [k for k, (a, b) in enumerate(pieces) if len(at[a]) == 1 or len(at[b]) == 1]
    for k in (*starts, *range(len(pieces))):
        if k in used:
            continue
        used.add(k)
        a, b = pieces[k]
        chain = [b, a] if len(at[a]) > 1 and len(at[b]) == 1 else [a, b]
        while (following := next((n for n in at[chain[-1]] if n not in used), None)) is not None:
            used.add(following)
            one, two = pieces[following]
            chain.append(two if one == chain[-1] else one)
        chains.append(chain)
    return chains
