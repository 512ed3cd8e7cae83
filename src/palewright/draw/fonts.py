"""How wide a text is set: advance widths of the sans that the papers use."""

from __future__ import annotations

import functools
import re
import tomllib
from importlib import resources

__all__ = ["CAP", "DESCENT", "text_width", "wrap"]

CAP = 0.714
"""Height of a capital, as a fraction of the type size."""

DESCENT = 0.22
"""Depth of a comma or a g below the baseline, as a fraction of the type size."""

_UNKNOWN = 0.70
_GLUE = re.compile(r"(?<=['\d]) (?=\d+(?:[/\"]| \d+/))")


@functools.cache
def _widths(weight: str) -> dict[str, float]:
    data = tomllib.loads(resources.files("palewright.draw").joinpath("widths.toml").read_text("utf-8"))
    return {chr(int(code, 16)): int(width) / 1000.0 for width, codes in data[weight].items() for code in codes.split()}


@functools.lru_cache(maxsize=4096)
def _per_size(text: str, weight: str) -> float:
    table = _widths(weight)
    return sum(table.get(c, _UNKNOWN) for c in text)


def text_width(text: str, size_mm: float, weight: str = "regular") -> float:
    """Width of one line of text [mm] at a type size [mm].

    Characters that the table lacks count 0.7 of the size.

    >>> round(text_width("16' 4", 10.0), 2)
    22.01
    """
    return _per_size(text, weight) * size_mm


def wrap(text: str, size_mm: float, width_mm: float, weight: str = "regular") -> list[str]:
    r"""The text in lines no wider than ``width_mm``; a word longer than a line is broken, a length is not.

    >>> wrap("call before you dig", 3.0, 20.0)
    ['call before', 'you dig']
    >>> wrap("a gap of 6' 10 1/2\" here", 3.0, 14.0)
    ['a gap of', '6\' 10 1/2"', 'here']
    """
    lines: list[str] = []
    line = ""
    for glued in _GLUE.sub("\xa0", " ".join(text.split())).split(" "):
        word = glued.replace("\xa0", " ")
        longer = f"{line} {word}" if line else word
        if text_width(longer, size_mm, weight) <= width_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        while len(word) > 1 and text_width(word, size_mm, weight) > width_mm:
            cut = len(word) - 1
            while cut > 1 and text_width(word[:cut], size_mm, weight) > width_mm:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return [*lines, line] if line else lines
