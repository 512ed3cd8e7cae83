"""Between which lengths a bay fits."""

from __future__ import annotations

import math

from palewright.model import Plan, Run
from palewright.record import Record

__all__ = ["BayLimits", "bay_limits", "fitting", "gap_limit", "half_mark", "verdict"]

_HAIR_M = 1e-6
_THIRD = 3.0
"""A bay below a third of the full one is a sliver where bays are divided (common practice)."""


class BayLimits(Record):
    """The shortest and the longest level length of one bay, centre to centre [m].

    panel
        what is cut to the bay: "panel" where the fence has panels of a module, else "rails".
    """

    shortest_m: float
    longest_m: float
    panel: str


def bay_limits(plan: Plan) -> dict[int, BayLimits]:
    """The limits of every bay that is no gate, by its number.

    A panel has to reach from post to post: what is clear between them and one line post is no longer than its module.
    Bays on known ground are measured along the slope of their bottom, so their level limits are shorter by as much as
    the bay is. A run's own shortest bay goes before that of its fence. A bay that was planned outside a limit, because
    both its posts are fixed or it was given, keeps to what was planned. Source: the rules of the fence; geometry.
    """
    kinds = {kind.name: kind for kind in plan.kinds}
    own = {run.name: run.shortest_m for run in plan.design.runs}
    along = {met.bay: met.along_m for meeting in plan.design.meetings for met in meeting.bays if met.known}
    found = {}
    for bay in plan.design.bays:
        if bay.kind == "gate":
            continue
        kind = kinds[bay.fence]
        full = min(kind.longest_m, kind.module_m or kind.longest_m)
        level = bay.length_m / max(along.get(bay.number, bay.length_m), bay.length_m)
        more = bay.length_m - bay.clear_m - kind.post("line").width_m if kind.module_m is not None else 0.0
        least = own.get(bay.run)
        shortest = level * (max(kind.shortest_m, full / _THIRD) if least is None else least) + more
        found[bay.number] = BayLimits(
            min(shortest, bay.length_m), max(full * level + more, bay.length_m), "panel" if kind.module_m else "rails"
        )
    return found


def half_mark(mark: float) -> float:
    """What is no difference between two lengths that are read and printed in marks [m]: half a mark, and a hair."""
    return mark / 2.0 + _HAIR_M


def verdict(limits: BayLimits, built_m: float, mark: float) -> tuple[str, float]:
    """("fits", 0), ("too-long", by how much) or ("too-short", by how much [m]).

    mark
        from mark to mark of the tape [m], > 0: past a limit by no more than half of one fits.
    """
    if built_m > limits.longest_m + half_mark(mark):
        return "too-long", built_m - limits.longest_m
    if built_m < limits.shortest_m - half_mark(mark):
        return "too-short", limits.shortest_m - built_m
    return "fits", 0.0


def fitting(limits: BayLimits, planned_m: float, mark: float) -> tuple[int, int]:
    """By how many whole marks a bay may differ from its planned length and fit as :func:`verdict` says: from, to."""
    slack = half_mark(mark)
    least, most = limits.shortest_m - slack - planned_m, limits.longest_m + slack - planned_m
    return math.ceil(least / mark), math.floor(most / mark)


def gap_limit(plan: Plan, run: Run) -> tuple[float, str]:
    """The most room below a run [m], and whose word that is: "rule" as typed, else "planned" by its fence."""
    findings = plan.permit.findings if plan.permit is not None else ()
    limits = [
        float(one.required)
        for one in findings
        if one.measure in ("gap-under", "gap-on-ground")
        and one.run == run.name
        and isinstance(one.required, int | float)
    ]
    if limits:
        return min(limits), "rule"
    return next(kind.bottom_gap_m for kind in plan.kinds if kind.name == run.fence), "planned"
