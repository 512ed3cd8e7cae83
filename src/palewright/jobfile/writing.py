"""How values are written into a job file: plain where that is safe, in quotes where it is not."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from textwrap import wrap

from palewright.jobfile.values import UNSURE_NAME
from palewright.record import Record

__all__ = ["Indent", "Plain", "write_block", "write_item", "write_value"]

Plain = str | int | bool | None | Sequence["Plain"] | Mapping[str, "Plain"]

WIDTH = 120
"""A line of a job file that a person can read."""

_BAD_START = set("-?:,[]{}#&*!|>'\"%@`=~ ")
_NULLS = frozenset({"", "null", "Null", "NULL", "<<"})
_FLOW = re.compile(r"[,\[\]{}]")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


class Indent(Record):
    """How far lines stand in from what they belong to: keys of a table from its key, dashes of a list from its key, and
    what an item holds from its dash."""

    table: int = 2
    dash: int = 2
    item: int = 2


USUAL = Indent()


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


def write_block(value: Plain, levels: int, column: int, lead: int = 0, indent: Indent = USUAL) -> str:
    """A value as it stands behind ``key:``, its lines in block style for so many levels; brackets below them.

    column
        of the key (or of the dash) it belongs to; ``lead``: how many characters stand before it on its first line.
    Lists of tables inside a table stand in lines; brackets that are too long for a line are broken at a comma, and a
    long text is folded.

    >>> print("runs:" + write_block([{"name": "rear", "through": ["A", "B"], "gates": [{"opening": "4 ft"}]}], 2, 0))
    runs:
      - name: rear
        through: [A, B]
        gates:
          - {opening: 4 ft}
    """
    if isinstance(value, str) and len(value) > WIDTH and value == " ".join(value.split()) and value.isprintable():
        pad = "\n" + " " * (column + 2)
        return " >-" + "".join(pad + row for row in wrap(value, WIDTH - column - 2, break_long_words=False,
                                                        break_on_hyphens=False))  # fmt: skip
    if levels <= 0 or isinstance(value, str) or not isinstance(value, Mapping | Sequence) or not value:
        return " " + write_wrapped(value, column, max(lead, column) + 1)
    inner = column + (indent.table if isinstance(value, Mapping) else indent.dash)
    pad = "\n" + " " * inner
    if isinstance(value, Mapping):
        return "".join(pad + row for row in _rows(value, levels, inner, indent))
    return "".join(pad + "-" + write_item(item, levels - 1, inner, indent) for item in value)


def write_item(item: Plain, levels: int, column: int, indent: Indent = USUAL) -> str:
    """An item of a list as it stands behind its dash at ``column``; its lines in block style for so many levels."""
    inner = column + indent.item
    blanks = " " * (indent.item - 1)
    if levels > 0 and isinstance(item, Mapping) and item:
        return blanks + ("\n" + " " * inner).join(_rows(item, levels, inner, indent))
    return blanks + write_wrapped(item, column, inner)


def _rows(value: Mapping[str, Plain], levels: int, column: int, indent: Indent) -> list[str]:
    rows = []
    for name, item in value.items():
        key = _write_text(str(name), False) + ":"
        deeper = levels - 1
        if deeper <= 0 and isinstance(item, Sequence) and not isinstance(item, str):
            tables = bool(item) and all(isinstance(part, Mapping) for part in item)
            deeper = int(tables or (column + len(key) + len(write_value(item)) > WIDTH and len(item) > 2))
        rows.append(key + write_block(item, deeper, column, column + len(key), indent))
    return rows


def write_wrapped(value: Plain, column: int, start: int) -> str:
    """A value in brackets, broken at commas between its parts where the line would get too long."""
    text = write_value(value, False)
    if start + len(text) <= WIDTH or isinstance(value, str) or not isinstance(value, Mapping | Sequence):
        return text
    if isinstance(value, Mapping):
        parts = [f"{_write_text(str(key), True)}: {write_value(item, True)}" for key, item in value.items()]
    else:
        parts = [write_value(item, True) for item in value]
    indent = max(start + 1, column + 1)
    lines = [text[0]]
    for k, part in enumerate(parts):
        piece = part + ("," if k + 1 < len(parts) else text[-1])
        room = indent if len(lines) > 1 else start
        if len(lines[-1]) > 1 and room + len(lines[-1]) + len(piece) + 1 > WIDTH:
            lines.append(piece)
        else:
            lines[-1] += piece if len(lines[-1]) == 1 and len(lines) == 1 else " " + piece
    return ("\n" + " " * indent).join(lines)


def _write_text(text: str, flow: bool) -> str:
    if _is_plain(text, flow):
        return text
    if "'" not in text and text.isprintable():
        return f"'{text}'"
    signs = [_ESCAPES.get(sign) or (sign if sign.isprintable() else f"\\U{ord(sign):08x}") for sign in text]
    return '"' + "".join(signs) + '"'


def _is_plain(text: str, flow: bool) -> bool:
    """True when the text means itself without quotes."""
    negative = text[0:1] == "-" and text[1:2].isdigit()
    if text in _NULLS or (text[0] in _BAD_START and not negative) or text != text.strip() or not text.isprintable():
        return False
    if ": " in text or " #" in text or text.endswith(":") or UNSURE_NAME.fullmatch(text) or text.startswith("..."):
        return False
    return not (flow and (_FLOW.search(text) or ":" in text))
