"""A pool barrier besides the rules of its place: figures that stand in for them, and walls that are part of it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from typing import TYPE_CHECKING

from palewright.model import Design, Job, Kind, Post, Remark, Rule, RunSpec, Site
from palewright.permit.fence import Fence
from palewright.permit.lot import lot_of
from palewright.permit.pool import judge_pool
from palewright.plane import segment_distance

if TYPE_CHECKING:
    from palewright.permit.fence import Heights

__all__ = ["pool_default", "pool_rules", "pool_walls"]

_SOURCE = "ISPSC 305 (from memory)"

_HEIGHT_M = 1.2192
_GAP_SOIL_M, _GAP_SOLID_M = 0.0508, 0.1016
"""48 in high outside; 2 in of room over soil, 4 in over a solid surface [m]: CPSC, Safety Barrier Guidelines for
Residential Pools, and ISPSC 305 (from memory)."""

_SILL_M = 1.2192
"""Windows with sills lower than 48 in above the floor inside count like doors [m]: ISPSC 2015, 305.4."""

_AT_WALL_M = 0.3048
"""A barrier that ends within 1 ft of a building is taken to end at its wall [m] (our own choice)."""


def pool_rules(job: Job) -> tuple[Rule, ...]:
    """The rule that stands in for a pool barrier where a job has no rules; empty where it has, or has no barrier."""
    pools = [pool for pool in job.lot.pools if pool.barrier]
    if job.rules is not None or job.rules_file or not pools:
        return ()
    gap = _GAP_SOLID_M if all(pool.surface == "solid" for pool in pools) else _GAP_SOIL_M
    return (Rule("pool barrier", "pool", "305", _SOURCE, "", (("height", _HEIGHT_M), ("gap", gap))),)


def pool_default(
    job: Job, site: Site, design: Design, kinds: Mapping[str, Kind], heights: Heights | None
) -> list[Remark]:
    """That published figures stood in for rules, and every run of the barrier that does not keep them."""
    remarks: list[Remark] = []
    for rule in pool_rules(job):
        limits = (("height_m", rule.length("height") or 0.0), ("gap_m", rule.length("gap") or 0.0))
        pools = [pool for pool in job.lot.pools if pool.barrier]
        runs = ", ".join(dict.fromkeys(run for pool in pools for run in pool.barrier))
        args = (("runs", runs), *limits, ("source", rule.source))
        remarks.append(Remark("pool-figures-assumed", "assumption", "pool", args, pools[0].at))
        for finding in judge_pool(rule, Fence(design, kinds, job.lot.fences, heights), lot_of(job, site), (), {}):
            low = finding.measure.startswith("barrier")
            slug = "pool-barrier-low" if low else "pool-gap-large"
            if finding.verdict == "ask":
                slug = "pool-gap-not-known"
            if finding.verdict != "meets":
                found = (("found_m", float(finding.provided or 0.0)), ("allowed_m", float(finding.required or 0.0)))
                remarks.append(
                    Remark(slug, "caution", f"run {finding.run}", (("run", finding.run), *found), pools[0].at)
                )
    return remarks


def pool_walls(job: Job, site: Site, design: Design) -> list[Remark]:
    """For each pool whose barrier ends at a building: its wall is part of the barrier, its doors and windows count."""
    walls = [wall for _, path in site.buildings for wall in itertools.pairwise((*path, path[0]))]
    remarks = []
    for pool in job.lot.pools:
        at = [
            (run.name, post.label)
            for run in job.runs
            if run.name in pool.barrier and not run.closed
            for said, post in _ends(run, design)
            if said or any(segment_distance(post.xy, *wall) <= _AT_WALL_M for wall in walls)
        ]
        if at:
            runs, posts = (", ".join(dict.fromkeys(names)) for names in zip(*at, strict=True))
            args = (("runs", runs), ("posts", posts), ("sill_m", _SILL_M), ("source", "ispsc-wall"))
            remarks.append(Remark("pool-wall", "caution", "pool", args, pool.at))
    return remarks


def _ends(run: RunSpec, design: Design) -> list[tuple[bool, Post]]:
    """Whether a run is said to end at a wall, and its post there, for both its ends; none of a run of wire."""
    legs = [leg for leg in design.legs if leg.run == run.name]
    if not legs:
        return []
    posts = {post.label: post for post in design.posts}
    walls = {end.point for end in run.ends if end.how != "post"}
    names = (run.through[0].name, run.through[-1].name) if run.through else ("", "")
    two = (posts[legs[0].posts[0]], posts[legs[-1].posts[-1]])
    return [(not post.number or name in walls, post) for name, post in zip(names, two, strict=True)]
