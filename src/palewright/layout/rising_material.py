"""What a material cannot do on a slope: fabric ends at terminal posts, panels and fabric come in one height."""

from __future__ import annotations

import itertools

from palewright.errors import Problem
from palewright.layout.meeting_rules import Met
from palewright.layout.rising_records import Line
from palewright.layout.say import Say
from palewright.model import Remark

__all__ = ["material_problems", "mesh_remarks"]

GRADE = 0.15
"""15 ft in 100 ft: a change of grade beyond it takes a terminal post (a leaflet for home chain link), and fabric on
ground steeper than it is cut on the bias (common practice: from 15 to 20 %)."""

CUT_M = 0.0127
"""A panel or fabric may be this much too short for its place: half an inch of gap more (common practice)."""

_SAME = 1e-6


def material_problems(line: Line, met: Met, say: Say) -> list[Problem]:
    """A level top of what is made in one height: only boards are cut to the ground one by one."""
    spec, kind = line.trace.spec, line.trace.kind
    if kind.family not in ("panels", "chain link"):
        return []
    level = [mode == "level-top" for mode in met.modes]
    room = (met.tops_m - met.bottoms_m).max(1)[level]
    if not len(room) or room.max() <= kind.infill_m + CUT_M:
        return []
    worst = int(room.argmax())
    bay = [bay for bay, asked in zip(line.bays, level, strict=True) if asked][worst]
    return [
        Problem(
            "level-top-not-cut",
            f"run {spec.name} would need {kind.family} of different heights under its level top",
            where=spec.at,
            found=f"{say.m(float(room[worst]))} from the ground's gap to the top, posts {bay.start} to {bay.end}",
            allowed=f"{say.m(kind.infill_m)}, the height of the {kind.kind}",
            hint="`follows: stepped`, which sets terminals where it must step, or `grade`; or boards"
            if kind.family == "chain link"
            else "`follows: stepped` or `racked`, `top changes at` more points, or boards",
        )
    ]


def mesh_remarks(line: Line, met: Met) -> list[Remark]:
    """Terminals at steps, line posts where the grade changes much, and bays whose fabric is cut on the bias.

    Source: ASTM F567, terminal posts at abrupt changes of line or grade.
    """
    if line.trace.kind.family != "chain link":
        return []
    spec = line.trace.spec
    about, run = f"run {spec.name}", ("run", spec.name)
    rises = (met.bottoms_m[:, 1] - met.bottoms_m[:, 0]).tolist()
    slopes = [rise / bay.length_m for rise, bay in zip(rises, line.bays, strict=True)]
    remarks = []
    ends = [post.label for post in line.posts if post.role == "change" and post.why == "step"]
    if ends:
        args = (run, ("posts", ", ".join(ends)), ("count", len(ends)))
        remarks.append(Remark("mesh-terminals", "caution", about, args, spec.at))
    changes = [abs(b - a) for a, b in itertools.pairwise(slopes)]
    inner = zip(line.posts[1:-1], changes, strict=True)
    sharp = {post.label: change for post, change in inner if change > GRADE + _SAME and post.role == "line"}
    if sharp:
        args = (run, ("posts", ", ".join(sharp)), ("percent", round(100 * max(sharp.values()))))
        remarks.append(Remark("mesh-grade-changes", "caution", about, args, spec.at))
    steep = [
        f"{bay.start}-{bay.end}" for bay, slope in zip(line.bays, slopes, strict=True) if abs(slope) > GRADE + _SAME
    ]
    if steep:
        args = (run, ("bays", ", ".join(steep)), ("percent", round(100 * max(map(abs, slopes)))))
        remarks.append(Remark("mesh-on-bias", "note", about, args, spec.at))
    return remarks
