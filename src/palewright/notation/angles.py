"""Angles, bearings, azimuths, calls and grades."""

from __future__ import annotations

import math
from fractions import Fraction

from palewright.notation.lengths import Length, read_length
from palewright.notation.scan import Token, bad, mixed_number, scan

__all__ = ["parse_angle", "parse_bearing", "parse_call", "parse_grade"]

_DEGREE = {"°", "deg", "degs", "degree", "degrees", "d"}
_MINUTE = {"'", "min", "mins", "minute", "minutes", "m"}
_SECOND = {'"', "sec", "secs", "second", "seconds", "s"}
_MARKS = (_DEGREE, _MINUTE, _SECOND)
_NORTH_SOUTH = {"n": "N", "north": "N", "s": "S", "south": "S"}
_EAST_WEST = {"e": "E", "east": "E", "easterly": "E", "w": "W", "west": "W", "westerly": "W"}
_NORTH_SOUTH |= {"northerly": "N", "southerly": "S"}
_CARDINAL = {"N": 0, "E": 90, "S": 180, "W": 270}
_AZIMUTH = {"az", "azimuth", "azm"}
_BETWEEN = {"ne", "nw", "se", "sw", "northeast", "northwest", "southeast", "southwest"}
_BEGINNING = {"to", "the", "true", "point", "place", "of", "and", "beginning", "pob"}
_FILLER = {
    "a",
    "an",
    "distance",
    "of",
    "for",
    "thence",
    "then",
    "go",
    "run",
    "running",
    "bearing",
    "bears",
    "more",
    "or",
    "less",
}
_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_SPOKEN = {word: value for value, word in enumerate(_ONES)} | {word: 20 + 10 * k for k, word in enumerate(_TENS)}
_ANGLES = "90°, 89°30'15\", 89-30-15, 89.5 deg"
_BEARINGS = "N 12°30'15\" E, S36-00-00E, due north, az 123°45'"


def parse_angle(text: str) -> float:
    """An angle of turn or an inside angle, in degrees, minutes and seconds.

    text
        ``90°``, ``89°30'15"``, ``89-30-15``, ``89.5 deg``, ``89 deg 30 min``; 0 to 360 degrees.
    Returns radians. Raises NotationError with the span marked; a number without a unit is a problem.

    >>> parse_angle("90°") == math.pi / 2
    True
    """
    tokens = _spoken(scan(text))
    if not tokens:
        raise bad(text, "angle-missing", "an angle is missing", 0, len(text), allowed=_ANGLES)
    if tokens[0].kind == "-":
        raise bad(text, "angle-negative", "an angle is not negative", tokens[0].start, tokens[-1].end,
             hint="say left or right instead")  # fmt: skip
    degrees, at, marked = _degrees(text, tokens, 0, greedy=True, allowed=_ANGLES)
    if at < len(tokens):
        raise bad(text, "angle-unreadable", "this does not belong to an angle", tokens[at].start, tokens[-1].end,
             allowed=_ANGLES)  # fmt: skip
    if not marked:
        raise bad(text, "angle-unit-missing", "the angle has no unit", tokens[0].start, tokens[-1].end,
             allowed=_ANGLES, hint=f"write {text.strip()}°")  # fmt: skip
    if degrees > 360:
        raise bad(text, "angle-range", "more than a full turn", tokens[0].start, tokens[-1].end, allowed="0° to 360°")
    return _radians(degrees)


def parse_bearing(text: str) -> float:
    """A quadrant bearing, a cardinal direction or an azimuth.

    text
        ``N 12°30'15" E``, ``S36-00-00E``, ``North 12 degrees 30 minutes East``, ``due west``, ``N``,
        ``az 123°45'``, ``123.75° from north``. A quadrant bearing goes from 0 to 90 degrees. A plain number is
        decimal degrees: 45.75 is 45°45'.
    Returns the azimuth, clockwise from north [rad, 0 to 2 pi). Raises NotationError with the span marked.

    >>> round(math.degrees(parse_bearing("S36-00-00E")), 9)
    144.0
    """
    tokens = _spoken(scan(text))
    degrees, at = _bearing(text, tokens, _skip(tokens, 0), alone=True)
    if at < len(tokens):
        raise bad(text, "bearing-unreadable", "this does not belong to a bearing", tokens[at].start, tokens[-1].end,
             allowed=_BEARINGS)  # fmt: skip
    return _radians(degrees)


def parse_call(
    text: str, *, unit: str = "", vara: str = "", foot: str = "international"
) -> tuple[float | None, Length | None, bool]:
    """One leg of a deed: a bearing, then a distance.

    text
        ``N 12°30'15" E 120.55 ft``, ``W 7.00 ch``, ``S36-00-00E 379.25`` (with ``unit``),
        ``S 60 W to beginning``, ``to the point of beginning``. "thence", "a distance of" and commas may stand in it.
    unit, vara, foot
        as in :func:`palewright.notation.parse_length`.
    Returns (azimuth [rad] or None, length or None, True when it closes to the beginning).
    Raises NotationError with the span marked.

    >>> parse_call("W 7.00 ch")[1].m
    140.8176
    """
    tokens = _spoken(scan(text))
    tokens, closing = _closing(tokens)
    at = _skip(tokens, 0)
    if at == len(tokens):
        if closing:
            return None, None, True
        raise bad(text, "bearing-missing", "a bearing is missing", 0, len(text), allowed=_BEARINGS)
    degrees, at = _bearing(text, tokens, at, alone=False)
    at = _skip(tokens, at)
    rest = tokens[at:]
    while len(rest) > 1 and (rest[-1].kind == "," or rest[-1].text in _FILLER):
        rest = rest[:-1]
    length = read_length(text, rest, unit=unit, vara=vara, foot=foot) if rest else None
    if length is not None and length.exact == 0:
        raise bad(
            text, "length-zero", "a call of no length", rest[0].start, rest[-1].end, allowed="a length larger than 0"
        )
    return _radians(degrees), length, closing


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
             hint="say which way it falls in words")  # fmt: skip
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
        if mark.text in _DEGREE:
            if value >= 90:
                raise bad(
                    text, "grade-range", "a slope is less than 90°", tokens[0].start, mark.end, allowed="0° to 89°"
                )
            return math.tan(_radians(value))
    raise bad(text, "grade-unreadable", "this is not a grade", mark.start, tokens[-1].end, allowed=allowed)


def _positive(text: str, value: Fraction, tokens: list[Token]) -> Fraction:
    if value <= 0:
        raise bad(
            text, "grade-range", "the run of a grade is larger than 0", tokens[0].start, tokens[-1].end, allowed="1:12"
        )
    return value


# ---------------------------------------------------------------- degrees, minutes, seconds


def _radians(degrees: Fraction) -> float:
    return math.radians(float(degrees))


def _degrees(text: str, tokens: list[Token], at: int, greedy: bool, allowed: str) -> tuple[Fraction, int, bool]:
    """Degrees from token ``at``: (value, next token, whether it was marked as an angle by a sign or by dashes).

    greedy
        True where a number without a mark after a marked one is still minutes or seconds.
    """
    value, level, marked = Fraction(0), 0, False
    whole = True
    begin = at
    while at < len(tokens) and level < 3 and whole:
        token = tokens[at]
        if token.kind != "number":
            break
        mark = tokens[at + 1] if at + 1 < len(tokens) else None
        rank = next((k for k in range(3) if mark is not None and mark.text in _MARKS[k]), None)
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
        if at + 1 < len(tokens) and tokens[at].kind in {"-", ","} and tokens[at + 1].kind == "number":
            if level == 3 or not whole:
                break
            at += 1
        elif at + 1 < len(tokens) and tokens[at].text == "and" and tokens[at + 1].kind == "number":
            at += 1
    if at == begin:
        start = tokens[at].start if at < len(tokens) else len(text) - 1
        raise bad(text, "angle-unreadable", "degrees are expected here", start, start + 1, allowed=allowed)
    return value, at, marked


def _dashed(tokens: list[Token], at: int) -> bool:
    return at > 0 and tokens[at - 1].kind == "-"


def _in_range(text: str, token: Token, level: int) -> None:
    if level and Fraction(token.text) >= 60:
        name = "minutes" if level == 1 else "seconds"
        raise bad(
            text, f"bearing-{name}-range", f"{name} go from 0 to 59", token.start, token.end,
            allowed="0 to 59", hint="a decimal degree is written 45.75°",
        )  # fmt: skip


def _spoken(tokens: list[Token]) -> list[Token]:
    """Number words from zero to ninety-nine as numbers."""
    if not any(token.text in _SPOKEN for token in tokens):
        return tokens
    result: list[Token] = []
    at = 0
    while at < len(tokens):
        token = tokens[at]
        if token.kind != "word" or token.text not in _SPOKEN:
            result.append(token)
            at += 1
            continue
        value, after = _SPOKEN[token.text], at + 1
        if value >= 20:
            unit = after + 1 if after < len(tokens) and tokens[after].kind == "-" else after
            if unit < len(tokens) and 0 < _SPOKEN.get(tokens[unit].text, 0) < 10:
                value, after = value + _SPOKEN[tokens[unit].text], unit + 1
        result.append(Token("number", str(value), token.start, tokens[after - 1].end, token.spaced))
        at = after
    return result


# ---------------------------------------------------------------- bearings


def _skip(tokens: list[Token], at: int) -> int:
    while at < len(tokens) and (tokens[at].kind in {",", ":"} or tokens[at].text in _FILLER):
        at += 1
    return at


def _closing(tokens: list[Token]) -> tuple[list[Token], bool]:
    """Tokens without a last "to the point of beginning", and whether there was one."""
    end = len(tokens)
    while end and tokens[end - 1].kind in {",", "."}:
        end -= 1
    cut = end
    while cut and tokens[cut - 1].kind == "word" and tokens[cut - 1].text in _BEGINNING:
        cut -= 1
    words = [token.text for token in tokens[cut:end]]
    if words and words[-1] in {"beginning", "pob"}:
        return tokens[:cut], True
    return tokens, False


def _bearing(text: str, tokens: list[Token], at: int, alone: bool) -> tuple[Fraction, int]:
    if at >= len(tokens):
        raise bad(text, "bearing-missing", "a bearing is missing", 0, len(text), allowed=_BEARINGS)
    token = tokens[at]
    if token.kind == "word":
        if token.text == "due":
            return _due(text, tokens, at)
        if token.text in _AZIMUTH:
            return _azimuth(text, tokens, at + 1, alone)
        if token.text in _NORTH_SOUTH:
            if at + 1 < len(tokens) and tokens[at + 1].kind == "number" and _is_quadrant(tokens, at + 1):
                return _quadrant(text, tokens, at)
            return Fraction(_CARDINAL[_NORTH_SOUTH[token.text]]), at + 1
        if token.text in _EAST_WEST:
            return Fraction(_CARDINAL[_EAST_WEST[token.text]]), at + 1
        if token.text in _BETWEEN:
            raise bad(text, "bearing-half-way", "a half-way direction is not exact enough", token.start, token.end,
                 allowed=_BEARINGS, hint="write N 45° E if the deed means 45 degrees")  # fmt: skip
    if token.kind == "number":
        return _azimuth(text, tokens, at, alone, named=False)
    raise bad(text, "bearing-unreadable", "a bearing is expected here", token.start, token.end, allowed=_BEARINGS)


def _due(text: str, tokens: list[Token], at: int) -> tuple[Fraction, int]:
    word = tokens[at + 1] if at + 1 < len(tokens) else tokens[at]
    letter = _NORTH_SOUTH.get(word.text) or _EAST_WEST.get(word.text)
    if letter is None:
        raise bad(text, "bearing-unreadable", "north, east, south or west is expected after due", word.start, word.end,
             allowed=_BEARINGS)  # fmt: skip
    return Fraction(_CARDINAL[letter]), at + 2


def _is_quadrant(tokens: list[Token], at: int) -> bool:
    """Whether the numbers from ``at`` are degrees of a bearing: an east or west follows, or a degree mark or dash."""
    while at < len(tokens) and tokens[at].kind in {"number", "-", ","}:
        at += 1
        if at < len(tokens) and tokens[at].text in _DEGREE:
            return True
        while at < len(tokens) and (tokens[at].text in _MINUTE | _SECOND or tokens[at].text == "and"):
            at += 1
    return at < len(tokens) and tokens[at].text in _EAST_WEST


def _quadrant(text: str, tokens: list[Token], at: int) -> tuple[Fraction, int]:
    first = _NORTH_SOUTH[tokens[at].text]
    start = at + 1
    if not any(token.text in _EAST_WEST for token in tokens[start : start + 12]):
        raise bad(text, "bearing-letter-missing", "the bearing has no east or west at its end", tokens[at].start,
                  tokens[start].end, allowed="E or W", hint=f"write {first} ... E or {first} ... W")  # fmt: skip
    degrees, after, _ = _degrees(text, tokens, start, greedy=True, allowed=_BEARINGS)
    if after >= len(tokens) or tokens[after].text not in _EAST_WEST:
        place = tokens[after] if after < len(tokens) else tokens[after - 1]
        if after < len(tokens) and place.kind == "number":
            raise bad(text, "bearing-unreadable", "this does not belong to the degrees", place.start, place.end,
                 allowed=_BEARINGS)  # fmt: skip
        raise bad(text, "bearing-letter-missing", "the bearing has no east or west at its end", place.start, place.end,
             allowed="E or W", hint=f"write {first} ... E or {first} ... W")  # fmt: skip
    if degrees > 90:
        raise bad(
            text, "bearing-degrees-range", "a quadrant bearing goes from 0 to 90 degrees", tokens[start].start,
            tokens[after - 1].end, allowed="0° to 90°", hint="a direction counted all the way round: az 123°45'",
        )  # fmt: skip
    last = _EAST_WEST[tokens[after].text]
    if first == "N":
        return (degrees if last == "E" else (360 - degrees) % 360), after + 1
    return (180 - degrees if last == "E" else 180 + degrees), after + 1


def _azimuth(text: str, tokens: list[Token], at: int, alone: bool, named: bool = True) -> tuple[Fraction, int]:
    start = at
    degrees, at, marked = _degrees(text, tokens, at, greedy=alone, allowed=_BEARINGS)
    end = tokens[at - 1].end
    after = _origin(tokens, at)
    if after == at and not named:
        if alone and marked and at == len(tokens):
            raise bad(text, "bearing-letter-missing", "an angle alone is not a direction", tokens[start].start, end,
                 allowed=_BEARINGS, hint=f"write az {text.strip()} if it counts clockwise from north")  # fmt: skip
        raise bad(text, "bearing-missing", "a bearing is missing before this", tokens[start].start, tokens[start].end,
             allowed=_BEARINGS)  # fmt: skip
    if degrees > 360:
        raise bad(text, "azimuth-range", "an azimuth goes from 0 to 360 degrees", tokens[start].start, end,
             allowed="0° to 360°")  # fmt: skip
    if after > at and _NORTH_SOUTH[tokens[after - 1].text] == "S":
        degrees += 180
    return degrees % 360, after


def _origin(tokens: list[Token], at: int) -> int:
    """Next token after ``[clockwise] from [true|grid] north|south``; ``at`` when that does not stand there."""
    after = at
    while after < len(tokens) and tokens[after].text in {"clockwise", "measured", "from", "true"}:
        after += 1
    named = after > at and tokens[after - 1].text in {"from", "true"} and after < len(tokens)
    return after + 1 if named and tokens[after].text in _NORTH_SOUTH else at
