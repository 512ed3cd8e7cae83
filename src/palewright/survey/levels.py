"""Heights from levelled rises, by least squares, with the same statistics as the plane."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import fields

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.model import AdjustedLevels, LevelFit, PointHeight, Rise
from palewright.survey.levels_net import LevelNet, SolvedLevels
from palewright.survey.levels_snoop import snoop_levels
from palewright.survey.reporting import fit_test, observation_fits

__all__ = ["adjust_levels", "level_pieces"]

_MOST = 2000
"""Readings that are adjusted at once: the inverse is a full one."""


def adjust_levels(held: Mapping[str, float], rises: Sequence[Rise]) -> AdjustedLevels:
    """The most likely heights of points joined by rises, and which reading is wrong where one is.

    held
        heights that are given and do not move [m], by name. rises: what was levelled [m], each with its sigma [m].
    Returns :class:`palewright.model.AdjustedLevels`: points in the order they are first named; those that no chain of
    rises joins to a held height are named as undetermined, and rises between them say nothing.
    Raises ProblemError: no rises or more than 2,000, a rise or height that is not a number, a sigma of 0 or less, a
    rise from a point to itself. Minimises the sum of (residual / sigma)^2, which is linear: one solve. Sources: Mikhail
    (1976), chapter 7; Baarda (1968) for the search of :mod:`palewright.survey.levels_snoop`.

    >>> rises = [Rise("A", "B", 1.020, 0.002), Rise("B", "C", 0.510, 0.002), Rise("A", "C", 1.524, 0.002)]
    >>> done = adjust_levels({"A": 100.0}, rises)
    >>> [round(point.height, 4) for point in done.points], done.dof
    ([100.0, 101.018, 101.526], 1)
    """
    _check(held, rises)
    net = LevelNet.of(held, rises)
    solved = net.solve()
    fit = _fit_of(net, solved)
    found = snoop_levels(net, solved)
    return AdjustedLevels(
        **{field.name: getattr(fit, field.name) for field in fields(fit)},
        undetermined=tuple(name for k, name in enumerate(net.names) if not solved.joined[k]),
        pieces=level_pieces(rises),
        suspects=found.suspects,
        doubted=found.doubted,
        without=None if found.solved is solved else _fit_of(net, found.solved),
    )


def _fit_of(net: LevelNet, solved: SolvedLevels) -> LevelFit:
    points = zip(net.names, solved.height.tolist(), solved.spread.tolist(), solved.joined.tolist(), strict=True)
    share = solved.redundancy
    return LevelFit(
        tuple(PointHeight(name, height, sigma) for name, height, sigma, joined in points if joined),
        observation_fits(net.value, solved.residual, net.sigma, share, share > 0.0),
        *fit_test(solved.squares, solved.dof),
    )


def level_pieces(rises: Sequence[Rise]) -> tuple[tuple[str, ...], ...]:
    """Names of the points of every connected part of a level network, parts and points in the order of the rises.

    >>> level_pieces([Rise("A", "B", 1.0, 0.01), Rise("C", "D", 1.0, 0.01), Rise("B", "E", 1.0, 0.01)])
    (('A', 'B', 'E'), ('C', 'D'))
    """
    net = LevelNet.of({}, rises)
    left = np.ones(len(net.names), dtype=np.bool_)
    every = np.ones(len(net.value), dtype=np.bool_)
    found = []
    while left.any():
        piece = net.joined([int(np.flatnonzero(left)[0])], every)
        found.append(tuple(name for name, inside in zip(net.names, piece.tolist(), strict=True) if inside))
        left &= ~piece
    return tuple(found)


def _check(held: Mapping[str, float], rises: Sequence[Rise]) -> None:
    problems = []
    if not rises:
        problems.append(Problem("network-empty", "a network has no readings", hint="give at least one rise"))
    if len(rises) > _MOST:
        what = "there are more levelled readings than are adjusted at once"
        problems.append(Problem("levels-too-many", what, found=f"{len(rises):,}", allowed=f"up to {_MOST:,}"))
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
