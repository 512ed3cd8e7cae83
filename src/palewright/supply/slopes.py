"""Pieces of fence on ground that is not level: boards cut to it one by one, and what closes the room below a bay."""

from __future__ import annotations

from collections import Counter

import numpy as np

from palewright.layout import cut_to_ground, ground_at, under_bay
from palewright.model import Bay, Kind
from palewright.supply.counts import rows_of_boards
from palewright.supply.cutlist import CutList, Fastener, Stock
from palewright.supply.draft import Draft, Piece, code_of, number, word
from palewright.tables import section

__all__ = ["board_lengths", "close_below", "extra_rows", "take_level_boards"]

_TAPE_M = 0.0254
"""Boards that are cut to the ground in place are listed by whole inches, rounded up (common practice)."""

_KICK = "2x6"
_LONG_M = 0.3048
"""A board that is a foot longer than those for which the rails stand is told (our own choice)."""


def board_lengths(piece: Piece, kind: Kind, counts: list[int]) -> list[tuple[Bay, float]]:
    """Every board of a level top that is longer than the infill: its bay and length [m], by whole inches.

    counts
        boards over the whole face of the piece; or, with boards on both sides, over the clear width of each bay.
    Boards stand evenly over the face; the lower end follows the ground, the top is level. Source: geometry.
    """
    if piece.profile is None:
        return []
    s, z = np.array(piece.profile.stations_m), np.array(piece.profile.heights_m)
    spans = piece.spans
    if len(counts) == len(piece.bays) and kind.pattern == "both sides":
        faces = [((a + b - bay.clear_m) / 2.0, bay.clear_m) for bay, (a, b) in zip(piece.bays, spans, strict=True)]
    else:
        faces = [(spans[0][0] - (piece.start.width_m / 2.0 if piece.start.number else 0.0), piece.face_m)]
    width = kind.board_width_m
    cuts = np.array([b for _, b in spans[:-1]])
    found = []
    for (start, face), count in zip(faces, counts, strict=True):
        left = start + (np.arange(count) * (face - width) / (count - 1) if count > 1 else np.zeros(1))
        owner = np.searchsorted(cuts, left + width / 2.0)
        for i in np.unique(owner).tolist():
            met = piece.met[i]
            if met is None or met.mode != "level-top":
                continue
            here = left[owner == i]
            edges = np.stack([here, here + width], axis=1)
            made = cut_to_ground(s, z, edges, spans[i], met.top_m, kind.bottom_gap_m)
            inches = np.ceil(made.blank[made.blank > kind.infill_m + 1e-6] / _TAPE_M - 1e-6)
            found += [(piece.bays[i], float(round(n * _TAPE_M, 9))) for n in inches]
    return found


def take_level_boards(draft: Draft, cuts: CutList, kind: Kind, stock: Stock, boards: list[tuple[Bay, float]]) -> None:
    """Boards of a level top onto the cutting list."""
    for (bay, length), count in Counter(boards).items():
        cuts.row(stock, [length], [bay], count)
    longest = max((length for _, length in boards), default=0.0)
    if longest > kind.infill_m + _LONG_M:
        posts = _posts([bay for bay, length in boards if length > kind.infill_m + _LONG_M])
        about = f"fence {kind.name}"
        draft.remark("boards-outgrow-rails", "caution", about, posts=posts, length_m=longest, infill_m=kind.infill_m)


def extra_rows(piece: Piece, kind: Kind, width_m: float, rows: int) -> list[tuple[int, int]]:
    """Bays of a level top that take more rows of horizontal boards, by their place in the piece, and how many more."""
    if piece.profile is None:
        return []
    s, z = np.array(piece.profile.stations_m), np.array(piece.profile.heights_m)
    found = []
    for i, ((a, b), met) in enumerate(zip(piece.spans, piece.met, strict=True)):
        if met is None or met.mode != "level-top":
            continue
        lowest = min([*ground_at(s, z, np.array([a, b])).tolist(), *z[(s > a) & (s < b)].tolist()])
        more = rows_of_boards(met.top_m[0] - lowest - kind.bottom_gap_m, width_m, kind.board_gap_m) - rows
        if more > 0:
            found.append((i, more))
    return found


def close_below(draft: Draft, cuts: CutList, kind: Kind, pieces: list[Piece], screws: Fastener) -> None:
    """Boards below bays that leave more room than their kind allows, where the fence says so; else what is left open.

    Each is as long as the room is too high, and as many boards on edge as close it; cut to the ground in place.
    """
    most, least = number(kind, "most gap"), number(kind, "least gap")
    size = section("lumber", word(kind, "board size") or _KICK)
    stock = Stock(f"board.{code_of(size.name)}", "kick-board", size.name, "boards", size.stocks_m, 0.0, _RULE)
    closes = word(kind, "under steps") == "boards"
    open_bays: list[Bay] = []
    highest = 0.0
    for piece in pieces:
        if piece.profile is None:
            continue
        ground = np.array(piece.profile.stations_m), np.array(piece.profile.heights_m)
        for bay, span, met in zip(piece.bays, piece.spans, piece.met, strict=True):
            if met is None or met.mode == "level-top":
                continue
            start, end, height = under_bay(*ground, span, met.bottom_m, least, max(most, kind.bottom_gap_m))
            if height <= 0.0:
                continue
            open_bays.append(bay)
            highest = max(highest, height + least)
            if closes:
                cuts.row(stock, [end - start], [bay], rows_of_boards(height, size.width_m, 0.0), screws)
    if open_bays:
        slug = "closed-below" if closes else "open-below"
        posts = _posts(open_bays)
        draft.remark(slug, "note", f"fence {kind.name}", fence=kind.name, posts=posts, gap_m=highest)


_RULE = "on edge below the bay, as many as close it, cut to the ground in place; see the cutting list"


def _posts(bays: list[Bay]) -> str:
    """Ends of bays in words, those that follow each other made one: "3-6, 9-10"."""
    rows: list[list[Bay]] = []
    for bay in dict.fromkeys(bays):
        if rows and rows[-1][-1].end == bay.start:
            rows[-1].append(bay)
        else:
            rows.append([bay])
    return ", ".join(f"{row[0].start}-{row[-1].end}" for row in rows)
