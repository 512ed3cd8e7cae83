"""Whether a line is located, by what was found and measured."""

from __future__ import annotations

import math

import pytest

from palewright.boundary import line_status, record_distance, tape_tolerance
from palewright.model import Corner, Course, LineStatus, Measurement, Remark
from palewright.plane import azimuth, distance

FT = 0.3048
XYS = [(0.0, 0.0), (0.0, 40.0), (30.0, 40.0), (30.0, 0.0)]
NAMES = ("SW", "NW", "NE", "SE")
COURSES = [
    Course(
        k + 1, NAMES[k], NAMES[(k + 1) % 4], azimuth(XYS[k], XYS[(k + 1) % 4]), distance(XYS[k], XYS[(k + 1) % 4]), ""
    )
    for k in range(4)
]


def status(found: dict[str, bool | None], *measured: Measurement) -> tuple[LineStatus, dict[str, Remark]]:
    corners = [
        Corner(n, xy, "5/8 in iron pin" if n in found else "", found.get(n)) for n, xy in zip(NAMES, XYS, strict=True)
    ]
    result, remarks = line_status(corners, COURSES, measured)
    return result, {remark.slug: remark for remark in remarks}


def tape(a: str, b: str, reads: float) -> Measurement:
    return Measurement("tape", (a, b), reads)


def test_nothing_found() -> None:
    got, said = status({})
    assert got == LineStatus(0, 4, False, "no-corner-found")
    assert dict(said["line-not-located"].args) == {"found": 0, "total": 4}


@pytest.mark.parametrize(
    ("found", "why"),
    [
        ({"NE": True}, "one-corner-found"),
        ({"NE": None}, "corners-not-compared"),
        ({"NE": None, "SW": None}, "corners-not-compared"),
        ({"NE": True, "SW": None}, "corners-not-compared"),
        ({"NE": False, "SW": True}, "corners-disagree"),
    ],
)
def test_not_enough_found(found: dict[str, bool | None], why: str) -> None:
    got, said = status(found)
    counted = sum(matches is True for matches in found.values())
    assert got == LineStatus(counted, 4, False, why, len(found) - counted)
    assert dict(said["line-not-located"].args).get("more", 0) == len(found) - counted
    assert ("corner-disagrees" in said) == (False in found.values())


def test_two_corners_without_a_tape_are_located_and_it_is_said() -> None:
    got, said = status({"NE": True, "NW": True})
    assert got == LineStatus(2, 4, True, "two-corners-not-taped")
    assert dict(said["corner-distance-not-taped"].args)["record_m"] == pytest.approx(30.0)
    assert said["line-located"].level == "note"


def test_two_corners_with_a_tape() -> None:
    got, said = status({"NE": True, "NW": True}, tape("NW", "NE", 30.0 + 0.03048 + 0.029))
    assert got == LineStatus(2, 4, True, "two-corners-agree")
    assert set(said) == {"line-located"}
    got, said = status({"NE": True, "NW": True}, tape("NE", "NW", 30.0 + 0.03048 + 0.031))
    assert got == LineStatus(2, 4, False, "tape-disagrees")
    assert dict(said["corner-tape-disagrees"].args)["difference_m"] == pytest.approx(0.06148)


def test_a_diagonal_between_corners_that_are_no_neighbours() -> None:
    got, _ = status({"SW": True, "NE": True}, tape("SW", "NE", 50.0))
    assert got.why == "two-corners-agree"


def test_a_third_corner_may_save_a_bad_tape_and_the_bad_tape_is_still_said() -> None:
    got, said = status({"SW": True, "NE": True, "NW": True}, tape("NW", "NE", 29.0), tape("SW", "NW", 40.0))
    assert got == LineStatus(3, 4, True, "two-corners-agree")
    assert "corner-tape-disagrees" in said


def test_one_corner_and_a_direction() -> None:
    got, said = status({"NE": True}, Measurement("direction", ("NW", "NE"), math.radians(90.5)))
    assert got == LineStatus(1, 4, True, "one-corner-and-direction")
    args = dict(said["located-by-direction"].args)
    assert args["difference_deg"] == pytest.approx(0.5)
    # over the longest side, 40 m
    assert args["sideways_m"] == pytest.approx(40.0 * math.sin(math.radians(0.5)))
    got, said = status({"NE": True}, Measurement("direction", ("NE", "NW"), math.radians(272.0)))
    assert got == LineStatus(1, 4, False, "direction-disagrees")
    assert "direction-disagrees" in said


def test_a_direction_from_a_corner_that_was_not_found_says_nothing() -> None:
    got, _ = status({"NE": True}, Measurement("direction", ("SW", "NW"), 0.0))
    assert got.why == "one-corner-found"
    got, _ = status({"NE": True}, Measurement("direction", ("NE", "tree"), 0.0))
    assert got.why == "one-corner-found"


def test_a_direction_does_not_save_a_tape_that_disagrees() -> None:
    direction = Measurement("direction", ("NW", "NE"), math.pi / 2)
    got, _ = status({"NE": True, "NW": True}, tape("NE", "NW", 25.0), direction)
    assert got == LineStatus(2, 4, False, "tape-disagrees")


def test_record_distance_is_the_call_between_neighbours() -> None:
    called = [Course(1, "SW", "NW", 0.0, 40.02, "N 131.30 ft"), *COURSES[1:]]
    corners = [Corner(n, xy) for n, xy in zip(NAMES, XYS, strict=True)]
    assert record_distance(corners[1], corners[0], called) == 40.02
    assert record_distance(corners[0], corners[2], called) == pytest.approx(50.0)


def test_tolerance_of_a_tape() -> None:
    assert tape_tolerance(100.0 * FT) == pytest.approx(0.2 * FT)
    with pytest.raises(ValueError, match="negative"):
        tape_tolerance(-1.0)
