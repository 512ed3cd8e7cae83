"""The integer program of cutting: parts over spans of bays, and patterns in which lengths of stock are cut.

For every profile (a row of bays that is needed so many times) whole numbers of parts run over spans of bays like a flow
from one end to the other; for every pattern a whole number of lengths of stock is cut to it; and no sort of part, by
its length, is used more often than the patterns give it. Whole flows split into single rows: nothing is lost by them.

Without the whole numbers the program is a linear one, whose answer no cutting can beat. Rounded up to what whole
lengths of stock can add up to it is the bound. A pattern whose reduced cost is more than the distance from there to a
bound cannot be part of a cutting that keeps it, so that the search by patterns near the bound is exact. Where there are
too many patterns, those worth having are found by the prices of the linear program, one after the other; the prices
scaled down until no pattern is worth more than it costs still give a bound. Sources: cutting stock by patterns, Gilmore
and Gomory 1961; the scaled bound, Farley 1990 (both from memory). Solved by HiGHS through scipy.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate
from typing import Any

import numpy as np

from palewright.record import Record
from palewright.supply.cutting_patterns import (
    SLACK_M,
    Pattern,
    Profile,
    Span,
    best_fillings,
    every_pattern,
    first_patterns,
    sorts_of,
    spans_of,
)

__all__ = ["Program", "cut_by_program"]

_MOST_PATTERNS = 4_000
_MOST_SPANS = 5_000
_ROUNDS = 100
_FEW, _MANY = 400, 1_500
_NODES, _FEW_NODES = 200, 10
_SEARCH = (500, 20_000)
_NEAR = 1e-5
_IMPOSSIBLE = 2

_Row = tuple[Any, Any, Any]


class Program(Record):
    """An answer: how often each span is used; the sort of part of each span; the sorts cut from each length of stock.

    least_m
        a lower bound of the length bought [m].
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
    spans = spans_of(profiles, stocks[-1])
    if len(spans) > _MOST_SPANS:
        return None
    lengths = sorts_of(spans)
    sorts = {span: bisect_left(lengths, length - SLACK_M) for span, length in spans.items()}
    linear = _linear(profiles, sorts, lengths, stocks, kerf, step)
    answer = None if linear is None else _whole(linear)
    if linear is None or answer is None:
        return None
    counts = [int(count) for count in answer[0]]
    cut = [pattern for pattern, count in zip(linear.patterns, counts, strict=False) for _ in range(count)]
    uses = dict(zip(spans, counts[len(linear.patterns) :], strict=True))
    return Program(uses, sorts, tuple(cut), answer[1] * step)


class _Linear(Record):
    """The program solved without whole numbers: its rows and wishes, its answer, its bound in steps of stock.

    dear
        by how much each column costs more than the parts in it are worth. all: no pattern was left out.
    """

    patterns: list[Pattern]
    rows: list[_Row]
    wishes: Any
    answer: Any
    dear: Any
    bound: float
    all: bool


def _linear(
    profiles: Sequence[Profile],
    sorts: dict[Span, int],
    lengths: Sequence[float],
    stocks: Sequence[float],
    kerf: float,
    step: float,
) -> _Linear | None:
    from scipy.optimize import linprog

    every = every_pattern(lengths, stocks, kerf, _MOST_PATTERNS)
    patterns = every or first_patterns(lengths, stocks, kerf)
    bound = 0.0
    for _ in range(_ROUNDS):
        rows, wishes = _rows(profiles, sorts, patterns)
        wishes[0] = np.round(wishes[0] / step)
        (given, nothing, _), (flow, begin, _) = rows
        found: Any = linprog(wishes[0], A_ub=-given, b_ub=nothing, A_eq=flow, b_eq=begin)
        if found.x is None:
            return None
        dear = np.array(found.lower.marginals)
        dear[len(patterns) :] = 0.0
        if every is not None:
            return _Linear(patterns, rows, wishes, found.x, dear, float(found.fun), True)
        known = set(patterns)
        more: list[Pattern] = []
        for nodes in _SEARCH:
            if not more:
                priced, over = _more(-found.ineqlin.marginals, lengths, stocks, kerf, step, nodes)
                bound = max(bound, float(found.fun / over))
                more = [pattern for pattern in priced if pattern not in known]
        if not more or math.ceil(bound - _NEAR) >= math.ceil(found.fun - _NEAR):
            break
        patterns = patterns + more
    return _Linear(patterns[: len(dear) - len(sorts)], rows, wishes, found.x, dear, bound, False)


def _more(
    values: Any, lengths: Sequence[float], stocks: Sequence[float], kerf: float, step: float, nodes: int
) -> tuple[list[Pattern], float]:
    """Patterns worth more than they cost by the values of the sorts, and how many times more at most, at least 1."""
    more: list[Pattern] = []
    over = 1.0
    for stock in stocks:
        cost = round(stock / step)
        found, worth = best_fillings(values, lengths, stock, kerf, cost, nodes)
        more += [(stock, cut) for cut in found]
        over = max(over, worth / cost)
    return more, over


def _rows(profiles: Sequence[Profile], spans: dict[Span, int], patterns: Sequence[Pattern]) -> tuple[list[_Row], Any]:
    """Rows over all columns, patterns first, then spans; and the three wishes, the first by the length of stock [m].

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


def _whole(linear: _Linear) -> tuple[Any, int] | None:
    """How often each column is used in whole numbers, and the least that any answer comes to by the first wish."""
    wishes, rows, many = linear.wishes, linear.rows, len(linear.patterns)
    least = math.ceil(linear.bound - _NEAR)
    spans = np.arange(many, wishes.shape[1])
    order = np.argsort(linear.dear[:many], kind="stable")
    few = order[:_FEW] if linear.all else order
    keep = np.unique(np.concatenate([few, np.flatnonzero(linear.answer[:many]), spans]))
    best, _ = _ask(wishes[0], keep, [*rows, (wishes[:1], least, np.inf)])
    while linear.all and (best is None or wishes[0] @ best > least):
        near = np.flatnonzero(linear.dear <= least - linear.bound + _NEAR)
        if len(near) > _MANY:
            break
        better, impossible = _ask(wishes[0], near, [*rows, (wishes[:1], least, least)])
        if better is not None:
            best = better
        elif impossible:
            least += 1
        else:
            break
    if best is None:
        return None
    keep = np.unique(np.concatenate([order[:_FEW], np.flatnonzero(best[:many]), spans]))
    for before, wish in ((0, 1), (1, 2)):
        rows = [*rows, (wishes[before : before + 1], -np.inf, wishes[before] @ best)]
        better, _ = _ask(wishes[wish], keep, rows, _FEW_NODES)
        best = best if better is None else better
    return best, least


def _ask(wish: Any, keep: Any, rows: Sequence[_Row], nodes: int = _NODES) -> tuple[Any, bool]:
    """The columns that are kept in whole numbers, least by the wish; or None, and whether that is impossible."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    found: Any = milp(
        wish[keep],
        integrality=np.ones(len(keep)),
        bounds=Bounds(0, np.inf),
        constraints=[LinearConstraint(matrix[:, keep], low, high) for matrix, low, high in rows],
        options={"mip_rel_gap": 0.0, "node_limit": nodes},
    )
    if found.x is None:
        return None, found.status == _IMPOSSIBLE
    whole = np.zeros(len(wish))
    whole[keep] = np.round(found.x)
    return whole, False
