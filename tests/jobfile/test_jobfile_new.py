"""The first job file from a few answers: it reads, and nothing in it is made up."""

from __future__ import annotations

import math

import pytest

from palewright.jobfile import new_job_text, questions, read_text
from palewright.plan import make_plan

BASE = {"title": "Yard", "known": "walk", "kind": "boards"}
WALKED = {**BASE, "wall": "38' 4\"", "walk": "14 ft, right, 46 ft, right, 66 ft, right, 46 ft"}
DEED = {
    **BASE,
    "known": "deed",
    "calls": "N 01°05' W 151.40 ft; N 87°50' E 80.35 ft; S 2 E 148 ft; to beginning",
    "inside": "8 in",
}
LINE = {
    "title": "Yard",
    "known": "line",
    "wire": "woven wire",
    "rules": "tennessee 2002",
    "wire side": "to the field",
    "line": "900 ft, inside angle 70° left, 800 ft, right, 400 ft",
    "gate": "16 ft",
    "gate from": "300 ft",
}


@pytest.mark.parametrize(
    "answers",
    [
        BASE,
        WALKED,
        DEED,
        {**DEED, "inside": ""},
        {**BASE, "known": "points", "points": "0 ft, 0 ft; 40 ft, 0 ft"},
        LINE,
        {**LINE, "line": ""},
        {**LINE, "line": "300 m"},
    ],
)
def test_what_is_written_reads(answers: dict[str, str]) -> None:
    text = new_job_text(answers)
    job = read_text(text)
    assert job.title == "Yard"
    asked = {at.path: at.line for at in job.asks}
    assert "locate.ticket" in asked
    assert "site.frost" in asked
    assert job.site.frost_m is None


def test_a_description_may_be_pasted_in_place_of_calls() -> None:
    """A triangle of 3, 4 and 5: 60, 80 and 100 ft."""
    text = "Beginning at a stake; Thence N 80 feet; thence E 60 feet; thence S 36°52'12\" W 100 feet to the point of beginning"
    job = read_text(new_job_text({**DEED, "calls": text, "good side": "neighbor"}))
    assert job.boundary is not None
    assert (len(job.boundary.calls), job.boundary.names) == (3, ("P1", "P2", "P3"))
    assert job.fences[0].good_side == "neighbour"
    asked = {question.key: question for question in questions()}
    assert "forty" in asked["calls"].check(
        "Beginning at a stake; thence N forty paces; thence E 60 feet; thence S to beginning"
    )
    assert not asked["yard"].asked(DEED)


def test_a_walk_becomes_points_and_a_run() -> None:
    job = read_text(new_job_text(WALKED))
    assert [step.length_m for step in job.walks[0].steps if step.length_m] == pytest.approx(
        [4.2672, 14.0208, 20.1168, 14.0208]
    )
    assert len(job.runs) == 1


def test_a_line_of_wire_is_planned_as_it_was_walked() -> None:
    """Corners of 70 degrees and of 90: the second side turns 110 degrees to the left, so C lies 800 ft back at 70 degrees."""
    (line,) = make_plan(read_text(new_job_text(LINE))).lines
    assert line.length_m / 0.3048 == pytest.approx(2100)
    assert [math.degrees(one.turn) for one in line.assemblies if one.role == "corner"] == pytest.approx([110, -90])
    assert line.path[2] == pytest.approx(
        ((900 - 800 * math.cos(math.radians(70))) * 0.3048, 800 * math.sin(math.radians(70)) * 0.3048)
    )
    assert [gate.opening_m / 0.3048 for gate in line.gates] == pytest.approx([16])


def test_hostile_answers_stay_text() -> None:
    job = read_text(new_job_text({**BASE, "title": "a: {b} # c\"d'", "address": "- &x *y !z"}))
    assert job.title == "a: {b} # c\"d'"


def test_every_question_checks_its_own_example() -> None:
    for question in questions():
        assert question.check(question.example) == "", question.key
