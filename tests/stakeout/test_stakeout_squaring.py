"""Ranges of the triangle functions, and properties."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import ProblemError
from palewright.stakeout import chord, diagonal_tolerance, inside_angle, square, turn_sigma

legs = st.floats(0.1, 100.0)
angles = st.floats(0.05, math.pi - 0.05)


@settings(max_examples=150, deadline=None)
@given(legs, legs, angles)
def test_chord_and_angle_undo_each_other(a: float, b: float, angle: float) -> None:
    assert inside_angle(a, b, chord(a, b, angle)) == pytest.approx(angle, abs=1e-6)
    assert chord(a, b, angle) == pytest.approx(
        math.sqrt(a * a + b * b - 2 * a * b * math.cos(angle)), rel=1e-6, abs=1e-6
    )


@settings(max_examples=150, deadline=None)
@given(legs, legs, st.floats(0.3, math.pi - 0.3), st.floats(1.0, 200.0))
def test_the_tolerance_moves_the_far_end_by_what_was_allowed(a: float, b: float, angle: float, far: float) -> None:
    """Held too long by the tolerance, the far end moves by the allowance (first order: within 1 per cent)."""
    sideways = min(a, b) * 1e-5
    tolerance = diagonal_tolerance(a, b, angle, far, sideways)
    moved = square(a, b, angle, tolerance, far).sideways_m
    assert moved == pytest.approx(sideways, rel=0.01)


@settings(max_examples=100, deadline=None)
@given(legs, legs, angles, st.floats(0.0, 0.1))
def test_sigma_is_the_root_of_the_squares_of_the_three_effects(a: float, b: float, angle: float, sigma: float) -> None:
    c, h = chord(a, b, angle), 1e-6
    slopes = (
        (math.acos(cosine(a + h, b, c)) - math.acos(cosine(a - h, b, c))) / (2 * h),
        (math.acos(cosine(a, b + h, c)) - math.acos(cosine(a, b - h, c))) / (2 * h),
        (math.acos(cosine(a, b, c + h)) - math.acos(cosine(a, b, c - h))) / (2 * h),
    )
    assert turn_sigma(a, b, sigma, angle) == pytest.approx(sigma * math.hypot(*slopes), rel=1e-3, abs=1e-9)


def cosine(a: float, b: float, c: float) -> float:
    return (a * a + b * b - c * c) / (2 * a * b)


def test_ranges_are_kept() -> None:
    for call in (
        lambda: square(0.0, 1.0),
        lambda: square(1.0, -1.0),
        lambda: square(1.0, 1.0, 0.0),
        lambda: square(1.0, 1.0, math.pi),
        lambda: square(1.0, 1.0, run=-1.0),
        lambda: chord(1.0, 1.0, 4.0),
        lambda: chord(math.nan, 1.0, 1.0),
        lambda: turn_sigma(1.0, 1.0, -0.1),
        lambda: diagonal_tolerance(1.0, 1.0, 1.0, 0.0, 0.1),
    ):
        with pytest.raises(ValueError):
            call()


def test_a_triangle_that_cannot_be() -> None:
    with pytest.raises(ProblemError) as caught:
        square(3.0, 4.0, error=3.0)
    assert caught.value.problems[0].slug == "triangle-impossible"


def test_no_error_no_turn() -> None:
    answer = square(3.0, 4.0, run=100.0)
    assert (answer.diagonal_m, answer.turn, answer.sideways_m) == (5.0, 0.0, 0.0)
    assert square(3.0, 4.0, error=-0.01, run=10.0).sideways_m < 0.0
