"""Concrete: volumes, bags, spoil; ranges. The figures of the trade stand in tests/published."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.supply import BAG_MASSES_KG, BAG_YIELDS_M3, bags_needed, hole_volumes, spoil_volume


def test_bags_in_falling_order():
    assert list(BAG_YIELDS_M3) == ["80 lb", "60 lb", "50 lb", "40 lb"]
    assert list(BAG_MASSES_KG.values()) == sorted(BAG_MASSES_KG.values(), reverse=True)


@settings(max_examples=100, deadline=None)
@given(d=st.floats(0.1, 1.0), depth=st.floats(0.1, 3.0), share=st.floats(0, 0.999), gravel=st.floats(0, 1))
def test_net_gravel_and_post_make_up_the_hole(d, depth, share, gravel):
    area = math.pi * d * d / 4
    post, under = share * area, gravel * depth
    gross, net = hole_volumes(d, depth, post, under)
    assert gross == pytest.approx(net + area * under + post * (depth - under))


@settings(max_examples=100, deadline=None)
@given(volume=st.floats(0, 100), bag=st.sampled_from(list(BAG_YIELDS_M3.values())))
def test_bags_hold_the_volume_and_one_fewer_does_not(volume, bag):
    count = bags_needed(volume, bag)
    assert count * bag >= volume * (1 - 1e-9) - 1e-9
    assert count == 0 or (count - 1) * bag < volume


@pytest.mark.parametrize(
    "call",
    [
        lambda: hole_volumes(0.0, 1.0),
        lambda: hole_volumes(0.3, -1.0),
        lambda: hole_volumes(0.3, 1.0, 0.0, 1.1),
        lambda: hole_volumes(0.3, 1.0, 1.0),
        lambda: hole_volumes(float("inf"), 1.0),
        lambda: bags_needed(-1.0, 0.01),
        lambda: bags_needed(1.0, 0.0),
        lambda: bags_needed(float("nan"), 0.01),
        lambda: spoil_volume(-1.0),
    ],
)
def test_unusable_numbers_are_refused(call):
    with pytest.raises(ValueError):
        call()
