"""Lengths, angles, bearings, grades and money as people write them, to and from exact numbers.

``parse_*`` raise NotationError with the span marked; ``show_*`` round once, halves away from zero.
"""

from palewright.notation.angles import parse_angle
from palewright.notation.bearings import parse_bearing
from palewright.notation.calls import CallText, parse_call
from palewright.notation.curves import CurveText
from palewright.notation.grades import parse_grade
from palewright.notation.lengths import Length, parse_length
from palewright.notation.money import Money, parse_money
from palewright.notation.quantities import parse_quantity
from palewright.notation.show import (
    show_acres,
    show_angle,
    show_area,
    show_bearing,
    show_chance,
    show_dms,
    show_grade,
    show_inches,
    show_length,
    show_mass,
    show_money,
    show_small_angle,
    show_volume,
)

__all__ = [
    "CallText",
    "CurveText",
    "Length",
    "Money",
    "parse_angle",
    "parse_bearing",
    "parse_call",
    "parse_grade",
    "parse_length",
    "parse_money",
    "parse_quantity",
    "show_acres",
    "show_angle",
    "show_area",
    "show_bearing",
    "show_chance",
    "show_dms",
    "show_grade",
    "show_inches",
    "show_length",
    "show_mass",
    "show_money",
    "show_small_angle",
    "show_volume",
]
