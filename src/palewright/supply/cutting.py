"""Cutting rails and boards from the lengths on offer: rows of bays whose joints fall on post centres.

A row is a line of bays in order; a part covers one bay or several that follow each other, so that its ends fall on post
centres. Wanted: the least total length bought, then the fewest lengths of stock, then the fewest parts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.record import Record
from palewright.supply.cutting_patterns import SLACK_M

if TYPE_CHECKING:
    from palewright.supply.cutting_program import Program

__all__ = ["CutRow", "Cutting", "Part", "Stick", "cut_rows", "room_left"]

_MOST_STEPS = 200


class CutRow(Record):
    """Bays in order, each as long as the part over it has to be [m]; the row is needed ``times`` over."""

    cells_m: tuple[float, ...]
    times: int = 1


class Part(Record):
    """A part to cut: of row number ``row`` it covers the bays ``first`` to ``last``, counted from 0."""

    row: int
    first: int
    last: int
    length_m: float


class Stick(Record):
    """One length of stock [m] and the parts cut from it."""

    stock_m: float
    parts: tuple[Part, ...]


class Cutting(Record):
    """What to buy and how to cut it. No way of cutting buys less than ``least_m`` in all [m]."""

    sticks: tuple[Stick, ...]
    least_m: float

    @property
    def bought_m(self) -> float:
        """Total length bought [m]."""
        return math.fsum(stick.stock_m for stick in self.sticks)


def room_left(lengths_m: Sequence[float], stock_m: float, kerf_m: float) -> float:
    """What is left of a length of stock: a saw cut between each two parts, and none needed after the last.

    lengths_m
        of the parts [m]. stock_m: of the stock [m]. kerf_m: width of a saw cut [m], >= 0.
    Returns the rest [m]; negative where the parts cannot be cut from it. Source: geometry.

    >>> room_left([96, 95.875], 192, 0.125), room_left([96, 96], 192, 0.125)
    (0.0, -0.125)
    """
    return stock_m - math.fsum(lengths_m) - kerf_m * max(0, len(lengths_m) - 1)


def cut_rows(rows: Sequence[CutRow], stocks_m: Sequence[float], kerf_m: float, search: bool = True) -> Cutting:
    """The least length of stock for rows of bays, and what is cut from each length.

    rows
        what to cover; no bay longer than the longest stock. stocks_m: lengths on offer [m], > 0.
    kerf_m
        width of a saw cut [m], 0 to under the shortest stock.
    search
        False: the rule of the trade alone, without the integer program.
    Returns the cutting with a lower bound of the length bought: where the two are the same it is proven the least.
    Raises ValueError outside the ranges.
    Source: the integer program of :mod:`palewright.supply.cutting_program`; where it is too large, or no better, the
    rule of the trade: as many whole bays as fit, then the longest part first into the first length with room.

    >>> made = cut_rows([CutRow((48.0, 48.0, 40.0), 2)], [96.0, 144.0], 0.125)
    >>> [stick.stock_m for stick in made.sticks], made.least_m
    ([144.0, 144.0], 288.0)
    """
    stocks = sorted(set(stocks_m))
    cells = [cell for row in rows for cell in row.cells_m]
    if not stocks or stocks[0] <= 0 or not 0 <= kerf_m < stocks[0] or min(cells, default=1.0) <= 0:
        raise ValueError("stock and bays must be longer than 0, the saw cut from 0 to under the stock")
    if max(cells, default=0.0) > stocks[-1] + SLACK_M:
        raise ValueError(f"a bay of {max(cells)} is longer than the stock of {stocks[-1]}")
    wanted = math.fsum(row.times * math.fsum(row.cells_m) for row in rows)
    step = _step(stocks)
    least = _whole(wanted, stocks, step)
    longest = [stock for stock in stocks if stock >= max(cells, default=0.0) - SLACK_M]
    best = min((_by_rule(rows, stocks, stock, kerf_m) for stock in longest), key=_worth)
    if search and (len(best) > 1 or _worth(best)[0] > least + SLACK_M):
        from palewright.supply.cutting_program import cut_by_program

        profiles, slots = _profiles(rows)
        program = cut_by_program(profiles, stocks, kerf_m, step)
        if program is not None:
            best = min(best, _served(program, rows, slots) or best, key=_worth)
            least = max(least, _whole(program.least_m, stocks, step))
    return Cutting(best, min(least, _worth(best)[0]))


def _worth(sticks: Sequence[Stick]) -> tuple[float, int, int]:
    """What is wanted least: length bought [m], lengths of stock, parts."""
    bought = math.fsum(stick.stock_m for stick in sticks)
    return (round(bought, 6), len(sticks), sum(len(stick.parts) for stick in sticks))


def _step(stocks: Sequence[float]) -> float:
    """The least by which two sums of stocks differ [m], to a tenth of a millimetre."""
    return stocks[0] if len(stocks) == 1 else math.gcd(*(round(stock * 1e4) for stock in stocks)) * 1e-4


def _whole(length_m: float, stocks: Sequence[float], step: float) -> float:
    """A lower bound of the length bought, raised to the next that whole lengths of stock add up to."""
    sizes = [round(stock / step) for stock in stocks]
    steps = math.ceil(length_m / step - 1e-6)
    sums = [True]
    most = sizes[-1] ** 2 if sizes[-1] <= _MOST_STEPS else 0  # from there on there is a sum at every step
    for total in range(1, most):
        sums.append(any(size <= total and sums[total - size] for size in sizes))
        if total >= steps and sums[total]:
            return total * step if steps else 0.0
    return steps * step


def _by_rule(rows: Sequence[CutRow], stocks: Sequence[float], longest: float, kerf: float) -> tuple[Stick, ...]:
    """As many whole bays as fit into one length; longest part first, each from the first length that has room."""
    parts: list[Part] = []
    for number, row in enumerate(rows):
        first = 0
        for last, cell in enumerate(row.cells_m):
            length = math.fsum(row.cells_m[first : last + 1])
            if length > longest + SLACK_M:
                parts += [_part(number, row, first, last - 1)] * row.times
                first, length = last, cell
            if last == len(row.cells_m) - 1:
                parts += [_part(number, row, first, last)] * row.times
    held: list[list[Part]] = []
    rooms: list[tuple[int, float]] = []
    shortest = min((part.length_m for part in parts), default=0.0)
    for part in sorted(parts, key=lambda part: -part.length_m):
        place = next((k for k, (_, room) in enumerate(rooms) if room >= part.length_m - SLACK_M), len(rooms))
        number, room = rooms.pop(place) if place < len(rooms) else (len(held), longest)
        if number == len(held):
            held.append([])
        held[number].append(part)
        room -= part.length_m + kerf
        if room >= shortest - SLACK_M:
            rooms.insert(place, (number, room))
    return tuple(_shortest(sort, stocks, kerf) for sort in held)


def _part(number: int, row: CutRow, first: int, last: int) -> Part:
    return Part(number, first, last, math.fsum(row.cells_m[first : last + 1]))


def _shortest(parts: Sequence[Part], stocks: Sequence[float], kerf: float) -> Stick:
    lengths = [part.length_m for part in parts]
    return Stick(next(stock for stock in stocks if room_left(lengths, stock, kerf) >= -SLACK_M), tuple(parts))


_Slots = list[list[tuple[int, bool]]]


def _profiles(rows: Sequence[CutRow]) -> tuple[list[tuple[tuple[float, ...], int]], _Slots]:
    """Rows alike from either end made one, with how often it is needed; which row, turned or not, each is for."""
    known: dict[tuple[int, ...], int] = {}
    cells: list[tuple[float, ...]] = []
    slots: _Slots = []
    for number, row in enumerate(rows):
        key = tuple(round(cell / SLACK_M) for cell in row.cells_m)
        turned = key[::-1] < key
        if not key or not row.times:
            continue
        place = known.setdefault(min(key, key[::-1]), len(cells))
        if place == len(cells):
            cells.append(row.cells_m[::-1] if turned else row.cells_m)
            slots.append([])
        slots[place] += [(number, turned)] * row.times
    return [(profile, len(slot)) for profile, slot in zip(cells, slots, strict=True)], slots


def _served(program: Program, rows: Sequence[CutRow], slots: _Slots) -> tuple[Stick, ...] | None:
    """The program's answer on the rows themselves; None where it does not serve every bay (a solver rounds)."""
    uses = dict(program.uses)
    pools: dict[int, list[Part]] = {}
    for place, slot in enumerate(slots):
        for number, turned in slot:
            row, at = rows[number], 0
            while at < len(row.cells_m):
                found = [span for span in uses if span[0] == place and span[1] == at and uses[span]]
                if not found:
                    return None
                span = max(found)
                uses[span] -= 1
                ends = (at, span[2]) if not turned else (len(row.cells_m) - 1 - span[2], len(row.cells_m) - 1 - at)
                pools.setdefault(program.sorts[span], []).append(_part(number, row, *ends))
                at = span[2] + 1
    for pool in pools.values():
        pool.sort(key=lambda part: (part.row, part.first), reverse=True)
    sticks = []
    for stock, sorts in program.patterns:
        parts = tuple(pools[sort].pop() for sort in sorts if pools.get(sort))
        if parts:
            sticks.append(Stick(stock, parts))
    return None if any(pools.values()) else tuple(sticks)
