"""How deep: the deepest of the kind's rule, a share of the post and frost; or what was typed, with its cautions."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.layout.kinds import resolve
from palewright.model import FenceSpec, HoleRule
from palewright.strength import design_hole, embed, embed_remarks, third_in_ground

IN = 0.0254


def rule(depth=30.0, gravel=6.0, fraction=1 / 3):
    return HoleRule(10 * IN, depth * IN, gravel * IN, fraction, source="from memory")


def test_a_third_of_the_whole_post_is_half_of_what_shows():
    in_ground = third_in_ground(74 * IN)
    assert in_ground == pytest.approx(37 * IN)
    assert in_ground == pytest.approx((74 * IN + in_ground) / 3)


def test_the_third_governs_a_six_foot_fence_of_boards():
    hole = design_hole(rule(), 74 * IN)
    assert hole.governs == "third"
    assert hole.depth_m == pytest.approx(43 * IN)
    assert hole.in_ground_m == pytest.approx(37 * IN)
    assert hole.gravel_m == pytest.approx(6 * IN)


def test_the_kind_governs_a_low_fence():
    hole = design_hole(rule(), 38 * IN)
    assert (hole.governs, hole.depth_m) == ("kind", 30 * IN)


def test_frost_governs_and_gravel_does_not_count():
    hole = design_hole(rule(), 74 * IN, 42 * IN)
    assert hole.governs == "frost"
    assert hole.in_ground_m == pytest.approx(42 * IN)
    assert hole.depth_m == pytest.approx(48 * IN)


def test_shallow_frost_changes_nothing():
    assert design_hole(rule(), 74 * IN, 12 * IN).governs == "third"


def test_equal_depths_name_the_kind_first():
    assert design_hole(rule(depth=43), 74 * IN, 37 * IN).governs == "kind"


def test_no_share_asked():
    assert design_hole(rule(fraction=0.0), 74 * IN).governs == "kind"


def test_typed_depth_goes_before_the_rules_and_says_what_it_falls_short_of():
    hole = design_hole(rule(), 74 * IN, 42 * IN, 36 * IN)
    assert hole.governs == "typed"
    assert hole.in_ground_m == pytest.approx(30 * IN)
    assert hole.reasons[-1].formula == "as typed; shallower than third, frost"
    assert hole.reasons[-1].source == "as typed"


def test_reasons_show_every_rule_and_that_frost_was_not_given():
    hole = design_hole(rule(), 74 * IN)
    said = {reason.quantity: reason.value for reason in hole.reasons}
    assert said["depth by kind"] == 30 * IN
    assert said["depth by frost"] == "not given"
    assert said["hole depth"] == hole.depth_m


@pytest.mark.parametrize(
    "call",
    [
        lambda: design_hole(rule(), -1.0),
        lambda: design_hole(rule(), 1.0, -0.1),
        lambda: design_hole(rule(), 1.0, float("nan")),
        lambda: design_hole(rule(), 1.0, None, 0.1),
        lambda: design_hole(rule(gravel=-1), 1.0),
        lambda: third_in_ground(1.0, 1.0),
        lambda: third_in_ground(float("inf")),
    ],
)
def test_unusable_numbers_are_refused(call):
    with pytest.raises(ValueError):
        call()


def test_a_kind_with_its_depth_typed():
    plain = resolve(FenceSpec("f", "boards", good_side="yard"))
    assert embed(plain, "line").governs == "third"
    assert embed_remarks(plain, 1.0) == ()
    typed = resolve(FenceSpec("f", "boards", (("hole.depth", 36 * IN),), good_side="yard"))
    assert embed(typed, "gate").governs == "typed"
    slugs = [remark.slug for remark in embed_remarks(typed, 42 * IN)]
    assert slugs == ["hole-shallower-than-third", "hole-shallower-than-frost"]
    assert dict(embed_remarks(typed, 42 * IN)[1].args) == {"depth_m": 36 * IN, "wanted_m": pytest.approx(48 * IN)}
    deep = resolve(FenceSpec("f", "boards", (("hole.depth", 60 * IN),), good_side="yard"))
    assert embed_remarks(deep, 42 * IN) == ()


LENGTH = st.floats(0.0, 5.0)


@settings(max_examples=150, deadline=None)
@given(depth=LENGTH, gravel=st.floats(0, 0.6), fraction=st.floats(0, 0.5), above=LENGTH, frost=st.none() | LENGTH)
def test_no_rule_is_left_unmet(depth, gravel, fraction, above, frost):
    hole = design_hole(HoleRule(0.3, depth, gravel, fraction), above, frost)
    assert hole.depth_m >= depth - 1e-8
    assert hole.in_ground_m >= fraction * (above + hole.in_ground_m) - 1e-8
    assert frost is None or hole.in_ground_m >= frost - 1e-8
    assert hole.depth_m == pytest.approx(hole.in_ground_m + gravel)
