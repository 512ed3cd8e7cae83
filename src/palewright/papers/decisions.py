"""The decision page as data, for the estimator: what is assumed, asked, bound, how near the line, by which sources."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from palewright.model import Gate, Leg, Plan, Remark
from palewright.notation import show_bearing
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import has, say, table
from palewright.sources import all_sources, cite

__all__ = ["decisions_data"]


def decisions_data(plan: Plan) -> dict[str, Any]:
    """Everything that the decision page prints, as plain data."""
    sheet = Sheet.of(plan)
    return sheet.head("decisions.document") | {
        "w": table("decisions", sheet.language),
        "asks": _asks(sheet),
        "assumptions": _said(sheet, "assumption"),
        "cautions": _said(sheet, "caution"),
        "legs": [_leg(sheet, leg) for leg in plan.design.legs],
        "gates": [_gate(sheet, gate) for gate in plan.design.gates],
        "insets": _insets(sheet),
        "closure": _closure(sheet),
        "corners": _corners(sheet),
        "courses": _courses(sheet),
        "removals": _removals(sheet),
        "notes": _said(sheet, "note"),
        "sources": _sources(sheet),
    }


def _said(sheet: Sheet, level: str) -> list[str]:
    return list(dict.fromkeys(_sentence(sheet, remark) for remark in sheet.plan.remarks if remark.level == level))


def _sentence(sheet: Sheet, remark: Remark) -> str:
    return say(remark, sheet.plan.settings)


def _asks(sheet: Sheet) -> list[dict[str, str]]:
    """What is not known: keys typed as ask, then what the parts ask for."""
    rows = [{"key": short(key, 60), "why": _why(sheet, key)} for key in dict.fromkeys(sheet.plan.asks)]
    return rows + [{"key": "", "why": said} for said in _said(sheet, "ask")]


def _why(sheet: Sheet, key: str) -> str:
    """What hangs on a key that was left open: by its whole path, by what it belongs to, or by its last word."""
    head, _, last = key.rpartition(".")
    for entry in (key, f"{head}.*", f"*.{last}"):
        if has(f"ask.{entry}"):
            return sheet(f"ask.{entry}")
    return sheet("decisions.ask_other")


def _binding(sheet: Sheet, word: str) -> str:
    if word.startswith("zone "):
        return sheet("decisions.bound_by_zone", zone=short(word[5:], 60))
    return sheet(f"binding.{word}") if has(f"binding.{word}") else word


def _leg(sheet: Sheet, leg: Leg) -> dict[str, Any]:
    design, show = sheet.plan.design, sheet.measures
    bays = [bay for bay in design.bays if bay.number in leg.bays and bay.kind != "gate"]
    sizes = sorted(bay.length_m for bay in bays)
    if not sizes:
        size = ""
    elif sizes[-1] - sizes[0] < 1e-4:
        size = show.length(sizes[0])
    else:
        size = sheet("decisions.bay_range", low=show.length(sizes[0]), high=show.length(sizes[-1]))
    ends = (leg.posts[0], leg.posts[-1]) if leg.posts else ("", "")
    return {
        "run": short(leg.run, 40),
        "posts": sheet("common.posts_range", first=ends[0], last=ends[1]),
        "length": show.length(leg.length_m),
        "bays": str(len(bays)),
        "size": size,
        "binding": _binding(sheet, leg.binding),
        "proof": _binding(sheet, leg.proof) if leg.proof else "",
    }


def _gate(sheet: Sheet, gate: Gate) -> dict[str, str]:
    show = sheet.measures
    leaf = show.length(gate.leaf_m)
    return {
        "name": short(gate.name, 40),
        "posts": sheet("common.each_other", first=gate.posts[0], last=gate.posts[1]),
        "opening": show.length(gate.opening_m),
        "leaf": leaf if gate.leaves == 1 else f"{gate.leaves} × {leaf}",
        "allowance": show.small(gate.allowance_m),
        "source": sheet.source(gate.allowance_source),
        "hinge": ", ".join(label for label in gate.hinge if label),
        "swings": sheet("decisions.swings_yard" if gate.swings == "yard" else "decisions.swings_out"),
    }


def _insets(sheet: Sheet) -> list[dict[str, Any]]:
    """The nearest of each sort to the boundary, run by run, and the post it is at."""
    rows = []
    for run in sheet.plan.design.runs:
        posts = [p for p in sheet.plan.design.posts if p.inset and any(name == run.name for name, _ in p.places)]
        cells = []
        for what in ("face", "post", "footing"):
            found = [(dict(p.inset)[what], p.label) for p in posts if what in dict(p.inset)]
            if not found:
                cells.append({"value": "", "at": "", "over": False})
                continue
            least, label = min(found, key=lambda pair: pair[0])
            cells.append({"value": sheet.measures.small(least), "at": sheet.post(label), "over": least < 0})
        if any(cell["value"] for cell in cells):
            rows.append({"run": short(run.name, 40), "cells": cells})
    return rows


def _closure(sheet: Sheet) -> list[str]:
    ring = sheet.plan.site.ring
    if ring is None:
        return [sheet("decisions.no_boundary")]
    show, closure = sheet.measures, ring.closure
    lines = [sheet("decisions.area", area=show.area(ring.area_m2), perimeter=show.length(closure.perimeter_m))]
    if closure.precision:
        args = {"precision": f"{closure.precision:,.0f}", "miss": show.tolerance(closure.misclosure_m)}
        lines.append(sheet("decisions.closes", **args))
    else:
        lines.append(sheet("decisions.by_points"))
    lines.append(sheet("decisions.arithmetic"))
    if ring.record:
        lines.append(sheet("decisions.record", record=short(ring.record, 120)))
    return lines


def _corners(sheet: Sheet) -> list[dict[str, str]]:
    ring = sheet.plan.site.ring
    matches = {True: "common.yes", False: "common.no", None: "decisions.not_said"}
    return [
        {
            "name": short(corner.name, 40),
            "found": short(corner.found, 120) or sheet("decisions.record_only"),
            "matches": sheet(matches[corner.matches_record]) if corner.found else "",
        }
        for corner in (ring.corners if ring else ())
    ]


def _courses(sheet: Sheet) -> list[dict[str, str]]:
    ring = sheet.plan.site.ring
    return [
        {
            "side": str(course.number),
            "from": sheet("decisions.from_to", start=short(course.start, 30), end=short(course.end, 30)),
            "text": short(course.text, 60) or (show_bearing(course.azimuth) if sheet.plan.settings.north else ""),
            "length": sheet.measures.length(course.length_m),
            "yard": short(course.yard, 30),
        }
        for course in (ring.courses if ring else ())
    ]


def _removals(sheet: Sheet) -> list[str]:
    return [
        sheet(
            f"decisions.removal_{removal.then}",
            name=short(removal.name, 60),
            length=sheet.measures.length(removal.length_m),
            posts=len(removal.posts),
        )
        for removal in sheet.plan.site.removals
    ]


def _cite(sheet: Sheet, key: str) -> str:
    own = key in ("common practice", "from memory", "as typed", "geometry")
    return cite(key) if key in all_sources() and not own else sheet.source(key)


def _sources(sheet: Sheet) -> list[dict[str, str]]:
    """Documents behind the numbers of this plan, and for which quantities each was used."""
    used: dict[str, list[str]] = {}

    def note(source: str, what: str) -> None:
        for key in source.split("; "):
            if key:
                used.setdefault(key, []).append(what)

    for reason in sheet.plan.reasons:
        note(reason.source, reason.quantity)
    for kind in sheet.plan.kinds:
        for key, source in kind.sources:
            note(source, key)
    for item in sheet.plan.takeoff.items:
        note(item.source, item.code)
    for gate in sheet.plan.design.gates:
        note(gate.allowance_source, sheet("decisions.gate_allowance"))
    return [{"source": _cite(sheet, key), "for": _several(words)} for key, words in sorted(used.items())]


def _several(words: Iterable[str]) -> str:
    each = list(dict.fromkeys(words))
    shown = ", ".join(short(word, 40) for word in each[:12])
    return shown if len(each) <= 12 else f"{shown}, + {len(each) - 12}"
