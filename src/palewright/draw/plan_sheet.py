"""The fence plan: property, buildings, zones, fence, posts, gates, dimensions."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.draw.board import Board
from palewright.draw.details import Detail, name_details
from palewright.draw.dims import draw_dimensions, short_stretches
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
from palewright.draw.line import draw_lines
from palewright.draw.line_names import name_lines
from palewright.draw.notes import plan_notes
from palewright.draw.offsets import draw_offsets, name_offsets
from palewright.draw.scene import Scene
from palewright.draw.sheet_drafts import drafts_of
from palewright.draw.sheets import Draft, choose, finish
from palewright.draw.site import draw_site, name_site
from palewright.draw.web import draw_web, name_web, thin_web, within
from palewright.draw.words import Words
from palewright.model import Plan

__all__ = ["draw_plan", "plan_drafts", "plan_sheets"]


def draw_plan(board: Board, plan: Plan, words: Words, look: Look | None = None) -> None:
    """Everything of the plan on one board: what must not be covered first, then labels, the most needed first."""
    _draw(board, plan, words, look or Look())
    _name(board, plan, words)


def _draw(board: Board, plan: Plan, words: Words, look: Look) -> None:
    draw_site(board, plan)
    draw_web(board, plan, words)
    draw_holes(board, plan)
    draw_fence(board, plan, look)
    draw_lines(board, plan, look.light)
    draw_posts(board, plan, look)
    mark_sides(board, plan)


def _name(board: Board, plan: Plan, words: Words, details: Sequence[Detail] = ()) -> None:
    draw_dimensions(board, plan, words)
    thin_web(board)
    arrows = draw_offsets(board, plan, words) if board.only is None else []
    label_posts(board, plan)
    name_lines(board, plan, words)
    name_details(board, details, words)
    if board.only is None:
        name_offsets(board, arrows)
        name_runs(board, plan, words)
    name_gates(board, plan, words)
    if board.only is None:
        known = within(plan, words)
        name_site(board, plan, words, within=known)
        mark_yard(board, plan, words)
        name_web(board, plan, known)


def plan_drafts(plan: Plan, words: Words, first: int = 1) -> list[Draft]:
    """The plan on one board, or on tiles after an index."""
    notes = plan_notes(plan, words, "plan")
    choice = choose(plan, notes)
    if choice.cropped and plan.site.ring is not None:
        notes = plan_notes(plan, words, "plan", [words("cropped_note")])
        choice = choose(plan, notes)
    alt = words(
        "alt_plan",
        title=plan.settings.title,
        scale=choice.scale.words,
        posts=sum(1 for post in plan.design.posts if post.number),
        gates=len(plan.design.gates),
        length=words.length(sum(run.length_m for run in plan.design.runs)),
    )

    def draw(board: Board) -> None:
        _draw(board, plan, words, Look())

    def name(board: Board, details: Sequence[Detail]) -> None:
        _name(board, plan, words, details)

    crowds = short_stretches(plan, words, 1000.0 / choice.scale.denominator)
    return drafts_of(plan, words, notes, choice, first, "plan", alt, draw, name, crowds, (4.5, 13.0))


def plan_sheets(plan: Plan, first: int = 1, total: int = 0) -> list[Scene]:
    """The fence plan at a true scale: one sheet, or an index and tiles with match lines.

    first, total
        number of the first sheet and of all sheets; 0: these are all.
    """
    words = Words(plan.settings)
    return finish(plan_drafts(plan, words, first), plan, words, first, total)
