"""Tables for a spreadsheet: posts, holes, materials. RFC 4180: commas, quotes, CRLF, a header line."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from palewright.model import Hole, Plan, Post
from palewright.notation import show_inches, show_length

__all__ = ["holes_csv", "materials_csv", "posts_csv", "safe_cell"]

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def safe_cell(text: str) -> str:
    """Text that a spreadsheet does not take for a formula: an apostrophe before = + - @, a tab or a return.

    >>> safe_cell("=1+1"), safe_cell("oak")
    ("'=1+1", 'oak')
    """
    return "'" + text if text.startswith(_FORMULA) else text


def posts_csv(plan: Plan) -> str:
    """Every post and wall bracket: label, role, run and station, place in metres and as printed, section, heights.

    ``dig`` says how its hole may be dug: "wait (locate not entered)", "by hand" or "machine".
    A post that stands in two runs has its other places under ``also``. ``x`` is east and ``y`` north where the plan has
    north, else along and square to its base line.
    """
    head = [
        "post", "role", "fence", "run", "station_m", "station", "also", "x_m", "y_m", "x", "y",
        "section", "above_m", "length_m", "above", "length", "dig",
    ]  # fmt: skip
    return _table(head, (_post_row(plan, post) for post in plan.design.posts))


def _post_row(plan: Plan, post: Post) -> list[str]:
    def printed(metres: float) -> str:
        return show_length(metres, plan.settings.print_style, plan.settings.fraction)

    run, station = post.places[0] if post.places else ("", 0.0)
    also = "; ".join(f"{name} {printed(at)}" for name, at in post.places[1:])
    return [
        safe_cell(post.label), post.role, safe_cell(post.kind), safe_cell(run), _metres(station), printed(station),
        safe_cell(also), _metres(post.xy[0]), _metres(post.xy[1]), printed(post.xy[0]), printed(post.xy[1]),
        safe_cell(post.section), _metres(post.above_m), _metres(post.length_m),
        printed(post.above_m), printed(post.length_m), _dig(plan, post.hole),
    ]  # fmt: skip


def holes_csv(plan: Plan) -> str:
    """Every hole: post, diameter, depth, gravel, in the ground [m and as printed], rule, fill, zones, how to dig."""
    head = [
        "post", "diameter_m", "depth_m", "gravel_m", "in_ground_m", "diameter", "depth", "gravel", "in_ground",
        "governs", "fill", "hand_dig", "zones", "dig",
    ]  # fmt: skip
    fraction = plan.settings.fraction
    rows = []
    for post in plan.design.posts:
        hole = post.hole
        if hole is None:
            continue
        sizes = (hole.diameter_m, hole.depth_m, hole.gravel_m, hole.in_ground_m)
        if plan.settings.print_style == "feet-inches":
            words = [show_inches(size, fraction) for size in sizes]
        else:
            words = [show_length(size, plan.settings.print_style, fraction) for size in sizes]
        zones = "; ".join(hit.zone for hit in hole.hits)
        rows.append(
            [safe_cell(post.label), *(_metres(size) for size in sizes), *words, hole.governs, hole.fill,
             "yes" if hole.hand_dig else "no", safe_cell(zones), _dig(plan, hole)]
        )  # fmt: skip
    return _table(head, rows)


def _dig(plan: Plan, hole: Hole | None) -> str:
    """How the hole may be dug; until the locate is entered nobody digs. "" for a wall bracket."""
    if hole is None:
        return ""
    if not plan.locate.entered:
        return "wait (locate not entered)"
    return "by hand" if hole.hand_dig else "machine"


def materials_csv(plan: Plan) -> str:
    """The list to buy: code, what, size, need, unit, waste, buy, purchase unit, what it serves, rule, price, cost."""
    head = [
        "code", "what", "size", "need", "unit", "waste_percent", "buy", "buy_unit", "per_buy_unit", "group", "posts",
        "bays", "gates", "rule", "source", "price", "cost", "currency", "note",
    ]  # fmt: skip
    currency = plan.takeoff.currency
    rows = []
    for item in plan.takeoff.items:
        priced = item.price is not None
        rows.append(
            [safe_cell(item.code), safe_cell(item.what), safe_cell(item.size), _number(item.need), item.unit,
             _number(item.waste * 100.0), str(item.buy), item.buy_unit, _number(item.per), item.group,
             safe_cell(" ".join(item.posts)), " ".join(str(bay) for bay in item.bays), safe_cell("; ".join(item.gates)),
             safe_cell(item.rule), safe_cell(item.source), str(item.price) if priced else "",
             str(item.cost) if item.cost is not None else "", currency if priced else "", safe_cell(item.note)]
        )  # fmt: skip
    return _table(head, rows)


def _metres(value: float) -> str:
    """Metres to a hundredth of a millimetre."""
    return f"{value:.5f}" if abs(value) >= 5e-6 else "0.00000"


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".") if value else "0"


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return out.getvalue()
