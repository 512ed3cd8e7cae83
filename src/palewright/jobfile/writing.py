"""How values are written into a job file: plain where that is safe, in quotes where it is not."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from palewright.jobfile.values import UNSURE_NAME

__all__ = ["Plain", "write_value"]

Plain = str | int | bool | None | Sequence["Plain"] | Mapping[str, "Plain"]

_BAD_START = set("-?:,[]{}#&*!|>'\"%@`=~ ")
_NULLS = frozenset({"", "null", "Null", "NULL", "<<"})
_FLOW = re.compile(r"[,\[\]{}]")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def write_value(value: Plain, flow: bool = False) -> str:
    """A value as it is typed in a job file, on one line.

    value
        text, a whole number, True or False (written yes or no), None (written ``_``, a skipped name), a sequence or a
        mapping of these.
    flow
        True inside [ ] or { }, where commas and brackets need quotes.

    >>> write_value({"opening": "4 ft", "names": ["A", "pin, cap"]})
    "{opening: 4 ft, names: [A, 'pin, cap']}"
    """
    if value is None:
        return "_"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _write_text(value, flow)
    if isinstance(value, Mapping):
        inner = (f"{_write_text(str(key), True)}: {write_value(item, True)}" for key, item in value.items())
        return "{" + ", ".join(inner) + "}"
    return "[" + ", ".join(write_value(item, True) for item in value) + "]"


def _write_text(text: str, flow: bool) -> str:
    if _is_plain(text, flow):
        return text
    if "'" not in text and text.isprintable():
        return f"'{text}'"
    signs = [_ESCAPES.get(sign) or (sign if sign.isprintable() else f"\\U{ord(sign):08x}") for sign in text]
    return '"' + "".join(signs) + '"'


def _is_plain(text: str, flow: bool) -> bool:
    """True when the text means itself without quotes."""
    if text in _NULLS or text[0] in _BAD_START or text != text.strip() or not text.isprintable():
        return False
    if ": " in text or " #" in text or text.endswith(":") or UNSURE_NAME.fullmatch(text) or text.startswith("..."):
        return False
    return not (flow and (_FLOW.search(text) or ":" in text))
