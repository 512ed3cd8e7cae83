"""The pin search sheet as data: for each corner without a pin two tapes, a radius, the lines beside, room to write."""

from __future__ import annotations

import math
from typing import Any

from palewright.model import Corner, PinArea, PinNeighbour, PinSearch, Plan, Ring
from palewright.notation import show_bearing
from palewright.papers.boundary import rests_words
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import table

__all__ = ["pins_data"]

_FLAT = math.radians(30.0)
"""Tapes that cross flatter than this are said to (common practice: 30 to 150 degrees)."""
_WITNESS_M = 0.9144


def pins_data(plan: Plan, ring: Ring) -> dict[str, Any]:
    """Everything that the pin search sheet prints, as plain data."""
    sheet = Sheet.of(plan)
    evidence = plan.site.evidence
    corners = {corner.name: corner for corner in ring.corners}
    off = evidence.record_sigma_m if evidence else 0.0
    witness = sheet("pins.caution_witness", far=sheet.measures.length(_WITNESS_M))
    head = sheet.head("pins.document")
    head["locate"]["w"]["band_private"] = sheet("pins.band_private")
    return head | {
        "w": table("pins", sheet.language),
        "how": sheet("pins.how", off=sheet.measures.sigma(off))
        if evidence and any(search.radius_m is not None for search in evidence.searches)
        else "",
        "cautions": [
            *(sheet(f"pins.caution_{name}") for name in ("locate", "keep", "lath")),
            witness,
        ],
        "corners": [
            _corner(sheet, corners[search.corner], search) for search in (evidence.searches if evidence else ())
        ],
    }


def _corner(sheet: Sheet, corner: Corner, search: PinSearch) -> dict[str, Any]:
    said = corner.evidence
    record = short(said.record, 120)
    lines = [sheet("pins.record_says", record=record) if record else sheet("pins.record_silent")]
    if said.seen:
        lines.append(sheet("pins.seen", seen=short(said.seen, 80)))
    if said.rests_on and not said.seen and said.rests_on != "record only":
        lines.append(sheet("pins.rests", what=rests_words(sheet, corner)))
    return {
        "name": sheet("pins.corner", corner=short(corner.name, 40)),
        "lines": lines,
        **_ties(sheet, search),
        **_radius(sheet, search),
        "beside": [_beside(sheet, beside) for beside in search.neighbours],
        "reads": _reads(sheet, search),
    }


def _ties(sheet: Sheet, search: PinSearch) -> dict[str, Any]:
    show = sheet.measures
    rows = [
        {
            "from": short(tie.start, 40),
            "length": show.length(tie.length_m),
            "far": "" if tie.reaches else sheet("pins.tie_far"),
        }
        for tie in search.ties
    ]
    notes = []
    if len(rows) == 2:
        one, two = (row["from"] for row in rows)
        notes.append(sheet("pins.tie_side", one=one, two=two, side=sheet(f"pins.{search.side}")))
        if min(search.crossing, math.pi - search.crossing) < _FLAT:
            notes.append(sheet("pins.tie_flat", angle=_degrees(search.crossing)))
    if not rows and search.why != "nothing-found":
        notes.append(sheet("pins.no_ties"))
    elif rows and search.radius_m is None and (search.area is None or len(rows) > 1):
        notes.append(sheet("pins.as_typed"))
    head = {0: "", 1: sheet("pins.tie_one")}.get(len(rows), sheet("pins.ties"))
    return {"ties": rows, "ties_head": head, "ties_notes": notes}


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f}°"


def _radius(sheet: Sheet, search: PinSearch) -> dict[str, Any]:
    if search.area is not None:
        return _area(sheet, search.area) | {"given": True}
    if search.radius_m is None:
        return {"radius": sheet("pins.no_radius"), "radius_how": sheet(f"pins.no_radius_{search.why}"), "given": False}
    show = sheet.measures
    one, two = (show.sigma(sigma) for sigma in search.sigmas_m)
    how = sheet("pins.radius_how", one=one, two=two)
    return {"radius": sheet("pins.radius", radius=_up(sheet, search.radius_m)), "radius_how": how, "given": True}


def _area(sheet: Sheet, area: PinArea) -> dict[str, Any]:
    """What one pin alone says: along and across where a direction is known, else the whole circle."""
    args = {"pin": short(area.pin, 40), "distance": sheet.measures.length(area.distance_m)}
    args["along"] = _up(sheet, area.along_m)
    if area.azimuth is None or area.across_m is None:
        return {"radius": sheet("pins.circle", **args), "radius_how": _no_direction(sheet, args)}
    args |= {"across": _up(sheet, area.across_m), "bearing": show_bearing(area.azimuth)}
    by = sheet(f"pins.by_{area.by}", tool=sheet.term(short(area.tool, 40)) or sheet("pins.by_unsaid"))
    how = sheet("pins.area_how", **args, by=by, angle=f"{math.degrees(area.sigma):.1f}°")
    return {"radius": sheet("pins.area", **args), "radius_how": how}


def _no_direction(sheet: Sheet, args: dict[str, str]) -> str:
    settings, ring = sheet.plan.settings, sheet.plan.site.ring
    basis = (ring.bearings if ring else "") or (settings.north_basis if settings.north else "")
    why = sheet("pins.no_north_of", basis=short(basis, 80)) if basis else sheet("pins.no_north")
    return sheet("pins.circle_how", **args, why=why)


def _up(sheet: Sheet, m: float) -> str:
    """A radius rounded up: to the inch, the tenth of a foot, or the centimetre."""
    step = {"metric": 0.01, "decimal-feet": 0.03048}.get(sheet.measures.style, 0.0254)
    return sheet.measures.spread(math.ceil(m / step - 1e-9) * step)


def _beside(sheet: Sheet, beside: PinNeighbour) -> str:
    found = sheet("pins.is_found" if beside.found else "pins.not_found")
    length = sheet.measures.length(beside.length_m)
    return sheet("pins.beside_line", name=short(beside.name, 40), found=found, length=length)


def _reads(sheet: Sheet, search: PinSearch) -> list[str]:
    """Labels of the two tapes that are written down, named or blank."""
    named = [sheet("pins.write_reads", start=short(tie.start, 40)) for tie in search.ties]
    return [*named, *[sheet("pins.write_reads_blank")] * (2 - len(named))]
