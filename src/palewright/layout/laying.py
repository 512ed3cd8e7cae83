"""The layout of a job: from runs as written to every post, bay and gate."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from palewright.boundary import ring_sides
from palewright.errors import JobError, Problem
from palewright.layout.again import Again
from palewright.layout.bays import MOST_BAYS
from palewright.layout.buildings import check_buildings
from palewright.layout.clearance import check_fixed, check_insets, over_the_line
from palewright.layout.dividing import DividedLeg, assign_given, blocks_on, divide_leg
from palewright.layout.frame import Frame, LegFrame
from palewright.layout.gates import leaf_remark
from palewright.layout.grade import ALONG, Grade
from palewright.layout.holes import Embed, Stocks
from palewright.layout.inside import Boundary
from palewright.layout.notes import bay_remarks, fall_along, is_trial, leg_reasons, post_remarks, run_remarks
from palewright.layout.openings import gate_kind, place_gates
from palewright.layout.parts import place_parts, stand_change
from palewright.layout.paths import trace_runs
from palewright.layout.say import Say
from palewright.layout.standing import Standing, stand_posts
from palewright.layout.swing import check_swing
from palewright.layout.topology import join, near_misses
from palewright.layout.yards import yard_remarks
from palewright.layout.zones import NEAR, ZoneBox, box_zones, near_leg
from palewright.model import Design, Job, Kind, Meeting, Profile, Reason, Remark, Run, Site
from palewright.plane import XY

if TYPE_CHECKING:
    from palewright.layout.rising import Limits
    from palewright.layout.rising_gates import Heights

__all__ = ["Ground", "lay_out"]

Ground = Callable[[Sequence[tuple[str, Sequence[XY]]], Mapping[str, XY]], Sequence[Profile]]
"""Lines of post centres by run, and places that the runs call by name, to the ground under those where it is known."""


def lay_out(
    job: Job,
    site: Site,
    kinds: Mapping[str, Kind],
    embed: Embed,
    ground: Ground | None = None,
    heights: Heights | None = None,
    limits: Limits | None = None,
    again: Again | None = None,
) -> Design:
    """Every run of a job laid out: where each post stands, each bay and each gate.

    job
        the job as written: runs, gates, given bays, falls, stakes.paint_m (paint margin) [m].
    site
        its points, boundary, zones and buildings, resolved.
    kinds
        fence name to its kind, for every fence that a run names.
    embed
        (kind, role) to how deep its hole is.
    ground
        the lines of the runs to the ground under them, where it is known. heights: the ground beside them, asked for
        after that. limits: what rules of height and of gaps ask of a run whose ground is known.
    again
        legs of the last time, where a job that differs little is laid out many times over; while it is quiet, nothing
        is said of what stands.

    Returns the design. Raises JobError with every problem found: first those of paths, meetings and gates, then those
    of zones, bays and insets (a run without a path has no posts to check).

    The path of a run is the line of post centres. Runs share a post where their points coincide; a run that ends on
    another gives that one a fixed post there. Fixed posts (ends, corners, tees, changes, gates) divide a leg into
    stretches, and each stretch is divided by :func:`palewright.layout.bays.divide_between`.
    """
    problems: list[Problem] = []
    say = Say.of(job)
    frame = _frame(job, site, kinds, ground, say)
    boxes = box_zones(site.zones)
    near = _zones_near(frame, boxes)
    check_fixed(frame, near, say, problems)
    divided = _divide(frame, near, boxes, job.stakes.paint_m, say, problems, again)
    if problems:
        raise JobError(problems)
    boundary = Boundary.of(ring_sides(site.ring)) if site.ring is not None else None
    stocks = Stocks(embed, again.sorts if again is not None else None)
    standing = stand_posts(frame, divided, near, stocks, boundary)
    steps = _terminals(frame, standing, near, heights, limits, say)
    if steps:
        for leg, at in steps:
            stand_change(leg, at, "step")
        divided = _divide(frame, near, boxes, job.stakes.paint_m, say, problems)
        if problems:
            raise JobError(problems)
        standing = stand_posts(frame, divided, near, stocks, boundary)
    check_insets(frame, standing.posts, boundary, say, problems)
    meetings, on_ground, lengths = _meetings(frame, standing, embed, heights, limits, say)
    through = check_buildings(frame, standing.posts, site.buildings, say, problems)
    if problems:
        raise JobError(problems)
    remarks: list[Remark] = []
    reasons: list[Reason] = []
    if again is None or not again.quiet:
        remarks = _remarks(job, site, frame, standing, stocks, boundary)
        reasons = leg_reasons(frame, divided, standing.legs) + stocks.reasons + lengths
    return Design(
        runs=_runs(job, site, frame),
        legs=tuple(standing.legs),
        posts=tuple(standing.posts),
        bays=tuple(standing.bays),
        gates=tuple(standing.gates),
        remarks=(*remarks, *on_ground, *through),
        reasons=tuple(reasons),
        meetings=meetings,
    )


def _frame(job: Job, site: Site, kinds: Mapping[str, Kind], ground: Ground | None, say: Say) -> Frame:
    """The paths of the runs joined, on their ground, with gates and parts in them; JobError with all that is wrong."""
    problems: list[Problem] = []
    frame = join(trace_runs(job, site, kinds, say, problems), say, problems)
    _stand_on(frame, ground)
    place_gates(frame, site, say, problems)
    place_parts(frame, site, say, problems)
    if problems:
        raise JobError(problems)
    _measure_along(frame)
    _refuse_too_many(frame)
    return frame


def _divide(
    frame: Frame,
    near: Mapping[int, Sequence[ZoneBox]],
    boxes: Sequence[ZoneBox],
    paint_m: float,
    say: Say,
    problems: list[Problem],
    again: Again | None = None,
) -> dict[int, DividedLeg]:
    """Every leg divided into bays, its zones kept clear."""
    given = assign_given(frame, problems)
    quiet = again is not None and again.quiet
    divided = {}
    for leg in frame.legs:
        known = again.known(leg, given) if again is not None else None
        if known is not None:
            divided[leg.index] = known
            continue
        radius = leg.trace.kind.hole("line").diameter_m / 2.0
        blocks = blocks_on(leg, near[leg.index], radius, paint_m)
        divided[leg.index] = divide_leg(frame, leg, blocks, given, say, problems, boxes, quiet)
        if again is not None and not problems:
            again.keep(leg, divided[leg.index])
    return divided


def _remarks(
    job: Job, site: Site, frame: Frame, standing: Standing, stocks: Stocks, boundary: Boundary | None
) -> list[Remark]:
    """What a reader must know of runs, bays, posts and gates."""
    remarks = run_remarks(job, site, frame)
    remarks += bay_remarks(frame, standing, Say.of(job))
    remarks += near_misses(frame)
    remarks += post_remarks(frame, standing.posts, standing.of_node, stocks)
    remarks += yard_remarks(frame, standing.of_node)
    remarks += standing.remarks
    for gate in standing.gates:
        remarks += check_swing(gate, frame, standing.posts, site, boundary)
    for leg in frame.legs:
        for opening in leg.openings:
            remarks += leaf_remark(opening.name, gate_kind(leg.trace), opening.leaf_m, opening.spec.leaves)
    return remarks + over_the_line(frame, standing.posts, boundary)


def _stand_on(frame: Frame, ground: Ground | None) -> None:
    """The profile of every run."""
    if ground is None:
        return
    called = {vertex.name: vertex.xy for trace in frame.traces for vertex in trace.vertices if vertex.name}
    found = ground([(trace.spec.name, trace.path) for trace in frame.traces], called)
    profiles = {profile.run: profile for profile in found}
    for trace in frame.traces:
        trace.profile = profiles.get(trace.spec.name)


def _measure_along(frame: Frame) -> None:
    """The slope of every leg whose bays are measured along it, level where it is not known or steps."""
    for trace in frame.traces:
        if trace.profile is None:
            continue
        length = trace.profile.stations_m[-1]
        cuts = sorted({0.0, length, *(at for part in trace.parts for at in (part.from_m, part.to_m))})
        flat = [span for span in itertools.pairwise(cuts) if trace.follows_at(sum(span) / 2.0) not in ALONG]
        flat += [(gap.from_m, gap.to_m) for gap in trace.profile.unknown]
        for index in frame.legs_of[trace.index]:
            leg = frame.legs[index]
            leg.grade = Grade.under(trace.profile, leg.from_m, leg.length, flat)


def _meetings(
    frame: Frame, standing: Standing, embed: Embed, heights: Heights | None, limits: Limits | None, say: Say
) -> tuple[tuple[Meeting, ...], list[Remark], list[Reason]]:
    """How the runs meet the ground, where it is known under one of them."""
    if all(trace.profile is None for trace in frame.traces):
        return (), [], []
    from palewright.layout.rising import put_on_ground

    return put_on_ground(frame, standing, embed, say, heights, limits)


def _terminals(
    frame: Frame,
    standing: Standing,
    near: Mapping[int, Sequence[ZoneBox]],
    heights: Heights | None,
    limits: Limits | None,
    say: Say,
) -> list[tuple[LegFrame, float]]:
    """Where fabric has to step at a line post, leg and station [m]: it ends there, and a terminal is set instead."""
    if not any(trace.profile is not None and trace.kind.family == "chain link" for trace in frame.traces):
        return []
    from palewright.layout.rising import mesh_steps

    def fits(leg: LegFrame, at: float) -> bool:
        blocks = blocks_on(leg, near[leg.index], leg.trace.kind.hole("change").diameter_m / 2.0, 0.0)
        return not any(block.kind == "no hole" and block.start_m < at < block.end_m for block in blocks)

    return mesh_steps(frame, standing, say, fits, heights, limits)


def _zones_near(frame: Frame, boxes: Sequence[ZoneBox]) -> dict[int, list[ZoneBox]]:
    """For each leg the zones that can matter to a hole of it."""
    result = {}
    for leg in frame.legs:
        radius = max(
            frame.nodes[leg.start].radius,
            frame.nodes[leg.end].radius,
            leg.trace.kind.hole("line").diameter_m / 2.0,
            leg.trace.kind.hole("gate").diameter_m / 2.0,
        )
        result[leg.index] = near_leg(boxes, leg.a, leg.b, radius + NEAR)
    return result


def _refuse_too_many(frame: Frame) -> None:
    """Stop before a slip of the unit lays out millions of posts."""
    bays = sum(leg.length / leg.trace.kind.longest_m for leg in frame.legs)
    if bays > MOST_BAYS:
        raise JobError(
            Problem(
                "too-many-posts",
                "so many bays are taken for a slip of the unit",
                max(frame.legs, key=lambda leg: leg.length).trace.spec.at,
                found=f"{bays:.0f} bays",
                allowed=f"up to {MOST_BAYS}",
                hint="check the units of the longest run; a longer fence goes into several jobs",
            )
        )


def _runs(job: Job, site: Site, frame: Frame) -> tuple[Run, ...]:
    runs = []
    for trace in frame.traces:
        legs = [frame.legs[k] for k in frame.legs_of[trace.index]]
        fall, by = fall_along(job, site, trace)
        length = math.fsum(leg.length for leg in legs)
        openings = math.fsum(opening.opening_m for leg in legs for opening in leg.openings)
        runs.append(
            Run(
                name=trace.spec.name,
                fence=trace.spec.fence,
                legs=tuple(leg.index for leg in legs),
                length_m=length,
                fence_m=length - openings,
                closed=trace.closed,
                follows=trace.spec.follows,
                level_assumed=not trace.on_ground,
                profile=trace.profile,
                assumed=tuple(trace.assumed),
                stretches=tuple((part.from_m, part.to_m, part.follows) for part in trace.parts),
                fall_m=fall,
                fall_by=by,
                trial=is_trial(job, site.ring, trace),
                inside=trace.spec.inset.of if trace.spec.inset is not None else "",
                shortest_m=trace.spec.shortest_m,
            )
        )
    return tuple(runs)
