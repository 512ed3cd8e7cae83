"""From divided legs to the records: posts with labels, bays, gates, legs and runs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from operator import attrgetter
from typing import Any, NamedTuple

from palewright.layout.dividing import FIXED, DividedLeg, Stand
from palewright.layout.frame import Frame, LegFrame, Node, Outline, outline_of, reach
from palewright.layout.holes import Stock, Stocks
from palewright.layout.inside import Boundary
from palewright.layout.roles import roles_of
from palewright.layout.swing import build_gate
from palewright.layout.zones import ZoneBox, hits
from palewright.model import Bay, Gate, Hole, Kind, Leg, Move, Post, Remark, ZoneHit
from palewright.plane import XY, azimuth
from palewright.record import other

__all__ = ["Standing", "stand_posts"]

_BAY = attrgetter("number", "run", "leg", "start", "end", "length_m", "clear_m", "kind", "fence", "cut", "note")


@dataclass(slots=True)
class Standing:
    """All that stands: posts, bays, gates and legs, with remarks; ``of_node`` node index to post label."""

    posts: list[Post] = field(default_factory=list)
    bays: list[Bay] = field(default_factory=list)
    gates: list[Gate] = field(default_factory=list)
    legs: list[Leg] = field(default_factory=list)
    of_node: dict[int, str] = field(default_factory=dict)
    remarks: list[Remark] = field(default_factory=list)
    numbered: int = 0
    brackets: int = 0


def stand_posts(
    frame: Frame,
    divided: Mapping[int, DividedLeg],
    near: Mapping[int, Sequence[ZoneBox]],
    stocks: Stocks,
    boundary: Boundary | None,
) -> Standing:
    """Posts numbered in walking order over the runs, each shared post once; bays and gates between them."""
    out = Standing()
    for trace in frame.traces:
        for index in frame.legs_of[trace.index]:
            _stand_leg(frame, frame.legs[index], divided[index], near, stocks, boundary, out)
    out.legs.sort(key=lambda leg: leg.index)
    return out


class _Put(NamedTuple):
    """What one leg puts up beside the posts at its ends: posts, bays, gates with their remarks, and the leg itself."""

    posts: list[Post]
    bays: list[Bay]
    gates: list[Gate]
    remarks: list[Remark]
    leg: Leg


def _stand_leg(
    frame: Frame,
    leg: LegFrame,
    parts: DividedLeg,
    near: Mapping[int, Sequence[ZoneBox]],
    stocks: Stocks,
    boundary: Boundary | None,
    out: Standing,
) -> None:
    """One leg; one that is divided as it was, and numbered from where it was, puts up what it did."""
    kind = leg.trace.kind
    line = stocks.of((kind,), ("line",), kind)
    gate_post = stocks.of((kind,), ("gate",), kind) if leg.openings else line
    change = stocks.of((kind,), ("change",), kind) if any(fixed.change for fixed in leg.fixed) else line

    def at_end(node: int) -> str:
        return out.of_node.get(node) or _stand_node(frame, node, near, stocks, boundary, out)

    first = at_end(leg.start)
    asked = (out.numbered, out.brackets, len(out.bays), leg.from_m, first, out.of_node.get(leg.end))
    put = parts.stood[1] if parts.stood is not None and parts.stood[0] == asked else None
    sorts = (line, gate_post, change)
    posts = put.posts if put else _posts(leg, parts, sorts, near[leg.index], boundary, out.numbered)
    out.numbered += len(posts)
    out.posts.extend(posts)
    last = at_end(leg.end)
    if put is None:
        labels = (first, *(post.label for post in posts), last)
        bays, gates, remarks = _bays(leg, parts, labels, len(out.bays))
        put = _Put(posts, bays, gates, remarks, _leg(leg, parts, labels, bays))
        parts.stood = asked, put
    out.bays.extend(put.bays)
    out.gates.extend(put.gates)
    out.remarks.extend(put.remarks)
    out.legs.append(put.leg)


def _leg(leg: LegFrame, parts: DividedLeg, labels: tuple[str, ...], bays: Sequence[Bay]) -> Leg:
    stretch = max(parts.stretches, key=lambda found: len(found.bays), default=None)
    return Leg(
        index=leg.index,
        run=leg.trace.spec.name,
        fence=leg.trace.spec.fence,
        start=leg.a,
        end=leg.b,
        azimuth=azimuth(leg.a, leg.b),
        length_m=leg.length,
        from_m=leg.from_m,
        posts=labels,
        bays=tuple(bay.number for bay in bays),
        yard=leg.trace.yard or "left",
        good_side=leg.trace.kind.good_side,
        binding=stretch.binding if stretch is not None else "gate",
        proof=stretch.proof if stretch is not None else "",
    )


def _bays(
    leg: LegFrame, parts: DividedLeg, labels: Sequence[str], before: int
) -> tuple[list[Bay], list[Gate], list[Remark]]:
    """The bays of a leg, numbered on from ``before``, and the gates among them."""
    bays: list[Bay] = []
    gates: list[Gate] = []
    remarks: list[Remark] = []
    spec = leg.trace.spec
    for k, span in enumerate(parts.spans):
        one, two = parts.stands[k], parts.stands[k + 1]
        number = before + k + 1
        length = two.at_m - one.at_m
        clear = length - one.reach_m - two.reach_m
        if span.opening is not None:
            gate, said = build_gate(leg, span.opening, number, (labels[k], labels[k + 1]))
            gates.append(gate)
            remarks.extend(said)
            clear, kind, note = gate.opening_m, "gate", span.opening.name
        else:
            kind, note = "given" if span.given else "fence", span.given or span.note
        values = (
            number,
            spec.name,
            leg.index,
            labels[k],
            labels[k + 1],
            length,
            clear,
            kind,
            spec.fence,
            span.cut,
            note,
        )
        known = parts.bays.get(number)
        if known is None or known.length_m != length or values != _BAY(known):
            known = parts.bays[number] = Bay(*values)
        bays.append(known)
    return bays, gates, remarks


# ---------------------------------------------------------------- posts


def _posts(
    leg: LegFrame,
    parts: DividedLeg,
    sorts: tuple[Stock, Stock, Stock],
    boxes: Sequence[ZoneBox],
    boundary: Boundary | None,
    before: int,
) -> list[Post]:
    """The posts between the ends of a leg, numbered on from ``before``; ``sorts``: for line, gate and change."""
    made = {stock.role: _Sort(leg, stock, boxes, boundary) for stock in sorts}
    line, gate_post, change = (made[stock.role] for stock in sorts)
    posts = []
    for k, stand in enumerate(parts.stands[1:-1], 1):
        fixed = stand.fixed
        sort = line if fixed is None else gate_post if fixed.gates else change
        why = "" if fixed is None else "gate " + " and ".join(fixed.gates) if fixed.gates else fixed.change
        asked = (leg.from_m + stand.at_m, sort.stock.role, stand.move, why)
        known = parts.posts.get(before + k)
        if known is None or asked != (known.places[0][1], known.role, known.move, known.why):
            known = parts.posts[before + k] = sort.stand(before + k, stand, why)
        posts.append(known)
    return posts


class _Sort:
    """A sort of post on one leg: its section, and its hole where no zone is near."""

    def __init__(self, leg: LegFrame, stock: Stock, boxes: Sequence[ZoneBox], boundary: Boundary | None) -> None:
        self.leg, self.stock, self.boxes, self.boundary = leg, stock, boxes, boundary
        self.axis, self.outline = leg.axis, outline_of(stock.size)
        self._first: Post | None = None

    def stand(self, number: int, stand: Stand, why: str) -> Post:
        """A post of this sort: as the first of them, but for what each has of its own."""
        leg, stock, radius = self.leg, self.stock, self.stock.diameter_m / 2.0
        if self._first is None:
            self._first = _of_stock(
                stock, label="", number=0, role=stock.role, xy=leg.a, axis=self.axis, hole=_hole(stock), places=(),
                legs=(leg.index,),
            )  # fmt: skip
        xy = leg.point(stand.at_m)
        found = hits(self.boxes, xy, radius) if self.boxes else ()
        post = other(
            self._first, label=str(number), number=number, xy=xy,
            places=((leg.trace.spec.name, leg.from_m + stand.at_m),), move=stand.move, why=why,
        )  # fmt: skip
        if not found and self.boundary is None:
            return post
        inset = _inset(self.boundary, xy, self.outline, self.axis, radius, (leg,))
        return other(post, hole=_hole(stock, found) if found else post.hole, inset=inset)


def _of_stock(stock: Stock, **own: Any) -> Post:
    """A post of this stock that stands fixed; ``own``: what it has of its own."""
    size = stock.size
    return Post(
        kind=stock.kind, section=size.name, width_m=size.width_m, depth_m=size.depth_m, round=size.round,
        above_m=stock.above_m, length_m=stock.length_m, stock_m=stock.stock_m, move=FIXED, **own,
    )  # fmt: skip


def _stand_node(
    frame: Frame,
    index: int,
    near: Mapping[int, Sequence[ZoneBox]],
    stocks: Stocks,
    boundary: Boundary | None,
    out: Standing,
) -> str:
    node = frame.nodes[index]
    legs = [frame.legs[k] for k in dict.fromkeys(k for k, _ in node.ends)]
    tall = node.tall
    assert tall is not None
    places = _places(frame, node)
    if node.bracket:
        label = _stand_bracket(node, legs, tall, places, boundary, out)
        out.of_node[index] = label
        return label
    roles = roles_of(node)
    sort = stocks.of(node.kinds, roles, tall)
    boxes = {id(box): box for leg in legs for box in near[leg.index]}
    out.numbered += 1
    label = str(out.numbered)
    out.of_node[index] = label
    out.posts.append(
        _of_stock(
            sort,
            label=label,
            number=out.numbered,
            role=node.role,
            xy=node.xy,
            axis=node.axis,
            hole=_hole(sort, hits(list(boxes.values()), node.xy, sort.diameter_m / 2.0)),
            places=places,
            legs=tuple(leg.index for leg in legs),
            inset=_inset(boundary, node.xy, node.outline, node.axis, sort.diameter_m / 2.0, legs),
            assumed=node.assumed,
            turn=node.turn,
            why=_why(node),
        )
    )
    return label


def _stand_bracket(
    node: Node,
    legs: Sequence[LegFrame],
    tall: Kind,
    places: tuple[tuple[str, float], ...],
    boundary: Boundary | None,
    out: Standing,
) -> str:
    out.brackets += 1
    label = f"W{out.brackets}"
    out.posts.append(
        Post(
            label=label,
            number=0,
            role="end",
            xy=node.xy,
            kind=tall.name,
            section="bracket",
            width_m=0.0,
            depth_m=0.0,
            round=False,
            axis=node.axis,
            above_m=tall.above("end"),
            length_m=0.0,
            stock_m=0.0,
            hole=None,
            places=places,
            legs=tuple(leg.index for leg in legs),
            move=Move(0.0, "fixed", 0.0, "fixed"),
            inset=_inset(boundary, node.xy, Outline(), node.axis, None, legs),
            assumed=node.assumed,
            why=_why(node),
        )
    )
    return label


def _places(frame: Frame, node: Node) -> tuple[tuple[str, float], ...]:
    """Run and station for each run the node stands in; a loop's first post only at its start."""
    places: dict[str, float] = {}
    for index, starts in node.ends:
        leg = frame.legs[index]
        name = leg.trace.spec.name
        station = leg.from_m if starts else leg.from_m + leg.length
        if name not in places or (starts and station < places[name]):
            places[name] = station
    return tuple(places.items())


def _why(node: Node) -> str:
    parts = []
    if node.names:
        parts.append("point " + " and ".join(node.names))
    if node.wall:
        parts.append(f"wall: {node.wall}")
    if node.gates:
        parts.append("gate " + " and ".join(node.gates))
    if node.role != node.base_role:
        parts.append(f"{node.base_role} too")
    return ", ".join(parts)


def _hole(sort: Stock, found: tuple[ZoneHit, ...] = ()) -> Hole:
    """The hole of a sort of post; ``found``: the zones that are near."""
    hand = any(hit.kind == "hand dig" and hit.clear_m < 0.0 for hit in found)
    depth = sort.embedment
    return Hole(
        sort.diameter_m, depth.depth_m, depth.gravel_m, depth.in_ground_m, depth.governs, sort.fill, hand, found
    )


def _inset(
    boundary: Boundary | None,
    xy: XY,
    outline: Outline,
    axis: float,
    radius: float | None,
    legs: Sequence[LegFrame],
) -> tuple[tuple[str, float], ...]:
    """Fence face, post face and footing edge to the boundary [m]; a bracket has no footing."""
    if boundary is None:
        return ()
    sides = [(leg, side) for leg in legs for side in faces(leg)]
    margin = max(math.hypot(outline.half_width, outline.half_depth), *(abs(side) for _, side in sides))
    lone = boundary.lone(xy, margin)
    if lone is not None:
        centre, (nx, ny) = lone
        face = centre - max(side * (leg.d[0] * ny - leg.d[1] * nx) for leg, side in sides)
        post = centre - reach(outline, axis, (nx, ny))
    else:
        centre = boundary.distance(xy)
        face = min(boundary.distance((xy[0] - leg.d[1] * side, xy[1] + leg.d[0] * side)) for leg, side in sides)
        post = boundary.section(xy, outline, axis, centre)
    found = (("face", face), ("post", post))
    return found if radius is None else (*found, ("footing", centre - radius))


def faces(leg: LegFrame) -> tuple[float, float]:
    """The two faces of a leg's fence: offsets from the line of post centres, left positive [m].

    Where the good side is not said, the deeper of the two is taken for both.
    """
    kind = leg.trace.kind
    front, back = kind.front_m, kind.back_m
    if kind.good_side not in ("neighbour", "yard"):
        front = back = max(front, back)
    yard_left = leg.trace.yard != "right"
    good_left = yard_left == (kind.good_side == "yard")
    return (front, -back) if good_left else (back, -front)
