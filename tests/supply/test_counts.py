"""Counting rules against brute force and bounds."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.supply import (
    boards_lapped,
    boards_solid,
    boards_spaced,
    rail_sticks,
    rows_of_boards,
    tension_bands,
    ties_on_post,
    whole_units,
)

INCHES = st.integers(1, 400)


@settings(max_examples=150, deadline=None)
@given(length=INCHES, width=st.integers(2, 12), gap=st.integers(0, 6))
def test_spaced_boards_fill_the_length_with_no_gap_wider_than_asked(length, width, gap):
    count, equal = boards_spaced(float(length), float(width), float(gap))
    assert equal <= gap + 1e-9
    if count > 1:
        assert count * width + (count - 1) * equal == pytest.approx(length)
        assert (count - 1) * width + (count - 2) * gap < length


@settings(max_examples=150, deadline=None)
@given(length=INCHES, width=st.integers(3, 12), overlap=st.integers(0, 2))
def test_lapped_boards_cover_and_one_fewer_does_not(length, width, overlap):
    count = boards_lapped(float(length), float(width), float(overlap))
    assert count * (width - overlap) + overlap >= length - 1e-6
    assert count == 1 or (count - 1) * (width - overlap) + overlap < length


@settings(max_examples=150, deadline=None)
@given(height=INCHES, width=st.integers(2, 12), gap=st.integers(0, 2))
def test_rows_reach_the_height_and_one_fewer_does_not(height, width, gap):
    rows = rows_of_boards(float(height), float(width), float(gap))
    assert rows * width + (rows - 1) * gap >= height
    assert rows == 1 or (rows - 1) * width + (rows - 2) * gap < height


def test_small_cases():
    assert boards_solid(0.0, 5.5) == 0
    assert boards_lapped(0.0, 5.5, 1.0) == 0
    assert boards_lapped(5.0, 5.5, 1.0) == 1
    assert boards_spaced(5.0, 5.5, 1.0) == (1, 0.0)
    assert rail_sticks([21.0, 42.0], 21.0) == (3, 3)
    assert whole_units(0.0) == 0
    assert tension_bands(0.9144) == 2
    assert tension_bands(1.8288, "3") == 3
    assert ties_on_post(1.8288, "home") == 3


@pytest.mark.parametrize(
    "call",
    [
        lambda: whole_units(-1.0),
        lambda: whole_units(1.0, 0.0),
        lambda: whole_units(float("inf")),
        lambda: boards_solid(10.0, 0.0),
        lambda: boards_spaced(0.0, 5.5, 1.0),
        lambda: boards_lapped(10.0, 5.5, 5.5),
        lambda: rows_of_boards(-1.0, 5.5, 0.0),
        lambda: rail_sticks([1.0], 0.0),
        lambda: tension_bands(0.0),
        lambda: ties_on_post(float("nan")),
    ],
)
def test_unusable_numbers_are_refused(call):
    with pytest.raises(ValueError):
        call()
