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
)
from palewright.layout.bays_spacing import spacing
from palewright.layout.gates import GateSizes, gate_allowance, gate_gaps, gate_kinds, gate_sizes
from palewright.layout.grade import racked_panel, slope_lengths
from palewright.layout.inside import proud
from palewright.layout.kinds import catalogue, resolve
from palewright.layout.laying import lay_out

if TYPE_CHECKING:
    from palewright.layout.meeting import meet
    from palewright.layout.meeting_checks import heights_above, rooms
    from palewright.layout.meeting_cuts import board_edges, cut_to_ground, under_bay
    from palewright.layout.meeting_gates import leaf_sweep, sector
    from palewright.layout.meeting_ground import ground_at, reference
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
    "board_edges",
    "catalogue",
    "cut_to_ground",
    "divide",
    "divide_between",
    "gate_allowance",
    "gate_gaps",
    "gate_kinds",
    "gate_sizes",
    "ground_at",
    "ground_remedies",
    "heights_above",
    "lay_out",
    "leaf_sweep",
    "meet",
    "moves",
    "proud",
    "racked_panel",
    "reference",
    "resolve",
    "rooms",
    "sector",
    "slope_lengths",
    "spacing",
    "under_bay",
]

#: flat ground needs none of these, nor what they import
__getattr__ = late(
    __name__,
    {
        "meet": "meeting",
        "heights_above": "meeting_checks",
        "rooms": "meeting_checks",
        "board_edges": "meeting_cuts",
        "cut_to_ground": "meeting_cuts",
        "under_bay": "meeting_cuts",
        "leaf_sweep": "meeting_gates",
        "sector": "meeting_gates",
        "ground_at": "meeting_ground",
        "reference": "meeting_ground",
        "ground_remedies": "meeting_remedies",
        "GroundBreak": "meeting_rules",
        "GroundRemedy": "meeting_rules",
        "GroundRules": "meeting_rules",
        "LookWeights": "meeting_rules",
        "Met": "meeting_rules",
    },
)
