"""Boundary: deed calls to ring, closure, area, missing course, and what is known of the lines on the ground.

Plain functions on metres and radians; azimuths clockwise from north. Closing proves the arithmetic of a deed only.
"""

from palewright.boundary.adjust import adjust_compass, adjust_transit
from palewright.boundary.calls import (
    LatDep,
    Solved,
    closure,
    closure_of_points,
    latitudes_departures,
    ring_area,
    run_calls,
    solve_calls,
)
from palewright.boundary.ring import LEAST_PRECISION, REFUSED_PRECISION, build_ring, corner_names, sides_that_cross
from palewright.boundary.status import (
    DIRECTION_AGREES,
    TAPE_FIXED_M,
    TAPE_SHARE,
    line_status,
    record_distance,
    tape_tolerance,
)
from palewright.boundary.suspects import Suspect, find_suspects

__all__ = [
    "DIRECTION_AGREES",
    "LEAST_PRECISION",
    "LatDep",
    "REFUSED_PRECISION",
    "Solved",
    "Suspect",
    "TAPE_FIXED_M",
    "TAPE_SHARE",
    "adjust_compass",
    "adjust_transit",
    "build_ring",
    "closure",
    "closure_of_points",
    "corner_names",
    "find_suspects",
    "latitudes_departures",
    "line_status",
    "record_distance",
    "ring_area",
    "run_calls",
    "sides_that_cross",
    "solve_calls",
    "tape_tolerance",
]
