"""A curve call of a legal description: each part bound to the word for it, among words that are passed by."""

from __future__ import annotations

from palewright.boundary.prose_found import ABOUT, CARDINAL, SIDE, Found, of_bearing, placed
from palewright.boundary.prose_lengths import QUALIFIERS, VARAS, Options
from palewright.boundary.prose_words import Text
from palewright.errors import NotationError
from palewright.notation.bearings import FILLER, NORTHS
from palewright.notation.curves import concave_end, read_curve
from palewright.notation.lengths import parse_length
from palewright.notation.scan import Token
from palewright.notation.units import units

__all__ = ["read_prose_curve"]

_PARTS = {
    "radius", "rad", "r", "arc", "l", "chord", "lc", "c", "ch", "chd", "cb", "chb", "delta", "δ", "angle", "da", "ca",
    "tangent", "t", "tan", "degree", "doc", "d", "radial", "length", "distance",
}  # fmt: skip
_CURVE_WORDS = FILLER | _PARTS | {
    "along", "the", "having", "has", "with", "whose", "which", "that", "is", "and", "to", "said", "through", "being",
    "on", "circular", "simple", "in", "by", "preceding", "previous", "last", "course", "line", "call", "long",
    "central", "turning", "joins", "thereof", "direction", "subtended", "subtends", "it", "left", "right", "lt", "rt",
    "non", "not", "nontangent", "tangential", "center", "centre", "from", "out", "definition", "def", "basis", "equal",
    "equals", "curvature", "lies", "at",
}  # fmt: skip
_SHORT_SIDE = {"l": "left", "r": "right", "lt": "left", "rt": "right"}
_KEYS = _PARTS | {"for", "distance"}
_TAKES_BEARING = {"chord", "cb", "chb", "lc", "c", "ch", "chd", "radial", "chord bearing"}
_BINDS = FILLER | {
    "the", "is", "being", "length", "line", "equal", "equals", "to", "said", "from", "in", "out", "center", "centre",
    "which", "that", "curvature", "approximately", "about", "along", "by",
}  # fmt: skip


class _Curve:
    """A curve call: the tokens of its parts, each bound to the word for it, and no others."""

    def __init__(self, text: Text, tokens: list[Token], options: Options, heading: float | None) -> None:
        self.text, self.tokens, self.options, self.heading = text, tokens, options, heading
        self.found = Found()
        self.kept: list[Token] = []
        self.bound = ""

    def read(self) -> Found:
        at = 0
        while at < len(self.tokens):
            at = self._step(at)
        found, plain = self.found, self.text.plain
        try:
            found.curve, found.azimuth, found.length, found.north = read_curve(
                plain, self.kept, lambda part: self.options.length(plain, part), self.options.azimuths,
                parse_length("100 ft", foot=self.options.foot).m, self.heading,
            )  # fmt: skip
        except NotationError as error:
            found.problems += placed(self.text, error, self.tokens[0].start, self.tokens[-1].end)
        found.take(self.kept)
        found.said = self._said()
        return found

    def _said(self) -> list[str]:
        """The parts that were read, in the words of the text."""
        spans: list[list[Token]] = []
        places = {token.start: k for k, token in enumerate(self.tokens)}
        kept = list(self.kept)
        small = _BINDS | {"and", "through", "said"} - {"distance"}
        while kept and (kept[-1].kind in {",", ":", "("} or kept[-1].text in small | {"distance"}):
            kept.pop()
        while kept and (kept[0].kind != "word" or kept[0].text in small):
            del kept[0]
        for token in kept:
            last = spans[-1][-1] if spans else None
            if last is not None and places[last.start] + 1 == places[token.start] and not any(
                c.isalpha() for c in self.text.plain[last.end : token.start]
            ):  # fmt: skip
                spans[-1].append(token)
            else:
                spans.append([token])
        return [self.text.words(span[0].start, span[-1].end) for span in spans]

    def _step(self, at: int) -> int:
        token = self.tokens[at]
        if token.text in _SHORT_SIDE and at and self.tokens[at - 1].text in {"to", "the"}:
            self.found.take([token])
            self.kept.append(token._replace(text=_SHORT_SIDE[token.text]))
            return at + 1
        words = tuple(t.text for t in self.tokens[at : at + 3])
        if words in ABOUT or token.kind == "±":
            self.found.about = True
            self.found.take(self.tokens[at : at + (3 if words in ABOUT else 1)])
            return at + (3 if words in ABOUT else 1)
        if token.kind in {"number", "part"}:
            return self._value(at)
        if token.text == "concave":
            end = concave_end(self.tokens, at)
            self.kept += self.tokens[at:end]
            self.bound = ""
            return end
        if self._bearing_begins(at):
            return self._value(at, bearing=True) if self.bound in _TAKES_BEARING else at + 1
        if token.kind in {",", ":", "(", ")"}:
            self.kept.append(token)
        elif self._belongs(at):
            self.kept.append(token)
            of_arc = self.bound == "arc" and token.text == "curve"  # along the arc of said curve, 39.27 feet
            self.bound = token.text if token.text in _KEYS else self.bound if of_arc or token.text in _BINDS else ""
        elif not (self.bound == "chord bearing" and token.text in {"and", "for"}):
            self.bound = ""
        return at + 1

    def _bearing_begins(self, at: int) -> bool:
        token, after = self.tokens[at], self.tokens[at + 1] if at + 1 < len(self.tokens) else None
        if token.text == "due" or token.text in NORTHS:
            return after is not None and after.text in SIDE | {"due"}
        cardinal = token.text in CARDINAL and self.bound in _TAKES_BEARING and (after is None or after.kind != "word")
        return cardinal or (token.text in SIDE and after is not None and after.kind == "number")

    def _value(self, at: int, bearing: bool = False) -> int:
        """A number with its unit, or a bearing; kept where it is bound to a word for a part."""
        end = at + 1
        units_of = units().words.keys() | QUALIFIERS | VARAS | units().vara.keys()
        while end < len(self.tokens):
            token = self.tokens[end]
            joined = (
                token.text == "and" and end + 1 < len(self.tokens) and self.tokens[end + 1].kind in {"number", "part"}
            )
            if not (of_bearing(token) or token.kind == "/" or joined or token.text in NORTHS or
                    (token.text in units_of and not bearing)) or token.kind == "odd":  # fmt: skip
                break
            if bearing and token.text in {"e", "w", "east", "west", "easterly", "westerly"}:
                end += 1
                break
            end += 1
        if self.bound:
            self.kept += self.tokens[at:end]
        self.bound = "chord bearing" if bearing else ""
        return end

    def _belongs(self, at: int) -> bool:
        token = self.tokens[at]
        if token.text in {"non", "not"}:
            return any(t.text.startswith("tangent") for t in self.tokens[at + 1 : at + 3])
        return token.kind == "word" and (token.text.startswith("curv") or token.text in _CURVE_WORDS)


def read_prose_curve(text: Text, tokens: list[Token], options: Options, heading: float | None = None) -> Found:
    """A curve call from its tokens; what was not read stays unused. heading: azimuth of the straight call before."""
    return _Curve(text, tokens, options, heading).read()
