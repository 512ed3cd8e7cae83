"""Stock as a buyer reads it: sizes in the words of the job, with millimetres beside inches; and the cutting list."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from typing import Any

from palewright.model import Bay, Cut, CutPart, Item, Plan, Post
from palewright.notation import show_inches
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet
from palewright.papers.words import has, text
from palewright.supply import post_material
from palewright.tables import section, section_names

__all__ = ["bought_size", "bought_words", "buy_unit", "cutting", "item_name", "post_pairs", "post_words", "size_words"]

_RUN = 4

_LAPS_M = 0.3048
"""A split rail that is longer than from far post face to far post face by at most this is set as bought, its ends a
little past the posts (common practice)."""

_MEASURE = re.compile(r"(?P<numbers>\d[\d./ ]*?(?: x \d[\d./ ]*?)*) (?P<unit>cu ft|cu yd|ft|in|lb|gauge)\b")
_OPENING = re.compile(r"for a ([^,]+) opening")
_METRIC = {
    "ft": (0.3048, "m", 2),
    "in": (25.4, "mm", 0),
    "lb": (0.45359237, "kg", 0),
    "cu ft": (28.316846592, "L", 0),
    "cu yd": (0.764554857984, "m³", 1),
}
_TABLES = {"vinyl": "vinyl", "metal": "metal", "composite": "composite", "split": "split"}


def item_name(what: str, language: str) -> str:
    """The name of an item of the take-off; a slug that has none is printed in plain letters.

    >>> item_name("post", "es"), item_name("snow-plough", "en")
    ('Poste', 'snow plough')
    """
    return text(f"item.{what}", language) if has(f"item.{what}") else what.replace("-", " ")


def size_words(sheet: Sheet, size: str, code: str = "") -> str:
    """A size of stock in the job's language; a metric job has both: stock is sold by inches and feet.

    size
        in plain English words ("4x4 x 10 ft"). code: of its line, which says whose table a trade name is of.
    """
    name, _, rest = size.partition(" x ")
    table = _TABLES.get(code.split(".")[1] if "." in code else "", "lumber")
    if name in section_names(table):
        words = sheet.term(name) + _real(sheet, table, name)
        if code.startswith("post.") and has(f"materials.of_{table}"):
            words = sheet(f"materials.of_{table}", size=words)
        return " x ".join(part for part in (words, _measures(sheet, rest)) if part)
    if code.startswith("post.pipe."):
        words = sheet("materials.of_pipe", size=_measures(sheet, name))
        return " x ".join(part for part in (words, _measures(sheet, rest)) if part)
    return _measures(sheet, size)


def post_words(sheet: Sheet, post: Post) -> str:
    """A post as one asks for it: "2 3/8 in pipe", "5x5 vinyl", "4x4"."""
    material = post_material(sheet.kinds()[post.kind])
    size = f"{post.section} in" if material == "pipe" else post.section
    return size_words(sheet, size, f"post.{material}.")


def _real(sheet: Sheet, table: str, name: str) -> str:
    if sheet.measures.style != "metric":
        return ""
    entry = section(table, name)
    sides = (entry.width_m,) if entry.round else sorted((entry.width_m, entry.thick_m))
    return f" ({' x '.join(f'{side * 1000:.0f}' for side in sides)} mm)"


def _measures(sheet: Sheet, text: str) -> str:
    """Units in the job's language, each measure with its metric one behind it where the job is metric."""

    def shown(found: re.Match[str]) -> str:
        unit = found["unit"]
        if unit == "gauge":
            return sheet("materials.gauge", number=found["numbers"])
        values = [float(sum(map(Fraction, number.split()))) for number in found["numbers"].split(" x ")]
        one = f"{unit}+one" if max(values) <= 1 and has(f"term.{unit}+one") else unit
        words = f"{found['numbers']} {sheet.term(one)}"
        if sheet.measures.style != "metric":
            return words
        factor, unit, places = _METRIC[unit]
        values = [value * factor for value in values]
        return f"{words} ({' x '.join(f'{v:.{places if v >= 10 or places else 1}f}' for v in values)} {unit})"

    return _MEASURE.sub(shown, text)


def buy_unit(sheet: Sheet, item: Item) -> str:
    """The unit that an item is bought in, one or many: "box of 100" is a box and a count."""
    head, of, count = item.buy_unit.partition(" of ")
    head = sheet(f"unit.{head}{'+many' if item.buy != 1 else ''}")
    return f"{head} {sheet('common.of')} {size_words(sheet, count)}" if of else head


def bought_size(sheet: Sheet, item: Item) -> str:
    """The size of an item as one asks for it; of what is removed the name of the old fence, as typed."""
    if item.what in ("gate-leaf", "gate-pair"):
        return _gate(sheet, item)
    opening = _OPENING.fullmatch(item.size)
    if opening:
        return sheet("materials.opening", opening=_measures(sheet, opening[1]))
    return item.size if item.group == "removal" else size_words(sheet, item.size, item.code)


def bought_words(plan: Plan, language: str) -> list[tuple[str, str]]:
    """What each item of the take-off is, with its size, and the unit that it is bought in, in a language."""
    sheet = Sheet.of(replace(plan, settings=replace(plan.settings, language=language)))
    return [
        (f"{item_name(item.what, language)} {bought_size(sheet, item)}".strip(), buy_unit(sheet, item))
        for item in plan.takeoff.items
    ]


def _gate(sheet: Sheet, item: Item) -> str:
    """A gate that is bought, as it is asked for: the opening it is for, the leaf, the height."""
    gate = next((gate for gate in sheet.plan.design.gates if gate.name in item.gates), None)
    if gate is None:
        return size_words(sheet, item.size, item.code)
    high = item.code.rpartition("x")[2].removesuffix("in")
    sizes = (gate.opening_m / 0.0254, gate.leaf_m / 0.0254, float(high))
    opening, leaf, height = (_measures(sheet, f"{_inches(value)} in") for value in sizes)
    key = "materials.gate" if gate.leaves == 1 else "materials.gate_pair"
    return sheet(key, opening=opening, leaf=leaf, height=height)


def _inches(value: float) -> str:
    return show_inches(value * 0.0254, 16).removesuffix('"')


def cutting(sheet: Sheet) -> list[dict[str, Any]]:
    """What to cut, by what is bought: lengths of stock cut alike in one row, the longest stock and part first."""
    takeoff = sheet.plan.takeoff
    sizes = {item.code: item.size for item in takeoff.items}
    groups: dict[tuple[str, str], list[Cut]] = {}
    for cut in takeoff.cuts:
        groups.setdefault((cut.what, cut.code.rpartition(".")[0]), []).append(cut)
    bounds = {
        (reason.quantity.removesuffix(" bought"), reason.about): float(dict(reason.inputs).get("bound_m", 0.0))
        for reason in takeoff.reasons
        if reason.quantity.endswith(" bought")
    }
    return [
        {
            "name": f"{item_name(what, sheet.language)} {size_words(sheet, _bare(sizes.get(cuts[0].code, '')), code)}",
            "said": _said(sheet, cuts, bounds.get((what, code), 0.0)),
            "note": sheet("materials.cut_pointed") if what == "split-rail" else "",
            "rows": _rows(sheet, cuts, sizes),
        }
        for (what, code), cuts in groups.items()
    ]


def _bare(size: str) -> str:
    """A size without the length of the stock."""
    return size.rpartition(" x ")[0]


def _said(sheet: Sheet, cuts: Sequence[Cut], bound: float) -> str:
    bought = sum(cut.stock_m * cut.count for cut in cuts)
    key = "materials.cut_least" if bought <= bound + 1e-6 else "materials.cut_bound"
    return sheet(key, bought=sheet.measures.length(bought), least=sheet.measures.length(bound))


def _rows(sheet: Sheet, cuts: Sequence[Cut], sizes: dict[str, str]) -> list[dict[str, str]]:
    bays = {bay.number: bay for bay in sheet.plan.design.bays}
    alike: dict[tuple[Any, ...], list[Cut]] = {}
    for cut in cuts:
        lengths = tuple(sheet.measures.length(part.length_m) for part in cut.parts)
        key = tuple(-round(part.length_m, 3) for part in cut.parts)
        if _whole(cut):
            lengths, key = (sheet("materials.cut_whole"),), (-cut.stock_m,)
        alike.setdefault((-cut.stock_m, key, lengths), []).append(cut)
    rows = []
    for (_, _, lengths), mine in sorted(alike.items(), key=lambda pair: pair[0][:2]):
        stock = size_words(sheet, sizes.get(mine[0].code, "").rpartition(" x ")[2])
        rows.append(
            {
                "take": f"{sum(cut.count for cut in mine)} × {stock}",
                "cut": " + ".join(_times(len(list(same)), length) for length, same in groupby(lengths)),
                "for": _for(sheet, mine, bays),
                "left": "" if _whole(mine[0]) else sheet.measures.small(mine[0].left_m),
            }
        )
    return rows


def _whole(cut: Cut) -> bool:
    """Whether a split rail is set as bought: what is over goes into the laps."""
    return cut.what == "split-rail" and len(cut.parts) == 1 and cut.left_m <= _LAPS_M + 1e-6


def _times(count: int, what: str) -> str:
    return f"{count} × {what}" if count > 1 else what


def _for(sheet: Sheet, cuts: Sequence[Cut], bays: Mapping[int, Bay]) -> str:
    """Between which posts, or for which gates; those together that are cut as often: "3-5, 7-8 (3 of each)"."""
    by_count: dict[int, list[Cut]] = {}
    for cut in cuts:
        by_count.setdefault(cut.count, []).append(cut)
    said = []
    for count, mine in sorted(by_count.items(), reverse=True):
        labels = ", ".join(_labels(mine, bays))
        each = f"{count}" if len(mine) == 1 else sheet("materials.cut_each", count=count)
        said.append(f"{labels} ({each})" if count > 1 else labels)
    return "; ".join(said)


def _labels(cuts: Sequence[Cut], bays: Mapping[int, Bay]) -> Iterator[str]:
    """A label for each cut; four or more parts that go on from each other are named by the first and the last."""
    rows = sorted(cuts, key=lambda cut: [part.bays for part in cut.parts])
    place = 0
    while place < len(rows):
        run = 1
        while place + run < len(rows) and _goes_on(rows[place + run - 1], rows[place + run]):
            run += 1
        if run >= _RUN:
            yield f"{_label(rows[place], bays)} … {_label(rows[place + run - 1], bays)}"
        else:
            yield from (_label(cut, bays) for cut in rows[place : place + run])
        place += run


def _goes_on(one: Cut, two: Cut) -> bool:
    if len(one.parts) != 1 or len(two.parts) != 1:
        return False
    before, after = one.parts[0].bays, two.parts[0].bays
    return bool(before) and len(before) == len(after) and after[0] == before[-1] + 1


def _label(cut: Cut, bays: Mapping[int, Bay]) -> str:
    return " + ".join(name for name, _ in groupby(_part(part, bays) for part in cut.parts))


def _part(part: CutPart, bays: Mapping[int, Bay]) -> str:
    if part.bays:
        return ", ".join(f"{first}-{last}" for first, last in post_pairs(part.bays, bays))
    return ", ".join(short(name, 30) for name in part.gates)


def post_pairs(numbers: Iterable[int], bays: Mapping[int, Bay]) -> list[tuple[str, str]]:
    """Bays by the posts they stand between, those that go on from each other as one: first post and last.

    numbers
        of the bays, in order; one that is not among ``bays`` is left out. A row that comes back to its first post is
        told in two.
    """
    pairs: list[tuple[str, str]] = []
    for bay in (bays[number] for number in numbers if number in bays):
        if pairs and pairs[-1][1] == bay.start and pairs[-1][0] != bay.end:
            pairs[-1] = (pairs[-1][0], bay.end)
        else:
            pairs.append((bay.start, bay.end))
    return pairs
