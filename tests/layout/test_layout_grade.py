"""Bays on sloping ground: measured along the slope where rails or mesh lie along it, level where they do not."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.layout.yard_builder import FT, gate, kind, lay, points, run, zone

from palewright.layout.grade import Grade, height_at
from palewright.model import Profile

LONG = points(A=(0, 0), B=(100, 0))


def profile(*knots_ft: tuple[float, float]) -> Profile:
    """A profile through (station, height) in feet."""
    stations, heights = zip(*((s * FT, z * FT) for s, z in knots_ft), strict=True)
    return Profile("rear", stations, heights, tuple(0.0 for _ in knots_ft), ("spots",))


def on(ground: Profile, follows: str, **more):
    """A run of 100 ft from A to B over it."""
    spec = run("rear", "A", "B", follows=follows, **more.pop("spec", {}))
    return lay([spec], LONG, kinds={"fence": kind(longest=10 * FT)}, ground=lambda paths, called: [ground], **more)


def lengths(design) -> list[float]:
    """Level lengths of the bays."""
    return [bay.length_m for bay in design.bays]


@pytest.mark.parametrize(("follows", "bays"), [("racked", 11), ("grade", 11), ("stepped", 10), ("level-top", 10)])
def test_spacing_is_measured_parallel_to_the_grade_where_the_fence_lies_along_it(follows: str, bays: int) -> None:
    """ASTM F567 4.1: line posts at most 10 ft apart, parallel to the grade. 100 ft level at 1 in 5 is 101.98 ft."""
    found = lengths(on(profile((0, 0), (100, 20)), follows))
    assert len(found) == bays
    assert max(found) - min(found) < 1e-9
    assert sum(found) == pytest.approx(100 * FT)


def test_bays_are_even_along_the_slope_not_on_the_plan() -> None:
    """Half level, half at 45 degrees: what lies steep is closer on the plan by the cosine."""
    design = on(profile((0, 0), (50, 0), (100, 50)), "racked")
    grade = Grade.under(profile((0, 0), (50, 0), (100, 50)), 0.0, 100 * FT)
    assert grade is not None
    stations = [post.places[0][1] for post in design.posts]
    along = [grade.along(s) for s in stations]
    bays = [b - a for a, b in itertools.pairwise(along)]
    assert len(bays) == math.ceil((50 + 50 * math.sqrt(2)) / 10)
    assert max(bays) - min(bays) < 1e-9
    assert lengths(design)[-1] == pytest.approx(bays[-1] / math.sqrt(2))


def test_a_jump_of_the_ground_is_no_length_along_it() -> None:
    """3 1/8 in over 1 mm, as where two sources meet: rails go past it, and the bays of a level run stay even. Elsewhere
    the slope counts: 3-4-5 beyond the jump."""
    up = 3.125 / 12
    at = 0.001 / FT
    jump = on(profile((0, 0), (47, 0), (47 + at, up), (100, up)), "grade")
    assert lengths(jump) == pytest.approx([10 * FT] * 10)
    grade = Grade.under(profile((0, 0), (47, 0), (47 + at, up), (60, up), (100, up + 30)), 0.0, 100 * FT)
    assert grade is not None
    assert grade.along(60 * FT) == pytest.approx(60 * FT)
    assert grade.along(100 * FT) == pytest.approx(110 * FT)


def test_level_ground_gives_the_level_answer() -> None:
    """A profile without a slope changes nothing, whatever its height and its knots."""
    flat = profile((0, 7), (13.7, 7), (100, 7))
    zones = (zone("gas", (41.3, -5), (41.3, 5)),)
    gates = {"gates": (gate("side", 4, 20, "A"),)}
    for follows in ("racked", "stepped", "level-top", "grade"):
        spec = run("rear", "A", "B", follows=follows, **gates)
        kinds = {"fence": kind(longest=10 * FT)}
        level = lay([spec], LONG, kinds=kinds, zones=zones)
        sloped = lay([spec], LONG, kinds=kinds, zones=zones, ground=lambda paths, called: [flat])
        assert [post.xy for post in sloped.posts] == [post.xy for post in level.posts]
        assert [post.move for post in sloped.posts] == [post.move for post in level.posts]
        assert sloped.bays == level.bays


def test_zones_and_gates_stay_where_they_are_on_a_slope() -> None:
    """Holes are tested on the plan; a gate keeps its level opening."""
    gas = zone("gas", (60, -5), (60, 5), half_in=24.0)
    spec = {"gates": (gate("side", 4, 20, "A"),)}
    design = on(profile((0, 0), (30, 9), (70, -4), (100, 20)), "racked", spec=spec, zones=(gas,))
    assert design.gates[0].opening_m == pytest.approx(4 * FT)
    for post in design.posts:
        assert abs(post.xy[0] - 60 * FT) >= post.hole.diameter_m / 2 + 24 * FT / 12 - 1e-9


def test_how_far_a_post_may_move_keeps_its_bays_within_the_longest() -> None:
    """Moved level as far as said, the bay along the slope is as long as it may be, or as short."""
    ground = profile((0, 0), (45, 15), (100, 0))
    design = on(ground, "racked")
    grade = Grade.under(ground, 0.0, 100 * FT)
    assert grade is not None
    stations = [post.places[0][1] for post in design.posts]
    for k in range(1, len(stations) - 1):
        move = design.posts[k].move
        for place in (stations[k] - move.back_m, stations[k] + move.on_m):
            bays = [
                grade.along(place) - grade.along(stations[k - 1]),
                grade.along(stations[k + 1]) - grade.along(place),
            ]
            assert max(bays) <= 10 * FT + 1e-6
            assert min(bays) >= 10 * FT / 3 - 1e-6
        assert move.back_m > 0.01
        assert move.on_m > 0.01


@given(
    st.lists(st.tuples(st.floats(0.1, 50.0), st.floats(-10.0, 10.0)), min_size=2, max_size=12),
    st.floats(0.0, 1.0),
)
def test_along_and_level_turn_back_into_each_other(pieces: list[tuple[float, float]], part: float) -> None:
    """And no distance along the slope is shorter than the level one."""
    stations = list(itertools.accumulate((length for length, _ in pieces), initial=0.0))
    heights = [0.0, *(height for _, height in pieces)]
    grade = Grade(stations, heights)
    level = part * stations[-1]
    assert grade.level(grade.along(level)) == pytest.approx(level, abs=1e-9)
    assert grade.along(level) >= level - 1e-9


def test_heights_are_read_straight_between_knots() -> None:
    """And are those of the ends beyond them."""
    ground = profile((0, 10), (50, 20), (100, 0))
    assert [round(height_at(ground, s * FT) / FT, 9) for s in (-5, 0, 25, 50, 75, 100, 200)] == [
        10,
        10,
        15,
        20,
        10,
        0,
        0,
    ]
