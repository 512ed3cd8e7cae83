"""Layout: from runs, corners, gates and keep-clears to posts and bays."""

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
from palewright.layout.kinds import catalogue, resolve
from palewright.layout.laying import lay_out

__all__ = [
    "BayRules",
    "Block",
    "Division",
    "Fix",
    "GateSizes",
    "NoDivision",
    "catalogue",
    "divide",
    "divide_between",
    "gate_allowance",
    "gate_gaps",
    "gate_kinds",
    "gate_sizes",
    "lay_out",
    "moves",
    "resolve",
    "spacing",
]
