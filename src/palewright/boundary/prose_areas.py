"""Areas that a legal description calls for: 5.17 acres, 30 acres 2 roods 4 perches, 22,651 square feet."""

from __future__ import annotations

from palewright.boundary.prose_words import Text
from palewright.errors import NotationError
from palewright.notation.scan import Token, mixed_number
from palewright.notation.units import units
from palewright.record import Record

__all__ = ["AreaSaid", "areas_in"]


class AreaSaid(Record):
    """An area in the text: its size and half a unit of its last digit [m2], and its place.

    called
        it is the area of what was described ("containing"), and not of something else.
    """

    m2: float
    within_m2: float
    start: int
    end: int
    about: bool
    called: bool


_SQUARE = {"square", "sq"}
_LAND = {"acre": 43_560.0, "acres": 43_560.0, "ac": 43_560.0, "acs": 43_560.0,
         "rood": 10_890.0, "roods": 10_890.0}  # fmt: skip
_METRIC = {"hectare": 10_000.0, "hectares": 10_000.0, "ha": 10_000.0}
_RODS = {"perch", "perches", "pole", "poles", "rod", "rods"}
_SAYS = {"containing", "contains", "contain", "comprising", "encompassing", "area", "encloses", "enclosing"}


def areas_in(text: Text, tokens: list[Token], foot: str = "international") -> list[AreaSaid]:
    """Every area in tokens of a text; foot: which foot acres are made of, as lengths are."""
    found: list[AreaSaid] = []
    called = False
    at = 0
    while at < len(tokens):
        if tokens[at].text in _SAYS:
            called = True
        elif tokens[at].kind in {";", "|"} or (tokens[at].kind == "word" and tokens[at].text in {"thence", "subject"}):
            called = False
        read = _area(text, tokens, at, foot)
        if read is None:
            at += 1
            continue
        size, half, end = read
        words = [token.text for token in tokens[end : end + 5] if token.text not in {",", "of", "land"}]
        about = words[:1] == ["±"] or words[:3] == ["more", "or", "less"] or "±" in [t.text for t in tokens[at:end]]
        if about:
            end = next((k + 1 for k in range(end, end + 5) if k < len(tokens) and tokens[k].text in {"less", "±"}), end)
        about = about or (at > 0 and tokens[at - 1].text in {"about", "approximately", "approx"})
        found.append(AreaSaid(size, half, tokens[at].start, _end(text, tokens[end - 1]), about, called))
        at = end
    return found


def _end(text: Text, token: Token) -> int:
    return token.end - (text.plain[token.end - 1] == "." and token.text in {"less", "acres", "acre", "feet"})


def _area(text: Text, tokens: list[Token], at: int, foot: str) -> tuple[float, float, int] | None:
    """Area from a token on [m2], half a unit of its last digit, and the next token."""
    first = _one(text, tokens, at, foot, series=False)
    if first is None:
        return None
    total, half, unit, end = first
    while end < len(tokens):
        more = _one(text, tokens, end + (tokens[end].text in {",", "and"}), foot, series=True)
        if more is None or more[2] >= unit:
            break
        total, half, unit, end = total + more[0], more[1], more[2], more[3]
    return total, half, end


def _one(text: Text, tokens: list[Token], at: int, foot: str, series: bool) -> tuple[float, float, float, int] | None:
    """A number and its unit: area, half a unit of its last digit, size of the unit [m2], and the next token."""
    try:
        number = mixed_number(text.plain, tokens, at)
    except NotationError:
        return None
    if number is None:
        return None
    unit, end = _unit(tokens, number[1], foot, series)
    if not unit:
        return None
    plain = tokens[at].kind == "number" and number[1] == at + 1
    last = 10.0 ** -len(tokens[at].text.partition(".")[2]) if plain else 1.0 / number[0].denominator
    return float(number[0]) * unit, 0.5 * last * unit, unit, end


def _unit(tokens: list[Token], at: int, foot: str, series: bool) -> tuple[float, int]:
    """Size of the unit of area at a token [m2] and the next token; 0 where none stands there."""
    while at < len(tokens) and tokens[at].text in {"of", "an", "a", "±"}:
        at += 1
    word = tokens[at].text if at < len(tokens) else ""
    size = units().size
    square_foot = float(size["ft", foot == "survey"]) ** 2
    if word in _LAND:
        return _LAND[word] * square_foot, at + 1
    if word in _METRIC:
        return _METRIC[word], at + 1
    if word == "sf":
        return square_foot, at + 1
    if series and word in _RODS:
        return 272.25 * square_foot, at + 1
    if word in _SQUARE and at + 1 < len(tokens):
        name = units().words.get(tokens[at + 1].text, "")
        if name:
            return float(size[name, foot == "survey"]) ** 2, at + 2
    return 0.0, at
