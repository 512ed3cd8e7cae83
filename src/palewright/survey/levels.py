"""Heights from levelled rises, by least squares, with the same statistics as the plane."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.model import AdjustedLevels, HeightFit, Rise
from palewright.survey.reporting import fit_test, observation_fits
from palewright.survey.rows import Flags, Ints

__all__ = ["adjust_levels"]


def adjust_levels(held: Mapping[str, float], rises: Sequence[Rise]) -> AdjustedLevels:
    """The most likely heights of points joined by rises.

    held
        heights that are given and do not move [m], by name. rises: what was levelled [m], each with its sigma [m].
    Returns :class:`palewright.model.AdjustedLevels`: points in the order they are first named; those that no chain of
    rises joins to a held height are named as undetermined, and rises between them say nothing.
    Raises ProblemError: no rises, a rise or height that is not a number, a sigma of 0 or less, a rise from a point to
    itself. Minimises the sum of (residual / sigma)^2, which is linear: one solve. Source: Mikhail (1976), chapter 7.

    >>> rises = [Rise("A", "B", 1.020, 0.002), Rise("B", "C", 0.510, 0.002), Rise("A", "C", 1.524, 0.002)]
    >>> done = adjust_levels({"A": 100.0}, rises)
    >>> [round(point.height, 4) for point in done.points], done.dof
    ([100.0, 101.018, 101.526], 1)
    """
    _check(held, rises)
    names = list(dict.fromkeys([*held, *(name for rise in rises for name in (rise.start, rise.end))]))
    index = {name: k for k, name in enumerate(names)}
    ends = np.array([[index[rise.start], index[rise.end]] for rise in rises], dtype=np.int64)
    joined = _joined(ends, [index[name] for name in held], len(names))
    free = [k for k, name in enumerate(names) if name not in held and joined[k]]
    known = np.array([held.get(name, 0.0) for name in names])
    counts = joined[ends[:, 0]]
    value, sigma = np.array([rise.value for rise in rises]), np.array([rise.sigma for rise in rises])
    rows = np.zeros((len(rises), len(names)))
    rows[np.arange(len(rises)), ends[:, 1]] += 1.0
    rows[np.arange(len(rises)), ends[:, 0]] -= 1.0
    scaled = rows[:, free] / sigma[:, None] * counts[:, None]
    cov = np.linalg.inv(scaled.T @ scaled) if free else np.zeros((0, 0))
    height = known.copy()
    height[free] = cov @ (scaled.T @ ((value - rows @ known) / sigma))
    residual = np.where(counts, rows @ height - value, 0.0)
    redundancy = np.where(counts, 1.0 - np.einsum("mi,ij,mj->m", scaled, cov, scaled), 0.0)
    spread = np.zeros(len(names))
    spread[free] = np.sqrt(np.diagonal(cov))
    squares = float(((residual / sigma) ** 2).sum())
    return AdjustedLevels(
        tuple(HeightFit(name, float(height[k]), float(spread[k])) for k, name in enumerate(names) if joined[k]),
        observation_fits(value, residual, sigma, redundancy, redundancy > 1e-9),
        *fit_test(squares, int(counts.sum()) - len(free)),
        undetermined=tuple(name for k, name in enumerate(names) if not joined[k]),
    )


def _joined(ends: Ints, held: list[int], n: int) -> Flags:
    """Whether a chain of rises leads from each point to a held one."""
    joined = np.zeros(n, dtype=np.bool_)
    joined[held] = True
    while True:
        reached = joined[ends].any(axis=1)
        new = joined.copy()
        new[ends[reached].ravel()] = True
        if (new == joined).all():
            return joined
        joined = new


def _check(held: Mapping[str, float], rises: Sequence[Rise]) -> None:
    problems = []
    if not rises:
        problems.append(Problem("network-empty", "a network has no readings", hint="give at least one rise"))
    for name, height in held.items():
        if not math.isfinite(height):
            problems.append(Problem("network-not-a-number", "a height is not a number", found=f"{name} at {height}"))
    for rise in rises:
        said = f"{rise.start} to {rise.end}"
        if not math.isfinite(rise.value):
            problem = Problem(
                "network-not-a-number", "a rise is not a number", where=rise.at, found=f"{said}, {rise.value}"
            )
            problems.append(problem)
        if not 0.0 < rise.sigma < math.inf:
            what = "how good a rise is must be a length above 0"
            problems.append(Problem("network-sigma-range", what, where=rise.at, found=f"{said}, {rise.sigma}"))
        if rise.start == rise.end:
            what = "a rise goes from a point to itself"
            problems.append(Problem("network-point-repeated", what, where=rise.at, found=rise.start))
    if problems:
        raise ProblemError(problems)
