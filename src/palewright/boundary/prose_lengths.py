"""Lengths in a legal description: where one begins and ends among other words, and how well it is given."""

from __future__ import annotations

from palewright.boundary.prose_words import Text
from palewright.notation.angles import DEGREE
from palewright.notation.lengths import Length, read_length
from palewright.notation.scan import Token, mixed_number
from palewright.notation.units import units
from palewright.record import Record

__all__ = ["QUALIFIERS", "VARAS", "Options", "last_place", "length_at"]

QUALIFIERS = {"us", "survey", "international", "intl", "engineer", "engineers", "gunter", "gunters"}
VARAS = {"vara", "varas", "vr", "vrs"}


class Options(Record):
    """Unit of bare numbers, vara, foot and azimuths, as :func:`palewright.notation.parse_call` takes them."""

    unit: str = ""
    vara: str = ""
    foot: str = "international"
    azimuths: str = ""

    def length(self, text: str, tokens: list[Token]) -> Length:
        """A length from its tokens."""
        return read_length(text, tokens, unit=self.unit, vara=self.vara, foot=self.foot)


def length_at(text: Text, tokens: list[Token], at: int, options: Options) -> int:
    """Where a length with its unit that begins at a token ends; the token itself where none begins.

    Raises NotationError for a number that cannot be one.
    """
    known, end, smallest = units(), at, 0
    sizes = list(known.size)
    while True:
        number = mixed_number(text.plain, tokens, end)
        if number is None:
            return end
        after = _again(text, tokens, number[1])
        unit = after
        while unit < len(tokens) and tokens[unit].text in QUALIFIERS:
            unit += 1 + (2 if _is(tokens, unit + 1, "'") and _is(tokens, unit + 2, "s") else 0)
        if unit + 1 < len(tokens) and tokens[unit].text in known.vara and tokens[unit + 1].text in VARAS:
            unit += 1
        word = tokens[unit].text if unit < len(tokens) else ""
        name = "ft" if word == "'" else "in" if word == '"' else known.words.get(word, "vara" if word in VARAS else "")
        if not name:
            return after if end == at and options.unit and not _angle(tokens, after) else end
        rank = sizes.index((name, False)) if (name, False) in known.size else 0
        if end > at and (rank <= smallest or _thing(tokens, unit + 1)):
            return end
        smallest, end = rank, _qualified(tokens, unit + 1)
        whole = number[2]
        following = (
            end + 1 if end < len(tokens) and (tokens[end].kind in {",", "-"} or tokens[end].text == "and") else end
        )
        if not whole or mixed_number(text.plain, tokens, following) is None or name == "in":
            return end
        if _next_part(text, tokens, following, sizes, rank) == following:
            return end
        end = following


def _next_part(text: Text, tokens: list[Token], at: int, sizes: list[tuple[str, bool]], rank: int) -> int:
    """Next token after a smaller part of a length (25 links behind 3 chains); ``at`` where none stands there."""
    number = mixed_number(text.plain, tokens, at)
    if number is None or number[1] >= len(tokens):
        return at
    word = tokens[number[1]].text
    name = "ft" if word == "'" else "in" if word == '"' else units().words.get(word, "")
    if not name or sizes.index((name, False)) == rank or _thing(tokens, number[1] + 1):
        return at
    size = units().size
    return number[1] + 1 if size[name, False] < size[sizes[rank]] else at


def _is(tokens: list[Token], at: int, sign: str) -> bool:
    return at < len(tokens) and tokens[at].text == sign


def _angle(tokens: list[Token], at: int) -> bool:
    return at < len(tokens) and (tokens[at].text in DEGREE | {"%"} or tokens[at].kind == "-")


def _thing(tokens: list[Token], at: int) -> bool:
    """Whether a size of something stands here: 5/8 inch iron pin."""
    return at < len(tokens) and tokens[at].kind == "word" and tokens[at].text in {
        "iron", "rebar", "pipe", "rod", "pin", "dia", "diameter", "steel", "square", "round", "concrete", "bar", "bolt"
    }  # fmt: skip


def _again(text: Text, tokens: list[Token], at: int) -> int:
    """Next token after a number that stands again in brackets."""
    if not _is(tokens, at, "("):
        return at
    number = mixed_number(text.plain, tokens, at + 1)
    if number is None:
        return at
    end = number[1]
    while end < len(tokens) and (tokens[end].kind in {"'", '"'} or tokens[end].text in units().words):
        end += 1
    return end + 1 if _is(tokens, end, ")") and tokens[end - 1].kind != "word" else at


def _qualified(tokens: list[Token], at: int) -> int:
    """Next token after "(US survey)" or "(Texas)" behind a unit."""
    if not _is(tokens, at, "("):
        return at
    end = at + 1
    while end < len(tokens) and tokens[end].text in QUALIFIERS | {"ft", "feet", "foot", "'", "s"} | units().vara.keys():
        end += 1
    return end + 1 if end > at + 1 and _is(tokens, end, ")") else at


def last_place(tokens: list[Token], length: Length) -> float:
    """Half a unit of the last digit of a length [m]; a sixteenth of an inch for fractions."""
    number = next((t for t in reversed(tokens) if t.kind == "number"), None)
    value = length.m
    if number is None or not float(number.text) or any(t.kind in {"/", "part"} for t in tokens):
        return 0.0254 / 16
    if sum(t.kind == "number" for t in tokens) > 1:
        return 0.0254 / 2
    decimals = len(number.text.partition(".")[2])
    return 0.5 * 10.0**-decimals * value / float(number.text) * (1 + 1e-9)
