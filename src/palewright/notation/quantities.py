"""Forces, pressures, areas, weights per length and temperatures, from ``quantities.toml`` beside this file."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from palewright.notation.scan import LONGEST_TEXT, bad

__all__ = ["parse_quantity"]

_NUMBER = re.compile(
    r"\s*(?P<sign>[-+\u2212\u2013]?)\s*"
    r"(?:(?P<above>\d{1,15})/(?P<below>\d{1,15})|"
    r"(?P<number>(?:\d{1,3}(?:,\d{3})+|\d{1,15})(?:\.\d{0,15})?|\.\d{1,15})(?P<power>e[-+]?\d{1,3})?)(?P<unit>.*)",
    re.IGNORECASE | re.DOTALL | re.ASCII,
)


@cache
def _table() -> dict[str, Any]:
    data = tomllib.loads(Path(__file__).with_name("quantities.toml").read_text(encoding="utf-8"))
    for entry in data.values():
        entry["by word"] = {word: unit for unit in entry["units"] for word in unit["words"]}
    return data


def parse_quantity(text: str, kind: str) -> float:
    """Read one quantity with its unit.

    text
        up to 200 characters: a number (``15``, ``1,234.5``, ``29e6``, ``3/8``), then a unit.
    kind
        "force" [N], "pressure" [Pa], "area" [m2], "weight per length" [N/m], "temperature" [C] or "expansion" [1/K];
        ``lb`` as a force is a pound-force. Only a temperature may be negative.
    Returns the SI number (temperature in degrees C). Raises NotationError, KeyError for another kind.
    Source: NIST SP 811, appendix B.8.

    >>> round(parse_quantity("15 lb", "force"), 4), parse_quantity("68 F", "temperature")
    (66.7233, 20.0)
    >>> round(parse_quantity("29e6 psi", "pressure") / 1e9, 2), round(parse_quantity("0.004 sq in", "area") * 1e6, 5)
    (199.95, 2.58064)
    """
    entry = _table()[kind]
    example = entry["example"]
    if len(text) > LONGEST_TEXT:
        raise bad(text, "text-too-long", "the text is too long to be one value", 0, 40, allowed="200 characters")
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise bad(
            text, "quantity-unreadable", f"a {kind} is expected here", 0, len(text),
            allowed=example, hint="a number, then its unit",
        )  # fmt: skip
    word = _plain(match["unit"])
    if not word:
        raise bad(text, "unit-missing", "the number has no unit", 0, len(text), allowed=example)
    unit = entry["by word"].get(word)
    if unit is None:
        raise bad(text, "unit-unknown", f"this is not a unit of {kind}", *match.span("unit"), allowed=example)
    number = _number(match)
    value = math.nan if number is None else float((number - unit.get("zero", 0.0)) * unit["si"])
    if not entry.get("least", 0.0) <= value < math.inf:
        raise bad(
            text, "quantity-out-of-range", f"no {kind} has this value", match.start(), match.start("unit"),
            allowed=example, hint="check the number and its sign",
        )  # fmt: skip
    return value


def _number(match: re.Match[str]) -> float | None:
    sign = -1.0 if match["sign"] not in ("", "+") else 1.0
    if match["above"]:
        below = int(match["below"])
        return sign * int(match["above"]) / below if below else None
    return sign * float(match["number"].replace(",", "") + (match["power"] or ""))


def _plain(unit: str) -> str:
    word = re.sub(r"[\s.^]", "", unit).lower().replace("²", "2").replace("º", "°").replace("degrees", "°")
    return word.replace("per", "/")
