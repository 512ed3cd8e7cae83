"""Boards and rails, and post-and-rail."""

from __future__ import annotations

import math

from palewright.model import Kind
from palewright.supply.counts import (
    boards_lapped,
    boards_solid,
    boards_spaced,
    cut_from_stock,
    rows_of_boards,
    whole_bays_from_stock,
)
from palewright.supply.draft import Draft, Piece, bay_numbers, code_of, feet, inches, number, word
from palewright.tables import Section, section

__all__ = ["take_boards", "take_rails"]

_NAILS = 500.0
_SCREWS = 100.0
_WHOLE_BAYS = "joints on post centres: each length takes as many whole bays as fit"
_ENDS_IN_BAYS = "at both ends of every rail in every bay"


def take_boards(draft: Draft, kind: Kind, pieces: list[Piece]) -> None:
    """Boards, rails, cap board and fasteners of a fence of boards."""
    size = section("lumber", word(kind, "board size"))
    if kind.pattern == "horizontal":
        _horizontal(draft, kind, pieces, size)
    else:
        boards = _vertical(draft, kind, pieces, size)
        _rails(draft, kind, pieces)
        nails = boards * kind.rails * int(number(kind, "nails per crossing"))
        _nails(draft, pieces, nails, "wherever a board crosses a rail")
    _cap_board(draft, kind, pieces)


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
        f"{size.name} x {feet(stock)} ft",
        count,
        "boards",
        waste=number(kind, "board waste"),
        per=float(per),
        bays=bay_numbers(pieces),
        rule=rule,
        source="geometry",
        note="several boards are cut from one length" if per > 1 else "",
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


def _between(kind: Kind) -> bool:
    return word(kind, "rail mount") == "between posts"


def _rails(draft: Draft, kind: Kind, pieces: list[Piece]) -> None:
    size = section("lumber", word(kind, "rail size"))
    rails, stock = kind.rails, kind.rail_stock_m
    bays = sum(len(piece.bays) for piece in pieces)
    if _between(kind):
        row = cut_from_stock([bay.clear_m for piece in pieces for bay in piece.bays], stock)
        rule = "rails cut to the clear bay, longest first"
    else:
        row = sum(whole_bays_from_stock([bay.length_m for bay in piece.bays], stock) for piece in pieces)
        rule = _WHOLE_BAYS
    draft.add(
        f"rail.{code_of(size.name)}.{feet(stock)}ft",
        "rail",
        f"{size.name} x {feet(stock)} ft",
        rails * row,
        "rails",
        bays=bay_numbers(pieces),
        rule=rule,
        source="geometry",
    )
    screws = int(number(kind, "screws per rail end"))
    draft.add(
        "screw.rail.3in",
        "rail-screw",
        "3 in",
        bays * rails * 2 * screws,
        "fasteners",
        per=_SCREWS,
        buy_unit="box of 100",
        bays=bay_numbers(pieces),
        rule=_ENDS_IN_BAYS,
    )
    if _between(kind):
        draft.add(
            f"hanger.{code_of(size.name)}",
            "rail-hanger",
            size.name,
            bays * rails * 2,
            "fasteners",
            bays=bay_numbers(pieces),
            rule="one at each end of every rail in every bay",
        )


def _nails(draft: Draft, pieces: list[Piece], count: int, rule: str) -> None:
    draft.add(
        "nail.board.2in",
        "board-nail",
        "2 in",
        count,
        "fasteners",
        waste=0.05,
        per=_NAILS,
        buy_unit="box of 500",
        bays=bay_numbers(pieces),
        rule=rule,
        source="from memory",
    )


def _horizontal(draft: Draft, kind: Kind, pieces: list[Piece], size: Section) -> None:
    rows = rows_of_boards(kind.infill_m, size.width_m, kind.board_gap_m)
    typed = number(kind, "board stock")
    longest = max((bay.length_m for piece in pieces for bay in piece.bays), default=0.0)
    stock = typed or _stock_for(size, longest)
    row = sum(whole_bays_from_stock([bay.length_m for bay in piece.bays], stock) for piece in pieces)
    bays = sum(len(piece.bays) for piece in pieces)
    draft.add(
        f"board.{code_of(size.name)}.{feet(stock)}ft",
        "board",
        f"{size.name} x {feet(stock)} ft",
        rows * row,
        "boards",
        waste=number(kind, "board waste"),
        bays=bay_numbers(pieces),
        rule=_WHOLE_BAYS,
        source="geometry",
    )
    over = rows * size.width_m + (rows - 1) * kind.board_gap_m - kind.infill_m
    if over > 1e-6 and pieces:
        draft.remark("top-row-ripped", "note", f"fence {kind.name}", rows=rows, width_m=size.width_m - over)
    nails = int(number(kind, "nails per crossing"))
    _nails(draft, pieces, rows * bays * 2 * nails, "at both ends of every board in every bay")


def _stock_for(size: Section, longest: float) -> float:
    """The stock that wastes least over whole bays of this length; the longest bay where nothing on offer is enough."""
    fitting = [stock for stock in size.stocks_m if stock >= longest - 1e-6]
    if not fitting:
        return math.ceil(longest / 0.3048 - 1e-9) * 0.3048
    return min(fitting, key=lambda stock: (round(stock / max(1, math.floor(stock / longest + 1e-9)), 6), stock))


def _cap_board(draft: Draft, kind: Kind, pieces: list[Piece]) -> None:
    name = word(kind, "cap board")
    if not name:
        return
    size = section("lumber", name)
    longest = max((bay.length_m for piece in pieces for bay in piece.bays), default=0.0)
    stock = _stock_for(size, longest)
    count = sum(whole_bays_from_stock([bay.length_m for bay in piece.bays], stock) for piece in pieces)
    draft.add(
        f"board.{code_of(name)}.{feet(stock)}ft",
        "cap-board",
        f"{name} x {feet(stock)} ft",
        count,
        "boards",
        bays=bay_numbers(pieces),
        rule=_WHOLE_BAYS,
        source="geometry",
    )


def take_rails(draft: Draft, kind: Kind, pieces: list[Piece]) -> None:
    """Rails of post-and-rail: mortised rails serve one bay each; rails on the face break on post centres."""
    stock, rails = kind.rail_stock_m, kind.rails
    bays = sum(len(piece.bays) for piece in pieces)
    if word(kind, "rail mount") == "mortised":
        code, what, count = f"rail.split.{feet(stock)}ft", "split-rail", rails * bays
        rule, source = "every rail serves one bay, its ends lapped in the mortises", "split"
    else:
        row = sum(whole_bays_from_stock([bay.length_m for bay in piece.bays], stock) for piece in pieces)
        size = f"{inches(number(kind, 'rail thickness'))}x{inches(number(kind, 'rail depth'))}in"
        code, what, count = f"rail.{size}.{feet(stock)}ft", "fence-board", rails * row
        rule, source = _WHOLE_BAYS, "geometry"
    draft.add(code, what, f"{feet(stock)} ft", count, "rails", bays=bay_numbers(pieces), rule=rule, source=source)
    if word(kind, "rail mount") == "on face":
        draft.add(
            "screw.rail.3in", "rail-screw", "3 in", bays * rails * 4, "fasteners", per=_SCREWS, buy_unit="box of 100",
            bays=bay_numbers(pieces), rule=_ENDS_IN_BAYS,
        )  # fmt: skip
