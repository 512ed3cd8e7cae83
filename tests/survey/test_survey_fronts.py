"""Nested dissection and fronts against dense algebra."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.survey.nets import random_net

from palewright.survey.dissect import dissect
from palewright.survey.fitting import fit
from palewright.survey.fronts import Factor, Pattern, plan_fronts
from palewright.survey.network_arrays import read_network


def _matrix(number: int, n: int, joins: int) -> tuple[Pattern, np.ndarray, np.ndarray]:
    """A random sparse positive definite matrix over pairs, triples and a hub, as a pattern and dense; and its rows."""
    draw = np.random.default_rng(number)
    places = draw.random((n, 2))
    rows = np.sort(draw.integers(0, n, (joins, 3)), axis=1)
    rows = rows[(np.diff(rows, axis=1) > 0).all(axis=1)]
    rows = np.vstack([rows, [[0, k, k + 1] for k in range(1, n - 1)]])
    pairs = np.unique(np.vstack([rows[:, [0, 1]], rows[:, [0, 2]], rows[:, [1, 2]]]), axis=0)
    width = draw.integers(1, 4, n)
    pattern, start = plan_fronts(dissect(places, pairs, leaf=6), width, pairs)
    columns = start[rows] + draw.integers(0, 3, rows.shape) % width[rows]
    slope = draw.normal(size=rows.shape)
    whole = np.zeros((len(rows) + pattern.n, pattern.n))
    np.put_along_axis(whole[: len(rows)], columns, slope, axis=1)
    whole[len(rows) :] = np.eye(pattern.n)
    numbers = np.bincount(
        pattern.places(columns).ravel(), (slope[:, :, None] * slope[:, None, :]).ravel(), minlength=pattern.size
    )
    numbers[pattern.diagonal()] += 1.0
    return pattern, numbers, whole.T @ whole


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.integers(3, 70), st.integers(0, 120))
def test_solve_and_selected_inverse_are_those_of_the_dense_matrix(number: int, n: int, joins: int) -> None:
    pattern, numbers, whole = _matrix(number, n, joins)
    factor = Factor(pattern, numbers)
    right = np.random.default_rng(number).normal(size=(pattern.n, 2))
    assert factor.solve(right) == pytest.approx(np.linalg.solve(whole, right), rel=1e-7, abs=1e-9)
    selected, inverse = factor.selected_inverse(), np.linalg.inv(whole)
    for k, (first, pivots, border) in enumerate(zip(pattern.first, pattern.pivots, pattern.border, strict=True)):
        unknowns = np.concatenate([np.arange(first, first + pivots), border])
        size = len(unknowns)
        block = selected[pattern.base[k] : pattern.base[k] + size * size].reshape(size, size)
        assert block == pytest.approx(inverse[np.ix_(unknowns, unknowns)], rel=1e-7, abs=1e-9)
    assert factor.loose == []


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 200), st.integers(0, 400))
def test_every_point_is_in_one_group_and_halves_do_not_meet(number: int, n: int, joins: int) -> None:
    draw = np.random.default_rng(number)
    pairs = draw.integers(0, n, (joins, 2))
    pairs = np.unique(np.sort(pairs[pairs[:, 0] != pairs[:, 1]], axis=1), axis=0)
    groups = dissect(draw.random((n, 2)), pairs, leaf=5)
    assert sorted(np.concatenate(groups).tolist()) == list(range(n))


def test_a_hub_becomes_a_separator() -> None:
    """300 points tied to two ends of a base line: the two ends alone join the halves, no front is large."""
    n = 302
    places = np.vstack([[[0.0, 0.0], [100.0, 0.0]], np.random.default_rng(1).random((300, 2)) * 100.0])
    pairs = np.array([(end, k) for k in range(2, n) for end in (0, 1)])
    pattern, _ = plan_fronts(dissect(places, pairs), np.full(n, 2), pairs)
    assert max(p + len(b) for p, b in zip(pattern.pivots, pattern.border, strict=True)) <= 44


def test_fronts_stay_small_in_a_plane() -> None:
    """A grid of 40 by 40 points: the largest front is a few rows of points, not the whole."""
    k = 40
    places = np.array([(x, y) for x in range(k) for y in range(k)], dtype=float)
    number = np.arange(k * k).reshape(k, k)
    pairs = np.vstack(
        [
            np.stack([number[:-1].ravel(), number[1:].ravel()], 1),
            np.stack([number[:, :-1].ravel(), number[:, 1:].ravel()], 1),
        ]
    )
    pattern, _ = plan_fronts(dissect(places, pairs), np.full(k * k, 2), pairs)
    assert max(p + len(b) for p, b in zip(pattern.pivots, pattern.border, strict=True)) <= 8 * k


def test_null_space_is_what_the_rows_do_not_see() -> None:
    """A network of 60 points with nothing held floats in three ways, and one point hangs on one tape."""
    network = random_net(4, points=60, kinds=("angle",), held=0)
    arrays = read_network(network)
    system = arrays.system
    rows = system.rows(arrays.start)
    weights = system.weights(np.ones(len(network.observations)))
    scale = system.scale(rows.slope, weights)
    factor = system.factor(system.scaled(rows.slope, scale), weights)
    assert len(factor.loose) == 3
    seen = np.vstack(system.times(rows.slope, factor.null_space() * scale[:, None]))
    assert np.abs(seen).max() < 1e-8


def test_large_networks_use_lapack_and_give_the_same() -> None:
    """Above 500 unknowns the blocks are inverted by LAPACK; the sum of redundancies is exact there too."""
    network = random_net(5, points=320, kinds=("angle",))
    fitting = fit(read_network(network), np.ones(len(network.observations)))
    assert fitting.arrays.system.n > 500
    assert float(fitting.redundancy.sum()) == pytest.approx(fitting.dof, abs=1e-6)
