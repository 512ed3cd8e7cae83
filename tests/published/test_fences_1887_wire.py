"""Wire and posts of closed farms, and when an end takes two braced posts, against a farm handbook of 1887.

Source: "Fences, Gates and Bridges" (1887), pp. 25, 27 and 34: a strand weighs 365 lb a mile (book 183, 273, 365, 547 and
730 lb for 10 to 160 acres; whole pounds, cut off); 60 rods closed with a post each rod are 60 posts; with more than forty
rods of fence two posts are braced at each end. Rolls of 80 rods of barbed wire and 20 rods of woven wire, nothing lost.

sources: fences-1887
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.layout.wire_builder import FT, planned, rules, straight

from palewright.layout.line_ground import Way
from palewright.supply.line import rolls_for


def square(width_ft: float, depth_ft: float) -> Way:
    corners = [[0, 0], [width_ft, 0], [width_ft, depth_ft], [0, depth_ft], [0, 0]]
    return Way.of(np.array(corners, dtype=float) * FT)


@pytest.mark.parametrize(
    ("width_ft", "depth_ft", "pounds"),
    [(660, 660, 182), (660, 1320, 273), (1320, 1320, 365), (1320, 2640, 547), (2640, 2640, 730)],
)
def test_pounds_of_a_strand(width_ft: float, depth_ft: float, pounds: int) -> None:
    line = planned(square(width_ft, depth_ft), rules("barbed wire", brace="none"), closed=True)
    assert math.floor(line.wire_m / FT / 5280 * 365) == pounds


def test_sixty_rods_closed_are_sixty_posts() -> None:
    line = planned(square(20 * 16.5, 10 * 16.5), rules("barbed wire", brace="none"), closed=True)
    assert line.count("bay") == 60
    assert line.count("corner") + line.count("wood") + line.count("steel") == 60


def test_a_farm_of_160_acres() -> None:
    line = planned(square(2640, 2640), rules("barbed wire", brace="none", longest_pull=2640 * FT), closed=True)
    assert line.count("corner") + line.count("wood") + line.count("steel") == 640
    assert rolls_for([2640 * FT] * 4 * 5, 1320 * FT, 0.0, 0.0)[1] == 40
    assert rolls_for([2640 * FT] * 4, 330 * FT, 0.0, 0.0)[1] == 32


@pytest.mark.parametrize(("rods", "braced"), [(40, 1), (41, 2)])
def test_more_than_forty_rods_take_two_braced_posts(rods: int, braced: int) -> None:
    line = planned(straight(rods * 16.5), rules("barbed wire", brace="by pull"))
    assert [len(one.posts) - 1 for one in line.assemblies] == [braced, braced]
