"""What a leaf sweeps and what stands in its way."""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, IN, gate, lay, points, ring, run, zone

from palewright.model import Removal

PLACES = points(A=(0, 0), B=(40, 0), C=(40, 30), D=(13, 2), E=(13, 30))


def slugs(design):
    return [remark.slug for remark in design.remarks if remark.slug.startswith("swing")]


def test_free_ground_says_nothing():
    design = lay(
        [run("r", "A", "B", gates=(gate("g", 4, 12, "A"),))],
        PLACES,
        boundary=ring([(-5, -5), (60, -5), (60, 40), (-5, 40)]),
    )
    assert slugs(design) == []


def test_over_the_line_is_told_by_how_much():
    lot = ring([(-5, -2), (60, -2), (60, 40), (-5, 40)])
    design = lay([run("r", "A", "B", gates=(gate("g", 4, 12, "A", swings="out"),))], PLACES, boundary=lot)
    assert slugs(design) == ["swing-over-line"]
    over = next(dict(r.args)["over_m"] for r in design.remarks if r.slug == "swing-over-line")
    assert over == pytest.approx(design.gates[0].leaf_m - 2 * FT)


def test_a_building_within_reach():
    shed = ("shed", tuple((x * FT, y * FT) for x, y in ((10, 3), (20, 3), (20, 9), (10, 9))))
    run_ = run("r", "A", "B", gates=(gate("g", 4, 12, "A"),))
    assert slugs(lay([run_], PLACES, buildings=[shed])) == ["swing-hits-building"]
    away = ("shed", tuple((x, y + 2 * FT) for x, y in shed[1]))
    assert slugs(lay([run_], PLACES, buildings=[away])) == []


def test_a_tree_is_in_the_way_and_a_gas_line_is_not():
    run_ = run("r", "A", "B", gates=(gate("g", 4, 12, "A"),))
    tree = zone("oak", (14, 3), half_in=6, utility="")
    gas = zone("gas", (14, 3), half_in=6, utility="gas")
    hand = zone("drain", (14, 3), half_in=6, utility="", kind="hand dig")
    assert slugs(lay([run_], PLACES, zones=[tree])) == ["swing-hits-zone"]
    assert slugs(lay([run_], PLACES, zones=[gas, hand])) == []


def test_a_footing_left_in_the_ground_is_not_in_the_way():
    run_ = run("r", "A", "B", gates=(gate("g", 4, 12, "A"),))
    at = (14 * FT, 3 * FT)
    left = zone("old footing", (14, 3), half_in=6, utility="")
    old = Removal("old", (at,), 0.0, (at,), 10 * IN, "leave")
    assert slugs(lay([run_], PLACES, zones=[left], removals=[old])) == []


def test_another_fence_and_its_post():
    runs = [run("r", "A", "B", gates=(gate("g", 4, 12, "A"),)), run("s", "D", "E")]
    assert "swing-hits-fence" in slugs(lay(runs, PLACES))
    assert "swing-hits-post" in slugs(lay(runs, PLACES))


def test_a_leaf_that_opens_flat_against_the_fence_round_a_corner_is_free():
    places = points(A=(0, 30), B=(0, 0), C=(40, 0))
    design = lay([run("r", "A", "B", "C", gates=(gate("g", 4, 0, "B"),))], places)
    assert slugs(design) == []
