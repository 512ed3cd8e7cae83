"""Whatever is typed: a value, or a NotationError with a span inside the text."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import NotationError
from palewright.notation import parse_angle, parse_bearing, parse_call, parse_grade, parse_length, parse_money

READERS: list[Callable[[str], Any]] = [
    parse_length,
    lambda text: parse_length(text, unit="ft", vara="texas", signed=True),
    lambda text: parse_length("5", unit=text),
    parse_angle,
    parse_bearing,
    parse_call,
    lambda text: parse_call(text, unit="ch"),
    parse_grade,
    lambda text: parse_grade(text, signed=True),
    parse_money,
]
PIECES = [
    "1", "12", "0", "3/8", "1/2", "½", "4.5", ".5", "1,234", "60", "90", "361", "ft", "in", "'", '"', "''", "′", "″", "-", "–",
    " ", "m", "cm", "ch", "lk", "US", "survey", "varas", "Texas", "(", ")", ",", "and", "N", "S", "E", "W", "north", "due", "°",
    "deg", "az", "from", "per", "in", ":", "%", "$", "€", "USD", "to", "beginning", "thence", "thirty", "five", "+", "/", "\n",
    "nan", "inf", "1e5", "99999999999999", "٣", "²", "\u00a0", "\u200b",
]  # fmt: skip


def check(reader: Callable[[str], Any], text: str) -> None:
    try:
        reader(text)
    except NotationError as error:
        (problem,) = error.problems
        assert problem.slug
        assert 1 <= problem.where.column <= len(text) + 1
        assert 1 <= problem.where.width <= max(len(text), 1)
        assert problem.what
        problem.render()


@pytest.mark.parametrize("reader", READERS)
def test_pieces_in_any_order(reader: Callable[[str], Any]) -> None:
    @settings(max_examples=150, deadline=None)
    @given(st.lists(st.sampled_from(PIECES), max_size=12).map("".join))
    def run(text: str) -> None:
        check(reader, text)

    run()


@pytest.mark.parametrize("reader", READERS)
def test_any_text(reader: Callable[[str], Any]) -> None:
    @settings(max_examples=100, deadline=None)
    @given(st.text(max_size=250))
    def run(text: str) -> None:
        check(reader, text)

    run()
