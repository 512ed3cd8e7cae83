"""Legal heights along a run: one line for all rules, and a fence that keeps it where it can."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.yard_builder import FT, IN, kind, lay, points, run

from palewright.layout.rising_limits import legal_line
from palewright.model import HeightLine, Profile, RunLimits, StepSpec

knots = st.lists(st.floats(0.1, 9.9), min_size=0, max_size=4, unique=True)


@st.composite
def lines(draw):
    made = []
    for n in range(draw(st.integers(1, 3))):
        low, high = sorted(draw(st.lists(st.integers(0, 10), min_size=2, max_size=2, unique=True)))
        at = [float(low), *(s for s in sorted(draw(knots)) if low < s < high), float(high)]
        z = [draw(st.floats(-2, 2)) for _ in at]
        made.append(HeightLine(f"rule {n}", draw(st.floats(1.0, 3.0)), tuple(at), tuple(z)))
    return made


@settings(max_examples=200, deadline=None)
@given(lines(), st.floats(0.0, 10.0))
def test_the_line_is_the_lowest_ceiling_of_all_rules_that_hold(rules, at) -> None:
    """Looked up afresh at any station that is no end of a stretch."""
    if any(abs(at - end) < 1e-6 for rule in rules for end in rule.stations_m):
        return
    most, (s, z) = legal_line(rules, 10.0, 0.0)
    ceilings = [
        float(np.interp(at, rule.stations_m, rule.heights_m)) + rule.most_m
        for rule in rules
        if rule.stations_m[0] < at < rule.stations_m[-1]
    ]
    found = float(np.interp(at, s, z)) + most
    if ceilings:
        assert found == pytest.approx(min(ceilings), abs=1e-9)
    else:
        assert found > 900.0


def test_a_stepped_fence_takes_other_steps_under_a_height_rule() -> None:
    """A fall of 8 in to a bay in steps of 12 in or none: some bays hang high, unless a rule forbids it."""
    ground = Profile("rear", (0.0, 32 * FT), (0.0, -32 * IN), (0.01, 0.01), ("spots",))
    fence = kind(values=(("least gap", 0.5 * IN), ("most gap", 30 * IN)))

    def put(most):
        limit = RunLimits((HeightLine("town", most, (0.0, 32 * FT), (0.0, -32 * IN)),))
        return lay(
            [run("rear", "A", "B", follows="stepped", steps=StepSpec(multiple_m=12 * IN))],
            points(A=(0, 0), B=(32, 0)),
            kinds={"fence": fence},
            ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
            limits=lambda name, path, profile, posts: limit,
        )

    highest = [max(bay.highest_m for bay in put(most * IN).meetings[0].bays) for most in (120, 88, 80)]
    # least gap 1/2 in below the first bay; a bay that does not step down stands 8 in higher over its low end each time
    assert highest[0] > 88 * IN
    assert highest[1] <= 88 * IN + 1e-9
    low = put(80 * IN)
    said = dict(next(r for r in low.remarks if r.slug == "ground-legal-height").args)
    assert said["allowed_m"] == pytest.approx(80 * IN)
    assert said["found_m"] == pytest.approx(highest[2])
    assert "ground-legal-height" not in [r.slug for r in put(88 * IN).remarks]


def test_the_gap_of_a_barrier_stands_before_that_of_the_kind() -> None:
    """3 in at most, though the kind would leave 14."""
    ground = Profile("rear", (0.0, 32 * FT), (0.0, -6 * IN), (0.01, 0.01), ("spots",))
    design = lay(
        [run("rear", "A", "B", follows="stepped")],
        points(A=(0, 0), B=(32, 0)),
        kinds={"fence": kind(values=(("least gap", 0.5 * IN), ("most gap", 14 * IN)))},
        ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
        limits=lambda name, path, profile, posts: RunLimits((), 3 * IN),
    )
    assert max(bay.most.gap_m for bay in design.meetings[0].bays) <= 3 * IN + 1e-9
