"""From an empty page to a first sheet by answering plain questions."""

from __future__ import annotations

import re

import pytest

from palewright import drafting, plan
from palewright.errors import ProblemError
from palewright.jobfile import Document, read_text
from palewright.plan.site import build_site
from palewright.survey import Adjustment

EMPTY = "palewright: 1\njob: {title: Yard}\n"
ANSWERS = (
    ("house", {"length": "38' 4\"", "tool": "steel tape"}),
    ("begin", {"length": "14 ft"}),
    ("on", {"length": "46' 6\""}),
    ("on", {"length": "66' 4\"", "turn": "right"}),
    ("on", {"length": "46' 6\""}),
    ("on", {"length": "14 ft", "answer": "back"}),
    ("fence", {"tall": "6 ft", "good": "neighbour"}),
    ("yard", {"answer": "right"}),
    ("ends", {"answer": "bracket"}),
    ("ends", {"answer": "bracket"}),
    ("gate", {"opening": "4 ft", "starts": "5 ft", "answer": "go"}),
    ("tape", {"reads": "48' 6 3/4\"", "tool": "long fibreglass"}),
)


def walked(language: str, upto: int = len(ANSWERS)) -> str:
    text = EMPTY
    for slug, values in ANSWERS[:upto]:
        question = drafting.walk_questions(text, language).question
        assert question is not None
        assert question.slug == slug
        filled = {field.key: field.value for field in question.fields} | {"answer": "go"} | values
        text = drafting.walk_answer(text, slug, filled, language).text
    return text


def test_the_file_reads_as_a_person_would_have_written_it() -> None:
    assert (
        walked("en")
        == """\
palewright: 1
job: {title: Yard}

walls:
  - {from: house left, to: house right, length: 38' 4", with: steel tape}

walks:
  - from: house left
    along: house right
    go: [14 ft, right, 46' 6", right, 66' 4", right, 46' 6"]
    call: [A, B, C, D]

measured:
  - {tape: [D, house right], reads: 14 ft}
  - {tape: [house right, C], reads: 48' 6 3/4", with: long fibreglass}

fences:
  boards:
    kind: boards
    board: 6 ft
    good side: neighbour

runs:
  - name: yard
    fence: boards
    through: [house left, A, B, C, D, house right]
    yard: right
    follows: ask
    ends:
      house left: {at wall: bracket}
      house right: {at wall: bracket}
    gates:
      - {name: gate, opening: 4 ft, starts: 5 ft from house left, hinges: ask, swings: ask}

locate: {ticket: ask, called on: ask, legal from: ask, expires: ask}
site: {frost: ask, soil: ask, wind: ask, exposure: ask}
"""
    )


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_first_sheet_can_be_made_and_nothing_was_invented(language: str) -> None:
    text = walked(language)
    made = plan.make_plan(read_text(text), search_cuts=False)
    assert len(made.design.posts) > 20
    assert not made.site.north
    assert made.site.ring is None
    assert made.settings.frost_m is None
    said = " ".join(drafting.walk_questions(text, language).said)
    assert ("frost" if language == "en" else "helada") in said


def test_assumed_corners_are_listed_until_they_are_measured() -> None:
    text = walked("en", 5)
    assert sum("right angle" in line for line in drafting.walk_questions(text).said) >= 2
    measured = drafting.apply(text, drafting.edits_from_json([{"kind": "square", "points": ["A", "B", "C"]}])).text
    assert sum("right angle" in line for line in drafting.walk_questions(measured).said) < sum(
        "right angle" in line for line in drafting.walk_questions(text).said
    )


def test_an_answer_that_cannot_be_used_is_told_in_words() -> None:
    with pytest.raises(ProblemError) as wrong:
        drafting.walk_answer(EMPTY, "house", {"left": "a", "right": "b", "length": "thirty"})
    assert wrong.value.problems[0].found.strip("'") == "thirty"
    with pytest.raises(ProblemError) as nothing:
        drafting.walk_answer(EMPTY, "house", {"left": "a"})
    assert nothing.value.problems[0].slug == "answer-unusable"
    with pytest.raises(ProblemError):
        drafting.walk_answer(EMPTY, "no such question", {})


def test_two_places_for_one_point_are_asked_about() -> None:
    rows = [("A", "B", "40 ft"), ("A", "C", "30 ft"), ("B", "C", "50 ft")]
    text = EMPTY + "measured:\n" + "".join(f"  - {{tape: [{a}, {b}], reads: {reads}}}\n" for a, b, reads in rows)
    question = drafting.walk_questions(text).question
    assert question is not None
    assert question.slug == "side"
    filled = {field.key: field.value for field in question.fields} | {"answer": "right"}
    after = drafting.walk_answer(text, "side", filled).text
    point = filled["point"]
    assert Document(after).get(["points", point, "right of"]) == [filled["a"], filled["b"]]
    assert not [n for n in drafting.sight(after).notices if n.level == "problem"]


TAPED = {
    ("house right", "C"): "48' 6 3/4\"",
    ("house left", "C"): "70'",
    ("house right", "B"): "70'",
    ("house left", "B"): "48' 6 3/4\"",
}


def taped(**other: str) -> str:
    """The walk with ties to B and C that agree, but for those that are given otherwise (``left_b``, ``right_c``)."""
    reads = {f"{a.split()[1]}_{b.lower()}": (a, b, text) for (a, b), text in TAPED.items()}
    rows = [(a, b, other.get(key, text)) for key, (a, b, text) in reads.items()]
    lines = "".join(f"  - {{tape: [{a}, {b}], reads: {text}}}\n" for a, b, text in rows)
    before, after = walked("en", len(ANSWERS) - 1).split("\nfences:\n")
    return f"{before}{lines}\nfences:\n{after}"


@pytest.mark.parametrize(
    ("language", "said"), [("en", "longer than the rest allow"), ("es", "de lo que permiten las demás medidas")]
)
def test_readings_that_contradict_each_other_are_told_with_the_one_that_looks_misread(language: str, said: str) -> None:
    """Ten feet more on one of four ties: by Pythagoras it is 48' 6 3/4", from 14 ft and 46' 6"."""
    assert drafting.walk_questions(taped(), language).doubts == ()
    doubts = drafting.walk_questions(taped(left_b="58' 6 3/4\""), language).doubts
    assert len(doubts) == 1
    assert "house left" in doubts[0]
    assert "48' 6 3/4\"" in doubts[0]
    assert said in doubts[0]


def test_where_nothing_tells_which_reading_is_wrong_all_that_may_be_are_named() -> None:
    text = taped(right_c="58' 6 3/4\"").replace("  - {tape: [house left, B], reads: 48' 6 3/4\"}\n", "")
    doubts = drafting.walk_questions(text).doubts
    assert any(
        all(name in line for name in ("house right - C", "house left - C", "house right - B")) for line in doubts
    )


def test_a_fence_without_a_gate_is_said_once() -> None:
    text = walked("en", len(ANSWERS) - 2)
    question = drafting.walk_questions(text).question
    assert question is not None
    filled = {field.key: field.value for field in question.fields} | {"answer": "none"}
    text = drafting.walk_answer(text, question.slug, filled).text
    assert Document(text).get("runs[0].gates") == []
    after = drafting.walk_questions(text).question
    assert after is not None
    assert after.slug == "tape"


def test_the_way_is_drawn_as_it_is_walked_and_the_turn_stays() -> None:
    text = walked("en", 4)
    points = {item.text: item.centre for item in drafting.sight(text).items if item.kind == "point"}
    (way,) = (item for item in drafting.sight(text).items if item.kind == "walk")
    assert way.points == tuple(points[name] for name in ("house left", "A", "B", "C"))
    left = drafting.walk_answer(text, "on", {"turn": "left", "length": "8 ft", "name": "D"}).text
    question = drafting.walk_questions(left).question
    assert question is not None
    assert {field.key: field.value for field in question.fields}["turn"] == "left"
    assert not [item for item in drafting.sight(walked("en", 6)).items if item.kind == "walk"]  # a fence stands there


def test_the_next_tape_is_read_with_what_the_one_before_was() -> None:
    text = taped().replace("reads: 48' 6 3/4\"}", "reads: 48' 6 3/4\", with: pacing}")
    question = drafting.walk_questions(text).question
    assert question is not None
    assert {field.key: field.value for field in question.fields}["tool"] == "pacing"


def test_how_well_a_point_is_known_is_one_figure_while_a_misread_tape_stands() -> None:
    """That of the readings without the misread one: on the drawing, in the advice, and in the covariance behind both."""
    text = taped(left_b="58' 6 3/4\"")
    seen = drafting.sight(text)
    said = re.search(r"(\S+) would then stand within .+ instead of (.+), 19 times in 20", seen.next[0].text)
    assert said is not None
    point = next(item.say for item in seen.items if item.id == f"point {said[1]}")
    assert f"± {said[2]}, 19 times in 20" in point
    survey = build_site(read_text(text)).survey
    assert survey is not None
    whole = Adjustment(survey.network)
    for cleared, fit in ((False, whole.adjusted.points), (True, whole.adjusted.without.points)):  # type: ignore[union-attr]
        for one in fit:
            variance = whole.covariance((one.name,), cleared)
            largest = max(variance[0, 0] + variance[1, 1] - one.semi_minor**2, 0.0)  # the trace is that of the ellipse
            assert largest**0.5 == pytest.approx(one.semi_major, abs=1e-6)
