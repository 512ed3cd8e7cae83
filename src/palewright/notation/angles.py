"""Degrees, minutes and seconds in every spelling, and angles of turn."""

from __future__ import annotations

import math
from fractions import Fraction

from palewright.notation.scan import Token, bad, mixed_number, scan

__all__ = ["DEGREE", "MINUTE", "SECOND", "degrees_at", "parse_angle", "spoken", "to_radians"]

DEGREE = {"°", "deg", "degs", "degree", "degrees", "d"}
MINUTE = {"'", "min", "mins", "minute", "minutes", "m"}
SECOND = {'"', "sec", "secs", "second", "seconds", "s"}
_MARKS = (DEGREE, MINUTE, SECOND)
_ONES = (
    ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_SPOKEN = {word: 10 * k + j for k, row in enumerate(_ONES) for j, word in enumerate(row)}
_SPOKEN |= {word: 20 + 10 * k for k, word in enumerate(_TENS)}
_PARTS = {"tenths": 10, "tenth": 10, "hundredths": 100, "hundredth": 100}
_ANGLES = "90°, 89°30'15\", 89-30-15, 89.5 deg"


def parse_angle(text: str) -> float:
    """An angle of turn or an inside angle, in degrees, minutes and seconds.

    text
        ``90°``, ``89°30'15"``, ``89-30-15``, ``89.5 deg``, ``89 deg 30 min``; 0 to 360 degrees.
    Returns radians. Raises NotationError with the span marked; a number without a unit is a problem.

    >>> parse_angle("90°") == math.pi / 2
    True
    """
    tokens = spoken(scan(text))
    if not tokens:
        raise bad(text, "angle-missing", "an angle is missing", 0, len(text), allowed=_ANGLES)
    if tokens[0].kind == "-":
        raise bad(text, "angle-negative", "an angle is not negative", tokens[0].start, tokens[-1].end,
             allowed=f"0 or more: {_ANGLES}", hint="say left or right instead")  # fmt: skip
    degrees, at, marked = degrees_at(text, tokens, 0, greedy=True, allowed=_ANGLES)
    if at < len(tokens):
        raise bad(text, "angle-unreadable", "this does not belong to an angle", tokens[at].start, tokens[-1].end,
             allowed=_ANGLES)  # fmt: skip
    if not marked:
        raise bad(text, "angle-unit-missing", "the angle has no unit", tokens[0].start, tokens[-1].end,
             allowed=_ANGLES, hint=f"write {text.strip()}°")  # fmt: skip
    if degrees > 360:
        raise bad(text, "angle-range", "more than a full turn", tokens[0].start, tokens[-1].end, allowed="0° to 360°")
    return to_radians(degrees)


def to_radians(degrees: Fraction) -> float:
    """Degrees to radians."""
    return math.radians(float(degrees))


def degrees_at(text: str, tokens: list[Token], at: int, greedy: bool, allowed: str) -> tuple[Fraction, int, bool]:
    """Degrees from token ``at``: (value, next token, whether it was marked as an angle by a sign or by dashes).

    greedy
        True where a number without a mark after a marked one is still minutes or seconds.
    Old deeds have degrees with a fraction, and nothing after it: 60 1/2.
    """
    mixed = mixed_number(text, tokens, at)
    if mixed is not None and not mixed[2] and "." not in tokens[at].text:
        at = mixed[1]
        sign = at < len(tokens) and tokens[at].text in DEGREE
        return mixed[0], at + sign, sign
    value, level, marked = Fraction(0), 0, False
    whole = True
    begin = at
    while at < len(tokens) and level < 3 and whole:
        token = tokens[at]
        if token.kind != "number":
            break
        mark = tokens[at + 1] if at + 1 < len(tokens) else None
        rank = next((k for k in range(3) if mark is not None and mark.text in _MARKS[k]), None)
        if mark is not None and mark.text == "m" and tokens[begin + 1].text != "d":
            rank = None  # 45° 30 m are metres; only 45d 30m are minutes
        if rank is not None and rank < level:
            break
        if rank is None and level and marked and not greedy and not _dashed(tokens, at):
            break
        if level and rank is None and not greedy and not _dashed(tokens, at) and token.text.find(".") >= 0:
            break
        if rank is not None:
            level = rank
        _in_range(text, token, level)
        value += Fraction(token.text) / 60**level
        whole = "." not in token.text
        at += 1 if rank is None else 2
        marked = marked or rank is not None or (level > 0 and _dashed(tokens, at - 1))
        level += 1
        after = _gap(tokens, at)
        if after > at and (level == 3 or not whole):
            break
        at = after
    if at == begin:
        start = tokens[at].start if at < len(tokens) else len(text) - 1
        raise bad(text, "angle-unreadable", "degrees are expected here", start, start + 1, allowed=allowed)
    return value, at, marked


def _gap(tokens: list[Token], at: int) -> int:
    """Next token after a dash, a comma or an "and" between two numbers; ``at`` when no number follows."""
    after = at
    if after < len(tokens) and tokens[after].kind in {"-", ","}:
        after += 1
    if after < len(tokens) and tokens[after].text == "and":
        after += 1
    return after if after < len(tokens) and tokens[after].kind == "number" else at


def _dashed(tokens: list[Token], at: int) -> bool:
    return at > 0 and tokens[at - 1].kind == "-"


def _in_range(text: str, token: Token, level: int) -> None:
    if level and Fraction(token.text) >= 60:
        name, slug = (("minutes", "bearing-minutes-range"), ("seconds", "bearing-seconds-range"))[level - 1]
        raise bad(
            text, slug, f"{name} go from 0 to 59", token.start, token.end,
            allowed="0 to 59", hint="a decimal degree is written 45.75°",
        )  # fmt: skip


def spoken(tokens: list[Token]) -> list[Token]:
    """Number words up to nine hundred ninety-nine thousand as numbers, and so many "hundredths" behind an "and"."""
    if not any(token.text in _SPOKEN for token in tokens):
        return tokens
    result: list[Token] = []
    at = 0
    while at < len(tokens):
        value, after = _spoken_at(tokens, at)
        if after == at:
            result.append(tokens[at])
            at += 1
            continue
        text = str(value)
        part, end = _spoken_at(tokens, after + 1) if after < len(tokens) and tokens[after].text == "and" else (0, after)
        below = _PARTS.get(tokens[end].text) if end < len(tokens) and end > after else None
        if below is not None and 0 < part < below:
            text, after = f"{value}.{part:0{len(str(below)) - 1}d}", end + 1
        result.append(Token("number", text, tokens[at].start, tokens[after - 1].end, tokens[at].spaced))
        at = after
    return result


def _spoken_at(tokens: list[Token], at: int) -> tuple[int, int]:
    """The number spelled out from a token, and the next token; the token itself where none begins."""
    total, group, after = 0, 0, at
    scale = 1000
    while True:
        small, end = _below_hundred(tokens, after)
        if end == after:
            break
        group, after = small, end
        if after < len(tokens) and tokens[after].text == "hundred" and 0 < small < 10:
            group, after = small * 100, after + 1
            joined = after + 1 if after < len(tokens) and tokens[after].text == "and" else after
            small, end = _below_hundred(tokens, joined)
            if end > joined and not (joined > after and end < len(tokens) and tokens[end].text in _PARTS):
                group, after = group + small, end
        if after < len(tokens) and tokens[after].text == "thousand" and group and scale == 1000:
            total, group, after, scale = group * 1000, 0, after + 1, 1
            continue
        break
    return total + group, after


def _below_hundred(tokens: list[Token], at: int) -> tuple[int, int]:
    if at >= len(tokens) or tokens[at].kind != "word" or tokens[at].text not in _SPOKEN:
        return 0, at
    value, after = _SPOKEN[tokens[at].text], at + 1
    if value >= 20:
        unit = after + 1 if after < len(tokens) and tokens[after].kind == "-" else after
        if unit < len(tokens) and 0 < _SPOKEN.get(tokens[unit].text, 0) < 10:
            value, after = value + _SPOKEN[tokens[unit].text], unit + 1
    return value, after
