"""Gates in their legs: which leg, where the opening lies between post faces, which posts carry it.

A gate is measured from the centre of the post at ``from_point``, or from the wall face where the run starts at a wall.
At a corner between two legs of the run the gate goes into the leg after the corner; into the one before where only
that one has room. An opening that starts at 0 begins at the face of the post itself, which becomes the gate post.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import NamedTuple

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


class _Fit(NamedTuple):
    """An opening in its leg, seen from the point that it is measured from [m].

    zero
        added to a start along the leg it gives the distance that a person tells: from the point, to the middle if so.
    begin, far
        from the post centres at the near and the far end of the leg to the opening.
    shared_near, shared_far, bare_near, bare_far
        from those centres to the faces of the posts there: shared with the gate, and as they are without it.
    """

    leg: LegFrame
    zero: float
    opening: float
    begin: float
    far: float
    shared_near: float
    shared_far: float
    bare_near: float
    bare_far: float


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
    fit = _fit(frame, ask)
    refused = _refused(ask, fit, say)
    if refused is not None:
        problems.append(refused)
        return False
    leg, result = fit.leg, _opening(ask, fit)
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


def _fit(frame: Frame, ask: _Ask) -> _Fit:
    """Where the opening that is asked for lies, whether it can stand there or not."""
    opening = ask.sizes.opening_m
    half = opening / 2.0 if ask.spec.reference == "centre" else 0.0
    near = ask.spec.starts_m - half
    leg, begins = next(
        ((leg, begins) for leg, begins in reversed(ask.legs) if near + opening / 2.0 >= begins), ask.legs[0]
    )
    nodes = [frame.nodes[k] for k in ((leg.start, leg.end) if ask.forward else (leg.end, leg.start))]
    shared_near, shared_far = (node_reach(node, leg.d, as_gate=True) for node in nodes)
    bare_near, bare_far = (node_reach(node, leg.d) for node in nodes)
    begin = shared_near if ask.shares else near - begins
    far = leg.length - (begin + opening)
    return _Fit(leg, begins + half, opening, begin, far, shared_near, shared_far, bare_near, bare_far)


def _refused(ask: _Ask, fit: _Fit, say: Say) -> Problem | None:
    """Why the opening cannot stand where it is asked for."""
    name, line, opening, leg = ask.name, f"run {ask.trace.spec.name}", fit.opening, fit.leg
    room = leg.length - fit.shared_near - fit.shared_far
    if opening > room + TOUCH:
        return Problem(
            "gate-wider-than-leg",
            f"gate {name} is wider than the straight piece of {line} it stands in",
            ask.spec.at,
            found=f"opening of {say.m(opening)} in a piece of {say.m(leg.length)} between post centres",
            allowed=f"at most {say.m(max(room, 0.0))} between the post faces",
            hint="on a curve let one run end before the gate and another begin past it (`ends abreast of`, "
            "`begins abreast of`, `call`), and put the gate into a straight run `through` those two ends"
            if any(ask.trace.vertices[k].bend for k in (leg.start_vertex, leg.end_vertex))
            else f"make the opening {say.m(opening - room)} narrower, or the piece that much longer",
        )
    off_leg = _off_leg(ask, fit, say)
    if off_leg is not None:
        return off_leg
    post = ask.trace.kind.post("gate").width_m
    if fit.shared_near + TOUCH < fit.begin and fit.begin - fit.bare_near < post - TOUCH:
        clear = _soonest(fit, post, say)
        return _too_near(ask, fit, say, fit.begin - fit.bare_near, fit.shared_near, clear, "at least")
    if fit.shared_far + TOUCH < fit.far and fit.far - fit.bare_far < post - TOUCH:
        one = fit.begin + (fit.far - fit.shared_far)
        clear = say.short_of(fit.zero + leg.length - fit.bare_far - post - opening) - fit.zero
        return _too_near(ask, fit, say, fit.far - fit.bare_far, one, clear, "at most")
    return None


def _off_leg(ask: _Ask, fit: _Fit, say: Say) -> Problem | None:
    """An opening that begins before the near end of its leg, or ends past the far one."""
    name, line = ask.name, f"run {ask.trace.spec.name}"
    if fit.begin < fit.shared_near - TOUCH:
        shared = say.m(fit.shared_near + fit.zero)
        soonest = say.m(_soonest(fit, ask.trace.kind.post("gate").width_m, say) + fit.zero)
        return Problem(
            "gate-off-leg",
            f"gate {name} begins inside the post at the end of its piece of {line}, or before it",
            ask.spec.at,
            found=say.m(fit.begin + fit.zero),
            allowed=f"{shared}, on the face of that post, or at least {soonest}",
            hint="0 from the point means: that post is the gate post",
        )
    if fit.far < fit.shared_far - TOUCH:
        off = say.m(fit.shared_far - fit.far)
        return Problem(
            "gate-off-leg",
            f"gate {name} reaches past the end of the straight piece of {line} it stands in",
            ask.spec.at,
            found=f"{off} too far",
            allowed=f"a start of at most {say.m(fit.leg.length - fit.shared_far - fit.opening + fit.zero)}",
            hint=f"start it {off} sooner, or make it that much narrower",
        )
    return None


def _soonest(fit: _Fit, post_m: float, say: Say) -> float:
    """The first start that leaves room for a post of its own beside the corner's, which stays as it is [m].

    One that both share is of a gate's size.
    """
    return say.beyond(fit.zero + fit.bare_near + post_m) - fit.zero


def _too_near(ask: _Ask, fit: _Fit, say: Say, gap: float, one: float, clear: float, limit: str) -> Problem:
    """Its own post has no room beside the next: ``one`` start shares that post, ``clear`` stands clear of it [m]."""
    return Problem(
        "gate-post-too-near",
        f"the post of gate {ask.name} would stand in the next post of run {ask.trace.spec.name}",
        ask.spec.at,
        found=f"{say.m(gap)} between that post and the opening",
        allowed=f"a start of {say.m(one + fit.zero)} (one post for both), or {limit} {say.m(clear + fit.zero)}",
        hint=f"the smallest move is {say.m(min(abs(one - fit.begin), abs(clear - fit.begin)))}",
    )


def _opening(ask: _Ask, fit: _Fit) -> Opening:
    """The opening in its leg, on the face of a post that it touches."""
    begin, opening, leg = fit.begin, fit.opening, fit.leg
    if abs(begin - fit.shared_near) <= TOUCH:
        begin = fit.shared_near
    elif abs(fit.far - fit.shared_far) <= TOUCH:
        begin = leg.length - fit.shared_far - opening
    low = begin if ask.forward else leg.length - begin - opening
    high = begin + opening if ask.forward else leg.length - begin
    sizes = ask.sizes
    return Opening(
        ask.spec, ask.name, leg.index, low, high, ask.forward, opening, sizes.leaf_m, sizes.allowance_m, sizes.source
    )


def _crowded(openings: list[Opening], post_m: float, say: Say) -> list[Problem]:
    """Neighbouring gates that have room neither for one post between them nor for two; ``post_m``: its width [m]."""
    found = []
    for before, after in itertools.pairwise(openings):
        gap = after.low_m - before.high_m
        if gap < post_m - TOUCH or post_m + TOUCH < gap < 2.0 * post_m - TOUCH:
            move = post_m - gap if gap < post_m else min(gap - post_m, 2.0 * post_m - gap)
            found.append(
                Problem(
                    "gates-overlap" if gap < 0.0 else "gate-post-too-near",
                    f"gates {before.name} and {after.name} leave no room for the posts between them",
                    after.spec.at,
                    found=f"{say.m(abs(gap))} {'over each other' if gap < 0.0 else 'between the openings'}",
                    allowed=f"{say.m(post_m)} (one post for both) or at least {say.m(2.0 * post_m)}",
                    hint=f"the smallest move is {say.m(move)}",
                )
            )
    return found


def _fix_posts(frame: Frame, leg: LegFrame, say: Say, problems: list[Problem]) -> None:
    """The fixed posts of a leg, gates' posts shared where two gates stand side by side."""
    half = leg.trace.kind.post("gate").width_m / 2.0
    start, end = frame.nodes[leg.start], frame.nodes[leg.end]
    r0, r1 = node_reach(start, leg.d), node_reach(end, leg.d)
    fixed = [Fixed(0.0, r0, leg.start)]
    last = Fixed(leg.length, r1, leg.end)
    leg.openings.sort(key=lambda opening: opening.low_m)
    crowded = _crowded(leg.openings, 2.0 * half, say)
    if crowded:
        problems += crowded
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
