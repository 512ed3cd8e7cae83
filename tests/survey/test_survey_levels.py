"""Level networks: laws of the adjustment, the wrong reading found, and what cannot be known.

Laws from the theory of errors (Mikhail 1976): means, sums in quadrature, a datum that only shifts. Snooping: Baarda 1968.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.model import Rise
from palewright.survey import adjust_levels, level_pieces

TRUE = {"A": 0.0, "B": 1.2, "C": -0.7, "D": 2.5, "E": 0.4}
PAIRS = ["AB", "BC", "CD", "DE", "EA", "AC", "AD", "BD", "BE", "CE"]


def net(pairs: list[str], sigma: float = 0.003, off: dict[int, float] | None = None) -> list[Rise]:
    return [Rise(p[0], p[1], TRUE[p[1]] - TRUE[p[0]] + (off or {}).get(k, 0.0), sigma) for k, p in enumerate(pairs)]


def test_two_rises_of_one_pair_give_their_mean_and_a_root_of_two():
    done = adjust_levels({"A": 0.0}, [Rise("A", "B", 1.00, 0.01), Rise("B", "A", -1.02, 0.01)])
    point = done.points[1]
    assert (point.height, point.sigma) == (pytest.approx(1.01), pytest.approx(0.01 / math.sqrt(2.0)))


@given(st.lists(st.floats(1e-4, 1.0), min_size=1, max_size=8))
def test_sigmas_of_a_chain_add_in_quadrature(sigmas: list[float]):
    rises = [Rise(f"P{k}", f"P{k + 1}", 0.1, sigma) for k, sigma in enumerate(sigmas)]
    done = adjust_levels({"P0": 5.0}, rises)
    assert done.points[-1].sigma == pytest.approx(math.hypot(*sigmas), rel=1e-6)


@given(st.floats(-1e3, 1e3), st.lists(st.floats(-0.01, 0.01), min_size=10, max_size=10))
def test_another_datum_shifts_every_height_and_changes_nothing_else(shift: float, errors: list[float]):
    rises = net(PAIRS, off=dict(enumerate(errors)))
    one, two = adjust_levels({"A": 0.0}, rises), adjust_levels({"A": shift}, rises)
    assert [b.height - a.height for a, b in zip(one.points, two.points, strict=True)] == pytest.approx(
        [shift] * 5, abs=1e-9
    )
    assert [p.sigma for p in one.points] == pytest.approx([p.sigma for p in two.points])
    assert one.weighted_squares == pytest.approx(two.weighted_squares, rel=1e-6, abs=1e-9)


@given(st.lists(st.floats(-0.01, 0.01), min_size=10, max_size=10))
def test_heights_are_those_of_a_general_least_squares_routine(errors: list[float]):
    rises = net(PAIRS, off=dict(enumerate(errors)))
    names = "BCDE"
    rows = np.array([[(n == r.end) - float(n == r.start) for n in names] for r in rises]) / 0.003
    expected, *_ = np.linalg.lstsq(rows, np.array([r.value for r in rises]) / 0.003, rcond=None)
    found = {p.name: p.height for p in adjust_levels({"A": 0.0}, rises).points}
    assert [found[n] for n in names] == pytest.approx(expected.tolist(), abs=1e-9)


@settings(max_examples=40)
@given(st.integers(0, len(PAIRS) - 1), st.sampled_from([-0.3048, -0.1, 0.1, 0.3048]))
def test_one_wrong_reading_of_a_net_is_named_with_its_size(k: int, by: float):
    done = adjust_levels({"A": 0.0}, net(PAIRS, off={k: by}))
    (suspect,) = done.suspects
    assert (suspect.index, suspect.by, suspect.alone) == (k, pytest.approx(by), True)
    assert {p.name: p.height for p in done.without.points} == pytest.approx(TRUE, abs=1e-9)


@given(st.integers(0, 4))
def test_a_single_loop_cannot_say_which(k: int):
    done = adjust_levels({"A": 0.0}, net(PAIRS[:5], off={k: 0.3}))
    (suspect,) = done.suspects
    assert done.dof == 1
    assert (suspect.alone, suspect.among) == (False, (0, 1, 2, 3, 4))


def test_between_two_given_heights_either_may_be_wrong_and_a_third_tells():
    chain = net(["AB", "BC"])
    done = adjust_levels({"A": 0.0, "C": -0.2}, chain)
    assert (done.suspects[0].alone, done.suspects[0].among, done.doubted) == (False, (0, 1), ("A", "C"))
    more = adjust_levels({"A": 0.0, "C": -0.2, "D": 2.5, "E": 0.4}, net(PAIRS))
    assert (more.suspects, more.doubted) == ((), ("C",))
    free = {p.name: p for p in more.without.points}
    assert free["C"].height == pytest.approx(-0.7)
    assert free["C"].sigma > 0.0


def test_readings_within_their_tools_name_nobody():
    done = adjust_levels({"A": 0.0}, net(PAIRS, off={0: 0.003, 4: -0.002, 7: 0.004}))
    assert (done.suspects, done.doubted, done.without, done.passes) == ((), (), None, True)


def test_readings_of_one_set_up_share_its_line_of_sight_and_nothing_more():
    """Two foresights from one set-up: each point stands with two readings, their difference with two as well."""
    rod = [Rise("BM", "sight", 1.3, 0.01), Rise("B", "sight", 1.0, 0.01), Rise("C", "sight", 0.9, 0.01)]
    from_mark = {p.name: p for p in adjust_levels({"BM": 10.0}, rod).points}
    from_b = {p.name: p for p in adjust_levels({"B": 0.0}, rod).points}
    assert (from_mark["B"].height, from_mark["C"].height) == (pytest.approx(10.3), pytest.approx(10.4))
    assert from_mark["B"].sigma == pytest.approx(0.01 * math.sqrt(2.0))
    assert from_b["C"].sigma == pytest.approx(0.01 * math.sqrt(2.0))


def test_parts_are_told():
    rises = net(["AB", "CD"])
    assert level_pieces(rises) == (("A", "B"), ("C", "D"))
    assert adjust_levels({"A": 0.0}, rises).undetermined == ("C", "D")
