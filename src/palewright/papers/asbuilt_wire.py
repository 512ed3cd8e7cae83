"""Runs of wire on the as-built sheet: stretches, braced posts and their holes."""

from __future__ import annotations

from palewright.asbuilt import expected_on_tape, mark_m
from palewright.model import AsBuilt, BuiltWirePosts
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet

__all__ = ["wire_lines"]

_HAIR_M = 1e-6


def wire_lines(sheet: Sheet, built: AsBuilt, only_open: bool = False) -> list[str]:
    """What was entered of each run of wire, in sentences; ``only_open``: of what is open or too shallow."""
    said = [
        sheet("asbuilt.wire", run=short(run, 40), done=done, count=count)
        for run, done, count in built.wire
        if not only_open or done < count
    ]
    for posts in built.wire_posts:
        if not only_open or posts.done < posts.count:
            said.append(sheet("asbuilt.wire_posts", run=short(posts.run, 40), done=posts.done, count=posts.count))
        said += _holes(sheet, posts, only_open)
    return said


def _holes(sheet: Sheet, posts: BuiltWirePosts, only_open: bool) -> list[str]:
    """Measured holes, those that are not deep enough first and by themselves."""
    show = sheet.measures
    run = short(posts.run, 40)
    mark = mark_m(sheet.plan.settings)
    shallow = [one for one in posts.depths if one[1] < expected_on_tape(one[2], mark) * mark - _HAIR_M]
    good = [one for one in posts.depths if one not in shallow]
    said = [
        sheet("asbuilt.wire_shallow", run=run, post=label, depth=show.inches(deep), needed=show.inches(needed))
        for label, deep, needed in shallow
    ]
    if good and not only_open:
        which = ", ".join(f"{label} {show.inches(deep)}" for label, deep, _ in good)
        said.append(sheet("asbuilt.wire_holes", run=run, which=which))
    return said
