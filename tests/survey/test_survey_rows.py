"""Rows of observations: values against complex numbers, derivatives against differences."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.survey.nets import KINDS, misfit

from palewright.model import NetPoint, Network, Observation
from palewright.survey.network_arrays import read_network
from palewright.survey.rows import KINDS as COUNTS
from palewright.survey.rows import evaluate, wrap

SIDES = {"angle": ("", "clockwise"), "offset": ("", "left", "right")}


@st.composite
def observations(draw: st.DrawFn) -> tuple[Network, Observation]:
    kind = draw(st.sampled_from(KINDS))
    count = COUNTS[kind]
    near = st.tuples(st.floats(-50.0, 50.0), st.floats(-50.0, 50.0))
    apart = lambda xy: all(math.dist(a, b) > 1.0 for k, a in enumerate(xy) for b in xy[:k])  # noqa: E731
    places = draw(st.lists(near, min_size=count, max_size=count).filter(apart))
    names = tuple("ABCD"[:count])
    side = draw(st.sampled_from(SIDES.get(kind, ("",))))
    value = draw(st.floats(0.1, 3.0))
    observation = Observation(kind, names, value, 0.01, side=side)
    return Network(tuple(NetPoint(n, xy) for n, xy in zip(names, places, strict=True)), (observation,)), observation


@given(observations())
def test_value_and_derivatives(made: tuple[Network, Observation]) -> None:
    network, observation = made
    arrays = read_network(network)
    [block] = arrays.system.blocks
    places = arrays.start.places
    residual, slope = evaluate(block, places, arrays.start.zeros)
    as_dict = {p.name: p.xy for p in network.points if p.xy}
    zero = float(arrays.start.zeros[0]) if observation.kind == "direction" else 0.0
    expected = misfit(observation, as_dict, zero) * observation.sigma
    half = math.pi / 2 if observation.kind == "parallel" else math.pi
    assume(observation.kind in ("distance", "offset", "along") or abs(abs(expected) - half) > 1e-3)
    if not observation.side and observation.kind in ("angle", "offset"):  # the side changes at 0, and an angle's at 180
        seen = expected + observation.value
        assume(min(abs(seen), abs(seen - half) if observation.kind == "angle" else 1.0) > 1e-3)
    assert residual[0] == pytest.approx(expected, abs=1e-9)
    step = 1e-5
    for point in range(len(places)):
        for axis in (0, 1):
            ends = []
            for sign in (step, -step):
                moved = places.copy()
                moved[point, axis] += sign
                ends.append(evaluate(block, moved, arrays.start.zeros)[0][0])
            change = ends[0] - ends[1]
            if abs(change) > 0.1:
                continue
            where = list(block.points[0]).index(point)
            assert slope[0, 2 * where + axis] == pytest.approx(change / (2 * step), abs=1e-5)


def test_a_direction_turns_against_its_zero() -> None:
    points = (NetPoint("A", (0.0, 0.0)), NetPoint("B", (0.0, 10.0)))
    arrays = read_network(Network(points, (Observation("direction", ("A", "B"), 1.0, 0.01),)))
    _, slope = evaluate(arrays.system.blocks[0], arrays.start.places, arrays.start.zeros)
    assert slope[0, 4] == -1.0
    assert float(arrays.start.zeros[0]) == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("angle", "turn", "expected"),
    [(3.5 * math.pi, 2 * math.pi, -0.5 * math.pi), (0.9 * math.pi, math.pi, -0.1 * math.pi)],
)
def test_wrap(angle: float, turn: float, expected: float) -> None:
    assert wrap(np.array([angle]), turn)[0] == pytest.approx(expected)


def test_an_angle_without_side_is_the_same_seen_from_behind() -> None:
    points = (NetPoint("A", (0.0, 10.0)), NetPoint("C", (0.0, 0.0)), NetPoint("B", (10.0, 0.0)))
    for names in (("A", "C", "B"), ("B", "C", "A")):
        arrays = read_network(Network(points, (Observation("angle", names, 1.5, 0.01),)))
        assert arrays.system.rows(arrays.start).residual[0][0] == pytest.approx(math.pi / 2 - 1.5)


def test_places_on_one_spot_are_moved_apart() -> None:
    points = tuple(NetPoint(name, (0.0, 0.0), name == "A") for name in "ABC")
    tapes = tuple(Observation("distance", pair, 10.0, 0.01) for pair in (("A", "B"), ("B", "C"), ("A", "C")))
    arrays = read_network(replace(Network(points, tapes)))
    assert np.isfinite(arrays.system.rows(arrays.start).slope[0]).all()
    assert tuple(arrays.start.places[0]) == (0.0, 0.0)
