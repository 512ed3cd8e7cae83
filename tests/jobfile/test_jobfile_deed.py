"""A legal description in the job file: its calls, its corners, and problems at their place in the file."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import JobError, ProblemError
from palewright.jobfile import read_bytes, read_deed_text
from palewright.model import BoundarySpec

FT = 0.3048
WORDS = """\
Beginning at a 5/8" iron pin; thence N 80.00 feet to a stone;
thence E 60.00 feet along Mill Road, more or less, to a 1/2 inch pipe; thence S 37 W to the POINT OF BEGINNING."""


def job(value: str, more: str = "") -> bytes:
    return f"palewright: 1\njob: {{title: T}}\nboundary:\n  names: [A, B, C]\n  deed: {value}\n{more}".encode()


def block(words: str, style: str = "|") -> str:
    return style + "\n" + "\n".join(f"    {line}" for line in words.split("\n"))


def boundary(value: str, more: str = "") -> BoundarySpec:
    made = read_bytes(job(value, more), "job.yaml").boundary
    assert made is not None
    return made


@pytest.mark.parametrize(
    "value",
    [block(WORDS), block(WORDS, ">"), block(WORDS, "|-"), "'" + " ".join(WORDS.split()) + "'"],
    ids=["block", "folded", "stripped", "quoted"],
)
def test_a_description_gives_the_calls_of_the_ring(value: str) -> None:
    spec = boundary(value)
    assert [call.text for call in spec.calls] == ["N 80.00 feet", "E 60.00 feet more or less", "S 37 W"]
    assert [call.length_m and round(call.length_m / FT, 9) for call in spec.calls] == [80.0, 60.0, None]
    assert [call.about for call in spec.calls] == [False, True, False]
    assert spec.prose is not None
    assert [line.along for line in spec.prose.lines] == [(), ("along Mill Road",), ()]


def test_what_the_record_calls_for_is_the_record_of_a_corner_and_no_more() -> None:
    corners = {c.name: c for c in boundary(block(WORDS)).corners}
    assert [corners[name].evidence.record for name in "ABC"] == ['5/8" iron pin', "stone", "1/2 inch pipe"]
    assert not any(corner.found or corner.matches_record for corner in corners.values())
    typed = boundary(block(WORDS), "  corners: {B: {record: a granite post}}\n")
    assert [corner.evidence.record for corner in typed.corners if corner.name == "B"] == ["a granite post"]


@pytest.mark.parametrize("style", ["|", ">", "|2-"])
def test_a_problem_is_marked_in_the_file(style: str) -> None:
    words = WORDS.replace("60.00 feet", "60.00 feet and 7 widgets")
    data = job(block(words, style))
    with pytest.raises(JobError) as told:
        read_bytes(data, "job.yaml")
    (problem,) = told.value.problems
    assert problem.slug == "deed-number-not-read"
    line = data.decode().splitlines()[problem.where.line - 1]
    assert line[problem.where.column - 1 :].startswith("7 widgets")
    assert (problem.where.file, problem.where.path, problem.where.width) == ("job.yaml", "boundary.deed", 1)
    assert problem.excerpt == line


def test_a_boundary_is_given_in_one_way() -> None:
    with pytest.raises(JobError) as told:
        read_bytes(job(block(WORDS), "  calls: [N 1 ft, E 1 ft, to beginning]\n"), "job.yaml")
    assert "boundary-way" in {problem.slug for problem in told.value.problems}


def test_a_long_description_is_taken_and_a_longer_one_is_not() -> None:
    long = WORDS.replace("to a stone", "to a stone " + "by the old orchard " * 300)
    assert len(boundary(block(long)).calls) == 3
    with pytest.raises(JobError) as told:
        read_bytes(job(block(WORDS + "\nand so on" * 2500)), "job.yaml")
    assert "text-too-long" in {problem.slug for problem in told.value.problems}


def test_a_file_holds_calls_or_a_description() -> None:
    assert read_deed_text("# a deed\nN 80 ft\nE 60 ft\nS 37 W 100 ft\n").prose is None
    deed = read_deed_text(f"# pasted from the plat\n{WORDS}\n", "deed.txt")
    assert deed.prose is not None
    assert [call.at.line for call in deed.calls] == [2, 3, 3]
    assert [call.at.file for call in deed.calls] == ["deed.txt"] * 3
    with pytest.raises(ProblemError) as told:
        read_deed_text("N 80 ft\nE 60 parsecs\n", "deed.txt")
    assert [problem.where.line for problem in told.value.problems] == [2]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200).map(lambda words: f"Beginning at a stake; thence {words}; thence N 3 feet"))
def test_any_file_gives_a_deed_or_problems_at_their_lines(text: str) -> None:
    problems = ()
    try:
        read_deed_text(text, "deed.txt")
    except ProblemError as error:
        problems = error.problems
    for problem in problems:
        assert problem.where.file == "deed.txt"
        assert problem.where.line <= text.count("\n") + 1
