"""Runs of wire on the plan drawing: what a builder has to read there."""

from __future__ import annotations

from pathlib import Path

from palewright import jobfile
from palewright.draw.plan_sheet import plan_sheets
from palewright.draw.scene import Text
from palewright.plan import make_plan

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def test_a_field_says_its_legs_angles_stations_and_gate() -> None:
    """As the job walks it: 900, 800 and 600 ft, 70 and 110 degrees, a gate of 16 ft."""
    (sheet,) = plan_sheets(make_plan(jobfile.read(EXAMPLES / "field-fence-virginia.yaml")))
    texts = {primitive.text for primitive in sheet.primitives if isinstance(primitive, Text)}
    assert {"900' 0\"", "800' 0\"", "600' 0\"", "70°", "110°", "field gate", "opening 16' 0\""} <= texts
    assert {f"{k}+00" for k in (2, 4, 6, 8, 10, 14, 16, 18, 20, 22)} <= texts
    assert "12+00" not in texts  # in the opening
