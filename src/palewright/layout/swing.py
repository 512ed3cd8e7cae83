"""Gates as built: leaves, hinges, the ground each leaf sweeps, and what stands in its way."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.layout.frame import Frame, LegFrame, Opening
from palewright.layout.inside import Boundary
from palewright.model import Gate, Post, Remark, Site, Zone
from palewright.plane import XY, add, arc, cross, inside, left_of, point_path_distance, scale, segments_meet

__all__ = ["build_gate", "check_swing", "swept"]

_SLACK = 0.002


def swept(hinge: XY, closed: XY, toward: XY, leaf_m: float, open_angle: float) -> tuple[XY, ...]:
    """The ground a leaf sweeps: the hinge, then the arc of its free end from closed to open.

    closed, toward
        unit vectors: from the hinge along the closed leaf, and to the side it opens to.
    leaf_m, open_angle
        width of the leaf [m] and how far it opens [rad, 0 to pi].

    >>> [(round(x, 3), round(y, 3)) for x, y in swept((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), 1.0, math.pi / 2)][-1]
    (0.0, 1.0)
    """
    start = math.atan2(closed[1], closed[0])
    sign = 1.0 if cross(closed, toward) > 0.0 else -1.0
    return (hinge, *arc(hinge, leaf_m, start, sign * open_angle))


def build_gate(leg: LegFrame, opening: Opening, bay: int, posts: tuple[str, str]) -> tuple[Gate, list[Remark]]:
    """The gate record and what had to be taken for granted: hinges at the near post, opening to the yard."""
    spec, kind = opening.spec, leg.trace.kind
    swings = spec.swings or "yard"
    side = left_of(leg.d)
    toward = side if (leg.trace.yard != "right") == (swings == "yard") else scale(side, -1.0)
    hung, hinge, latch = _hung(leg, opening, posts)
    fans = tuple(swept(xy, closed, toward, opening.leaf_m, spec.open_angle) for xy, closed in hung)
    gate = Gate(
        name=opening.name,
        run=leg.trace.spec.name,
        leg=leg.index,
        bay=bay,
        opening_m=opening.high_m - opening.low_m,
        leaf_m=opening.leaf_m,
        leaves=spec.leaves,
        allowance_m=opening.allowance_m,
        allowance_source=opening.source,
        posts=posts,
        hinge=hinge,
        latch=latch,
        swings=swings,
        hinge_xy=tuple(xy for xy, _ in hung),
        swing=fans,
        height_m=kind.height_m,
        fence=leg.trace.spec.fence,
        bottom_m=kind.bottom_gap_m,
        top_m=kind.top_m,
        low_gap_m=kind.bottom_gap_m,
    )
    return gate, _not_said(opening)


def _hung(
    leg: LegFrame, opening: Opening, posts: tuple[str, str]
) -> tuple[list[tuple[XY, XY]], tuple[str, ...], tuple[str, ...]]:
    """Where each leaf hangs and which way it lies closed; the posts with hinges; those with latches."""
    low, high = (leg.point(opening.low_m), leg.d), (leg.point(opening.high_m), (-leg.d[0], -leg.d[1]))
    if opening.spec.leaves == 2:
        return [low, high], posts, ("", "")
    if (opening.spec.hinges != "far") == opening.forward:
        return [low], (posts[0],), (posts[1],)
    return [high], (posts[1],), (posts[0],)


def _not_said(opening: Opening) -> list[Remark]:
    """Remarks that ask for the side of the hinges (one leaf) and the way it opens."""
    spec = opening.spec
    missing = ["hinges"] if not spec.hinges and spec.leaves != 2 else []
    missing += [] if spec.swings else ["swings"]
    about = f"gate {opening.name}"
    return [Remark(f"gate-{word}-not-said", "ask", about, (("gate", opening.name),), spec.at) for word in missing]


def check_swing(gate: Gate, frame: Frame, posts: Sequence[Post], site: Site, boundary: Boundary | None) -> list[Remark]:
    """What stands in the way of a gate's leaves: buildings, trees, posts, other fence, and the boundary line.

    Ground kept clear for a pipe or cable is under the leaf and does not matter; a zone without a utility in which no
    hole may stand (a tree, a rock) does.
    """
    remarks: list[Remark] = []
    about = f"gate {gate.name}"

    def say(slug: str, *args: tuple[str, float | int | str]) -> None:
        remark = Remark(slug, "caution", about, (("gate", gate.name), *args))
        if remark not in remarks:
            remarks.append(remark)

    left_in_ground = {xy for removal in site.removals if removal.then == "leave" for xy in removal.posts}
    for fan in gate.swing:
        box = _box(fan)
        for name, ring in site.buildings:
            if _meets(fan, ring, True, 0.0):
                say("swing-hits-building", ("building", name))
        for zone in site.zones:
            if zone.kind == "no hole" and not zone.utility and not _left_footing(zone, left_in_ground):
                closed = zone.closed and len(zone.points) > 2
                if _near(box, zone.points, zone.half_m) and _meets(fan, zone.points, closed, zone.half_m):
                    say("swing-hits-zone", ("zone", zone.name))
        for post in posts:
            if post.label in gate.posts or post.number == 0:
                continue
            half, (x, y) = max(post.width_m, post.depth_m) / 2.0, post.xy
            if x + half < box[0] or x - half > box[1] or y + half < box[2] or y - half > box[3]:
                continue
            if _gap(post.xy, fan) < half - _SLACK:
                say("swing-hits-post", ("post", post.label))
        for leg in frame.legs:
            if leg.index != gate.leg and _near(box, (leg.a, leg.b), 0.0) and _crosses(fan, (leg.a, leg.b)):
                say("swing-hits-fence", ("run", leg.trace.spec.name))
        if boundary is not None:
            over = -min(boundary.distance(xy) for xy in fan)
            if over > _SLACK:
                say("swing-over-line", ("over_m", over))
    return remarks


def _left_footing(zone: Zone, places: set[XY]) -> bool:
    return len(zone.points) == 1 and zone.points[0] in places


def _box(points: Sequence[XY]) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), max(xs), min(ys), max(ys)


def _near(box: tuple[float, float, float, float], points: Sequence[XY], half: float) -> bool:
    x0, x1, y0, y1 = _box(points)
    return x0 - half <= box[1] and x1 + half >= box[0] and y0 - half <= box[3] and y1 + half >= box[2]


def _gap(p: XY, fan: Sequence[XY]) -> float:
    """Distance from a point to the swept ground; 0 inside it."""
    return 0.0 if inside(p, fan) else point_path_distance(p, fan, closed=True)


def _crosses(fan: Sequence[XY], path: Sequence[XY]) -> bool:
    """Whether a path comes into the swept ground by more than a hair (a leaf may lie along a fence)."""
    centre = (sum(p[0] for p in fan) / len(fan), sum(p[1] for p in fan) / len(fan))
    shrunk = [add(centre, scale((p[0] - centre[0], p[1] - centre[1]), 0.995)) for p in fan]
    if any(inside(p, shrunk) for p in path):
        return True
    n = len(shrunk)
    return any(
        segments_meet(path[k], path[k + 1], shrunk[i], shrunk[(i + 1) % n]) is not None
        for k in range(len(path) - 1)
        for i in range(n)
    )


def _meets(fan: Sequence[XY], path: Sequence[XY], closed: bool, half: float) -> bool:
    """Whether the swept ground comes nearer than ``half`` to a path, or into it when closed."""
    ring = [*path, path[0]] if closed else list(path)
    if len(ring) > 1 and _crosses(fan, ring):
        return True
    if closed and inside(fan[0], path):
        return True
    if half == 0.0:
        return False
    if any(_gap(p, fan) < half - _SLACK for p in path):
        return True
    return any(point_path_distance(p, ring) < half - _SLACK for p in fan)
