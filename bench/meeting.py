"""The best stepping of a run of 60 bays: ``palewright.layout.meeting`` against HiGHS on the same model, in one process.

Rolling ground that falls by 4 % on average, a knot at every post and two more in every bay, posts every 8 ft. Steps of
2 in and more in quarters of an inch, gap 1 to 16 in. Every answer is compared: the least cost is the same to 1e-9 m of
post, or the benchmark ends. Two ratios: "whole question" is ground in, lines out, on both sides; "solver only" leaves
out what it takes to write the model for HiGHS. Ours is always the whole, with its check of every gap.

Also a line of 30,000 bays along the grade, for the growth with its length.
"""

from __future__ import annotations

import random
import statistics
import time

import numpy as np
from bench.meeting_milp import solve

from palewright.layout.meeting import meet
from palewright.layout.meeting_price import priced
from palewright.layout.meeting_rules import GroundRules, LookWeights

IN, BAY = 0.0254, 2.4384
RUNS = 3

RULES = GroundRules(72 * IN, 1 * IN, 2 * IN, 16 * IN, smallest_step_m=2 * IN, grid_m=0.25 * IN)


def ground(k: int, bays: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Stations and heights of the knots, stations of the posts."""
    rng = np.random.default_rng([2026, k])
    posts = np.arange(bays + 1) * BAY
    stations = np.unique(np.concatenate([posts, rng.uniform(0.0, posts[-1], 2 * bays)]))
    slope = (
        -0.04 + 0.03 * np.sin(stations[:-1] / 15.0 + rng.uniform(0.0, 6.0)) + rng.normal(0.0, 0.012, len(stations) - 1)
    )
    return stations, np.concatenate([[0.0], np.cumsum(slope * np.diff(stations))]), posts


def timed(k: int) -> tuple[float, float, float] | None:
    """Seconds of ours, of HiGHS with its model, of HiGHS alone; None where the rules leave nothing."""
    s, z, posts = ground(k, 60)
    times = []
    for _ in range(15):
        start = time.perf_counter()
        met = meet(s, z, posts, RULES, "stepped")
        times.append(time.perf_counter() - start)
    start = time.perf_counter()
    theirs = solve(s, z, posts, RULES, LookWeights(), ["stepped"] * 60)
    whole = time.perf_counter() - start
    if theirs is None:
        return None
    tops, at_posts = theirs.bottoms + RULES.infill_m, np.interp(posts, s, z)
    cost = sum(priced(["stepped"] * 60, theirs.bottoms, tops, posts, at_posts, RULES, LookWeights()).values())
    if met.breaks or abs(cost - met.cost) > 1e-9:
        raise SystemExit(f"HiGHS differs on run {k}: {cost} against {met.cost}, breaks {met.breaks}")
    return statistics.median(times), whole, theirs.seconds


def long_line(bays: int) -> float:
    """Median seconds of a line of wire along rolling ground."""
    s, z, posts = ground(random.Random(bays).randrange(1000), bays)
    rules = GroundRules(48 * IN, 0.0, 4 * IN, 12 * IN)
    times = []
    for _ in range(5):
        start = time.perf_counter()
        meet(s, z, posts, rules, "grade")
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    """Print medians and ratios."""
    found: list[tuple[float, float, float]] = []
    k = 0
    while len(found) < RUNS:
        answer = timed(k)
        found += [answer] if answer else []
        k += 1
    mine = [ours for ours, _, _ in found]
    print(f"meeting the ground, best stepping of {RUNS} runs of 60 bays, grid of 1/4 in; the same least cost to 1e-9")
    print(f"  ours           {statistics.median(mine) * 1e3:8.1f} ms (median), {max(mine) * 1e3:.1f} ms (longest)")
    for name, place in (("whole question", 1), ("solver only", 2)):
        ratios = [row[place] / row[0] for row in found]
        print(f"  HiGHS, {name:15} {statistics.median(row[place] for row in found) * 1e3:7.0f} ms, "
              f"{statistics.median(ratios):5.0f} times ours; least {min(ratios):.0f} (wanted: 20)")  # fmt: skip
    short, long = long_line(3_000), long_line(30_000)
    print(f"  along the grade: 3,000 bays {short * 1e3:.1f} ms, 30,000 bays {long * 1e3:.0f} ms (x {long / short:.1f})")


if __name__ == "__main__":
    main()
