"""Gates in their legs: which leg, where the opening lies between post faces, which posts carry it.

A gate is measured from the centre of the post at ``from_point``, or from the wall face where the run starts at a wall.
At a corner between two legs of the run the gate goes into the leg after the corner; into the one before where only
that one has room. An opening that starts at 0 begins at the face of the post itself, which becomes the gate post.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from palewright.errors import Problem, ProblemError
from palewright.layout.frame import SAME, Fixed, Frame, LegFrame, Opening, Trace
from palewright.layout.gates import GateSizes, gate_gaps, gate_kinds, gate_sizes
from palewright.layout.roles import node_reach, size_node, size_nodes
from palewright.layout.say import Say
from palewright.model import GateSpec, Site
from palewright.plane import distance, dot, project

__all__ = ["TOUCH", "gate_kind", "place_gates", "way_from"]

TOUCH = 0.001
"""Post faces this near are taken as the same face: one shared post [m]; our own choice, well under a tape's mark."""


@dataclass(slots=True)
class _Ask:
    """A gate to place: forward from its point or not, and the legs that way with the distance where each begins."""

    trace: Trace
    spec: GateSpec
    name: str
    sizes: GateSizes
    forward: bool
    legs: list[tuple[LegFrame, float]]
    shares: bool


def place_gates(frame: Frame, site: Site, say: Say, problems: list[Problem]) -> None:
    """Every gate placed: ``openings`` and ``fixed`` of the legs filled, roles and sections of the nodes settled.

    What cannot stand goes to ``problems``.
    """
    asks = [ask for trace in frame.traces for ask in _asks(frame, trace, site, say.style, problems)]
    size_nodes(frame)
    for ask in asks:
        if ask.shares:
            node = frame.nodes[ask.legs[0][0].start if ask.forward else ask.legs[0][0].end]
            node.gates.append(ask.name)
            size_node(frame, node)
    for _ in range(len(frame.nodes) + 1):
        wrong: list[Problem] = []
        for leg in frame.legs:
            leg.openings = []
        changed = False
        for ask in asks:
            changed |= _place(frame, ask, say, wrong)
        if not changed:
            problems.extend(wrong)
            break
    for leg in frame.legs:
        _fix_posts(frame, leg, say, problems)


# ---------------------------------------------------------------- what is asked


def _asks(frame: Frame, trace: Trace, site: Site, style: str, problems: list[Problem]) -> list[_Ask]:
    asks = []
    for number, spec in enumerate(trace.spec.gates, 1):
        name = spec.name or f"{trace.spec.name} gate {number}"
        try:
            gaps = gate_gaps(trace.kind)
            sizes = gate_sizes(gate_kind(trace), spec.opening_m, spec.leaf_m, spec.leaves, gaps, style)
        except ProblemError as error:
            problems.extend(p if p.where.line or p.where.path else p.at(spec.at) for p in error.problems)
            continue
        way = way_from(frame, trace, spec.from_point, site)
        if way is None:
            names = [vertex.name for vertex in trace.vertices if vertex.name]
            problems.append(
                Problem(
                    "gate-point-not-on-run",
                    f"gate {name} is measured from a point that run {trace.spec.name} does not go through",
                    spec.at,
                    found=spec.from_point or "no point",
                    allowed=", ".join(names) or "no point of the run has a name",
                )
            )
            continue
        forward, legs, offset = way
        shares = spec.starts_m == 0.0 and spec.reference == "start" and offset == 0.0
        asks.append(_Ask(trace, spec, name, sizes, forward, legs, shares))
    return asks


def gate_kind(trace: Trace) -> str:
    """The kind whose hardware allowance holds: the fence's own, or that of its family for a variant of a firm's own."""
    known = gate_kinds()
    name = trace.kind.kind
    return name if name in known else trace.kind.family.replace(" ", "-").replace("panels", "metal-panels")


def way_from(
    frame: Frame, trace: Trace, point: str, site: Site
) -> tuple[bool, list[tuple[LegFrame, float]], float] | None:
    """The way from a point of a run: (forward, legs in line with the distance where each begins, offset in the first).

    On along the run; back only from its last point. Never round to another side: a slip would move the gate there.
    """
    legs = [frame.legs[k] for k in frame.legs_of[trace.index]]
    place = next((each.xy for each in site.points if each.name == point), None)
    if place is None and site.ring is not None:
        place = next((corner.xy for corner in site.ring.corners if corner.name == point), None)
    for k, vertex in enumerate(trace.vertices):
        if (point and vertex.name == point) or (place is not None and distance(place, vertex.ref) <= SAME):
            after = next((n for n, leg in enumerate(legs) if leg.start_vertex == k), None)
            before = next((n for n, leg in enumerate(legs) if leg.end_vertex == k), None)
            if after is not None:
                return (True, _in_line(legs, after, 1, vertex.wall_m), 0.0)
            return None if before is None else (False, _in_line(legs, before, -1, vertex.wall_m), 0.0)
    if place is not None:
        for n, leg in enumerate(legs):
            along, off = project(place, leg.a, leg.b)
            if abs(off) <= TOUCH and 0.0 < along < leg.length:
                return (True, _in_line(legs, n, 1, -along), along)
    return None


def _in_line(legs: list[LegFrame], first: int, step: int, begins: float) -> list[tuple[LegFrame, float]]:
    """Legs that follow in one straight line from ``legs[first]``, with the distance at which each begins [m]."""
    result = [(legs[first], begins)]
    n = first
    while 0 <= n + step < len(legs) and dot(legs[n].d, legs[n + step].d) > 1.0 - 1e-12:
        begins += legs[n].length
        n += step
        result.append((legs[n], begins))
    return result


# ---------------------------------------------------------------- placing


def _place(frame: Frame, ask: _Ask, say: Say, problems: list[Problem]) -> bool:
    """Place one gate; True when a node became a gate post, so that everything must be placed again."""
    result = _try(frame, ask, ask.forward, ask.legs, say)
    if isinstance(result, Problem):
        problems.append(result)
        return False
    leg = frame.legs[result.leg]
    changed = False
    for at_low, index in ((True, leg.start), (False, leg.end)):
        node = frame.nodes[index]
        r = node_reach(node, leg.d, as_gate=True)
        touches = abs(result.low_m - r) <= TOUCH if at_low else abs(leg.length - result.high_m - r) <= TOUCH
        if touches and ask.name not in node.gates:
            node.gates.append(ask.name)
            size_node(frame, node)
            changed = changed or not node.bracket
    leg.openings.append(result)
    return changed


def _try(frame: Frame, ask: _Ask, forward: bool, legs: list[tuple[LegFrame, float]], say: Say) -> Opening | Problem:
    opening = ask.sizes.opening_m
    near = ask.spec.starts_m - (opening / 2.0 if ask.spec.reference == "centre" else 0.0)
    leg, begins = next(((leg, begins) for leg, begins in reversed(legs) if near + opening / 2.0 >= begins), legs[0])
    r_start = node_reach(frame.nodes[leg.start], leg.d, as_gate=True)
    r_end = node_reach(frame.nodes[leg.end], leg.d, as_gate=True)
    r_near, r_far = (r_start, r_end) if forward else (r_end, r_start)
    near_node, far_node = (leg.start, leg.end) if forward else (leg.end, leg.start)
    bare_near, bare_far = (node_reach(frame.nodes[index], leg.d) for index in (near_node, far_node))
    if ask.shares:
        begin = r_near
    else:
        begin = near - begins
    room = leg.length - r_near - r_far
    where, name = ask.spec.at, ask.name
    line = f"run {ask.trace.spec.name}"

    zero = begins + (opening / 2.0 if ask.spec.reference == "centre" else 0.0)

    def starts(value: float) -> str:
        return say.m(value + zero)

    if opening > room + TOUCH:
        return Problem(
            "gate-wider-than-leg",
            f"gate {name} is wider than the straight piece of {line} it stands in",
            where,
            found=f"opening of {say.m(opening)} in a piece of {say.m(leg.length)} between post centres",
            allowed=f"at most {say.m(max(room, 0.0))} between the post faces",
            hint=f"make the opening {say.m(opening - room)} narrower, or the piece that much longer",
        )
    g = ask.trace.kind.post("gate").width_m
    far = leg.length - (begin + opening)
    # a post of its own clears the corner's post as it is; one that both share is of a gate's size
    first = say.beyond(zero + bare_near + g) - zero
    last = say.short_of(zero + leg.length - bare_far - g - opening) - zero
    if begin < r_near - TOUCH:
        return Problem(
            "gate-off-leg",
            f"gate {name} begins inside the post at the end of its piece of {line}, or before it",
            where,
            found=starts(begin),
            allowed=f"{starts(r_near)}, on the face of that post, or at least {starts(first)}",
            hint="0 from the point means: that post is the gate post",
        )
    if far < r_far - TOUCH:
        return Problem(
            "gate-off-leg",
            f"gate {name} reaches past the end of the straight piece of {line} it stands in",
            where,
            found=f"{say.m(r_far - far)} too far",
            allowed=f"a start of at most {starts(leg.length - r_far - opening)}",
            hint=f"start it {say.m(r_far - far)} sooner, or make it that much narrower",
        )
    for gap, bare, shared, clear, limit in (
        (begin, bare_near, r_near, first, "at least"),
        (far, bare_far, r_far, last, "at most"),
    ):
        if gap > shared + TOUCH and gap - bare < g - TOUCH:
            one = begin - (gap - shared) * (1.0 if limit == "at least" else -1.0)
            return Problem(
                "gate-post-too-near",
                f"the post of gate {name} would stand in the next post of {line}",
                where,
                found=f"{say.m(gap - bare)} between that post and the opening",
                allowed=f"a start of {starts(one)} (one post for both), or {limit} {starts(clear)}",
                hint=f"the smallest move is {say.m(min(abs(one - begin), abs(clear - begin)))}",
            )
    if abs(begin - r_near) <= TOUCH:
        begin = r_near
    elif abs(far - r_far) <= TOUCH:
        begin = leg.length - r_far - opening
    low, high = (begin, begin + opening) if forward else (leg.length - begin - opening, leg.length - begin)
    sizes = ask.sizes
    return Opening(
        ask.spec, name, leg.index, low, high, forward, opening, sizes.leaf_m, sizes.allowance_m, sizes.source
    )


def _fix_posts(frame: Frame, leg: LegFrame, say: Say, problems: list[Problem]) -> None:
    """The fixed posts of a leg, gates' posts shared where two gates stand side by side."""
    half = leg.trace.kind.post("gate").width_m / 2.0
    start, end = frame.nodes[leg.start], frame.nodes[leg.end]
    r0, r1 = node_reach(start, leg.d), node_reach(end, leg.d)
    fixed = [Fixed(0.0, r0, leg.start)]
    last = Fixed(leg.length, r1, leg.end)
    leg.openings.sort(key=lambda opening: opening.low_m)
    sound = True
    for before, after in itertools.pairwise(leg.openings):
        gap = after.low_m - before.high_m
        g = 2.0 * half
        if gap < g - TOUCH or g + TOUCH < gap < 2.0 * g - TOUCH:
            sound = False
            move = g - gap if gap < g else min(gap - g, 2.0 * g - gap)
            problems.append(
                Problem(
                    "gates-overlap" if gap < 0.0 else "gate-post-too-near",
                    f"gates {before.name} and {after.name} leave no room for the posts between them",
                    after.spec.at,
                    found=f"{say.m(abs(gap))} {'over each other' if gap < 0.0 else 'between the openings'}",
                    allowed=f"{say.m(g)} (one post for both) or at least {say.m(2.0 * g)}",
                    hint=f"the smallest move is {say.m(move)}",
                )
            )
    if not sound:
        leg.fixed = [fixed[0], last]
        leg.openings = []
        return
    for opening in leg.openings:
        if abs(opening.low_m - r0) <= TOUCH and len(fixed) == 1:
            opening.low_post = 0
        elif len(fixed) > 1 and abs(opening.low_m - half - fixed[-1].at_m) <= TOUCH:
            opening.low_post = len(fixed) - 1
            shift = fixed[-1].at_m + half - opening.low_m
            opening.low_m += shift
            opening.high_m += shift
        else:
            fixed.append(Fixed(opening.low_m - half, half))
            opening.low_post = len(fixed) - 1
        fixed[opening.low_post].gates.append(opening.name)
        if abs(leg.length - r1 - opening.high_m) <= TOUCH:
            opening.high_post = len(fixed)
            last.gates.append(opening.name)
        else:
            fixed.append(Fixed(opening.high_m + half, half))
            opening.high_post = len(fixed) - 1
            fixed[-1].gates.append(opening.name)
    leg.fixed = [*fixed, last]
