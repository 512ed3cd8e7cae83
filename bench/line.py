"""A fence of 1 to 100 km of barbed wire over a grid: ground, layout, lengths of posts and counts, against its floor.

Ours goes from the grid to the counts in arrays: pieces of ground over the path, assemblies and stretches, one table of
every post, counts, rolls. The floor is what no program can leave out: the heights of the same posts read from the grid
by ``scipy.ndimage.map_coordinates`` (order 1), and one NumPy table of the same columns. Both are asked in turn in one
thread, medians of processor seconds count, and heights of both are compared first. A job also writes records, its
profile and what papers read; they are told by themselves.

Printed: the ratio at 100 km and where our time goes; how time grows from 1 to 100 km, against a straight line; the peak
of memory beside 40 bytes x posts x columns + 200 MB.
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

from palewright.ground import SAG_M, Grid, Source, lay, surface_pieces
from palewright.layout.line import LineArrays, lay_line
from palewright.layout.line_ground import Way
from palewright.layout.line_posts import COLUMNS, post_table
from palewright.layout.line_records import line_counts, line_plan
from palewright.layout.line_rules import resolve_wire
from palewright.model import FenceSpec, LinePlan, WireRules
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


def over(grid: Grid, xy: np.ndarray) -> Way:
    """The ground under a path that lies on the grid from end to end."""
    pieces = surface_pieces(grid, xy, SAG_M)
    return Way.of(xy, np.append(pieces.start, pieces.end[-1]), np.append(pieces.z0, pieces.z1[-1]))


def records(grid: Grid, xy: np.ndarray, line: LineArrays, rules: WireRules) -> LinePlan:
    """What a job writes besides: its profile, assemblies and stretches."""
    laid = lay("ranch", xy, [Source("grid", surface_pieces(grid, xy, SAG_M))], [grid])
    return line_plan("ranch", line, rules, (), False, laid.profile)


def take_off(line: LineArrays, rules: WireRules, table: Any) -> tuple[dict[str, int], int]:
    """Counts of posts, rails and stays, and rolls."""
    strands = int(rules.number("strands"))
    _, rolls = rolls_for(np.tile(line.pulls, strands), rules.number("strand roll"), rules.number("tie"), 0.3048)
    return line_counts(line, rules, table["role"]), rolls


def whole(grid: Grid, xy: np.ndarray, rules: WireRules) -> tuple[Any, dict[str, int], int]:
    """From the grid to the table of posts, counts and rolls."""
    line = lay_line(over(grid, xy), False, [], rules)
    table = post_table(line, rules)
    return table, *take_off(line, rules, table)


def floor(grid: Grid, table: Any) -> Any:
    """Heights of the same posts by scipy, and one table of them."""
    a, _, c, _, e, f = grid.affine
    at = np.stack([(table["y_m"] - f) / e - 0.5, (table["x_m"] - c) / a - 0.5])
    made = np.empty(len(table), dtype=COLUMNS)
    for name in COLUMNS.names or ():
        if name != "ground_m":
            made[name] = table[name]
    made["ground_m"] = map_coordinates(grid.values, at, order=1)
    return made


def timed(*work: Callable[[], Any], rounds: int = 25) -> list[float]:
    """Median processor seconds of each, asked in turn: what else the machine does falls on all alike."""
    times: list[list[float]] = [[] for _ in work]
    for _ in range(rounds):
        for one, row in zip(work, times, strict=True):
            start = time.process_time()
            one()
            row.append(time.process_time() - start)
    return [statistics.median(row) for row in times]


def ratio(grid: Grid, xy: np.ndarray, rules: WireRules) -> None:
    """Print what 100 km take against the floor, and where it goes."""
    way = over(grid, xy)
    line = lay_line(way, False, [], rules)
    table = post_table(line, rules)
    least = floor(grid, table)
    worst = float(np.abs(least["ground_m"] - table["ground_m"]).max())
    if worst > 2.0 * SAG_M:
        raise SystemExit(f"heights differ from scipy's by {worst} m")
    ours, low = timed(lambda: whole(grid, xy, rules), lambda: floor(grid, table))
    parts: dict[str, Callable[[], Any]] = {
        "ground": lambda: over(grid, xy),
        "layout": lambda: lay_line(way, False, [], rules),
        "posts": lambda: post_table(line, rules),
        "take-off": lambda: take_off(line, rules, table),
    }
    (written,) = timed(lambda: records(grid, xy, line, rules))
    print(f"100 km, {len(table):,} posts, heights within {worst * 1e3:.1f} mm of scipy's: {ours * 1e3:.1f} ms, "
          f"floor {low * 1e3:.1f} ms, {ours / low:.2f} times (5 allowed)")  # fmt: skip
    for name, seconds in zip(parts, timed(*parts.values()), strict=True):
        print(f"  {name:8} {seconds * 1e3:6.2f} ms, {seconds / low:.2f} of the floor")
    print(f"  records  {written * 1e3:6.2f} ms, for papers, not in the ratio")


def growth(grid: Grid, rules: WireRules) -> None:
    """Print how time grows with length: each against the straight line that fits all best, in shares."""
    lengths = np.array([1.0, 3.0, 10.0, 30.0, 100.0])
    paths = [path(km) for km in lengths]
    took = np.array(timed(*(lambda xy=xy: whole(grid, xy, rules) for xy in paths)))  # type: ignore[misc]
    rows = np.column_stack([np.ones(len(took)), lengths]) / took[:, None]
    (fixed, each), *_ = np.linalg.lstsq(rows, np.ones(len(took)), rcond=None)
    off = took / (fixed + each * lengths) - 1.0
    said = ", ".join(f"{km:g} km {t * 1e3:.2f} ms ({o:+.0%})" for km, t, o in zip(lengths, took, off, strict=True))
    print(f"growth: {said}; off the line {fixed * 1e3:.2f} ms + {each * 1e3:.3f} ms a km (20 % allowed)")


def memory(grid: Grid, xy: np.ndarray, rules: WireRules) -> None:
    """Print the peak of memory over what was there before."""
    tracemalloc.start()
    table, counts, rolls = whole(grid, xy, rules)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    allowed = 40 * len(table) * len(COLUMNS) + 200e6
    print(f"peak {peak / 1e6:.1f} MB over the grid itself, {allowed / 1e6:.0f} MB allowed; {rolls:,} rolls, {counts}")


def main() -> None:
    """Print ratio, growth and memory."""
    grid, rules = ground(), resolve_wire(FenceSpec("ranch", "barbed wire", _RULES))
    xy = path(100.0)
    ratio(grid, xy, rules)
    growth(grid, rules)
    memory(grid, xy, rules)


if __name__ == "__main__":
    main()
