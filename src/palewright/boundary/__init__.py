"""Boundary: deed calls to ring, closure, area, what is missing in them, and what is known of the lines on the ground.

Plain functions on metres and radians; azimuths clockwise from north. Closing proves the arithmetic of a deed only.
"""

from typing import TYPE_CHECKING

from palewright.boundary.adjust import adjust_compass, adjust_transit
from palewright.boundary.calls import (
    LatDep,
    called_ring,
    closure,
    closure_of_points,
    latitudes_departures,
    ring_area,
    run_calls,
    sides_of,
)
from palewright.boundary.corners import corner_names
from palewright.boundary.crossing import sides_that_cross
from palewright.boundary.curves import CurveShape, Difference, curve_from_parts, radius_of_degree
from palewright.boundary.deed import Deed, run_deed
from palewright.boundary.missing import Solved, solve_calls
from palewright.boundary.pins import pin_weaknesses
from palewright.boundary.record import (
    ONE_WAY,
    TWO_WAYS,
    beyond_tools,
    off_by,
    place_beyond_tools,
    record_sigma,
    search_area,
    search_radius,
    tie_axes,
)
from palewright.boundary.ring import LEAST_PRECISION, REFUSED_PRECISION, build_ring, deed_remarks, ring_sides
from palewright.boundary.status import (
    DIRECTION_AGREES,
    TAPE_FIXED_M,
    TAPE_SHARE,
    line_status,
    record_distance,
    tape_tolerance,
)
from palewright.boundary.suspects import Suspect, find_suspects
from palewright.late import late

if TYPE_CHECKING:
    from palewright.boundary.prose import Options, Prose, ProseCall, is_prose, read_prose
    from palewright.boundary.prose_said import prose_remarks

__all__ = [
    "CurveShape",
    "DIRECTION_AGREES",
    "Deed",
    "Difference",
    "LEAST_PRECISION",
    "LatDep",
    "ONE_WAY",
    "Options",
    "Prose",
    "ProseCall",
    "REFUSED_PRECISION",
    "Solved",
    "Suspect",
    "TAPE_FIXED_M",
    "TAPE_SHARE",
    "TWO_WAYS",
    "adjust_compass",
    "adjust_transit",
    "beyond_tools",
    "build_ring",
    "called_ring",
    "closure",
    "closure_of_points",
    "corner_names",
    "curve_from_parts",
    "deed_remarks",
    "find_suspects",
    "latitudes_departures",
    "is_prose",
    "line_status",
    "off_by",
    "pin_weaknesses",
    "place_beyond_tools",
    "prose_remarks",
    "radius_of_degree",
    "read_prose",
    "record_distance",
    "record_sigma",
    "ring_area",
    "ring_sides",
    "run_calls",
    "run_deed",
    "search_area",
    "search_radius",
    "sides_of",
    "sides_that_cross",
    "solve_calls",
    "tape_tolerance",
    "tie_axes",
]

__getattr__ = late(
    __name__,
    {
        "Options": "prose",
        "Prose": "prose",
        "ProseCall": "prose",
        "is_prose": "prose",
        "prose_remarks": "prose_said",
        "read_prose": "prose",
    },
)
