"""Quadrant bearings, azimuths, and the calls of a deed."""

from __future__ import annotations

from fractions import Fraction

from palewright.notation.angles import DEGREE, MINUTE, SECOND, degrees_at, spoken, to_radians
from palewright.notation.lengths import Length, read_length
from palewright.notation.scan import Token, bad, scan

__all__ = ["parse_bearing", "parse_call"]

_NORTH_SOUTH = {"n": "N", "north": "N", "s": "S", "south": "S"}
_EAST_WEST = {"e": "E", "east": "E", "easterly": "E", "w": "W", "west": "W", "westerly": "W"}
_NORTH_SOUTH |= {"northerly": "N", "southerly": "S"}
_CARDINAL = {"N": 0, "E": 90, "S": 180, "W": 270}
_AZIMUTH = {"az", "azimuth", "azm"}
_BETWEEN = {"ne", "nw", "se", "sw", "northeast", "northwest", "southeast", "southwest"}
_BEGINNING = {"to", "the", "true", "point", "place", "of", "and", "beginning", "pob"}
_FILLER = {"a", "an", "distance", "of", "for", "thence", "then", "go", "run", "running"}
_FILLER |= {"bearing", "bears", "more", "or", "less"}
_BEARINGS = "N 12°30'15\" E, S36-00-00E, due north, az 123°45'"


def parse_bearing(text: str) -> float:
    """A quadrant bearing, a cardinal direction or an azimuth.

    text
        ``N 12°30'15" E``, ``S36-00-00E``, ``North 12 degrees 30 minutes East``, ``due west``, ``N``,
        ``az 123°45'``, ``123.75° from north``. A quadrant bearing goes from 0 to 90 degrees. A plain number is
        decimal degrees: 45.75 is 45°45'.
    Returns the azimuth, clockwise from north [rad, 0 to 2 pi). Raises NotationError with the span marked.

    >>> from math import degrees
    >>> round(degrees(parse_bearing("S36-00-00E")), 9)
    144.0
    """
    tokens = spoken(scan(text))
    degrees, at = _bearing(text, tokens, _skip(tokens, 0), alone=True)
    if at < len(tokens):
        raise bad(text, "bearing-unreadable", "this does not belong to a bearing", tokens[at].start, tokens[-1].end,
             allowed=_BEARINGS)  # fmt: skip
    return to_radians(degrees)


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
    tokens = spoken(scan(text))
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
    return to_radians(degrees), length, closing


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
        if at < len(tokens) and tokens[at].text in DEGREE:
            return True
        while at < len(tokens) and (tokens[at].text in MINUTE | SECOND or tokens[at].text == "and"):
            at += 1
    return at < len(tokens) and tokens[at].text in _EAST_WEST


def _quadrant(text: str, tokens: list[Token], at: int) -> tuple[Fraction, int]:
    first = _NORTH_SOUTH[tokens[at].text]
    start = at + 1
    if not any(token.text in _EAST_WEST for token in tokens[start : start + 12]):
        raise bad(text, "bearing-letter-missing", "the bearing has no east or west at its end", tokens[at].start,
                  tokens[start].end, allowed="E or W", hint=f"write {first} ... E or {first} ... W")  # fmt: skip
    degrees, after, _ = degrees_at(text, tokens, start, greedy=True, allowed=_BEARINGS)
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
    degrees, at, marked = degrees_at(text, tokens, at, greedy=alone, allowed=_BEARINGS)
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
