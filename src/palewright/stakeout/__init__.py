"""Strings, squares, diagonals and marks: how a crew finds every hole."""

from palewright.stakeout.arcs import long_chord_offset, tangent_offset
from palewright.stakeout.pulls import COMFORT_M, Pull, along_slope, level_pulls
from palewright.stakeout.setting import stake_out
from palewright.stakeout.squaring import (
    Square,
    chord,
    diagonal_tolerance,
    inside_angle,
    square,
    tape_tolerance,
    turn_sigma,
)
from palewright.stakeout.stakes import STAKE_DEPTH_M, STAKE_RADIUS_M

__all__ = [
    "COMFORT_M",
    "Pull",
    "STAKE_DEPTH_M",
    "STAKE_RADIUS_M",
    "Square",
    "along_slope",
    "chord",
    "diagonal_tolerance",
    "inside_angle",
    "level_pulls",
    "long_chord_offset",
    "square",
    "stake_out",
    "tangent_offset",
    "tape_tolerance",
    "turn_sigma",
]
