"""The first job file from a few answers: it reads, and nothing in it is made up."""

from __future__ import annotations

import pytest

from palewright.jobfile import new_job_text, questions, read_text

BASE = {"title": "Yard", "known": "walk", "kind": "boards"}
WALKED = {**BASE, "wall": "38' 4\"", "walk": "14 ft, right, 46 ft, right, 66 ft, right, 46 ft"}
DEED = {
    **BASE,
    "known": "deed",
    "calls": "N 01°05' W 151.40 ft; N 87°50' E 80.35 ft; S 2 E 148 ft; to beginning",
    "inside": "8 in",
}


@pytest.mark.parametrize(
    "answers",
    [BASE, WALKED, DEED, {**DEED, "inside": ""}, {**BASE, "known": "points", "points": "0 ft, 0 ft; 40 ft, 0 ft"}],
)
def test_what_is_written_reads(answers: dict[str, str]) -> None:
    text = new_job_text(answers)
    job = read_text(text)
    assert job.title == "Yard"
    asked = {at.path: at.line for at in job.asks}
    assert "locate.ticket" in asked
    assert "site.frost" in asked
    assert job.site.frost_m is None


def test_a_walk_becomes_points_and_a_run() -> None:
    job = read_text(new_job_text(WALKED))
    assert [step.length_m for step in job.walks[0].steps if step.length_m] == pytest.approx(
        [4.2672, 14.0208, 20.1168, 14.0208]
    )
    assert len(job.runs) == 1


def test_hostile_answers_stay_text() -> None:
    job = read_text(new_job_text({**BASE, "title": "a: {b} # c\"d'", "address": "- &x *y !z"}))
    assert job.title == "a: {b} # c\"d'"


def test_every_question_checks_its_own_example() -> None:
    for question in questions():
        assert question.check(question.example) == "", question.key
