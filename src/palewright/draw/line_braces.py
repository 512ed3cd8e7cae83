"""Braced assemblies of runs of wire from the side, one of each sort: posts and holes, rails, diagonals, the pull."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from palewright.draw.board import LABEL_MM, NOTE_MM, Board
from palewright.draw.fonts import text_width
from palewright.draw.frame import layout_of
from palewright.draw.notes import Notes, plan_notes
from palewright.draw.palette import BLACK, GREY, PAPER
from palewright.draw.place import HARD
from palewright.draw.scene import View
from palewright.draw.sheets import Draft
from palewright.draw.view import Field, Scale, scales
from palewright.draw.words import Words, short
from palewright.layout.line_sizes import post_depth, post_length, post_width, post_words
from palewright.model import Assembly, LinePlan, LinePost, Plan, WireRules

__all__ = ["brace_drafts"]

XY = tuple[float, float]
_FOOT_M = 0.1016
"""From the ground to the wire round the foot of a pulled post [m]: 4 in (common practice)."""
_SIDE_MM, _GAP_MM = 24.0, 10.0
_OVER_MM, _UNDER_MM = 19.0, 11.0
_ARROW_MM = 9.0
_HOLE_DASH = (1.2, 0.8)
_MOST_NAMED = 6
_SMALLEST = 125.0
"""No smaller scale is taken only to save a sheet."""
_TITLES = {
    "end": "braces_end",
    "corner": "braces_corner",
    "anchor": "braces_anchor",
    "gate": "braces_gate",
    "pull": "braces_pull_assembly",
}
_BRACES = {"single": "braces_single", "double": "braces_double"}


class _Sort(NamedTuple):
    """Assemblies that look alike: one of them, its posts from left to right and what it is called; all labels."""

    one: Assembly
    posts: tuple[LinePost, ...]
    labels: list[str]

    @property
    def wide_m(self) -> float:
        """From its first post to its last [m]."""
        return self.posts[-1].station_m - self.posts[0].station_m


def brace_drafts(plan: Plan, words: Words) -> list[Draft]:
    """Sheets with one assembly of each sort that every run of wire has, at a true scale."""
    drafts: list[Draft] = []
    for line in plan.lines:
        sorts = _sorts(line)
        if sorts:
            drafts += _sheets(plan, line, sorts, words)
    return drafts


def _sorts(line: LinePlan) -> list[_Sort]:
    """One assembly of each sort or its mirror image, in walking order; those without a diagonal are not drawn."""
    every = {post.label: post for one in line.assemblies for post in one.posts}
    found: dict[object, _Sort] = {}
    for one in line.assemblies:
        names = dict.fromkeys((*(post.label for post in one.posts), *itertools.chain(*one.diagonals)))
        posts = tuple(sorted((every[name] for name in names if name in every), key=lambda post: post.station_m))
        at = {post.label: k for k, post in enumerate(posts)}
        if not one.diagonals or posts[-1].station_m - posts[0].station_m > line.length_m / 2.0:
            continue  # without any, or across the start of a closed run
        last, roles = len(posts) - 1, tuple(post.role for post in posts)
        pattern = sorted((at[foot], at[head]) for foot, head in one.diagonals)
        mirrored = sorted((last - foot, last - head) for foot, head in pattern)
        sign = (one.role, one.brace, *min((roles, tuple(pattern)), (roles[::-1], tuple(mirrored))))
        found.setdefault(sign, _Sort(one, posts, [])).labels.append(one.label)
    return list(found.values())


def _sheets(plan: Plan, line: LinePlan, sorts: Sequence[_Sort], words: Words) -> list[Draft]:
    notes = _notes(plan, line, words)
    layout = layout_of(plan.settings.paper, False, notes)
    room, widest = layout.field.width - 2 * _SIDE_MM, max(one.wide_m for one in sorts)
    fits = [s for s in scales(plan.settings.print_style) if widest * 1000.0 / s.denominator <= room]
    fits = fits[:1] + [s for s in fits[1:2] if s.denominator <= _SMALLEST]
    paged = [(s, list(_pages(sorts, line.rules, layout.field, s, words))) for s in fits]
    scale, pages = min(paged, key=lambda one: len(one[1]))
    drafts = []
    for cells in pages:
        board = Board(layout.field, View(scale.denominator, (0.0, 0.0), 0.0, (0.0, 0.0), scale.words))
        for sort, foot in cells:
            _draw(board, line.rules, sort, foot, words)
        name = words("braces", run=short(line.run, 20))
        alt = words("alt_braces", run=short(line.run), title=plan.settings.title, scale=scale.words)
        drafts.append(Draft(board, layout, scale, name, "elevation", notes, alt, None))
    return drafts


def _notes(plan: Plan, line: LinePlan, words: Words) -> Notes:
    notes, rules = plan_notes(plan, words, "elevation", runs=[]), line.rules
    below = rules.number("rail below top")
    said = (
        words("braces_key"),
        words("braces_rail", rail=rules.word("rail"), below=words.inches(below)),
        words("braces_posts", **{role: post_words(rules, role) for role in ("pulled", "brace", "gate")}),
        words("braces_strength"),
    )
    return replace(notes, notes=(*said, *notes.notes), trial="")


def _title(sort: _Sort, words: Words) -> list[str]:
    """What a sort is, how it is braced, and which ones are like it."""
    labels = sort.labels
    named = ", ".join(labels) if len(labels) <= _MOST_NAMED else f"{labels[0]} ... {labels[-1]} ({len(labels):,})"
    return [words(_TITLES[sort.one.role], brace=words(_BRACES[sort.one.brace])), named]


def _wide(sort: _Sort, scale: Scale, words: Words) -> float:
    """Room that a sort takes along the page, its title and its pull among it [mm]."""
    text = max(text_width(line, LABEL_MM, "bold") for line in _title(sort, words))
    return max(sort.wide_m * 1000.0 / scale.denominator + 2 * _SIDE_MM, text + _GAP_MM)


def _pages(
    sorts: Sequence[_Sort], rules: WireRules, field: Field, scale: Scale, words: Words
) -> Iterator[list[tuple[_Sort, XY]]]:
    """Sorts row by row, with the foot of the first post of each at the ground [mm]; a list for each sheet."""
    k = 1000.0 / scale.denominator
    up = max(post_length(rules, role) - post_depth(rules, role) for role in ("brace", "end")) * k + _OVER_MM
    down = max(post_depth(rules, role) for role in ("brace", "end")) * k + _UNDER_MM
    page: list[tuple[_Sort, XY]] = []
    x, y = field.left, field.top + up
    for sort in sorts:
        wide = _wide(sort, scale, words)
        if x > field.left and x + wide > field.right:
            x, y = field.left, y + up + down
        if page and y + down > field.bottom:
            yield page
            page, x, y = [], field.left, field.top + up
        page.append((sort, (x + (wide - sort.wide_m * k) / 2, y)))
        x += wide
    yield page


def _draw(board: Board, rules: WireRules, sort: _Sort, foot: XY, words: Words) -> None:
    """One assembly over its ground line; ``foot``: its first post at the ground [mm]."""
    k, start = board.view.mm_per_m, sort.posts[0].station_m
    at = {post.label: foot[0] + (post.station_m - start) * k for post in sort.posts}
    tops = {
        post.label: foot[1] - (post_length(rules, post.role) - post_depth(rules, post.role)) * k for post in sort.posts
    }
    ground = ((foot[0] - _SIDE_MM / 2, foot[1]), (foot[0] + sort.wide_m * k + _SIDE_MM / 2, foot[1]))
    board.chain(ground, "ground", stroke_mm=0.6, weight=40.0)
    _rails(board, rules, sort, at, tops)
    for post in sort.posts:
        _post(board, rules, post, (at[post.label], foot[1]), tops[post.label])
    for low, high in sort.one.diagonals:
        head = tops[high] + rules.number("rail below top") * k
        board.chain(((at[low], foot[1] - _FOOT_M * k), (at[high], head)), "fence", stroke_mm=0.25, weight=HARD)
    _pulls(board, sort, at, foot[1] - 0.3 * (foot[1] - min(tops.values())), words)
    middle = (foot[0] + sort.wide_m * k / 2, min(tops.values()) - 9.0)
    for row, text in enumerate(_title(sort, words)):
        board.write(
            text,
            (middle[0], middle[1] - 4.4 * (1 - row)),
            LABEL_MM if row == 0 else NOTE_MM,
            "middle",
            weight="bold" if row == 0 else "regular",
            role="title",
        )
    _measures(board, rules, sort, at, (foot[1], min(tops.values())), words)


def _rails(board: Board, rules: WireRules, sort: _Sort, at: dict[str, float], tops: dict[str, float]) -> None:
    """A rail between the two posts of every diagonal, just below their heads."""
    k = board.view.mm_per_m
    thick, below = max(0.1016 * k, 0.9), rules.number("rail below top") * k
    for a, b in dict.fromkeys(tuple(sorted(pair, key=lambda name: at[name])) for pair in sort.one.diagonals):
        y = max(tops[a], tops[b]) + below
        ring = ((at[a], y - thick / 2), (at[b], y - thick / 2), (at[b], y + thick / 2), (at[a], y + thick / 2))
        board.area(ring, "post", fill=PAPER, stroke_mm=0.25)


def _post(board: Board, rules: WireRules, post: LinePost, foot: XY, top: float) -> None:
    """A post, its part in the ground and its hole; those that are pulled are drawn heavy."""
    k = board.view.mm_per_m
    half, hole, deep = (
        post_width(rules, post.role) * k / 2,
        rules.number("hole") * k / 2,
        post_depth(rules, post.role) * k,
    )
    x, y = foot
    board.chain(((x - hole, y), (x - hole, y + deep), (x + hole, y + deep), (x + hole, y)), "hole", stroke_mm=0.25,
                dash=_HOLE_DASH, colour=GREY)  # fmt: skip
    for low, high, dash in ((y + deep, y, _HOLE_DASH), (y, top, ())):
        ring = ((x - half, low), (x + half, low), (x + half, high), (x - half, high))
        heavy = 0.25 if post.role == "brace" else 0.6
        board.area(ring, "post", fill="" if dash else PAPER, stroke_mm=0.2 if dash else heavy, dash=dash, colour=BLACK)
    board.write(post.label, (x, top - 1.2), LABEL_MM, "middle", weight="bold", role="post-label", id=post.label)


def _pulls(board: Board, sort: _Sort, at: dict[str, float], y: float, words: Words) -> None:
    """An arrow on each side to which wire is pulled: from the foot of a diagonal to its head and beyond."""
    ways = {math.copysign(1.0, at[head] - at[foot]) for foot, head in sort.one.diagonals}
    ends = {-1.0: min(at.values()), 1.0: max(at.values())}
    for way in sorted(ways):
        x = ends[way] + way * 2.5
        tip = x + way * _ARROW_MM
        board.chain(((x, y), (tip, y)), "dimension", stroke_mm=0.35, weight=60.0)
        board.chain(((tip - way * 2.0, y - 1.0), (tip, y), (tip - way * 2.0, y + 1.0)), "dimension", stroke_mm=0.35)
        board.write(
            words("braces_pull"), ((x + tip) / 2, y - 1.4), NOTE_MM, "middle", layer="dimension", role="dimension"
        )


def _measures(board: Board, rules: WireRules, sort: _Sort, at: dict[str, float], level: XY, words: Words) -> None:
    """Lengths from post to post over the ground, and beside the first post its height and depth."""
    (ground, _), k = level, board.view.mm_per_m
    for a, b in zip(sort.posts, sort.posts[1:], strict=False):
        text = words.length(b.station_m - a.station_m)
        board.write(text, ((at[a.label] + at[b.label]) / 2, ground + 3.6), NOTE_MM, "middle", layer="dimension",
                    role="dimension")  # fmt: skip
    first = sort.posts[0]
    deep = post_depth(rules, first.role)
    up = post_length(rules, first.role) - deep
    x = at[first.label] - rules.number("hole") * k / 2 - 1.2
    board.write(words.length(deep), (x, ground + deep * k - 1.0), NOTE_MM, "end", layer="dimension", role="dimension")
    board.write(words.length(up), (x, ground - up * k + 3.0), NOTE_MM, "end", layer="dimension", role="dimension")
