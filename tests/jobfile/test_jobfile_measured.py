"""What may stand under ``measured``: each kind, its companions, and what does not go together."""

from __future__ import annotations

import math

import pytest

from palewright import jobfile
from palewright.errors import JobError
from palewright.model import Measurement

FT = 0.3048
HEAD = (
    "palewright: 1\njob: {title: T}\npoints: {A: {at: [0 ft, 0 ft]}, B: {at: [50 ft, 0 ft]}, C: {at: [50 ft, 40 ft]}}\n"
)


def asked(job):
    """Key paths of what was left open."""
    return tuple(at.path for at in job.asks)


def read(item: str) -> Measurement:
    job = jobfile.read_bytes(f"{HEAD}measured: [{item}]".encode(), "job.yaml")
    assert len(job.measured) == 1
    return job.measured[0]


def refused(item: str) -> list[str]:
    with pytest.raises(JobError) as caught:
        jobfile.read_bytes(f"{HEAD}measured: [{item}]".encode(), "job.yaml")
    return [problem.slug for problem in caught.value.problems]


def test_a_tape_along_the_slope():
    m = read("{tape: [A, B], reads: 50 ft 1 in, rises: 2 ft, with: steel, within: 1/4 in, who: two of the crew}")
    assert (m.kind, m.points, m.text, m.how, m.who) == ("tape", ("A", "B"), "50 ft 1 in", "steel", "two of the crew")
    assert m.value == pytest.approx((50 + 1 / 12) * FT, abs=1e-12)
    assert (m.rise_m, m.within) == (pytest.approx(2 * FT), pytest.approx(0.00635))


def test_sights_of_an_instrument_keep_their_readings_in_order():
    m = read("{sights from: A, readings: {B: 0°, C: 321°30'}, with: instrument}")
    assert (m.kind, m.points) == ("sights", ("A", "B", "C"))
    assert m.readings == (0.0, pytest.approx(math.radians(321.5)))


def test_an_offset_names_the_point_first_then_the_line():
    m = read("{offset from: [A, B], point: tap, reads: 3 ft, side: left, at: 20 ft}")
    assert (m.kind, m.points, m.side) == ("offset", ("tap", "A", "B"), "left")
    assert (m.value, m.at_m) == (pytest.approx(3 * FT), pytest.approx(20 * FT))


def test_a_tie_to_a_line_from_a_plat_is_record():
    m = read("{tie to line: shed, line: [B, C], reads: 12.3 ft, from: plat}")
    assert (m.kind, m.points, m.side, m.source, m.how) == ("offset", ("shed", "B", "C"), "", "record", "plat")
    assert m.value == pytest.approx(12.3 * FT)


def test_a_second_word_on_a_point_on_a_line_is_an_observation_and_the_first_a_definition():
    job = jobfile.read_bytes(
        f"{HEAD}measured: [{{on line: [A, B], point: P, at: 20 ft}}, {{on line: [C, A], point: P, at: 30 ft}}]".encode(),
        "",
    )
    assert [(p.name, p.how) for p in job.points if p.name == "P"] == [("P", "on line")]
    assert [(m.kind, m.points, m.at_m) for m in job.measured] == [("on line", ("P", "C", "A"), pytest.approx(30 * FT))]


def test_parallels_positions_and_rises():
    assert read("{parallel: [A, B, C, D]}").points == ("A", "B", "C", "D")
    m = read("{position: P, coordinates: [20 ft, -4 ft], with: phone}")
    assert (m.kind, m.points) == ("position", ("P",))
    assert m.xy == (pytest.approx(20 * FT), pytest.approx(-4 * FT))
    assert read("{rise: [A, C], reads: -2 ft 3 in}").value == pytest.approx(-2.25 * FT)


def test_the_side_of_a_point_that_two_tapes_leave_open():
    text = HEAD.replace("C: {", "shed: {stands: corner of the shed, left of: [A, B]}, C: {")
    job = jobfile.read_bytes(text.encode(), "")
    shed = next(point for point in job.points if point.name == "shed")
    assert (shed.how, shed.side, shed.side_of) == ("thing", "left", ("A", "B"))


@pytest.mark.parametrize(
    ("item", "slugs"),
    [
        ("{tape: [A, B]}", ["missing-key"]),
        ("{tape: [A, B], reads: -3 ft}", ["length-out-of-range"]),
        ("{tape: [A, B], reads: 3 ft, rises: 3 ft}", ["length-out-of-range"]),
        ("{tape: [A, B], reads: 3 ft, side: left}", ["measured-kind"]),
        ("{tape: [A, B], square: [A, B, C], reads: 3 ft}", ["measured-kind"]),
        ("{tape: [A, A], reads: 3 ft}", ["same-point"]),
        ("{offset from: [A, B], point: A, reads: 3 ft}", ["same-point"]),
        ("{offset from: [A, B], reads: 3 ft}", ["missing-key"]),
        ("{parallel: [A, B, C]}", ["wrong-number"]),
        ("{sights from: A, readings: {B: 360°}}", ["angle-out-of-range"]),
        ("{reads: 3 ft}", ["measured-kind"]),
    ],
)
def test_what_does_not_go_together_is_told(item: str, slugs: list[str]):
    assert refused(item) == slugs


def test_what_is_not_known_yet_is_asked_and_makes_no_measurement():
    job = jobfile.read_bytes(f"{HEAD}measured: [{{tie to line: A, line: [B, C], reads: ask}}]".encode(), "")
    assert job.measured == ()
    assert asked(job) == ("measured[0].reads",)


def test_a_measured_rise_is_a_measurement_and_no_typed_fall():
    job = jobfile.read_bytes(f"{HEAD}measured: [{{rise: [A, B], reads: -22 in, with: water level}}]".encode(), "")
    (rise,) = job.measured
    assert (rise.kind, rise.points, rise.value, rise.how) == (
        "rise",
        ("A", "B"),
        pytest.approx(-22 / 12 * FT),
        "water level",
    )
    assert job.falls == ()


def test_a_point_may_have_a_height_and_may_be_asked_for_one():
    text = HEAD.replace("points: {", "points: {BM: {height: 100 ft}, Q: {height: ask}, ", 1)
    assert text != HEAD
    job = jobfile.read_bytes(text.encode(), "")
    heights = {point.name: point.height_m for point in job.points}
    assert (heights["BM"], heights["Q"]) == (pytest.approx(100 * 0.3048), None)
    assert "points.Q.height" in asked(job)


def levels(*notes: str, more: str = "") -> bytes:
    rows = "".join(f"      - {{{note}}}\n" for note in notes)
    return f"{HEAD}levels:\n  - {more}notes:\n{rows}".encode()


def test_levelling_notes_are_lines_of_rod_readings():
    text = levels("point: BM, back: 4.32 ft", "point: TP, fore: 5.1 ft, back: 3 ft", "point: A, fore: 6.02 ft",
                  more="with: automatic level\n    length: 400 ft\n    ")  # fmt: skip
    (line,) = jobfile.read_bytes(text, "").levels
    assert (line.how, line.length_m) == ("automatic level", pytest.approx(400 * 0.3048))
    read = [(n.point, n.back and n.back / 0.3048, n.fore and n.fore / 0.3048, n.fore_text) for n in line.notes]
    assert read == [
        ("BM", pytest.approx(4.32), None, ""),
        ("TP", pytest.approx(3.0), pytest.approx(5.1), "5.1 ft"),
        ("A", None, pytest.approx(6.02), "6.02 ft"),
    ]


@pytest.mark.parametrize(
    ("notes", "point", "what"),
    [
        (("point: BM, fore: 4 ft", "point: A, fore: 5 ft"), "BM", "begins with a backsight"),
        (("point: BM, back: 4 ft, fore: 4 ft", "point: A, fore: 5 ft"), "BM", "begins with a backsight"),
        (("point: BM, back: 4 ft", "point: A"), "A", "nothing was read"),
        (("point: BM, back: 4 ft", "point: A, back: 5 ft", "point: B, fore: 5 ft"), "A", "only a backsight"),
        (("point: BM, back: 4 ft", "point: A, fore: 5 ft, back: 2 ft"), "A", "last set-up"),
    ],
)
def test_notes_that_do_not_follow_one_another_are_told(notes: tuple[str, ...], point: str, what: str):
    with pytest.raises(JobError) as caught:
        jobfile.read_bytes(levels(*notes), "")
    (problem,) = caught.value.problems
    assert (problem.slug, problem.found) == ("level-notes", point)
    assert what in problem.what


def test_a_line_of_levels_has_two_notes_and_keys_that_are_known():
    with pytest.raises(JobError) as caught:
        jobfile.read_bytes(levels("point: BM, back: 4 ft"), "")
    assert [p.slug for p in caught.value.problems] == ["wrong-number"]
    with pytest.raises(JobError) as caught:
        jobfile.read_bytes(levels("point: BM, backsight: 4 ft", "point: A, fore: 3 ft"), "")
    assert [p.slug for p in caught.value.problems] == ["unknown-key"]


def test_a_measured_name_that_is_one_slip_from_another_is_asked_about() -> None:
    text = (
        "palewright: 1\njob: {title: t}\npoints: {house left: {at: [0 ft, 0 ft]}, house right: {at: [40 ft, 0 ft]}}\n"
        "measured:\n  - {tape: [house left, P], reads: 30 ft}\n  - {tape: [hosue right, P], reads: 31 ft}\n"
        "  - {tape: [house right, Q], reads: 31 ft}\n  - {tape: [house left, tree 1], reads: 9 ft}\n"
        "  - {tape: [house left, tree 2], reads: 8 ft}\n"
    )
    with pytest.raises(JobError) as caught:
        jobfile.read_bytes(text.encode(), "job.yaml")
    (problem,) = caught.value.problems
    assert (problem.slug, problem.found, problem.where.line) == ("unknown-point", "hosue right", 6)
    assert "did you mean `house right`?" in problem.hint
