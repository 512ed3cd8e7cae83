"""The decision page as data, for the estimator: what to answer first, what the numbers rest on, which rule decided."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from palewright.layout import proud
from palewright.model import Gate, Leg, Plan, Remark
from palewright.notation import show_bearing
from palewright.papers.clean import short
from palewright.papers.grounds import documents, holes, numbers, rest
from palewright.papers.inside import line_corners, line_rows, line_tape
from palewright.papers.names import call_words
from palewright.papers.permit import short_rows
from palewright.papers.questions import lines_of, questions
from palewright.papers.sheet import Sheet
from palewright.papers.slopes import meeting_rows
from palewright.papers.undecided import gate_open
from palewright.papers.words import has, say, table

__all__ = ["decisions_data"]

_ELSEWHERE = frozenset(
    {
        "bag-heavy", "boundary-by-points", "closes-arithmetic-only", "closes-exactly", "face-offset-differs",
        "face-turned", "line-located", "line-not-located", "no-boundary", "no-north", "permit-desk-decides",
        "permit-not-met", "post-lengths-not-final", "stake-moved",
    }
)  # fmt: skip
"""Remarks that this page says in another place, or that only the crew or the buyer needs and finds on its own sheet."""


def decisions_data(plan: Plan) -> dict[str, Any]:
    """Everything that the decision page prints, as plain data."""
    sheet = Sheet.of(plan)
    told = _told(plan)
    return sheet.head("decisions.document") | {
        "w": table("decisions", sheet.language),
        "facts": _facts(sheet),
        "asks": questions(sheet),
        "rules": short_rows(sheet),
        "holes": holes(sheet),
        "frost": _frost(sheet),
        "numbers": numbers(sheet),
        "assumptions": _said(sheet, told, "assumption"),
        "cautions": _said(sheet, told, "caution"),
        "legs": [_leg(sheet, leg) for leg in plan.design.legs],
        "ground": meeting_rows(sheet),
        "slope_words": table("slope", sheet.language),
        "gates": [_gate(sheet, gate) for gate in plan.design.gates],
        "insets": _insets(sheet),
        "line": line_rows(sheet),
        "line_tape": line_tape(sheet),
        "line_corners": line_corners(sheet),
        "closure": _closure(sheet),
        "corners": _corners(sheet),
        "courses": _courses(sheet),
        "removals": _removals(sheet),
        "notes": _said(sheet, told, "note"),
        "sources": documents(sheet),
    }


def _facts(sheet: Sheet) -> list[dict[str, str]]:
    """The job in a few numbers."""
    design = sheet.plan.design
    dug = [post.hole for post in design.posts if post.hole is not None]
    counts = {
        "holes": len(dug),
        "by_hand": sum(hole.hand_dig for hole in dug),
        "brackets": len(design.posts) - len(dug),
        "gates": len(design.gates),
    }
    length = sheet.measures.length(sum(run.length_m for run in design.runs))
    facts = [("length", length)] if design.runs else []
    facts += [(f"{name}_one" if count == 1 else name, str(count)) for name, count in counts.items() if count]
    return [{"what": sheet(f"decisions.fact_{name}"), "value": value} for name, value in facts]


def _frost(sheet: Sheet) -> str:
    frost = sheet.plan.settings.frost_m
    if frost is None:
        return sheet("common.frost_not_given").upper()
    return sheet("decisions.frost_is", frost=sheet.measures.inches(frost))


def _told(plan: Plan) -> list[Remark]:
    """The remarks of this page: not what stands beside a string, nor notes on the list to buy, on their own sheets."""
    crew = {r for r in plan.stakeout.remarks if r.level in ("note", "caution") and r.about.startswith("string")}
    bought = {remark for remark in plan.takeoff.remarks if remark.level == "note"}
    away = crew | bought
    return [remark for remark in plan.remarks if remark not in away and remark.slug not in _ELSEWHERE]


def _said(sheet: Sheet, told: Iterable[Remark], level: str) -> list[dict[str, str]]:
    """Each sentence once, with the lines of the job file that it speaks of."""
    lines: dict[str, list[int]] = {}
    for remark, places in _joined([remark for remark in told if remark.level == level]):
        lines.setdefault(say(remark, sheet.plan.settings), []).extend(places)
    return [{"text": text, "lines": lines_of(sheet, places)} for text, places in lines.items()]


def _joined(remarks: Iterable[Remark]) -> list[tuple[Remark, list[int]]]:
    """Remarks that say the same of several things made one, where the words know how ("slug+many")."""
    found: dict[tuple[Any, ...], tuple[Remark, list[int]]] = {}
    for remark in remarks:
        first, *rest = remark.args or (("", ""),)
        many = has(f"remark.{remark.slug}+many")
        key = (remark.slug,) if many else (remark.slug, remark.args)
        if key not in found:
            found[key] = (remark, [remark.at.line])
            continue
        one, lines = found[key]
        if many and first[1] not in str(dict(one.args)[first[0]]).split(", "):
            joined = (first[0], f"{dict(one.args)[first[0]]}, {first[1]}")
            one = replace(one, args=(joined, *rest, ("many", "many")))
        found[key] = (one, [*lines, remark.at.line])
    return list(found.values())


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


def _gate(sheet: Sheet, gate: Gate) -> dict[str, Any]:
    show = sheet.measures
    leaf, way = show.length(gate.leaf_m), "yard" if gate.swings == "yard" else "out"
    unsure, asked = gate_open(sheet, gate), f" ({sheet('decisions.asked')})"
    return {
        "name": short(gate.name, 40),
        "posts": sheet("common.each_other", first=gate.posts[0], last=gate.posts[1]),
        "opening": show.length(gate.opening_m),
        "leaf": leaf if gate.leaves == 1 else f"{gate.leaves} × {leaf}",
        "allowance": show.small(gate.allowance_m),
        "source": rest(sheet, gate.allowance_source),
        "hinge": ", ".join(label for label in gate.hinge if label) + (asked if "hinges" in unsure else ""),
        "swings": sheet(f"decisions.swings_{way}") + (asked if "swings" in unsure else ""),
    }


def _insets(sheet: Sheet) -> list[dict[str, Any]]:
    """The nearest of each sort to the boundary, run by run, and the post it is at."""
    rows = []
    for run in sheet.plan.design.runs:
        posts = [p for p in sheet.plan.design.posts if p.inset and any(name == run.name for name, _ in p.places)]
        cells = []
        for what in ("face", "post", "footing"):
            found = [(dict(p.inset)[what], p.label) for p in posts if what in dict(p.inset)]
            if what == "face":
                kinds = sheet.kinds()
                out = {post.label: proud(kinds[post.kind], post) for post in posts}
                found = [(value - out[label], label) for value, label in found]
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
        miss = show.small(closure.misclosure_m)
        miss = show.tolerance(closure.misclosure_m) if miss == show.small(0.0) else miss
        args = {"precision": f"{closure.precision:,.0f}", "miss": miss}
        lines.append(sheet("decisions.closes", **args))
    else:
        lines.append(sheet("decisions.by_points"))
    lines.append(sheet("decisions.arithmetic"))
    lines.append(sheet.corners_found("decisions.found_of", ring.status))
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
            "text": short(call_words(course.text, sheet.language), 200)
            or (show_bearing(course.azimuth) if sheet.plan.settings.north else ""),
            "length": sheet.measures.length((course.arc or course).length_m),
            "yard": sheet.term(short(course.yard, 30)),
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
