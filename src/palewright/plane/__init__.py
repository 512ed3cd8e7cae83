"""Plane geometry in metres; no trade words.

Points are ``(x, y)`` tuples, x east, y north. Azimuths are clockwise from +y [rad, 0 to 2 pi);
directions are unit vectors; "left" is left of the direction of travel.
"""

from palewright.plane.lines import (
    XY,
    add,
    along,
    angle_between,
    azimuth,
    cross,
    direction,
    distance,
    dot,
    left_of,
    line_meet,
    midpoint,
    project,
    scale,
    segment_distance,
    segments_meet,
    sub,
    turn_between,
    unit,
)
from palewright.plane.shapes import (
    arc,
    area,
    distance_to_ring,
    inside,
    offset_path,
    path_length,
    point_path_distance,
    ring_is_simple,
    signed_area,
)

__all__ = [
    "XY",
    "add",
    "along",
    "angle_between",
    "arc",
    "area",
    "azimuth",
    "cross",
    "direction",
    "distance",
    "distance_to_ring",
    "dot",
    "inside",
    "left_of",
    "line_meet",
    "midpoint",
    "offset_path",
    "path_length",
    "point_path_distance",
    "project",
    "ring_is_simple",
    "scale",
    "segment_distance",
    "segments_meet",
    "signed_area",
    "sub",
    "turn_between",
    "unit",
]
