"""What a reader of the papers must know of the layout, and how its numbers came about."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from palewright.layout.dividing import SLIVER, DividedLeg, Stretch
from palewright.layout.frame import SAME, STRAIGHT, Frame, Trace
from palewright.layout.holes import Stocks
from palewright.layout.roles import node_reach
from palewright.layout.say import Say
from palewright.layout.standing import Standing
from palewright.model import Bay, FallSpec, Job, Kind, Leg, Post, Reason, Remark, Ring, Site
from palewright.notation import show_angle

__all__ = ["ACUTE", "bay_remarks", "fall_along", "is_trial", "leg_reasons", "post_remarks", "run_remarks"]

ACUTE = math.radians(60.0)
"""A sharper corner than this is pointed out (common practice: hard to build, traps stock)."""

SWIVEL = math.radians(3.0)
"""Panels and rails turn this far from square before brackets must swivel (common practice)."""

Args = tuple[tuple[str, float | int | str], ...]


def fall_along(job: Job, site: Site, trace: Trace) -> tuple[float | None, str]:
    """The fall of the ground along a run [m], positive downhill in walking order, and how it is known.

    "levelled" or "typed"; (None, "") when it is not known.
    Heights of both its ends say it best. Else typed falls do: one counts when both of its points are points of the run,
    those over several pieces add up, and where both points have heights these go before.
    """
    height = {point.name: point.height for point in site.heights.points} if site.heights is not None else {}
    first, last = trace.vertices[0].name, trace.vertices[-1].name
    if first != last and first in height and last in height:
        return height[first] - height[last], "levelled"
    order = {vertex.name: k for k, vertex in enumerate(trace.vertices) if vertex.name}
    total: float | None = None
    for fall in job.falls:
        known = fall.start in height and fall.end in height
        metres = height[fall.start] - height[fall.end] if known else fall.fall_m
        if sign := _sense(order, fall):
            total = (total or 0.0) + sign * metres
    return total, "" if total is None else "typed"


def _sense(order: Mapping[str, int], fall: FallSpec) -> int:
    if fall.start not in order or fall.end not in order:
        return 0
    return 1 if order[fall.end] > order[fall.start] else -1


def is_trial(job: Job, ring: Ring | None, trace: Trace) -> bool:
    """Whether stations of a run rest on a boundary that is not located."""
    if ring is None or ring.status.located:
        return False
    if trace.sides:
        return True
    corners = {corner.name for corner in ring.corners}
    on_line = {point.name for point in job.points if point.how == "on line" and corners.issuperset(point.line)}
    called = {name for run in job.runs for name in run.call if name}
    resting = corners | on_line | called
    return any(vertex.name in resting for vertex in trace.vertices)


def run_remarks(job: Job, site: Site, frame: Frame) -> list[Remark]:
    """What was taken for granted or not said, run by run."""
    remarks: list[Remark] = []
    faces: set[str] = set()
    asked = {at.path for at in job.asks}
    for trace in frame.traces:
        remarks += _run_remarks(job, site, frame, trace, asked)
        slug, fence = _side_not_said(job, trace), trace.spec.fence
        if slug and fence not in faces:
            faces.add(fence)
            remarks.append(Remark(slug, "ask", f"fence {fence}", (("fence", fence),), trace.spec.at))
    if frame.traces:
        if not all(trace.on_ground for trace in frame.traces):
            remarks.append(Remark("post-lengths-not-final", "caution", "posts"))
        if job.site.frost_m is None:
            remarks.append(Remark("frost-not-given", "ask", "holes"))
    else:
        remarks.append(Remark("nothing-to-lay-out", "ask", "runs", at=job.at))
    return remarks


def _run_remarks(job: Job, site: Site, frame: Frame, trace: Trace, asked: set[str]) -> list[Remark]:
    """Its ground, how it follows it, its yard side, a boundary it rests on; ``asked``: the path of every `ask`."""
    remarks: list[Remark] = []
    spec = trace.spec

    def tell(slug: str, level: str, *args: tuple[str, float | int | str]) -> None:
        remarks.append(Remark(slug, level, f"run {spec.name}", (("run", spec.name), *args), spec.at))

    if not trace.on_ground:
        tell("level-ground-assumed", "assumption")
    for bend in trace.bends:
        sizes = (("chord_m", bend.chord_m), ("middle_m", bend.middle_m), ("radius_m", bend.radius_m))
        tell("arc-side-chords", "note", ("side", bend.side), ("count", bend.count), *sizes)
    fall, by = fall_along(job, site, trace)
    if fall is not None and (trace.assumed or not trace.on_ground):
        tell(f"{'fall' if fall >= 0 else 'rise'}-{by}", "caution", ("fall_m", abs(fall)))
    said_m = math.fsum(part.to_m - part.from_m for part in trace.parts)
    if not spec.follows and said_m < math.fsum(frame.legs[k].length for k in frame.legs_of[trace.index]) - SAME:
        tell("follows-not-said", "ask")
    if not trace.yard:
        tell("yard-not-said", "ask")
    elif not spec.yard and f"{spec.at.path}.yard" in asked:
        tell("yard-not-said", "ask", ("inside", trace.yard))
    if is_trial(job, site.ring, trace) and site.ring is not None:
        status = site.ring.status
        more = (("more", status.more),) if status.more else ()
        tell("trial-stations", "caution", ("found", status.found), ("total", status.total), *more)
    return remarks


def _side_not_said(job: Job, trace: Trace) -> str:
    """The remark of a fence whose side nobody said: who gets the good side of boards, on which side fabric hangs."""
    if trace.kind.two_faced:
        return "" if trace.kind.good_side else "good-side-not-said"
    said = next((fence.good_side for fence in job.fences if fence.name == trace.spec.fence), "")
    return "fabric-side-not-said" if trace.kind.family == "chain link" and said in ("", "ask") else ""


def post_remarks(frame: Frame, posts: Sequence[Post], of_node: Mapping[int, str], stocks: Stocks) -> list[Remark]:
    """Corners that need more than a square post, holes to dig by hand, loose ground, posts that no stock reaches."""
    return [*_corner_remarks(frame, of_node), *_hole_remarks(frame, posts), *_stock_remarks(stocks)]


def _corner_remarks(frame: Frame, of_node: Mapping[int, str]) -> list[Remark]:
    remarks: list[Remark] = []
    for index, node in enumerate(frame.nodes):
        if node.bracket or abs(node.turn) <= STRAIGHT:
            continue
        label = of_node[index]
        inner = math.pi - abs(node.turn)
        args = (("post", label), ("angle", show_angle(inner)))
        if inner < ACUTE:
            remarks.append(Remark("acute-corner", "caution", f"post {label}", args))
        stiff = any(kind.family in ("panels", "post and rail") for kind in node.kinds)
        if stiff and abs(inner - math.pi / 2.0) > SWIVEL:
            remarks.append(Remark("swivel-corner", "caution", f"post {label}", args))
    return remarks


def _hole_remarks(frame: Frame, posts: Sequence[Post]) -> list[Remark]:
    remarks: list[Remark] = []

    def tell(slug: str, run: str, labels: list[str]) -> None:
        if labels:
            args = (("run", run), ("count", len(labels)), ("posts", ", ".join(labels)))
            remarks.append(Remark(slug, "caution", f"run {run}", args))

    for trace in frame.traces:
        legs = set(frame.legs_of[trace.index])
        holes = [(post.label, post.hole) for post in posts if post.hole is not None and legs.intersection(post.legs)]
        tell("hand-dig-holes", trace.spec.name, [label for label, hole in holes if hole.hand_dig])
        loose = [label for label, hole in holes if any(h.kind == "loose ground" and h.clear_m < 0.0 for h in hole.hits)]
        tell("holes-in-loose-ground", trace.spec.name, loose)
    return remarks


def _stock_remarks(stocks: Stocks) -> list[Remark]:
    remarks: list[Remark] = []
    for stock in stocks.sorts():
        about = f"{stock.kind} {stock.role} post"
        args = (("fence", stock.kind), ("role", stock.role), ("length_m", stock.length_m))
        if not stock.size.stocks_m:
            remarks.append(Remark("post-stock-not-known", "note", about, args))
        elif stock.stock_m == 0.0:
            longest = ("longest_m", max(stock.size.stocks_m))
            remarks.append(Remark("post-longer-than-stock", "caution", about, (*args, longest)))
    return remarks


def bay_remarks(frame: Frame, standing: Standing, say: Say) -> list[Remark]:
    """Bays too short to be built well, with what to change; neighbouring holes that run into each other."""
    posts = {post.label: post for post in standing.posts}
    remarks = []
    for bay in standing.bays:
        at, about = frame.legs[bay.leg].trace.spec.at, f"bay {bay.number}"
        pair: Args = (("run", bay.run), ("start", bay.start), ("end", bay.end))
        third = SLIVER * frame.legs[bay.leg].trace.kind.longest_m
        if bay.kind == "fence" and bay.note.startswith("short") and bay.length_m < third - 1e-6:
            args = (*pair, ("length_m", bay.length_m), ("third_m", third), *_instead(frame, standing, bay, third, say))
            remarks.append(Remark("short-bay", "caution", about, args, at))
        one, two = posts[bay.start].hole, posts[bay.end].hole
        over = 0.0 if one is None or two is None else (one.diameter_m + two.diameter_m) / 2.0 - bay.length_m
        if over > 1e-6:
            remarks.append(Remark("holes-run-together", "caution", about, (*pair, ("over_m", over)), at))
    return remarks


def _instead(frame: Frame, standing: Standing, bay: Bay, third: float, say: Say) -> Args:
    """For a short bay between fixed posts: how far a gate beside it would have to move, one way or the other [m]."""
    leg = frame.legs[bay.leg]
    if "fixed" not in bay.note:
        return ()
    gates = [
        (gate.name, far)
        for near, far in ((bay.start, bay.end), (bay.end, bay.start))
        for gate in standing.gates
        if near in gate.posts and gate.leg == bay.leg
    ]
    if not gates:
        return (("fixed", "fixed"),)
    name, other = gates[0]
    found = (("gate", name), ("post", other), ("away_m", say.up(third - bay.length_m)))
    node = next((frame.nodes[index] for index, label in standing.of_node.items() if label == other), None)
    if node is not None and node.bracket:
        return found
    half = leg.trace.kind.post("gate").width_m / 2.0
    reach = half if node is None else node_reach(node, leg.d, as_gate=True)
    return (*found, ("share_m", bay.length_m + half - reach))


def leg_reasons(frame: Frame, divided: Mapping[int, DividedLeg], legs: Sequence[Leg]) -> list[Reason]:
    """How many bays and how long, stretch by stretch; the allowance of each gate; the length of each run."""
    reasons: list[Reason] = []
    for leg, stood in zip(frame.legs, legs, strict=True):
        parts = divided[leg.index]
        fixed = [k for k, stand in enumerate(parts.stands) if stand.fixed is not None]
        ends = [(low, high) for low, high in itertools.pairwise(fixed) if parts.spans[low].opening is None]
        for stretch, (low, high) in zip(parts.stretches, ends, strict=True):
            about = f"run {leg.trace.spec.name}, post {stood.posts[low]} to post {stood.posts[high]}"
            reasons += _stretch_reasons(about, stretch, leg.trace.kind)
        for opening in leg.openings:
            reasons.append(
                Reason(
                    f"gate {opening.name}",
                    "allowance",
                    opening.allowance_m,
                    "m",
                    "opening - leaves",
                    (("opening", opening.opening_m), ("leaf", opening.leaf_m), ("leaves", opening.spec.leaves)),
                    opening.source,
                )
            )
    for trace in frame.traces:
        mine = [legs[k] for k in frame.legs_of[trace.index]]
        reasons.append(
            Reason(
                f"run {trace.spec.name}",
                "length",
                sum(leg.length_m for leg in mine),
                "m",
                "sum of its straight pieces, post centre to post centre (at a bracket the wall face), gates included",
                tuple((f"post {leg.posts[0]} to post {leg.posts[-1]}", leg.length_m) for leg in mine),
            )
        )
    return reasons


def _stretch_reasons(about: str, stretch: Stretch, kind: Kind) -> list[Reason]:
    return [
        Reason(
            about,
            "bays",
            len(stretch.bays),
            "count",
            "fewest bays for which every rule holds; without zones: length / longest bay, rounded up",
            (
                ("length between fixed posts_m", stretch.length_m),
                ("longest bay_m", kind.longest_m),
                ("what bound", stretch.binding),
            ),
        ),
        Reason(
            about,
            "longest bay here",
            max(stretch.bays),
            "m",
            "most even division; spread = longest - shortest",
            (("spread", stretch.spread_m), ("proof", stretch.proof)),
        ),
    ]
