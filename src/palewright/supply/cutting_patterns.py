"""Patterns of cutting: every part that rows of bays can be cut into, and ways of filling a length of stock."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence

__all__ = [
    "SLACK_M",
    "Pattern",
    "Profile",
    "Span",
    "best_fillings",
    "every_pattern",
    "first_patterns",
    "sorts_of",
    "spans_of",
]

SLACK_M = 1e-6
"""Lengths this near are the same [m]: a micrometre, far below a saw."""

Profile = tuple[tuple[float, ...], int]
"""Bays in order [m], and how many rows of them are needed."""

Pattern = tuple[float, tuple[int, ...]]
"""A length of stock [m] and the sorts of part that are cut from it, the longest first."""

Span = tuple[int, int, int]
"""Profile, first bay, last bay."""


def spans_of(profiles: Sequence[Profile], longest: float) -> dict[Span, float]:
    """Every part that can be cut from the longest stock, with its length."""
    spans: dict[Span, float] = {}
    for place, (cells, _) in enumerate(profiles):
        for first in range(len(cells)):
            for last in range(first, len(cells)):
                length = math.fsum(cells[first : last + 1])
                if length > longest + SLACK_M:
                    break
                spans[place, first, last] = length
    return spans


def sorts_of(spans: dict[Span, float]) -> list[float]:
    """Lengths of the sorts of part, rising: the longest of those within the slack of each other."""
    lengths: list[float] = []
    for length in sorted(spans.values(), reverse=True):
        if not lengths or length < lengths[-1] - SLACK_M:
            lengths.append(length)
    return lengths[::-1]


def every_pattern(lengths: Sequence[float], stocks: Sequence[float], kerf: float, most: int) -> list[Pattern] | None:
    """Every full way of cutting each stock, so that no further part fits; None where there are more than ``most``.

    lengths
        of the sorts, rising [m]. stocks: rising [m]; a pattern stands at the shortest that it fits. kerf: saw cut [m].
    """
    found: dict[tuple[int, ...], float] = {}
    for stock in stocks:
        for cut in _fillings(lengths, stock + SLACK_M, kerf, len(lengths) - 1):
            found.setdefault(cut, stock)
            if len(found) > most:
                return None
    return [(stock, cut) for cut, stock in found.items()]


def _fillings(lengths: Sequence[float], room: float, kerf: float, top: int) -> Iterator[tuple[int, ...]]:
    """Sorts up to ``top``, longest first, that fill the room; nothing where not even the shortest fits."""
    for sort in range(top, -1, -1):
        rest = room - lengths[sort]
        if rest < 0:
            continue
        if rest - kerf < lengths[0]:
            yield (sort,)
        else:
            for more in _fillings(lengths, rest - kerf, kerf, sort):
                yield (sort, *more)


def first_patterns(lengths: Sequence[float], stocks: Sequence[float], kerf: float) -> list[Pattern]:
    """For every sort and stock that it fits: as many of it as go in, and one of it with the longest that still fit."""
    found: dict[tuple[int, ...], float] = {}
    for sort, length in enumerate(lengths):
        for stock in stocks:
            if length <= stock + SLACK_M:
                found.setdefault((sort,) * int((stock + kerf + SLACK_M) / (length + kerf)), stock)
                cut, room = [sort], stock + SLACK_M - length - kerf
                while (place := bisect_right(lengths, room)) > 0:
                    cut.append(place - 1)
                    room -= lengths[place - 1] + kerf
                found.setdefault(tuple(sorted(cut, reverse=True)), stock)
    return [(stock, cut) for cut, stock in found.items()]


def best_fillings(
    values: Sequence[float], lengths: Sequence[float], stock: float, kerf: float, least: float, nodes: int
) -> tuple[list[tuple[int, ...]], float]:
    """Ways of filling one stock that are worth more than ``least``, each better than the one before.

    values
        worth of a part of each sort, >= 0. nodes: how long to search at most.
    Returns them, and a worth that no filling exceeds: that of the best where the search ended by itself. Branch and
    bound by worth for length.
    """
    sorts = [sort for sort, value in enumerate(values) if value > 1e-9 and lengths[sort] <= stock + SLACK_M]
    sorts.sort(key=lambda sort: -values[sort] / (lengths[sort] + kerf))
    found: list[tuple[int, ...]] = []
    best = 0.0
    stack: list[tuple[int, float, float, tuple[int, ...]]] = [(0, stock + kerf + SLACK_M, 0.0, ())]
    ceiling = 0.0
    while stack:
        first, room, worth, cut = stack.pop()
        if worth > best + 1e-9:
            best = worth
            if worth > least + 1e-7:
                found.append(tuple(sorted(cut, reverse=True)))
        branches = []
        for place in range(first, len(sorts)):
            sort = sorts[place]
            size = lengths[sort] + kerf
            if worth + values[sort] / size * room <= best + 1e-9:
                break
            if size <= room:
                branches.append((place, room - size, worth + values[sort], (*cut, sort)))
        stack += reversed(branches)
        nodes -= 1
        if nodes <= 0:
            ceiling = max((w + values[sorts[p]] / (lengths[sorts[p]] + kerf) * r for p, r, w, _ in stack), default=0.0)
            break
    return found, max(best, ceiling)
