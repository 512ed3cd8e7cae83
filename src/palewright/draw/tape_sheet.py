"""Sheets of the tapes that prove a stake-out: few enough on each that every tape can be told from its neighbours."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Sequence

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.fence import Look, draw_fence, draw_posts, label_posts
from palewright.draw.notes import plan_notes
from palewright.draw.sheets import Choice, Draft, boards_for, closest, occupy_heading
from palewright.draw.site import draw_site, name_site
from palewright.draw.string_marks import draw_strings, name_stakes, name_string, ring_spots
from palewright.draw.tapes import Tape, all_tapes, draw_lines, draw_numbers, places
from palewright.draw.view import scales
from palewright.draw.words import Words, short
from palewright.model import Plan

__all__ = ["tape_drafts"]

_SECTION = 9
"""Sections of the table share a sheet up to so many tapes."""

_FEW = 3
"""So many without room go to the next sheet; more get their own."""

_MOST = 24
_SHORT_MM = 12.0


def tape_drafts(plan: Plan, words: Words) -> list[Draft]:
    """The sheets of the tapes; none where there is nothing to tape."""
    tapes = all_tapes(plan, words)
    groups: list[list[Tape]] = []
    for _, section in itertools.groupby(tapes, key=lambda tape: tape.kind):
        listed = list(section)
        if groups and len(groups[-1]) + len(listed) <= _SECTION:
            groups[-1] += listed
        else:
            groups.append(listed)
    drafts: list[Draft] = []
    while groups:
        group = groups.pop(0)
        draft, parts = _try(plan, group, words)
        if len(parts) == 1:
            drafts.append(draft)
        elif len(parts) == 2 and len(parts[1]) <= _FEW and groups:
            groups = [parts[0], sorted([*parts[1], *groups[0]], key=lambda tape: int(tape.row.number)), *groups[1:]]
        else:
            groups = [*parts, *groups]
    for k, draft in enumerate(drafts if len(drafts) > 1 else []):
        draft.name = words("tile", name=draft.name, part=k + 1, parts=len(drafts))
    return drafts


def _try(plan: Plan, tapes: list[Tape], words: Words) -> tuple[Draft, list[list[Tape]]]:
    """A sheet of these tapes, and the smaller groups to draw instead of it where they are too many for one."""
    marks = {"tie" if tape.corner is None else "check" for tape in tapes}
    marks |= {"string"} if "check" in marks else set()
    notes = plan_notes(plan, words, "checks", table=tuple(tape.row for tape in tapes), marks=marks)
    points = [p for tape in tapes for p in (*tape.line, tape.corner or tape.line[0])]
    choice, fits = closest(plan, notes, points)
    (board,) = boards_for(choice, notes)
    occupy_heading(board, notes)
    crowded = _draw(board, plan, tapes, words)
    title, scale = plan.settings.title, choice.scale.words
    alt = words("alt_checks", title=title, scale=scale, tapes=len(tapes))
    draft = Draft(board, choice.layout, choice.scale, words("checks"), "checks", notes, alt, plan.settings.north)
    return draft, _parts(tapes, crowded, choice, fits, plan.settings.print_style)


def _parts(tapes: list[Tape], crowded: list[Tape], choice: Choice, fits: bool, style: str) -> list[list[Tape]]:
    """The tapes as they are, or in groups: near and far where the scale is small, else by kind, else by room."""
    k = 1000.0 / choice.scale.denominator
    largest = scales(style)[0].denominator
    small = choice.scale.denominator > largest and statistics.median(math.dist(*t.line) for t in tapes) * k < _SHORT_MM
    if len(tapes) > 1 and (small or not fits or len(tapes) > _MOST):
        extent = choice.extents[0]
        axis = 0 if extent.width >= extent.height else 1
        ordered = sorted(tapes, key=lambda tape: tape.line[0][axis] + tape.line[1][axis])
        near = set(map(id, ordered[: len(tapes) // 2]))
        return [[t for t in tapes if id(t) in near], [t for t in tapes if id(t) not in near]]
    if not crowded or len(tapes) == 1:
        return [tapes]
    if len(crowded) <= _FEW:
        return [[tape for tape in tapes if tape is not crowded[-1]], [crowded[-1]]]
    kinds = [list(group) for _, group in itertools.groupby(tapes, key=lambda tape: tape.kind)]
    if len(kinds) > 1:
        return kinds
    half = len(tapes) // 2 if len(crowded) == len(tapes) else 0
    first = tapes[:half] or [tape for tape in tapes if tape not in crowded]
    return [first, [tape for tape in tapes if tape not in first]]


def _draw(board: Board, plan: Plan, tapes: Sequence[Tape], words: Words) -> list[Tape]:
    """The tapes over a light fence; with strings and stakes where there are triangles. Returns those without room."""
    draw_site(board, plan, light=True)
    triangles = any(tape.corner is not None for tape in tapes)
    draw_lines(board, tapes)
    draw_fence(board, plan, Look(light=True))
    draw_posts(board, plan, Look(light=True))
    if triangles:
        draw_strings(board, plan)
    named = dict.fromkeys(name for tape in tapes for name in tape.names)
    label_posts(board, plan, named)
    found, labels = places(plan), {post.label for post in plan.design.posts}
    ring = plan.site.ring
    labels |= {corner.name for corner in ring.corners} if ring is not None else set()
    labels |= {point.name for point in plan.site.points if point.how == "thing"}
    for name in named:
        if name not in labels:
            p = board.at(found[name])
            half, rise = board.block([short(name)], NOTE_MM)
            board.label([short(name)], p, ring_spots(p, half, rise), role="thing", id=name)
    if triangles:
        name_stakes(board, plan)
        for string in plan.stakeout.strings:
            name_string(board, string, words)
    crowded = draw_numbers(board, tapes)
    name_site(board, plan, words, light=True)
    return crowded
