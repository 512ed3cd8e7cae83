"""Worked spacings of trade pages, by whole layouts.

Sources: a contractor's page dividing 100 ft of stick-built fence at 8 ft at most (it tries 7.7 ft; exact is 13 bays of
92 5/16 in); a 150 ft wood privacy fence (19 bays of 94.74 in, 20 posts); split rail in 10 ft bays, 200 ft (21 posts;
the retail rule length / 11 gives 19 and is short); aluminium panels of 72 1/2 in centre to centre, 100 ft (16 full and
a last one of 40 in, or 17 equal of 70.59 in). Lengths to the last digit printed.

sources: equal-bays, split
"""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, IN, kind, lay, points, run


def straight(length_ft, longest_m, **more):
    divide = more.pop("divide", "")
    fence = kind(longest=longest_m, **more)
    return lay([run("r", "A", "B", divide=divide)], points(A=(0, 0), B=(length_ft, 0)), kinds={"fence": fence})


def test_a_hundred_feet_stick_built():
    design = straight(100, 8 * FT)
    assert len(design.bays) == 13
    assert all(bay.length_m / IN == pytest.approx(92 + 5 / 16, abs=1 / 16) for bay in design.bays)


def test_a_hundred_and_fifty_feet_of_privacy():
    design = straight(150, 8 * FT)
    assert (len(design.bays), len(design.posts)) == (19, 20)
    assert design.bays[0].length_m / IN == pytest.approx(94.74, abs=0.005)


def test_split_rail_two_hundred_feet():
    assert len(straight(200, 10 * FT, family="post and rail").posts) == 21


def test_panels_full_and_one_cut():
    # the sliver rule does not bite: 40 in is more than a third of 72 1/2
    design = straight(100, 72.5 * IN, family="panels", module=72.5 * IN)
    sizes = [bay.length_m / IN for bay in design.bays]
    assert sizes == pytest.approx([72.5] * 16 + [40])
    assert [bay.cut for bay in design.bays] == [False] * 16 + [True]
    assert len(design.posts) == 18


def test_panels_cut_equal():
    design = straight(100, 72.5 * IN)
    assert len(design.bays) == 17
    assert design.bays[0].length_m / IN == pytest.approx(70.59, abs=0.005)
