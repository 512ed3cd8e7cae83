"""From words to a standard deviation: rows, the poorer of equals, triangles, and whatever is typed."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.errors import ProblemError, TableError, Where
from palewright.model import Measurement
from palewright.sources import all_sources
from palewright.survey import right_angle_sigma, stated_sigma, tool_accuracy, triangle_legs
from palewright.tables import tool_accuracies

FT = 0.3048
KINDS = ("length", "angle", "position", "line", "setting")


@pytest.mark.parametrize("kind", KINDS)
def test_every_row_has_a_source_and_its_own_name_means_it(kind: str) -> None:
    tools = tool_accuracies(kind)
    assert sum(tool.unset for tool in tools) == 1
    for tool in tools:
        assert tool.source in all_sources()
        assert tool.fixed > 0.0
        assert tool.per > 1.0
        assert tool.doc
        assert tool_accuracy(tool.name, kind) is tool


SAID = [
    ("long fibreglass", "length", "long fibreglass tape"),
    ("Long Fiberglass!", "length", "long fibreglass tape"),
    ("fibreglas", "length", "long fibreglass tape"),
    ("steel", "length", "steel tape"),
    ("stell tape", "length", "steel tape"),
    ("steel tape and two people", "length", "steel tape, two people"),
    ("tape", "length", "long fibreglass tape"),
    ("", "length", "long fibreglass tape"),
    ("wheel", "length", "wheel on grass"),
    ("a wheel on the pavement", "length", "wheel on pavement"),
    ("hand laser", "length", "hand laser"),
    ("I paced it", "length", "pacing"),
    ("cinta de acero", "length", "steel tape"),
    ("estación total", "angle", "total station"),
    ("phone", "position", "phone"),
    ("county map", "position", "county map"),
    ("RTK rover", "position", "RTK receiver"),
    ("plat", "position", "licensed survey"),
    ("speed square", "angle", "speed square"),
    ("square", "angle", "speed square"),
    ("builder's transit", "angle", "builder's transit"),
    ("", "angle", "by eye"),
    ("string", "line", "string"),
]


@pytest.mark.parametrize(("words", "kind", "name"), SAID)
def test_words_and_the_row_they_mean(words: str, kind: str, name: str) -> None:
    assert tool_accuracy(words, kind).name == name


def test_words_nobody_knows_list_the_choices() -> None:
    with pytest.raises(ProblemError) as caught:
        tool_accuracy("sextant")
    (problem,) = caught.value.problems
    assert problem.slug == "accuracy-unknown"
    assert "long fibreglass tape" in problem.allowed
    with pytest.raises(TableError):
        tool_accuracy("steel", "weight")


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ("laser unicorn", "`unicorn` says nothing of a tool"),
        ("wheelage", "did you mean `wheel`?"),
        ("steel tape, made of pumpernickel", "`made` says nothing of a tool"),
    ],
)
def test_a_word_that_says_nothing_of_a_tool_is_refused_with_the_nearest_spelling(words: str, hint: str) -> None:
    with pytest.raises(ProblemError) as caught:
        tool_accuracy(words)
    (problem,) = caught.value.problems
    assert problem.slug == "accuracy-unknown"
    assert hint in problem.hint


@pytest.mark.parametrize("words", ["100 ft steel tape", "steel tape and a helper", "steel tape, 30 m"])
def test_numbers_units_and_helpers_may_stand_beside_a_tool(words: str) -> None:
    assert tool_accuracy(words).name == "steel tape"


def test_sigma_grows_as_the_root_of_the_squares() -> None:
    steel = tool_accuracy("steel, two people")
    assert steel.sigma(0.0) == pytest.approx(0.01 * FT)
    assert steel.sigma(100 * FT) == pytest.approx(0.01 * math.sqrt(2.0) * FT)
    assert tool_accuracy("phone", "position").sigma(1e6) == pytest.approx(3.5)


def attempt(ask: Callable[..., Any], *words: str) -> tuple[Any, list[str]]:
    """The answer, or the slugs of the problems."""
    try:
        return ask(*words), []
    except ProblemError as error:
        return None, [problem.slug for problem in error.problems]


@given(st.text(max_size=300), st.sampled_from(KINDS))
def test_any_words_give_a_row_or_a_problem(words: str, kind: str) -> None:
    found, slugs = attempt(tool_accuracy, words, kind)
    assert found.kind == kind if found else slugs == ["accuracy-unknown"]


@given(st.text(alphabet="0123456789-. ftinm'\"x:", max_size=60))
def test_any_numbers_give_a_triangle_nothing_or_a_problem(words: str) -> None:
    sides, slugs = attempt(triangle_legs, words)
    assert slugs in ([], ["triangle-not-square"])
    assert sides is None or 0.0 < sides[0] <= sides[1] < sides[2]


@pytest.mark.parametrize(
    ("words", "legs"),
    [
        ("3-4-5", (3, 4, 5)),
        ("9-12-15 ft", (9, 12, 15)),
        ("6 - 8 - 10 feet, steel", (6, 8, 10)),
        ("15-12-9", (9, 12, 15)),
        ("30-40-50 in", (2.5, 10 / 3, 25 / 6)),
        ("by string", None),
    ],
)
def test_triangles_in_words(words: str, legs: tuple[float, float, float] | None) -> None:
    found = triangle_legs(words)
    assert (found is None) == (legs is None)
    if found and legs:
        assert [side / FT for side in found] == pytest.approx(legs)


def test_three_numbers_that_are_no_right_angle() -> None:
    with pytest.raises(ProblemError) as caught:
        triangle_legs("3-4-6 ft")
    assert "5' 0\"" in caught.value.problems[0].hint


def test_a_right_angle_against_a_random_trial() -> None:
    """Legs and diagonal of a 9-12-15 with the sigmas of a steel tape, angle by the law of cosines: spread of 200,000 draws."""
    steel, random = tool_accuracy("steel"), np.random.default_rng(7)
    sides = np.array([9.0, 12.0, 15.0]) * FT
    a, b, c = (side + random.normal(0.0, steel.sigma(side), 200_000) for side in sides)
    spread = float(np.std(np.arccos((a**2 + b**2 - c**2) / (2 * a * b))))
    assert right_angle_sigma(9 * FT, 12 * FT, steel) == pytest.approx(spread, rel=0.01)


@given(st.floats(0.1, 50.0), st.floats(0.1, 50.0), st.floats(1.1, 10.0))
def test_a_larger_triangle_is_better(a: float, b: float, k: float) -> None:
    steel = tool_accuracy("steel")
    assert right_angle_sigma(k * a, k * b, steel) < right_angle_sigma(a, b, steel)


def test_what_a_measurement_says() -> None:
    tape = Measurement("tape", ("A", "B"), 30.48, how="steel", text="100 ft")
    assert stated_sigma(tape, "distance", 30.48) == pytest.approx(math.hypot(0.02, 100 / 5000) * FT)
    square = Measurement("square", ("A", "B", "C"), math.pi / 2, how="9-12-15 ft, steel")
    assert stated_sigma(square, "angle", math.pi / 2) == pytest.approx(
        right_angle_sigma(9 * FT, 12 * FT, tool_accuracy("steel"))
    )
    record = Measurement("tape", ("A", "B"), 30.48, source="record")
    assert stated_sigma(record, "distance", 30.48) == tool_accuracy("plat").sigma(30.48)
    assert math.degrees(stated_sigma(None, "assumed", 1.0)) == pytest.approx(2.0)
    assert math.degrees(stated_sigma(None, "direction", 1.0)) == pytest.approx(5 / 60)
    odd = Measurement("tape", ("A", "B"), 1.0, how="sextant", at=Where("job.yaml", 4, 7))
    with pytest.raises(ProblemError) as caught:
        stated_sigma(odd, "distance", 1.0)
    assert caught.value.problems[0].where.line == 4
