"""The rules of a fence of wire: the documents that the job names, laid over what holds for its kind."""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction

from palewright.errors import JobError, Problem, Where
from palewright.layout.line_sizes import stock_m
from palewright.model import FenceSpec, WireRule, WireRules
from palewright.tables.wire import WireEntry, wire_documents, wire_keys, wire_kind, wire_kind_names

__all__ = ["is_wire", "resolve_wire"]

_BRACES = ("none", "single", "double", "by pull", "strut")
_STOCK = ("post line", "post steel", "post brace", "post pulled", "rail")
_ASKED = ("longest bay", "longest pull", "brace", "anchor over", "corner from", "wood every", "depth line")


def is_wire(spec: FenceSpec) -> bool:
    """Whether a fence is a kind of wire.

    >>> is_wire(FenceSpec("pasture", "woven wire")), is_wire(FenceSpec("rear", "boards"))
    (True, False)
    """
    return spec.kind.endswith(" wire") and spec.kind in wire_kind_names()


def resolve_wire(spec: FenceSpec) -> WireRules:
    """The rules of a fence of wire.

    spec
        ``rules``: names of documents, separated by commas; ``wire side``; ``stays``; any key of a document, which then
        stands as typed.
    A document that was read later in the row fills what those before it do not say; common practice fills the rest.
    Raises JobError with every problem: a document or a key that is not known, a value out of range.

    >>> rules = resolve_wire(FenceSpec("pasture", "woven wire", (("rules", "tennessee 2002"),)))
    >>> round(rules.number("longest bay") / 0.3048, 6), rules.rule("longest bay").source
    (14.0, 'nrcs-382-tn')
    """
    problems: list[Problem] = []
    places = dict(spec.value_places)
    typed = dict(spec.values)
    names = [name.strip().lower() for name in str(typed.pop("rules", "")).split(",") if name.strip()]
    side = str(typed.pop("wire side", ""))
    documents = [_document(name, places.get("rules", spec.at), problems) for name in names]
    found: dict[str, WireEntry] = {}
    for name in documents:
        for (key, kind), said in (wire_documents()[name].rules if name else {}).items():
            if kind == spec.kind:
                found.setdefault(key, said)
    base = wire_kind(spec.kind)
    silent = tuple(key for key in _ASKED if key not in found)
    merged = base | found
    for key, value in typed.items():
        entry = _typed(spec, key, value, merged.get(key), places.get(key, spec.at), problems)
        if entry is not None:
            merged[key] = entry
    if problems:
        raise JobError(problems)
    _stayed(merged, typed)
    side = side or (str(found["wire side"].value) if "wire side" in found else "")
    made = tuple(_rule(key, entry) for key, entry in merged.items() if key != "wire side")
    return WireRules(spec.name, spec.kind, tuple(name for name in documents if name), made, silent, side)


def _rule(key: str, entry: WireEntry) -> WireRule:
    if isinstance(entry.value, tuple):
        return WireRule(key, float(len(entry.value)), entry.unit, entry.source, entry.words, entry.value)
    return WireRule(key, entry.value, entry.unit, entry.source, entry.words)


def _stayed(merged: dict[str, WireEntry], typed: dict[str, float | int | str | bool]) -> None:
    """With stays asked for, the longer bay of the document holds unless one is typed."""
    if float(_number(merged["stays"].value)) and "stayed bay" in merged and "longest bay" not in typed:
        merged["longest bay"] = merged["stayed bay"]


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else 0.0


def _nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest of the known words; "" where none is near."""
    from difflib import get_close_matches

    close = get_close_matches(word, known, 1)
    return f"did you mean {close[0]}?" if close else ""


def _document(name: str, at: Where, problems: list[Problem]) -> str:
    if name in wire_documents():
        return name
    problems.append(
        Problem("wire-rules-unknown", "no document of this name is known", at, found=name,
                allowed=", ".join(wire_documents()),
                hint=_nearest(name, wire_documents()) or "type its numbers as keys of the fence")
    )  # fmt: skip
    return ""


def _typed(
    spec: FenceSpec, key: str, value: float | int | str | bool, known: WireEntry | None, at: Where,
    problems: list[Problem],
) -> WireEntry | None:  # fmt: skip
    if known is None and key not in wire_keys():
        problems.append(
            Problem("kind-key-unknown", f"the kind {spec.kind} has no such key", at, found=key,
                    allowed=", ".join(["rules", *wire_keys()]), hint=_nearest(key, ["rules", *wire_keys()]))
        )  # fmt: skip
        return None
    if key == "brace":
        if value in _BRACES:
            return WireEntry(str(value), "", "as typed", "")
        problems.append(Problem("wire-value", "this is no kind of brace", at, found=str(value),
                                allowed=", ".join(_BRACES)))  # fmt: skip
        return None
    if known is not None and isinstance(known.value, str):
        words = _stock_words(value) if isinstance(value, float) else str(value)
        if key in _STOCK and not _is_stock(words):
            problems.append(Problem("wire-value", f"`{key}` has no length of stock", at, found=str(value),
                                    allowed="a size and a length as 4 in x 6 1/2 ft, or a length"))  # fmt: skip
            return None
        return WireEntry(words, "", "as typed", "")
    if known is not None and isinstance(known.value, tuple):
        problems.append(Problem("wire-value", f"`{key}` comes with a document, and is not typed", at, found=str(value)))
        return None
    unit = (known or _elsewhere(key)).unit
    number = _as_number(str(value).removesuffix("°") if unit == "rad" else value)
    if unit == "rad" and number is not None and number <= 180.0:
        return WireEntry(math.radians(number), unit, "as typed", "")
    least = 0.0 if key in ("stays", "wood every", "strands", "tie", "splice", "dip") else 0.0254
    length = isinstance(value, float) or not unit
    if number is None or number < least or not length:
        allowed = "a length with its unit" if unit == "m" else "a number, 0 or more"
        problems.append(Problem("wire-value", f"`{key}` cannot be this", at, found=str(value), allowed=allowed))
        return None
    return WireEntry(number, unit, "as typed", "")


def _stock_words(length_m: float) -> str:
    """A typed length as stock is named: in feet and eighths where it is such, else in metres.

    >>> _stock_words(6.5 * 0.3048), _stock_words(2.1)
    ('6 1/2 ft', '2.1 m')
    """
    eighths = round(length_m / 0.3048 * 8.0)
    if abs(eighths * 0.3048 / 8.0 - length_m) > 1e-6:
        return f"{length_m:.10g} m"
    whole, over = divmod(Fraction(eighths, 8), 1)
    return f"{whole} {over} ft" if over else f"{whole} ft"


def _is_stock(words: str) -> bool:
    try:
        return stock_m(words) > 0.0
    except ValueError:
        return False


def _elsewhere(key: str) -> WireEntry:
    """What a document, about whatever kind, has under a key that the kind itself does not have."""
    return next(rule for one in wire_documents().values() for (name, _), rule in one.rules.items() if name == key)


def _as_number(value: float | int | str | bool) -> float | None:
    if isinstance(value, bool):
        return None
    try:
        number = float(value)
    except ValueError:
        return None
    return number if 0.0 <= number < 1e7 else None
