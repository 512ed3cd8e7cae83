"""How wide, how long and how deep the posts of a run of wire are, by their role."""

from __future__ import annotations

import math
import re

from palewright.model import WireRules

__all__ = ["STEEL_M", "post_depth", "post_length", "post_width", "post_words", "stock_m"]

STEEL_M = 0.0508
"""Across a driven post of steel [m]: 2 in (from memory)."""
_DEEPER_M = 0.3048
"""A post in a dip is longer and stands deeper by 1 ft: wire lifts it (common practice)."""
_STANDARD_M = 4.0 * 0.0254
"""Across a post whose words do not say [m]: 4 in (common practice)."""
_KEYS = {"brace": "post brace", "steel": "post steel"} | dict.fromkeys(("wood", "stiff", "low", "high"), "post line")
_SIZE = re.compile(r".*?x ([0-9]+(?:\.[0-9]+)?)(?: ([0-9]+)/([1-9][0-9]*))? (ft|m)")
_WIDTH = re.compile(r"([0-9]+(?:\.[0-9]+)?) (in|mm)")
_UNITS = {"ft": 0.3048, "m": 1.0, "in": 0.0254, "mm": 0.001}


def post_words(rules: WireRules, role: str) -> str:
    """The stock of a post, "6 in x 8 ft"; of a gate post, whose width alone is a rule, the length of those pulled; of
    one in a dip, that of a line post a foot longer."""
    words = rules.word(_KEYS.get(role, "post pulled"))
    gate = rules.word("post gate") if role == "gate" else ""
    if role == "low":
        return _longer(words)
    if not gate or " x " in gate:
        return gate or words
    return f"{gate} x {words.rpartition(' x ')[2]}"


def _longer(words: str) -> str:
    """Stock that is a foot longer; metric stock the next decimetre up."""
    width, _, length = words.rpartition(" x ")
    whole, _, rest = length.partition(" ")
    longer = f"{int(whole) + 1} {rest}" if rest.endswith("ft") and whole.isdigit() else ""
    if not longer:
        metres = stock_m(words) + _DEEPER_M
        longer = f"{math.ceil(metres * 10.0 - 1e-9) / 10.0:g} m" if rest == "m" else f"{metres / 0.3048:.4g} ft"
    return f"{width} x {longer}" if width else longer


def post_length(rules: WireRules, role: str) -> float:
    """Length of a post [m]; role as in :class:`palewright.layout.line.Role`, in lower case."""
    words = post_words(rules, "wood" if role == "low" else role)
    return stock_m(words) + (_DEEPER_M if role == "low" else 0.0)


def post_depth(rules: WireRules, role: str) -> float:
    """How deep a post stands [m]."""
    key = {"post line": "depth line", "post steel": "depth steel"}.get(_KEYS.get(role, ""), "depth pulled")
    return rules.number(key) + (_DEEPER_M if role == "low" else 0.0)


def post_width(rules: WireRules, role: str) -> float:
    """Across a post [m]; a gate post has a width of its own."""
    if role == "steel":
        return STEEL_M
    first = _WIDTH.match(post_words(rules, role))
    return float(first[1]) * _UNITS[first[2]] if first else _STANDARD_M


def stock_m(words: str) -> float:
    """The length in the words of a stock post [m]: "4 in x 6 1/2 ft", "100 mm x 2.1 m", or a bare length "6 ft".

    Raises ValueError where they have none.

    >>> round(stock_m("4 in x 6 1/2 ft") / 0.3048, 3), round(stock_m("6 ft") / 0.3048, 3), stock_m("100 mm x 2.1 m")
    (6.5, 6.0, 2.1)
    """
    match = _SIZE.fullmatch(words if " x " in words else f"x {words}")
    if match is None:
        raise ValueError(f"no length in {words!r}")
    whole, over, under, unit = match.groups()
    return (float(whole) + (int(over) / int(under) if over else 0.0)) * _UNITS[unit]
