"""As many bays as possible of the full length (whole panels), the rest as even as possible: exact."""

from __future__ import annotations

from palewright.layout.bays_ground import TOLERANCE_M, Ground, outside
from palewright.layout.bays_taut import Door, pull_taut

__all__ = ["fewest_cut"]

#: States may miss an edge by this much [m]: whole panels in a row make single stations, and sums of floats are inexact.
_SLACK = 1e-10

#: start, end [m], cost, whether the bay that came here is cut, stretch, what the stretch costs
_State = tuple[float, float, int, bool, float, float, int]


def fewest_cut(ground: Ground, bays: int, shortest: float, full: float) -> tuple[list[float], int, int] | None:
    """The layout of ``bays`` bays with, in this order, the least cost, the fewest bays shorter than ``full``, and the
    largest shortest bay; where these leave a choice, the cut bays stand late. None when there is none.

    shortest, full
        limits of every bay [m]. Returns (stations between the ends [m], cut bays, cost of the posts).
    """
    found = _carry(ground, bays, shortest - TOLERANCE_M, full, None)
    if found is None:
        return None
    total, doors, cuts = found
    stations, least = _straighten(ground.length_m, bays, full, doors, cuts)
    while sum(cuts) > 1:
        better = _carry(ground, bays, least + TOLERANCE_M, full, total)
        if better is None:
            break
        _, doors, cuts = better
        stations, least = _straighten(ground.length_m, bays, full, doors, cuts)
    scale = bays + 1
    return stations, total % scale, total // scale


def _carry(
    ground: Ground, bays: int, lo: float, full: float, budget: int | None
) -> tuple[int, list[tuple[float, float]], list[bool]] | None:
    """Carry reachable stations from post to post; returns (cost, stretch of each post, whether each bay is cut)."""
    length, scale = ground.length_m, bays + 1
    hi = full + TOLERANCE_M
    if not lo <= length / bays <= hi:
        return None
    choices = [(a, b, cost * scale) for cost in ground.costs() for a, b in ground.stretches(cost)]
    choices.append((length, length, 0))
    layers: list[list[_State]] = [[(0.0, 0.0, 0, False, 0.0, 0.0, 0)]]
    for k in range(1, bays + 1):
        least, most = length - (bays - k) * hi, length - (bays - k) * lo
        reached: list[_State] = []
        for a, b, cost in choices if k < bays else choices[-1:]:
            left, right = max(a, least), min(b, most)
            for p, q, spent, *_ in layers[-1]:
                total = spent + cost
                for u, v, more, cut in ((p + full, q + full, 0, False), (p + lo, q + hi, 1, True)):
                    if budget is not None and total + more > budget:
                        continue
                    u, v = max(u, left), min(v, right)
                    if u <= v + _SLACK:
                        u = min(u, v)
                        reached.append((u, v, total + more, cut, a, b, cost))
        if not reached:
            return None
        layers.append(_cheapest(reached))
    return _back(layers, length, lo, hi, full)


def _cheapest(states: list[_State]) -> list[_State]:
    """Cut off dearer states what cheaper ones cover."""
    states.sort(key=lambda s: (s[2], s[0]))
    kept: list[_State] = []
    for state in states:
        parts = [(state[0], state[1])]
        for done in kept:
            parts = outside(parts, done[0], done[1], _SLACK)
            if not parts:
                break
        kept.extend((a, b, *state[2:]) for a, b in parts)
    return kept


def _back(
    layers: list[list[_State]], length: float, lo: float, hi: float, full: float
) -> tuple[int, list[tuple[float, float]], list[bool]]:
    """From the far end back to the start, taking the cut bays first."""
    bays = len(layers) - 1
    state = min(layers[bays], key=lambda s: s[2])
    total = left = state[2]
    x, spent = length, 0
    doors: list[tuple[float, float]] = []
    cuts: list[bool] = []
    for k in range(bays - 1, -1, -1):
        left -= spent
        best = None
        for cut in (True, False):
            near, far = (x - hi, x - lo) if cut else (x - full, x - full)
            for before in layers[k]:
                if before[2] + cut <= left and before[0] <= far + 2 * _SLACK and before[1] >= near - 2 * _SLACK:
                    y = min(max(x - full, before[0], near), before[1], far)
                    if best is None or abs(x - y - full) < abs(x - best[1] - full):
                        best = (before, y, cut)
            if best is not None:
                break
        assert best is not None
        before, x, cut = best
        left -= cut
        cuts.append(cut)
        if k:
            doors.append((before[4], before[5]))
            spent = before[6]
    doors.reverse()
    cuts.reverse()
    return total, doors, cuts


def _straighten(
    length: float, bays: int, full: float, doors: list[tuple[float, float]], cuts: list[bool]
) -> tuple[list[float], float]:
    """With whole bays taken out, the cut ones are a string of their own, pulled taut. Returns stations, least bay."""
    whole = 0
    folded: list[Door] = []
    low, high, index = -1e300, 1e300, 0
    for k, (a, b) in enumerate(doors, start=1):
        if cuts[k - 1]:
            if index:
                folded.append((index, low, high))
            low, high, index = -1e300, 1e300, index + 1
        else:
            whole += 1
        low, high = max(low, a - whole * full), min(high, b - whole * full)
    whole += not cuts[-1]
    if cuts[-1] and index:
        folded.append((index, low, high))
    count = sum(cuts)
    if not count:
        return [full * k for k in range(1, bays)], full
    pulled = pull_taut([(k, min(a, b), max(a, b)) for k, a, b in folded], count, length - whole * full)
    steps = [0.0, *pulled.stations(), length - whole * full]
    stations, x_whole, step = [], 0, 0
    for cut in cuts[:-1]:
        step += cut
        x_whole += not cut
        stations.append(steps[step] + x_whole * full)
    return stations, pulled.least
