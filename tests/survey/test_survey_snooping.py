"""Blunders found, and what cannot be found said: one at a time, the worst first; pins that contradict the rest."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.survey.nets import random_net

from palewright.model import NetPoint, Network, Observation
from palewright.survey import Adjustment, adjust, robust

FEW = settings(max_examples=15, deadline=None)
TRUE = {"A": (0, 0), "B": (100, 0), "C": (100, 60), "D": (0, 60), "E": (50, 30), "F": (30, 45), "G": (70, 20)}
NUMBERS = st.integers(0, 10_000)


def _all_pairs(number: int = 0, sigma: float = 0.02) -> tuple[Observation, ...]:
    draw = np.random.default_rng(number)
    return tuple(
        Observation("distance", pair, math.dist(TRUE[pair[0]], TRUE[pair[1]]) + float(draw.normal(0, sigma)), sigma)
        for pair in itertools.combinations(TRUE, 2)
    )


def _points(held: str, **moved: tuple[float, float]) -> tuple[NetPoint, ...]:
    places = {name: (float(x), float(y)) for name, (x, y) in TRUE.items()} | moved
    return tuple(NetPoint(name, xy, name in held) for name, xy in places.items())


def _with(read: tuple[Observation, ...], **wrong: float) -> tuple[Observation, ...]:
    return tuple(replace(o, value=o.value + wrong.get("".join(o.points), 0.0)) for o in read)


@FEW
@given(NUMBERS, st.data())
def test_one_blunder_is_found_and_measured(number: int, data: st.DataObject) -> None:
    """A foot on one reading that is checked: dropped first, its size within four of its standard deviations."""
    network = random_net(number, 8, ("angle", "offset"))
    clean = adjust(network)
    checked = [f.index for f in clean.fits if f.redundancy > 0.5 and network.observations[f.index].kind == "distance"]
    index = data.draw(st.sampled_from(checked))
    wrong = list(network.observations)
    wrong[index] = replace(wrong[index], value=wrong[index].value + 0.3048)
    done = adjust(replace(network, observations=tuple(wrong)))
    first = done.suspects[0]
    assert first.index == index or index in first.among
    if first.index == index:
        sigma = wrong[index].sigma / math.sqrt(clean.fits[index].redundancy)
        assert first.by == pytest.approx(0.3048, abs=max(4.5 * sigma, 0.02 * 0.3048))
    assert done.without is not None
    assert done.without.weighted_squares <= done.weighted_squares


def test_two_blunders_come_out_one_after_the_other() -> None:
    done = adjust(Network(_points("AB"), _with(_all_pairs(), CF=0.5, DG=-0.2)))
    pairs = ["".join(pair) for pair in itertools.combinations(TRUE, 2)]
    assert [pairs[s.index] for s in done.suspects] == ["CF", "DG"]
    assert [s.by for s in done.suspects] == pytest.approx([0.5, -0.2], abs=0.08)
    assert all(s.alone and s.among == () for s in done.suspects)
    assert done.passes is False
    assert done.without is not None
    assert done.without.passes
    assert done.without.dof == done.dof - 2
    left_out = done.without.fits[done.suspects[0].index]
    assert left_out.redundancy == 1.0
    assert left_out.blunder == pytest.approx(0.5, abs=0.08)


def test_nothing_wrong_nothing_said() -> None:
    done = adjust(Network(_points("AB"), _all_pairs()))
    assert (done.suspects, done.without, done.cautions) == ((), None, ())


@FEW
@given(st.floats(0.2, 3.0), st.sampled_from([1.0, -1.0]), st.integers(0, 5))
def test_with_one_check_the_wrong_reading_cannot_be_told(size: float, sign: float, which: int) -> None:
    """Six tapes of a quadrilateral, one degree of freedom: all |w| are equal, all six are named whichever was wrong."""
    pairs = list(itertools.combinations("ABCD", 2))
    read = [Observation("distance", pair, math.dist(TRUE[pair[0]], TRUE[pair[1]]), 0.005) for pair in pairs]
    read[which] = replace(read[which], value=read[which].value + sign * size)
    points = tuple(NetPoint(name, (float(TRUE[name][0]), float(TRUE[name][1]))) for name in "ABCD")
    done = adjust(Network(points, tuple(read), "least"))
    tests = [abs(fit.test or 0.0) for fit in done.fits]
    assert max(tests) - min(tests) < 1e-3 * max(tests)
    assert len(done.suspects) == 1
    assert not done.suspects[0].alone
    assert done.suspects[0].among == (0, 1, 2, 3, 4, 5)


def test_two_readings_of_one_line_suspect_each_other() -> None:
    """A line that hangs on two tapes of itself, 0.3 m apart: one of the two is wrong, no other is suspected."""
    read = (
        *_all_pairs(),
        Observation("distance", ("A", "X"), 20.0, 0.02),
        Observation("distance", ("A", "X"), 20.3, 0.02),
    )
    read = (*read, Observation("distance", ("B", "X"), 85.44, 0.02))
    done = adjust(Network((*_points("AB"), NetPoint("X", (19.0, 6.0))), read))
    [suspect] = done.suspects
    assert (suspect.alone, suspect.among) == (False, (21, 22))


def test_a_pin_in_the_wrong_place_is_named_and_no_tape_is_blamed() -> None:
    done = adjust(Network(_points("ABCD", C=(100.5, 60.3)), _all_pairs()))
    assert done.suspects == ()
    [caution] = done.cautions
    assert caution.slug == "network-held-contradicted"
    assert caution.severity == "caution"
    assert caution.found.startswith("C, 1' 1")
    assert done.passes is False
    assert done.without is not None
    assert done.without.passes
    assert done.without.points[2].xy == pytest.approx((100.0, 60.0), abs=0.06)


def test_a_wrong_pin_and_a_wrong_tape() -> None:
    done = adjust(Network(_points("ABCD", C=(101.0, 60.3)), _with(_all_pairs(), EG=0.4)))
    pairs = ["".join(pair) for pair in itertools.combinations(TRUE, 2)]
    assert [pairs[s.index] for s in done.suspects] == ["EG"]
    assert [c.slug for c in done.cautions] == ["network-held-contradicted"]


def test_of_two_pins_the_readings_cannot_say_which() -> None:
    done = adjust(Network(_points("AB", B=(100.5, 0.0)), _all_pairs()))
    [caution] = done.cautions
    assert caution.found.startswith("A, 1' ")
    assert caution.found.endswith("; or B")
    assert (done.suspects, done.without) == ((), None)


def test_sigmas_far_too_good_are_said_and_snooping_stops() -> None:
    network = random_net(3, 30, ("angle",))
    tight = tuple(replace(o, sigma=o.sigma / 50.0) for o in network.observations)
    done = adjust(replace(network, observations=tight))
    assert "network-readings-disagree" in [c.slug for c in done.cautions]
    assert len(done.suspects) <= len(tight) // 10


def test_two_names_for_one_place() -> None:
    double = [Observation("distance", ("E2", name), math.dist(TRUE["E"], TRUE[name]) + 0.01, 0.02) for name in "ABC"]
    done = adjust(Network((*_points("AB"), NetPoint("E2", (50.0, 30.0))), (*_all_pairs(), *double)))
    assert [c.slug for c in done.cautions] == ["network-same-place"]
    assert done.cautions[0].found.startswith("E and E2, ")


def test_covariance_without_the_suspects() -> None:
    adjustment = Adjustment(Network(_points("AB"), _with(_all_pairs(), CE=0.5)))
    without = adjustment.adjusted.without
    assert without is not None
    q = adjustment.covariance(["C"], cleared=True)
    assert [q[0, 0], q[0, 1], q[1, 1]] == pytest.approx(
        [without.points[2].var_east, without.points[2].cov, without.points[2].var_north]
    )
    assert q[0, 0] + q[1, 1] > np.trace(adjustment.covariance(["C"]))


@FEW
@given(NUMBERS)
def test_robust_losses_agree_with_least_squares_where_nothing_is_wrong(number: int) -> None:
    network = Network(_points("AB"), _all_pairs(number, 0.01))
    done, huber = adjust(network, snooping=False), robust(network)
    for point in done.points:
        assert huber.places[point.name] == pytest.approx(point.xy, abs=0.02)
    assert all(0.0 < w <= 1.0 for w in huber.weights)


def test_cauchy_points_at_the_blunder() -> None:
    found = robust(Network(_points("AB"), _with(_all_pairs(), CE=0.5)), "cauchy")
    worst = int(np.argmin(found.weights))
    assert list(itertools.combinations(TRUE, 2))[worst] == ("C", "E")
    assert found.weights[worst] < 0.01
    assert found.residuals[worst] == pytest.approx(-0.5, abs=0.08)
