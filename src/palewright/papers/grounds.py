"""What the numbers rest on: holes first, then what the kinds of fence say from memory or by habit, then documents."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from palewright.model import Kind, Plan, Post
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.stock import size_words
from palewright.papers.words import has
from palewright.sources import all_sources, cite

__all__ = ["documents", "holes", "next_auger", "numbers", "rest"]

_OWN = ("common practice", "from memory", "as typed", "geometry")
_AUGERS_IN = (6, 8, 9, 10, 12, 14, 16, 18, 24)
"""Augers that are usual on offer [in] (common practice)."""

_MEMORY, _HABIT = "from memory", "common practice"
_SHARES = ("waste", "share in ground")
_NEEDS = {"cap height": "post cap", "rack over": "rack rise", "barb height": "barbed strands"}
"""Keys that say nothing while another one is left out."""
_PATTERNS = {"board gap": ("spaced", "horizontal"), "overlap": ("board on board", "both sides")}
"""Patterns of boards that use a key; in the others it says nothing."""


def holes(sheet: Sheet) -> list[dict[str, Any]]:
    """Sorts of hole: how wide and deep, which rule set the depth, and what each of these figures rests on.

    On a slope each post has its own depth: they stand in one row, from the least to the most.
    """
    rows: dict[tuple[Any, ...], dict[str, Any]] = {}
    depths: dict[tuple[Any, ...], list[float]] = {}
    sloped = {height.post for meeting in sheet.plan.design.meetings for height in meeting.posts if height.known}
    kinds = sheet.kinds()
    for post in sheet.plan.design.posts:
        if post.hole is None:
            continue
        across, deep = _sources(sheet.plan, post)
        gravel = dict(kinds[post.kind].sources).get("hole.gravel", "") if post.hole.gravel_m else ""
        size = (post.hole.diameter_m, post.hole.depth_m, post.hole.gravel_m)
        key: tuple[Any, ...] = (post.kind, size, post.hole.governs, across, deep)
        if post.label in sloped:
            key = (post.kind, (size[0], size[2]), post.hole.governs, across, deep)
        depths.setdefault(key, []).append(size[1])
        row = rows.setdefault(key, {"roles": [], "count": 0})
        row["count"] += 1
        role = sheet.term(post.role)
        if role not in row["roles"]:
            row["roles"].append(role)
        row |= {
            "fence": short(post.kind, 40),
            "across": sheet.measures.inches(size[0]),
            "auger": next_auger(sheet, size[0]),
            "deep": _span(sheet, depths[key]),
            "governs": sheet.term(post.hole.governs),
            "across_rests": rest(sheet, across),
            "deep_rests": rest(sheet, deep),
            "gravel": sheet("decisions.of_gravel", gravel=sheet.measures.inches(size[2])) if gravel else "",
            "gravel_rests": rest(sheet, gravel),
        }
    return [row | {"roles": ", ".join(row["roles"]), "count": str(row["count"])} for row in _alike(rows.values())]


def _alike(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows of one sort that say the same, as those of posts on a slope and beside it may, in one."""
    made: list[dict[str, Any]] = []
    for row in rows:
        counted = {"roles": row["roles"], "count": row["count"]}
        same = next((one for one in made if one | counted == row), None)
        if same is None:
            made.append(row)
        else:
            same["count"] += row["count"]
            same["roles"] += [role for role in row["roles"] if role not in same["roles"]]
    return made


def _span(sheet: Sheet, depths: Iterable[float]) -> str:
    least, most = (sheet.measures.inches(pick(depths)) for pick in (min, max))
    return least if least == most else f"{least} – {most}"


def _sources(plan: Plan, post: Post) -> tuple[str, str]:
    """Whose diameter and whose depth a hole has: from the reasons of its sort, by the rule that governs it.

    On a slope each post has its own depth by that rule.
    """
    across = deep = ""
    assert post.hole is not None
    for reason in plan.reasons:
        if reason.about == f"{post.kind} {post.role} hole":
            if reason.quantity == "hole diameter" and reason.value == post.hole.diameter_m:
                across = reason.source
            if reason.quantity == "hole depth" and dict(reason.inputs).get("governs") == post.hole.governs:
                deep = reason.source
    return across, deep


def next_auger(sheet: Sheet, across_m: float) -> str:
    """The next usual auger, where the hole has none of its own size."""
    larger = [size for size in _AUGERS_IN if size * 0.0254 > across_m - 1e-6]
    if not larger or abs(larger[0] * 0.0254 - across_m) < 1e-6:
        return ""
    return sheet("decisions.next_auger", size=size_words(sheet, f"{larger[0]} in"))


def rest(sheet: Sheet, source: str) -> dict[str, Any]:
    """What a figure rests on, in words; whether that is memory."""
    names = [sheet.source(key) for key in source.split("; ") if key]
    return {"text": "; ".join(names), "memory": _MEMORY in source.split("; ")}


def numbers(sheet: Sheet) -> list[dict[str, str]]:
    """By fence, the other numbers that rest on memory, and those that rest on habit."""
    rows = []
    for kind in sheet.plan.kinds:
        found = {source: _values(sheet, kind, source) for source in (_MEMORY, _HABIT)}
        if any(found.values()):
            rows.append({"name": short(kind.name, 40), "memory": found[_MEMORY], "habit": found[_HABIT]})
    extra = {source: "; ".join(_others(sheet, source)) for source in (_MEMORY, _HABIT)}
    if any(extra.values()):
        rows.append({"name": sheet("decisions.counted"), "memory": extra[_MEMORY], "habit": extra[_HABIT]})
    return rows


def _values(sheet: Sheet, kind: Kind, source: str) -> str:
    said = []
    for key, whose in kind.sources:
        value = kind.value(key)
        if whose != source or not value or key.startswith(("hole.", "pattern")) or not kind.value(_NEEDS.get(key, key)):
            continue
        if kind.pattern not in _PATTERNS.get(key, (kind.pattern,)):
            continue
        word = sheet(f"value.{key}") if has(f"value.{key}") else key
        whole = f"value.{key} {value}"  # where a word of the job file makes no phrase after its key
        said.append(sheet(whole) if has(whole) else word if value is True else f"{word} {_shown(sheet, key, value)}")
    return ", ".join(said)


def _shown(sheet: Sheet, key: str, value: float | int | str) -> str:
    if isinstance(value, str):
        return sheet.term(value)
    if isinstance(value, int):
        return str(value)
    if key.endswith(_SHARES):
        return "1/3" if abs(value - 1 / 3) < 1e-9 else f"{value * 100:.3g}%"
    return sheet.measures.small(value)


def _others(sheet: Sheet, source: str) -> list[str]:
    """Lines of the material list, and gates, by what they are counted or measured after."""
    plan = sheet.plan
    said = [
        sheet("decisions.gate_more", gate=short(gate.name, 40), allowance=sheet.measures.small(gate.allowance_m))
        for gate in plan.design.gates
        if gate.allowance_source == source
    ]
    items = (item for item in plan.takeoff.items if source in item.source.split("; "))
    return [*said, *dict.fromkeys(_item(sheet, item.what) for item in items)]


def _item(sheet: Sheet, what: str) -> str:
    return sheet(f"item.{what}") if has(f"item.{what}") else what.replace("-", " ")


def documents(sheet: Sheet) -> list[dict[str, str]]:
    """Documents behind the numbers of this plan, and what each was used for."""
    used: dict[str, list[str]] = {}

    def note(source: str, what: str) -> None:
        for key in source.split("; "):
            if key in all_sources() and key not in _OWN:
                used.setdefault(key, []).append(what)

    for reason in sheet.plan.reasons:
        if has(f"value.{reason.quantity}"):
            note(reason.source, sheet(f"value.{reason.quantity}"))
    for reason in sheet.plan.inside.reasons if sheet.plan.inside is not None else ():
        note(reason.source, sheet("value.line_distance"))
    for kind in sheet.plan.kinds:
        for key, source in kind.sources:
            if kind.value(key):
                note(source, sheet(f"value.{key}") if has(f"value.{key}") else key)
    for item in sheet.plan.takeoff.items:
        note(item.source, _item(sheet, item.what))
    for gate in sheet.plan.design.gates:
        note(gate.allowance_source, sheet("value.allowance"))
    memory = sheet.source(_MEMORY)
    return [
        {"source": cite(key).replace(_MEMORY, memory), "for": _several(words)} for key, words in sorted(used.items())
    ]


def _several(words: Iterable[str]) -> str:
    each = list(dict.fromkeys(words))
    shown = ", ".join(short(word, 80) for word in each[:12])
    return shown if len(each) <= 12 else f"{shown}, + {len(each) - 12}"
