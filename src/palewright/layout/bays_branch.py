"""The most even way past a few barriers: a string pulled taut, and a choice of side only where it is caught inside one.

Exact: docs/layout-method.md, "Branching". A leg with many barriers goes to :mod:`palewright.layout.bays_search`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor
from typing import NamedTuple

from palewright.layout.bays_ground import BARRED, TOLERANCE_M, Ground, Interval, Piece

__all__ = ["Branched", "Door", "Pulled", "branch", "pull_taut"]

#: A post number, and the stations between which it must stand [m].
Door = tuple[int, float, float]

_FAR = 1e300
_Doors = dict[int, Interval]
#: post, its station; start and end of the bar it is inside [m], and the least that standing in it costs
_Caught = tuple[int, float, float, float, int]
#: bound on the spread [m]; doors; doors to be added to them; what posts have paid for
_Node = tuple[float, _Doors, tuple[Door, ...], dict[int, int]]


class Pulled(NamedTuple):
    """A taut string: its shortest and longest bay [m] and its bends (post, station [m]), both ends included."""

    least: float
    most: float
    bends: list[tuple[int, float]]

    @property
    def spread(self) -> float:
        """Longest minus shortest bay [m]."""
        return self.most - self.least

    def stations(self) -> list[float]:
        """Stations of the posts between the ends [m]."""
        result: list[float] = []
        i, x = self.bends[0]
        for j, y in self.bends[1:]:
            step = (y - x) / (j - i)
            result.extend([x + step * k for k in range(1, j - i)])
            result.append(y)
            i, x = j, y
        result.pop()
        return result


class Branched(NamedTuple):
    """``best`` or None where there is none, and what its posts cost.

    ``closed``: nothing was left unsearched, so that ``best`` (or None) is proved. ``blame``: start of a bar that a post
    could not get round [m], or -1.
    """

    best: Pulled | None
    cost: int
    closed: bool
    blame: float


def pull_taut(doors: list[Door], bays: int, length_m: float) -> Pulled:
    """The shortest path from (0, 0) to (bays, length) through the doors, rising by post number.

    Its longest bay is the smallest, and its shortest bay the greatest, that posts in these doors can have.
    """
    bends = [(0, 0.0)]
    i, x, at = 0, 0.0, 0
    least, most = _FAR, 0.0
    while True:
        turn, y = _first_bend(doors, i, x, at, bays, length_m)
        k = bays if turn < 0 else doors[turn][0]
        slope = (y - x) / (k - i)
        if slope < least:
            least = slope
        if slope > most:
            most = slope
        bends.append((k, y))
        if turn < 0:
            return Pulled(least, most, bends)
        i, x, at = k, y, turn + 1


def _first_bend(doors: list[Door], i: int, x: float, at: int, bays: int, length_m: float) -> tuple[int, float]:
    """Where a string from post ``i`` at ``x`` first has to bend: number of the door (-1: nowhere) and station [m]."""
    rising, falling = -_FAR, _FAR
    bottom = top = -1
    for d in range(at, len(doors)):
        k, low, high = doors[d]
        run = k - i
        up = (low - x) / run
        if up > falling:
            return top, doors[top][2]
        down = (high - x) / run
        if down < rising:
            return bottom, doors[bottom][1]
        if up >= rising:
            rising, bottom = up, d
        if down <= falling:
            falling, top = down, d
    slope = (length_m - x) / (bays - i)
    if slope > falling:
        return top, doors[top][2]
    if slope < rising:
        return bottom, doors[bottom][1]
    return -1, length_m


def _caught(bends: list[tuple[int, float]], bars: Sequence[Piece]) -> list[_Caught]:
    """Posts of a string that stand inside a bar."""
    caught: list[_Caught] = []
    p, (i, x), (j, y) = 1, bends[0], bends[1]
    last = len(bends) - 1
    step = (y - x) / (j - i)
    for a, b, cost in bars:
        while y <= a and p < last:
            p += 1
            i, x, (j, y) = j, y, bends[p]
            step = (y - x) / (j - i)
        k = i + floor((a + TOLERANCE_M - x) / step) + 1
        if k <= i:
            k = i + 1
        q, qi, qx, qj, qy, qs = p, i, x, j, y, step
        while True:
            if k >= qj:
                if q == last or qy >= b - TOLERANCE_M:
                    break
                if qy > a + TOLERANCE_M:
                    caught.append((qj, qy, a, b, cost))
                q += 1
                qi, qx, (qj, qy) = qj, qy, bends[q]
                qs = (qy - qx) / (qj - qi)
                k = qi + 1
                continue
            station = qx + (k - qi) * qs
            if station >= b - TOLERANCE_M:
                break
            if station > a + TOLERANCE_M:
                caught.append((k, station, a, b, cost))
            k += 1
    return caught


def _unpaid(
    caught: list[_Caught], paid: dict[int, int], ground: Ground, above: dict[int, list[Piece]]
) -> list[_Caught]:
    """What is left of ``caught`` when some posts have paid for ground that costs so much."""
    left: list[_Caught] = []
    for post in caught:
        k, station = post[0], post[1]
        if k not in paid:
            left.append(post)
            continue
        allowed = paid[k]
        if allowed not in above:
            above[allowed] = ground.bars_above(allowed)
        for a, b, cost in above[allowed]:
            if a + TOLERANCE_M < station < b - TOLERANCE_M:
                left.append((k, station, a, b, cost))
    return left


def _with(doors: _Doors, more: Sequence[Door]) -> _Doors | None:
    """The doors with others laid over; None where one is shut."""
    result = dict(doors)
    for k, low, high in more:
        if k in result:
            a, b = result[k]
            low, high = (a if a > low else low), (b if b < high else high)
            if low > high:
                return None
        result[k] = (low, high)
    return result


def _sides(
    post: _Caught, bays: int, length_m: float, lo: float, hi: float
) -> tuple[float, Door | None, float, Door | None]:
    """Where a caught post may go instead: (weight, nearer side, least spread of the other side, other side).

    A post moved by d from the even division costs a spread of d x bays / (k x (bays - k)) at least.
    """
    k, station, a, b, _ = post
    rest = bays - k
    back = a >= k * lo and length_m - a <= rest * hi
    on = b <= k * hi and length_m - b >= rest * lo
    if not (back and on):
        return (_FAR if back or on else 2 * _FAR), ((k, -_FAR, a) if back else (k, b, _FAR) if on else None), _FAR, None
    each = bays / (k * rest)
    even = k * length_m / bays
    if station - a < b - station:
        return (station - a) * each, (k, -_FAR, a), (b - even) * each, (k, b, _FAR)
    return (b - station) * each, (k, b, _FAR), (even - a) * each, (k, -_FAR, a)


def branch(
    ground: Ground,
    bays: int,
    shortest_m: float,
    longest_m: float,
    limit: int,
    tiers: Sequence[Sequence[Piece]],
    pay: bool = True,
) -> Branched:
    """Least cost of the posts, then the smallest spread of ``bays`` bays.

    shortest_m, longest_m
        limits of a bay [m], kept to 1e-9 m. limit: strings to pull at most; beyond it the answer is not ``closed``.
    tiers
        bars in the order in which they are looked at: those of the second where no post is caught in the first, ...
        The last are all bars of the ground. pay: whether posts may stand where it costs something.
    """
    lo, hi = shortest_m - TOLERANCE_M, longest_m + TOLERANCE_M
    length_m = ground.length_m
    best: Pulled | None = None
    blame, target, cost = -1.0, _FAR, 0
    stack: list[_Node] = [(0.0, {}, (), {})]
    dearer: dict[int, list[_Node]] = {}
    above: dict[int, list[Piece]] = {}
    while True:
        if not stack:
            if best is not None or not dearer:
                return Branched(best, cost, True, blame)
            cost = min(dearer)
            stack = dearer.pop(cost)
        bound, doors, more, paid = stack.pop()
        if bound >= target:
            continue
        if limit <= 0:
            return Branched(best, cost, False, blame)
        limit -= 1
        if more:
            merged = _with(doors, more)
            if merged is None:
                continue
            doors = merged
            pulled = pull_taut([(k, *doors[k]) for k in sorted(doors)], bays, length_m)
        else:
            pulled = Pulled(length_m / bays, length_m / bays, [(0, 0.0), (bays, length_m)])
        spread = pulled.most - pulled.least
        if spread >= target or pulled.most > hi or pulled.least < lo:
            continue
        caught: list[_Caught] = []
        for bars in tiers:
            caught = _caught(pulled.bends, bars)
            if paid and caught:
                caught = _unpaid(caught, paid, ground, above)
            if caught:
                break
        else:
            best, target = pulled, spread - TOLERANCE_M
            continue
        sides = [(*_sides(post, bays, length_m, lo, hi), post) for post in caught]
        if len(sides) > 1:
            sides.sort(key=_weight, reverse=True)
        if sides[0][1] is None:
            # posts that can go neither way: all of them pay, or none of it stands
            stuck = [post for _, near, _, _, post in sides if near is None]
            blame = stuck[0][2]
            if pay and all(post[4] < BARRED for post in stuck):
                price = sum(post[4] - paid.get(post[0], 0) for post in stuck)
                paid = {**paid, **{post[0]: post[4] for post in stuck}}
                inside = tuple((post[0], post[2], post[3]) for post in stuck)
                dearer.setdefault(cost + price, []).append((spread, doors, inside, paid))
            continue
        nears: tuple[Door, ...] = ()
        for _, near, least, far, post in sides:
            if pay and post[4] < BARRED:
                k, price = post[0], post[4]
                dearer.setdefault(cost + price - paid.get(k, 0), []).append(
                    (spread, doors, (*nears, post[:1] + post[2:4]), {**paid, k: price})
                )
            if far is not None and least < target:
                stack.append((least if least > spread else spread, doors, (*nears, far), paid))
            assert near is not None
            nears = (*nears, near)
        stack.append((spread, doors, nears, paid))


def _weight(side: tuple[float, Door | None, float, Door | None, _Caught]) -> float:
    return side[0]
