"""The most even way to stand a given number of bays on a leg: exact, in continuous stations.

See docs/layout-method.md for the proof. In short: once it is fixed on which stretch of ground each post stands, the
string pulled taut through the stretches has at once the smallest longest bay and the largest shortest bay. So the
answer is a pair (shortest, longest) of some string, and a window "every bay between lo and hi" either holds a string or
it does not; that is settled by carrying reachable stations from post to post.
"""

from __future__ import annotations

from math import ceil, floor
from typing import NamedTuple

from palewright.layout.bays_ground import TOLERANCE_M, Ground

__all__ = ["Door", "Pulled", "even_cost", "most_even", "pull_taut", "thread"]

_NOISE = 1e-12
_TINY = 1e-9


class Door(NamedTuple):
    """Post number ``post`` stands between ``low`` and ``high`` [m]."""

    post: int
    low: float
    high: float


class Pulled(NamedTuple):
    """A taut string: its least and greatest bay [m] and its bends (post, station [m]), both ends included."""

    least: float
    most: float
    bends: tuple[tuple[int, float], ...]

    def stations(self) -> list[float]:
        """Stations of the posts between the ends [m]."""
        result: list[float] = []
        for (i, x), (j, y) in zip(self.bends, self.bends[1:], strict=False):
            step = (y - x) / (j - i)
            result.extend(x + step * k for k in range(1, j - i))
            result.append(y)
        return result[:-1]


def even_cost(ground: Ground, bays: int) -> int:
    """What the posts of ``bays`` equal bays cost together; -1 where one of them stands on barred ground."""
    step = ground.length_m / bays
    total = 0
    for a, b, cost in ground.pieces:
        if not cost:
            continue
        first = max(1, floor((a + TOLERANCE_M) / step) + 1)
        last = min(bays - 1, ceil((b - TOLERANCE_M) / step) - 1)
        if last >= first:
            if cost >= 1 << 60:
                return -1
            total += cost * (last - first + 1)
    return total


def pull_taut(doors: list[Door], bays: int, length_m: float) -> Pulled:
    """The shortest path of the string (post, station) through its doors, from (0, 0) to (bays, length)."""
    bends = [(0, 0.0)]
    i, x = 0, 0.0
    least, most = length_m, 0.0
    at, count = 0, len(doors)
    while True:
        up = (length_m - x) / (bays - i)
        top = bottom = -1
        steepest, flattest = -1e300, 1e300
        turn = None
        for d in range(at, count):
            k, low, high = doors[d]
            run = k - i
            s_low, s_high = (low - x) / run, (high - x) / run
            if s_low > flattest:
                turn = top
                bend = (doors[top][0], doors[top][2])
                break
            if s_high < steepest:
                turn = bottom
                bend = (doors[bottom][0], doors[bottom][1])
                break
            if s_low >= steepest:
                steepest, bottom = s_low, d
            if s_high <= flattest:
                flattest, top = s_high, d
        if turn is None:
            if up > flattest:
                turn, bend = top, (doors[top][0], doors[top][2])
            elif up < steepest:
                turn, bend = bottom, (doors[bottom][0], doors[bottom][1])
        if turn is None:
            slope = up
            bends.append((bays, length_m))
        else:
            slope = (bend[1] - x) / (bend[0] - i)
            bends.append(bend)
            i, x = bend
            at = turn + 1
        if slope < least:
            least = slope
        if slope > most:
            most = slope
        if turn is None:
            return Pulled(least, most, tuple(bends))


def _candidates(
    ground: Ground, bays: int, lo: float, hi: float, budget: int
) -> dict[int, list[tuple[float, float, int]]]:
    """For each post that could meet a piece of ground that costs: the stretches it may choose from, with their cost."""
    length = ground.length_m
    low_div = lo if lo > _TINY else _TINY
    free = ground.levels[0].stretches
    posts: dict[int, list[tuple[float, float, int]]] = {}
    for g in range(len(free) - 1):
        a, b = free[g][1], free[g + 1][0]
        first = max(a / hi, bays - (length - a) / low_div)
        last = min(b / low_div, bays - (length - b) / hi)
        k1 = floor(first) + 1
        if k1 < 1:
            k1 = 1
        k2 = ceil(last) - 1
        if k2 > bays - 1:
            k2 = bays - 1
        for k in range(k1, k2 + 1):
            if k in posts:
                posts[k].append((*free[g + 1], 0))
            else:
                posts[k] = [(*free[g], 0), (*free[g + 1], 0)]
    if not budget:
        return posts
    for level in ground.levels[1:]:
        if level.cost > budget:
            break
        for k, choices in posts.items():
            low, high = max(k * lo, length - (bays - k) * hi), min(k * hi, length - (bays - k) * lo)
            choices.extend((a, b, level.cost) for a, b in level.stretches if a < high and b > low)
    return posts


_State = tuple[float, float, int, float, float, int]


def _settle(states: list[_State]) -> list[_State]:
    """Cheapest first: what a dearer state shares with a cheaper one is cut off it."""
    states.sort(key=lambda s: (s[2], s[0]))
    if states[0][2] == states[-1][2]:
        return states
    kept: list[_State] = []
    for state in states:
        parts = [(state[0], state[1])]
        for done in kept:
            if done[2] >= state[2]:
                break
            rest = []
            for a, b in parts:
                if done[0] > b or done[1] < a:
                    rest.append((a, b))
                    continue
                if a < done[0]:
                    rest.append((a, done[0]))
                if b > done[1]:
                    rest.append((done[1], b))
            parts = rest
            if not parts:
                break
        kept.extend((a, b, *state[2:]) for a, b in parts)
    return kept


def thread(ground: Ground, bays: int, lo: float, hi: float, budget: int) -> tuple[int, list[Door]] | None:
    """A cheapest way to choose a stretch for every post with all bays between ``lo`` and ``hi`` [m], or None.

    Only ways that cost ``budget`` or less are looked at. The doors are the posts that could meet ground that costs.
    """
    length = ground.length_m
    choices = _candidates(ground, bays, lo, hi, budget)
    layers: list[tuple[int, list[_State]]] = []
    states: list[_State] = [(0.0, 0.0, 0, 0.0, 0.0, 0)]
    before = 0
    for k in sorted(choices):
        near, far = (k - before) * lo, (k - before) * hi
        least, most = length - (bays - k) * hi, length - (bays - k) * lo
        reached: list[_State] = []
        for a, b, cost in choices[k]:
            left, right = (a if a > least else least), (b if b < most else most)
            for state in states:
                total = state[2] + cost
                if total > budget:
                    continue
                u, v = state[0] + near, state[1] + far
                if u < left:
                    u = left
                if v > right:
                    v = right
                if u > v:
                    if u > v + _NOISE:
                        continue
                    u = v
                if reached:
                    last = reached[-1]
                    if last[3] == a and last[2] == total and last[4] == b and u <= last[1] and v >= last[0]:
                        reached[-1] = (min(u, last[0]), max(v, last[1]), total, a, b, cost)
                        continue
                reached.append((u, v, total, a, b, cost))
        if not reached:
            return None
        if budget:
            reached = _settle(reached)
        layers.append((k, reached))
        states, before = reached, k
    return _walk_back(layers, bays, length, lo, hi)


def _walk_back(
    layers: list[tuple[int, list[_State]]], bays: int, length: float, lo: float, hi: float
) -> tuple[int, list[Door]]:
    """From the far end back to the start: at each post the stretch nearest to an even division of what is left."""
    doors: list[Door] = []
    x, at = length, bays
    left = -1
    total = 0
    for k, states in reversed(layers):
        near, far = x - (at - k) * hi - _NOISE, x - (at - k) * lo + _NOISE
        target = x * k / at
        if left < 0:
            left = total = min(s[2] for s in states if s[0] <= far and s[1] >= near)
        best = None
        miss = 1e300
        for state in states:
            if state[2] > left or state[0] > far or state[1] < near:
                continue
            p, q = state[0] if state[0] > near else near, state[1] if state[1] < far else far
            y = p if target < p else q if target > q else target
            off = abs(y - target)
            if off < miss:
                miss, best, station = off, state, y
        if best is None:  # rounding of the last digit only: the nearest state stands in
            best = min(states, key=lambda s: max(s[0] - far, near - s[1]))
            station = min(max(target, best[0]), best[1])
        doors.append(Door(k, best[3], best[4]))
        left = best[2] - best[5]
        x, at = station, k
    doors.reverse()
    return total, doors


def most_even(ground: Ground, bays: int, shortest: float, longest: float) -> Pulled | None:
    """Least cost of the posts, then the smallest spread of ``bays`` bays; None when they cannot stand.

    shortest, longest
        limits of every bay [m], kept within 1e-9 m.
    """
    length = ground.length_m
    mean = length / bays
    s, m = shortest - TOLERANCE_M, longest + TOLERANCE_M
    if not s <= mean <= m:
        return None
    budget = 0
    width = _first_guess(ground, bays)
    while True:
        lo, hi = max(s, mean - width), min(m, mean + width)
        found = thread(ground, bays, lo, hi, budget)
        if found:
            break
        if lo <= s and hi >= m:
            found = thread(ground, bays, lo, hi, (1 << 60) - 1) if len(ground.levels) > 1 else None
            if found is None:
                return None
            budget = found[0]
            break
        width *= 3.0
    best = pull_taut(found[1], bays, length)
    spread = best.most - best.least
    windows = [(s, m)]
    while windows:
        gain = spread - TOLERANCE_M
        lo, hi = windows.pop()
        lo, hi = max(lo, mean - gain), min(hi, mean + gain)
        if lo > mean or hi < mean:
            continue
        found = thread(ground, bays, lo, hi, budget)
        if not found:
            continue
        pulled = pull_taut(found[1], bays, length)
        if pulled.most - pulled.least < spread:
            best, spread = pulled, pulled.most - pulled.least
        windows.append((lo, pulled.most - TOLERANCE_M))
        windows.append((max(pulled.least + TOLERANCE_M, pulled.most - spread), hi))
    return best


def _first_guess(ground: Ground, bays: int) -> float:
    """Half a window worth trying first [m]: what the worst placed post of the even division asks for by itself."""
    step = ground.length_m / bays
    need = 0.0
    free = ground.levels[0].stretches
    for g in range(len(free) - 1):
        a, b = free[g][1], free[g + 1][0]
        for k in range(max(1, floor(a / step) + 1), min(bays - 1, ceil(b / step) - 1) + 1):
            off = min(k * step - a, b - k * step) * bays / (k * (bays - k))
            if off > need:
                need = off
    return 1.5 * need + 1e-6
