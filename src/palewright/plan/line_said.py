"""What must be said of a line of wire: posts in zones, those moved out of them, the inset it keeps, its top wire."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from palewright.boundary import ring_sides
from palewright.errors import JobError, Problem
from palewright.layout.line import NAMES, LineArrays
from palewright.layout.line_posts import post_table
from palewright.layout.line_sizes import post_depth, post_length, post_width, stock_m
from palewright.layout.line_zones import named_posts, reach_of
from palewright.layout.say import Say
from palewright.model import InsetSpec, LinePlan, Remark, RunSpec, Site, WireRules
from palewright.plane import inside_sides
from palewright.survey import nearest_sides

__all__ = ["ground_said", "inset_said", "rail_said", "top_said", "zones_said"]

_SLACK = 1e-6
_RAIL_SHORT_M, _RAIL_LONG_M = 0.6096, 0.3048
"""A rail goes from face to face, so it may be shorter than its brace; a foot more is cut off (our own choice)."""


def zones_said(line: LinePlan) -> list[Remark]:
    """Posts that were moved clear of a zone, and posts that stand in one, by stretch and number."""
    about = f"run {line.run}"
    said = []
    for zone in dict.fromkeys(move.zone for move in line.moves):
        moved = [move for move in line.moves if move.zone == zone]
        args = (("run", line.run), ("zone", zone), ("posts", named_posts(line, moved)), ("count", len(moved)))
        said.append(Remark("line-posts-moved", "caution", about, args))
    for zone, kind in dict.fromkeys((post.zone, post.kind) for post in line.in_zones):
        here = [post for post in line.in_zones if post.zone == zone]
        args = (("run", line.run), ("zone", zone), ("posts", named_posts(line, here)), ("count", len(here)))
        slug = "line-posts-hand-dig" if kind == "hand dig" else "line-posts-in-zone"
        said.append(Remark(slug, "caution", about, args))
    return said


def ground_said(line: LinePlan) -> list[Remark]:
    """Stretches that lie on ground which no height reaches, for each such piece of ground."""
    said = []
    for gap in line.profile.unknown if line.profile is not None else ():
        on = [one for one in line.stretches if one.from_m < gap.to_m - _SLACK and one.to_m > gap.from_m + _SLACK]
        if on:
            where = (("from_m", gap.from_m), ("to_m", gap.to_m), ("start", on[0].start), ("end", on[-1].end))
            args = (("run", line.run), *where, ("count", len(on)), ("first", on[0].number), ("last", on[-1].number))
            said.append(Remark("line-ground-unknown", "ask", f"run {line.run}", args))
    return said


def inset_said(run: RunSpec, line: LineArrays, plan: LinePlan, site: Site, say: Say) -> list[Remark]:
    """How far inside the boundary the nearest post of a run stands, of one that asks for it.

    Measured from the face of every post, or from the edge of its hole where the inset is that of the footing; of the
    face of the fence, posts count. Raises JobError where the inset asked for is not kept.
    """
    if site.ring is None or (run.inset is None and not run.sides):
        return []
    inset = run.inset or InsetSpec("face", 0.0)
    table = post_table(line, plan.rules, moves=plan.moves)
    xy = np.column_stack([table["x_m"], table["y_m"]])
    sides = ring_sides(site.ring)
    found = nearest_sides(xy, sides)
    far = np.where([inside_sides((x, y), sides) for x, y in xy.tolist()], found.far, -found.far)
    far -= reach_of(table["role"], plan.rules) if inset.of == "footing" else _half_widths(table["role"], plan.rules)
    k = int(far.argmin())
    least, side = float(far[k]), int(found.side[k]) + 1
    if least < inset.distance_m - _SLACK:
        raise JobError(
            Problem("inset-too-small", f"run {run.name} comes nearer to side {side} of the boundary than its inset "
                    f"{say.m(float(table['station_m'][k]))} from its start", inset.at if inset.at.line else run.at,
                    found=f"{inset.of} at {say.m(least)}" if least >= 0.0 else f"{inset.of} {say.m(-least)} outside",
                    allowed=f"at least {say.m(inset.distance_m)}",
                    hint=f"the smallest move is {say.m(inset.distance_m - least)} away from side {side}, square to it")
        )  # fmt: skip
    args = (("run", run.name), ("what", inset.of), ("least_m", max(least, 0.0)), ("side", side),
            ("asked_m", inset.distance_m), ("station_m", float(table["station_m"][k])))  # fmt: skip
    return [Remark("line-inset", "note", f"run {run.name}", args, run.at)]


def _half_widths(role: NDArray[Any], rules: WireRules) -> NDArray[np.float64]:
    """Half the width of each post [m]."""
    return np.array([post_width(rules, name) for name in NAMES]).take(role) / 2.0


def rail_said(rules: WireRules, run: str) -> list[Remark]:
    """Where rails are not as long as braces are wide: from one document the rail, from another the brace."""
    span = rules.number("span")
    rail = stock_m(rules.word("rail")) if rules.word("brace") in ("single", "double", "by pull") else span
    if span - _RAIL_SHORT_M <= rail <= span + _RAIL_LONG_M:
        return []
    return [Remark("line-rail-span", "caution", f"run {run}", (("run", run), ("rail_m", rail), ("span_m", span)))]


def top_said(rules: WireRules, run: str) -> list[Remark]:
    """Whether the top wire comes up to the least height that a document asks for."""
    least = rules.rule("top least")
    if least is None or isinstance(least.value, str):
        return []
    about = f"run {run}"
    args = (("run", run), ("least_m", least.value), ("source", least.source))
    heights = rules.rule("heights")
    top = max(heights.row) if heights is not None and heights.row else rules.number("mesh")
    stands = post_length(rules, "wood") - post_depth(rules, "wood")
    if stands < least.value - _SLACK:
        return [Remark("line-top-post-short", "caution", about, (*args, ("top_m", stands)))]
    if top >= least.value - _SLACK:
        return [Remark("line-top-kept", "note", about, (*args, ("top_m", top)))]
    if heights is not None or not rules.number("strands"):
        return [Remark("line-top-low", "caution", about, (*args, ("top_m", top)))]
    return [Remark("line-top-ask", "ask", about, args)]
