"""Legal shape: the rules of a place as somebody typed them, against the finished design. Never legal advice.

Every result is one of three: it meets the rule as typed, it does not, or something must be asked. The building office
decides.
"""

from typing import TYPE_CHECKING

from palewright.late import late
from palewright.permit.fence import Fence, Stretch
from palewright.permit.judging import judge
from palewright.permit.lot import Lot, Yards, lot_of
from palewright.permit.regions import (
    Region,
    depth_of,
    house_depth,
    inner_side,
    nearest_of_segment,
    parts_between,
    polygon,
    step_along,
    stretches,
    strip,
)
from palewright.permit.rule_keys import KINDS, keys_of
from palewright.permit.rules import read_rules

if TYPE_CHECKING:
    from palewright.permit.on_ground import limits_on

__all__ = [
    "Fence",
    "KINDS",
    "Lot",
    "Region",
    "Stretch",
    "Yards",
    "depth_of",
    "house_depth",
    "inner_side",
    "judge",
    "keys_of",
    "limits_on",
    "lot_of",
    "nearest_of_segment",
    "parts_between",
    "polygon",
    "read_rules",
    "step_along",
    "stretches",
    "strip",
]

#: level ground needs no numpy
__getattr__ = late(__name__, {"limits_on": "on_ground"})
