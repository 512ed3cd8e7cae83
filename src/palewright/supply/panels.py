"""Panels: vinyl, ornamental metal and composite."""

from __future__ import annotations

import math

from palewright.model import Kind, Post
from palewright.supply.draft import Draft, Piece, bay_numbers, inches, number

__all__ = ["take_panels"]

_SQUARE = math.radians(5.0)


def take_panels(draft: Draft, kind: Kind, pieces: list[Piece], posts: list[Post]) -> None:
    """Whole and cut panels, brackets, and swivel brackets at corners that are not square."""
    module = kind.module_m or kind.longest_m
    material = kind.kind.removesuffix("-panels")
    code = f"panel.{material}.{inches(kind.infill_m)}x{inches(module)}in"
    size = f"{inches(kind.infill_m)} x {inches(module)} in"
    bays = [pair for piece in pieces for pair in zip(piece.bays, piece.rails_m, strict=True)]
    whole = [bay for bay, along in bays if not _cut(bay.cut, along, module)]
    cut = [bay for bay, along in bays if _cut(bay.cut, along, module)]
    rule = "one for each bay as long as the module"
    draft.add(
        code, "panel", size, len(whole), "panels", bays=[bay.number for bay in whole], rule=rule, source="geometry"
    )
    rule = "one for each shorter bay: what is cut off does not make another panel"
    draft.add(
        code, "panel-to-cut", size, len(cut), "panels", bays=[bay.number for bay in cut], rule=rule, source="geometry"
    )
    if cut:
        draft.remark("panels-cut", "note", f"fence {kind.name}", count=len(cut))
    _brackets(draft, kind, pieces, posts, material)


def _cut(said: bool, length: float, module: float) -> bool:
    return said or length < module - 0.0254 / 16


def _brackets(draft: Draft, kind: Kind, pieces: list[Piece], posts: list[Post], material: str) -> None:
    """Half the brackets of a panel at each of its ends; at a corner off the square they swivel."""
    per_end = int(number(kind, "brackets per panel")) // 2
    askew = {post.label for post in posts if post.role == "corner" and _askew(post.turn)}
    ends = [(end, piece) for piece in pieces for end in (piece.start, piece.end)]
    swivel = [end for end, _ in ends if end.label in askew]
    walls = [end for end, _ in ends if not end.number]
    at_swivel = per_end or kind.rails
    draft.add(
        f"bracket.swivel.{material}",
        "swivel-bracket",
        "",
        at_swivel * len(swivel),
        "fittings",
        posts=sorted({end.label for end in swivel}),
        rule="at each end of a panel on a corner that is not square",
    )
    if not per_end:
        draft.add(
            f"bracket.wall.{material}",
            "wall-bracket",
            "",
            kind.rails * len(walls),
            "fittings",
            posts=sorted({end.label for end in walls}),
            rule="one for each rail at a wall",
        )
        return
    bays = sum(len(piece.bays) for piece in pieces)
    draft.add(
        f"bracket.{material}",
        "panel-bracket",
        "",
        2 * per_end * bays - per_end * len(swivel),
        "fittings",
        bays=bay_numbers(pieces),
        rule="at both ends of each panel, less those that swivel; the same at a wall",
        source="from memory",
    )


def _askew(turn: float) -> bool:
    """True where the corner is neither straight on nor square, within 5 degrees."""
    off = abs(turn)
    return off > _SQUARE and abs(off - math.pi / 2) > _SQUARE
