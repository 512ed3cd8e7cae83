"""The crew sheets as data: what is built, order of work, strings, gates, corners and checks, holes, sign-off."""

from __future__ import annotations

import math
import re
from typing import Any

from palewright.model import Gate, Plan, Post, Run
from palewright.papers.checks import checks_data
from palewright.papers.clean import short
from palewright.papers.grounds import next_auger
from palewright.papers.old_fence import old_fences
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.slopes import gate_lines, heights_pages
from palewright.papers.stops import stop_flags, stops
from palewright.papers.strings import TIE_M, string_page
from palewright.papers.undecided import hung_words, run_asks, run_facts, swing_words
from palewright.papers.words import has, table

__all__ = ["crew_data", "gate_words", "order_words", "trouble_words"]

_FOOT = 0.3048
_PAGES = re.compile(r" \([^()]*@@[^()]*\)")
_WHY = ("rock", "root", "pipe", "other")
_GAS_AWAY = 30.48
_WIRE_AWAY = 3.048
"""Distances of the cautions: 100 ft from a gas leak, 10 ft from wires up to 50 kV (29 CFR 1926.1408, from memory)."""


def crew_data(plan: Plan) -> dict[str, Any]:
    """Everything that the crew sheets print, as plain data: words are in place, lengths are text."""
    sheet = Sheet.of(plan)
    head = sheet.head("crew.document")
    return head | {
        "flags": [*stop_flags(sheet), *head["flags"]],
        "stop": stops(sheet),
        "w": table("crew", sheet.language),
        "runs": [_run(sheet, run) for run in plan.design.runs],
        "notes": list(plan.settings.notes),
        "order": _order(sheet),
        "tools": _tools(sheet),
        "old": old_fences(sheet),
        "marks": _marks(sheet),
        "strings": [string_page(sheet, string) for string in plan.stakeout.strings],
        "gap_note": sheet("crew.gap_note_metric" if sheet.measures.style == "metric" else "crew.gap_note"),
        "gates": [gate_words(sheet, gate) for gate in plan.design.gates],
        **checks_data(sheet),
        "heights": heights_pages(sheet),
        "slope_words": table("slope", sheet.language),
        "wait": "" if plan.locate.entered else sheet("crew.wait_key"),
        "holes": _holes(sheet),
        "trouble": _trouble(sheet),
        "cautions": _cautions(sheet),
        "signoff": _signoff(sheet),
    }


def _run(sheet: Sheet, run: Run) -> dict[str, Any]:
    plan, posts = sheet.plan, sheet.posts()
    legs = [plan.design.legs[k] for k in run.legs]
    labels = list(dict.fromkeys(label for leg in legs for label in leg.posts))
    holes = sum(posts[label].hole is not None for label in labels)
    walls = len(labels) - holes
    fences = list(dict.fromkeys(leg.fence for leg in legs)) or [run.fence]
    kinds = sheet.kinds()
    count = f"{holes} {sheet('common.post' if holes == 1 else 'common.posts')}"
    if walls:
        count = sheet("crew.posts_brackets", posts=count, brackets=walls)
    return {
        "name": short(run.name, 60),
        "trial": sheet("common.trial") if run.trial else "",
        "fence": ", ".join(short(name, 40) for name in fences),
        "height": [sheet.height(kinds[name]) for name in fences if name in kinds],
        "length": sheet.measures.length(run.length_m),
        "posts": count,
        "which": ranges(labels),
        "gates": sum(gate.run == run.name for gate in plan.design.gates),
        "facts": run_facts(sheet, run, labels),
        "asks": run_asks(sheet, run, labels),
    }


def _order(sheet: Sheet) -> list[str]:
    """Steps of the order of work; ``@@label@@`` stands where the template puts the page of a label."""
    plan = sheet.plan
    none = next((remark for remark in plan.stakeout.remarks if remark.slug == "nothing-stands"), None)
    args = {
        "page": "@@checks@@",
        "square": "@@square@@",
        "proof": "@@proof@@",
        "heights": "@@heights@@",
        "tolerance": sheet.measures.small(plan.settings.tolerance_m),
        "posts": dict(none.args)["posts"] if none else "",
    }
    steps = []
    for slug in _slugs(sheet):
        if none and slug in ("points", "corners"):
            slug += "_none"
        elif slug == "remove" and all(removal.then == "leave" for removal in plan.site.removals):
            slug += "_leave"
        steps.append(sheet(f"order.{slug}", **args) if has(f"order.{slug}") else slug.replace("-", " "))
    return steps


def order_words(sheet: Sheet) -> list[str]:
    """The order of work without the pages of the crew sheets."""
    return [_PAGES.sub("", step) for step in _order(sheet)]


def trouble_words(sheet: Sheet) -> list[dict[str, Any]]:
    """What to do at a rock, a root, a pipe, or anything else in a hole."""
    rock, offline, pipe, gas, power = _trouble(sheet)
    return [{"why": why, "say": [pipe, gas, power] if why == "pipe" else [rock, offline]} for why in _WHY]


def _slugs(sheet: Sheet) -> list[str]:
    """Steps of the order of work by their keys; level strings are hung before the first hole."""
    slugs = list(dict.fromkeys(("locate", *sheet.plan.stakeout.order)))
    if sheet.plan.design.meetings and "dig" in slugs:
        slugs.insert(slugs.index("dig"), "heights")
    return slugs


def _signoff(sheet: Sheet) -> list[str]:
    names = ["locate", "strings", "painted", "owner", "dug"]
    if sheet.plan.site.removals:
        names.insert(1, "old")
    return [sheet(f"crew.sign_{name}") for name in names]


def _tools(sheet: Sheet) -> list[str]:
    plan, show = sheet.plan, sheet.measures
    step = 1.0 if show.style == "metric" else _FOOT
    string = math.ceil(sum(line.length_m + 2.0 * TIE_M for line in plan.stakeout.strings) / step - 1e-6) * step
    stakes = sum(s.beyond_m > 0.0 and not s.refused for line in plan.stakeout.strings for s in line.stakes)
    across = sorted({post.hole.diameter_m for post in plan.design.posts if post.hole})
    hand = sum(post.hole is not None and post.hole.hand_dig for post in plan.design.posts)
    tools = [sheet("crew.tool_tapes", tape=show.length(plan.settings.tape_m))]
    if string:
        tools.append(
            sheet(
                "crew.tool_string" + "_one" * (stakes == 1),
                length=show.length(string),
                tie=show.length(TIE_M),
                stakes=stakes,
            )
        )
    tools += [sheet("crew.tool_paint"), sheet("crew.tool_level")]
    if across:
        tools.append(sheet("crew.tool_auger", sizes=", ".join(_auger(sheet, d) for d in across)))
    if hand:
        tools.append(sheet("crew.tool_hand_one" if hand == 1 else "crew.tool_hand", count=hand))
    return [*tools, sheet("crew.tool_safety")]


def _auger(sheet: Sheet, across_m: float) -> str:
    """A size of hole, and the auger to take where none is of that size."""
    note = next_auger(sheet, across_m)
    return sheet.measures.inches(across_m) + (f" ({note})" if note else "")


def _marks(sheet: Sheet) -> str:
    sizes: dict[float, list[str]] = {}
    for role, across in sheet.plan.stakeout.mark_diameter_m:
        sizes.setdefault(across, []).append(sheet.term(role))
    if not sizes:
        return ""
    parts = [
        sheet("crew.mark_one", size=sheet.measures.inches(across), roles=", ".join(roles))
        for across, roles in sorted(sizes.items())
    ]
    return sheet("crew.mark_size", sizes="; ".join(parts))


def gate_words(sheet: Sheet, gate: Gate) -> dict[str, Any]:
    """A gate: between which posts, opening, leaf, hardware."""
    show = sheet.measures
    first, last = gate.posts
    lines = [*hung_words(sheet, gate), *swing_words(sheet, gate)]
    many = "_many" if gate.leaves > 1 else ""
    lines += gate_lines(sheet, gate)
    lines.append(
        sheet(
            f"crew.gate_allowance{many}",
            allowance=show.small(gate.allowance_m),
            source=sheet.source(gate.allowance_source),
        )
    )
    leaf = sheet("crew.gate_leaf") if gate.leaves == 1 else sheet("crew.gate_leaves", count=gate.leaves)
    return {
        "name": sheet("crew.gate_name", gate=short(gate.name, 40)),
        "between": sheet("crew.gate_between", first=first, last=last),
        "run": sheet("crew.string_run", run=short(gate.run, 40)),
        "opening": show.length(gate.opening_m),
        "leaf": show.length(gate.leaf_m),
        "leaf_label": leaf,
        "lines": lines,
    }


def _hole_key(post: Post) -> tuple[Any, ...]:
    hole = post.hole
    assert hole is not None
    return (hole.diameter_m, hole.depth_m, hole.gravel_m, hole.in_ground_m, hole.governs, hole.fill)


def _holes(sheet: Sheet) -> list[dict[str, str]]:
    groups: dict[tuple[Any, ...], list[Post]] = {}
    for post in sheet.plan.design.posts:
        if post.hole is not None:
            groups.setdefault(_hole_key(post), []).append(post)
    show, frost = sheet.measures, sheet.plan.settings.frost_m
    said = sheet("common.frost_not_given") if frost is None else sheet("crew.holes_frost", frost=show.inches(frost))
    rows = []
    for (across, depth, gravel, ground, governs, fill), posts in groups.items():
        by_hand = [p.label for p in posts if p.hole is not None and p.hole.hand_dig]
        rows.append(
            {
                "posts": ranges(p.label for p in posts),
                "across": show.inches(across),
                "depth": show.inches(depth),
                "gravel": show.inches(gravel),
                "ground": show.inches(ground),
                "fill": sheet.term(fill),
                "governs": sheet.term(governs),
                "frost": said,
                "hand": f"{sheet('common.post' if len(by_hand) == 1 else 'common.posts')} {ranges(by_hand)}"
                if by_hand
                else sheet("common.nothing"),
            }
        )
    return rows


def _away(sheet: Sheet, distance_m: float) -> str:
    """A distance to keep, never less than its rule says; metres go up to the next 5 cm."""
    if sheet.plan.settings.print_style == "metric":
        return f"{math.ceil(distance_m * 20 - 1e-9) / 20:g} m"
    return sheet.measures.length(distance_m)


def _trouble(sheet: Sheet) -> list[str]:
    away = _away(sheet, _GAS_AWAY)
    return [
        sheet("crew.trouble_rock"),
        sheet("crew.trouble_offline"),
        sheet("crew.trouble_pipe"),
        sheet("crew.trouble_gas", away=away),
        sheet("crew.trouble_power"),
    ]


def _cautions(sheet: Sheet) -> list[str]:
    names = ["survey", "overhead", "auger", "cement", "wood", "open", "old", "code"]
    if any(kind.family == "chain link" for kind in sheet.plan.kinds):
        names.insert(5, "wire")
    return [sheet(f"crew.caution_{name}", away=_away(sheet, _WIRE_AWAY)) for name in names]
