"""Wire and mesh along the grade: the bottom at the target gap at every post, where the ground between lets it.

Without a price on looks the posts are joined only by the rules inside each bay. Where the target keeps them all,
nothing costs less. Elsewhere a piece round the trouble is solved alone with free ends, and widened until its ends come
out at the target: then the pieces, and the target between them, are the best, since no piece can cost less in the run
than it does alone. So a long line costs one look at every bay, and work only where a hump or a dip asks for it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from palewright.layout.meeting_checks import broken
from palewright.layout.meeting_ground import Envelope, envelopes, ground_at
from palewright.layout.meeting_rules import SLACK_M, Floats, GroundRules, LookWeights

__all__ = ["along_grade"]

#: bays to either side of a bad one that are solved with it at first
_REACH = 2


def along_grade(
    stations_m: Floats,
    heights_m: Floats,
    posts_m: Floats,
    rules: GroundRules,
    weights: LookWeights,
    measured: tuple[Floats, Floats],
) -> tuple[Floats | None, bool]:
    """Bottoms of every bay at its posts, shape (bays, 2) [m], and whether the target gap did everywhere at once.

    Gaps at posts differ from the target by whole grids. None where the rules leave nothing.
    """
    rules = replace(rules, rack=None)
    ground, n = ground_at(stations_m, heights_m, posts_m), len(posts_m) - 1
    line = ground + rules.target_m
    bottoms = np.stack([line[:-1], line[1:]], axis=1)
    tops = bottoms + rules.infill_m
    found = broken(stations_m, heights_m, posts_m, ["grade"] * n, bottoms, tops, rules, measured)
    pieces = _apart({(max(0, item.bay - _REACH), min(n, item.bay + 1 + _REACH)) for item in found})
    solved: dict[tuple[int, int], np.ndarray] = {}
    while True:
        for a, b in pieces:
            if (a, b) not in solved:
                bays = envelopes(stations_m, heights_m, posts_m[a : b + 1], rules, measured)
                best = _piece(bays, line[a : b + 1], rules, weights)
                if best is None:
                    return None, False
                solved[a, b] = best
        loose = {(a, b) for a, b in pieces if (a > 0 and solved[a, b][0]) or (b < n and solved[a, b][-1])}
        if not loose:
            break
        wider = {(max(0, 2 * a - b), min(n, 2 * b - a)) for a, b in loose}
        pieces = _apart(set(pieces) - loose | wider)
    for a, b in pieces:
        line[a : b + 1] += rules.grid_m * solved[a, b]
    return np.stack([line[:-1], line[1:]], axis=1), not found


def _apart(pieces: set[tuple[int, int]]) -> list[tuple[int, int]]:
    """Pieces that share a post joined to one."""
    joined: list[tuple[int, int]] = []
    for a, b in sorted(pieces):
        if joined and a <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(b, joined[-1][1]))
        else:
            joined.append((a, b))
    return joined


def _piece(bays: list[Envelope], line: Floats, rules: GroundRules, weights: LookWeights) -> np.ndarray | None:
    """Best differences from the target line in grids, at each post of a piece with free ends."""
    down = int(np.floor((rules.target_m - rules.least_m + SLACK_M) / rules.grid_m))
    up = int(np.floor((rules.most_m - rules.target_m + SLACK_M) / rules.grid_m))
    number = np.arange(-down, up + 1)
    lift = number * rules.grid_m
    post, gap = weights.post * np.maximum(0.0, lift), 0.5 * weights.gap * np.abs(lift)
    best: Floats = post + gap
    back = []
    for i, bay in enumerate(bays):
        kept = _kept(bay, line[i] + lift, line[i + 1] + lift)
        joint = np.where(kept, best[:, None], np.inf)
        back.append(joint.argmin(0))
        best = joint.min(0) + post + (gap if i == len(bays) - 1 else 2.0 * gap)
    if not np.isfinite(best.min()):
        return None
    path = [int(best.argmin())]
    for came in reversed(back):
        path.append(int(came[path[-1]]))
    return number[path[::-1]]


def _kept(bay: Envelope, u: Floats, v: Floats) -> np.ndarray:
    """Whether a straight bottom from each u to each v keeps the bounds of its bay."""
    kept = np.ones((u.size, v.size), dtype=bool)
    for points, sign in ((bay.low, 1.0), (bay.high, -1.0)):
        for t, z in points:
            kept &= sign * (((1.0 - t) * u)[:, None] + (t * v)[None, :] - z) >= -SLACK_M
    return kept
