"""Cutting from stock: against every way there is for small rows, against the former rule, and by its own laws."""

import itertools
import math
from collections import Counter
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.supply import CutRow, cut_rows, cutting_program
from palewright.supply.cutting import room_left
from palewright.supply.cutting_patterns import best_fillings

FT, IN = 0.3048, 0.0254
KERF = IN / 8
YARD = [8 * FT, 10 * FT, 12 * FT, 16 * FT]


def served(made, rows, stocks, kerf):
    """Every bay of every row as often as asked, in parts that run on from bay to bay; no length of stock exceeded."""
    cover = Counter()
    for stick in made.sticks:
        assert stick.parts
        assert any(abs(stick.stock_m - stock) < 1e-12 for stock in stocks)
        cut = math.fsum(part.length_m for part in stick.parts) + kerf * (len(stick.parts) - 1)
        assert cut <= stick.stock_m + 1e-6
        for part in stick.parts:
            cells = rows[part.row].cells_m[part.first : part.last + 1]
            assert part.length_m == pytest.approx(math.fsum(cells), abs=1e-9)
            cover.update((part.row, cell) for cell in range(part.first, part.last + 1))
    assert cover == Counter(
        {(number, cell): row.times for number, row in enumerate(rows) for cell in range(len(row.cells_m)) if row.times}
    )
    assert made.least_m <= made.bought_m + 1e-9


def least_by_every_way(rows, stocks, kerf):
    """The least length of stock by trying every split of the bays into lengths of stock (few bays only)."""
    cells = [
        (number, copy, cell, length)
        for number, row in enumerate(rows)
        for copy in range(row.times)
        for cell, length in enumerate(row.cells_m)
    ]

    def stock_for(mask):
        """The shortest stock that gives these bays, neighbours in a row left together."""
        mine = [cell for k, cell in enumerate(cells) if mask >> k & 1]
        joins = sum((number, copy, cell + 1) in {c[:3] for c in mine} for number, copy, cell, _ in mine)
        need = math.fsum(cell[3] for cell in mine) + kerf * (len(mine) - joins - 1)
        return next((stock for stock in sorted(stocks) if need <= stock + 1e-6), math.inf)

    @cache
    def least(mask):
        if not mask:
            return 0.0
        low = mask & -mask
        rest, best, sub = mask ^ low, math.inf, mask ^ low
        while True:
            stock = stock_for(sub | low)
            if stock < math.inf:
                best = min(best, stock + least(rest ^ sub))
            if not sub:
                return best
            sub = (sub - 1) & rest

    return least((1 << len(cells)) - 1)


ROWS = st.lists(
    st.builds(
        CutRow,
        st.lists(st.integers(16, 96), min_size=1, max_size=4).map(lambda c: tuple(map(float, c))),
        st.integers(1, 2),
    ),
    min_size=1,
    max_size=3,
).filter(lambda rows: sum(row.times * len(row.cells_m) for row in rows) <= 9)


@settings(max_examples=60, deadline=None)
@given(rows=ROWS, stocks=st.lists(st.sampled_from([96.0, 120.0, 144.0, 192.0]), min_size=1, max_size=4, unique=True))
def test_nothing_less_can_be_bought_for_few_bays(rows, stocks):
    made = cut_rows(rows, stocks, 0.125)
    served(made, rows, stocks, 0.125)
    least = least_by_every_way(rows, stocks, 0.125)
    assert made.bought_m == pytest.approx(least)
    assert made.least_m <= least + 1e-9


JOBS = st.lists(
    st.builds(
        lambda bay, count, beyond, rails: CutRow(tuple(bay + (beyond if k in (0, count - 1) else 0.0) for k in range(count)), rails),
        st.integers(45 * 16, 94 * 16).map(lambda n: n * IN / 16),
        st.integers(1, 12),
        st.sampled_from([0.0, 1.75 * IN]),
        st.integers(2, 4),
    ),
    min_size=1,
    max_size=6,
)  # fmt: skip


def former_way(rows, stock):
    """The rule before: each length takes as many whole bays of its row as fit, and what is left over is thrown away."""
    count = 0
    for row in rows:
        left = -1.0
        for cell in row.cells_m:
            if cell > left + 1e-6:
                count, left = count + row.times, stock
            left -= cell
    return count * stock


@settings(max_examples=25, deadline=None)
@given(rows=JOBS)
def test_a_job_is_served_near_its_bound_and_never_dearer_than_by_the_former_way(rows):
    made = cut_rows(rows, YARD, KERF)
    served(made, rows, YARD, KERF)
    assert made.least_m >= math.fsum(row.times * math.fsum(row.cells_m) for row in rows) - 1e-6
    assert made.bought_m <= former_way(rows, YARD[-1]) + 1e-6
    assert made.bought_m - made.least_m <= 0.06 * made.bought_m
    single = cut_rows(rows, YARD[-1:], KERF)
    assert made.bought_m <= single.bought_m + 1e-6 <= former_way(rows, YARD[-1]) + 2e-6


@settings(max_examples=10, deadline=None)
@given(rows=JOBS.map(lambda rows: rows[:3]), kerf=st.sampled_from([0.0, KERF, IN / 2]))
def test_more_rails_or_a_wider_saw_never_cost_less(rows, kerf):
    made = cut_rows(rows, YARD, kerf)
    if made.bought_m > made.least_m + 1e-6:
        return  # only what is proven the least must obey
    more = cut_rows([*rows, CutRow((60 * IN,), 1)], YARD, kerf)
    assert more.bought_m >= made.bought_m - 1e-6
    assert cut_rows(rows, YARD, kerf + IN / 4).bought_m >= made.bought_m - 1e-6


def test_short_bays_share_a_length():
    """Twelve bays of 40 in: four in each length of 16 ft are 160 in; a whole length to each bay was twelve lengths."""
    rows = [CutRow((40 * IN,), 12)]
    made = cut_rows(rows, [16 * FT], KERF)
    served(made, rows, [16 * FT], KERF)
    assert len(made.sticks) == 3
    assert made.bought_m == pytest.approx(made.least_m)


def test_the_saw_cut_counts():
    """Two loose parts of 96 in do not come out of 16 ft, two bays in one part do."""
    assert len(cut_rows([CutRow((96 * IN,), 2)], [16 * FT], KERF).sticks) == 2
    assert len(cut_rows([CutRow((96 * IN, 96 * IN), 1)], [16 * FT], KERF).sticks) == 1
    assert len(cut_rows([CutRow((95.9 * IN,), 2)], [16 * FT], KERF).sticks) == 1
    assert room_left([40.0, 40.0], 96.0, 0.125) == pytest.approx(15.875)


def test_long_rails_go_before_many_joints():
    """Of two ways with the same length bought, the one with fewer lengths, then with fewer parts."""
    made = cut_rows([CutRow((94 * IN,) * 8, 3)], YARD, KERF)
    assert Counter(round(stick.stock_m / FT) for stick in made.sticks) == {16: 12}
    assert all(len(stick.parts) == 1 for stick in made.sticks)


def test_a_joint_may_not_fall_between_rows():
    """Five bays of 96 in three times over: 16 ft gives two of one row, not one of this and one of that (the saw)."""
    rows = [CutRow((96 * IN,) * 5, 3)]
    made = cut_rows(rows, YARD, KERF)
    served(made, rows, YARD, KERF)
    assert Counter(round(stick.stock_m / FT) for stick in made.sticks) == {16: 6, 8: 3}
    assert made.bought_m == pytest.approx(120 * FT) == pytest.approx(made.least_m)


def test_a_mile_of_fence_is_cut_and_proven():
    rows = [CutRow((95.8 * IN,) * 200, 3), CutRow((93.1 * IN,) * 250, 3), CutRow((95.2 * IN,) * 210, 3)]
    made = cut_rows(rows, YARD, KERF)
    served(made, rows, YARD, KERF)
    assert made.bought_m == pytest.approx(made.least_m)


@settings(max_examples=40, deadline=None)
@given(rows=ROWS, stocks=st.lists(st.sampled_from([96.0, 120.0, 144.0, 192.0]), min_size=1, max_size=4, unique=True))
def test_patterns_found_by_their_worth_give_a_bound_too(rows, stocks):
    """As for jobs with too many patterns to write down: served, and the least lies between the bound and what is bought."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cutting_program, "_MOST_PATTERNS", 0)
        made = cut_rows(rows, stocks, 0.125)
    served(made, rows, stocks, 0.125)
    assert made.least_m - 1e-9 <= least_by_every_way(rows, stocks, 0.125) <= made.bought_m + 1e-9


def test_a_search_for_fillings_that_is_cut_short_keeps_its_promise():
    """The worth that no filling exceeds, against every filling of up to three parts of a stock that holds no more."""
    lengths = [30.0 + 0.9 * k for k in range(18)]
    values = [length**1.1 - k % 3 for k, length in enumerate(lengths)]
    best = max(
        sum(values[k] for k in cut)
        for count in (1, 2, 3)
        for cut in itertools.combinations_with_replacement(range(18), count)
        if sum(lengths[k] + 0.125 for k in cut) <= 120.125
    )
    for nodes in (5_000, 40, 3, 1):
        found, ceiling = best_fillings(values, lengths, 120.0, 0.125, 0.0, nodes)
        assert ceiling >= best - 1e-6
        assert all(sum(lengths[k] + 0.125 for k in cut) <= 120.125 + 1e-6 for cut in found)
        if nodes == 5_000:
            assert ceiling == pytest.approx(best)


def test_many_bays_all_of_another_length():
    """Bays of a foot and a half, all different, in four runs: near the bound, and never dearer than before."""
    rows = [CutRow(tuple((14 + 0.37 * k * (r + 1) % 17) * IN for k in range(12)), 2) for r in range(4)]
    made = cut_rows(rows, YARD, KERF)
    served(made, rows, YARD, KERF)
    assert made.bought_m <= former_way(rows, YARD[-1]) + 1e-6
    assert made.bought_m - made.least_m <= 2 * FT + 1e-6


def test_stocks_that_share_no_step():
    """Lengths typed to a sixteenth beside whole feet: the bound is what it is, and nothing hangs."""
    rows = [CutRow((90 * IN,) * 5, 3), CutRow((41.3 * IN,) * 4, 2)]
    stocks = [10 * FT + 3.4375 * IN, 16 * FT]
    made = cut_rows(rows, stocks, KERF)
    served(made, rows, stocks, KERF)
    needed = 3 * 5 * 90 * IN + 2 * 4 * 41.3 * IN
    assert needed <= made.least_m <= made.bought_m + 1e-9


def test_nothing_to_cut():
    assert cut_rows([], YARD, KERF).sticks == ()
    assert cut_rows([CutRow((), 3), CutRow((1.0,), 0)], YARD, KERF).sticks == ()


@pytest.mark.parametrize(
    ("rows", "stocks", "kerf"),
    [
        ([CutRow((100.0,))], [96.0], 0.0),
        ([CutRow((10.0,))], [], 0.0),
        ([CutRow((10.0,))], [0.0], 0.0),
        ([CutRow((0.0,))], [96.0], 0.0),
        ([CutRow((10.0,))], [96.0], -1.0),
        ([CutRow((10.0,))], [96.0], 96.0),
    ],
)
def test_unusable_numbers_are_refused(rows, stocks, kerf):
    with pytest.raises(ValueError):
        cut_rows(rows, stocks, kerf)
