"""What a corner rests on, as typed."""

from __future__ import annotations

import pytest

from palewright.errors import JobError
from palewright.jobfile import read_text
from palewright.model import CornerEvidence, CornerSpec

JOB = """\
palewright: 1
job: {{title: T, print: feet-inches}}
boundary:
  start: A
  names: [A, B, C, D]
  calls: [N 0 E 100 ft, N 90 E 100 ft, S 0 W 100 ft, N 90 W 100 ft]
  corners: {{{corners}}}
"""


def corner(text: str) -> CornerSpec:
    job = read_text(JOB.format(corners=text))
    assert job.boundary is not None
    return job.boundary.corners[0]


def test_a_pin_in_parts() -> None:
    made = corner(
        "A: {what: iron rod, size: 5/8 in, cap: cap 12, stamp: cross, matches record: yes, rests on: monument,"
        " who: crew lead, when: 2026-05-04, record: 5/8 in iron rod}"
    )
    assert (made.found, made.matches_record) == ("5/8 in iron rod, cap 12, cross", True)
    assert made.evidence == CornerEvidence(
        "monument", "crew lead", "2026-05-04", "iron rod", "5/8 in", "cap 12", "cross", None, "5/8 in iron rod"
    )


def test_words_stand_as_typed_beside_parts() -> None:
    made = corner("A: {found: old rod in a wall, size: 5/8 in}")
    assert (made.found, made.evidence.size) == ("old rod in a wall", "5/8 in")


def test_a_witness_bar_has_its_distance() -> None:
    assert corner("A: {found: 5/8 in bar, stands off: 3 ft}").evidence.stands_off_m == pytest.approx(0.9144)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("gnss", "gnss"), ("map", "map"), ("neighbor's fence", "neighbour's fence"), ("owner's word", "owner's word")],
)
def test_what_a_corner_rests_on_without_a_pin(typed: str, meant: str) -> None:
    made = corner(f'A: {{rests on: "{typed}", who: owner}}')
    assert (made.found, made.evidence.rests_on, made.evidence.who) == ("", meant, "owner")


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("A: {rests on: monument}", "missing-key"),
        ("A: {matches record: yes}", "missing-key"),
        ("A: {stands off: 3 ft}", "missing-key"),
        ("A: {rests on: hearsay}", "not-a-choice"),
        ("A: {found: pin, stands off: -3 ft}", "length-out-of-range"),
    ],
)
def test_what_does_not_fit_is_a_problem(text: str, slug: str) -> None:
    with pytest.raises(JobError) as caught:
        corner(text)
    assert [problem.slug for problem in caught.value.problems] == [slug]
