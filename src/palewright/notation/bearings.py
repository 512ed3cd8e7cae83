"""Quadrant bearings and azimuths."""

from __future__ import annotations

from fractions import Fraction

from palewright.notation.angles import DEGREE, MINUTE, SECOND, degrees_at, spoken, to_radians
from palewright.notation.scan import Token, bad, scan

__all__ = [
    "BEARINGS", "FILLER", "NORTHS", "bearing_at", "bearing_begins", "direction_at", "parse_bearing", "skip_filler",
]  # fmt: skip

_NORTH_SOUTH = {"n": "N", "north": "N", "s": "S", "south": "S"}
_EAST_WEST = {"e": "E", "east": "E", "easterly": "E", "w": "W", "west": "W", "westerly": "W"}
_NORTH_SOUTH |= {"northerly": "N", "southerly": "S"}
_CARDINAL = {"N": 0, "E": 90, "S": 180, "W": 270}
_AZIMUTH = {"az", "azimuth", "azm"}
_BETWEEN = {"ne", "nw", "se", "sw", "northeast", "northwest", "southeast", "southwest"}
NORTHS = {"magnetic": "magnetic", "mag": "magnetic", "true": "true", "astronomic": "true", "geodetic": "true",
           "grid": "grid", "assumed": "assumed", "record": "record"}  # fmt: skip
FILLER = {"a", "an", "distance", "of", "for", "thence", "then", "go", "run", "running", "bearing", "bears"}
BEARINGS = "N 12°30'15\" E, S36-00-00E, due north, az 123°45'"


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
    degrees, at = bearing_at(text, tokens, skip_filler(tokens, 0), alone=True)
    if at < len(tokens):
        raise bad(text, "bearing-unreadable", "this does not belong to a bearing", tokens[at].start, tokens[-1].end,
             allowed=BEARINGS)  # fmt: skip
    return to_radians(degrees)


def skip_filler(tokens: list[Token], at: int) -> int:
    """The next token that says something: not "thence", "a distance of", a comma, ..."""
    while at < len(tokens) and (tokens[at].kind in {",", ":"} or tokens[at].text in FILLER):
        at += 1
    return at


def bearing_begins(tokens: list[Token], at: int) -> bool:
    """Whether a bearing in letters or words begins at a token."""
    return at < len(tokens) and tokens[at].text in _NORTH_SOUTH.keys() | _EAST_WEST.keys() | _BETWEEN | _AZIMUTH | {
        "due"
    }


def direction_at(text: str, tokens: list[Token], at: int, azimuths: str) -> tuple[float, int, str]:
    """The bearing at a token with the word for its north before, in or after it: (azimuth [rad], next token, north)."""
    start = at
    if tokens[at].text in NORTHS and at + 1 < len(tokens):
        at += 1
    degrees, at = bearing_at(text, tokens, at, alone=False, azimuths=azimuths)
    after = at + 1 if at < len(tokens) and tokens[at].kind == "(" else at
    if after < len(tokens) and tokens[after].text in NORTHS:
        at = after + 1
        if at < len(tokens) and tokens[at].text in {"north", "bearing"}:
            at += 1
        if at < len(tokens) and tokens[at].kind == ")":
            at += 1
    return to_radians(degrees), at, _north(tokens[start:at])


def _north(tokens: list[Token]) -> str:
    return next((NORTHS[token.text] for token in tokens if token.text in NORTHS), "")


def bearing_at(text: str, tokens: list[Token], at: int, alone: bool, azimuths: str = "") -> tuple[Fraction, int]:
    """The bearing at a token: (azimuth from north [degrees], next token).

    alone
        nothing follows it. azimuths: "north" or "south" where bare angles are azimuths counted from there.
    """
    if at >= len(tokens):
        raise bad(text, "bearing-missing", "a bearing is missing", 0, len(text), allowed=BEARINGS)
    token = tokens[at]
    if token.kind == "word":
        if token.text == "due":
            return _due(text, tokens, at)
        if token.text in _AZIMUTH:
            return _azimuth(text, tokens, at + 1, alone, azimuths)
        if token.text in _NORTH_SOUTH:
            if at + 1 < len(tokens) and tokens[at + 1].kind == "number" and _is_quadrant(tokens, at + 1):
                return _quadrant(text, tokens, at)
            return Fraction(_CARDINAL[_NORTH_SOUTH[token.text]]), at + 1
        if token.text in _EAST_WEST:
            return Fraction(_CARDINAL[_EAST_WEST[token.text]]), at + 1
        if token.text in _BETWEEN:
            raise bad(text, "bearing-half-way", "a half-way direction is not exact enough", token.start, token.end,
                 allowed=BEARINGS, hint="write N 45° E if the deed means 45 degrees")  # fmt: skip
    if token.kind == "number":
        return _azimuth(text, tokens, at, alone, azimuths, named=False)
    raise bad(text, "bearing-unreadable", "a bearing is expected here", token.start, token.end, allowed=BEARINGS)


def _due(text: str, tokens: list[Token], at: int) -> tuple[Fraction, int]:
    word = tokens[at + 1] if at + 1 < len(tokens) else tokens[at]
    letter = _NORTH_SOUTH.get(word.text) or _EAST_WEST.get(word.text)
    if letter is None:
        raise bad(text, "bearing-unreadable", "north, east, south or west is expected after due", word.start, word.end,
             allowed=BEARINGS)  # fmt: skip
    return Fraction(_CARDINAL[letter]), at + 2


def _is_quadrant(tokens: list[Token], at: int) -> bool:
    """Whether the numbers from ``at`` are degrees of a bearing: an east or west follows, or a degree mark or dash."""
    while at < len(tokens) and tokens[at].kind in {"number", "part", "-", ",", "/"}:
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
    degrees, after, _ = degrees_at(text, tokens, start, greedy=True, allowed=BEARINGS)
    if after >= len(tokens) or tokens[after].text not in _EAST_WEST:
        place = tokens[after] if after < len(tokens) else tokens[after - 1]
        if after < len(tokens) and place.kind == "number":
            raise bad(text, "bearing-unreadable", "this does not belong to the degrees", place.start, place.end,
                 allowed=BEARINGS)  # fmt: skip
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


def _azimuth(
    text: str, tokens: list[Token], at: int, alone: bool, azimuths: str, named: bool = True
) -> tuple[Fraction, int]:
    first = _origin(tokens, at)
    origin = _NORTH_SOUTH[tokens[first - 1].text] if first > at else ""
    start = at = skip_filler(tokens, first) if origin else at
    end = len(tokens) if alone else _length_begins(tokens, at)
    degrees, at, marked = degrees_at(text, tokens[:end], at, greedy=alone, allowed=BEARINGS)
    end = tokens[at - 1].end
    after = _origin(tokens, at)
    if after > at:
        origin = _NORTH_SOUTH[tokens[after - 1].text]
    origin = origin or ({"south": "S", "north": "N"}.get(azimuths, "") if named or marked else "")
    if not origin and not named:
        if alone and marked and at == len(tokens):
            raise bad(text, "bearing-letter-missing", "an angle alone is not a direction", tokens[start].start, end,
                 allowed=BEARINGS, hint=f"write az {text.strip()} if it counts clockwise from north")  # fmt: skip
        raise bad(text, "bearing-missing", "a bearing is missing before this", tokens[start].start, tokens[start].end,
             allowed=BEARINGS)  # fmt: skip
    if degrees > 360:
        raise bad(text, "azimuth-range", "an azimuth goes from 0 to 360 degrees", tokens[start].start, end,
             allowed="0° to 360°")  # fmt: skip
    return (degrees + (180 if origin == "S" else 0)) % 360, after


def _length_begins(tokens: list[Token], at: int) -> int:
    """Where the length behind an azimuth begins, if its number could be taken for minutes; else the end of the tokens.

    The last of two numbers or more is a length unless a dash or a mark of an angle ties it to the one before: 90 50 ft,
    90° 50 m, 90 50' (feet); but 90-50, 90°50', 90d 50m.
    """
    begin, numbers = at, []
    while at < len(tokens) and (tokens[at].kind in {"number", "-", ","} or tokens[at].text in DEGREE | MINUTE | SECOND):
        numbers += [at] if tokens[at].kind == "number" else []
        at += 1
    if len(numbers) < 2 or tokens[numbers[-1] - 1].kind == "-":
        return len(tokens)
    last = numbers[-1]
    mark = tokens[last + 1].text if last + 1 < at else ""
    angle = tokens[begin + 1].text
    minutes = mark in DEGREE | MINUTE | SECOND and (mark != "m" or angle == "d")
    return len(tokens) if minutes and not (mark == "'" and angle not in DEGREE | {"-"}) else last


def _origin(tokens: list[Token], at: int) -> int:
    """Next token after ``[clockwise] from [true|grid|magnetic] north|south``; ``at`` when that does not stand there."""
    after = at
    while after < len(tokens) and tokens[after].text in {"clockwise", "measured", "from", "true", "grid", "magnetic"}:
        after += 1
    named = "from" in [token.text for token in tokens[at:after]] and after < len(tokens)
    return after + 1 if named and tokens[after].text in _NORTH_SOUTH else at
