"""Where two runs meet and the yard changes sides: mostly a slip, and boards, strings and gates would follow it."""

from __future__ import annotations

from collections.abc import Mapping

from palewright.layout.frame import Frame
from palewright.model import Remark

__all__ = ["yard_remarks"]

_OTHER = {"left": "right", "right": "left"}


def yard_remarks(frame: Frame, of_node: Mapping[int, str]) -> list[Remark]:
    """Posts at which one run ends and another goes on with its yard on the other side.

    of_node
        label of the post at each node. Where more than two legs meet a fence divides yards, and nothing is said.
    """
    remarks = []
    for index, node in enumerate(frame.nodes):
        if len(node.ends) != 2:
            continue
        (one, one_starts), (two, two_starts) = node.ends
        first, second = frame.legs[one].trace, frame.legs[two].trace
        coming, going = first.yard, second.yard
        if first.index == second.index or not coming or not going:
            continue
        coming = _OTHER[coming] if one_starts else coming
        going = going if two_starts else _OTHER[going]
        if coming != going:
            names = (("run", first.spec.name), ("other", second.spec.name))
            args = (*names, ("post", of_node[index]), ("word", _OTHER[second.yard]))
            remarks.append(Remark("yard-changes-sides", "caution", f"run {second.spec.name}", args, second.spec.at))
    return remarks
