"""Line posts of straight farm fences, against the spacings of state practice standards for fence (code 382).

Sources: Kentucky NRCS 382 (2007), barbed: line posts at most 14 ft apart. Tennessee CS-382-3 (2002), woven: at most
14 ft, pull assemblies at most 330 ft apart. Rhode Island 382(d), high tensile: at most 30 ft without a stay, 50 ft
with one. A western federal bid sheet: at most 16 1/2 ft. Posts counted by ceil(length / spacing) - 1 between
terminals; the rule L / spacing rounded is short. Counts exact.

sources: nrcs-382
"""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, kind, lay, points, posts_by_role, run


def straight(length_ft, spacing_ft, stops=()):
    names = ["A", *[f"P{k}" for k in range(len(stops))], "B"]
    places = points(A=(0, 0), **{f"P{k}": (x, 0) for k, x in enumerate(stops)}, B=(length_ft, 0))
    fence = kind(longest=spacing_ft * FT)
    return lay([run("r", *names)], places, kinds={"fence": fence})


@pytest.mark.parametrize(
    ("length_ft", "spacing_ft", "bays", "line"),
    [
        (1320, 14, 95, 94),  # Kentucky barbed
        (1320, 30, 44, 43),  # Rhode Island high tensile without stays
        (1320, 50, 27, 26),  # with a stay
        (5280, 16.5, 320, 319),  # western bid, one mile
    ],
)
def test_line_posts_between_two_ends(length_ft, spacing_ft, bays, line):
    design = straight(length_ft, spacing_ft)
    assert len(design.bays) == bays
    assert posts_by_role(design) == {"end": 2, "line": line}


def test_tennessee_woven_between_pull_assemblies():
    design = straight(1320, 14, (330, 660, 990))
    assert len(design.bays) == 96
    pulls = [post for post in design.posts if post.why.startswith("point")]
    assert len(pulls) == 5
    assert len(design.posts) - len(pulls) == 92
