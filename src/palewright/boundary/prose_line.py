"""A straight call of a legal description: its bearing and its distance among words that are passed by."""

from __future__ import annotations

from palewright.boundary.prose_found import ABOUT, CARDINAL, SIDE, Found, of_bearing, placed
from palewright.boundary.prose_lengths import Options, last_place, length_at
from palewright.boundary.prose_words import Text, in_words, problem_at
from palewright.errors import NotationError
from palewright.notation.angles import DEGREE
from palewright.notation.bearings import FILLER, NORTHS, direction_at
from palewright.notation.lengths import Length, length_end
from palewright.notation.scan import Token

__all__ = ["read_line"]

_AFTER_CARDINAL = {
    "along", "with", "a", "for", "on", "by", "to", "parallel", "passing", "crossing", "through", "across", "over",
    "about", "approximately", "and", "following", "distance",
}  # fmt: skip
_HALF_WAY = {"ne", "nw", "se", "sw", "northeast", "northwest", "southeast", "southwest"}
_TOTAL = ({"total"}, {"in", "all"}, {"overall"}, {"full"})


def _opens(tokens: list[Token], at: int) -> bool:
    return at < len(tokens) and tokens[at].kind == "("


class _Line:
    """A straight call, left to right."""

    def __init__(self, text: Text, tokens: list[Token], options: Options) -> None:
        self.text, self.tokens, self.options = text, tokens, options
        self.found = Found()
        self.bearings: list[tuple[float, int, int]] = []
        self.lengths: list[tuple[Length, int, int]] = []
        self.first = True

    def read(self) -> Found:
        at = 0
        while at < len(self.tokens):
            at = max(self._step(at), at + 1)
        self._one_bearing()
        self._one_length()
        return self.found

    def _step(self, at: int) -> int:
        tokens, token = self.tokens, self.tokens[at]
        words = tuple(t.text for t in tokens[at : at + 3])
        if words in ABOUT or token.kind == "±":
            return self._more_or_less(at, 3 if words in ABOUT else 1)
        if self._begins(at):
            self.first = False
            return self._bearing(at)
        if token.kind in {"number", "part"}:
            self.first = False
            return self._number(at)
        if token.text in {"distance", "bearing"} and self._lacking(at):
            self.found.lacks.add(token.text)
            self.found.take(tokens[at : at + 2])
            return at + 2
        if token.text in FILLER and token.kind == "word":
            self.found.take([token])
        elif token.kind == "word":
            self.first = self.first and token.text in {
                "continuing",
                "the",
                "again",
                "also",
                "said",
                "still",
                "straight",
            }
        return at + 1

    def _more_or_less(self, at: int, count: int) -> int:
        self.found.about = True
        self.found.take(self.tokens[at : at + count])
        return at + count

    def _lacking(self, at: int) -> bool:
        after = self.tokens[at + 1].text if at + 1 < len(self.tokens) else ""
        return after in {"unknown", "missing", "omitted", "illegible"}

    # ------------------------------------------------------------ bearings

    def _begins(self, at: int) -> bool:
        """Whether a bearing begins here, and not the north line of something."""
        tokens, token = self.tokens, self.tokens[at]
        after = tokens[at + 1] if at + 1 < len(tokens) else None
        if token.text in NORTHS and after is not None:
            return self._begins(at + 1) and (after.kind == "number" or after.text in SIDE | {"due", "az", "azimuth"})
        if token.text == "due":
            return after is not None and after.text in CARDINAL
        if token.text in {"az", "azimuth", "azm"}:
            return True
        if token.kind == "number" and not in_words(token, self.text.plain):
            return after is not None and after.text in DEGREE - {"d"}
        if token.text in SIDE and after is not None and after.kind in {"number", "part"}:
            before = tokens[at - 1] if at else None
            alone = before is None or before.kind != "word" or before.text in FILLER
            return self._quadrant(at + 1) or (alone and token.text in CARDINAL)
        if token.text in _HALF_WAY:
            return self.first
        return token.text in CARDINAL and self.first and self._cardinal(at)

    def _quadrant(self, at: int) -> bool:
        """Whether the number here is degrees: their mark follows, or minutes, or east or west."""
        texts = [token.text for token in self.tokens[at : at + 8]]
        of = {"e", "w", "east", "west", "easterly", "westerly"}
        return len(texts) > 1 and (texts[1] in DEGREE | {"-"} | of or any(
            text in of and all(of_bearing(t) for t in self.tokens[at : at + k]) for k, text in enumerate(texts)
        ))  # fmt: skip

    def _cardinal(self, at: int) -> bool:
        """Whether north stands for itself here: thence North along the road, thence North 200 feet."""
        after = self.tokens[at + 1] if at + 1 < len(self.tokens) else None
        return after is None or after.kind != "word" or after.text in _AFTER_CARDINAL

    def _bearing(self, at: int) -> int:
        plain, tokens = self.text.plain, self.tokens
        try:
            azimuth, end, north = direction_at(plain, tokens, at, self.options.azimuths)
        except NotationError as error:
            end = at + 1
            while end < len(tokens) and of_bearing(tokens[end]):
                end += 1
            return self._told(error, at, end)
        self.bearings.append((azimuth, at, end))
        self.found.north = self.found.north or north
        return self._bearing_again(end)

    def _bearing_again(self, at: int) -> int:
        """A bearing that stands again in brackets."""
        tokens = self.tokens
        if not _opens(tokens, at) or at + 1 >= len(tokens) or not self._begins(at + 1):
            return at
        try:
            azimuth, end, _ = direction_at(self.text.plain, tokens, at + 1, self.options.azimuths)
        except NotationError as error:
            end = next((k for k in range(at, len(tokens)) if tokens[k].kind == ")"), len(tokens) - 1)
            return self._told(error, at, end + 1)
        before = self.bearings[-1]
        if abs(azimuth - before[0]) > 1e-9:
            self._tell("deed-said-twice", "the bearing in brackets is another than the one before it", before[1], end,
                       hint="ask whoever drew the deed, and leave one of the two out")  # fmt: skip
        self.found.take(tokens[at : end + 1])
        return end + 1

    def _one_bearing(self) -> None:
        if not self.bearings:
            return
        azimuth, start, end = self.bearings[0]
        self.found.azimuth = azimuth
        self._say(start, end)
        for _, first, last in self.bearings[1:]:
            self.found.take(self.tokens[first:last])
            hint = "put `thence` (or a semicolon) before each call; a bearing of something else is left out"
            self._tell("deed-two-bearings", "a second bearing stands in this call", first, last,
                       allowed="one bearing in a call", hint=hint)  # fmt: skip

    # ------------------------------------------------------------ lengths

    def _number(self, at: int) -> int:
        plain, tokens = self.text.plain, self.tokens
        try:
            end = length_at(self.text, tokens, at, self.options)
            if end == at:
                return at + 1
            length = self.options.length(plain, tokens[at:end])
        except NotationError as error:
            return self._told(error, at, max(length_end(tokens, at), at + 1))
        self.lengths.append((length, at, end))
        return self._length_again(length, end)

    def _length_again(self, length: Length, at: int) -> int:
        """A length that stands again in brackets, in the same unit or in another."""
        tokens = self.tokens
        if not _opens(tokens, at):
            return at
        try:
            end = length_at(self.text, tokens, at + 1, self.options)
            if end == at + 1 or (end >= len(tokens) or tokens[end].kind != ")"):
                return at
            again = self.options.length(self.text.plain, tokens[at + 1 : end])
        except NotationError as error:
            end = next((k for k in range(at, len(tokens)) if tokens[k].kind == ")"), len(tokens) - 1)
            return self._told(error, at, end + 1)
        first = self.lengths[-1]
        if abs(again.m - length.m) > last_place(tokens[first[1] : first[2]], length) + last_place(
            tokens[at:end], again
        ):
            self._tell("deed-said-twice", "the distance in brackets is another than the one before it", first[1], end,
                       hint="ask whoever drew the deed, and leave one of the two out")  # fmt: skip
        self.found.take(tokens[at : end + 1])
        return end + 1

    def _one_length(self) -> None:
        own = self._own()
        starts = {start for _, start, _ in own}
        for _, start, end in self.lengths:
            self.found.take(self.tokens[start:end])
            if start not in starts:
                self.found.noted.append((self.tokens[start].start, self.tokens[end - 1].end))
        if not own:
            return
        length, start, end = own[0]
        if length.exact == 0:
            self._tell("length-zero", "a call of no length", start, end, allowed="a length larger than 0")
        self.found.length = length
        self._say(start, end)
        for _, first, last in own[1:]:
            self._tell("deed-two-distances", "a second distance stands in this call", first, last,
                       allowed="one distance in a call, and others behind `passing` or `said point being`",
                       hint="which one is the length of the call is not guessed: leave the other out")  # fmt: skip

    def _own(self) -> list[tuple[Length, int, int]]:
        """Lengths that may be the call's: not those at which it passes something, on the way to a total."""
        words = [token.text for token in self.tokens]
        passing = next((k for k, word in enumerate(words) if word in {"passing", "crossing"}), len(words))
        total = next((one for one in self.lengths
                      if any(kinds <= set(words[max(0, one[1] - 5) : one[1]]) for kinds in _TOTAL)), None)  # fmt: skip
        if total is not None and passing < total[1]:
            return [total]
        return [one for one in self.lengths if not (one[1] > passing and words[one[1] - 1] == "at")]

    # ------------------------------------------------------------ telling

    def _say(self, start: int, end: int) -> None:
        self.found.take(self.tokens[start:end])
        self.found.said.append(self.text.words(self.tokens[start].start, self.tokens[end - 1].end))

    def _tell(self, slug: str, what: str, start: int, end: int, **more: str) -> None:
        first, last = self.tokens[start].start, self.tokens[end - 1].end
        self.found.problems.append(problem_at(self.text, slug, what, first, last, **more))

    def _told(self, error: NotationError, start: int, end: int) -> int:
        """A problem of notation at its place; the tokens from start to end are told with it."""
        self.found.problems += placed(self.text, error, self.tokens[start].start, self.tokens[end - 1].end)
        self.found.take(self.tokens[start:end])
        return end


def read_line(text: Text, tokens: list[Token], options: Options) -> Found:
    """A straight call from its tokens; what was not read stays unused."""
    return _Line(text, tokens, options).read()
