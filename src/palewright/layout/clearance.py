"""Fixed posts against ground in which no hole may be dug, and the fence against the inset asked for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from palewright.errors import Problem
from palewright.layout.frame import Fixed, Frame, LegFrame, Node
from palewright.layout.inside import Boundary
from palewright.layout.say import Say
from palewright.layout.zones import TOUCHING, ZoneBox, clear_of, spans
from palewright.model import Post, Remark
from palewright.plane import XY, add, dot, left_of, scale, unit

__all__ = ["check_fixed", "check_insets", "over_the_line"]

_SLACK = 1e-6
_DEEPER_M = 3.0
"""The most that a larger inset is proposed for a corner [m]; our own choice."""


def check_fixed(frame: Frame, near: Mapping[int, Sequence[ZoneBox]], say: Say, problems: list[Problem]) -> None:
    """Every end, corner, tee and gate post clear of the no-hole zones, or a problem with the smallest move."""
    done: set[int] = set()
    for leg in frame.legs:
        boxes = [box for box in near[leg.index] if box.zone.kind in ("no hole", "pin")]
        gate_radius = leg.trace.kind.hole("gate").diameter_m / 2.0
        for fixed in leg.fixed:
            if fixed.node is None:
                radius = leg.trace.kind.hole("change").diameter_m / 2.0 if fixed.change else gate_radius
                _check_between(leg, fixed, radius, boxes, say, problems)
            elif fixed.node not in done:
                done.add(fixed.node)
                _check_node(frame, fixed.node, near, say, problems)


def _check_node(
    frame: Frame, index: int, near: Mapping[int, Sequence[ZoneBox]], say: Say, problems: list[Problem]
) -> None:
    node = frame.nodes[index]
    if node.bracket:
        return
    legs = [(frame.legs[k], starts) for k, starts in node.ends]
    boxes = {id(box): box for leg, _ in legs for box in near[leg.index] if box.zone.kind in ("no hole", "pin")}
    found = _deepest(list(boxes.values()), node.xy, node.radius)
    if found is None:
        return
    box, depth = found
    spec = frame.legs[node.ends[0][0]].trace.spec
    problems.append(
        Problem(
            "post-in-no-hole-zone",
            f"the hole of the {node.role} post at {node.thing} (run {spec.name}) reaches into {box.zone.name}, "
            "where no hole may be dug",
            spec.at,
            found=f"{say.m(-depth)} inside",
            allowed="hole edge outside the zone",
            hint=_deeper(frame, node, near, say) or _along(frame, node, legs, near, say),
        )
    )


def _deeper(frame: Frame, node: Node, near: Mapping[int, Sequence[ZoneBox]], say: Say) -> str:
    """What clears the corner post of a run along sides: no move along them does, a larger inset moves the corner in.

    Both lines of post centres moved in by e move their corner by e (n + m) / (1 + n . m), n and m square to them.
    """
    ends = {frame.legs[k].trace.index: frame.legs[k] for k, _ in node.ends if frame.legs[k].trace.sides}
    for index, leg in ends.items():
        mine = [frame.legs[k] for k, _ in node.ends if frame.legs[k].trace.index == index]
        if len(mine) < 2 or leg.trace.yard not in ("left", "right"):
            continue
        sign = 1.0 if leg.trace.yard == "left" else -1.0
        n, m = (scale(left_of(one.d), sign) for one in mine[:2])
        shift = scale(add(n, m), 1.0 / (1.0 + dot(n, m))) if dot(n, m) > -0.99 else (0.0, 0.0)
        size = math.hypot(*shift)
        boxes = [b for one in mine for b in near[one.index] if b.zone.kind in ("no hole", "pin")]
        _, high = _way_out(node.xy, unit(shift), 0.0, boxes, node.radius) if size else (0.0, math.inf)
        if 0.0 < high / max(size, 1.0) < _DEEPER_M:
            more, corner = say.m(say.up(high / size)), node.names[0] if node.names else "the corner"
            return (
                f"a run along sides has its corner where its lines meet: `inside boundary` larger by {more} clears it; "
                f"or end one run before {corner} and begin the next past it (`ends abreast of`, `begins abreast of`)"
            )
    return ""


def _along(
    frame: Frame, node: Node, legs: Sequence[tuple[LegFrame, bool]], near: Mapping[int, Sequence[ZoneBox]], say: Say
) -> str:
    """The smallest move of a post along one of its legs that clears it."""
    ways: list[tuple[float, str]] = []
    for leg, starts in legs:
        at = 0.0 if starts else leg.length
        boxes = [b for b in near[leg.index] if b.zone.kind in ("no hole", "pin")]
        low, high = _way_out(leg.a, leg.d, at, boxes, node.radius)
        other = frame.nodes[leg.end if starts else leg.start]
        name = other.names[0] if other.names else "the other end"
        back, on = at - low, high - at
        toward, away = (on, back) if starts else (back, on)
        if leg.trace.sides and len(legs) == 1:
            name += f" (`{'begins' if starts else 'ends'} abreast of` a point there)"
        ways.append((toward, f"along run {leg.trace.spec.name} toward {name}"))
        ways.append((away, f"along run {leg.trace.spec.name} away from {name}"))
    move, way = min(ways, key=lambda item: item[0])
    if len(legs) > 1:
        return f"move the corner: the smallest move that clears it is {say.m(say.up(move))} {way}"
    return f"the smallest move that clears it is {say.m(say.up(move))} {way}"


def _check_between(
    leg: LegFrame, fixed: Fixed, radius: float, boxes: Sequence[ZoneBox], say: Say, problems: list[Problem]
) -> None:
    """A gate post, or the post at which the way that the fence follows the ground changes."""
    at = fixed.at_m
    found = _deepest(boxes, leg.point(at), radius)
    if found is None:
        return
    box, depth = found
    low, high = _way_out(leg.a, leg.d, at, boxes, radius)
    back = at - low <= high - at
    spec = next((o.spec for o in leg.openings if o.name in fixed.gates), None)
    post = (
        f"a post of gate {' and '.join(fixed.gates)}" if fixed.gates else f"the post of the change from {fixed.change}"
    )
    problems.append(
        Problem(
            "post-in-no-hole-zone",
            f"the hole of {post} reaches into {box.zone.name}, where no hole may be dug",
            spec.at if spec is not None else leg.trace.spec.at,
            found=f"{say.m(-depth)} inside",
            allowed="hole edge outside the zone",
            hint=f"the smallest move that clears it is {say.m(min(at - low, high - at))} "
            f"{'back toward the start' if back else 'on toward the end'} of run {leg.trace.spec.name}",
        )
    )


def _deepest(boxes: Sequence[ZoneBox], xy: XY, radius: float) -> tuple[ZoneBox, float] | None:
    worst: tuple[ZoneBox, float] | None = None
    x, y = xy
    for box in boxes:
        if box.x0 - radius <= x <= box.x1 + radius and box.y0 - radius <= y <= box.y1 + radius:
            clear = clear_of(box, xy, radius)
            if clear < -TOUCHING and (worst is None or clear < worst[1]):
                worst = (box, clear)
    return worst


def _way_out(a: XY, d: XY, at: float, boxes: Sequence[ZoneBox], radius: float) -> tuple[float, float]:
    """The nearest places on both sides along a line at which a hole touches none of the zones [m]; may lie beyond it.

    a, d
        a point and the direction of the line. at: the place on it that is not clear [m from a].
    """
    far = 1e6
    begin = (a[0] - far * d[0], a[1] - far * d[1])
    taken = sorted(span for box in boxes for span in spans(box, begin, d, 2.0 * far, radius))
    low = high = at
    moved = True
    while moved:
        moved = False
        for start, end in taken:
            if start - far < low <= end - far:
                low, moved = start - far, True
            if start - far <= high < end - far:
                high, moved = end - far, True
    return low, high


def check_insets(
    frame: Frame, posts: Sequence[Post], boundary: Boundary | None, say: Say, problems: list[Problem]
) -> None:
    """Every run that asks for an inset keeps it at every post; the worst post of each run is named."""
    if boundary is None:
        return
    by_leg: dict[int, list[Post]] = {}
    for post in posts:
        for leg in post.legs:
            by_leg.setdefault(leg, []).append(post)
    for trace in frame.traces:
        inset = trace.spec.inset
        if inset is None:
            continue
        mine = [post for leg in frame.legs_of[trace.index] for post in by_leg.get(leg, ())]
        parts = ("face", "post") if inset.of == "face" else (inset.of,)
        least = inset.distance_m - _SLACK
        short = [(value, post) for post in mine for part, value in post.inset if part in parts and value < least]
        if not short:
            continue
        value, post = min(short, key=lambda item: item[0])
        _, side = boundary.nearest(post.xy)
        place = (
            f"point {post.why.split(', ')[0].removeprefix('point ')}"
            if post.why.startswith("point")
            else f"post {post.label}"
        )
        where = inset.at if inset.at.line or inset.at.path else trace.spec.at
        problems.append(
            Problem(
                "inset-too-small",
                f"run {trace.spec.name} comes nearer to side {side} of the boundary than its inset at {place}",
                where,
                found=f"{inset.of} at {say.m(value)}" if value >= 0 else f"{inset.of} {say.m(-value)} outside",
                allowed=f"at least {say.m(inset.distance_m)}",
                hint=f"the smallest move is {say.m(inset.distance_m - value)} away from side {side}, square to it",
            )
        )


def over_the_line(frame: Frame, posts: Sequence[Post], boundary: Boundary | None) -> list[Remark]:
    """Runs with a face, a post or a footing outside the boundary: how many, which posts, how far at most [m].

    It does not matter where the run begins, nor whether it was asked to keep inside.
    """
    if boundary is None:
        return []
    remarks = []
    for trace in frame.traces:
        legs = set(frame.legs_of[trace.index])
        mine = [post for post in posts if legs.intersection(post.legs)]
        for what in ("face", "post", "footing"):
            over = [(value, post) for post in mine for name, value in post.inset if name == what and value < -_SLACK]
            if over:
                value, post = min(over, key=lambda item: item[0])
                args = (
                    ("run", trace.spec.name),
                    ("count", len(over)),
                    ("post", post.label),
                    ("over_m", -value),
                    ("posts", ", ".join(each.label for _, each in over)),
                )
                remarks.append(Remark(f"{what}-over-line", "caution", f"run {trace.spec.name}", args, trace.spec.at))
    return remarks
