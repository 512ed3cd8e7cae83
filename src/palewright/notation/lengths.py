"""Lengths as on a tape, a plan and a deed."""

from __future__ import annotations

from fractions import Fraction
from typing import NoReturn

from palewright.notation.scan import Token, bad, mixed_number, scan
from palewright.notation.units import units
from palewright.record import Record

__all__ = ["Length", "length_end", "parse_length", "read_length"]

_LARGEST_M = 10_000_000
_SURVEY = {"us", "survey", "ussurvey", "usa"}
_PLAIN = {"international", "intl", "int"}
_VARAS = {"vara", "varas", "vr", "vrs"}
_ENGINEER = {"engineer", "engineers", "engineering", "eng"}
_GUNTER = {"gunter", "gunters"}
_GLUED = {"usft": "ft", "ftus": "ft", "sft": "ft", "usfoot": "ft", "usfeet": "ft", "usch": "ch", "chus": "ch"}
_EXAMPLES = "16' 4 1/2\", 12.5 ft, 3.25 m, 3 ch 25 lk"


class Length(Record):
    """A length as typed.

    m, exact
        metres, as a float and exactly. text: as typed. unit: name of its largest unit ("ft", "in", "m", "ch",
        "vara", ...), followed by " US" where the survey foot was meant.
    """

    m: float
    exact: Fraction
    text: str
    unit: str


def parse_length(
    text: str, *, unit: str = "", vara: str = "", foot: str = "international", signed: bool = False
) -> Length:
    """Read one length.

    text
        up to 200 characters: ``16'``, ``16 ft 4 1/2 in``, ``16'-4 1/2"``, ``7 3/8"``, ``3.25 m``, ``3 ch 25 lk``,
        ``12 varas (Texas)``, ``150 ft US``, ``2 engineer's chains``, ``120 (120.00) ft``, ...; largest unit first; a
        fraction or decimal only in the last part.
    unit
        unit of a number that has none; without it a bare number is a problem.
    vara
        state whose vara is meant where the text does not say.
    foot
        "international" or "survey": which foot units of feet, inches, chains, ... mean where the text does not say.
    signed
        True to allow a minus in front (coordinates, rises).
    Returns the length; at most 10,000 km. Raises NotationError with the span marked.
    Source: NIST, revised unit conversion factors (foot, survey foot, chain, rod, link, furlong, mile), exact.

    >>> parse_length("16' 4 1/2\\"").exact == Fraction(393, 2) * Fraction(254, 10000)
    True
    >>> parse_length("100", unit="ft").m
    30.48
    """
    return read_length(text, scan(text), unit=unit, vara=vara, foot=foot, signed=signed)


def read_length(
    text: str, tokens: list[Token], *, unit: str = "", vara: str = "", foot: str = "international", signed: bool = False
) -> Length:
    """Read a length from tokens of ``text`` (all of them); otherwise like :func:`parse_length`."""
    if not tokens:
        raise bad(text, "length-missing", "a length is missing", 0, len(text), allowed=_EXAMPLES)
    sign, at = 1, 0
    if tokens[0].kind in "-+":
        at = 1
        if tokens[0].kind == "-":
            sign = -1
            if not signed:
                raise bad(
                    text, "length-negative", "a length is not negative", tokens[0].start, tokens[-1].end,
                    allowed=f"0 or more: {_EXAMPLES}", hint="say the direction in words instead of a minus",
                )  # fmt: skip
    reader = _Reader(text, tokens, unit, vara, foot == "survey")
    total, name = reader.parts(at)
    total *= sign
    if abs(total) > _LARGEST_M:
        raise bad(
            text, "length-too-large", "the length is larger than any job", tokens[0].start, tokens[-1].end,
            allowed="up to 10,000 km", hint="check the unit",
        )  # fmt: skip
    return Length(float(total), total, text[tokens[0].start : tokens[-1].end], name)


def length_end(tokens: list[Token], at: int) -> int:
    """Where a length that begins at a token ends: the first token that cannot belong to it (a comma ends it)."""
    known = units()
    words = known.words.keys() | _GLUED.keys() | _VARAS | _SURVEY | _PLAIN | _ENGINEER | _GUNTER | known.vara.keys()
    while at < len(tokens):
        token = tokens[at]
        if token.kind == "(":
            inside = at + 1
            while inside < len(tokens) and (tokens[inside].text in words or tokens[inside].kind == "number"):
                inside += 1
            if inside == at + 1 or inside >= len(tokens) or tokens[inside].kind != ")":
                return at
            at = inside + 1
        elif (
            token.text in words
            or token.kind in {"number", "part", "/", "'", '"', "-"}
            or (token.text == "and" and at + 1 < len(tokens) and tokens[at + 1].kind in {"number", "part"})
            or (token.text == "s" and tokens[at - 1].kind == "'")
        ):
            at += 1
        else:
            return at
    return at


class _Reader:
    """Parts of one length, left to right."""

    def __init__(self, text: str, tokens: list[Token], unit: str, vara: str, survey: bool) -> None:
        self.text, self.tokens, self.unit, self.vara, self.survey = text, tokens, unit, vara, survey

    def parts(self, at: int) -> tuple[Fraction, str]:
        total, first_name = Fraction(0), ""
        before: Fraction | None = None
        open_part: tuple[int, int] | None = None
        while at < len(self.tokens):
            start = self.tokens[at]
            number = mixed_number(self.text, self.tokens, at)
            if number is None:
                self._no_number(at)
            value, at, whole = number
            end = self.tokens[at - 1].end
            at = self._said_again(value, at)
            size, name, at = self._unit(at, start.start, end, alone=before is None)
            at = self._said_again(value, at)
            if name.startswith("lk") and first_name.startswith("ech"):
                size, name, _ = self._sized("elk", at, name.endswith("US"))
            if open_part:
                raise bad(
                    self.text, "fraction-not-last", "only the last part of a length may have a fraction or decimals",
                    *open_part, hint="write 16' 6\" or 16.5 ft",
                )  # fmt: skip
            if before is not None:
                self._fits(value, size, before, name, start.start, self.tokens[at - 1].end)
            if not whole:
                open_part = (start.start, end)
            total += value * size
            before = size
            first_name = first_name or name
            at = self._separator(at)
        return total, first_name

    def _said_again(self, value: Fraction, at: int) -> int:
        """Next token after a number that stands again in brackets, as in one hundred twenty (120.00) feet."""
        if at + 2 >= len(self.tokens) or self.tokens[at].kind != "(":
            return at
        again = mixed_number(self.text, self.tokens, at + 1)
        if again is None:
            return at
        end = again[1]
        while end < len(self.tokens) and self.tokens[end].kind in {"word", "'", '"'}:
            end += 1
        if end >= len(self.tokens) or self.tokens[end].kind != ")":
            return at
        if again[0] != value:
            raise bad(
                self.text, "length-said-twice", "the number in brackets is another than the one before it",
                self.tokens[at].start, self.tokens[end].end, allowed=f"{float(value):g}",
                hint="words usually rule over figures; ask whoever drew the deed",
            )  # fmt: skip
        return end + 1

    def _no_number(self, at: int) -> NoReturn:
        token = self.tokens[at]
        if token.kind == "word" and token.text in {"nan", "inf", "infinity"}:
            raise bad(self.text, "length-not-number", "this is not a number", token.start, token.end, allowed=_EXAMPLES)
        raise bad(
            self.text, "length-unreadable", "a number is expected here", token.start, token.end,
            allowed=_EXAMPLES, hint="a number, then its unit",
        )  # fmt: skip

    def _fits(self, value: Fraction, size: Fraction, before: Fraction, name: str, start: int, end: int) -> None:
        if size >= before:
            raise bad(
                self.text, "length-order", "the larger unit comes first, each unit once", start, end,
                allowed="16' 4 1/2\", 3 ch 25 lk",
            )  # fmt: skip
        if value * size >= before:
            slug, what, hint = "part-too-large", "this part is as large as one of the unit before it", "carry it over"
            if name.startswith("in"):
                slug, what = "inches-over-12", "12 inches or more after feet"
                hint = "carry 12 inches over to one more foot"
            raise bad(self.text, slug, what, start, end, allowed=f"less than {float(before / size):g}", hint=hint)

    def _separator(self, at: int) -> int:
        tokens = self.tokens
        if at < len(tokens) and (tokens[at].kind in "-," or tokens[at].text == "and"):
            if at + 1 == len(tokens):
                raise bad(
                    self.text, "length-unreadable", "a number is expected after this", tokens[at].start, tokens[at].end,
                    allowed=_EXAMPLES,
                )  # fmt: skip
            return at + 1
        return at

    def _unit(self, at: int, start: int, end: int, alone: bool) -> tuple[Fraction, str, int]:
        """Size [m], name and next token of the unit that stands at ``at``."""
        tokens = self.tokens
        if at < len(tokens):
            kind = tokens[at].kind
            if kind in "'\"":
                return self._sized("ft" if kind == "'" else "in", at + 1, self.survey)
            if kind == "word" and tokens[at].text != "and":
                return self._named(at)
        if not alone:
            raise bad(
                self.text, "unit-missing", "the last number has no unit", start, end,
                allowed="an inch mark or a unit after it", hint="16' 4 1/2\": the inches need their mark too",
            )  # fmt: skip
        if not self.unit or at < len(tokens):
            raise bad(
                self.text, "unit-missing", "the number has no unit", start, end,
                allowed=_EXAMPLES, hint="put a unit after the number: ft, in, ', \", m, cm, mm, yd, ch, lk, rd",
            )  # fmt: skip
        return self._default()

    def _default(self) -> tuple[Fraction, str, int]:
        inner = _Reader(self.unit, scan(self.unit), "", self.vara, self.survey)
        if not inner.tokens or inner.tokens[0].kind not in {"word", "'", '"'}:
            raise bad(
                self.unit, "unit-unknown", "this is not a unit of length", 0, len(self.unit), allowed=_unit_words()
            )
        size, name, after = inner._unit(0, 0, len(self.unit), alone=True)
        if after != len(inner.tokens):
            raise bad(
                self.unit, "unit-unknown", "this is not a unit of length", 0, len(self.unit), allowed=_unit_words()
            )
        return size, name, len(self.tokens)

    def _sized(self, name: str, at: int, survey: bool) -> tuple[Fraction, str, int]:
        known = units()
        metric = name in known.metric
        return known.size[name, survey], name if metric or not survey else f"{name} US", at

    def _named(self, at: int) -> tuple[Fraction, str, int]:
        tokens, known = self.tokens, units()
        survey, first, state, engineer = self.survey, tokens[at], "", False
        while (
            at < len(tokens)
            and tokens[at].kind == "word"
            and tokens[at].text in _SURVEY | _PLAIN | _ENGINEER | _GUNTER | known.vara.keys()
        ):
            if tokens[at].text in known.vara:
                state = tokens[at].text
            elif tokens[at].text in _ENGINEER | _GUNTER:
                engineer = tokens[at].text in _ENGINEER
                at = _possessive(tokens, at)
            else:
                survey = tokens[at].text in _SURVEY
            at += 1
        word = tokens[at] if at < len(tokens) and tokens[at].kind == "word" else first
        if word.text in _VARAS:
            return self._vara(at + 1, state, word)
        glued = _GLUED.get(word.text)
        name = glued or known.words.get(word.text)
        if name is None or state:
            raise bad(
                self.text, "unit-unknown", "this is not a unit of length", word.start, word.end,
                allowed=_unit_words(), hint=_nearest_unit(word.text),
            )  # fmt: skip
        survey = survey or glued is not None
        inner, after = self._bracketed(at + 1)
        if inner and set(inner) <= _ENGINEER | {"s"}:
            engineer, at = True, after - 1
        if engineer:
            if name not in ("ch", "lk"):
                raise bad(self.text, "unit-unknown", "an engineer's chain has links, and nothing else", word.start,
                     word.end, allowed="engineer's chains, engineer's links")  # fmt: skip
            name = f"e{name}"
        if inner and set(inner) <= _SURVEY | {"ft", "foot", "feet"}:
            survey, at = True, after - 1
        elif inner and set(inner) <= _PLAIN:
            survey, at = False, after - 1
        return self._sized(name, at + 1, survey)

    def _bracketed(self, at: int) -> tuple[list[str], int]:
        """Words of qualification after a unit, with or without brackets or a comma, and the next token."""
        tokens = self.tokens
        opened = at < len(tokens) and tokens[at].kind in "(,"
        bracket = opened and tokens[at].kind == "("
        after = at + 1 if opened else at
        words: list[str] = []
        while after < len(tokens) and (
            (tokens[after].kind == "word" and tokens[after].text not in units().words)
            or (bracket and tokens[after].kind == "'")
        ):
            if tokens[after].kind == "word":
                words.append(tokens[after].text)
            after += 1
        if bracket:
            if after >= len(tokens) or tokens[after].kind != ")":
                return [], at
            after += 1
        return words, after

    def _vara(self, at: int, state: str, word: Token) -> tuple[Fraction, str, int]:
        known = units().vara
        inner, after = self._bracketed(at)
        inner = [w for w in inner if w not in {"of", "and"}]
        if inner:
            state, at = " ".join(inner), after
        state = state or self.vara.strip().lower()
        states = ", ".join(name.capitalize() for name in known)
        if not state:
            raise bad(
                self.text, "vara-state-missing", "a vara differs from state to state", word.start, word.end,
                allowed=f"varas ({states})", hint="say whose vara the deed means: 12 varas (Texas)",
            )  # fmt: skip
        if state not in known:
            raise bad(
                self.text, "vara-state-unknown", "no fixed vara is known for this state", word.start,
                self.tokens[at - 1].end, allowed=states, hint="ask a licensed surveyor, and give the length in feet",
            )  # fmt: skip
        return known[state], "vara", at


def _possessive(tokens: list[Token], at: int) -> int:
    """The last token of ``engineer's``: the word itself, or the s behind its mark."""
    mark = at + 1 < len(tokens) and tokens[at + 1].kind == "'"
    return at + 2 if mark and at + 2 < len(tokens) and tokens[at + 2].text == "s" else at + mark


def _nearest_unit(word: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(word, units().words, n=1, cutoff=0.6)
    return f"did you mean {near[0]}?" if near else "a length is written 12 ft, 12' 6 1/2\" or 3.25 m"


def _unit_words() -> str:
    return "ft, in, ', \", yd, m, cm, mm, km, ch, lk, rd, fur, mi, ft US, varas (STATE), engineer's chains"
