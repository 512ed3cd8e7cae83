"""Numbers of a fence on sloping ground say where they come from."""

from __future__ import annotations

import pytest

from palewright import jobfile
from palewright.plan import explain, make_plan

FT, IN = 0.3048, 0.0254

TEXT = """palewright: 1
job: {title: A slope, north: none}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [36 ft, 0 ft]}}
fences: {it: {kind: boards, board: 6 ft, bottom gap: 2 in, longest bay: 8 ft, good side: neighbour, most gap: 14 in}}
heights:
  - spots: [[-20 ft, -20 ft, 102 ft], [60 ft, -20 ft, 102 ft], [-20 ft, 20 ft, 98 ft], [60 ft, 20 ft, 98 ft]]
runs:
  - name: run
    fence: it
    through: [A, B]
    yard: left
    follows: stepped
    gates: [{name: yard gate, opening: 4 ft, starts: 16 ft from A, hinges: near, swings: out}]
"""


def quantities(thing: str) -> dict[str, object]:
    plan = make_plan(jobfile.read_text(TEXT, "slope.yaml"))
    return {reason.quantity: reason for reason in explain(plan, thing)}


def test_a_leaf_says_what_lifts_it() -> None:
    """Ground that rises 1 in 10 away from the yard: the open leaf of 3 ft 11 in swings over 4.7 in more."""
    reason = quantities("gate yard gate")["bottom of its leaf"]
    assert reason.value == pytest.approx(2 * IN + 4.7 * IN, abs=0.01 * IN)
    assert dict(reason.inputs)["the swing rises by_m"] == pytest.approx(4.7 * IN, abs=0.01 * IN)


def test_a_bay_says_its_room_and_its_height_and_a_post_its_top() -> None:
    """Level along the run: 2 in below and 6 ft 2 in high everywhere."""
    bay = quantities("bay 1")
    assert bay["meets the ground"].value == "stepped"
    assert bay["most room below it"].value == pytest.approx(2 * IN)
    assert bay["most that its top stands above the ground"].value == pytest.approx(74 * IN)
    assert quantities("post 1")["top in run run"].value == pytest.approx(100 * FT + 74 * IN)


def test_a_bay_that_breaks_a_rule_says_what_would_heal_it() -> None:
    """Bays of 8 ft stepped on ground that falls 1 in 8: 12 in of room at one end beside 1/2 in at the other, 6 in allowed."""
    text = TEXT.replace("60 ft, -20 ft, 102 ft", "60 ft, -20 ft, 92 ft").replace(
        "60 ft, 20 ft, 98 ft", "60 ft, 20 ft, 88 ft"
    )
    text = text.replace("most gap: 14 in", "least gap: 0.5 in, most gap: 6 in")
    plan = make_plan(jobfile.read_text(text, "slope.yaml"))
    found = {reason.quantity: reason for reason in explain(plan, "bay 1")}
    over = found["most room below it"].value - 6 * IN
    assert over > 0
    assert found["fill would heal most-gap"].value == pytest.approx(over)
    divided = found["another-bay would heal most-gap"]
    assert divided.value * dict(divided.inputs)["count"] == pytest.approx(plan.design.bays[0].length_m)
