"""From a finished design to a sheet by which a crew sets strings and marks holes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.model import Design, Job, Reason, Remark, Site, Stakeout, StringLine
from palewright.stakeout.arcs import arc_reasons
from palewright.stakeout.checks import corner_checks, crossings
from palewright.stakeout.expecting import expectations
from palewright.stakeout.lines import build_lines
from palewright.stakeout.old_fences import old_fences
from palewright.stakeout.places import wall_remarks
from palewright.stakeout.stakes import Ground
from palewright.stakeout.strings import make_strings
from palewright.stakeout.ties import ties

if TYPE_CHECKING:
    from palewright.survey import Adjustment

__all__ = ["stake_out"]


def stake_out(job: Job, site: Site, design: Design, adjustment: Adjustment | None = None) -> Stakeout:
    """Strings, stakes, readings, crossings, corner checks and ties of a design.

    job
        for its tape [m] and its ``stakes``: offset of the strings, how far beyond the corners stakes stand, tolerance.
    site
        boundary, zones, buildings and things that stand. design: finished; posts, legs and runs agree.
    adjustment
        of what was measured: says what the figures of ties and corner checks are worth. None: nothing was.

    Strings run on the yard side (unless a run says "out"), one for legs in one straight line, and one for the bays of a
    curve, beside its long chord or a tangent of it. Readings start where
    strings cross, at a wall, or square off an end post, and are never negative. A stake's ``beyond_m`` counts from that
    crossing (without one: from the point square off the end post); at a wall it is 0 and no stake is driven.
    Raises nothing of its own. Source: geometry; sizes of stakes and order of work are common practice.
    """
    remarks: list[Remark] = []
    reasons: list[Reason] = []
    ground = Ground(job, site, design)
    lines = build_lines(job, site, design, ground)
    strings = make_strings(job, lines, ground, remarks)
    reasons += arc_reasons(strings)
    made = crossings(lines, reasons)
    checks = corner_checks(job, site, lines, strings, made, ground, remarks, reasons)
    proofs = ties(job, site, lines, ground, remarks)
    proofs, checks = expectations(job, site, lines, proofs, checks, adjustment, reasons)
    remarks.extend(wall_remarks(job, site, lines, strings))
    old_fences(site, lines, strings, remarks)
    return Stakeout(
        strings=tuple(strings),
        crossings=tuple(made),
        checks=tuple(checks),
        ties=tuple(proofs),
        order=_order(site, design, strings, bool(checks), any(tie.why != "tie" for tie in proofs)),
        mark_diameter_m=_mark_diameters(job, design),
        remarks=tuple(remarks),
        reasons=tuple(reasons),
    )


def _order(site: Site, design: Design, strings: list[StringLine], corners: bool, tapes: bool) -> tuple[str, ...]:
    """Order of work: ends and corners, then gates, then line posts; holes before the tapes between them (common
    practice). An old fence goes after the pins beside it are found and before a tape is stretched."""
    order = ["locate", "points"]
    order += ["remove"] if site.removals else []
    order += ["corners"]
    order += ["stakes", "strings"] if strings else []
    order += ["square"] if corners else []
    order += ["zero"] if strings else []
    order += ["gates"] if design.gates else []
    order += ["marks"]
    order += ["diagonals"] if tapes else []
    return (*order, "check", "paint", "dig")


def _mark_diameters(job: Job, design: Design) -> tuple[tuple[str, float], ...]:
    """By role, the mark to paint: hole plus a margin, so that its rim is still seen while digging [m]."""
    widest: dict[str, float] = {}
    for post in design.posts:
        if post.hole is not None:
            widest[post.role] = max(widest.get(post.role, 0.0), post.hole.diameter_m)
    return tuple((role, diameter + job.stakes.mark_extra_m) for role, diameter in widest.items())
