"""Pocket sums of sloping ground: lengths on a slope and racked panels, by the functions that plans use."""

from __future__ import annotations

import math

from palewright.errors import Problem, ProblemError, Where
from palewright.layout.grade import racked_panel, slope_lengths
from palewright.layout.meeting_rules import SLACK_M
from palewright.notation import show_length
from palewright.plan.pocket import Pocket, Value
from palewright.sources import cite

__all__ = ["pocket_rack", "pocket_slope"]


def pocket_slope(grade: float, level_m: float | None = None, along_m: float | None = None) -> Pocket:
    """Level length, length along the slope, rise and angle of a slope.

    grade
        rise over level run, >= 0. level_m, along_m: exactly one of them, > 0 [m].
    Source: geometry.
    """
    level, along, rise = slope_lengths(grade, level_m=level_m, along_m=along_m)
    values: dict[str, Value] = {
        "level_m": level,
        "along_m": along,
        "rise_m": rise,
        "angle_deg": math.degrees(math.atan(grade)),
    }
    return Pocket(
        values, "along = level x sqrt(1 + grade^2); rise = level x grade; tan(angle) = grade", cite("geometry")
    )


def pocket_rack(
    panel_m: float, rise_m: float | None = None, grade: float | None = None, limit_m: float | None = None
) -> Pocket:
    """A panel racked into a parallelogram, its pickets plumb.

    panel_m
        length along its rails, > 0 [m]. rise_m, grade: exactly one: from end to end [m, >= 0], or rise over level run.
    limit_m
        the most that the panel may rise from end to end [m], None where none is known.
    Raises ProblemError when the rise is not less than the panel. Source: geometry.
    """
    if rise_m is not None and not rise_m < panel_m:
        raise ProblemError(
            Problem(
                "panel-cannot-rise",
                "a panel rises by less than its length",
                where=Where(thing="--rise"),
                found=f"rise {show_length(rise_m, fraction=16)}, panel {show_length(panel_m, fraction=16)}",
                allowed="a rise less than the panel",
                hint="give the rise from one end of the panel to the other",
            )
        )
    angle, rise, level = racked_panel(panel_m, rise_m=rise_m, grade=grade)
    values: dict[str, Value] = {
        "angle_deg": math.degrees(angle),
        "rise_m": rise,
        "plan_m": level,
        "within_limit": None if limit_m is None else rise <= limit_m + SLACK_M,
    }
    return Pocket(
        values,
        "sin(angle) = rise / panel, or tan(angle) = grade; plan = panel x cos(angle)",
        cite("geometry"),
    )
