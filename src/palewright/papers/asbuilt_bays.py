"""Bays of the as-built sheet: as built, whether they still fit, and what must be made anew."""

from __future__ import annotations

from typing import Any

from palewright.model import AsBuilt, BuiltBay
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet

__all__ = ["bay_rows", "bays_open"]


def bay_rows(sheet: Sheet, built: AsBuilt) -> list[dict[str, Any]]:
    """A row for each bay that was measured at both its posts, or moved at one."""
    return [_row(sheet, bay) for bay in built.bays if bay.built_m is not None]


def _row(sheet: Sheet, bay: BuiltBay) -> dict[str, Any]:
    assert bay.built_m is not None
    assert bay.clear_m is not None
    show = sheet.measures
    result = sheet("asbuilt.bay_fits")
    if bay.verdict != "fits":
        result = sheet(f"asbuilt.bay_{bay.verdict.replace('-', '_')}", by=show.small(bay.by_m))
    make = sheet(f"asbuilt.make_{bay.remake}", clear=show.length(bay.clear_m)) if bay.remake else ""
    if bay.remade:
        width = show.length(bay.remade_m) if bay.remade_m is not None else sheet("asbuilt.not_measured")
        make = sheet("asbuilt.remade", width=width)
    beside = sheet("asbuilt.bay_beside", post=bay.unmeasured) if bay.unmeasured else ""
    return {
        "bay": f"{bay.start}-{bay.end}",
        "run": short(bay.run, 30),
        "planned": show.length(bay.planned_m),
        "built": show.length(bay.built_m),
        "clear": show.length(bay.clear_m),
        "result": result,
        "bad": bay.verdict != "fits",
        "make": "; ".join(filter(None, (make, beside))),
    }


def bays_open(sheet: Sheet, built: AsBuilt) -> str:
    """The bays that were not measured, in one line; "" none."""
    names = _joined(sheet, [bay for bay in built.bays if bay.built_m is None])
    return sheet("asbuilt.bays_open", bays=names) if names else ""


def _follow(one: str, two: str) -> bool:
    """Whether two labels are numbers that follow on one another: "12 to 57" would else stand for more than two bays."""
    return one.isdigit() and two.isdigit() and int(two) == int(one) + 1


def _joined(sheet: Sheet, bays: list[BuiltBay]) -> str:
    """Bays by their posts, those that follow on one another as one: "27 to 33, 33-37"."""
    chains: list[list[str]] = []
    for bay in bays:
        if chains and chains[-1][-1] == bay.start and all(map(_follow, chains[-1], (*chains[-1][1:], bay.end))):
            chains[-1].append(bay.end)
        else:
            chains.append([bay.start, bay.end])
    return ", ".join(
        "-".join(chain) if len(chain) == 2 else sheet("asbuilt.bays_from", first=chain[0], last=chain[-1])
        for chain in chains
    )
