"""The fence plan: property, buildings, zones, fence, posts, gates, dimensions."""

from __future__ import annotations

from palewright.draw.board import Board
from palewright.draw.dims import draw_dimensions
from palewright.draw.fence import (
    Look,
    draw_fence,
    draw_holes,
    draw_posts,
    label_posts,
    mark_sides,
    mark_yard,
    name_gates,
    name_runs,
)
from palewright.draw.notes import plan_notes
from palewright.draw.scene import Scene
from palewright.draw.sheets import Draft, boards_for, choose, finish, index_draft, match_lines, occupy_heading
from palewright.draw.site import draw_site, name_site
from palewright.draw.words import Words
from palewright.model import Plan

__all__ = ["draw_plan", "plan_drafts", "plan_sheets"]


def draw_plan(board: Board, plan: Plan, words: Words, look: Look | None = None) -> None:
    """Everything of the plan on one board: what must not be covered first, then labels, the most needed first."""
    look = look or Look()
    draw_site(board, plan)
    draw_holes(board, plan)
    draw_fence(board, plan, look)
    draw_posts(board, plan, look)
    mark_sides(board, plan)
    draw_dimensions(board, plan, words)
    label_posts(board, plan)
    name_runs(board, plan, words)
    name_gates(board, plan, words)
    name_site(board, plan, words)
    mark_yard(board, plan, words)


def plan_drafts(plan: Plan, words: Words, first: int = 1) -> list[Draft]:
    """The plan on one board, or on tiles after an index."""
    notes = plan_notes(plan, words, "plan")
    choice = choose(plan, notes)
    if choice.cropped and plan.site.ring is not None:
        notes = plan_notes(plan, words, "plan", [words("cropped_note")])
        choice = choose(plan, notes)
    boards = boards_for(choice, notes)
    drafts = []
    tile = first
    if choice.tiled:
        drafts.append(index_draft(plan, words, notes, choice, first + 1, words("plan")))
        tile = first + 1
    alt = words(
        "alt_plan",
        title=plan.settings.title,
        scale=choice.scale.words,
        posts=sum(1 for post in plan.design.posts if post.number),
        gates=len(plan.design.gates),
        length=words.length(sum(run.length_m for run in plan.design.runs)),
    )
    for k, board in enumerate(boards):
        occupy_heading(board, notes)
        if choice.tiled:
            match_lines(board, k, choice, tile, words)
        draw_plan(board, plan, words)
        name = words("plan")
        if choice.tiled:
            name = words("tile", name=name, part=k + 1, parts=len(boards))
        drafts.append(Draft(board, choice.layout, choice.scale, name, "plan", notes, alt, plan.settings.north))
    return drafts


def plan_sheets(plan: Plan, first: int = 1, total: int = 0) -> list[Scene]:
    """The fence plan at a true scale: one sheet, or an index and tiles with match lines.

    first, total
        number of the first sheet and of all sheets; 0: these are all.
    """
    words = Words(plan.settings)
    return finish(plan_drafts(plan, words, first), plan, words, first, total)
