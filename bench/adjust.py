"""Adjusting networks: ``palewright.survey.adjust`` against ``scipy.optimize.least_squares``, and how time grows.

2,000 points at random, 6,000 tapes and 6,000 angles between near ones, rough places 0.3 m off (points are about 10 m
apart). Both sides work with the same residuals and exact derivatives in numpy arrays; scipy (trf, sparse Jacobian,
lsmr) gives no covariance, ours that of every point and the redundancy of every reading. scipy is shown twice: as it
comes, which stops short of the minimum, and tuned to reach it (scaled by the Jacobian, inner tolerance 1e-12). Sums of
squares and coordinates are compared; a sum above scipy's ends the benchmark.

Seconds are processor seconds of one thread (the BLAS is told to use one), least of a few runs: medians say more of the
neighbours than of the program. "whole call" is ``adjust`` from records to records: reading and checking 12,000
readings, and writing a record for each, with everything in between.

Growth is fitted from 100 to 5,000 points; the picture is kept in docs/adjustment-speed.svg.
"""

from __future__ import annotations

import math
import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from palewright.model import Adjusted, NetPoint, Network, Observation
from palewright.survey import adjust
from palewright.survey.fitting import fit
from palewright.survey.network_arrays import Arrays, read_network
from palewright.survey.rows import evaluate
from palewright.survey.system import System

TAPE_M, ANGLE_RAD = 0.006, math.radians(0.02)
SIZES = (100, 200, 400, 800, 1600, 3200, 5000)
PICTURE = Path(__file__).resolve().parent.parent / "docs" / "adjustment-speed.svg"


def network(points: int, draw: np.random.Generator) -> Network:
    """Points in a square, three tapes and three angles a point between the eight nearest, two points held."""
    from scipy.spatial import cKDTree

    places = draw.random((points, 2)) * math.sqrt(points) * 20.0
    _, near = cKDTree(places).query(places, 9)
    pairs = np.unique(np.sort(np.vstack([near[:, [0, k]] for k in range(1, 9)]), axis=1), axis=0)
    pairs = pairs[draw.permutation(len(pairs))[: 3 * points]]
    corner = draw.integers(0, points, 3 * points)
    arms = np.array([draw.choice(np.arange(1, 9), 2, replace=False) for _ in corner])
    triples = np.stack([near[corner, arms[:, 0]], corner, near[corner, arms[:, 1]]], axis=1)
    d = places[pairs[:, 1]] - places[pairs[:, 0]]
    lengths = np.hypot(d[:, 0], d[:, 1]) + draw.normal(0.0, TAPE_M, len(pairs))
    one, two = (places[triples[:, k]] - places[corner] for k in (0, 2))
    turns = np.arctan2(two[:, 0], two[:, 1]) - np.arctan2(one[:, 0], one[:, 1])
    turns = (turns + draw.normal(0.0, ANGLE_RAD, len(triples))) % (2.0 * math.pi)
    tapes = (
        Observation("distance", (f"P{a}", f"P{b}"), v, TAPE_M)
        for (a, b), v in zip(pairs.tolist(), lengths.tolist(), strict=True)
    )
    angles = (
        Observation("angle", (f"P{a}", f"P{c}", f"P{b}"), v, ANGLE_RAD, side="clockwise")
        for (a, c, b), v in zip(triples.tolist(), turns.tolist(), strict=True)
    )
    held = {0, points // 2}
    rough = places + draw.normal(0.0, 0.3, places.shape)
    rough[list(held)] = places[list(held)]
    made = tuple(NetPoint(f"P{k}", (x, y), k in held) for k, (x, y) in enumerate(rough.tolist()))
    return Network(made, (*tapes, *angles))


def least(call: Callable[[], Any], runs: int) -> tuple[Any, float]:
    """The answer, and the least processor seconds of some runs."""
    times = []
    answer = None
    for _ in range(runs):
        start = time.process_time()
        answer = call()
        times.append(time.process_time() - start)
    return answer, min(times)


@dataclass
class Outside:
    """The same residuals and derivatives as scipy wants them."""

    arrays: Arrays

    def __post_init__(self) -> None:
        self.free = np.flatnonzero(~self.arrays.system.held)
        self.number = np.full((len(self.arrays.names), 2), -1)
        self.number[self.free] = np.arange(2 * len(self.free)).reshape(-1, 2)
        self.start = self.arrays.start.places[self.free].ravel()

    def _rows(self, x: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
        places = self.arrays.start.places.copy()
        places[self.free] = x.reshape(-1, 2)
        return [evaluate(block, places, self.arrays.start.zeros) for block in self.arrays.system.blocks]

    def residuals(self, x: np.ndarray) -> np.ndarray:
        sigmas = [block.sigma for block in self.arrays.system.blocks]
        return np.concatenate([v / s for (v, _), s in zip(self._rows(x), sigmas, strict=True)])

    def slope(self, x: np.ndarray) -> Any:
        from scipy.sparse import csr_array

        rows, columns, values, first = [], [], [], 0
        for (_, slope), block in zip(self._rows(x), self.arrays.system.blocks, strict=True):
            column = self.number[block.points].reshape(len(slope), -1)
            row = np.repeat(np.arange(first, first + len(slope)), column.shape[1])
            kept = column.ravel() >= 0
            rows.append(row[kept])
            columns.append(column.ravel()[kept])
            values.append((slope / block.sigma[:, None]).ravel()[kept])
            first += len(slope)
        entries = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
        return csr_array(entries, shape=(first, 2 * len(self.free)))


TUNED = {"x_scale": "jac", "tr_options": {"atol": 1e-12, "btol": 1e-12, "maxiter": 20_000}}


def by_scipy(outside: Outside, **options: Any) -> Any:
    """The minimum of scipy.optimize.least_squares."""
    from scipy.optimize import least_squares

    return least_squares(outside.residuals, outside.start, outside.slope, method="trf", tr_solver="lsmr", **options)


def timed(points: int, runs: int) -> tuple[Adjusted, Arrays, float, float]:
    """Our answer, the arrays it was made from, seconds from arrays to covariance, and seconds of the whole call."""
    net = network(points, np.random.default_rng(7))
    arrays = read_network(net)
    given = arrays.system
    use = np.ones(len(net.observations))
    none = np.zeros(0, dtype=np.int64)
    _, layout_s = least(lambda: System(given.blocks, len(use), arrays.start.places, given.held, none), runs)
    _, fit_s = least(lambda: fit(arrays, use), runs)
    done, whole_s = least(lambda: adjust(net, snooping=False), runs)
    return done, arrays, layout_s + fit_s, whole_s


def compare(points: int = 2000) -> None:
    """Print ours against scipy, as it comes and tuned."""
    done, arrays, core_s, whole_s = timed(points, 7)
    outside = Outside(arrays)
    print(f"adjust, {points} points, {len(done.fits)} tapes and angles, {done.dof} degrees of freedom")
    print(f"  sum of squares {done.weighted_squares:.6f}, gradient {done.gradient:.1e}, {done.iterations} steps")
    print(f"  ours, arrays to covariance of every point  {core_s * 1e3:7.1f} ms")
    print(f"  ours, whole call, records to records       {whole_s * 1e3:7.1f} ms")
    places = np.array([point.xy for point in done.points])
    for name, options in (("as it comes", {}), ("tuned", TUNED)):
        found, seconds = least(partial(by_scipy, outside, **options), 3)
        apart = np.abs(places[outside.free].ravel() - found.x).max()
        print(
            f"  scipy {name:11} {seconds * 1e3:6.0f} ms: {seconds / core_s:.1f} times ours, {seconds / whole_s:.1f} "
            f"times the whole call; sum {2.0 * found.cost:.6f}, gradient {found.optimality:.1e}, coordinates within "
            f"{apart:.1e} m, {found.nfev} steps"
        )
        if done.weighted_squares > 2.0 * found.cost * (1.0 + 1e-9):
            raise SystemExit("scipy found a lower sum of squares")
    print("      wanted: the tuned one at least 10 times ours")


def growth() -> None:
    """Print how time grows, and draw it."""
    ours, whole, scipy = [], [], []
    for points in SIZES:
        _, arrays, core_s, whole_s = timed(points, 5 if points < 3000 else 3)
        ours.append(core_s)
        whole.append(whole_s)
        scipy.append(least(partial(by_scipy, Outside(arrays), **TUNED), 1)[1])
    print("adjust, seconds by number of points (three tapes and three angles a point)")
    lines = (("arrays to covariance", ours), ("whole call", whole), ("scipy, tuned, no covariance", scipy))
    for name, seconds in lines:
        power = float(np.polyfit(np.log(SIZES), np.log(seconds), 1)[0])
        row = "  ".join(f"{n}: {s:.3f}" for n, s in zip(SIZES, seconds, strict=True))
        print(f"  {name:28} n^{power:.2f}   {row}")
    print("      wanted: the whole call no faster than n^1.50")
    PICTURE.write_text(picture(lines), encoding="utf-8")


def picture(lines: Sequence[tuple[str, list[float]]]) -> str:
    """Time over size on logarithmic scales, as SVG."""
    left, top, wide, high = 60.0, 20.0, 420.0, 260.0
    colours = ("#0b6e4f", "#1d4e89", "#a23b2a")
    low, up = -3.0, 1.0

    def at(n: float, seconds: float) -> tuple[float, float]:
        x = (math.log10(n) - 2.0) / (math.log10(5000.0) - 2.0)
        return left + wide * x, top + high * (up - math.log10(max(seconds, 1e-3))) / (up - low)

    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 330" font-family="sans-serif" font-size="11">',
        "<title>Time to adjust a network, by number of points</title>",
        '<rect width="640" height="330" fill="#fff"/>',
        f'<rect x="{left}" y="{top}" width="{wide}" height="{high}" fill="none" stroke="#000"/>',
    ]
    for power in range(int(low), int(up) + 1):
        y = at(100.0, 10.0**power)[1]
        parts.append(f'<path d="M{left} {y:.1f}h{wide}" stroke="#ccc"/>')
        parts.append(f'<text x="{left - 6}" y="{y + 4:.1f}" text-anchor="end">{10.0**power:g} s</text>')
    for n in (100, 200, 500, 1000, 2000, 5000):
        x = at(n, 1.0)[0]
        parts.append(f'<path d="M{x:.1f} {top}v{high}" stroke="#ccc"/>')
        parts.append(f'<text x="{x:.1f}" y="{top + high + 16}" text-anchor="middle">{n}</text>')
    parts.append(f'<text x="{left + wide / 2}" y="{top + high + 36}" text-anchor="middle">points</text>')
    for (name, seconds), colour, lift in zip(lines, colours, (12, -2, 4), strict=True):
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (at(n, s) for n, s in zip(SIZES, seconds, strict=True)))
        end = at(SIZES[-1], seconds[-1])
        parts.append(f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="2"/>')
        parts.append(f'<text x="{end[0] + 6:.1f}" y="{end[1] + lift:.1f}" fill="{colour}">{name}</text>')
    return "\n".join([*parts, "</svg>", ""])


def main() -> None:
    """Print all of it, in a process whose BLAS has one thread."""
    if os.environ.get("OPENBLAS_NUM_THREADS") == "1":
        compare()
        growth()
        return
    one = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    done = subprocess.run([sys.executable, "-m", "bench.adjust"], env=os.environ | one, check=False)
    if done.returncode:
        raise SystemExit(done.returncode)


if __name__ == "__main__":
    main()
