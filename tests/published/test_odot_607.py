"""What stands where a line of woven wire bends, against Ohio's item 607.

Source: Ohio DOT, item 607, type 47: more than 1 to 4 degrees a stiff line post at the point, more than 4 to less than 30
degrees an intermediate anchor, 30 degrees or more a corner; at most 660 ft between anchors. Exact.

sources: odot-607
"""

from __future__ import annotations

import pytest
from tests.layout.wire_builder import bent, planned, rules, straight


@pytest.mark.parametrize(
    ("degrees", "what"),
    [(0.9, ""), (3, "S1"), (4, "S1"), (4.1, "anchor"), (12, "anchor"), (29.9, "anchor"), (30, "corner"), (35, "corner"),
     (-12, "anchor"), (-35, "corner")],
)  # fmt: skip
def test_a_bend(degrees: float, what: str) -> None:
    line = planned(bent(300, degrees, 300), rules(rules="ohio dot 607"))
    inner = [one.role for one in line.assemblies if one.role != "end"]
    if what in ("", "S1"):
        assert inner == []
        assert line.stretches[0].end == (what or "B2")
    else:
        assert inner == [what]


def test_anchors_at_most_660_ft_apart() -> None:
    assert len(planned(straight(660), rules(rules="ohio dot 607")).assemblies) == 2
    assert len(planned(straight(661), rules(rules="ohio dot 607")).assemblies) == 3
