"""The material list as data: what to buy, how it was counted, what it serves, concrete per hole and for the job."""

from __future__ import annotations

import math
from collections import Counter
from decimal import Decimal
from typing import Any

from palewright.model import Item, Plan, Post
from palewright.notation import show_money
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.stock import bought_size, buy_unit, cutting, item_name, post_pairs, size_words
from palewright.papers.undecided import hinges_open
from palewright.papers.words import has, say, table
from palewright.supply import BAG_YIELDS_M3, bags_needed, hole_volumes

__all__ = ["materials_data"]


def materials_data(plan: Plan) -> dict[str, Any]:
    """Everything that the material list prints, as plain data: words are in place, quantities are text."""
    sheet = Sheet.of(plan)
    takeoff = plan.takeoff
    groups: dict[str, list[Item]] = {}
    for item in takeoff.items:
        groups.setdefault(item.group, []).append(item)
    priced = any(item.price is not None for item in takeoff.items)
    totals = Counter[str]()
    for item in takeoff.items:
        totals[item.code] += item.buy
    show = sheet.measures
    return sheet.head("materials.document") | {
        "w": table("materials", sheet.language),
        "priced": priced,
        "groups": [
            {"name": _word(sheet, "group", name), "items": [_item(sheet, item, totals[item.code]) for item in items]}
            for name, items in groups.items()
        ],
        "total": _total(sheet, priced),
        "facts": [
            {"label": sheet(f"materials.{word}"), "value": shown(amount)}
            for word, shown, amount in (
                ("concrete", show.volume, takeoff.concrete_m3),
                ("mass", show.mass, takeoff.mass_kg),
                ("spoil", show.volume, takeoff.spoil_m3),
            )
            if amount
        ],
        "cuts": cutting(sheet),
        "cut_note": sheet("materials.cut_note", kerf=show.inches(takeoff.kerf_m)),
        "bags": [sheet("materials.bags_of", bag=size_words(sheet, bag)) for bag in BAG_YIELDS_M3],
        "holes": _concrete(sheet),
        "remarks": _remarks(sheet),
    }


def _word(sheet: Sheet, name: str, word: str) -> str:
    return sheet(f"{name}.{word}") if has(f"{name}.{word}") else sheet.term(word)


def _item(sheet: Sheet, item: Item, in_all: int) -> dict[str, Any]:
    language, currency = sheet.language, sheet.plan.takeoff.currency
    serves = []
    if item.posts:
        word = "post" if len(item.posts) == 1 else "posts"
        asked = item.what == "hinge" and hinges_open(sheet, item.gates)
        posts = f"{sheet(f'common.{word}')} {ranges(item.posts)}"
        serves.append(f"{posts} ({sheet('materials.hinges_asked')})" if asked else posts)
    if item.bays:
        serves.append(_between(sheet, item.bays))
    if item.gates:
        names = ", ".join(short(name, 30) for name in item.gates)
        serves.append(f"{sheet('common.gate' if len(item.gates) == 1 else 'common.gates')}: {names}")
    return {
        "buy": f"{item.buy:,}",
        "unit": buy_unit(sheet, item),
        "what": item_name(item.what, language),
        "size": bought_size(sheet, item),
        "need": _quantity(sheet, item.need, item.unit),
        "waste": f"{item.waste * 100:.3g}%" if item.waste else "",
        "holds": _holds(sheet, item),
        "in_all": sheet("materials.in_all", total=f"{in_all:,}") if in_all > item.buy else "",
        "serves": "; ".join(serves),
        "rule": _word(sheet, "rule", item.rule),
        "source": _source(sheet, item.source),
        "note": _word(sheet, "rule", item.note) if item.note else "",
        "code": item.code,
        "price": _money(item.price, currency, language),
        "cost": _money(item.cost, currency, language),
        "unpriced": item.price is None,
    }


def _source(sheet: Sheet, source: str) -> str:
    """Whose rule, in few words; nothing for plain geometry."""
    if source == "geometry":
        return ""
    return sheet(f"source.{source}") if has(f"source.{source}") else sheet.source(source)


def _holds(sheet: Sheet, item: Item) -> str:
    """What one purchase unit gives, where its name or its size does not say it."""
    said = " of " in item.buy_unit or item.buy_unit == "ft" or (item.buy_unit == "each" and item.unit == "m")
    return "" if said or (item.unit == "each" and item.per == 1) else _quantity(sheet, item.per, item.unit)


def _between(sheet: Sheet, numbers: tuple[int, ...]) -> str:
    """Bays by the posts that they stand between: bays have no numbers on the ground."""
    pairs = post_pairs(sorted(numbers), {bay.number: bay for bay in sheet.plan.design.bays})
    return sheet("materials.between_posts", posts=", ".join(f"{first}-{last}" for first, last in pairs))


def _quantity(sheet: Sheet, value: float, unit: str) -> str:
    show = {
        "m": sheet.measures.length,
        "m2": sheet.measures.area,
        "m3": sheet.measures.volume,
        "kg": sheet.measures.mass,
    }
    if unit in show:
        return show[unit](value)
    number = f"{value:,.0f}" if abs(value - round(value)) < 1e-6 else f"{value:,.1f}"
    return number if unit == "each" else f"{number} {sheet.term(unit)}"


def _money(amount: Decimal | None, currency: str, language: str) -> str:
    return "" if amount is None else show_money(amount, currency, language)


def _total(sheet: Sheet, priced: bool) -> dict[str, Any]:
    takeoff = sheet.plan.takeoff
    if takeoff.total is not None:
        money = _money(takeoff.total, takeoff.currency, sheet.language)
        hauled = any(item.group == "removal" for item in takeoff.items)
        return {
            "label": sheet("materials.total_hauled" if hauled else "materials.total"),
            "value": money,
            "missing": "",
            "note": sheet("materials.not_in_total"),
        }
    if not priced:
        return {"label": sheet("materials.no_prices"), "value": "", "missing": "", "note": ""}
    lacking = [item.code for item in takeoff.items if item.price is None]
    return {
        "label": sheet("materials.no_total"),
        "value": "",
        "missing": sheet("materials.missing_prices", codes=", ".join(lacking)),
        "note": "",
    }


def _concrete(sheet: Sheet) -> list[dict[str, Any]]:
    """Concrete of one hole of each sort, and bags for it."""
    groups: dict[tuple[float, ...], list[Post]] = {}
    for post in sheet.plan.design.posts:
        hole = post.hole
        if hole is not None and hole.fill == "concrete":
            area = math.pi / 4 * post.width_m**2 if post.round else post.width_m * post.depth_m
            groups.setdefault((hole.diameter_m, hole.depth_m, area, hole.gravel_m), []).append(post)
    rows = []
    for key, posts in groups.items():
        net = hole_volumes(*key)[1]
        rows.append(
            {
                "posts": ranges(post.label for post in posts),
                "count": len(posts),
                "each": sheet.measures.volume(net),
                "all": sheet.measures.volume(net * len(posts)),
                "bags": [f"{bags_needed(net, bag)} ({net / bag:.1f})" for bag in BAG_YIELDS_M3.values()],
            }
        )
    return rows


def _remarks(sheet: Sheet) -> list[str]:
    return [say(remark, sheet.plan.settings) for remark in sheet.plan.takeoff.remarks]
