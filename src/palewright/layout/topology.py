"""Runs joined: where they share a post, where one ends against another, where they cross and must not."""

from __future__ import annotations

import bisect
import itertools
import math

from palewright.errors import Problem
from palewright.layout.frame import SAME, Frame, LegFrame, Node, Trace, Vertex
from palewright.layout.say import Say
from palewright.model import Remark
from palewright.plane import XY, distance, dot, segment_distance, segments_meet, sub, unit

__all__ = ["NEAR_MISS", "join", "near_misses"]

NEAR_MISS = 0.3
"""An end that stops this near to another fence without touching it is worth a remark [m]; our own choice."""
_TOLD = 200
"""So many pairs of runs that cross or overlap are told: a thousand runs on one line are half a million pairs."""


def join(traces: list[Trace], say: Say, problems: list[Problem]) -> Frame:
    """All runs as one frame of nodes and legs.

    Points nearer than a micrometre are one node, wall brackets excepted. A point that lies on another leg splits it:
    that leg gets a fixed post there. Legs that cross, overlap or run back over one another are problems.
    """
    nodes: list[Node] = []
    places: dict[int, list[int]] = {}
    grid: dict[tuple[int, int], list[int]] = {}
    for trace in traces:
        places[trace.index] = [_node_for(vertex, nodes, grid) for vertex in trace.vertices]
    frame = Frame(traces, nodes, [], {})
    by_x = sorted((node.xy[0], k) for k, node in enumerate(nodes) if not node.bracket)
    for trace in traces:
        _add_legs(frame, trace, places[trace.index], by_x)
    _check_crossings(frame, say, problems)
    return frame


def _node_for(vertex: Vertex, nodes: list[Node], grid: dict[tuple[int, int], list[int]]) -> int:
    """The node at a vertex, made if there is none. Cells of a millimetre; a point near an edge is sought on both."""
    x, y = vertex.xy
    bracket = vertex.wall == "bracket"
    cells = {
        (math.floor((x + dx) * 1000.0), math.floor((y + dy) * 1000.0)) for dx in (-SAME, SAME) for dy in (-SAME, SAME)
    }
    if not bracket:
        for cell in cells:
            for k in grid.get(cell, ()):
                if distance(nodes[k].xy, vertex.xy) <= SAME:
                    _adopt(nodes[k], vertex)
                    return k
    node = Node(vertex.xy, bracket)
    _adopt(node, vertex)
    nodes.append(node)
    if not bracket:
        for cell in cells:
            grid.setdefault(cell, []).append(len(nodes) - 1)
    return len(nodes) - 1


def _adopt(node: Node, vertex: Vertex) -> None:
    if vertex.name and vertex.name not in node.names:
        node.names.append(vertex.name)
    node.assumed = node.assumed or vertex.assumed
    node.bend = node.bend or vertex.bend
    if vertex.wall:
        node.wall, node.wall_m = vertex.wall, vertex.wall_m


def _add_legs(frame: Frame, trace: Trace, places: list[int], by_x: list[tuple[float, int]]) -> None:
    station = 0.0
    mine = frame.legs_of.setdefault(trace.index, [])
    for i, j in trace.pairs:
        cuts = [(0.0, places[i]), *_nodes_on(frame, places[i], places[j], by_x)]
        a, b = frame.nodes[places[i]].xy, frame.nodes[places[j]].xy
        cuts.append((distance(a, b), places[j]))
        d = unit(sub(b, a))
        for n, ((s0, first), (s1, second)) in enumerate(itertools.pairwise(cuts)):
            index = len(frame.legs)
            leg = LegFrame(
                index,
                trace,
                first,
                second,
                frame.nodes[first].xy,
                frame.nodes[second].xy,
                d,
                s1 - s0,
                station + s0,
                start_vertex=i if n == 0 else -1,
                end_vertex=j if n == len(cuts) - 2 else -1,
                piece=(i, j),
            )
            frame.legs.append(leg)
            mine.append(index)
            frame.nodes[first].ends.append((index, True))
            frame.nodes[second].ends.append((index, False))
        station += cuts[-1][0]


def _nodes_on(frame: Frame, first: int, last: int, by_x: list[tuple[float, int]]) -> list[tuple[float, int]]:
    """Nodes strictly inside the straight piece, as (distance from its start, node), rising."""
    a, b = frame.nodes[first].xy, frame.nodes[last].xy
    low, high = min(a[0], b[0]) - SAME, max(a[0], b[0]) + SAME
    y_low, y_high = min(a[1], b[1]) - SAME, max(a[1], b[1]) + SAME
    d = unit(sub(b, a))
    length = distance(a, b)
    found = []
    for x, k in by_x[bisect.bisect_left(by_x, (low, -1)) :]:
        if x > high:
            break
        y = frame.nodes[k].xy[1]
        if k in (first, last) or not y_low <= y <= y_high:
            continue
        vx, vy = x - a[0], y - a[1]
        along = vx * d[0] + vy * d[1]
        if abs(d[0] * vy - d[1] * vx) <= SAME and SAME < along < length - SAME:
            found.append((along, k))
    return sorted(found)


# ---------------------------------------------------------------- crossings


def _check_crossings(frame: Frame, say: Say, problems: list[Problem]) -> None:
    """Legs that cross in the middle, overlap or double back. Swept by x, so far pairs are never compared."""
    boxes = []
    for leg in frame.legs:
        (ax, ay), (bx, by) = leg.a, leg.b
        boxes.append((min(ax, bx), max(ax, bx), min(ay, by), max(ay, by), leg.index))
    boxes.sort()
    told: set[tuple[int, int, str]] = set()
    active: list[tuple[float, float, float, float, int]] = []
    for box in boxes:
        active = [other for other in active if other[1] >= box[0] - SAME]
        for other in active:
            if other[2] <= box[3] + SAME and box[2] <= other[3] + SAME:
                one, two = sorted((frame.legs[other[4]], frame.legs[box[4]]), key=lambda leg: leg.index)
                _check_pair(frame, one, two, say, problems, told)
        active.append(box)


def _check_pair(
    frame: Frame, one: LegFrame, two: LegFrame, say: Say, problems: list[Problem], told: set[tuple[int, int, str]]
) -> None:
    shared = {one.start, one.end} & {two.start, two.end}
    if shared:
        node = shared.pop()
        u = one.d if one.start == node else (-one.d[0], -one.d[1])
        v = two.d if two.start == node else (-two.d[0], -two.d[1])
        if dot(u, v) > 0.0 and abs(u[0] * v[1] - u[1] * v[0]) < 1e-9:
            _tell(frame, one, two, frame.nodes[node].xy, "runs-overlap", say, problems, told)
        return
    hit = segments_meet(one.a, one.b, two.a, two.b)
    if hit is None:
        return
    if abs(one.d[0] * two.d[1] - one.d[1] * two.d[0]) < 1e-9:
        _tell(frame, one, two, hit, "runs-overlap", say, problems, told)
    else:
        _tell(frame, one, two, hit, "crossing-runs", say, problems, told)


def _tell(
    frame: Frame,
    one: LegFrame,
    two: LegFrame,
    hit: XY,
    slug: str,
    say: Say,
    problems: list[Problem],
    told: set[tuple[int, int, str]],
) -> None:
    key = (one.trace.index, two.trace.index, slug)
    if key in told or len(told) >= _TOLD:
        return
    told.add(key)
    here = f"at {say.xy(hit)}, {say.m(one.from_m + distance(one.a, hit))} along run {one.trace.spec.name}"
    same = one.trace is two.trace
    if slug == "crossing-runs":
        slug = "run-crosses-itself" if same else slug
        name = two.trace.spec.name
        what = f"run {one.trace.spec.name} crosses {'itself' if same else f'run {name}'}"
        allowed = "runs that share a post where they meet"
        hint = f"{_over(frame, one, two, hit, say)}or give both a common point there"
    else:
        slug = "run-crosses-itself" if same else slug
        what = f"run {one.trace.spec.name} lies on {'itself' if same else f'run {two.trace.spec.name}'}"
        allowed = "one fence on one line"
        hint = "let one run end where the other begins"
    problems.append(Problem(slug, what, two.trace.spec.at, found=here, allowed=allowed, hint=hint))


def _over(frame: Frame, one: LegFrame, two: LegFrame, hit: XY, say: Say) -> str:
    """The smallest shortening of an end that would take the crossing away, in words; "" when neither leg ends."""
    best: tuple[float, str] | None = None
    for leg in (one, two):
        for node in (leg.start, leg.end):
            if len(frame.nodes[node].ends) == 1:
                over = distance(frame.nodes[node].xy, hit)
                if best is None or over < best[0]:
                    best = (over, f"end run {leg.trace.spec.name} there, {say.m(over)} sooner, ")
    return best[1] if best else "end one of them there, "


def near_misses(frame: Frame) -> list[Remark]:
    """Ends that stop just short of another fence: perhaps meant to meet it."""
    remarks = []
    for node in frame.nodes:
        if len(node.ends) != 1 or node.bracket:
            continue
        own = frame.legs[node.ends[0][0]]
        x, y = node.xy
        for leg in frame.legs:
            if leg is own or leg.start == own.start or leg.end == own.start or own.end in (leg.start, leg.end):
                continue
            (ax, ay), (bx, by) = leg.a, leg.b
            if (
                x < min(ax, bx) - NEAR_MISS
                or x > max(ax, bx) + NEAR_MISS
                or y < min(ay, by) - NEAR_MISS
                or y > max(ay, by) + NEAR_MISS
            ):
                continue
            gap = segment_distance(node.xy, leg.a, leg.b)
            if SAME < gap < NEAR_MISS:
                args = (("run", own.trace.spec.name), ("other", leg.trace.spec.name), ("gap_m", gap))
                remarks.append(
                    Remark("end-close-to-run", "caution", f"run {own.trace.spec.name}", args, own.trace.spec.at)
                )
    return remarks
