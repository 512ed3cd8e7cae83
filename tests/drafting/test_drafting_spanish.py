"""Problems on a screen in Spanish: said in Spanish where there are words, else marked as English."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

import palewright
from palewright.drafting import apply, edits_from_json, sight
from palewright.drafting.words.saying import said_in
from palewright.errors import ProblemError

ROOT = Path(palewright.__file__).parent
CATALOGUE = tomllib.loads((ROOT / "drafting" / "words" / "problems_es.toml").read_text("utf-8"))
JOB = """palewright: 1
job: {title: Yard}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [0 ft, 40 ft]}, C: {at: [60 ft, 40 ft]}}
fences: {f: {kind: boards, board: 6 ft, good side: neighbour}}
runs:
  - {name: rear, fence: FENCE, through: [A, B, C], yard: right, follows: racked, gates: [{opening: 4 ft, starts: 70 ft from A}]}
"""


@pytest.fixture(scope="module")
def sources() -> str:
    """Every text of the program, with what is put into it as {}."""
    text = "".join(path.read_text("utf-8") for path in ROOT.rglob("*.py"))
    return re.sub(r"\{[^{}]*(\{[^{}]*\})?[^{}]*\}", "{}", re.sub(r'"\s*\n\s*f?"', "", text))


@pytest.mark.parametrize("known", CATALOGUE)
def test_every_entry_is_a_sentence_of_the_program(known: str, sources: str) -> None:
    assert known in sources


@pytest.mark.parametrize("known", CATALOGUE)
def test_names_and_numbers_come_through_whole(known: str) -> None:
    names = [f"<{k}>" for k in range(known.count("{}"))]
    said = said_in(known.format(*names), "es")
    assert said is not None
    assert all(said.count(name) == 1 for name in names)
    assert said_in(known.format(*names), "en") is None


def test_a_problem_of_the_job_is_in_the_language_of_the_screen() -> None:
    found = next(n for n in sight(JOB.replace("FENCE", "f"), language="es").notices if n.level == "problem")
    assert found.text.startswith("El portón gate 1 ")
    assert found.language == ""
    assert found.about == "gate gate 1"
    english = next(n for n in sight(JOB.replace("FENCE", "f")).notices if n.level == "problem")
    assert (english.slug, english.line, english.language) == (found.slug, found.line, "")


def test_what_has_no_words_is_marked_as_english() -> None:
    broken = JOB.replace("FENCE", "f").replace("opening: 4 ft", "opening: 4 ft, sings: loud")
    found = next(n for n in sight(broken, language="es").notices if n.level == "problem")
    assert found.language == "en"


def test_an_edit_is_refused_in_spanish() -> None:
    edit = edits_from_json([{"kind": "length", "about": "leg rear 1", "length": "9 quux"}])
    with pytest.raises(ProblemError) as refused:
        apply(JOB.replace("FENCE", "f"), edit, None, "es")
    problem = refused.value.problems[0]
    assert problem.what == "esto no es una unidad de largo"
    assert problem.found == "'quux'"
