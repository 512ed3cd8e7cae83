"""The sheets of one drawing: a single one with its details, or an index and tiles with match lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from palewright.draw.board import Board
from palewright.draw.details import Crowd, Detail, detailed
from palewright.draw.notes import Notes
from palewright.draw.sheets import Choice, Draft, alignments, boards_for, index_draft, match_lines, occupy_heading
from palewright.draw.words import Words
from palewright.model import Plan

__all__ = ["drafts_of"]


def drafts_of(
    plan: Plan,
    words: Words,
    notes: Notes,
    choice: Choice,
    first: int,
    kind: str,
    alt: str,
    draw: Callable[[Board], None],
    name: Callable[[Board, Sequence[Detail]], None],
    crowds: Sequence[Crowd],
    gaps: tuple[float, float],
) -> list[Draft]:
    """Drafts of ``kind``, which is also the key of their name; ``first`` is the number of the first sheet.

    draw, name
        put lines on a board, and afterwards words; both are used for the details too.
    crowds, gaps
        as :func:`detailed` takes them.
    """
    title, tile = words(kind), first + choice.tiled
    drafts = [index_draft(plan, words, notes, choice, tile, title)] if choice.tiled else []
    groups = [[board] for board in boards_for(choice, notes)] if choice.tiled else [alignments(choice, notes)]
    for k, boards in enumerate(groups):

        def lines(board: Board, k: int = k) -> None:
            occupy_heading(board, notes)
            draw(board)
            if choice.tiled:
                match_lines(board, k, choice, tile, words)

        def again(inner: Board) -> None:
            draw(inner)
            name(inner, ())
            inner.labels.settle()

        board, details = detailed(boards, lines, again, crowds, plan, gaps)
        name(board, details)
        part = words("tile", name=title, part=k + 1, parts=len(groups)) if choice.tiled else title
        drafts.append(Draft(board, choice.layout, choice.scale, part, kind, notes, alt, plan.settings.north))
    return drafts
