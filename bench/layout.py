"""Bays with zones: ``palewright.layout.bays.divide`` against HiGHS, same runs, same answers, in one process.

Runs of 10 to 40 bays with 0 to 8 zones at random places; a zone is as wide as 0.3 to 0.9 m each side of its middle (24
in each side of a pipe and half a hole make 0.76 m) and, where zones are mixed, is no-hole or hand-dig ground, evenly
often, with a paint margin of 3 in round it. Every answer is compared; a difference ends the benchmark.

Each side is asked several times and its median counts, and for each run the two take turns: a machine that is slower
for a while is slower for both. Two ratios are printed. "whole question": blocks in, answer out, on both sides; for
HiGHS that is writing the model as arrays and solving it. "solver only": the seconds inside HiGHS alone, its model for
nothing. Ours is always the whole.
"""

from __future__ import annotations

import random
import statistics
import time
from dataclasses import dataclass, field

from bench.milp import Answer, solve

from palewright.layout.bays import BayRules, Block, Division, NoDivision, divide

LONGEST_M = 2.4384
PAINT_M = 0.0762
RUNS = 240


@dataclass(frozen=True)
class Case:
    """One run and its blocks."""

    length_m: float
    blocks: tuple[Block, ...]

    @property
    def zones(self) -> list[tuple[float, float, str]]:
        return [(b.start_m, b.end_m, b.kind) for b in self.blocks]


def case(random_: random.Random, bays: int, zones: int, mixed: bool) -> Case:
    """A run of so many bays, the last one not whole, with zones at random."""
    length = (bays - random_.random()) * LONGEST_M
    blocks = []
    for k in range(zones):
        middle, half = random_.random() * length, random_.uniform(0.3, 0.9)
        kind = random_.choice(("no hole", "hand dig")) if mixed else "no hole"
        blocks.append(Block(middle - half, middle + half, kind, f"zone {k + 1}"))
        if mixed:
            blocks.append(Block(middle - half - PAINT_M, middle + half + PAINT_M, "paint", f"zone {k + 1}"))
    return Case(length, tuple(blocks))


def long_case(random_: random.Random, zones: int = 100, length_m: float = 1000.0) -> Case:
    """A kilometre with zones that leave it passable: 0.15 to 0.45 m each side of their middles."""
    blocks = []
    for k in range(zones):
        middle, half = random_.random() * length_m, random_.uniform(0.15, 0.45)
        blocks.append(Block(middle - half, middle + half, "no hole", f"zone {k + 1}"))
    return Case(length_m, tuple(blocks))


def same(ours: Division, theirs: Answer) -> bool:
    """Whether both found the same optimum; HiGHS keeps its rows to 1e-6, and so the spread."""
    return (ours.bays, ours.hand_dig, ours.paint) == (theirs.bays, theirs.hand, theirs.paint) and abs(
        ours.spread_m - theirs.spread_m
    ) <= 2e-6


@dataclass
class Timed:
    """Seconds of each call: ours, HiGHS with its model written, and inside HiGHS."""

    ours: list[float] = field(default_factory=list)
    whole: list[float] = field(default_factory=list)
    inside: list[float] = field(default_factory=list)

    def medians(self) -> tuple[float, float, float]:
        """The median of each [s]."""
        return statistics.median(self.ours), statistics.median(self.whole), statistics.median(self.inside)


def asked(item: Case, rules: BayRules, times: list[float], repeats: int) -> Division | None:
    """Our answer; the seconds of so many calls are added to ``times``."""
    answer = None
    for _ in range(repeats):
        start = time.perf_counter()
        try:
            answer = divide(item.length_m, rules, item.blocks)
        except NoDivision:
            return None
        times.append(time.perf_counter() - start)
    return answer


def in_turn(item: Case, rules: BayRules) -> Timed | None:
    """Three rounds of three calls of HiGHS and 31 of ours, or None where nothing fits; a difference ends it all."""
    timed = Timed()
    if asked(item, rules, [], 1) is None:
        return None
    for _ in range(3):
        for _ in range(3):
            start = time.perf_counter()
            theirs = solve(item.length_m, rules.least_m, LONGEST_M, item.zones)
            timed.whole.append(time.perf_counter() - start)
            timed.inside.append(theirs.seconds if theirs else 0.0)
        answer = asked(item, rules, timed.ours, 31)
        if answer is None or theirs is None or not same(answer, theirs):
            raise SystemExit(f"HiGHS differs: {answer} against {theirs} for {item}")
    return timed


def compare(mixed: bool) -> float:
    """Print medians and ratios for one kind of run; returns the median seconds of ours."""
    random_ = random.Random(2026)
    rules = BayRules(LONGEST_M)
    found: list[tuple[float, float, float]] = []
    while len(found) < RUNS:
        timed = in_turn(case(random_, random_.randint(10, 40), random_.randint(0, 8), mixed), rules)
        if timed is not None:
            found.append(timed.medians())
    mine, whole, inside = zip(*found, strict=True)
    print(
        f"layout, {RUNS} runs of 10-40 bays with 0-8 zones, {'no-hole and hand-dig, painted' if mixed else 'no-hole'}"
    )
    print(f"  ours           {statistics.median(mine) * 1e6:8.1f} us (median), {max(mine) * 1e6:.0f} us (longest)")
    for name, times in (("whole question", whole), ("solver only", inside)):
        ratios = [b / a for a, b in zip(mine, times, strict=True)]
        print(
            f"  HiGHS, {name:15} {statistics.median(times) * 1e3:7.2f} ms, {statistics.median(ratios):5.0f} times ours"
        )
        print(f"      least {min(ratios):.0f} times (wanted: median 200, never below 50)")
    return statistics.median(mine)


def kilometre(median_s: float) -> None:
    """Print the time for runs of 1 km with 100 zones."""
    rules = BayRules(LONGEST_M)
    times = []
    for k in range(9):
        calls: list[float] = []
        if asked(long_case(random.Random(100 + k)), rules, calls, 3) is not None:
            times.append(statistics.median(calls))
    print(f"layout, 1 km with 100 zones, {len(times)} runs")
    print(
        f"  {statistics.median(times) * 1e3:.1f} ms (median), {max(times) * 1e3:.1f} ms (longest): "
        f"{max(times) / median_s:.0f} times the median of the runs above (wanted: below 1000)"
    )


def main() -> None:
    """Print all of it."""
    divide(10.0, BayRules(LONGEST_M))
    medians = [compare(mixed) for mixed in (False, True)]
    kilometre(min(medians))


if __name__ == "__main__":
    main()
