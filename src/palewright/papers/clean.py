"""Text that the type can set: what the font lacks becomes a replacement mark."""

from __future__ import annotations

import functools
import re
import struct
import unicodedata
from pathlib import Path
from typing import Any

__all__ = ["MISSING", "clean", "covered", "short"]

MISSING = "\ufffd"
"""Stands for a character that the font cannot show."""

_UNBROKEN = re.compile(
    r"(?<=\d') (?=\d)|(?<=\d) (?=\d+/\d+\")|(?<=\d) (?=(?:m|mm|m²|m³|kg|lb|ft)\b)|(?<=±) (?=\d)|(?<=×) (?=\d)"
)


_BRACKET = re.compile(r"(?<=\bW\d)-(?=\d)|(?<=\d)-(?=W\d)")
_HYPHEN = re.compile(r"\b[^\W\d_]{1,10}-[^\W\d_]{1,10}\b(?!-)")


@functools.cache
def covered() -> frozenset[int]:
    """Code points that the sans of the papers can show, from the tables of its font file."""
    import fontpkg_noto_sans

    folder = Path(fontpkg_noto_sans.__file__).parent / "files"
    upright = next(path for path in sorted(folder.glob("*.ttf")) if "Italic" not in path.name)
    return frozenset(_code_points(upright.read_bytes()))


def _code_points(font: bytes) -> set[int]:
    """Code points with a glyph: the ``cmap`` table, subtables of format 4 and 12 (OpenType specification, cmap)."""
    tables = {
        font[12 + 16 * k : 16 + 16 * k]: struct.unpack_from(">I", font, 20 + 16 * k)[0]
        for k in range(struct.unpack_from(">H", font, 4)[0])
    }
    start = tables[b"cmap"]
    found: set[int] = set()
    for k in range(struct.unpack_from(">H", font, start + 2)[0]):
        at = start + struct.unpack_from(">I", font, start + 8 + 8 * k)[0]
        form = struct.unpack_from(">H", font, at)[0]
        if form == 12:
            groups = struct.unpack_from(">I", font, at + 12)[0]
            for n in range(groups):
                first, last, glyph = struct.unpack_from(">III", font, at + 16 + 12 * n)
                found.update(range(first + (glyph == 0), last + 1))
    return found


def _char(letter: str) -> str:
    kind = unicodedata.category(letter)
    if kind in ("Zs", "Zl", "Zp") or letter in "\t\n\r\v\f":
        return " "
    if kind in ("Cc", "Cf", "Cs", "Co", "Cn") or "\ufe00" <= letter <= "\ufe0f":
        return "" if kind in ("Cc", "Cf") or "\ufe00" <= letter <= "\ufe0f" else MISSING
    return letter if ord(letter) in covered() else MISSING


def _text(value: str) -> str:
    if not (value.isascii() and value.isprintable()):
        value = "".join(_char(letter) for letter in unicodedata.normalize("NFC", value))
    return _BRACKET.sub("\u2011", _UNBROKEN.sub("\u00a0", value))


def clean(value: Any, firm: bool = False) -> Any:
    """The same data with every text made fit to set; what the font lacks becomes :data:`MISSING`.

    A length is kept on one line: its spaces become no-break spaces. ``firm``: short words with a hyphen too, for
    Spanish sets a second hyphen where a line breaks at one.

    >>> clean("hold 12' 0 there") == "hold 12'\\u00a00 there"
    True
    >>> clean({"a": ["ñ \\U0001f415", 2, None]})
    {'a': ['ñ \ufffd', 2, None]}
    >>> clean("trade-body", firm=True) == "trade\u2011body"
    True
    """
    if isinstance(value, str):
        return _HYPHEN.sub(lambda word: word[0].replace("-", "\u2011"), _text(value)) if firm else _text(value)
    if isinstance(value, dict):
        return {key: clean(item, firm) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [clean(item, firm) for item in value]
    return value


def short(value: str, most: int) -> str:
    """A text of at most ``most`` characters (2 or more), cut with three dots.

    >>> short("Tansy Court lot 7", 10)
    'Tansy Cou…'
    """
    value = " ".join(value.split())
    return value if len(value) <= most else value[: most - 1].rstrip() + "…"
