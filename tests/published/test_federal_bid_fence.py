"""A mile of four-strand barbed wire, against a federal bid sheet for the West.

Source: abstract of the bid sheet: posts at most 16 1/2 ft apart, two stays in each bay, wires 16, 8, 8 and 10 in from the
ground up, top strand 42 in, metal to wood 5 : 1, braces each quarter mile. 320 bays, 640 stays, 16 rolls of 1,320 ft with
nothing lost; wire to tie off takes one roll more. Counts exact.

sources: federal-bid-fence
"""

from __future__ import annotations

import pytest
from tests.layout.wire_builder import FT, planned, rules, straight

from palewright.supply.line import rolls_for


def test_a_mile() -> None:
    which = rules("barbed wire", rules="western federal bid", brace="none")
    line = planned(straight(5280), which)
    assert (line.count("bay"), line.count("stay")) == (320, 640)
    assert [one.role for one in line.assemblies] == ["end", "pull", "pull", "pull", "end"]
    heights = which.rule("heights")
    assert heights is not None
    assert [round(height / 0.0254, 6) for height in heights.row] == [16, 24, 32, 42]
    assert line.count("steel") / line.count("wood") == pytest.approx(5, abs=0.1)
    strands = list(line.pulls_m) * int(which.number("strands"))
    assert rolls_for(strands, 1320 * FT, 0.0, 0.0)[1] == 16
    assert rolls_for(strands, 1320 * FT, 2 * FT, 1 * FT)[1] == 17
