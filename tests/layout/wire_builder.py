"""Small lines of wire for tests."""

from __future__ import annotations

import math

import numpy as np

from palewright.layout.line import LineArrays, lay_line
from palewright.layout.line_ground import Way
from palewright.layout.line_records import Opening, line_plan
from palewright.layout.line_rules import resolve_wire
from palewright.model import FenceSpec, LinePlan, WireRules

FT = 0.3048


def rules(kind: str = "woven wire", **values: object) -> WireRules:
    """The rules of a kind; underscores stand for blanks in keys."""
    return resolve_wire(FenceSpec("pasture", kind, tuple((key.replace("_", " "), v) for key, v in values.items())))  # type: ignore[misc]


def straight(feet: float) -> Way:
    return Way.of(np.array([[0.0, 0.0], [feet * FT, 0.0]]))


def bent(first_ft: float, turn_deg: float, second_ft: float) -> Way:
    turn = math.radians(turn_deg)
    a, b = first_ft * FT, second_ft * FT
    return Way.of(np.array([[0.0, 0.0], [a, 0.0], [a + b * math.cos(turn), b * math.sin(turn)]]))


def laid(way: Way, which: WireRules, closed: bool = False, gates: tuple[tuple[float, float], ...] = ()) -> LineArrays:
    return lay_line(way, closed, gates, which)


def planned(way: Way, which: WireRules, closed: bool = False, gates: tuple[Opening, ...] = ()) -> LinePlan:
    line = lay_line(way, closed, [(gate.from_m, gate.to_m) for gate in gates], which)
    return line_plan("north field", line, which, gates, closed, None)
