"""Calls of a deed: a line (bearing, distance) or a curve (any of its parts), as typed or as the deed says it."""

from __future__ import annotations

from palewright.notation.angles import spoken
from palewright.notation.bearings import BEARINGS, FILLER, bearing_begins, direction_at, skip_filler
from palewright.notation.curves import CurveText, Read, read_curve
from palewright.notation.lengths import Length, length_end, read_length
from palewright.notation.scan import Token, bad, scan
from palewright.record import Record

__all__ = ["LONGEST_CALL", "CallText", "parse_call"]

LONGEST_CALL = 1000
_BEGINNING = {"to", "the", "true", "point", "place", "of", "and", "beginning", "pob"}
_LACKING = {"unknown", "missing", "omitted", "illegible", "not", "given", "stated", "known"}
_BLANK = str.maketrans("{}[]=;±", "       ")
_STATION_M = {"international": 30.48, "survey": 120_000.0 / 3937.0}


class CallText(Record):
    """One call of a deed as read.

    azimuth, length
        of the line, or of the chord of a curve [rad]; None where the call does not say it.
    closing
        it goes to the beginning. about: "more or less" stands in it. north: "magnetic", "grid", "true", ... or "".
    """

    azimuth: float | None
    length: Length | None
    closing: bool = False
    about: bool = False
    north: str = ""
    curve: CurveText | None = None


def parse_call(
    text: str, *, unit: str = "", vara: str = "", foot: str = "international", azimuths: str = ""
) -> CallText:
    """One leg of a deed, up to 1000 characters.

    text
        a line: ``N 12°30'15" E 120.55 ft``, ``W 7.00 ch``, ``S36-00-00E 379.25`` (with ``unit``), ``S 60 W to
        beginning``, ``to the point of beginning``, ``bearing unknown, 120 ft``; a curve: ``curve right, radius 250 ft,
        arc 61.35 ft, chord S 80°12' W 61.20 ft``, with delta, tangent, degree (of curve, by arc or by chord), radial
        (to centre or from centre), ``tangent`` or ``non-tangent``. "thence", "a distance of" and the like may stand in
        it, "more or less", and behind the length "to an iron pin" or "along the line of Lot 7".
    unit, vara, foot
        as in :func:`palewright.notation.parse_length`.
    azimuths
        "north" or "south" where bare angles are azimuths counted from there.
    Raises NotationError with the span marked.

    >>> parse_call("W 7.00 ch").length.m
    140.8176
    >>> parse_call("curve left, radius 50 ft, delta 90°, tangent").curve.side
    'left'
    """
    clean = text.translate(_BLANK).replace("+/-", "   ")
    tokens, about = _about(spoken(scan(clean, longest=LONGEST_CALL)), clean != text and ("±" in text or "+/-" in text))
    tokens, closing = _closing(tokens)
    while tokens and (tokens[-1].kind in {",", ".", ":"} or tokens[-1].text in FILLER):
        tokens = tokens[:-1]

    def read(part: list[Token]) -> Length:
        return read_length(text, part, unit=unit, vara=vara, foot=foot)

    if any(token.text.startswith("curv") or token.text in _CURVED for token in tokens):
        curve, azimuth, chord, north = read_curve(text, tokens, read, azimuths, _STATION_M.get(foot, 30.48))
        return CallText(azimuth, chord, closing, about, north, curve)
    return _line(text, tokens, read, azimuths, closing, about)


_CURVED = {"radius", "arc", "chord", "delta"}


def _about(tokens: list[Token], about: bool) -> tuple[list[Token], bool]:
    """Tokens without "more or less" and the like, and whether it stood there."""
    kept: list[Token] = []
    at = 0
    while at < len(tokens):
        words = tuple(token.text for token in tokens[at : at + 3])
        if words in {("more", "or", "less"), ("plus", "or", "minus")}:
            about, at = True, at + 3
        elif words[0] in {"about", "approximately", "approx"}:
            about, at = True, at + 1
        else:
            kept.append(tokens[at])
            at += 1
    return kept, about


def _closing(tokens: list[Token]) -> tuple[list[Token], bool]:
    """Tokens without a last "to the point of beginning", and whether there was one."""
    end = len(tokens)
    while end and tokens[end - 1].kind in {",", ".", ":"}:
        end -= 1
    cut = end
    while cut and tokens[cut - 1].kind == "word" and tokens[cut - 1].text in _BEGINNING:
        cut -= 1
    words = [token.text for token in tokens[cut:end]]
    if words and words[-1] in {"beginning", "pob"}:
        return tokens[:cut], True
    return tokens, False


def _line(text: str, tokens: list[Token], read: Read, azimuths: str, closing: bool, about: bool) -> CallText:
    at = skip_filler(tokens, 0)
    if at == len(tokens):
        if closing:
            return CallText(None, None, True, about)
        raise bad(text, "bearing-missing", "a bearing is missing", 0, len(text), allowed=BEARINGS)
    azimuth: float | None = None
    north = ""
    before = tokens[at - 1].text if at else ""
    if (before == "bearing" or tokens[at].text == "bearing") and _lacks(tokens, at):
        while at < len(tokens) and (tokens[at].text in _LACKING | {"bearing", "is"} or tokens[at].kind == ","):
            at += 1
    else:
        azimuth, at, north = direction_at(text, tokens, at, azimuths)
    at = skip_filler(tokens, at)
    rest = _without_prose(tokens[at:])
    length = read(rest) if rest else None
    if length is not None and length.exact == 0:
        raise bad(text, "length-zero", "a call of no length", rest[0].start, rest[-1].end,
                  allowed="a length larger than 0")  # fmt: skip
    return CallText(azimuth, length, closing, about, north)


def _without_prose(tokens: list[Token]) -> list[Token]:
    """The tokens of a length without what a deed says of its end: "to an iron pin", "along the line of Lot 7".

    Not where the rest may be one more call: with "thence" in it, a bearing before a number, or a unit behind one.
    """
    end = length_end(tokens, 0)
    begin = end
    while begin < len(tokens) and tokens[begin].kind in {",", ":"}:
        begin += 1
    tail = tokens[begin:]
    if not end or not tail or tail[0].text not in {"to", "along", "with"}:
        return tokens
    calls = any(
        token.text in {"thence", "then"}
        or (token.kind == "number" and (bearing_begins(tail, at - 1) or length_end(tail, at) > at + 1))
        for at, token in enumerate(tail)
    )
    return tokens if calls else tokens[:end]


def _lacks(tokens: list[Token], at: int) -> bool:
    return any(token.text in {"unknown", "missing", "omitted", "illegible", "not"} for token in tokens[at : at + 3])
