"""Pasted legal text as words, numbers and signs with their places; nothing is refused here, and nothing is lost."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from palewright.errors import NotationError, Problem, Where
from palewright.notation.angles import spoken
from palewright.notation.scan import Token, scan

__all__ = ["LONGEST_DEED", "Text", "carries_number", "in_words", "problem_at"]

LONGEST_DEED = 20_000
"""Most characters of a legal description."""

_PIECE = re.compile(r"[^\s;&@#_*|<>=\[\]{}\\!?~^±\u2022\u00b7]+|[;*|±]")
_COUNTING = {
    "hundred", "hundreds", "thousand", "thousands", "half", "halves", "quarter", "quarters", "tenth", "tenths",
    "hundredth", "hundredths", "thousandths", "dozen", "score",
}  # fmt: skip
_PART_OF = {"half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4,
            "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16}  # fmt: skip
_TIDY = (
    (re.compile(r"(?<=\d)\s?\*(?=\s*[\d'\"’NSEWnsew])"), "°"),
    (re.compile(r"(?<=\b[NSEWnsew])\.(?=\d)"), " "),
    (re.compile(r"(?<=[a-z]{2})\.(?=[A-Za-z]{3})"), " "),
    (re.compile(r"(?<=[A-Za-z])\.(?=\d)"), " "),
    (re.compile(r"(?<=[a-z])-(?=(?:one[- ])?(?:ten|hundred|thousand)ths?\b)", re.IGNORECASE), " "),
    (re.compile(r"(?<=[a-z]\s)one[- ](?=(?:ten|hundred|thousand)ths\b)", re.IGNORECASE), " "),
    (re.compile(r"(?<=\d)\s*\+\s?/\s?-"), "±"),
    (re.compile(r"[\u00a0\u2007\u202f\t]"), " "),
)


class Text(NamedTuple):
    """A legal description.

    raw, plain
        as pasted, and with signs of one length put in the place of others, so that places are the same in both.
    tokens
        words, numbers and signs; kind "odd": digits that are no number as written.
    said_twice
        spans of numbers in words and in figures that are not the same number, and both numbers.
    """

    raw: str
    plain: str
    tokens: tuple[Token, ...]
    said_twice: tuple[tuple[int, int, str, str], ...]

    @staticmethod
    def of(raw: str) -> Text:
        """The text, put into words.

        >>> [t.text for t in Text.of("One Hundred Twenty (120.00) feet, one-half acre; N.12*30'E.").tokens]
        ['120', 'feet', ',', '1', '/', '2', 'acre', ';', 'n', '12', '°', '30', "'", 'e']
        """
        plain = raw
        for pattern, sign in _TIDY:
            plain = pattern.sub(lambda found, sign=sign: sign.rjust(len(found[0])), plain)  # type: ignore[misc]
        plain = "".join(c if c.isprintable() else " " for c in plain)
        tokens: list[Token] = []
        for piece in _PIECE.finditer(plain):
            tokens += _tokens(plain, piece.start(), piece.end())
        tokens, twice = _once(_decimals(spoken(_parts(tokens))), plain)
        return Text(raw, plain, tuple(tokens), tuple(twice))

    def words(self, start: int, end: int) -> str:
        """A part of the text as it was pasted, on one line."""
        return " ".join(self.raw[start:end].split())


def _tokens(text: str, start: int, end: int) -> list[Token]:
    """The tokens of a piece without blanks; what cannot be parted is one odd token, or a word."""
    spaced = start == 0 or text[start - 1].isspace()
    try:
        if text[start] in ";*|±":
            return [Token(text[start], text[start], start, end, spaced)]
        found = scan(text, start, end, longest=len(text))
    except NotationError:
        kind = "odd" if any(c.isnumeric() for c in text[start:end]) else "word"
        if kind == "word" and end - start > 1:
            return [t for k in range(start, end) for t in _letters(text, k, end)] or []
        return [Token(kind, text[start:end].lower(), start, end, spaced)]
    found = [t._replace(end=t.end - (t.kind == "number" and text[t.end - 1] == ".")) for t in found]
    return [found[0]._replace(spaced=spaced), *found[1:]] if found else []


def _letters(text: str, at: int, end: int) -> list[Token]:
    """The word that begins at a place, where one does."""
    if not text[at].isalpha() or (at and text[at - 1].isalpha()):
        return []
    stop = at
    while stop < end and text[stop].isalpha():
        stop += 1
    return [Token("word", text[at:stop].lower(), at, stop, True)]


def _parts(tokens: list[Token]) -> list[Token]:
    """Fractions in words ("one half", "three-quarters") as figures with a stroke; hundredths without a whole before."""
    made: list[Token] = []
    for token in tokens:
        below = _PART_OF.get(token.text)
        back = 2 if len(made) > 1 and made[-1].kind == "-" else 1
        above = made[-back] if len(made) >= back else None
        value = _small(above)
        if (
            below is None
            or above is None
            or not 0 < value < below
            or (len(made) >= back + 1 and made[-back - 1].text in _TENS)
        ):
            made.append(token)
            continue
        del made[-back:]
        stroke = Token("/", "/", above.end, above.end)
        made.append(Token("number", str(value), above.start, above.end, above.spaced))
        made += [stroke, Token("number", str(below), token.start, token.end)]
    return made


def _decimals(tokens: list[Token]) -> list[Token]:
    """A number before "tenths", "hundredths" or "thousandths" as a decimal."""
    made: list[Token] = []
    for token in tokens:
        before = made[-1] if made else None
        digits = _PLACES.get(token.text, 0)
        if (
            digits
            and before is not None
            and before.kind == "number"
            and before.text.isdigit()
            and len(before.text) <= digits
        ):
            made[-1] = before._replace(text=f"0.{int(before.text):0{digits}d}", end=token.end)
        else:
            made.append(token)
    return made


_PLACES = {"tenth": 1, "tenths": 1, "hundredth": 2, "hundredths": 2, "thousandth": 3, "thousandths": 3}
_TENS = frozenset(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"])


def _small(token: Token | None) -> int:
    if token is None or token.kind != "word":
        return 0
    made = spoken([token])[0]
    return int(made.text) if made.kind == "number" else 0


def _once(tokens: list[Token], text: str) -> tuple[list[Token], list[tuple[int, int, str, str]]]:
    """Tokens with a number in words and again in brackets in figures (or the other way round) as one."""
    made: list[Token] = []
    twice: list[tuple[int, int, str, str]] = []
    at = 0
    while at < len(tokens):
        here = tokens[at]
        again = tokens[at + 2] if at + 3 < len(tokens) and tokens[at + 1].kind == "(" else None
        if (
            here.kind == "number" and again is not None and again.kind == "number" and tokens[at + 3].kind == ")"
            and in_words(here, text) != in_words(again, text)
        ):  # fmt: skip
            if Fraction(here.text) != Fraction(again.text):
                twice.append((here.start, tokens[at + 3].end, here.text, again.text))
            made.append(here._replace(end=tokens[at + 3].end))
            at += 4
            continue
        made.append(here)
        at += 1
    return made, twice


def in_words(token: Token, text: str) -> bool:
    """Whether a number is written in words."""
    return text[token.start].isalpha()


def carries_number(token: Token) -> bool:
    """Whether a token is a number, or a word that counts or measures."""
    return token.kind in {"number", "part", "odd"} or token.text in _COUNTING


def problem_at(text: Text, slug: str, what: str, start: int, end: int, **more: str) -> Problem:
    """A problem at a part of the text: line, column, span, and the line that it begins in."""
    before = text.raw.rfind("\n", 0, start) + 1
    after = text.raw.find("\n", start)
    line = text.raw[before : after if after >= 0 else len(text.raw)]
    column = start - before + 1
    width = max(1, min(end, before + len(line)) - start)
    found = repr(text.words(start, end)[:80])
    if column > 160:
        found += f" in \u201c{text.words(max(0, start - 30), min(len(text.raw), end + 30))}\u201d"
    more.setdefault("found", found)
    shown = "".join(c if c.isprintable() else " " for c in line[:200]) if column <= 160 else ""
    return Problem(slug, what, where=Where("", text.raw.count("\n", 0, start) + 1, column, min(width, 200)),
                   excerpt=shown, **more)  # fmt: skip
