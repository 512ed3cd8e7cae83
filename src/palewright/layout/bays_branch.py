"""The most even way past a few barriers: a string pulled taut, and a choice of side only where it is caught inside one.

Exact: docs/layout-method.md, "Branching". A leg with many barriers goes to :mod:`palewright.layout.bays_search`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from operator import itemgetter
from typing import NamedTuple

from palewright.layout.bays_ground import BARRED, TOLERANCE_M, Ground, Piece
from palewright.layout.bays_taut import Door, Pulled, pull_taut

__all__ = ["Branched", "Caught", "branch", "caught_evenly"]


_FAR = 1e300
#: post, its station; start and end of the bar it is inside [m], and the least that standing in it costs
Caught = tuple[int, float, float, float, int]
#: weight, nearer side, least spread of the other side [m], other side, post
_Side = tuple[float, Door | None, float, Door | None, Caught]
_WEIGHT = itemgetter(0)
#: bound on the spread [m]; doors; doors to be added to them; what posts have paid for
_Node = tuple[float, Sequence[Door], tuple[Door, ...], dict[int, int]]


class Branched(NamedTuple):
    """``best`` or None where there is none, and what its posts cost.

    ``closed``: nothing was left unsearched, so that ``best`` (or None) is proved. ``blame``: start of a bar that a post
    could not get round [m], or -1.
    """

    best: Pulled | None
    cost: int
    closed: bool
    blame: float


def _caught(bends: list[tuple[int, float]], bars: Sequence[Piece]) -> list[Caught]:
    """Posts of a string that stand inside a bar."""
    caught: list[Caught] = []
    (i, x), (j, y) = bends[0], bends[1]
    p, last = 1, len(bends) - 1
    step = (y - x) / (j - i)
    for a, b, cost in bars:
        while y <= a and p < last:
            p += 1
            i, x, (j, y) = j, y, bends[p]
            step = (y - x) / (j - i)
        inner_a, inner_b = a + TOLERANCE_M, b - TOLERANCE_M
        # int() rounds toward zero: right from x on, and before it the first post of the piece is meant anyway
        k = i + int((inner_a - x) / step) + 1 if inner_a > x else i + 1
        station = x + (k - i) * step
        if k < j and station >= inner_b:
            continue
        q, qi, qx, qj, qy, qs = p, i, x, j, y, step
        while True:
            if k >= qj:
                if q == last or qy >= inner_b:
                    break
                if qy > inner_a:
                    caught.append((qj, qy, a, b, cost))
                q += 1
                qi, qx, (qj, qy) = qj, qy, bends[q]
                qs = (qy - qx) / (qj - qi)
                k = qi + 1
                station = qx + qs
                continue
            if station >= inner_b:
                break
            if station > inner_a:
                caught.append((k, station, a, b, cost))
            k += 1
            station = qx + (k - qi) * qs
    return caught


def caught_evenly(ground: Ground, bays: int, lo: float, hi: float, pay: bool) -> tuple[list[Caught], float]:
    """Posts of the even division that stand inside a bar, and -1; or, first, a bar that one of them cannot get round.

    ``lo``, ``hi``: limits of a bay [m]. ``pay``: a post may stand inside where it only costs something. The second is
    the start of such a bar [m]: then no layout of so many bays stands free, and the list is not complete.
    """
    length_m = ground.length_m
    step = length_m / bays
    caught: list[Caught] = []
    for a, b, cost in ground.bars:
        inner_a, inner_b = a + TOLERANCE_M, b - TOLERANCE_M
        k = int(inner_a / step) + 1 if inner_a > 0.0 else 1
        x = k * step
        while x < inner_b and k < bays:
            rest = bays - k
            if (
                (cost >= BARRED or not pay)
                and (a < k * lo or length_m - a > rest * hi)
                and (b > k * hi or length_m - b < rest * lo)
            ):
                return caught, max(a, 0.0)
            caught.append((k, x, a, b, cost))
            k += 1
            x = k * step
    return caught, -1.0


def _unpaid(caught: list[Caught], paid: dict[int, int], ground: Ground, above: dict[int, list[Piece]]) -> list[Caught]:
    """What is left of ``caught`` when some posts have paid for ground that costs so much."""
    left: list[Caught] = []
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


def _first_caught(
    pulled: Pulled,
    tiers: Sequence[Sequence[Piece]],
    paid: dict[int, int],
    ground: Ground,
    above: dict[int, list[Piece]],
) -> list[Caught]:
    """Posts of a string inside a bar, of the first bars in which there are any."""
    for bars in tiers:
        caught = _caught(pulled.bends, bars)
        if paid and caught:
            caught = _unpaid(caught, paid, ground, above)
        if caught:
            return caught
    return []


def _with(doors: Sequence[Door], more: Sequence[Door]) -> Sequence[Door] | None:
    """The doors, rising by post, with others laid over; None where one is shut."""
    if not doors and len(more) == 1:
        return more
    result = list(doors)
    for door in more:
        at = bisect_left(result, door[:1])
        if at < len(result) and result[at][0] == door[0]:
            k, low, high = door
            _, a, b = result[at]
            low, high = (a if a > low else low), (b if b < high else high)
            if low > high:
                return None
            result[at] = (k, low, high)
        else:
            result.insert(at, door)
    return result


def _side(post: Caught, doors: Sequence[Door], bays: int, length_m: float, lo: float, hi: float) -> _Side:
    """Where a caught post may go instead: (weight, nearer side, least spread of the other side, other side, post).

    A side counts where every bay may have a length between ``lo`` and ``hi`` as far as each door by itself goes. A post
    moved by d from the even division costs a spread of d x bays / (k x (bays - k)) at least.
    """
    k, station, a, b, _ = post
    rest = bays - k
    least, most = length_m - rest * hi, k * hi
    if k * lo > least:
        least = k * lo
    if length_m - rest * lo < most:
        most = length_m - rest * lo
    for j, low, high in doors:
        near, far = (low + (k - j) * lo, high + (k - j) * hi) if j < k else (low - (j - k) * hi, high - (j - k) * lo)
        if near > least:
            least = near
        if far < most:
            most = far
    back, on = a >= least, b <= most
    if back and on:
        each = bays / (k * rest)
        even = k * length_m / bays
        if station - a < b - station:
            return (station - a) * each, (k, -_FAR, a), (b - even) * each, (k, b, _FAR), post
        return (b - station) * each, (k, b, _FAR), (even - a) * each, (k, -_FAR, a), post
    if back:
        return _FAR, (k, -_FAR, a), _FAR, None, post
    if on:
        return _FAR, (k, b, _FAR), _FAR, None, post
    return _FAR, None, _FAR, None, post


def _open(door: Door, others: Sequence[Door], lo: float, hi: float) -> bool:
    """Whether a door goes with each of the others by itself, with bays between ``lo`` and ``hi`` [m]."""
    k, a, b = door
    for j, low, high in others:
        run = k - j
        if run > 0:
            if a - high > run * hi or b - low < run * lo:
                return False
        elif low - b > -run * hi or high - a < -run * lo:
            return False
    return True


def _children(
    caught: list[Caught],
    pulled: Pulled,
    doors: Sequence[Door],
    paid: dict[int, int],
    target: float,
    leg: tuple[int, float, float, float],
    pay: bool,
) -> tuple[list[tuple[int, _Node]], float]:
    """What follows from a string with caught posts: (price, node) each, the likeliest last; and a bar in the way or -1.

    The nodes are apart and leave nothing out that could be better than ``target``: the first post inside at a price, or
    on its far side; or near and the second inside, or far; ...; all near. ``leg``: bays, length, limits of a bay [m].
    """
    bays, length_m, lo, hi = leg
    spread = pulled.most - pulled.least
    sides = []
    stuck: list[Caught] = []
    for post in caught:
        side = _side(post, doors, bays, length_m, lo, hi)
        if side[1] is None:
            stuck.append(post)
            if post[4] >= BARRED or not pay:
                return [], max(post[2], 0.0)
        sides.append(side)
    if stuck:  # posts that can go neither way: all of them pay
        price = sum(post[4] - paid.get(post[0], 0) for post in stuck)
        paid = {**paid, **{post[0]: post[4] for post in stuck}}
        inside = tuple((post[0], post[2], post[3]) for post in stuck)
        return [(price, (spread, doors, inside, paid))], max(stuck[0][2], 0.0)
    if len(sides) > 1:
        sides.sort(key=_WEIGHT, reverse=True)
    children: list[tuple[int, _Node]] = []
    nears: tuple[Door, ...] = ()
    for _, near, least, far, post in sides:
        if nears:
            if far is not None and not _open(far, nears, lo, hi):
                far = None
            if near is None or not _open(near, nears, lo, hi):
                near, far = far, None
        if pay and post[4] < BARRED:
            k, price = post[0], post[4]
            inside = (*nears, (k, post[2], post[3]))
            children.append((price - paid.get(k, 0), (spread, doors, inside, {**paid, k: price})))
        if far is not None and least < target:
            children.append((0, (least if least > spread else spread, doors, (*nears, far), paid)))
        if near is None:
            return children, max(post[2], 0.0)
        nears = (*nears, near)
    children.append((0, (spread, doors, nears, paid)))
    return children, -1.0


def branch(
    ground: Ground,
    bays: int,
    shortest_m: float,
    longest_m: float,
    limit: int,
    tiers: Sequence[Sequence[Piece]],
    pay: bool = True,
    first: list[Caught] | None = None,
) -> Branched:
    """Least cost of the posts, then the smallest spread of ``bays`` bays.

    shortest_m, longest_m
        limits of a bay [m], kept to 1e-9 m. limit: strings to pull at most; beyond it the answer is not ``closed``.
    tiers
        bars in the order in which they are looked at: those of the second where no post is caught in the first, ...
        The last are all bars of the ground. pay: whether posts may stand where it costs something.
        first: the posts caught in the even division, where that is known.
    """
    lo, hi = shortest_m - TOLERANCE_M, longest_m + TOLERANCE_M
    length_m = ground.length_m
    best: Pulled | None = None
    blame, target, cost = -1.0, _FAR, 0
    stack: list[_Node] = [(0.0, (), (), {})]
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
            pulled = pull_taut(merged, bays, length_m)
        else:
            pulled = Pulled(length_m / bays, length_m / bays, [(0, 0.0), (bays, length_m)])
        spread = pulled.most - pulled.least
        if spread >= target or pulled.most > hi or pulled.least < lo:
            continue
        if first is None:
            caught = _first_caught(pulled, tiers, paid, ground, above)
        else:
            caught, first = first, None
        if not caught:
            best, target = pulled, spread - TOLERANCE_M
            continue
        children, stuck = _children(caught, pulled, doors, paid, target, (bays, length_m, lo, hi), pay)
        if stuck >= 0.0:
            blame = stuck
        for price, child in children:
            if price:
                dearer.setdefault(cost + price, []).append(child)
            else:
                stack.append(child)
