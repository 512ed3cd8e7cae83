"""A pool barrier in a job without rules of its place: published figures stand in, and say so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from palewright.model import Design, Job, Kind, Remark, Rule, Site
from palewright.permit.fence import Fence
from palewright.permit.lot import lot_of
from palewright.permit.pool import judge_pool

if TYPE_CHECKING:
    from palewright.permit.fence import Heights

__all__ = ["pool_default", "pool_rules"]

_SOURCE = "ISPSC 305 (from memory)"

_HEIGHT_M = 1.2192
_GAP_SOIL_M, _GAP_SOLID_M = 0.0508, 0.1016
"""48 in high outside; 2 in of room over soil, 4 in over a solid surface [m]: CPSC, Safety Barrier Guidelines for
Residential Pools, and ISPSC 305 (from memory)."""


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
