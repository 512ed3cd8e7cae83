"""The most even way to stand a given number of bays on a leg, with any number of zones: exact.

See docs/layout-method.md for the proof. In short: once it is fixed on which stretch of ground each post stands, the
string pulled taut through the stretches has at once the smallest longest bay and the largest shortest bay. So the
answer is a pair (shortest, longest) of some string, and a window "every bay between lo and hi" either holds a string or
it does not; that is settled by carrying reachable stations from post to post.
"""

from __future__ import annotations

from math import ceil, floor

from palewright.layout.bays_branch import branch, sides_evenly
from palewright.layout.bays_ground import BARRED, PAINT, TOLERANCE_M, Ground, outside
from palewright.layout.bays_taut import Door, Pulled, pull_taut

__all__ = ["Even", "most_even", "sweep", "thread"]

#: Up to this many barriers choosing sides is quicker than sweeping, and this many strings are pulled before giving up.
_FEW_BARS = 24
_FEW_STRINGS = 40
_MORE_STRINGS = 80

_NOISE = 1e-12

#: reached from, to [m]; cost so far; the stretch stood on, from, to [m]; cost of that stretch
_State = tuple[float, float, int, float, float, int]
_Choice = tuple[float, float, int]
#: the most even string (None: there is none), what its posts cost, and a bar that stood in the way [m] or -1
Even = tuple[Pulled | None, int, float]


def most_even(ground: Ground, bays: int, shortest_m: float, longest_m: float) -> Even:
    """Least cost of the posts, then the smallest spread of ``bays`` bays.

    shortest_m, longest_m
        limits of every bay [m], kept within 1e-9 m.
    """
    lo, hi = shortest_m - TOLERANCE_M, longest_m + TOLERANCE_M
    length, bars = ground.length_m, ground.bars
    mean = length / bays
    if not lo <= mean <= hi:
        return None, 0, -1.0
    soft, paint = ground.soft, ground.paint
    sides, blame = sides_evenly(ground, bays, lo, hi, soft and not paint)
    if blame >= 0.0 and not soft:
        return None, 0, blame
    if not sides and blame < 0.0:
        return Pulled(mean, mean, [(0, 0.0), (bays, length)]), 0, blame
    best: Pulled | None = None
    cost, closed = 0, False
    if len(bars) <= _FEW_BARS:
        # paint margins are many and small: where they cannot all be kept, what is dearer is settled before them
        closed = paint and blame >= 0.0
        if not closed:
            first = sides if blame < 0.0 else None
            best, cost, closed, blame = branch(
                ground, bays, shortest_m, longest_m, _FEW_STRINGS, (bars,), not paint, first
            )
        if paint and closed and best is None:
            tiers = (ground.bars_above(PAINT), bars)
            best, cost, closed, blame = branch(ground, bays, shortest_m, longest_m, _MORE_STRINGS, tiers)
        if closed:
            return best, cost, blame
    found = thread(ground, bays, lo, hi, 0) if not cost else None
    if found is None and soft:
        found = thread(ground, bays, lo, hi, BARRED - 1)
    if found is None:
        return None, 0, blame
    pulled = pull_taut(found[1], bays, length)
    if best is None or cost > found[0] or pulled.spread < best.spread:
        best = pulled
    return sweep(ground, bays, shortest_m, longest_m, found[0], best), found[0], blame


def sweep(ground: Ground, bays: int, shortest_m: float, longest_m: float, budget: int, best: Pulled) -> Pulled:
    """The smallest spread at a cost of ``budget`` or less, given one string that has it.

    With the shortest bay at ``lo`` or more the longest is brought down as far as it goes. Whatever has its shortest bay
    between ``lo`` and that of the last string is no more even than that string, so ``lo`` goes on from there.
    """
    length = ground.length_m
    mean = length / bays
    target = best.spread - TOLERANCE_M
    lo, floor = shortest_m - TOLERANCE_M, mean
    while True:
        lo = max(lo, floor - target)
        hi = min(longest_m + TOLERANCE_M, mean + target)
        last: Pulled | None = None
        while (found := thread(ground, bays, lo, hi, budget)) is not None:
            last = pull_taut(found[1], bays, length)
            if last.spread < target:
                best, target = last, last.spread - TOLERANCE_M
            hi = min(last.most, hi) - TOLERANCE_M
        if last is None:
            return best
        floor = hi
        lo = max(last.least, lo) + TOLERANCE_M


def thread(ground: Ground, bays: int, lo: float, hi: float, budget: int) -> tuple[int, list[Door]] | None:
    """A cheapest way to choose a stretch for every post with all bays between ``lo`` and ``hi`` [m], or None.

    Only ways that cost ``budget`` or less are looked at. The doors are the posts that could meet ground that costs.
    """
    if not lo <= ground.length_m / bays <= hi:
        return None
    layers = _carry(ground, bays, lo, hi, budget)
    return None if layers is None else _walk_back(layers, bays, ground.length_m, lo, hi)


def _choices(ground: Ground, bays: int, lo: float, hi: float, budget: int) -> dict[int, list[_Choice]]:
    """For each post that could meet ground that costs: the stretches it may choose from, with their cost."""
    length = ground.length_m
    divisor = lo if lo > _NOISE else _NOISE
    free = ground.stretches(0)
    posts: dict[int, list[_Choice]] = {}
    for g, (a, b, _) in enumerate(ground.bars):
        first = floor(max(a / hi, bays - (length - a) / divisor)) + 1
        last = ceil(min(b / divisor, bays - (length - b) / hi)) - 1
        beyond = (*free[g + 1], 0)
        for k in range(first if first > 1 else 1, (last if last < bays else bays - 1) + 1):
            if k in posts:
                posts[k].append(beyond)
            else:
                posts[k] = [(*free[g], 0), beyond]
    for cost in ground.costs()[1:] if budget else ():
        if cost > budget:
            break
        stretches = ground.stretches(cost)
        for k, choices in posts.items():
            low, high = max(k * lo, length - (bays - k) * hi), min(k * hi, length - (bays - k) * lo)
            choices.extend([(a, b, cost) for a, b in stretches if a < high and b > low])
    return posts


def _carry(ground: Ground, bays: int, lo: float, hi: float, budget: int) -> list[tuple[int, list[_State]]] | None:
    """Reachable stations of each post that has a choice, from start to end; None where they run out."""
    length = ground.length_m
    choices = _choices(ground, bays, lo, hi, budget)
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
            reached = _cheapest(reached)
        layers.append((k, reached))
        states, before = reached, k
    return layers


def _cheapest(states: list[_State]) -> list[_State]:
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
            parts = outside(parts, done[0], done[1])
            if not parts:
                break
        kept.extend((a, b, *state[2:]) for a, b in parts)
    return kept


def _walk_back(
    layers: list[tuple[int, list[_State]]], bays: int, length: float, lo: float, hi: float
) -> tuple[int, list[Door]]:
    """From the far end back to the start: at each post the stretch nearest to an even division of what is left."""
    doors: list[Door] = []
    x, at = length, bays
    total = left = min((state[2] for state in layers[-1][1]), default=0) if layers else 0
    for k, states in reversed(layers):
        near, far = x - (at - k) * hi - _NOISE, x - (at - k) * lo + _NOISE
        target = x * k / at
        best, station, miss = states[0], target, 1e300
        for state in states:
            if state[2] > left:
                continue
            p, q = (state[0] if state[0] > near else near), (state[1] if state[1] < far else far)
            y = p if target < p else q if target > q else target
            off = abs(y - target) if p <= q else 1e9 + (p - q)  # out of reach: only when rounding left nothing else
            if off < miss:
                best, station, miss = state, y, off
        doors.append((k, best[3], best[4]))
        left = best[2] - best[5]
        x, at = station, k
    doors.reverse()
    return total, doors
