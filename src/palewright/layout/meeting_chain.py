"""The best chain of bays over posts, each racked or level, on a grid of elevations: a dynamic programme, exact.

A bay is racked (its bottom runs from u at one post to v at the next) or level (u = v = e). Elevations are whole numbers
of the grid. Beside a level bay there may be a step. Two racked bays share their height at the post between them, or
step there too where one of them might be level: that is priced as a step and a change, and ends the line that bends.

State after a bay: racked (u, v); level (p, e), where p is the level before it; or level (e) where the bay before was
racked or none. The price of a bend or of unequal steps, w |l - 2 m + r|, joins three neighbours l, m, r. For each m its
least over l is a distance transform of one row: the lesser of two running minima, from below and from above, read at
2 m - r. So a bay costs as many operations as it has states. Source: Felzenszwalb and Huttenlocher, Distance transforms
of sampled functions, Theory of Computing 8 (2012), section 2.1 (L1); Bellman's principle.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import as_strided

from palewright.layout.meeting_rules import Floats

__all__ = ["Chain", "Choice", "State", "best_chain"]

#: states are kept of every so-many-th bay and found again, a block at a time, on the way back: little memory
_BLOCK = 128


class Chain(NamedTuple):
    """The prices of one stretch of bays.

    posts
        first grid number and prices of post length, one for each post: what a racked bottom costs there.
    levels
        for each bay the first grid number, the price of each level, and what it costs at the post before and after.
    racked
        by bay the price of (u, v), infinite where a rule forbids it; None where no racked bay is possible.
    step
        for each post the price of a step by its number of grids, from as many down as can occur to as many up.
    even, new, change
        price per grid of difference between steps; for each bay of another height of step after it than before it
        (None: ``even`` counts); of a change of mode.
    bend, ratio
        price per grid of rise at each post, and length of the bay before over that of the bay after.
    joint
        for each post whether two racked bays may step at it.
    """

    posts: list[tuple[int, Floats]]
    levels: list[tuple[int, Floats, Floats, Floats]]
    racked: Callable[[int], Floats | None]
    step: Sequence[Floats]
    even: float
    new: Sequence[float | None]
    change: float
    bend: Floats
    ratio: Floats
    joint: Sequence[bool]


class State(NamedTuple):
    """Least price of everything up to a bay: racked by (u, v), level alone by e, level after a level by (p, e)."""

    racked: Floats | None
    alone: Floats | None
    after: Floats | None


class Choice(NamedTuple):
    """One bay of the answer in grid numbers."""

    mode: str
    start: int
    end: int


def best_chain(chain: Chain) -> tuple[float, list[Choice]]:
    """The least price and the bays that have it; infinity and no bay where the rules leave nothing."""
    kept = {0: _first(chain)}
    block = [kept[0]]
    for i in range(1, len(chain.levels)):
        state = _next(chain, i, block[-1])
        if i % _BLOCK == 0:
            kept[i], block = state, []
        block.append(state)
    return _trace(chain, kept, block)


def _first(chain: Chain) -> State:
    pair, (_, level, before, _) = chain.racked(0), chain.levels[0]
    racked = None if pair is None else pair + chain.posts[0][1][:, None]
    return State(racked, level + before if level.size else None, None)


def _next(chain: Chain, i: int, was: State) -> State:
    pair, (first, level, before, _) = chain.racked(i), chain.levels[i]
    racked = alone = after = None
    any_level = _any_level(was)
    here = chain.posts[i][1]
    if pair is not None:
        arrive: Floats | None = None
        if was.racked is not None:
            q = _line_back(chain, i)
            arrive = nearest(was.racked, chain.posts[i - 1][0], q, float(chain.bend[i])) + here[:, None]
            if chain.joint[i]:
                arrive = np.minimum(arrive, _stepping(chain, i, was.racked).min(0)[:, None])
        if any_level is not None:
            step = _steps(chain, i, chain.levels[i - 1][0], any_level.size, chain.posts[i][0], here.size)
            tall = np.maximum(chain.levels[i - 1][3][:, None], here[None, :])
            changed = (any_level[:, None] + step + tall).min(0)[:, None] + chain.change
            arrive = changed if arrive is None else np.minimum(arrive, changed)
        racked = None if arrive is None else pair + arrive
    if level.size:
        if was.racked is not None:
            step = _steps(chain, i, chain.posts[i][0], here.size, first, level.size)
            tall = np.maximum(here[:, None], before[None, :])
            alone = (was.racked.min(0)[:, None] + step + tall).min(0) + chain.change + level
        if any_level is not None:
            after = _level_after(chain, i, was)
    return State(racked, alone, after)


def _stepping(chain: Chain, i: int, racked: Floats) -> Floats:
    """Least price up to a step between two racked bays at post i: by the height before it and the one after."""
    first, here = chain.posts[i]
    step = _steps(chain, i, first, here.size, first, here.size)
    gone: Floats = racked.min(0)[:, None] + step + np.maximum(here[:, None], here[None, :]) + chain.change
    np.fill_diagonal(gone, np.inf)
    return gone


def _level_after(chain: Chain, i: int, was: State) -> Floats:
    """A level bay after a level bay: the step between them, and whether it is like the step before."""
    (first_p, levels_p, _, after_p), (first, level, before, _) = chain.levels[i - 1], chain.levels[i]
    best: Floats = np.full((1, 1), np.inf) if was.alone is None else was.alone[:, None]
    if was.after is not None:
        first_l = chain.levels[i - 2][0]
        q = 2 * (first_p + np.arange(levels_p.size))[:, None] - (first + np.arange(level.size))[None, :]
        new = chain.new[i - 1]
        if new is None:
            like = nearest(was.after, first_l, q, chain.even)
        else:
            padded = np.vstack([was.after, np.full((1, levels_p.size), np.inf)])
            index = q - first_l
            index = np.where((index < 0) | (index >= len(was.after)), len(was.after), index)
            like = padded[index, np.arange(levels_p.size)[:, None]]
            like = np.minimum(like, was.after.min(0)[:, None] + new)
        best = np.minimum(best, like)
    step = _steps(chain, i, first_p, levels_p.size, first, level.size)
    out: Floats = best + step + np.maximum(after_p[:, None], before[None, :]) + level[None, :]
    return out


def nearest(price: Floats, first: int, q: np.ndarray, weight: float) -> Floats:
    """Least over l of price[l, m] + weight |l - q[m, r]|, rows of ``price`` being l = first, first + 1, ...

    >>> nearest(np.array([[0.0], [5.0], [1.0]]), 0, np.array([[0, 1, 2, 4]]), 1.0).tolist()
    [[0.0, 1.0, 1.0, 3.0]]
    """
    if weight == 0.0:
        return np.broadcast_to(price.min(0)[:, None], q.shape)
    count, columns = price.shape
    slope = weight * (first + np.arange(count, dtype=np.float64))[:, None]
    padded = np.full((2, count + 1, columns), np.inf)
    np.minimum.accumulate(price - slope, 0, out=padded[0, 1:])
    np.minimum.accumulate((price + slope)[::-1], 0, out=padded[1, count - 1 :: -1])
    place = q - first
    column = np.arange(columns)[:, None]
    if q.dtype.kind == "i":
        down, up = np.clip(place + 1, 0, count), np.clip(place, 0, count)
    else:
        down = np.clip(np.floor(place).astype(np.intp) + 1, 0, count)
        up = np.clip(np.ceil(place).astype(np.intp), 0, count)
    lift = weight * q
    flat = padded.reshape(2, -1)
    below = flat[0].take(down * columns + column) + lift
    above = flat[1].take(up * columns + column) - lift
    least: Floats = np.minimum(below, above, out=below)
    return least


def _line_back(chain: Chain, i: int) -> np.ndarray:
    """Where the bay before would start if it ran in one line with (m at post i, r at the next); grid numbers."""
    m = chain.posts[i][0] + np.arange(chain.posts[i][1].size)[:, None]
    r = chain.posts[i + 1][0] + np.arange(chain.posts[i + 1][1].size)[None, :]
    ratio = chain.ratio[i]
    return 2 * m - r if ratio == 1.0 else m - (r - m) * ratio


def _steps(chain: Chain, post: int, first_a: int, count_a: int, first_b: int, count_b: int) -> Floats:
    """Price of the step from a to b at a post for all pairs: a view on one row, since only b - a counts."""
    both = chain.step[post]  # from -n to n
    middle = both.size // 2 + first_b - first_a
    stride = both.strides[0]
    return as_strided(both[middle:], (count_a, count_b), (-stride, stride), writeable=False)


def _any_level(state: State) -> Floats | None:
    """Least price by level, whatever came before."""
    found = [table for table in (state.alone, None if state.after is None else state.after.min(0)) if table is not None]
    return np.minimum(found[0], found[-1]) if found else None


def _trace(chain: Chain, kept: dict[int, State], block: list[State]) -> tuple[float, list[Choice]]:
    """From the cheapest end back to the start: at each bay the predecessor that gave its price."""
    n, last = len(chain.levels), block[-1]
    ends: list[tuple[float, str, tuple[int, ...]]] = []
    for kind, table in (("racked", last.racked), ("alone", last.alone), ("after", last.after)):
        if table is not None:
            price = chain.posts[n][1] if kind == "racked" else chain.levels[n - 1][3]
            total = table + price
            where = np.unravel_index(int(total.argmin()), total.shape)
            ends.append((float(total[where]), kind, tuple(int(k) for k in where)))
    cost, kind, at = min(ends, default=(np.inf, "", ()))
    if not np.isfinite(cost):
        return np.inf, []
    found: list[Choice] = []
    for i in range(n - 1, -1, -1):
        if i and i % _BLOCK == 0:
            block = _again(chain, kept, i - 1)
        if kind == "racked":
            found.append(Choice("racked", chain.posts[i][0] + at[0], chain.posts[i + 1][0] + at[1]))
        else:
            level = chain.levels[i][0] + at[-1]
            found.append(Choice("stepped", level, level))
        if i:
            kind, at = _before(chain, i, block[(i - 1) % _BLOCK], kind, at)
    return cost, found[::-1]


def _again(chain: Chain, kept: dict[int, State], last: int) -> list[State]:
    """The states from the last one kept up to bay ``last``."""
    first = last - last % _BLOCK
    states = [kept[first]]
    for i in range(first + 1, last + 1):
        states.append(_next(chain, i, states[-1]))
    return states


def _before(chain: Chain, i: int, was: State, kind: str, at: tuple[int, ...]) -> tuple[str, tuple[int, ...]]:
    """The state before (kind, at) of bay i that gives its price."""
    options: list[tuple[float, str, tuple[int, ...]]] = []

    def offer(price: Floats, name: str, rest: tuple[int, ...]) -> None:
        k = int(price.argmin())
        options.append((float(price[k]), name, (k, *rest)))

    if kind == "racked":
        if was.racked is not None:
            q = float(_line_back(chain, i)[at])
            rows = chain.posts[i - 1][0] + np.arange(len(was.racked))
            gone = was.racked[:, at[0]] + chain.bend[i] * np.abs(rows - q) + chain.posts[i][1][at[0]]
            offer(gone, "racked", (at[0],))
            if chain.joint[i]:
                stepped = _stepping(chain, i, was.racked)[:, at[0]]
                k = int(stepped.argmin())
                options.append((float(stepped[k]), "racked", (int(was.racked[:, k].argmin()), k)))
        _offer_levels(chain, i, was, chain.posts[i][0] + at[0], float(chain.posts[i][1][at[0]]), offer)
    elif kind == "alone":
        step = _steps(chain, i, chain.posts[i][0], chain.posts[i][1].size, chain.levels[i][0] + at[0], 1)[:, 0]
        table = was.racked if was.racked is not None else np.full((1, 1), np.inf)
        tall = np.maximum(chain.posts[i][1], chain.levels[i][2][at[0]])
        k = int((table.min(0) + step + tall).argmin())
        return "racked", (int(table[:, k].argmin()), k)
    else:
        if was.alone is not None:
            options.append((float(was.alone[at[0]]), "alone", (at[0],)))
        if was.after is not None:
            first_l = chain.levels[i - 2][0]
            q = 2 * (chain.levels[i - 1][0] + at[0]) - (chain.levels[i][0] + at[1])
            away = np.abs(first_l + np.arange(len(was.after)) - q)
            new = chain.new[i - 1]
            unlike = chain.even * away if new is None else new * (away > 0)
            offer(was.after[:, at[0]] + unlike, "after", (at[0],))
    best = min(options)
    return best[1], best[2]


def _offer_levels(chain: Chain, i: int, was: State, u: int, here: float, offer: object) -> None:
    """Offer the level bays before a racked one that starts at grid number u."""
    first, levels, _, behind = chain.levels[i - 1]
    step = _steps(chain, i, first, levels.size, u, 1)[:, 0] + np.maximum(behind, here) + chain.change
    if was.alone is not None:
        offer(was.alone + step, "alone", ())  # type: ignore[operator]
    if was.after is not None:
        both = was.after + step[None, :]
        k = np.unravel_index(int(both.argmin()), both.shape)
        offer(both[:, k[1]], "after", (int(k[1]),))  # type: ignore[operator]
