"""Bays against enumeration: every way to choose a stretch for every post, each judged by the pairwise formula.

For fixed stretches [a(i), b(i)] of the posts the smallest longest bay is max (a(k) - b(j)) / (k - j) over j < k, the
greatest shortest bay min (b(k) - a(j)) / (k - j), and one layout has both (docs/layout-method.md). Nothing is searched
or pruned here, so nothing can be missed. The three ways that the layout room itself has to find the answer (choosing
sides, sweeping, whole bays) are compared with it and with each other.
"""

from __future__ import annotations

import itertools
import random

import pytest
from bench.milp import pieces

from palewright.layout.bays import BayRules, Block, NoDivision, divide
from palewright.layout.bays_ground import lay_ground
from palewright.layout.bays_search import most_even, sweep, thread
from palewright.layout.bays_taut import pull_taut

_PAIR = 1e-9


def pairwise(doors: list[tuple[float, float]]) -> tuple[float, float]:
    """(least, most) bay over all layouts through the doors, by the pairwise formula."""
    most = max((doors[k][0] - doors[j][1]) / (k - j) for j, k in itertools.combinations(range(len(doors)), 2))
    least = min((doors[k][1] - doors[j][0]) / (k - j) for j, k in itertools.combinations(range(len(doors)), 2))
    return least, most


def enumerate_all(
    length: float, least: float, longest: float, blocks: list[Block]
) -> tuple[int, int, int, float] | None:
    ground = pieces(length, [(b.start_m, b.end_m, b.kind) for b in blocks])
    for n in range(1, int(length / least) + 2):
        best: tuple[int, int, float] | None = None
        for choice in itertools.combinations_with_replacement(ground, n - 1):
            doors = [(0.0, 0.0), *((a, b) for a, b, _, _ in choice), (length, length)]
            low, high = pairwise(doors)
            if high > longest + _PAIR or low < least - _PAIR:
                continue
            entry = (sum(c[2] for c in choice), sum(c[3] for c in choice), high - low)
            best = min(best, entry) if best else entry
        if best:
            return (n, *best)
    return None


def some_blocks(random_: random.Random, length: float, mixed: bool) -> list[Block]:
    result = []
    for k in range(random_.randint(1, 3)):
        start = random_.uniform(-1.0, length)
        kind = random_.choice(("no hole", "hand dig", "paint")) if mixed else "no hole"
        result.append(Block(start, start + random_.choice((0.2, 0.9, 1.9)), kind, f"z{k}"))
    return result


@pytest.mark.parametrize("mixed", [False, True])
def test_same_as_trying_everything(mixed: bool) -> None:
    random_ = random.Random(4 + mixed)
    divided = 0
    for _ in range(150):
        length, longest = random_.uniform(2.1, 11.0), random_.choice((2.0, 2.4))
        rules = BayRules(longest)
        blocks = some_blocks(random_, length, mixed)
        wanted = enumerate_all(length, rules.least_m, longest, blocks)
        try:
            found = divide(length, rules, blocks)
        except NoDivision:
            assert wanted is None
            continue
        assert wanted is not None
        assert (found.bays, found.hand_dig, found.paint) == wanted[:3]
        assert found.spread_m == pytest.approx(wanted[3], abs=1e-8)  # sums of floats, and 1e-9 m per bay
        divided += 1
    assert divided > 100


def test_the_taut_string_has_both_extremes() -> None:
    random_ = random.Random(8)
    for _ in range(300):
        bays = random_.randint(2, 12)
        length = 2.4 * bays
        doors = []
        for k in sorted(random_.sample(range(1, bays), random_.randint(0, bays - 1))):
            middle = 2.4 * k + random_.uniform(-1.0, 1.0)
            half = random_.uniform(0.0, 0.8)
            doors.append((k, middle - half, middle + half))
        known = {k: (a, b) for k, a, b in doors}
        wide = [(0.0, 0.0), *(known.get(k, (-1e6, 1e6)) for k in range(1, bays)), (length, length)]
        string = pull_taut(doors, bays, length)
        least, most = pairwise(wide)
        assert string.least == pytest.approx(least, abs=1e-12)
        assert string.most == pytest.approx(most, abs=1e-12)
        stations = [0.0, *string.stations(), length]
        assert len(stations) == bays + 1
        assert all(a - 1e-12 <= stations[k] <= b + 1e-12 for k, a, b in doors)
        steps = [b - a for a, b in itertools.pairwise(stations)]
        assert (min(steps), max(steps)) == pytest.approx((least, most), abs=1e-12)


@pytest.mark.parametrize("mixed", [False, True])
def test_sweeping_and_choosing_sides_agree(mixed: bool) -> None:
    random_ = random.Random(15 + mixed)
    compared = 0
    for _ in range(250):
        bays = random_.randint(5, 45)
        length = (bays - random_.random()) * 2.4
        ground = lay_ground(length, [b for _ in range(2) for b in some_blocks(random_, length, mixed)])
        pulled, cost, _ = most_even(ground, bays, 0.8, 2.4)
        budget = (1 << 60) - 1 if mixed else 0
        found = thread(ground, bays, 0.8 - 1e-9, 2.4 + 1e-9, budget)
        assert (found is None) == (pulled is None)
        if found is None or pulled is None:
            continue
        assert found[0] == cost
        swept = sweep(ground, bays, 0.8, 2.4, found[0], pull_taut(found[1], bays, length))
        assert swept.spread == pytest.approx(pulled.spread, abs=4e-9)
        compared += 1
    assert compared > 100


def test_a_kilometre_with_many_zones_keeps_every_rule() -> None:
    random_ = random.Random(2)
    for _ in range(4):
        blocks = []
        for k in range(100):
            middle, half = random_.random() * 1000.0, random_.uniform(0.15, 0.45)
            blocks.append(Block(middle - half, middle + half, "no hole", f"z{k}"))
        found = divide(1000.0, BayRules(2.4384), blocks)
        marks = [0.0, *found.posts_m, 1000.0]
        steps = [b - a for a, b in itertools.pairwise(marks)]
        assert max(steps) <= 2.4384 + 2e-9
        assert max(steps) - min(steps) == pytest.approx(found.spread_m, abs=1e-9)
        assert not any(b.start_m + 2e-9 < x < b.end_m - 2e-9 for x in found.posts_m for b in blocks)
        # one bay fewer cannot be; and windows that together hold every string with 0.94 of the spread are empty
        ground = lay_ground(1000.0, blocks)
        assert thread(ground, found.bays - 1, 2.4384 / 3, 2.4384 + 1e-9, 0) is None
        mean, gain = 1000.0 / found.bays, found.spread_m - 1e-6
        for k in range(41):
            top = mean + gain * k / 40
            assert thread(ground, found.bays, top - gain * 0.97, min(top, 2.4384), 0) is None
