"""Lines of wire of a quarter mile, against the spacings and pulls of state standards for fence (NRCS code 382).

Source: Tennessee CS-382-3 (2002): woven wire, pull assemblies at most 330 ft apart, line posts at most 14 ft. Kentucky
(2007): barbed wire, at most 14 ft, 18 ft with stays. Rhode Island 382(d): high tensile, at most 30 ft, or 50 ft with a
stay at 25 ft. Virginia 382(b) (2007): woven wire, at most 16 1/2 ft. Counted without braces, as the standards count.

sources: nrcs-382-tn, nrcs-382-ky, nrcs-382-ri, nrcs-382-va
"""

from __future__ import annotations

import pytest
from tests.layout.wire_builder import planned, rules, straight


def test_tennessee_woven() -> None:
    line = planned(straight(1320), rules(rules="tennessee 2002", brace="none"))
    assert [one.bays for one in line.stretches] == [24, 24, 24, 24]
    assert (len(line.assemblies), line.count("wood") + line.count("steel")) == (5, 92)


@pytest.mark.parametrize(
    ("kind", "document", "stays", "bays", "all_stays"),
    [
        ("barbed wire", "kentucky 2007", "0", 95, 0),
        ("barbed wire", "kentucky 2007", "1", 74, 74),
        ("high-tensile wire", "rhode island 382(d)", "0", 44, 0),
        ("high-tensile wire", "rhode island 382(d)", "1", 27, 27),
        ("woven wire", "virginia 2007", "0", 80, 0),
    ],
)
def test_a_quarter_mile(kind: str, document: str, stays: str, bays: int, all_stays: int) -> None:
    which = rules(kind, rules=document, stays=stays, brace="none", longest_pull=1320 * 0.3048)
    line = planned(straight(1320), which)
    assert line.count("bay") == bays
    assert line.count("wood") + line.count("steel") == bays - 1
    assert line.count("stay") == all_stays


def test_kentucky_wood_in_rolling_land() -> None:
    """Every third or fourth line post is of wood."""
    line = planned(straight(1320), rules("barbed wire", rules="kentucky 2007", brace="none"))
    assert line.count("steel") / line.count("wood") == pytest.approx(3, abs=0.2)
