"""Survey: taped and sighted observations to places; walks, base lines, and what of it nobody measured."""

from palewright.survey.fix import AssumedCorner, Fixed, Fixing, Repeat
from palewright.survey.walk import angle_at, differs, tape_allowance, walk_points

__all__ = [
    "AssumedCorner",
    "Fixed",
    "Fixing",
    "Repeat",
    "angle_at",
    "differs",
    "tape_allowance",
    "walk_points",
]
