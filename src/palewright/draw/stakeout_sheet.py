"""The stake-out plan: strings on their stakes, crossings and what the tapes read there; then the proving tapes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.draw.board import Board
from palewright.draw.details import Crowd, Detail, name_details
from palewright.draw.fence import Look, draw_fence, draw_holes, draw_posts, label_posts
from palewright.draw.notes import plan_notes
from palewright.draw.scene import Scene
from palewright.draw.sheet_drafts import drafts_of
from palewright.draw.sheets import Draft, choose, finish
from palewright.draw.site import draw_site, name_site
from palewright.draw.string_marks import draw_strings, name_crossing, name_stakes, name_string, name_zero
from palewright.draw.tape_sheet import tape_drafts
from palewright.draw.words import Words
from palewright.model import Plan
from palewright.plane import along

__all__ = ["stakeout_drafts", "stakeout_sheets"]

XY = tuple[float, float]

_CLOSE_MM = 3.0
_NEAR_M = 2.5


def _draw(board: Board, plan: Plan) -> None:
    draw_site(board, plan, light=True)
    draw_holes(board, plan, outlines=False)
    draw_fence(board, plan, Look(light=True))
    draw_posts(board, plan, Look(light=True))
    draw_strings(board, plan)


def _name(board: Board, plan: Plan, words: Words, details: Sequence[Detail] = ()) -> None:
    label_posts(board, plan, outside=all(string.side == "yard" for string in plan.stakeout.strings))
    name_stakes(board, plan)
    for crossing in plan.stakeout.crossings:
        name_crossing(board, crossing, plan.stakeout.strings, words)
    for string in plan.stakeout.strings:
        if string.zero != "crossing":
            name_zero(board, string, words)
        name_string(board, string, words)
    name_details(board, details, words)
    name_site(board, plan, words, light=True)


def _crowds(plan: Plan, mm_per_m: float) -> list[Crowd]:
    """Round each crossing whose strings run close by the posts on the page: post, stakes, corner, some yard."""
    posts = {post.label: post.xy for post in plan.design.posts}
    strings = {string.name: string for string in plan.stakeout.strings}
    corners = [corner.xy for corner in plan.site.ring.corners] if plan.site.ring is not None else []
    found = []
    for crossing in plan.stakeout.crossings:
        two = [strings[name] for name in crossing.strings]
        if max(string.offset_m for string in two) * mm_per_m < _CLOSE_MM:
            p, q = crossing.xy, posts[crossing.post]
            marks = [p, q, *(stake.xy for string in two for stake in string.stakes), *corners]
            yard = along(q, p, 2.2 * math.dist(p, q)) if math.dist(p, q) > 0.01 else p
            found.append(Crowd(tuple(m for m in marks if math.dist(m, p) < _NEAR_M), (yard,)))
    return found


def stakeout_drafts(plan: Plan, words: Words, first: int = 1) -> list[Draft]:
    """The stake-out on one board or on tiles, then the tapes that prove it; none without a string."""
    if not plan.stakeout.strings:
        return []
    notes = plan_notes(plan, words, "stakeout")
    choice = choose(plan, notes, strings=True, close=True)
    title, strings = plan.settings.title, len(plan.stakeout.strings)
    alt = words("alt_stakeout", title=title, strings=strings, scale=choice.scale.words)

    def draw(board: Board) -> None:
        _draw(board, plan)

    def name(board: Board, details: Sequence[Detail]) -> None:
        _name(board, plan, words, details)

    crowds = _crowds(plan, 1000.0 / choice.scale.denominator)
    drafts = drafts_of(plan, words, notes, choice, first, "stakeout", alt, draw, name, crowds, (1.5, 12.0))
    return [*drafts, *tape_drafts(plan, words)]


def stakeout_sheets(plan: Plan, first: int = 1, total: int = 0) -> list[Scene]:
    """The stake-out plan at a true scale: strings, stakes, crossings with their readings; then the tapes that prove it.

    first, total
        number of the first sheet and of all sheets; 0: these are all. No sheet where there is no string.
    """
    words = Words(plan.settings)
    return finish(stakeout_drafts(plan, words, first), plan, words, first, total)
