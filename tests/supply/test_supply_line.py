"""Rolls of wire, and what a line of wire takes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.layout.wire_builder import FT, planned, rules, straight

from palewright.layout.line_records import Opening
from palewright.supply.draft import Draft
from palewright.supply.line import rolls_for, take_lines, wire_rolls


@given(
    st.lists(st.floats(1.0, 800.0), min_size=1, max_size=30),
    st.floats(50.0, 500.0),
    st.floats(0.0, 2.0),
    st.floats(0.0, 1.0),
)
def test_rolls_are_enough_and_one_less_is_not(pieces: list[float], roll: float, tie: float, splice: float) -> None:
    need, rolls = rolls_for(pieces, roll, tie, splice)
    wire = sum(pieces) + 2 * tie * len(pieces)
    assert rolls * roll >= wire + (rolls - 1) * splice - 1e-6
    assert rolls == 1 or (rolls - 1) * roll < wire + (rolls - 2) * splice + 1e-6
    assert need == pytest.approx(wire + (rolls - 1) * splice)


def test_a_roll_shorter_than_a_splice_is_refused() -> None:
    with pytest.raises(ValueError, match="no rolls"):
        rolls_for([10.0], 0.2, 0.1, 0.3)


def test_five_strands_on_one_post_are_five_clips() -> None:
    draft = Draft()
    line = planned(straight(1320), rules("barbed wire", rules="kentucky 2007"))
    take_lines(draft, [line])
    bought = {item.what: item.need for item in draft.items}
    assert bought["post-clip"] == 5 * line.count("steel")
    wood = sum(line.count(role) for role in ("end", "brace", "wood"))
    assert bought["wire-staple"] == 5 * wood
    assert bought["brace-pin"] == 2 * bought["wood-brace-rail"] == 4


def test_electric_wire() -> None:
    """Wires x posts insulators, three ground rods, a sign each 300 ft, cable under the gate 10 ft longer than it."""
    draft = Draft()
    gate = Opening("gate", 12 * FT, 400 * FT, (412 + 8 / 12) * FT)
    line = planned(straight(1000), rules("electric wire"), gates=(gate,))
    take_lines(draft, [line])
    bought = {item.what: item.need for item in draft.items}
    posts = sum(len(one.posts) for one in line.assemblies) + sum(one.wood + one.steel for one in line.stretches)
    assert bought["insulator"] == 3 * posts
    assert (bought["ground-rod"], bought["warning-sign"]) == (3, 4)
    assert bought["gate-cable"] / FT == pytest.approx(22)
    assert "wire-staple" not in bought


def test_rolls_are_dropped_where_the_one_before_ends() -> None:
    line = planned(straight(1320), rules(rules="tennessee 2002", brace="none", tie=0.0, splice=0.0, strands="0"))
    assert [roll.station_m / FT for roll in wire_rolls(line)] == pytest.approx([0, 330, 660, 990])


def test_rolls_of_a_piece_that_begins_at_a_pull_assembly() -> None:
    """By hand: 1,320 ft in two pulls of 660; a double H at 660 has posts at 652, 660 and 668 ft, so each piece is 668 ft
    and 2 ft more at both ends; rolls of 330 lose 1 ft each. The second piece is tied first at 652: its rolls begin where
    987 and 1,316 ft of wire are used, 987 - 672 - 2 = 313 and 642 ft on.
    """
    line = planned(straight(1320), rules(rules="ohio dot 607", brace="double", strands="0"))
    assert [piece / FT for piece in line.pulls_m] == pytest.approx([668, 668])
    assert [roll.station_m / FT for roll in wire_rolls(line)] == pytest.approx([0, 327, 656, 652 + 313, 652 + 642])
