"""How far inside the line, for the decision page: distance, plus-minus, chance, and what a chosen risk asks for."""

from __future__ import annotations

from typing import Any

from palewright.model import SideMargin
from palewright.notation import show_chance
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet

__all__ = ["line_corners", "line_rows", "line_tape"]

_TWO_SIDES_95 = 1.96
"""Standard deviations within which 95 of 100 errors lie, to both sides (normal distribution)."""


def line_rows(sheet: Sheet) -> list[dict[str, Any]]:
    """One row for each run, side and thing (fence, footing), at the post where measuring error most easily crosses."""
    inside = sheet.plan.inside
    margins = inside.margins if inside is not None else ()
    return [_row(sheet, margin) for margin in margins if not (margin.why and margin.of == "footing")]


def _row(sheet: Sheet, margin: SideMargin) -> dict[str, Any]:
    show = sheet.measures
    row = {
        "run": short(margin.run, 40),
        "side": str(margin.side),
        "what": sheet.term(margin.of),
        "at": sheet.post(margin.post),
        "distance": show.small(margin.distance_m),
    }
    if margin.sigma_m is None or margin.chance is None:
        return row | {"why": sheet("decisions.why_" + margin.why.replace("-", "_"))}
    needed = show.up(margin.needed_m) if margin.needed_m is not None else sheet("decisions.no_risk")
    return row | {
        "why": "",
        "sigma": "± " + show.up(_TWO_SIDES_95 * margin.sigma_m),
        "chance": show_chance(margin.chance),
        "needed": needed,
        "short": margin.needed_m is not None and margin.distance_m < margin.needed_m,
    }


def line_tape(sheet: Sheet) -> str:
    """What the crew is taken to tape with; "" where no chance rests on it."""
    inside = sheet.plan.inside
    if inside is None or all(row.why for row in inside.distances):
        return ""
    return sheet("decisions.line_tape", tape=sheet.term(inside.tape))


def line_corners(sheet: Sheet) -> list[dict[str, Any]]:
    """What each corner rests on and how good that is, where one of them rests on anything but the record."""
    inside = sheet.plan.inside
    rows = inside.corners if inside is not None else ()
    if all(row.rests == "record" for row in rows):
        return []
    return [
        {
            "corner": short(row.corner, 40),
            "rests": sheet(f"decisions.rests_{row.rests}", tool=sheet.term(short(row.tool, 40))),
            "sigma": "± " + sheet.measures.up(_TWO_SIDES_95 * row.sigma_m) if row.sigma_m is not None else "",
            "times": f"{row.times:,.1f}" if row.times is not None and row.times < 10 else f"{row.times or 0:,.0f}",
            "known": row.sigma_m is not None,
        }
        for row in rows
    ]
