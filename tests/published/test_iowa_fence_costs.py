"""A quarter mile of wire fence by kind, against Iowa State's estimates of fence costs.

Source: Iowa State University Extension, Estimated costs for livestock fencing (2005, 2012), 1,320 ft: woven and
five-strand barbed wire by a post each 12 ft, 110 line posts, half of steel; 4 end posts of 8 in and 2 brace rails. Eight
strands of high tensile: a post each 20 ft, 66; 6 end posts and 4 rails; 10,560 ft of wire. The estimate divides length by
spacing; between the brace posts at both ends there are one or two fewer. Wire exact; posts within those.

sources: iowa-fence-costs
"""

from __future__ import annotations

import pytest
from tests.layout.wire_builder import FT, planned, rules, straight

from palewright.supply.line import rolls_for


@pytest.mark.parametrize("kind", ["woven wire", "barbed wire"])
def test_posts_of_a_quarter_mile(kind: str) -> None:
    which = rules(kind, longest_bay=12 * FT, longest_pull=1320 * FT, wood_every="2")
    line = planned(straight(1320), which)
    assert line.count("end") + line.count("brace") == 4
    assert line.count("rail") == 2
    posts = line.count("wood") + line.count("steel")
    assert 107 <= posts <= 109
    assert line.count("wood") == line.count("steel") == 54


def test_barbed_wire_is_five_rolls() -> None:
    assert rolls_for([1320 * FT] * 5, 1320 * FT, 0.0, 0.0) == (pytest.approx(6600 * FT), 5)


def test_high_tensile() -> None:
    line = planned(straight(1320), rules("high-tensile wire"))
    assert line.count("end") + line.count("brace") == 6
    assert line.count("rail") == 4
    assert line.count("wood") == 64
    need, coils = rolls_for([1320 * FT] * 8, 4000 * FT, 0.0, 0.0)
    assert (round(need / (4000 * FT), 2), coils) == (2.64, 3)
