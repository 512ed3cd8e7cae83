"""Gates on real ground: how high the leaves hang, what is told of their swing, and that their posts end level."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, run

from palewright.layout.rising_gates import hang_gate
from palewright.model import Gate, Profile

LONG = points(A=(0, 0), B=(100, 0))
GAPS = (("least gap", 0.5 * IN), ("most gap", 14 * IN))


def profile(*knots_ft: tuple[float, float]) -> Profile:
    stations, heights = zip(*((s * FT, z * FT) for s, z in knots_ft), strict=True)
    return Profile("rear", stations, heights, tuple(0.01 for _ in knots_ft), ("spots",))


def put(ground: Profile, heights=None, **of_gate):
    """One run along x with a gate of 4 ft whose hinge is at its near post, 20 ft from A; the yard lies at +y."""
    spec = replace(gate("side", 4, 20, "A"), **of_gate)
    return lay(
        [run("rear", "A", "B", follows="stepped", gates=(spec,))],
        LONG,
        kinds={"fence": kind(values=GAPS)},
        ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
        heights=heights,
    )


def plane(along: float, across: float):
    return lambda xy: along * xy[:, 0] + across * xy[:, 1]


FLAT = profile((0, 0), (100, 0))


def test_a_leaf_over_ground_that_rises_behind_it_hangs_higher_by_that_rise() -> None:
    """1 in 20 up into the yard: the free end of the open leaf, a leaf away from the fence, stands over the highest."""
    design = put(FLAT, plane(0.0, 0.05))
    made = design.gates[0]
    assert made.uphill_m == pytest.approx(0.05 * made.leaf_m)
    # marks stand a quarter of an inch apart, so the leaf of the meeting may hang higher by less than that
    bay = next(bay for bay in design.meetings[0].bays if bay.bay == made.bay)
    assert 0.0 <= bay.bottom_m[0] - (2 * IN + 0.05 * made.leaf_m) < 0.25 * IN
    assert made.bottom_m == pytest.approx(2 * IN + 0.05 * made.leaf_m)
    assert made.low_gap_m == pytest.approx(made.bottom_m)
    said = next(r for r in design.remarks if r.slug == "gate-swings-uphill")
    assert said.level == "caution"
    assert dict(said.args)["rise_m"] == pytest.approx(0.05 * made.leaf_m)


def test_the_other_way_it_swings_downhill_and_hangs_as_on_level_ground() -> None:
    design = put(FLAT, plane(0.0, 0.05), swings="out")
    assert design.gates[0].uphill_m == 0.0
    assert design.gates[0].bottom_m == pytest.approx(2 * IN)
    assert not [r for r in design.remarks if r.slug.startswith("gate-")]


def test_the_owner_may_keep_an_uphill_swing() -> None:
    """The leaf hangs as high; the caution is a note."""
    kept, not_kept = put(FLAT, plane(0.0, 0.05), uphill="keep"), put(FLAT, plane(0.0, 0.05))
    assert kept.gates == not_kept.gates
    slugs = {r.slug: r.level for r in kept.remarks}
    assert slugs["gate-uphill-kept"] == "note"
    assert "gate-swings-uphill" not in slugs


def test_where_only_the_run_was_measured_the_swing_is_asked_for() -> None:
    design = put(profile((0, 0), (100, 4)))
    assert [r.level for r in design.remarks if r.slug == "gate-swing-not-known"] == ["ask"]
    # closed, on ground that rises 1 in 25 along the fence: the leaf clears its higher end, and is open at its lower
    made = design.gates[0]
    assert made.low_gap_m == pytest.approx(2 * IN + 0.04 * made.leaf_m, abs=1e-9)


def test_ground_beside_the_run_is_laid_onto_the_heights_of_the_run() -> None:
    """A file of ground that lies a foot too high everywhere says nothing of a rise."""
    high = put(FLAT, lambda xy: plane(0.0, 0.05)(xy) + 1 * FT)
    assert high.gates[0].uphill_m == pytest.approx(put(FLAT, plane(0.0, 0.05)).gates[0].uphill_m)


def test_both_posts_of_a_gate_end_at_one_height_whatever_the_ground() -> None:
    """Specification of the 1950s for chain link: tops of gate posts level regardless of grade (trade page, gates)."""
    design = put(profile((0, 0), (18, 0), (30, -3), (100, -3)))
    tops = {height.post: height.top_m for height in design.meetings[0].posts}
    near, far = design.gates[0].posts
    assert tops[near] == pytest.approx(tops[far])


def test_a_hump_between_the_places_looked_at_is_cleared_too() -> None:
    """A narrow ridge under the closed leaf, between two of the places a tenth of a metre apart."""
    made = Gate("g", "r", 0, 1, 1.0, 1.0, 1, 0.0, "", ("1", "2"), ("1",), ("2",), "yard",
                swing=(((0.0, 0.0), (1.0, 0.0), (0.7071, 0.7071), (0.0, 1.0)),))  # fmt: skip
    ridge = Profile("r", (0.0, 0.54, 0.55, 0.56, 1.0), (0.0, 0.0, 0.03, 0.0, 0.0), (0.0,) * 5, ("spots",))
    leaf = hang_gate(made, (0.0, 0.0), 0.0, ridge, 0.05, lambda xy: np.zeros(len(xy)))
    assert leaf.bottom_m == pytest.approx(0.08)
    assert leaf.rise_m == 0.0
    assert leaf.low_gap_m == pytest.approx(0.08)


@pytest.mark.parametrize(
    ("fall_in", "rise", "offered"),
    [
        (1.8, 0.0, {"lower-leaf", "threshold", "other-place", "more-gap"}),
        (4.0, 0.0, {"threshold", "other-place", "more-gap"}),
        (0.0, 0.1, {"threshold", "other-swing", "other-place", "more-gap"}),
    ],
)
def test_room_below_a_leaf_is_healed_so_that_it_still_swings(fall_in: float, rise: float, offered: set[str]) -> None:
    """Along the opening the ground falls by so much, or rises into the yard; 3 1/2 in of room are allowed, 2 in wished,
    so the leaf may hang an inch lower. A board or fill in the swing would stop it."""
    ground = profile((0, 0), (18, 0), (26, -fall_in / 12 * 8 / 4), (100, -fall_in / 12 * 8 / 4))
    design = lay(
        [run("rear", "A", "B", follows="racked", gates=(gate("side", 4, 20, "A"),))],
        LONG,
        kinds={"fence": kind(values=(("least gap", 0.5 * IN), ("most gap", 3.5 * IN)))},
        ground=lambda paths, called: [ground],
        heights=plane(0.0, rise) if rise else None,
    )
    bay = next(bay for bay in design.meetings[0].bays if bay.bay == design.gates[0].bay)
    assert [rule for rule, _ in bay.breaks] == ["most-gap"]
    assert {remedy.slug for remedy in design.meetings[0].remedies if remedy.bay == bay.bay} == offered
    said = [remark for remark in design.remarks if remark.slug == "ground-most-gap" and "gate" in dict(remark.args)]
    assert [dict(remark.args)["gate"] for remark in said] == ["side"]
