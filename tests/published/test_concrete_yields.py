"""Yields printed on bags of dry concrete mix: 40, 50, 60 and 80 lb give 0.30, 0.375, 0.45 and 0.60 cu ft.

The holes are worked examples of the trade by plain geometry: net volume = (hole area -
post area) x (depth - gravel) with a 4x4 of 3.5 in and a 6x6 of 5.5 in. Tolerance: half of the last digit printed
(0.005 cu ft; 0.005 bag).

sources: bag-yields
"""

import math

import pytest

from palewright.supply import BAG_YIELDS_M3, bags_needed, hole_volumes

IN = 0.0254
CUBIC_FOOT = 0.3048**3
SQUARE = {"4x4": 3.5, "6x6": 5.5}
HOLES = [  # hole in, depth in, post in (round when a number), gravel in, net cu ft
    (10, 30, "4x4", 0, 1.15),
    (10, 30, "4x4", 6, 0.92),
    (12, 36, "4x4", 0, 2.10),
    (12, 36, "6x6", 0, 1.73),
    (9.5, 30, 2.375, 0, 1.15),
    (11.5, 36, 2.875, 0, 2.03),
]
BAGS = [  # net cu ft as printed in the case, bag, exact bags, bags
    (0, "80 lb", 1.92, 2),
    (0, "60 lb", 2.56, 3),
    (0, "50 lb", 3.07, 4),
    (1, "80 lb", 1.53, 2),
    (2, "80 lb", 3.50, 4),
    (3, "80 lb", 2.88, 3),
]


def net(hole, depth, post, gravel):
    area = SQUARE[post] ** 2 if isinstance(post, str) else math.pi * post**2 / 4
    return hole_volumes(hole * IN, depth * IN, area * IN**2, gravel * IN)[1]


@pytest.mark.parametrize(("name", "cubic_feet"), [("40 lb", 0.30), ("50 lb", 0.375), ("60 lb", 0.45), ("80 lb", 0.60)])
def test_yield(name, cubic_feet):
    assert BAG_YIELDS_M3[name] / CUBIC_FOOT == pytest.approx(cubic_feet)


@pytest.mark.parametrize(("hole", "depth", "post", "gravel", "printed"), HOLES)
def test_net_volume(hole, depth, post, gravel, printed):
    assert net(hole, depth, post, gravel) / CUBIC_FOOT == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(("which", "bag", "exact", "whole"), BAGS)
def test_bags_for_one_hole(which, bag, exact, whole):
    volume = net(*HOLES[which][:4])
    assert volume / BAG_YIELDS_M3[bag] == pytest.approx(exact, abs=0.005)
    assert bags_needed(volume, BAG_YIELDS_M3[bag]) == whole


def test_twenty_holes_rounded_for_the_job_and_hole_by_hole():
    """20 holes of 1.15 cu ft: 23.0 cu ft, 0.85 cu yd, 39 bags of 80 lb for the job, 40 hole by hole."""
    volume = net(*HOLES[0][:4])
    assert 20 * volume / CUBIC_FOOT == pytest.approx(23.0, abs=0.05)
    assert 20 * volume / CUBIC_FOOT / 27 == pytest.approx(0.85, abs=0.005)
    assert bags_needed(20 * volume, BAG_YIELDS_M3["80 lb"]) == 39
    assert 20 * bags_needed(volume, BAG_YIELDS_M3["80 lb"]) == 40
