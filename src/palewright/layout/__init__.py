"""Layout: from runs, corners, gates and keep-clears to posts and bays, and how bays and posts meet the ground."""

from typing import TYPE_CHECKING

from palewright.late import late
from palewright.layout.bays import (
    BayRules,
    Block,
    Division,
    Fix,
    NoDivision,
    divide,
    divide_between,
    moves,
    spacing,
)
from palewright.layout.gates import GateSizes, gate_allowance, gate_gaps, gate_kinds, gate_sizes
from palewright.layout.inside import proud
from palewright.layout.kinds import catalogue, resolve
from palewright.layout.laying import lay_out

if TYPE_CHECKING:
    from palewright.layout.meeting import meet
    from palewright.layout.meeting_barrier import climb_at_steps, gaps_below, outside_heights
    from palewright.layout.meeting_checks import heights_above, rooms
    from palewright.layout.meeting_cuts import board_edges, by_length, cut_to_ground, under_bay
    from palewright.layout.meeting_gates import leaf_sweep, sector
    from palewright.layout.meeting_ground import ground_at, reference
    from palewright.layout.meeting_posts import (
        along_slope,
        level_string,
        post_lengths,
        racked_panel,
        slope_lengths,
        stock_for,
    )
    from palewright.layout.meeting_remedies import ground_remedies
    from palewright.layout.meeting_rules import GroundBreak, GroundRemedy, GroundRules, LookWeights, Met

__all__ = [
    "BayRules",
    "Block",
    "Division",
    "Fix",
    "GateSizes",
    "GroundBreak",
    "GroundRemedy",
    "GroundRules",
    "LookWeights",
    "Met",
    "NoDivision",
    "along_slope",
    "board_edges",
    "by_length",
    "catalogue",
    "climb_at_steps",
    "cut_to_ground",
    "divide",
    "divide_between",
    "gaps_below",
    "gate_allowance",
    "gate_gaps",
    "gate_kinds",
    "gate_sizes",
    "ground_at",
    "ground_remedies",
    "heights_above",
    "lay_out",
    "leaf_sweep",
    "level_string",
    "meet",
    "moves",
    "outside_heights",
    "proud",
    "post_lengths",
    "racked_panel",
    "reference",
    "resolve",
    "rooms",
    "sector",
    "slope_lengths",
    "spacing",
    "stock_for",
    "under_bay",
]

#: flat ground needs none of these, nor what they import
__getattr__ = late(
    __name__,
    {
        "meet": "meeting",
        "climb_at_steps": "meeting_barrier",
        "gaps_below": "meeting_barrier",
        "outside_heights": "meeting_barrier",
        "heights_above": "meeting_checks",
        "rooms": "meeting_checks",
        "board_edges": "meeting_cuts",
        "by_length": "meeting_cuts",
        "cut_to_ground": "meeting_cuts",
        "under_bay": "meeting_cuts",
        "leaf_sweep": "meeting_gates",
        "sector": "meeting_gates",
        "ground_at": "meeting_ground",
        "reference": "meeting_ground",
        "along_slope": "meeting_posts",
        "level_string": "meeting_posts",
        "post_lengths": "meeting_posts",
        "racked_panel": "meeting_posts",
        "slope_lengths": "meeting_posts",
        "stock_for": "meeting_posts",
        "ground_remedies": "meeting_remedies",
        "GroundBreak": "meeting_rules",
        "GroundRemedy": "meeting_rules",
        "GroundRules": "meeting_rules",
        "LookWeights": "meeting_rules",
        "Met": "meeting_rules",
    },
)
