"""The box "Old fence" of the crew sheets: what is pulled, what stays, and where its posts and holes lie."""

from __future__ import annotations

from typing import Any

from palewright.model import Removal
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.words import say

__all__ = ["old_fences"]

_SAID = ("old-posts-beside", "old-post-in-zone")


def old_fences(sheet: Sheet) -> list[dict[str, Any]]:
    """One entry for each old fence: what to do, and what to know of it."""
    return [_old_fence(sheet, removal) for removal in sheet.plan.site.removals]


def _old_fence(sheet: Sheet, removal: Removal) -> dict[str, Any]:
    across = sheet.measures.inches(removal.footing_m)
    footing = sheet("crew.old_footings", across=across) if removal.footing_m else sheet("crew.old_no_footings")
    do = sheet(
        "crew.old_pull" if removal.then == "pull" else "crew.old_leave",
        name=short(removal.name, 40),
        length=sheet.measures.length(removal.length_m),
        posts=len(removal.posts),
        footing=footing,
    )
    mine = [
        remark
        for remark in sheet.plan.stakeout.remarks
        if remark.slug in _SAID and dict(remark.args).get("fence") == removal.name
    ]
    lines = [say(remark, sheet.plan.settings) for remark in sorted(mine, key=lambda remark: _SAID.index(remark.slug))]
    return {"do": do, "lines": [*lines, *_new_holes(sheet, removal)]}


def _new_holes(sheet: Sheet, removal: Removal) -> list[str]:
    """New holes that fall in an old one."""
    labels = [
        post.label
        for post in sheet.plan.design.posts
        if post.hole is not None
        and any(hit.clear_m < 0.0 and hit.zone.startswith(f"{removal.name}, old footing ") for hit in post.hole.hits)
    ]
    if not labels:
        return []
    return [sheet("crew.old_holes_one" if len(labels) == 1 else "crew.old_holes", posts=ranges(labels))]
