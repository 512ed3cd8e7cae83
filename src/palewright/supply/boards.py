"""Boards and rails, and post-and-rail."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.model import Kind, Post
from palewright.supply.counts import boards_lapped, boards_solid, boards_spaced, rows_of_boards
from palewright.supply.cutlist import BOARD_NAILS, RAIL_SCREWS, CutList, Fastener, Stock
from palewright.supply.draft import Draft, Piece, bay_numbers, code_of, feet, feet_words, inches, number, word
from palewright.tables import Section, section

__all__ = ["take_boards", "take_rails"]

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
        boards = _vertical(draft, kind, pieces, size)
        _rails(draft, cuts, kind, pieces)
        draft.add(
            "nail.board.2in", "board-nail", "2 in", boards * kind.rails * int(number(kind, "nails per crossing")),
            "fasteners", waste=0.05, per=float(_NAILS), buy_unit=f"box of {_NAILS}", bays=bay_numbers(pieces),
            rule=BOARD_NAILS, source="from memory",
        )  # fmt: skip
    _cap_board(cuts, kind, pieces)


def _vertical(draft: Draft, kind: Kind, pieces: list[Piece], size: Section) -> int:
    count, rule = _COUNTS[kind.pattern](kind, pieces)
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
    return count


def _solid(kind: Kind, pieces: list[Piece]) -> tuple[int, str]:
    width = kind.board_width_m
    count = sum(boards_solid(piece.face_m, width) for piece in pieces)
    return count, "outer post faces / width of a board, rounded up for each straight piece"


def _spaced(kind: Kind, pieces: list[Piece]) -> tuple[int, str]:
    width, gap = kind.board_width_m, kind.board_gap_m
    count = sum(boards_spaced(piece.face_m, width, gap)[0] for piece in pieces)
    return (
        count,
        "(outer post faces + gap) / (board + gap), rounded up for each straight piece: no gap wider than asked",
    )


def _on_board(kind: Kind, pieces: list[Piece]) -> tuple[int, str]:
    width, overlap = kind.board_width_m, kind.board_overlap_m
    count = sum(boards_lapped(piece.face_m, width, overlap) for piece in pieces)
    return count, "(outer post faces - board) / (board - overlap) + 1, rounded up for each straight piece"


def _both_sides(kind: Kind, pieces: list[Piece]) -> tuple[int, str]:
    width, overlap = kind.board_width_m, kind.board_overlap_m
    count = sum(boards_lapped(bay.clear_m, width, overlap) for piece in pieces for bay in piece.bays)
    return count, "(clear bay - board) / (board - overlap) + 1, rounded up for each bay: both sides together"


_COUNTS = {"solid": _solid, "spaced": _spaced, "board on board": _on_board, "both sides": _both_sides}


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


def _screws(each: int) -> Fastener:
    return Fastener("screw.rail.3in", "rail-screw", "3 in", each, _SCREWS, 0.05, RAIL_SCREWS, "common practice")


def _rails(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece]) -> None:
    size = section("lumber", word(kind, "rail size"))
    between = word(kind, "rail mount") == "between posts"
    offered = (kind.rail_stock_m,) if kind.rail_stock_m else size.stocks_m
    code = f"rail.{code_of(size.name)}"
    rule = _BETWEEN if between else _ON_POSTS if _outer(kind) else _CENTRES
    stock = Stock(code, "rail", size.name, "rails", offered, 0.0, rule)
    screws = _screws(int(number(kind, "screws per rail end")))
    for piece in pieces:
        if between:
            for bay in piece.bays:
                cuts.row(stock, [bay.clear_m], [bay], kind.rails, screws)
        else:
            cuts.row(stock, cuts.over_posts(piece, stock, _outer(kind)), piece.bays, kind.rails, screws)
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
        cuts.row(stock, cuts.over_posts(piece, stock), piece.bays, rows, nails)
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
        cuts.row(stock, cuts.over_posts(piece, stock, beyond_m=size.width_m / 2), piece.bays, 1)


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
        cuts.row(stock, cuts.over_posts(piece, stock, _outer(kind)), piece.bays, kind.rails, _screws(2))


def _mortised(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece]) -> None:
    """Every rail from the far face of one post to the far face of the next, the ends side by side in the mortises."""
    bought = kind.rail_stock_m
    rule = "one bay and the posts at both its ends, rail ends side by side in the mortises; see the cutting list"
    note = "a rail cut from a longer one is pointed again"
    stock = Stock("rail.split", "split-rail", "", "rails", (bought,), 0.0, rule, "split", note)
    bays = [bay for piece in pieces for bay in piece.bays]
    for bay in bays:
        through = 2 * bay.length_m - bay.clear_m
        cuts.row(stock, [min(through, max(bought, bay.length_m))], [bay], kind.rails)
    tight = [bay for bay in bays if bay.length_m <= bought < 2 * bay.length_m - bay.clear_m - 1e-6]
    if tight:
        least = min(bought - bay.length_m for bay in tight)
        draft.remark(
            "rail-laps-less", "caution", f"fence {kind.name}", bays=", ".join(str(bay.number) for bay in tight),
            stock_m=bought, lap_m=least,
        )  # fmt: skip
