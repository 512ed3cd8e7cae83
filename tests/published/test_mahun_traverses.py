"""Traverses worked in Mahun's open-access surveying lessons, "Traverse computations".

Chapter E and I, loop A-D: four courses in feet, start (N 500, E 2000). Chapter I, link Q-T: three courses between two
known points. The pages print lengths and coordinates to 0.001 ft and bearings to 0.1"; tolerance 0.001 ft (half a unit of
the last digit of two rounded numbers) and half a second for directions. Two figures on the pages are misprints and not used: the
adjusted length of CD (276.479 for 276.497) and the latitude error of the link (+0.555 for +0.055).

sources: mahun
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from palewright.boundary import (
    adjust_compass,
    adjust_transit,
    closure,
    latitudes_departures,
    ring_area,
    run_calls,
    run_deed,
)
from palewright.jobfile import read_deed
from palewright.notation import parse_bearing
from palewright.plane import area, inside, offset_path, path_length
from palewright.survey import line_offset

FT = 0.3048
LOOP = [
    ("S 68°05'35\" W", 472.68),
    ("N 19°46'00\" W", 216.13),
    ("N 45°55'20\" E", 276.52),
    ("S 54°59'15\" E", 382.24),
]
LINK = [("S 56°23'38\" E", 398.75), ("S 75°17'42\" W", 422.89), ("N 43°05'47\" E", 604.49)]


def calls(rows: list[tuple[str, float]]) -> list[tuple[float, float]]:
    return [(parse_bearing(bearing), length * FT) for bearing, length in rows]


def feet(values: list[float]) -> list[float]:
    return [value / FT for value in values]


def test_loop_closure() -> None:
    closed = closure(calls(LOOP))
    assert closed.perimeter_m / FT == pytest.approx(1347.57, abs=1e-9)
    assert closed.latitude_error_m / FT == pytest.approx(0.083, abs=0.0005)
    # the page carries rounded departures and prints 0.074 in one chapter, 0.075 in the other
    assert closed.departure_error_m / FT == pytest.approx(0.0745, abs=0.001)
    assert closed.misclosure_m / FT == pytest.approx(0.1112, abs=0.00005)
    assert closed.precision == pytest.approx(12116, abs=1)


def test_loop_by_the_compass_rule() -> None:
    adjusted = adjust_compass(calls(LOOP))
    pairs = latitudes_departures(adjusted)
    assert feet([lat for lat, _ in pairs]) == pytest.approx([-176.386, 203.382, 192.340, -219.336], abs=0.001)
    assert feet([dep for _, dep in pairs]) == pytest.approx([-438.574, -73.105, 198.6355, 313.044], abs=0.001)
    lengths = feet([length for _, length in adjusted])
    assert lengths == pytest.approx([472.715, 216.122, 276.497, 382.237], abs=0.001)
    bearings = ["S 68°05'27.4\" W", "N 19°46'14.9\" W", "N 45°55'20.7\" E", "S 54°58'58.0\" E"]
    # the page takes them from latitudes and departures rounded to 0.001 ft: 0.0005 / 216 ft is half a second
    half = math.radians(0.5 / 3600.0)
    assert [az for az, _ in adjusted] == pytest.approx([parse_bearing(b) for b in bearings], abs=half)


def test_loop_coordinates_and_area() -> None:
    points = run_calls((2000.0 * FT, 500.0 * FT), adjust_compass(calls(LOOP)))
    north_east = [(y / FT, x / FT) for x, y in points]
    for got, want in zip(north_east[1:4], [(323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)], strict=True):
        assert got == pytest.approx(want, abs=0.001)
    assert north_east[4] == pytest.approx((500.0, 2000.0), abs=1e-9)
    size, clockwise = ring_area(points[:4])
    assert clockwise
    # tolerance: 0.001 ft in every coordinate of a figure of 1348 ft round
    assert size / FT**2 == pytest.approx(102_935.71, abs=0.5)
    assert size / FT**2 / 43_560 == pytest.approx(2.3631, abs=0.00005)


def test_loop_inverse_from_a_to_c() -> None:
    points = run_calls((2000.0 * FT, 500.0 * FT), adjust_compass(calls(LOOP)))
    (x0, y0), (x1, y1) = points[0], points[2]
    assert math.hypot(x1 - x0, y1 - y0) / FT == pytest.approx(512.39, abs=0.005)
    second = math.radians(1.0 / 3600.0)
    assert math.atan2(x1 - x0, y1 - y0) % (2 * math.pi) == pytest.approx(parse_bearing("N 86°58'48\" W"), abs=second)


def test_link_between_known_points() -> None:
    """Q (N 2600.480, E 1391.670) to T (N 2713.780, E 1727.810)."""
    span = ((2713.780 - 2600.480) * FT, (1727.810 - 1391.670) * FT)
    pairs = latitudes_departures(calls(LINK))
    lat = (sum(p[0] for p in pairs) - span[0]) / FT
    dep = (sum(p[1] for p in pairs) - span[1]) / FT
    assert (lat, dep) == pytest.approx((0.0545, -0.070), abs=0.001)
    total = sum(length for _, length in LINK)
    # the misclosure is printed as 0.0888 and the precision as 1:16 068, from unrounded numbers
    assert math.hypot(lat, dep) == pytest.approx(0.0888, abs=0.00005)
    assert total / math.hypot(lat, dep) == pytest.approx(16_068, abs=0.5)
    points = run_calls((1391.670 * FT, 2600.480 * FT), adjust_compass(calls(LINK), span))
    assert [c / FT for c in points[1]] == pytest.approx([1723.793, 2379.765], abs=0.001)
    assert [c / FT for c in points[2]] == pytest.approx([1314.776, 2272.401], abs=0.001)
    assert [c / FT for c in points[3]] == pytest.approx([1727.810, 2713.780], abs=1e-9)


def test_loop_as_called_and_by_the_transit_rule() -> None:
    """Not on the pages: recomputed from their courses with numpy, outside this project; feet squared."""
    assert ring_area(run_calls((0.0, 0.0), calls(LOOP)))[0] / FT**2 == pytest.approx(102_960.05, abs=0.01)
    adjusted = run_calls((0.0, 0.0), adjust_transit(calls(LOOP)))[:4]
    assert ring_area(adjusted)[0] / FT**2 == pytest.approx(102_932.96, abs=0.5)


INSET = [(0.5, 102_263.00, 1343.216), (1.0, 101_592.48, 1338.862)]


@pytest.mark.parametrize(("feet_in", "square_feet", "round_it"), INSET)
def test_loop_inset_with_mitred_corners(feet_in: float, square_feet: float, round_it: float) -> None:
    """Areas and perimeters from shapely's buffer with mitred joins, outside this project."""
    points = run_calls((2000.0 * FT, 500.0 * FT), adjust_compass(calls(LOOP)))[:4]
    inner = offset_path(points, [-feet_in * FT] * 4, closed=True)  # the loop runs clockwise: inside is to the right
    assert area(inner) / FT**2 == pytest.approx(square_feet, abs=0.5)
    assert path_length([*inner, inner[0]]) / FT == pytest.approx(round_it, abs=0.002)


def test_a_point_beside_the_first_course() -> None:
    """Station 236.947, offset 0.445 ft to the right of A-B: inside the loop."""
    points = run_calls((2000.0 * FT, 500.0 * FT), adjust_compass(calls(LOOP)))[:4]
    at = line_offset((1780.0 * FT, 412.0 * FT), points[0], points[1], np.zeros((6, 6)))
    assert at.along / FT == pytest.approx(236.947, abs=0.001)
    assert at.off / FT == pytest.approx(-0.445, abs=0.001)
    assert at.sigma == 0.0
    assert inside((1780.0 * FT, 412.0 * FT), points)


BY_AZIMUTH = "az 226-54-23 639.15\naz 0 523.69\naz 235-02-29 409.54\naz 79-35-02 815.93\n"


def test_loop_by_azimuths() -> None:
    """Self-study solution 2: four azimuths; the second course, due north, is turned back past 360 degrees."""
    deed = run_deed(read_deed(BY_AZIMUTH, unit="ft"))
    closed = closure(deed.calls)
    assert closed.misclosure_m / FT == pytest.approx(0.1577, abs=0.0001)
    # the page rounds its misclosure first and prints 1/15 200
    assert closed.precision == pytest.approx(15_146, abs=1)
    adjusted = adjust_compass(deed.calls)
    # page: to 0.1" and 0.001 ft, from latitudes and departures rounded to 0.001 ft (half a second in 410 ft)
    azimuths = ["226-54-36.6", "359-59-50.8", "235-02-42.5", "79-34-50.5"]
    half = math.radians(0.5 / 3600.0)
    assert [az for az, _ in adjusted] == pytest.approx([parse_bearing(f"az {a}") for a in azimuths], abs=half)
    lengths = feet([length for _, length in adjusted])
    assert lengths == pytest.approx([639.150, 523.715, 409.544, 815.901], abs=0.0015)
    size = ring_area(run_calls((0.0, 0.0), adjusted)[:4])[0] / FT**2
    assert size == pytest.approx(52_851.35, abs=0.5)
