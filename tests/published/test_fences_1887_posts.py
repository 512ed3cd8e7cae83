"""Post positions of closed fences, against the table of a farm handbook of 1887.

Source: "Fences, Gates and Bridges" (1887), pp. 25 and 27: perimeters of square and half-square farms, and a fence of
60 rods with a post at each rod. A rod is 16 1/2 ft; a closed fence has as many posts as bays, so a count one higher
would be wrong. Lengths are whole rods: counts must agree exactly, perimeters to float rounding.

sources: fences-1887
"""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, kind, lay, points, run

ROD = 16.5


def loop(width_ft, depth_ft):
    places = points(A=(0, 0), B=(width_ft, 0), C=(width_ft, depth_ft), D=(0, depth_ft))
    fence = kind(longest=ROD * FT)
    return lay([run("farm", "A", "B", "C", "D", closed=True)], places, kinds={"fence": fence})


def test_sixty_rods_closed_with_a_post_each_rod_are_sixty_posts():
    design = loop(20 * ROD, 10 * ROD)
    assert len(design.posts) == len(design.bays) == 60


@pytest.mark.parametrize(
    ("acres", "width_ft", "depth_ft", "perimeter_ft", "posts"),
    [
        (10, 660, 660, 2640, 160),
        (20, 660, 1320, 3960, 240),
        (40, 1320, 1320, 5280, 320),
        (80, 1320, 2640, 7920, 480),
        (160, 2640, 2640, 10560, 640),
    ],
)
def test_perimeters_and_posts_of_square_farms(acres, width_ft, depth_ft, perimeter_ft, posts):
    assert width_ft * depth_ft == acres * 43560
    design = loop(width_ft, depth_ft)
    assert design.runs[0].length_m / FT == pytest.approx(perimeter_ft)
    assert len(design.posts) == posts
