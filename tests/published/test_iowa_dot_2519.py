"""What stands where a line of wire bends, against Iowa's section 2519.

Source: Iowa DOT, Standard Specifications, section 2519 (2013): a horizontal change of 10 degrees or more is a corner post;
less than that a pull assembly only where it is required. Exact.

sources: iowa-dot-2519
"""

from __future__ import annotations

import pytest
from tests.layout.wire_builder import bent, planned, rules


@pytest.mark.parametrize(("degrees", "corner"), [(3, False), (9.9, False), (10, True), (12, True), (35, True)])
def test_a_bend(degrees: float, corner: bool) -> None:
    line = planned(bent(150, degrees, 150), rules(rules="iowa dot 2519"))
    assert [one.role for one in line.assemblies] == (["end", "corner", "end"] if corner else ["end", "end"])
