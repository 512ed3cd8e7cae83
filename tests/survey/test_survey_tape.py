"""Laws of the tape, the tie and the line beside which a thing stands."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from palewright.errors import ProblemError
from palewright.survey import (
    crossing_chance,
    inset_for_risk,
    length_correction,
    level_length,
    line_offset,
    measured_line,
    normal_tension,
    pull_correction,
    reading_to_set,
    relative_precision,
    sag_correction,
    semi_axes,
    swung_tie,
    temperature_correction,
    tie_gap,
)

lengths = st.floats(0.5, 300.0)


@given(lengths, st.floats(0.999, 1.001))
def test_laying_out_what_was_measured_gives_the_reading_back(true: float, stretch: float) -> None:
    """Exactly only to first order: the correction is worked out once on the reading, once on the length."""
    reading = reading_to_set(true, {"length": length_correction(true, 1.0, stretch)})
    back = measured_line(reading, {"length": length_correction(reading, 1.0, stretch)}).true_m
    assert back == pytest.approx(true, rel=2.0 * (stretch - 1.0) ** 2 + 1e-12)


@given(st.lists(st.floats(0.1, 100.0), min_size=1, max_size=6), st.floats(0.01, 1.0), st.floats(5.0, 200.0))
def test_sag_only_ever_shortens_and_a_support_more_helps(spans: list[float], weight: float, pull: float) -> None:
    whole = sag_correction([math.fsum(spans)], weight, pull)
    assert whole <= sag_correction(spans, weight, pull) <= 0.0


@given(st.floats(0.05, 1.0), st.floats(5.0, 60.0), st.floats(0.0, 150.0), st.floats(1e-6, 2e-5))
def test_at_the_normal_tension_stretch_and_sag_cancel(weight: float, span: float, standard: float, area: float) -> None:
    pull = normal_tension(weight, span, standard, area)
    stretch = pull_correction(span, pull, standard, area)
    assert pull > standard
    assert stretch + sag_correction([span], weight, pull) == pytest.approx(0.0, abs=1e-9 * span + 1e-9 * stretch)


def test_a_warm_tape_and_a_hard_pull_add() -> None:
    assert temperature_correction(30.0, 30.0, 20.0) > 0.0 > temperature_correction(30.0, 0.0, 20.0)
    assert pull_correction(30.0, 80.0, 50.0, 2e-6) > 0.0


@pytest.mark.parametrize("rise", [10.0, -10.0, 11.0])
def test_a_rise_as_long_as_the_tape_is_refused(rise: float) -> None:
    with pytest.raises(ProblemError) as caught:
        level_length(10.0, rise)
    assert caught.value.problems[0].slug == "rise-as-long-as-tape"


@pytest.mark.parametrize(
    "bad",
    [
        lambda: length_correction(-1.0, 30.0, 30.0),
        lambda: length_correction(1.0, 0.0, 30.0),
        lambda: pull_correction(1.0, 1.0, 1.0, 0.0),
        lambda: sag_correction([-1.0], 1.0, 1.0),
        lambda: sag_correction([1.0], 1.0, 0.0),
        lambda: swung_tie(1.0, 1.0, 1.0, 0.0),
        lambda: swung_tie(0.0, 1.0, 1.0),
        lambda: inset_for_risk(0.5, 1.0),
        lambda: inset_for_risk(0.0, 1.0),
        lambda: inset_for_risk(math.nan, 1.0),
        lambda: crossing_chance(1.0, -1.0),
        lambda: line_offset((0.0, 0.0), (0.0, 0.0), (1.0, 0.0), np.eye(4)),
        lambda: relative_precision((0.0, 0.0), (1.0, 0.0), np.eye(6)),
    ],
)
def test_values_out_of_range(bad: object) -> None:
    assert callable(bad)
    with pytest.raises(ValueError):
        bad()


@given(st.tuples(st.floats(-200, 200), st.floats(-200, 200)), st.floats(1.0, 200.0))
def test_a_tie_gives_the_point_back(at: tuple[float, float], base: float) -> None:
    a, b = math.hypot(*at), math.hypot(at[0] - base, at[1])
    assume(min(a, b) > 0.01)
    tie = swung_tie(base, a, b, 0.01)
    assert tie.along == pytest.approx(at[0], abs=1e-8 * (a + b) ** 2 / base)
    assert tie.off == pytest.approx(abs(at[1]), abs=1e-3 if abs(at[1]) < 1 else 1e-6)


@given(lengths, lengths, lengths)
def test_tapes_meet_or_are_off_by_the_gap(base: float, a: float, b: float) -> None:
    gap = tie_gap(base, a, b)
    if gap > 0.0:
        assert a + b + gap == pytest.approx(base)
        a += gap
    elif gap < 0.0:
        assert abs(a - b) + gap == pytest.approx(base)
        base -= gap
    else:
        assert swung_tie(base, a, b).off >= 0.0
    # lengthened by the gap they just meet (a hair more for rounding)
    assert swung_tie(base * (1 + 1e-12), a * (1 + 2e-12), b * (1 + 2e-12)).off >= 0.0 or gap


def _numbers(count: int) -> st.SearchStrategy[list[float]]:
    return st.lists(st.floats(-1.0, 1.0), min_size=count, max_size=count)


@given(_numbers(36), st.floats(-50.0, 150.0), st.floats(-30.0, 30.0), st.floats(0.0, 2.0 * math.pi))
def test_the_offset_spread_is_that_of_its_own_slopes(numbers: list[float], s: float, off: float, turn: float) -> None:
    """Variance against derivatives taken by differences: no formula shared."""
    root = np.array(numbers).reshape(6, 6) * 0.01
    cos, sin = math.cos(turn), math.sin(turn)
    places = np.array([[s, off], [0.0, 0.0], [100.0, 0.0]]) @ np.array([[cos, sin], [-sin, cos]])
    answer = line_offset(tuple(places[0]), tuple(places[1]), tuple(places[2]), root @ root.T)

    def of(flat: np.ndarray) -> float:
        p, a, b = flat.reshape(3, 2)
        d = (b - a) / np.linalg.norm(b - a)
        return float(d[0] * (p - a)[1] - d[1] * (p - a)[0])

    flat, step = places.ravel(), 1e-4
    slopes = np.array([(of(flat + e) - of(flat - e)) / (2 * step) for e in np.eye(6) * step])
    assert answer.off == pytest.approx(off, abs=1e-9)
    full = float(slopes @ root @ root.T @ slopes)
    assert answer.sigma**2 == pytest.approx(full, rel=1e-5, abs=1e-9)


@given(_numbers(4))
def test_axes_are_roots_of_the_eigenvalues(numbers: list[float]) -> None:
    root = np.array(numbers).reshape(2, 2)
    low, high = np.linalg.eigvalsh(root @ root.T)
    assert semi_axes(root @ root.T) == pytest.approx((math.sqrt(max(high, 0)), math.sqrt(max(low, 0))), abs=1e-7)


@given(st.floats(0.001, 0.499), st.floats(1e-4, 1.0), st.floats(0.0, 0.3))
def test_the_inset_leaves_the_risk_that_was_chosen(risk: float, sigma: float, half: float) -> None:
    inset = inset_for_risk(risk, sigma, half)
    assert crossing_chance(inset - half, sigma) == pytest.approx(risk, rel=1e-9)


def test_chance_without_error() -> None:
    assert (crossing_chance(1.0, 0.0), crossing_chance(0.0, 0.0), crossing_chance(-1.0, 0.0)) == (0.0, 0.5, 1.0)


def test_corners_that_move_together_are_relatively_perfect() -> None:
    together = np.block([[np.eye(2), np.eye(2)], [np.eye(2), np.eye(2)]])
    answer = relative_precision((0.0, 0.0), (30.0, 0.0), together)
    assert answer.semi_major_95 == 0.0
    assert answer.within == (True, True)
