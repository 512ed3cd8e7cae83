"""A fence of 1 to 100 km of woven wire over a grid: layout, heights, lengths of posts and counts, against its floor.

The floor is what no program can leave out: the heights of the same posts read from the grid by
``scipy.ndimage.map_coordinates`` (order 1), and one NumPy table of the same columns built from them. Both are asked in
turn, and medians count. Printed besides: how time grows from 1 to 100 km, and the peak of memory over what was there
before, beside 40 bytes x posts x columns + 200 MB.
"""

from __future__ import annotations

import math
import statistics
import time
import tracemalloc
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.ndimage import map_coordinates

from palewright.ground import Grid
from palewright.layout.line import lay_line
from palewright.layout.line_ground import sampled
from palewright.layout.line_posts import COLUMNS, post_table
from palewright.layout.line_records import line_counts
from palewright.layout.line_rules import resolve_wire
from palewright.model import FenceSpec, WireRules
from palewright.supply.line import rolls_for

CELL_M = 30.0
_RULES = (("rules", "kentucky 2007, western federal bid"), ("longest bay", 3.3528))


def ground(cells: int = 1200) -> Grid:
    """Hills of three wavelengths on a square of 36 km."""
    x, y = np.meshgrid(np.arange(cells) * CELL_M, np.arange(cells) * CELL_M)
    z = 60.0 * np.sin(x / 900.0) * np.cos(y / 1100.0) + 12.0 * np.sin(x / 210.0 + y / 170.0) + 3.0 * np.sin(x / 70.0)
    return Grid(z, (CELL_M, 0.0, 0.0, 0.0, -CELL_M, cells * CELL_M), 0.3)


def path(km: float) -> np.ndarray:
    """A path of so many kilometres in legs of about 800 m that turn a little, within the square."""
    legs = max(2, math.ceil(km / 0.8))
    step = km * 1000.0 / legs
    turn = np.linspace(0.0, 2.0 * math.pi * max(1.0, km / 60.0), legs) + 0.35 * np.sin(np.arange(legs) * 2.1)
    moves = step * np.column_stack([np.cos(turn), np.sin(turn)])
    xy = np.concatenate([[[0.0, 0.0]], np.cumsum(moves, axis=0)])
    return np.asarray(xy - xy.mean(axis=0) + 18_000.0)


def whole(grid: Grid, xy: np.ndarray, rules: WireRules) -> tuple[Any, dict[str, int], int]:
    """Profile, layout, table of posts, counts and rolls."""
    way = sampled(xy, grid, rules.number("longest bay"))
    line = lay_line(way, False, [], rules)
    strands = int(rules.number("strands"))
    _, rolls = rolls_for(np.tile(line.pulls, strands), rules.number("strand roll"), rules.number("tie"), 0.3048)
    return post_table(line, rules, grid), line_counts(line, rules), rolls


def floor(grid: Grid, table: Any) -> Any:
    """Heights of the same posts by scipy, and one table of them."""
    a, _, c, _, e, f = grid.affine
    at = np.stack([(table["y_m"] - f) / e - 0.5, (table["x_m"] - c) / a - 0.5])
    made = np.empty(len(table), dtype=COLUMNS)
    for name in COLUMNS.names or ():
        made[name] = table[name]
    made["ground_m"] = map_coordinates(grid.values, at, order=1)
    return made


def timed(work: Callable[[], Any], rounds: int = 15) -> float:
    """Median seconds."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    """Print ratios, growth and memory."""
    grid, rules = ground(), resolve_wire(FenceSpec("ranch", "barbed wire", _RULES))
    xy = path(100.0)
    table, counts, rolls = whole(grid, xy, rules)
    ours = timed(lambda: whole(grid, xy, rules))
    least = timed(lambda: floor(grid, table))
    print(f"100 km, {len(table):,} posts: {ours * 1e3:.1f} ms, floor {least * 1e3:.1f} ms, {ours / least:.2f} times")
    way = sampled(xy, grid, rules.number("longest bay"))
    line = lay_line(way, False, [], rules)
    for name, work in (
        ("profile", lambda: sampled(xy, grid, rules.number("longest bay"))),
        ("layout", lambda: lay_line(way, False, [], rules)),
        ("table", lambda: post_table(line, rules, grid)),
        ("counts", lambda: line_counts(line, rules)),
    ):
        print(f"  {name:8} {timed(work) * 1e3:6.2f} ms")
    each = {km: timed(lambda km=km: whole(grid, path(km), rules), 31) / km for km in (1.0, 10.0, 30.0, 100.0)}  # type: ignore[misc]
    print("ms a km: " + ", ".join(f"{km:g} km {seconds * 1e3:.3f}" for km, seconds in each.items()))
    tracemalloc.start()
    whole(grid, xy, rules)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    allowed = 40 * len(table) * len(COLUMNS) + 200e6
    print(f"peak {peak / 1e6:.1f} MB, allowed {allowed / 1e6:.0f} MB; {rolls:,} rolls, {counts}")


if __name__ == "__main__":
    main()
