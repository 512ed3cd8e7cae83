"""Codified ordinances of Byesville, Ohio, chain link fences (Ord. 01-08, 2001; derived from ASTM F567 and F761).

(a)(1) posts at most 10 ft apart, holes four times the post; (2) 24 in deep for 4 ft, 3 in more for each foot;
(4) table of members: up to 5 ft, top rail 1 3/8 in, line post 1 5/8 in, terminal 2 1/2 in; (5) ties at most 15 in on line
posts and 24 in on the top rail. Tolerance: none, the text gives limits. Ties are counted from those limits by hand.

sources: byesville
"""

import pytest

from palewright.layout.kinds import f567_depth, resolve
from palewright.model import FenceSpec
from palewright.supply import ties_on_post
from palewright.tables import section_names

IN, FT = 0.0254, 0.3048


@pytest.mark.parametrize(("feet", "inches"), [(4, 24), (5, 27), (6, 30)])
def test_depth(feet, inches):
    assert f567_depth(feet * FT) / IN == pytest.approx(inches)


@pytest.mark.parametrize(("inches", "ties"), [(45, 3), (48, 4), (60, 4), (72, 5), (90, 6)])
def test_ties_on_a_line_post_no_more_than_15_in_apart(inches, ties):
    assert ties_on_post(inches * IN, "f567") == ties


def test_members_of_a_fence_up_to_five_feet():
    kind = resolve(FenceSpec("f", "chain-link"))
    assert kind.value("rail size") == "1 3/8"
    assert kind.post("line").width_m / IN == pytest.approx(1.625)
    assert "2 1/2" in section_names("pipe")
