"""Slopes of the ground."""

from __future__ import annotations

import math
from fractions import Fraction

from palewright.notation.angles import DEGREE, to_radians
from palewright.notation.lengths import read_length
from palewright.notation.scan import Token, bad, mixed_number, scan

__all__ = ["parse_grade"]


def parse_grade(text: str, *, signed: bool = False) -> float:
    """A slope of the ground, as rise over run.

    text
        ``1:12``, ``1 in 12``, ``8%``, ``7°``, ``1/4 in per ft``. signed: True to allow a minus (down).
    Returns rise / run, at most 100. Raises NotationError with the span marked.

    >>> parse_grade("1:12") == 1 / 12 and parse_grade("8%") == 0.08
    True
    """
    tokens = scan(text)
    allowed = "1:12, 1 in 12, 8%, 7°"
    if not tokens:
        raise bad(text, "grade-missing", "a grade is missing", 0, len(text), allowed=allowed)
    sign = -1.0 if tokens[0].kind == "-" else 1.0
    if sign < 0 and not signed:
        raise bad(text, "grade-negative", "a grade is not negative", tokens[0].start, tokens[-1].end,
             allowed=f"0 or more: {allowed}", hint="say which way it falls in words")  # fmt: skip
    body = tokens[1:] if tokens[0].kind in {"-", "+"} else tokens
    value = _grade(text, body, allowed)
    if value > 100.0:
        raise bad(
            text, "grade-range", "steeper than any ground", tokens[0].start, tokens[-1].end, allowed="below 10,000%"
        )
    return sign * value


def _grade(text: str, tokens: list[Token], allowed: str) -> float:
    words = [token.text for token in tokens]
    if "per" in words:
        cut = words.index("per")
        rise = read_length(text, tokens[:cut])
        over = tokens[cut + 1 :]
        if over and over[0].kind == "word":
            over = [Token("number", "1", over[0].start, over[0].start), *over]
        run = read_length(text, over)
        return float(rise.exact / _positive(text, run.exact, tokens))
    first = mixed_number(text, tokens, 0)
    if first is None:
        start = tokens[0].start if tokens else 0
        raise bad(text, "grade-unreadable", "a number is expected here", start, start + 1, allowed=allowed)
    value, at, _ = first
    mark = tokens[at] if at < len(tokens) else None
    if mark is None:
        raise bad(text, "grade-unit-missing", "the grade has no unit", tokens[0].start, tokens[-1].end, allowed=allowed,
             hint=f"write {text.strip()}% or {text.strip()}°")  # fmt: skip
    if mark.kind == ":" or mark.text == "in":
        second = mixed_number(text, tokens, at + 1)
        if second is not None and second[1] == len(tokens):
            return float(value / _positive(text, second[0], tokens))
    if at + 1 == len(tokens):
        if mark.kind == "%" or mark.text == "percent":
            return float(value / 100)
        if mark.text in DEGREE:
            if value >= 90:
                raise bad(
                    text, "grade-range", "a slope is less than 90°", tokens[0].start, mark.end, allowed="0° to 89°"
                )
            return math.tan(to_radians(value))
    raise bad(text, "grade-unreadable", "this is not a grade", mark.start, tokens[-1].end, allowed=allowed)


def _positive(text: str, value: Fraction, tokens: list[Token]) -> Fraction:
    if value <= 0:
        raise bad(
            text, "grade-range", "the run of a grade is larger than 0", tokens[0].start, tokens[-1].end, allowed="1:12"
        )
    return value
