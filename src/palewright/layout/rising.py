"""Runs put on the ground: how each bay meets it, and how high and how long every post is."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Container, Sequence
from dataclasses import replace

import numpy as np

from palewright.errors import JobError, Problem
from palewright.layout.bays_ground import joined
from palewright.layout.frame import Frame, LegFrame, Trace
from palewright.layout.grade import height_at
from palewright.layout.holes import Embed, stock_for
from palewright.layout.meeting import meet
from palewright.layout.meeting_build import first_up
from palewright.layout.meeting_remedies import ground_remedies
from palewright.layout.meeting_rules import GroundRemedy, LookWeights, Met
from palewright.layout.rising_gates import LEAST_CLEAR_M, Heights, Leaf, hang_gate, hung, said_of_gate
from palewright.layout.rising_limits import legal_line
from palewright.layout.rising_material import material_problems, mesh_remarks
from palewright.layout.rising_records import Line, inner_steps, meeting_of, said_of
from palewright.layout.rising_rules import rules_of
from palewright.layout.say import Say
from palewright.layout.standing import Standing
from palewright.model import (
    Bay,
    Meeting,
    Post,
    Profile,
    Reason,
    Remark,
    RunLimits,
)
from palewright.plane import XY

__all__ = ["Limits", "mesh_steps", "put_on_ground"]

Limits = Callable[[str, Sequence[XY], Profile, Sequence[float]], RunLimits]
"""A run, the corners of its path, the ground under it and the stations of its posts, to what rules ask of it."""

_WAYS = ("racked", "stepped", "level-top")
"""What is chosen from where the program proposes; only boards are cut to the ground, and fabric does not step."""

_INCH_M = 0.0254
"""Holes that must be deeper than on level ground are so by whole inches (common practice)."""

_MESH = LookWeights(step=1.0, even=0.0)
"""Fabric ends at a step on a terminal: post, hole, bars and brace weigh as a metre of post more (our own choice), and
steps far apart have no height to share."""

_SAME = 1e-9

_TOUCH_M = 1e-3
"""A bay that reaches no farther into ground that nobody knows stands beside it."""


def put_on_ground(
    frame: Frame,
    standing: Standing,
    embed: Embed,
    say: Say,
    heights: Heights | None = None,
    limits: Limits | None = None,
) -> tuple[tuple[Meeting, ...], list[Remark], list[Reason]]:
    """How every run with a known profile meets the ground; its posts in ``standing`` get their own heights and lengths.

    heights
        ground beside the runs, for the swings of gates; None where nobody knows it. limits: what rules ask of a run.
    A post that two runs share is as high as the higher of them asks, on ground that nobody knows as on level ground. A
    hole is never shallower than on level ground.
    Raises JobError where a material cannot do what was asked: panels and fabric do not grow.
    """
    remarks: list[Remark] = []
    problems: list[Problem] = []
    made: list[tuple[Line, Met, tuple[GroundRemedy, ...]]] = []
    above: dict[str, float] = {}
    level: dict[str, float] = {}
    for trace in frame.traces:
        line = _line(frame, standing, trace, limits)
        for label, high in _on_dark_ground(standing, trace, line).items():
            level[label] = max(high, level.get(label, -math.inf))
        if line is None:
            continue
        leaves = _leaves(frame, line, heights)
        met, remedies = _meet(line, say, leaves)
        made.append((line, met, remedies))
        problems += material_problems(line, met, say)
        for label, high in _above(line, met).items():
            above[label] = max(high, above.get(label, -math.inf))
        remarks += said_of(line, met) + mesh_remarks(line, met)
        remarks += _hang(standing, line, leaves)
    if problems:
        raise JobError(problems)
    above = {label: max(high, level.get(label, high)) for label, high in above.items()}
    reasons = _set_posts(standing, above, frame, embed)
    remarks += _too_long(standing, reasons, frame)
    posts = {post.label: post for post in standing.posts}
    return tuple(meeting_of(*item, posts) for item in made), remarks, reasons


def mesh_steps(
    frame: Frame,
    standing: Standing,
    say: Say,
    fits: Callable[[LegFrame, float], bool],
    heights: Heights | None = None,
    limits: Limits | None = None,
) -> list[tuple[LegFrame, float]]:
    """Line posts at which fabric would best step, by leg and station [m]: terminals have to stand there.

    fits
        whether the hole of a terminal may be dug at a place. heights, limits: as for :func:`put_on_ground`.
    """
    found = []
    for trace in frame.traces:
        asked = {trace.spec.follows, *(part.follows for part in trace.parts)}
        if trace.kind.family != "chain link" or not asked.intersection(("stepped", "mixed")):
            continue
        line = _line(frame, standing, trace, limits)
        if line is None:
            continue
        posts = [post for post in line.posts if post.role == "line"]
        places = {post.label: (leg := frame.legs[post.legs[0]], post.places[0][1] - leg.from_m) for post in posts}
        firm = {label for label, place in places.items() if not fits(*place)}
        met, _ = _meet(line, say, _leaves(frame, line, heights), firm)
        steps = zip(line.posts[1:-1], inner_steps(met), strict=True)
        found += [places[post.label] for post, step in steps if post.label in places and abs(step) > _SAME]
    return found


def _line(frame: Frame, standing: Standing, trace: Trace, limits: Limits | None) -> Line | None:
    """None where the ground is not known under any whole bay."""
    profile = trace.profile
    if profile is None:
        return None
    known = {post.label: post for post in standing.posts}
    labels: list[str] = []
    stations: list[float] = []
    bays: list[Bay] = []
    legs = {leg.index: leg for leg in standing.legs}
    for index in frame.legs_of[trace.index]:
        leg = legs[index]
        lengths = [standing.bays[number - 1].length_m for number in leg.bays]
        places = list(itertools.accumulate(lengths, initial=leg.from_m))
        skip = 1 if labels else 0
        labels += leg.posts[skip:]
        stations += places[skip:]
        bays += [standing.bays[number - 1] for number in leg.bays]
    gates = tuple(gate for gate in standing.gates if gate.run == trace.spec.name)
    asked = [_asked(trace, a, b) for a, b in itertools.pairwise(stations)]
    dark = {bay.number for bay, how in zip(bays, asked, strict=True) if how == "assumed"}
    trace.on_ground = len(dark) < len(bays)
    if not trace.on_ground:
        return None
    spans = zip(itertools.pairwise(stations), asked, strict=True)
    trace.assumed = joined(span for span, how in spans if how == "assumed")
    gates = tuple(gate for gate in gates if gate.bay not in dark)
    posts = tuple(known[label] for label in labels)
    line = Line(trace, profile, posts, tuple(stations), tuple(bays), gates, tuple(asked))
    if limits is None:
        return line
    return replace(line, limits=limits(trace.spec.name, trace.path, profile, line.stations))


def _asked(trace: Trace, start: float, end: float) -> str:
    """How a bay shall meet the ground; "assumed" where the ground under part of it is not known."""
    profile = trace.profile
    assert profile is not None
    if any(min(gap.to_m, end) - max(gap.from_m, start) > _TOUCH_M for gap in profile.unknown):
        return "assumed"
    return trace.follows_at((start + end) / 2.0) or "best"


def _leaves(frame: Frame, line: Line, heights: Heights | None) -> dict[int, Leaf]:
    """How each gate of a run hangs, by the number of its bay."""
    found = {}
    for gate in line.gates:
        leg = frame.legs[gate.leg]
        found[gate.bay] = hang_gate(gate, leg.a, leg.from_m, line.profile, line.trace.kind.bottom_gap_m, heights)
    return found


def _hang(standing: Standing, line: Line, leaves: dict[int, Leaf]) -> list[Remark]:
    """Hang the gates of a run in ``standing``; what must be said of them."""
    remarks = []
    specs = {spec.name: spec for spec in line.trace.spec.gates}
    stations = dict(zip((post.label for post in line.posts), line.stations, strict=True))
    for index, gate in enumerate(standing.gates):
        if gate.run != line.trace.spec.name:
            continue
        if gate.bay not in leaves:
            continue
        leaf = leaves[gate.bay]
        gate = hung(gate, leaf, height_at(line.profile, stations[gate.hinge[0]]), line.trace.kind)
        standing.gates[index] = gate
        remarks += said_of_gate(gate, specs[gate.name], leaf, line.trace.kind.bottom_gap_m)
    return remarks


def _meet(
    line: Line, say: Say, leaves: dict[int, Leaf], firm: Container[str] | None = None
) -> tuple[Met, tuple[GroundRemedy, ...]]:
    """How a run meets the ground, and what would heal each rule that it cannot keep.

    firm
        labels of posts at which it may not step: line posts of fabric unless given.
    """
    spec, kind = line.trace.spec, line.trace.kind
    mesh = kind.family == "chain link"
    if firm is None:
        firm = {post.label for post in line.posts if mesh and post.role == "line"}
    rules, steps = rules_of(line, say, firm)
    # a fence that is too high on level ground already is not pressed into the ground for it: the rules tell it
    lines = [limit for limit in line.limits.heights if limit.most_m >= kind.height_m - _SAME]
    legal = legal_line(lines, line.profile.stations_m[-1], kind.height_m - kind.top_m)
    measured = None
    if legal is not None:
        rules, measured = replace(rules, legal_m=legal[0]), legal[1]
    base = height_at(line.profile, line.stations[0]) + rules.target_m
    breaks = [k for k, post in enumerate(line.posts) if set(spec.breaks).intersection(_names(post))]
    s, z, at = np.array(line.profile.stations_m), np.array(line.profile.heights_m), np.array(line.stations)
    # beside a level top that was asked for none is proposed: its boards may be longer than a proposal allows
    ways = _WAYS[:2] if "level-top" in line.asked else _WAYS
    met = meet(
        s,
        z,
        at,
        rules,
        line.asked,
        gates=[bay.kind == "gate" and how != "assumed" for bay, how in zip(line.bays, line.asked, strict=True)],
        leaves_m=[_on_grid(leaves.get(bay.number), base, rules.grid_m) for bay in line.bays],
        measured=measured,
        breaks_at=breaks,
        steps=steps,
        weights=_MESH if mesh else None,
        ways=ways[: {"boards": 3, "chain link": 1}.get(kind.family, 2)],
    )
    if not met.breaks:
        return met, ()
    asked = () if mesh else line.asked  # fabric does not step within a bay either
    lower = max(0.0, kind.bottom_gap_m - LEAST_CLEAR_M)
    swings = {k: (lower, leaves[bay.number].rise_m) for k, bay in enumerate(line.bays) if bay.number in leaves}
    return met, ground_remedies(met, s, z, at, rules, measured, asked, swings)


def _on_grid(leaf: Leaf | None, base_m: float, grid_m: float) -> float | None:
    """The bottom of a leaf on the grid of elevations that begins at ``base_m``, no lower than it must be [m]."""
    return None if leaf is None else base_m + grid_m * first_up(leaf.bottom_m, base_m, grid_m)


def _names(post: Post) -> list[str]:
    return [part for words in post.why.split(", ") if words.startswith("point ") for part in words[6:].split(" and ")]


def _above(line: Line, met: Met) -> dict[str, float]:
    """How high over its ground each post must reach for the bays at its sides whose ground is known [m]; both posts of
    a gate end level."""
    kind = line.trace.kind
    found: dict[str, float] = {}
    dark = np.array([mode == "assumed" for mode in met.modes])
    ends = np.where(dark[:, None], -np.inf, met.tops_m)
    tops = np.maximum(np.append(ends[:, 0], -np.inf), np.append(-np.inf, ends[:, 1]))
    for here in (range(len(line.bays)), reversed(range(len(line.bays)))):  # gates may follow each other
        for k in here:
            if met.modes[k] == "gate":
                tops[k : k + 2] = tops[k : k + 2].max()
    for post, station, top in zip(line.posts, line.stations, tops.tolist(), strict=True):
        if math.isfinite(top):
            high = top + kind.above(post.role) - kind.top_m - height_at(line.profile, station)
            found[post.label] = max(high, found.get(post.label, -math.inf))
    return found


def _on_dark_ground(standing: Standing, trace: Trace, line: Line | None) -> dict[str, float]:
    """How high a run asks the posts at its bays over ground that nobody knows to be: as on level ground [m]."""
    lit = {bay.number for bay, how in zip(line.bays, line.asked, strict=True) if how != "assumed"} if line else set()
    bays = [bay for bay in standing.bays if bay.run == trace.spec.name and bay.number not in lit]
    ends = {label for bay in bays for label in (bay.start, bay.end)}
    return {post.label: trace.kind.above(post.role) for post in standing.posts if post.label in ends}


# ---------------------------------------------------------------- posts


def _set_posts(standing: Standing, above: dict[str, float], frame: Frame, embed: Embed) -> list[Reason]:
    """Give posts their own height above ground and length, and the hole that such a height asks for."""
    kinds = {trace.kind.name: trace.kind for trace in frame.traces}
    reasons = []
    for index, post in enumerate(standing.posts):
        high = above.get(post.label, post.above_m)
        if abs(high - post.above_m) < _SAME:
            continue
        if post.hole is None:
            standing.posts[index] = replace(post, above_m=high)
            continue
        kind, hole = kinds[post.kind], post.hole
        depth = embed(replace(kind, post_top_m=(("line", max(high, post.above_m)),)), post.role)
        if depth.depth_m > hole.depth_m:
            more = _INCH_M * math.ceil((depth.depth_m - hole.depth_m) / _INCH_M - 1e-6)
            hole = replace(
                hole, depth_m=hole.depth_m + more, in_ground_m=hole.in_ground_m + more, governs=depth.governs
            )
        length = high + hole.in_ground_m
        stock = stock_for(kind.post(post.role), length)
        standing.posts[index] = replace(post, above_m=high, length_m=length, stock_m=stock, hole=hole)
        inputs = (("above the ground at the post_m", high), ("in the ground_m", hole.in_ground_m))
        formula = "above the ground, for the higher of the bays at its sides + in the ground"
        reasons.append(Reason(f"post {post.label}", "post length", length, "m", formula, inputs))
    return reasons


def _too_long(standing: Standing, reasons: Sequence[Reason], frame: Frame) -> list[Remark]:
    """Posts for which no length on offer reaches, where the ground made them another length: each by name."""
    kinds = {trace.kind.name: trace.kind for trace in frame.traces}
    changed = {reason.about for reason in reasons}
    found: dict[tuple[str, str, float], list[Post]] = {}
    for post in standing.posts:
        offered = kinds[post.kind].post(post.role).stocks_m
        if f"post {post.label}" in changed and post.stock_m == 0.0 and offered:
            found.setdefault((post.kind, post.section, max(offered)), []).append(post)
    remarks = []
    for (kind, section, longest), posts in found.items():
        words = (("posts", ", ".join(post.label for post in posts)), ("section", section), ("longest_m", longest))
        length = ("length_m", max(post.length_m for post in posts))
        remarks.append(Remark("posts-longer-than-stock", "caution", f"fence {kind}", (*words, length)))
    return remarks
