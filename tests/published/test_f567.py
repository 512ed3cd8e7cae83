"""ASTM F567, Installation of Chain-Link Fence (F567-07, first page of a copy): 4.1 spacing, 5.1 holes.

Clause 5.1: hole four times the largest cross section of the post up to 4 in outside diameter, three times for larger;
depth 24 in and 3 in more for each foot of fence above 4 ft. Clause 4.1: line posts equidistant, at most 10 ft apart.
The numbers below are the clause worked out by hand for common sizes; the copy prints the rule, not the table.
Tolerance: none for depths (whole inches); 0.05 in for diameters (worked out to one decimal).

sources: f567
"""

import itertools

import pytest

from palewright.layout.bays_spacing import spacing
from palewright.layout.kinds import f567_depth, f567_diameter, resolve
from palewright.model import FenceSpec

IN, FT = 0.0254, 0.3048
DEPTHS = {4: 24, 5: 27, 6: 30, 7: 33, 8: 36, 10: 42, 12: 48}
DIAMETERS = {1.625: 6.5, 1.9: 7.6, 2.375: 9.5, 2.875: 11.5, 4.0: 16.0, 6.625: 19.9}


@pytest.mark.parametrize(("feet", "inches"), DEPTHS.items())
def test_depth(feet, inches):
    assert f567_depth(feet * FT) / IN == pytest.approx(inches, abs=1e-9)


@pytest.mark.parametrize(("post", "hole"), DIAMETERS.items())
def test_diameter(post, hole):
    assert f567_diameter(post * IN) / IN == pytest.approx(hole, abs=0.05)


def test_a_low_fence_keeps_the_least_depth():
    assert f567_depth(3 * FT) / IN == pytest.approx(24)


def test_the_kind_follows_the_clause():
    """6 ft commercial fence: 30 in deep; 1.9 in line posts in 7.6 in holes, 2 3/8 in terminals in 9 1/2 in ones."""
    kind = resolve(FenceSpec("f", "chain-link-commercial", (("fabric", 6 * FT),)))
    assert kind.hole("line").depth_m / IN == pytest.approx(30)
    assert kind.hole("line").diameter_m / IN == pytest.approx(7.6)
    assert kind.hole("end").diameter_m / IN == pytest.approx(9.5)


def test_line_posts_at_most_ten_feet_apart_and_equidistant():
    kind = resolve(FenceSpec("f", "chain-link"))
    assert kind.longest_m / FT == pytest.approx(10)
    marks = spacing(26 * FT, kind.longest_m)
    assert len(marks) - 1 == 3
    assert {round(b - a, 9) for a, b in itertools.pairwise(marks)} == {round(26 * FT / 3, 9)}
