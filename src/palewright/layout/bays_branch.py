"""The most even way past a few barriers: a string pulled taut, and a choice of side only where it is caught inside one.

Exact: docs/layout-method.md, "Branching". A leg with many barriers goes to :mod:`palewright.layout.bays_search`.
"""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter

from palewright.layout.bays_ground import BARRED, TOLERANCE_M, Ground, Piece
from palewright.layout.bays_taut import Door, Pulled, String, taut

__all__ = ["Branched", "Side", "branch", "sides_evenly"]


_FAR = 1e300
_NOWHERE = 2e300
#: post, its station; start and end of the bar it is inside [m], and the least that standing in it costs
_Caught = tuple[int, float, float, float, int]
#: Where a caught post may go instead: the spread that the nearer side asks for [m] (_FAR: there is no other, _NOWHERE:
#: nor this), that side, the least spread of the other [m], the other, the post.
Side = tuple[float, Door | None, float, Door | None, _Caught]
_WEIGHT = itemgetter(0)
#: bound on the spread [m]; doors; doors to be added to them; what posts have paid for; sides of caught posts. Without
#: sides it is a string to be pulled; with sides what follows from that string besides all of them on their nearer side.
_Node = tuple[float, Sequence[Door], Sequence[Door], dict[int, int], Sequence[Side]]
#: the best string or None; what its posts cost; whether nothing was left unsearched, so that the string (or None) is
#: proved; and the start of a bar that a post could not get round [m], or -1
Branched = tuple[Pulled | None, int, bool, float]
#: bays, length, limits of a bay [m]
_Leg = tuple[int, float, float, float]


def _caught(bends: list[tuple[int, float]], bars: Sequence[Piece]) -> list[_Caught]:
    """Posts of a string that stand inside a bar."""
    caught: list[_Caught] = []
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


def sides_evenly(ground: Ground, bays: int, lo: float, hi: float, pay: bool) -> tuple[list[Side], float]:
    """Where posts of the even division that stand inside a bar may go, and -1; or, second, a bar that none gets round.

    ``lo``, ``hi``: limits of a bay [m]. ``pay``: a post may stand inside where it only costs something. The second is
    the start of a bar that a post can get round on neither side [m]: then no layout of so many bays stands free, and
    the list is not complete.
    """
    length_m = ground.length_m
    step = length_m / bays
    sides: list[Side] = []
    for a, b, cost in ground.bars:
        inner_b = b - TOLERANCE_M
        k = int((a + TOLERANCE_M) / step) + 1 if a > 0.0 else 1
        x = k * step
        while x < inner_b and k < bays:
            rest = bays - k
            back = a >= k * lo and length_m - a <= rest * hi
            if b <= k * hi and length_m - b >= rest * lo:
                if back:
                    each = bays / (k * rest)
                    off, on = (x - a) * each, (b - x) * each
                    if off < on:
                        sides.append((off, (k, -_FAR, a), on, (k, b, _FAR), (k, x, a, b, cost)))
                    else:
                        sides.append((on, (k, b, _FAR), off, (k, -_FAR, a), (k, x, a, b, cost)))
                else:
                    sides.append((_FAR, (k, b, _FAR), _FAR, None, (k, x, a, b, cost)))
            elif back:
                sides.append((_FAR, (k, -_FAR, a), _FAR, None, (k, x, a, b, cost)))
            elif pay and cost < BARRED:
                sides.append((_NOWHERE, None, _FAR, None, (k, x, a, b, cost)))
            else:
                return sides, max(a, 0.0)
            k += 1
            x = k * step
    return sides, -1.0


def _sides(caught: list[_Caught], doors: Sequence[Door], leg: _Leg, pay: bool) -> tuple[list[Side], float]:
    """Where caught posts may go instead, and -1; or, second, a bar that one of them cannot get round [m].

    A side counts where every bay may have a length within its limits as far as each door by itself goes. A post moved
    by d from the even division costs a spread of d x bays / (k x (bays - k)) at least.
    """
    bays, length_m, lo, hi = leg
    sides: list[Side] = []
    for post in caught:
        k, station, a, b, cost = post
        rest = bays - k
        least, most = length_m - rest * hi, k * hi
        if k * lo > least:
            least = k * lo
        if length_m - rest * lo < most:
            most = length_m - rest * lo
        for j, low, high in doors:
            run = k - j
            near, far = (low + run * lo, high + run * hi) if run > 0 else (low + run * hi, high + run * lo)
            if near > least:
                least = near
            if far < most:
                most = far
        if b <= most:
            if a >= least:
                each = bays / (k * rest)
                even = k * length_m / bays
                if station - a < b - station:
                    sides.append(((station - a) * each, (k, -_FAR, a), (b - even) * each, (k, b, _FAR), post))
                else:
                    sides.append(((b - station) * each, (k, b, _FAR), (even - a) * each, (k, -_FAR, a), post))
            else:
                sides.append((_FAR, (k, b, _FAR), _FAR, None, post))
        elif a >= least:
            sides.append((_FAR, (k, -_FAR, a), _FAR, None, post))
        elif pay and cost < BARRED:
            sides.append((_NOWHERE, None, _FAR, None, post))
        else:
            return sides, max(a, 0.0)
    return sides, -1.0


def _unpaid(
    caught: list[_Caught], paid: dict[int, int], ground: Ground, above: dict[int, list[Piece]]
) -> list[_Caught]:
    """What is left of ``caught`` when some posts have paid for ground that costs so much; ``above``: bars by price."""
    left: list[_Caught] = []
    for post in caught:
        k, station = post[0], post[1]
        if k not in paid:
            left.append(post)
            continue
        allowed = paid[k]
        if not [1 for a, b, cost in ground.pieces if cost > allowed and a < station < b]:
            continue
        if allowed not in above:
            above[allowed] = ground.bars_above(allowed)
        for a, b, cost in above[allowed]:
            if a + TOLERANCE_M < station < b - TOLERANCE_M:
                left.append((k, station, a, b, cost))
    return left


def _with(doors: Sequence[Door], more: Sequence[Door]) -> Sequence[Door] | None:
    """The doors, rising by post, with others laid over; None where one is shut."""
    result = sorted([*doors, *more])
    if doors:
        k = 0
        for door in result:
            if door[0] == k:
                break
            k = door[0]
        else:
            return result
        for i in range(len(result) - 1, 0, -1):
            k, low, high = result[i - 1]
            if result[i][0] == k:
                low, high = max(low, result[i][1]), min(high, result[i][2])
                if low > high:
                    return None
                result[i - 1 : i + 1] = [(k, low, high)]
    return result


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


def _charged(
    posts: list[_Caught], bound: float, doors: Sequence[Door], nears: Sequence[Door], paid: dict[int, int]
) -> tuple[int, _Node]:
    """Posts stand inside their bars and pay for it: the price, and the node."""
    price, inside, paying = 0, [*nears], {**paid}
    for k, _, a, b, cost in posts:
        price += cost - paid.get(k, 0)
        inside.append((k, a, b))
        paying[k] = cost
    return price, (bound, doors, inside, paying, ())


def _following(sides: list[Side], spread: float, doors: Sequence[Door], paid: dict[int, int]) -> list[_Node]:
    """What follows from a string with caught posts: all of them on their nearer sides last, which is the likeliest."""
    if len(sides) > 1:
        sides.sort(key=_WEIGHT, reverse=True)
    group = (spread, doors, (), paid, sides)
    if sides[0][1] is None:
        return [group]
    return [group, (spread, doors, [side[1] for side in sides if side[1]], paid, ())]


def _parted(group: _Node, target: float, leg: _Leg, pay: bool) -> tuple[list[tuple[int, _Node]], float]:
    """The cases of a group that could be better than ``target``, with their prices; and a bar in the way or -1.

    They are apart and leave nothing out: the first post inside at a price, or on its far side; or near and the second
    inside, or far; ...; all near where that is news.
    """
    bound, doors, _, paid, sides = group
    if not pay and target < _FAR and min([side[2] for side in sides]) >= target:
        return [], -1.0
    if sides[0][1] is None:  # posts that can go neither way: all of them pay
        stuck = [side[4] for side in sides if side[1] is None]
        return [_charged(stuck, bound, doors, (), paid)], max(stuck[0][2], 0.0)
    _, _, lo, hi = leg
    cases: list[tuple[int, _Node]] = []
    nears: list[Door] = []
    turned = False
    for _, near, least, far, post in sides:
        if nears:
            if far is not None and not _open(far, nears, lo, hi):
                far = None
            if near is None or not _open(near, nears, lo, hi):
                near, far, turned = far, None, True
        if pay and post[4] < BARRED:
            cases.append(_charged([post], bound, doors, nears, paid))
        if far is not None and least < target:
            cases.append((0, (least if least > bound else bound, doors, [*nears, far], paid, ())))
        if near is None:
            return cases, max(post[2], 0.0)
        nears.append(near)
    if turned:
        cases.append((0, (bound, doors, nears, paid, ())))
    return cases, -1.0


def branch(
    ground: Ground,
    bays: int,
    shortest_m: float,
    longest_m: float,
    limit: int,
    tiers: Sequence[Sequence[Piece]],
    pay: bool = True,
    first: list[Side] | None = None,
) -> Branched:
    """Least cost of the posts, then the smallest spread of ``bays`` bays.

    shortest_m, longest_m
        limits of a bay [m], kept to 1e-9 m. limit: strings to pull at most; beyond it the answer is not ``closed``.
    tiers
        bars in the order in which they are looked at: those of the second where no post is caught in the first, ...
        The last are all bars of the ground. pay: whether posts may stand where it costs something.
        first: the sides of the posts caught in the even division, where that is known.
    """
    lo, hi = shortest_m - TOLERANCE_M, longest_m + TOLERANCE_M
    length_m = ground.length_m
    leg = bays, length_m, lo, hi
    best: String | None = None
    blame, target, cost = -1.0, _FAR, 0
    nothing: dict[int, int] = {}
    stack: list[_Node] = _following(first, 0.0, (), nothing) if first else [(0.0, (), (), nothing, ())]
    dearer: dict[int, list[_Node]] = {}
    above: dict[int, list[Piece]] = {}
    while stack or (dearer and best is None):
        if not stack:
            cost = min(dearer)
            stack = dearer.pop(cost)
        node = stack.pop()
        bound, doors, more, paid, sides = node
        if bound >= target:
            continue
        if sides:
            cases, stuck = _parted(node, target, leg, pay)
            if stuck >= 0.0:
                blame = stuck
            for price, case in cases:
                if price:
                    dearer.setdefault(cost + price, []).append(case)
                else:
                    stack.append(case)
            continue
        if limit <= 0:
            return Pulled(*best) if best else None, cost, False, blame
        limit -= 1
        held = _with(doors, more)
        if held is None:
            continue
        string = least, most, bends = taut(held, bays, length_m)
        spread = most - least
        if spread >= target or most > hi or least < lo:
            continue
        for bars in tiers:
            caught = _caught(bends, bars)
            if paid and caught:
                caught = _unpaid(caught, paid, ground, above)
            if caught:
                break
        else:
            best, target = string, spread - TOLERANCE_M
            continue
        sides, stuck = _sides(caught, held, leg, pay)
        if stuck >= 0.0:
            blame = stuck
        else:
            stack += _following(sides, spread, held, paid)
    return Pulled(*best) if best else None, cost, True, blame
