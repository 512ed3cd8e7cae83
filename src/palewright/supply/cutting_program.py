"""The integer program of cutting: parts over spans of bays, and patterns in which lengths of stock are cut.

For every profile (a row of bays that is needed so many times) whole numbers of parts run over spans of bays like a flow
from one end to the other; for every pattern a whole number of lengths of stock is cut to it; and no sort of part, by
its length, is used more often than the patterns give it. Whole flows split into single rows: nothing is lost by them.

Exact: without the whole numbers the program is a linear one, whose answer no cutting can beat. Rounded up to what whole
lengths of stock can add up to it is the bound; and a pattern whose reduced cost is more than the distance from there to
a bound cannot be part of a cutting that keeps it, so that it may be left out. Source: cutting stock by patterns,
Gilmore and Gomory 1961, and fixing by reduced cost (both from memory); solved by HiGHS through scipy.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Any

import numpy as np

__all__ = ["SLACK_M", "Program", "Span", "cut_by_program"]

SLACK_M = 1e-6
"""Lengths this near are the same [m]: a micrometre, far below a saw."""

_COARSER_M = (SLACK_M, 0.0127, 0.0508)
_MOST_PATTERNS = 20_000
_MOST_SPANS = 5_000
_FEW, _MANY = 400, 4_000
_NODES = 200
_NEAR = 1e-6
_IMPOSSIBLE = 2

Profile = tuple[tuple[float, ...], int]
Pattern = tuple[float, tuple[int, ...]]
_Row = tuple[Any, Any, Any]
Span = tuple[int, int, int]
"""Profile, first bay, last bay."""


@dataclass(frozen=True, slots=True)
class Program:
    """An answer: how often each span is used; the sort of part of each span; the sorts cut from each length of stock.

    least_m
        a lower bound of the length bought [m]; 0 where sorts of part were thrown together and nothing is known.
    """

    uses: dict[Span, int]
    sorts: dict[Span, int]
    patterns: tuple[Pattern, ...]
    least_m: float


def cut_by_program(profiles: Sequence[Profile], stocks: Sequence[float], kerf: float, step: float) -> Program | None:
    """The least length of stock, then the fewest lengths, then the fewest parts; None where the program is too large.

    profiles
        bays in order [m], and how many rows are needed. stocks: lengths on offer, rising [m]. kerf: saw cut [m].
    step
        the least by which two sums of stocks differ [m].
    """
    spans = _spans(profiles, stocks[-1])
    for near in _COARSER_M if len(spans) <= _MOST_SPANS else ():
        lengths = _sorts(spans, near)
        patterns = _patterns(lengths, stocks, kerf)
        if patterns is None:
            continue
        sorts = {span: bisect_left(lengths, length - SLACK_M) for span, length in spans.items()}
        rows, wishes = _rows(profiles, sorts, patterns)
        wishes[0] = np.round(wishes[0] / step)
        answer = _solve(rows, wishes, len(patterns))
        if answer is None:
            return None
        counts = [int(count) for count in answer[0]]
        cut = [pattern for pattern, count in zip(patterns, counts, strict=False) for _ in range(count)]
        uses = dict(zip(spans, counts[len(patterns) :], strict=True))
        return Program(uses, sorts, tuple(cut), answer[1] * step if near == SLACK_M else 0.0)
    return None


def _spans(profiles: Sequence[Profile], longest: float) -> dict[Span, float]:
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


def _sorts(spans: dict[Span, float], near: float) -> list[float]:
    """Lengths of the sorts of part, rising: the longest of those that are near each other."""
    lengths: list[float] = []
    for length in sorted(spans.values(), reverse=True):
        if not lengths or length < lengths[-1] - near:
            lengths.append(length)
    return lengths[::-1]


def _patterns(lengths: Sequence[float], stocks: Sequence[float], kerf: float) -> list[Pattern] | None:
    """Every full way of cutting each stock: no further part fits. None where there are too many."""
    found: dict[tuple[int, ...], float] = {}
    for stock in stocks:
        for cut in _fillings(lengths, stock + SLACK_M, kerf, len(lengths) - 1):
            found.setdefault(cut, stock)
            if len(found) > _MOST_PATTERNS:
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


def _rows(profiles: Sequence[Profile], spans: dict[Span, int], patterns: Sequence[Pattern]) -> tuple[list[_Row], Any]:
    """Rows over all columns, patterns first, then spans; and the three wishes, the first without its step [m].

    No sort is used more often than it is given; at every bay as many parts begin as end, at the first bay all rows.
    """
    from scipy.sparse import csr_array

    many = len(patterns)
    given = [(sort, column, 1.0) for column, (_, cut) in enumerate(patterns) for sort in cut]
    given += [(sort, many + column, -1.0) for column, sort in enumerate(spans.values())]
    offsets = list(accumulate((len(cells) for cells, _ in profiles), initial=0))
    flow = []
    for column, (place, first, last) in enumerate(spans, many):
        flow.append((offsets[place] + first, column, 1.0))
        if last + 1 < len(profiles[place][0]):
            flow.append((offsets[place] + last + 1, column, -1.0))
    begin = np.zeros(offsets[-1])
    begin[offsets[:-1]] = [times for _, times in profiles]
    size = many + len(spans)
    wishes = np.zeros((3, size))
    wishes[0, :many] = [stock for stock, _ in patterns]
    wishes[1, :many] = wishes[2, many:] = 1.0
    matrices = []
    for entries, height in ((given, max(spans.values()) + 1), (flow, offsets[-1])):
        rows, columns, values = zip(*entries, strict=True)
        matrices.append(csr_array((values, (rows, columns)), shape=(height, size)))
    return [(matrices[0], np.zeros(matrices[0].shape[0]), np.inf), (matrices[1], begin, begin)], wishes


def _solve(rows: list[_Row], wishes: Any, many: int) -> tuple[Any, int] | None:
    """How often each column is used, and the least that any answer comes to by the first wish (whole numbers)."""
    from scipy.optimize import linprog

    (given, nothing, _), (flow, begin, _) = rows
    relaxed: Any = linprog(wishes[0], A_ub=-given, b_ub=nothing, A_eq=flow, b_eq=begin)
    if relaxed.x is None:
        return None
    dear = np.array(relaxed.lower.marginals)
    dear[many:] = 0.0
    least = math.ceil(relaxed.fun - _NEAR)
    keep = np.flatnonzero(dear <= max(_NEAR, np.sort(dear[:many])[:_FEW][-1]))
    best, _ = _ask(wishes[0], keep, [*rows, (wishes[:1], least, np.inf)])
    while best is None or wishes[0] @ best > least:
        near = np.flatnonzero(dear <= least - relaxed.fun + _NEAR)
        if len(near) > _MANY:
            break
        better, impossible = _ask(wishes[0], near, [*rows, (wishes[:1], least, least)])
        if better is not None:
            best, keep = better, near
        elif impossible:
            least += 1
        else:
            break
    if best is None:
        return None
    for before, wish in ((0, 1), (1, 2)):
        rows = [*rows, (wishes[before : before + 1], -np.inf, wishes[before] @ best)]
        better, _ = _ask(wishes[wish], keep, rows)
        best = best if better is None else better
    return best, least


def _ask(wish: Any, keep: Any, rows: Sequence[_Row]) -> tuple[Any, bool]:
    """The columns that are kept in whole numbers, least by the wish; None and whether that is impossible."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    found: Any = milp(
        wish[keep],
        integrality=np.ones(len(keep)),
        bounds=Bounds(0, np.inf),
        constraints=[LinearConstraint(matrix[:, keep], low, high) for matrix, low, high in rows],
        options={"mip_rel_gap": 0.0, "node_limit": _NODES},
    )
    if found.x is None:
        return None, found.status == _IMPOSSIBLE
    whole = np.zeros(len(wish))
    whole[keep] = np.round(found.x)
    return whole, False
