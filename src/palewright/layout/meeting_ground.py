"""The ground as a fence sees it: what each bay has to clear, and the heights that a legal height is measured from."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_rules import SLACK_M, Floats, GroundRules

__all__ = ["Envelope", "Spans", "crossings", "envelopes", "ground_at", "reference", "spans"]


class Envelope(NamedTuple):
    """Bounds on the straight bottom of one bay: at each share of its length (0 to 1) a height [m].

    ``low``: the bottom lies at or above; ``most`` and ``legal``: at or below. Only corners that can bind are kept.
    """

    length: float
    ground: tuple[float, float]
    low: Floats
    most: Floats
    legal: Floats

    @property
    def high(self) -> Floats:
        """Upper bounds of both kinds."""
        return np.concatenate([self.most, self.legal])


class Spans(NamedTuple):
    """Places along a run bay by bay: station, bay, first index of each bay, and the height of the line there [m]."""

    at: Floats
    bay: np.ndarray
    starts: np.ndarray
    value: Floats


def ground_at(stations_m: Floats, heights_m: Floats, at_m: Floats) -> Floats:
    """Height of the ground [m] at stations [m], straight between knots. Source: geometry.

    >>> ground_at(np.array([0.0, 2.0]), np.array([0.0, 1.0]), np.array([0.5])).tolist()
    [0.25]
    """
    return np.asarray(np.interp(at_m, stations_m, heights_m), dtype=np.float64)


def spans(stations_m: Floats, heights_m: Floats, posts_m: Floats) -> Spans:
    """Every place at which something can bind, bay by bay: its two posts and all knots between and on them.

    stations_m, heights_m
        knots of a line, not falling [m]; at a wall, where two knots share a station, both heights are kept.
    """
    first = np.searchsorted(stations_m, posts_m[:-1], side="left")
    last = np.searchsorted(stations_m, posts_m[1:], side="right")
    counts = last - first + 2
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    bays = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(counts.sum()) - starts[bays]
    knot = np.clip(first[bays] + place - 1, 0, len(stations_m) - 1)
    at = stations_m[knot]
    ends, at_posts = starts + counts - 1, ground_at(stations_m, heights_m, posts_m)
    at[starts], at[ends] = posts_m[:-1], posts_m[1:]
    value = heights_m[knot]
    value[starts], value[ends] = at_posts[:-1], at_posts[1:]
    return Spans(at, bays, starts, value)


def envelopes(
    stations_m: Floats,
    heights_m: Floats,
    posts_m: Floats,
    rules: GroundRules,
    measured: tuple[Floats, Floats] | None = None,
) -> list[Envelope]:
    """Bounds on the bottom of every bay.

    stations_m, heights_m
        knots of the ground, rising [m]. posts_m: stations of the posts, rising [m].
    measured
        stations and heights from which the legal height is measured [m], see :func:`reference`.
    """
    ground = _by_bay(stations_m, heights_m, posts_m)
    legal: list[list[tuple[float, float]]] = [[]] * len(ground)
    if measured is not None and rules.legal_m is not None:
        legal = _by_bay(*measured, posts_m)
    room = (rules.legal_m or 0.0) - rules.infill_m
    return [
        Envelope(
            length,
            (under[0][1], under[-1][1]),
            _hull(under, 1.0, rules.least_m),
            _hull(under, -1.0, rules.most_m),
            _hull(above, -1.0, room),
        )
        for length, under, above in zip(np.diff(posts_m).tolist(), ground, legal, strict=True)
    ]


def _by_bay(stations: Floats, heights: Floats, posts: Floats) -> list[list[tuple[float, float]]]:
    """For each bay the line from post to post: share of the length, height; both heights of a wall on a post."""
    first = np.searchsorted(stations, posts[:-1] - SLACK_M, side="left").tolist()
    last = np.searchsorted(stations, posts[1:] + SLACK_M, side="right").tolist()
    ends = ground_at(stations, heights, posts).tolist()
    made = []
    for i, (start, end) in enumerate(pairwise(posts.tolist())):
        share = (stations[first[i] : last[i]] - start) / (end - start)
        share = np.where(share < SLACK_M, 0.0, np.where(share > 1.0 - SLACK_M, 1.0, share))
        inside = zip(share.tolist(), heights[first[i] : last[i]].tolist(), strict=True)
        made.append([(0.0, ends[i]), *inside, (1.0, ends[i + 1])])
    return made


def _hull(points: list[tuple[float, float]], side: float, lift: float) -> Floats:
    """Corners of the upper (side 1) or lower (-1) hull of points sorted by share, lifted; shape (n, 2).

    A straight line clears all points when it clears the corners of their hull. Source: monotone chain, Andrew 1979.
    """
    kept: list[tuple[float, float]] = []
    for t, z in points:
        while len(kept) > 1:
            (t0, z0), (t1, z1) = kept[-2:]
            if side * ((z1 - z0) * (t - t1) - (z - z1) * (t1 - t0)) > 0.0:
                break
            kept.pop()
        kept.append((t, z))
    return np.array([(t, z + lift) for t, z in kept], dtype=np.float64).reshape(-1, 2)


def reference(
    stations_m: Floats,
    heights_m: Floats,
    how: str = "own grade",
    *,
    posts_m: Floats | None = None,
    within_m: float = 0.0,
    beside: tuple[Floats, Floats] | None = None,
) -> tuple[Floats, Floats]:
    """The heights from which a legal height is measured, at every station that can bind.

    how
        "own grade": the ground under each point. "post": the ground at each of ``posts_m``, nowhere else. "higher
        side", "lower side": the higher or lower of the ground under the fence and the ground ``beside`` it (stations
        and heights of another profile, for instance the neighbour's side). "highest within", "lowest within": the
        ground up to ``within_m`` to either side along the run.
    Returns stations and heights [m]; a straight top that keeps the rule at these keeps it everywhere (except "post").
    Raises ValueError for another ``how``. Source: geometry; the ways of measuring: ordinances of several towns.

    >>> s, z = np.array([0.0, 4.0]), np.array([0.0, 1.0])
    >>> [a.tolist() for a in reference(s, z, "highest within", within_m=1.0)]
    [[0.0, 1.0, 3.0, 4.0], [0.25, 0.5, 1.0, 1.0]]
    """
    if how == "own grade":
        return stations_m, heights_m
    if how == "post" and posts_m is not None:
        return posts_m, ground_at(stations_m, heights_m, posts_m)
    if how in ("higher side", "lower side") and beside is not None:
        at = np.union1d(stations_m, beside[0])
        two = np.stack([ground_at(stations_m, heights_m, at), ground_at(*beside, at)])
        at, two = crossings(at, two)
        return at, two.max(0) if how == "higher side" else two.min(0)
    if how in ("highest within", "lowest within"):
        sign = 1.0 if how == "highest within" else -1.0
        at, highest = _window(stations_m, sign * heights_m, within_m)
        return at, sign * highest
    raise ValueError(f"no such way of measuring a height, or a part of it is missing: {how!r}")


def crossings(at: Floats, lines: Floats) -> tuple[Floats, Floats]:
    """The stations with those added at which two of the piecewise straight lines cross, and all lines there."""
    extra = [at]
    for i in range(len(lines)):
        for j in range(i):
            d = lines[i] - lines[j]
            k = np.flatnonzero(d[:-1] * d[1:] < 0.0)
            extra.append(at[k] + (at[k + 1] - at[k]) * d[k] / (d[k] - d[k + 1]))
    more = np.unique(np.concatenate(extra))
    return more, np.stack([np.interp(more, at, line) for line in lines])


def _window(stations: Floats, heights: Floats, within: float) -> tuple[Floats, Floats]:
    """Highest ground within a distance along the run: that at the two ends of the window, or a knot inside it."""
    first, last = stations[0], stations[-1]
    at = np.unique(np.clip(np.concatenate([stations, stations - within, stations + within]), first, last))
    ends = np.stack([np.interp(np.clip(at + d, first, last), stations, heights) for d in (-within, within)])
    middle = 0.5 * (at[:-1] + at[1:])
    inside = np.array([_most(stations, heights, m, within) for m in middle])
    shares = [at]
    for k, level in enumerate(inside):
        for a, b in (*((e[k] - level, e[k + 1] - level) for e in ends), tuple(ends[0, k : k + 2] - ends[1, k : k + 2])):
            if a * b < 0.0 and np.isfinite(a):
                shares.append(np.array([at[k] + (at[k + 1] - at[k]) * a / (a - b)]))
    more = np.unique(np.concatenate(shares))
    sides = np.stack([np.interp(np.clip(more + d, first, last), stations, heights) for d in (-within, within)])
    knots = np.array([_most(stations, heights, m, within + 1e-12) for m in more])
    return more, np.maximum(sides.max(0), knots)


def _most(stations: Floats, heights: Floats, at: float, within: float) -> float:
    inside = heights[np.searchsorted(stations, at - within, "left") : np.searchsorted(stations, at + within, "right")]
    return float(inside.max()) if inside.size else -np.inf
