"""A fence of 1 to 100 km of woven wire over a grid: layout, heights, lengths of posts and counts, against its floor.

The floor is what no program can leave out: the heights of the same posts read from the grid by
``scipy.ndimage.map_coordinates`` (order 1), and one NumPy table of the same columns built from them. Both are asked in
turn, and the least of many counts. Printed besides: how time grows from 1 to 100 km, and the peak of memory over what
was there before, beside 40 bytes x posts x columns + 200 MB.
"""

from __future__ import annotations

import math
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
    table = post_table(line, rules, grid)
    return table, line_counts(line, rules, table["role"]), rolls


def floor(grid: Grid, table: Any) -> Any:
    """Heights of the same posts by scipy, and one table of them."""
    a, _, c, _, e, f = grid.affine
    at = np.stack([(table["y_m"] - f) / e - 0.5, (table["x_m"] - c) / a - 0.5])
    made = np.empty(len(table), dtype=COLUMNS)
    for name in COLUMNS.names or ():
        made[name] = table[name]
    made["ground_m"] = map_coordinates(grid.values, at, order=1)
    return made


def timed(*work: Callable[[], Any], rounds: int = 25) -> list[float]:
    """Least seconds of each, asked in turn, so that what else the machine does is not part of the answer."""
    times: list[list[float]] = [[] for _ in work]
    for _ in range(rounds):
        for one, row in zip(work, times, strict=True):
            start = time.perf_counter()
            one()
            row.append(time.perf_counter() - start)
    return [min(row) for row in times]


def main() -> None:
    """Print ratios, growth and memory."""
    grid, rules = ground(), resolve_wire(FenceSpec("ranch", "barbed wire", _RULES))
    xy = path(100.0)
    table, counts, rolls = whole(grid, xy, rules)
    ours, least = timed(lambda: whole(grid, xy, rules), lambda: floor(grid, table))
    print(f"100 km, {len(table):,} posts: {ours * 1e3:.1f} ms, floor {least * 1e3:.1f} ms, {ours / least:.2f} times")
    way = sampled(xy, grid, rules.number("longest bay"))
    line = lay_line(way, False, [], rules)
    parts = {
        "profile": lambda: sampled(xy, grid, rules.number("longest bay")),
        "layout": lambda: lay_line(way, False, [], rules),
        "table": lambda: post_table(line, rules, grid),
        "counts": lambda: line_counts(line, rules, table["role"]),
    }
    for name, seconds in zip(parts, timed(*parts.values()), strict=True):
        print(f"  {name:8} {seconds * 1e3:6.2f} ms")
    lengths = (1.0, 3.0, 10.0, 30.0, 100.0)
    paths = [path(km) for km in lengths]
    each = timed(*(lambda xy=xy: whole(grid, xy, rules) for xy in paths))  # type: ignore[misc]
    print("ms a km: " + ", ".join(f"{km:g} km {s * 1e3 / km:.3f}" for km, s in zip(lengths, each, strict=True)))
    tracemalloc.start()
    whole(grid, xy, rules)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    allowed = 40 * len(table) * len(COLUMNS) + 200e6
    print(f"peak {peak / 1e6:.1f} MB, allowed {allowed / 1e6:.0f} MB; {rolls:,} rolls, {counts}")


if __name__ == "__main__":
    main()
