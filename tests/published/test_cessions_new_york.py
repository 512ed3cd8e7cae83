"""Two old surveys printed in New York statutes, in chains (10 square chains = 1 acre).

New Utrecht, surveyed 6 November 1812 (State Law section 32): five courses, "30 acres 2 roods 4 perches" = 30.525 acres; it
misses by 0.4475 chain (29.5 ft), 1:165, so it is computed and is no proof of a boundary; its acreage as called, 30.34, and
adjusted, 30.88, stand on either side of the acreage stated (recomputed outside this project).
Eaton's Neck, surveyed 1798 (Revised Statutes): eight courses, "ten acres"; misses by 0.1527 chain, 1:264; 10.23 acres as
called (recomputed outside this project). Tolerance: half a unit of the last digit given.

sources: ny-state-law-32, eatons-neck
"""

from __future__ import annotations

import pytest

from palewright.boundary import adjust_compass, build_ring, closure, ring_area, run_calls
from palewright.model import BoundarySpec, Call, PointRef
from palewright.notation import parse_bearing

CHAIN = 20.1168
NEW_UTRECHT = [
    ("S 24°30' E", 7.17),
    ("S 64°45' W", 24.0),
    ("N 25°15' W", 7.17),
    ("N 10°30' W", 11.70),
    ("S 86° E", 24.0),
]
EATONS_NECK = [
    ("S 75° W", 12.75), ("S 12° E", 2.45), ("S 12° E", 2.58), ("S 36° E", 2.70), ("S 63° E", 1.82), ("N 70° E", 10.17),
    ("N 12° W", 5.62), ("N 12° W", 2.24),
]  # fmt: skip


def calls(rows: list[tuple[str, float]]) -> list[tuple[float, float]]:
    return [(parse_bearing(bearing), length * CHAIN) for bearing, length in rows]


def acres(area_m2: float) -> float:
    return area_m2 / CHAIN**2 / 10.0


def test_new_utrecht_misses_by_29_feet() -> None:
    closed = closure(calls(NEW_UTRECHT))
    assert closed.misclosure_m / CHAIN == pytest.approx(0.4475, abs=0.00005)
    assert closed.misclosure_m / 0.3048 == pytest.approx(29.5, abs=0.05)
    assert closed.precision == pytest.approx(165, abs=0.5)


def test_new_utrecht_acreage_brackets_the_one_stated() -> None:
    raw = acres(ring_area(run_calls((0.0, 0.0), calls(NEW_UTRECHT)))[0])
    adjusted = acres(ring_area(run_calls((0.0, 0.0), adjust_compass(calls(NEW_UTRECHT)))[:5])[0])
    assert raw == pytest.approx(30.34, abs=0.005)
    assert adjusted == pytest.approx(30.88, abs=0.005)
    assert raw < 30.525 < adjusted


def test_new_utrecht_is_computed_and_is_no_proof() -> None:
    rows = tuple(
        Call(text, az, length) for (text, _), (az, length) in zip(NEW_UTRECHT, calls(NEW_UTRECHT), strict=True)
    )
    ring, remarks, _ = build_ring(BoundarySpec(PointRef(), rows), (0.0, 0.0), (), {})
    assert acres(ring.area_m2) == pytest.approx(30.34, abs=0.005)
    said = {remark.slug: dict(remark.args) for remark in remarks}
    assert said["closes-poorly"]["precision"] == 165
    assert said["closes-poorly"]["limit"] == 5000
    assert "closes-arithmetic-only" not in said


def test_eatons_neck() -> None:
    closed = closure(calls(EATONS_NECK))
    assert closed.misclosure_m / CHAIN == pytest.approx(0.1527, abs=0.00005)
    assert closed.precision == pytest.approx(264, abs=0.5)
    raw = acres(ring_area(run_calls((0.0, 0.0), calls(EATONS_NECK)))[0])
    assert raw == pytest.approx(10.23, abs=0.005)
    assert round(raw) == 10
