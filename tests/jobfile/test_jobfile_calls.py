"""Calls of a deed: what is written reads back, any text gives a call or a problem, tables and lines say the same."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright import boundary, jobfile
from palewright.errors import NotationError, ProblemError
from palewright.jobfile import read_bytes, read_deed
from palewright.jobfile.writing import write_value
from palewright.model import Call
from palewright.notation import parse_call, show_bearing, show_dms

FT = 0.3048
HEAD = "palewright: 1\njob: {title: T}\n"
WORDS = [
    "curve", "curve:", "left", "right", "radius", "R", "arc", "L", "chord", "LC", "delta", "Δ", "tangent", "non-tangent",
    "degree", "by arc", "(chord definition)", "radial", "to centre", "from center", "central angle", "{", "}", "=", ";", ",",
    "thence", "N", "S", "E", "W", "N 12°30' E", "due west", "az", "157-30-00", "from true south", "magnetic", "bearing",
    "unknown", "12", "120.55", "14°03'36\"", "75'", "ft", "feet", "ch", "lk", "engineer's", "chains", "varas", "(Texas)", "(120)",
    "one hundred", "twenty", "and", "55/100", "hundredths", "thousand", "more or less", "±", "+/-", "to beginning",
    "to the point of beginning", "a distance of", "nan", "inf", "-5 ft", "0 ft", "\n", "\x00", "٣", ".", "-", "1e9", "°", "'",
]  # fmt: skip
"""Pieces of deeds. By hand 400,000 lines of them were tried: only calls and problems came out."""


def try_line(text: str, **options: str) -> str:
    """A call, or one problem with a span in the text: which of them came out."""
    try:
        call = parse_call(text, **options)
    except NotationError as error:
        (problem,) = error.problems
        assert problem.slug
        assert 1 <= problem.where.column <= len(text) + 1
        assert problem.render()
        return "problem"
    assert call.azimuth is None or 0.0 <= call.azimuth < 2.0 * math.pi + 1e-9
    assert call.length is None or call.length.exact > 0
    return "call"


@settings(max_examples=1500)
@given(st.lists(st.sampled_from(WORDS), max_size=14).map(" ".join), st.sampled_from(["", "ft", "ch", "m"]))
def test_any_pieces_of_a_deed_give_a_call_or_a_problem(text: str, unit: str) -> None:
    assert try_line(text, unit=unit) in ("call", "problem")
    assert try_line(f"curve {text}", unit=unit, azimuths="south") in ("call", "problem")


@settings(max_examples=400)
@given(st.text(max_size=1100))
def test_any_text_gives_a_call_or_a_problem(text: str) -> None:
    assert try_line(text) in ("call", "problem")


@settings(max_examples=300)
@given(st.lists(st.lists(st.sampled_from(WORDS), max_size=8).map(" ".join), max_size=6).map("\n".join))
def test_any_file_gives_a_deed_or_problems_at_their_lines(text: str) -> None:
    calls: tuple[Call, ...] = ()
    try:
        calls = read_deed(text, "deed.txt", "ft")
        boundary.run_deed(calls)
    except ProblemError as error:
        lines = len(text.splitlines())
        for problem in error.problems:
            assert problem.slug
            assert problem.where.line <= lines
            assert problem.where.line >= 1 or not calls


# ---------------------------------------------------------------- written and read again

HUNDREDTHS = st.integers(1, 999_999).map(lambda n: f"{n // 100}.{n % 100:02d}")


@given(st.floats(0.0, 2.0 * math.pi, exclude_max=True), HUNDREDTHS)
def test_a_line_that_is_written_reads_back(azimuth: float, feet: str) -> None:
    call = parse_call(f"{show_bearing(azimuth)} {feet} ft")
    assert call.azimuth is not None
    half_second = math.radians(0.5 / 3600.0) * (1.0 + 1e-9)
    assert abs(math.remainder(call.azimuth - azimuth, 2.0 * math.pi)) <= half_second
    assert call.length is not None
    assert call.length.m == pytest.approx(float(feet) * FT, rel=1e-15)


@given(
    st.sampled_from(["left", "right"]),
    st.fixed_dictionaries(
        {"radius": HUNDREDTHS.map("{} ft".format)},
        optional={
            "arc": HUNDREDTHS.map("{} ft".format),
            "delta": st.floats(0.01, 6.2).map(show_dms),
            "tangent": HUNDREDTHS.map("{} ft".format),
            "chord": st.tuples(
                st.floats(0.0, 6.28).map(show_bearing), st.one_of(st.just(""), HUNDREDTHS.map(" {} ft".format))
            ).map("".join),
            "joins": st.sampled_from(["tangent", "non-tangent"]),
            "radial to centre": st.floats(0.0, 6.28).map(show_bearing),
            "to beginning": st.just(True),
            "more or less": st.just(True),
        },
    ),
    st.sampled_from(["", "arc", "chord"]),
)
def test_a_curve_in_a_table_in_a_line_and_in_its_own_words_is_one_curve(
    side: str, parts: dict[str, Any], by: str
) -> None:
    table: dict[str, Any] = {"curve": side, **parts}
    if by:
        table |= {"degree": "15°30'", "degree by": by}
    calls = [write_value(table, flow=True), write_value("N 1 E 3 ft", flow=True), write_value("W 3 ft", flow=True)]
    data = HEAD + f"boundary: {{calls: [{', '.join(calls)}]}}\n"
    made = read_bytes(data.encode(), "job.yaml").boundary
    assert made is not None
    first = made.calls[0]
    (again,) = read_deed(first.text)
    assert again.curve == first.curve
    assert (again.azimuth, again.length_m) == (first.azimuth, first.length_m)
    assert (again.closing, again.about) == (first.closing, first.about)


def test_the_curve_of_the_design_page() -> None:
    """The same call as a table of the job file and as a line of text, in a boundary that is magnetic and about."""
    flow = "{curve: right, radius: 250 ft, arc: 61.35 ft, chord: S 80°12' W}"
    text = "curve right, radius 250 ft, arc 61.35 ft, chord S 80°12' W"
    data = HEAD + f"boundary:\n  bearings: magnetic 1812\n  calls:\n    - {flow}\n    - {text}\n    - to beginning\n"
    made = read_bytes(data.encode(), "job.yaml").boundary
    assert made is not None
    one, two, _ = made.calls
    assert one.curve == two.curve
    assert one.azimuth == two.azimuth == pytest.approx(math.radians(260.2))
    assert one.text == two.text == text
    assert made.bearings == "magnetic 1812"
    for line in (flow, f"- {flow}", text):
        (read,) = read_deed(f"# a deed\n\n{line}   # the rounded corner\n")
        assert read.curve == one.curve
        assert read.at.line == 3


def test_azimuths_from_south_hold_for_the_whole_boundary() -> None:
    calls = (
        '["180°00\' 10 ft", "270°00\' 10 ft", {curve: right, radius: 5 ft, arc: 3 ft, chord: az 0°}, "90-00-00 10 ft"]'
    )
    made = read_bytes((HEAD + f"boundary: {{azimuths: from south, calls: {calls}}}\n").encode(), "job.yaml").boundary
    assert made is not None
    assert [round(math.degrees(call.azimuth or 0.0)) for call in made.calls] == [0, 90, 180, 270]


def test_survey_feet_reach_the_station_of_a_degree_of_curve() -> None:
    data = "palewright: 1\njob: {title: T, foot: survey}\nboundary: {calls: [{curve: left, degree: 15°, degree by: arc, delta: 9°}, N 1 E 3 ft, W 3 ft]}\n"
    made = read_bytes(data.encode(), "job.yaml").boundary
    assert made is not None
    curve = made.calls[0].curve
    assert curve is not None
    assert curve.station_m == pytest.approx(120_000 / 3937, rel=1e-15)


def test_problems_of_a_deed_stand_at_their_lines(tmp_path: Path) -> None:
    text = "# head\nN 12°75' E 120 ft\nS 36 E 12 ft\n\n  120 ft\ncurve right, radius 250 ft, wobble\n"
    with pytest.raises(ProblemError) as caught:
        read_deed(text, "deed.txt")
    found = [(p.slug, p.where.line, p.where.column, p.where.width) for p in caught.value.problems]
    assert found == [
        ("bearing-minutes-range", 2, 6, 2),
        ("bearing-missing", 5, 3, 3),
        ("curve-unreadable", 6, 29, 6),
    ]
    assert all(str(problem.where).startswith("deed.txt:") for problem in caught.value.problems)


def test_the_public_reader_is_the_one_of_the_job_file() -> None:
    assert jobfile.read_deed is read_deed
