"""Boards and rails, and post-and-rail."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.model import Kind, Post
from palewright.supply.counts import boards_lapped, boards_solid, boards_spaced, rows_of_boards
from palewright.supply.cutlist import BOARD_NAILS, RAIL_SCREWS, CutList, Fastener, Stock
from palewright.supply.draft import Draft, Piece, bay_numbers, code_of, feet, feet_words, inches, number, word
from palewright.tables import Section, section

__all__ = ["screws", "take_boards", "take_rails"]

_NAILS = 500
_SCREWS = 100
_ON_POSTS = "joints on post centres, outer post face to outer post face; see the cutting list"
_CENTRES = "joints on post centres, first post centre to last; see the cutting list"
_BETWEEN = "cut to the clear bay; see the cutting list"


def take_boards(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece], posts: Sequence[Post]) -> None:
    """Boards, rails, cap board and fasteners of a fence of boards."""
    size = section("lumber", word(kind, "board size"))
    if word(kind, "rail mount") == "on face" or kind.pattern == "horizontal":
        _wider_posts(draft, kind, pieces, posts)
    if kind.pattern == "horizontal":
        _horizontal(draft, cuts, kind, pieces, size)
    else:
        boards = _vertical(draft, cuts, kind, pieces, size)
        _rails(draft, cuts, kind, pieces)
        draft.add(
            "nail.board.2in", "board-nail", "2 in", boards * kind.rails * int(number(kind, "nails per crossing")),
            "fasteners", waste=0.05, per=float(_NAILS), buy_unit=f"box of {_NAILS}", bays=bay_numbers(pieces),
            rule=BOARD_NAILS, source="from memory",
        )  # fmt: skip
    _cap_board(cuts, kind, pieces)


def _vertical(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece], size: Section) -> int:
    counted, rule = _COUNTS[kind.pattern]
    counts = [counted(kind, piece) for piece in pieces]
    total = sum(sum(each) for each in counts)
    count = total - _level_top(draft, cuts, kind, list(zip(pieces, counts, strict=True)), size)
    typed = number(kind, "board stock")
    stock = typed or next((length for length in size.stocks_m if length >= kind.infill_m - 1e-6), 0.0)
    if not stock:
        stock = math.ceil(kind.infill_m / 0.3048 - 1e-9) * 0.3048
        draft.remark("board-no-stock", "caution", f"fence {kind.name}", length_m=kind.infill_m, size=size.name)
    per = max(1, math.floor(stock / kind.infill_m + 1e-9))
    draft.add(
        f"board.{code_of(size.name)}.{feet(stock)}ft",
        "board",
        f"{size.name} x {feet_words(stock)}",
        count,
        "boards",
        waste=number(kind, "board waste"),
        per=float(per),
        bays=bay_numbers(pieces),
        rule=rule,
        source="geometry",
        note="several boards are cut from one length, the saw cut out of their own" if per > 1 else "",
    )
    return total


def _level_top(draft: Draft, cuts: CutList, kind: Kind, pieces: list[tuple[Piece, list[int]]], size: Section) -> int:
    """Boards of level tops onto the cutting list, each as long as its place asks; how many there are."""
    if all(piece.profile is None for piece, _ in pieces):
        return 0
    from palewright.supply.slopes import board_lengths, take_level_boards

    boards = [board for piece, counts in pieces for board in board_lengths(piece, kind, counts)]
    typed = number(kind, "board stock")
    stock = Stock(
        f"board.{code_of(size.name)}", "board", size.name, "boards", (typed,) if typed else size.stocks_m,
        number(kind, "board waste"), "from the ground to the level top, each its own length; see the cutting list",
    )  # fmt: skip
    take_level_boards(draft, cuts, kind, stock, boards)
    return len(boards)


def _solid(kind: Kind, piece: Piece) -> list[int]:
    return [boards_solid(piece.face_m, kind.board_width_m)]


def _spaced(kind: Kind, piece: Piece) -> list[int]:
    return [boards_spaced(piece.face_m, kind.board_width_m, kind.board_gap_m)[0]]


def _on_board(kind: Kind, piece: Piece) -> list[int]:
    return [boards_lapped(piece.face_m, kind.board_width_m, kind.board_overlap_m)]


def _both_sides(kind: Kind, piece: Piece) -> list[int]:
    return [boards_lapped(bay.clear_m, kind.board_width_m, kind.board_overlap_m) for bay in piece.bays]


_COUNTS = {
    "solid": (_solid, "outer post faces / width of a board, rounded up for each straight piece"),
    "spaced": (
        _spaced,
        "(outer post faces + gap) / (board + gap), rounded up for each straight piece: no gap wider than asked",
    ),
    "board on board": (
        _on_board,
        "(outer post faces - board) / (board - overlap) + 1, rounded up for each straight piece",
    ),
    "both sides": (
        _both_sides,
        "(clear bay - board) / (board - overlap) + 1, rounded up for each bay: both sides together",
    ),
}
"""By pattern: boards of a piece, over its whole face or bay by bay, and how they are counted."""


def _wider_posts(draft: Draft, kind: Kind, pieces: list[Piece], posts: Sequence[Post]) -> None:
    """Posts stand in line by their centres: where one is deeper than the line posts, rails on the face meet it."""
    mine = {bay.start for piece in pieces for bay in piece.bays} | {bay.end for piece in pieces for bay in piece.bays}
    line = kind.post("line").depth_m
    wider: dict[float, list[str]] = {}
    for post in posts:
        if post.number and post.label in mine and post.depth_m > line + 1e-6:
            wider.setdefault(round((post.depth_m - line) / 2, 6), []).append(post.label)
    for by, found in wider.items():
        about = f"fence {kind.name}"
        draft.remark("rail-at-wider-post", "caution", about, posts=", ".join(found), by_m=by, count=len(found))


def screws(each: int) -> Fastener:
    """Screws through every end of a rail and where it passes a post."""
    return Fastener("screw.rail.3in", "rail-screw", "3 in", each, _SCREWS, 0.05, RAIL_SCREWS, "common practice")


def _rails(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece]) -> None:
    size = section("lumber", word(kind, "rail size"))
    between = word(kind, "rail mount") == "between posts"
    offered = (kind.rail_stock_m,) if kind.rail_stock_m else size.stocks_m
    code = f"rail.{code_of(size.name)}"
    rule = _BETWEEN if between else _ON_POSTS if _outer(kind) else _CENTRES
    stock = Stock(code, "rail", size.name, "rails", offered, 0.0, rule)
    screws_ = screws(int(number(kind, "screws per rail end")))
    for piece in pieces:
        if between:
            for bay, along in zip(piece.bays, piece.rails_m, strict=True):
                cuts.row(stock, [bay.clear_m * along / bay.length_m], [bay], kind.rails, screws_)
        else:
            cuts.over(piece, stock, kind.rails, screws_, _outer(kind))
    if between:
        draft.add(
            f"hanger.{code_of(size.name)}", "rail-hanger", size.name,
            sum(len(piece.bays) for piece in pieces) * kind.rails * 2, "fasteners", bays=bay_numbers(pieces),
            rule="one at each end of every rail in every bay",
        )  # fmt: skip


def _outer(kind: Kind) -> bool:
    return word(kind, "rail ends") != "post centre"


def _horizontal(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece], size: Section) -> None:
    rows = rows_of_boards(kind.infill_m, size.width_m, kind.board_gap_m)
    typed = number(kind, "board stock")
    offered = (typed,) if typed else size.stocks_m
    code = f"board.{code_of(size.name)}"
    stock = Stock(code, "board", size.name, "boards", offered, number(kind, "board waste"), _ON_POSTS)
    nails = Fastener(
        "nail.board.2in", "board-nail", "2 in", int(number(kind, "nails per crossing")), _NAILS, 0.05,
        "at every end of a board and where a board passes a post", "from memory",
    )  # fmt: skip
    for piece in pieces:
        cuts.over(piece, stock, rows, nails)
        if piece.profile is not None:
            from palewright.supply.slopes import extra_rows

            for i, more in extra_rows(piece, kind, size.width_m, rows):
                cuts.row(stock, [piece.bays[i].length_m], [piece.bays[i]], more, nails)
    over = rows * size.width_m + (rows - 1) * kind.board_gap_m - kind.infill_m
    if over > 1e-6 and pieces:
        draft.remark("top-row-ripped", "note", f"fence {kind.name}", rows=rows, width_m=size.width_m - over)


def _cap_board(cuts: CutList, kind: Kind, pieces: list[Piece]) -> None:
    name = word(kind, "cap board")
    if not name:
        return
    size = section("lumber", name)
    stock = Stock(f"board.{code_of(name)}", "cap-board", name, "boards", size.stocks_m, 0.0, _ON_POSTS)
    for piece in pieces:
        cuts.over(piece, stock, 1, beyond_m=size.width_m / 2)


def take_rails(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece], posts: Sequence[Post]) -> None:
    """Rails of post-and-rail: through mortises, or on the face of the posts with joints on post centres."""
    if word(kind, "rail mount") == "mortised":
        _mortised(draft, cuts, kind, pieces)
        return
    _wider_posts(draft, kind, pieces, posts)
    thick, deep = inches(number(kind, "rail thickness")), inches(number(kind, "rail depth"))
    code, size = f"rail.{thick}x{deep}in", f"{thick} x {deep} in"
    rule = _ON_POSTS if _outer(kind) else _CENTRES
    stock = Stock(code, "fence-board", size, "rails", (kind.rail_stock_m,), 0.0, rule)
    for piece in pieces:
        cuts.over(piece, stock, kind.rails, screws(2), _outer(kind))


def _mortised(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece]) -> None:
    """Every rail from the far face of one post to the far face of the next, the ends side by side in the mortises."""
    bought = kind.rail_stock_m
    rule = "one bay and the posts at both its ends, rail ends side by side in the mortises; see the cutting list"
    note = "a rail cut from a longer one is pointed again"
    stock = Stock("rail.split", "split-rail", "", "rails", (bought,), 0.0, rule, "split", note)
    tight: list[tuple[int, float]] = []
    for bay, along in ((bay, along) for piece in pieces for bay, along in zip(piece.bays, piece.rails_m, strict=True)):
        through = along + (bay.length_m - bay.clear_m) * along / bay.length_m
        cuts.row(stock, [min(through, max(bought, along))], [bay], kind.rails)
        if along <= bought < through - 1e-6:
            tight.append((bay.number, bought - along))
    if tight:
        draft.remark(
            "rail-laps-less", "caution", f"fence {kind.name}", bays=", ".join(str(bay) for bay, _ in tight),
            stock_m=bought, lap_m=min(lap for _, lap in tight),
        )  # fmt: skip
