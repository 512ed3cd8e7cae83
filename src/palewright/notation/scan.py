"""Words, numbers and signs with their places in the text: one pass, no backtracking."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from palewright.errors import NotationError, Problem, Where

__all__ = ["LONGEST_TEXT", "Token", "bad", "mixed_number", "scan"]

LONGEST_TEXT = 200
_MOST_DIGITS = 15

_DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2212"
_PRIMES = "'\u2032\u2019\u2018\u00b4\u02b9`"
_DOUBLE_PRIMES = '"\u2033\u201d\u201c\u02ba\u201f'
_DEGREES = "\u00b0\u00ba\u02da"
_SIGNS = dict.fromkeys(_DASHES, "-") | dict.fromkeys(_PRIMES, "'") | dict.fromkeys(_DOUBLE_PRIMES, '"')
_SIGNS |= dict.fromkeys(_DEGREES, "°") | {"\u2044": "/", "\u2236": ":"} | {sign: sign for sign in "/:%,()+$€£."}
_PARTS = {
    "½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5),
    "⅙": (1, 6), "⅚": (5, 6), "⅐": (1, 7), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8), "⅑": (1, 9),
    "⅒": (1, 10),
}  # fmt: skip
_DIGITS = frozenset("0123456789")


class Token(NamedTuple):
    """One piece of text.

    kind
        "number" (``text`` digits with at most one point, no commas), "part" (a one-character fraction), "word"
        (letters in lower case, points dropped), or the sign itself: ``' " ° - / : % , ( ) + $ € £ .``.
    start, end
        its place in the text, 0-based. ``spaced``: white space stands before it.
    """

    kind: str
    text: str
    start: int
    end: int
    spaced: bool = False


def bad(
    text: str, slug: str, what: str, start: int, end: int, *, allowed: str = "", hint: str = "", source: str = ""
) -> NotationError:
    """The error with the span ``start`` to ``end`` of ``text`` marked."""
    clean = "".join(c if c.isprintable() else " " for c in text[: max(LONGEST_TEXT + 1, end)])
    start = max(0, min(start, len(clean)))
    end = max(start + 1, min(end, len(clean)))
    return NotationError(
        Problem(
            slug,
            what,
            where=Where(column=start + 1, width=end - start),
            found=repr(clean[start:end]) if clean[start:end].strip() else "nothing",
            allowed=allowed,
            hint=hint,
            source=source,
            excerpt=clean,
        )
    )


def scan(text: str, start: int = 0, end: int | None = None, longest: int = LONGEST_TEXT) -> list[Token]:
    """Tokens of ``text[start:end]``; places count in the whole text.

    Raises NotationError for a text that is too long, or a character or number that cannot be one.

    >>> [token.text for token in scan("16 ft. 4½ in")]
    ['16', 'ft', '4', '½', 'in']
    """
    if len(text) > longest:
        raise bad(text, "text-too-long", "the text is too long to be one value", 0, 40, allowed=f"{longest} characters")
    stop = len(text) if end is None else end
    tokens: list[Token] = []
    at, spaced = start, False
    while at < stop:
        char = text[at]
        if char.isspace():
            at, spaced = at + 1, True
            continue
        if char in _DIGITS or (char == "." and at + 1 < stop and text[at + 1] in _DIGITS):
            token = _number(text, at, stop, spaced)
        elif char in _PARTS:
            token = Token("part", char, at, at + 1, spaced)
        elif char in _SIGNS:
            token = _sign(text, at, stop, spaced)
        elif char.isalpha():
            token = _word(text, at, stop, spaced)
        else:
            raise bad(text, "character-unknown", "this character has no meaning here", at, at + 1)
        tokens.append(token)
        at, spaced = token.end, False
    return tokens


def _sign(text: str, at: int, stop: int, spaced: bool) -> Token:
    sign = _SIGNS[text[at]]
    if sign == "'" and at + 1 < stop and _SIGNS.get(text[at + 1]) == "'":
        return Token('"', '"', at, at + 2, spaced)
    return Token(sign, sign, at, at + 1, spaced)


def _word(text: str, start: int, stop: int, spaced: bool) -> Token:
    at = start
    letters: list[str] = []
    while at < stop:
        if text[at].isalpha() and text[at] not in _SIGNS:
            letters.append(text[at])
        elif not (text[at] == "." and (at + 1 >= stop or text[at + 1] not in _DIGITS)):
            break
        at += 1
    if at < stop and text[at] == ".":
        raise bad(
            text, "number-unclear", "a point between a word and a number can be read in two ways", at, at + 2,
            hint="put a space after the point of an abbreviation, and a 0 before a decimal point",
        )  # fmt: skip
    return Token("word", "".join(letters).lower(), start, at, spaced)


def _number(text: str, start: int, stop: int, spaced: bool) -> Token:
    at = start
    pieces: list[str] = [""]
    while at < stop and (text[at] in _DIGITS or (text[at] == "," and at + 1 < stop and text[at + 1] in _DIGITS)):
        if text[at] == ",":
            pieces.append("")
        else:
            pieces[-1] += text[at]
        at += 1
    if len(pieces) > 1 and not (0 < len(pieces[0]) < 4 and all(len(piece) == 3 for piece in pieces[1:])):
        raise bad(
            text, "comma-in-number", "a comma only groups thousands", start, at,
            allowed="1,234.5", hint="a decimal is written with a point: 12.5, not 12,5",
        )  # fmt: skip
    whole = "".join(pieces)
    decimals = ""
    if at < stop and text[at] == ".":
        first = at = at + 1
        while at < stop and text[at] in _DIGITS:
            at += 1
        decimals = text[first:at]
    if len(whole) > _MOST_DIGITS or len(decimals) > _MOST_DIGITS:
        raise bad(
            text, "number-too-long", "the number has too many digits", start, at, allowed=f"{_MOST_DIGITS} digits"
        )
    if at + 1 < stop and text[at] == "." and text[at + 1] in _DIGITS:
        raise bad(
            text, "number-unclear", "the number has two points", start, at + 2, hint="a number has one decimal point"
        )
    return Token("number", f"{whole or '0'}.{decimals}" if decimals else whole or "0", start, at, spaced)


def mixed_number(text: str, tokens: list[Token], at: int) -> tuple[Fraction, int, bool] | None:
    """A number that begins at token ``at``: whole, decimal, ``3/8``, ``7 3/8``, ``7-3/8``, ``7½``, ``7 and 3/8``.

    Returns (value, index of the next token, whether it is whole), or None when no number begins there.
    Raises NotationError for a decimal with a fraction, a fraction of 1 or more, or a 0 below the line.
    """
    if at >= len(tokens):
        return None
    first = tokens[at]
    if first.kind == "part":
        return Fraction(*_PARTS[first.text]), at + 1, False
    if first.kind != "number":
        return None
    below = _fraction(text, tokens, at)
    if below is not None:
        return below, at + 3, False
    value = Fraction(first.text)
    after = at + 1
    if after < len(tokens) and (tokens[after].kind == "-" or tokens[after].text == "and"):
        after += 1
    part: Fraction | None = None
    if after < len(tokens):
        if tokens[after].kind == "part":
            part, end = Fraction(*_PARTS[tokens[after].text]), after + 1
        else:
            part, end = _fraction(text, tokens, after), after + 3
    if part is None:
        return value, at + 1, "." not in first.text
    if "." in first.text:
        raise bad(
            text, "decimal-with-fraction", "a decimal and a fraction cannot stand together", first.start,
            tokens[end - 1].end, hint="write 4.5 or 4 1/2",
        )  # fmt: skip
    return value + part, end, False


def _fraction(text: str, tokens: list[Token], at: int) -> Fraction | None:
    if at + 2 >= len(tokens) or tokens[at + 1].kind != "/" or tokens[at].kind != "number":
        return None
    above, below = tokens[at], tokens[at + 2]
    if below.kind != "number":
        return None
    if "." in above.text or "." in below.text or int(below.text) == 0 or int(above.text) >= int(below.text):
        hint = "write 13/8 as 1 5/8; a whole number and its fraction need a space or a dash between them"
        raise bad(
            text, "fraction-not-proper", "a fraction is a whole number over a larger one", above.start, below.end,
            allowed="1/2, 3/8, 15/16", hint=hint,
        )  # fmt: skip
    return Fraction(int(above.text), int(below.text))
