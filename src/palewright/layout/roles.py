"""What each shared place carries: end, corner, tee, change, gate or line post; whose section and whose hole."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.layout.frame import STRAIGHT, Frame, Node, outline_of, reach
from palewright.model import Kind, PostSize
from palewright.plane import XY, turn_between

__all__ = ["largest_hole_m", "largest_post", "node_reach", "roles_of", "size_node", "size_nodes"]


def size_nodes(frame: Frame) -> None:
    """Role, section and hole radius of every node."""
    for node in frame.nodes:
        size_node(frame, node)


def size_node(frame: Frame, node: Node) -> None:
    """Role, section and hole radius of one node, from the legs that meet there.

    One leg: end. Two in one line (a turn of up to 1 degree, Ohio DOT item 607): change when two runs meet, else a line
    post that stands fixed, and so is a post along an arc. Two at an angle: corner. Three or more: tee. A gate on it
    makes it a gate post. The taller fence gives kind and section; where a gate shares a corner the larger of the two
    sections and holes is taken.
    """
    legs = [frame.legs[index] for index, _ in node.ends]
    seen: dict[str, Kind] = {}
    for leg in legs:
        seen.setdefault(leg.trace.kind.name, leg.trace.kind)
    node.kinds = tuple(seen.values())
    node.turn = _turn(frame, node)
    node.axis = _axis(frame, node)
    if len(legs) == 1:
        node.base_role = "end"
    elif len(legs) > 2:
        node.base_role = "tee"
    elif abs(node.turn) > STRAIGHT and not node.bend:
        node.base_role = "corner"
    else:
        node.base_role = "change" if legs[0].trace is not legs[1].trace else "line"
    node.role = "gate" if node.gates and not node.bracket else node.base_role
    roles = roles_of(node)
    node.tall = node.kinds[0]
    if len(node.kinds) > 1:
        node.tall = max(node.kinds, key=lambda kind: (max(kind.above(role) for role in roles), kind.height_m))
    if node.bracket:
        return
    node.outline = outline_of(largest_post(node.tall, roles))
    node.radius = largest_hole_m(node.kinds, roles) / 2.0


def roles_of(node: Node) -> tuple[str, ...]:
    """The roles a node's post has to serve: ("gate", "corner") where a gate shares a corner."""
    return (node.role,) if node.role == node.base_role else (node.role, node.base_role)


def largest_post(kind: Kind, roles: Sequence[str]) -> PostSize:
    """The largest section of a kind among roles."""
    return max((kind.post(role) for role in roles), key=lambda size: size.width_m * size.depth_m)


def largest_hole_m(kinds: Sequence[Kind], roles: Sequence[str]) -> float:
    """The largest hole diameter of several kinds among roles [m]."""
    return max(kind.hole(role).diameter_m for kind in kinds for role in roles)


def node_reach(node: Node, d: XY, as_gate: bool = False) -> float:
    """Half extent of a node's post along a leg [m]; 0 for a bracket. ``as_gate``: if it were a gate post."""
    if node.bracket:
        return 0.0
    if as_gate and node.role != "gate" and node.tall is not None:
        return reach(outline_of(largest_post(node.tall, ("gate", node.base_role))), node.axis, d)
    return reach(node.outline, node.axis, d)


def _turn(frame: Frame, node: Node) -> float:
    """Turn from the leg before to the leg after [rad, left positive]; 0 at ends and for the through run at a tee."""
    into = [frame.legs[index] for index, starts in node.ends if not starts]
    out = [frame.legs[index] for index, starts in node.ends if starts]
    if into and out:
        for leg in into:
            for after in out:
                if leg.trace is after.trace:
                    return turn_between(leg.d, after.d)
        return turn_between(into[0].d, out[0].d)
    if len(into) > 1:
        return turn_between(into[0].d, (-into[1].d[0], -into[1].d[1]))
    if len(out) > 1:
        return turn_between((-out[0].d[0], -out[0].d[1]), out[1].d)
    return 0.0


def _axis(frame: Frame, node: Node) -> float:
    """The post is square to the leg before; at a start, to the leg after."""
    for index, starts in node.ends:
        if not starts:
            return frame.legs[index].axis
    return frame.legs[node.ends[0][0]].axis
