"""A legal description as it is pasted: its calls in order, what it says beside them, and everything not understood.

Nothing is guessed. A word that carries a number is read, shown word for word as a note, or told as a problem; words
without a number are passed by and listed, so that a person can check.
"""

from __future__ import annotations

from collections.abc import Sequence

from palewright.boundary.prose_areas import AreaSaid, areas_in
from palewright.boundary.prose_curve import read_prose_curve
from palewright.boundary.prose_found import BARRIER, Found, unread
from palewright.boundary.prose_lengths import Options
from palewright.boundary.prose_line import read_line
from palewright.boundary.prose_notes import Note, beginning_in, notes_in, pattern
from palewright.boundary.prose_words import LONGEST_DEED, Text, problem_at
from palewright.errors import Problem, ProblemError
from palewright.notation.bearings import NORTHS
from palewright.notation.calls import CallText
from palewright.notation.scan import Token
from palewright.record import Record

__all__ = ["Options", "Prose", "ProseCall", "is_prose", "read_prose"]

MOST_PROSE_CALLS = 500
"""Most calls of a description in words."""
_SMALL = {"to", "the", "a", "an", "and", "of", "in", "on", "at", "from", "by", "with", "for", "said", "as", "it", "is"}


class ProseCall(Record):
    """One call of a description.

    read, text
        the call, and the words that it was read from. start, end: its place in the description.
    monument
        what the record calls for at its end. along: what it says to run along.
    noted, passed
        words that hold a number which is not the call's, and words without a number, as they stand there.
    """

    read: CallText
    text: str
    start: int
    end: int
    monument: str = ""
    along: tuple[str, ...] = ()
    noted: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()


class Prose(Record):
    """A description: the calls round the parcel, and those that lead to its beginning and are no part of it.

    begins
        what the record calls for at the beginning. commences: the same, where the calls that lead to it begin.
    noted, passed
        of what stands before and after the calls. areas: that it calls for. bearings: kind of north, if it says one.
    comes_back
        it says that it ends where it begins.
    """

    calls: tuple[ProseCall, ...]
    ties: tuple[ProseCall, ...]
    begins: str
    commences: str
    areas: tuple[AreaSaid, ...]
    noted: tuple[str, ...]
    passed: tuple[str, ...]
    bearings: str
    comes_back: bool


def is_prose(text: str) -> bool:
    """Whether a text looks like a legal description in sentences."""
    return bool(pattern("prose").search(text))


def read_prose(raw: str, options: Options | None = None) -> Prose:
    """A legal description in sentences.

    raw
        the text, up to 20,000 characters. options: unit of bare numbers, vara, foot, azimuths.
    The text is parted at "thence" (and where a bearing follows a semicolon). Of each call a bearing and a distance, or
    the parts of a curve, are read by :mod:`palewright.notation`; monuments, adjoiners, lots, books, dates, widths and
    areas are known by their words. Calls up to the first point of beginning lead to it where the text commences
    elsewhere.
    Raises ProblemError with every problem: a number that was not understood, two bearings in a call, words and figures
    that disagree, an exception, a second description.
    """
    if len(raw) > LONGEST_DEED:
        found, allowed = f"{len(raw):,} characters", f"{LONGEST_DEED:,} characters"
        what = "the text is too long to be a legal description"
        raise ProblemError(Problem("text-too-long", what, found=found, allowed=allowed))
    return _Reader(Text.of(raw), options or Options()).read()


class _Part(Record):
    """One stretch of the text between two splits: its notes, and where it comes to the beginning."""

    start: int
    end: int
    notes: tuple[Note, ...]
    beginning: tuple[int, int, bool] | None


class _Reader:
    """A description, part by part."""

    def __init__(self, text: Text, options: Options) -> None:
        self.text, self.options = text, options
        self.problems: list[Problem] = []
        self.carried: list[Token] = []
        self.before: ProseCall | None = None
        self.areas: list[AreaSaid] = []

    def read(self) -> Prose:
        self._exceptions()
        for start, end, one, two in self.text.said_twice:
            self._tell("deed-said-twice", f"the number in brackets is another than the one before it: {one} and {two}",
                       start, end, hint="words usually rule over figures; ask whoever drew the deed")  # fmt: skip
        head, *parts = self._parts()
        if not parts:
            self._tell("deed-empty", "no call stands in this description", 0, len(self.text.raw),
                       allowed="thence N 12°30' E, 120.55 feet; thence ...")  # fmt: skip
            raise ProblemError(self.problems)
        tie_end, ring_end = self._ends(head, parts)
        outside = [self._outside(head.start, head.end, head.notes)]
        calls: list[ProseCall] = []
        for k, part in enumerate(parts):
            end = part.end
            if k == ring_end and part.beginning is not None:
                end = part.beginning[1]
                tail = notes_in(self.text.plain, end, part.end)
                outside.append(self._outside(end, part.end, tail))
            call = self._call(part, end, parts[k + 1] if k + 1 < len(parts) else None)
            if call is None:
                outside.append(self._outside(part.start, end, part.notes))
                tie_end -= k < tie_end
            else:
                calls.append(call)
                self.before = call
        if self.problems:
            raise ProblemError(sorted(self.problems, key=lambda p: (p.where.line, p.where.column)))
        return self._made(head, calls, outside, tie_end, ring_end is not None)

    def _made(self, head: _Part, calls: list[ProseCall], outside: list[tuple[list[str], list[str], str]], tie_end: int,
              comes_back: bool) -> Prose:  # fmt: skip
        at_start = self._monument(head.notes)
        ring, ties = calls[tie_end:], calls[:tie_end]
        return Prose(
            calls=tuple(ring),
            ties=tuple(ties),
            begins=(ring[-1].monument if not ties and ring else "") or (ties[-1].monument if ties else at_start),
            commences=at_start if ties else "",
            areas=tuple(self.areas),
            noted=tuple(note for notes, _, _ in outside for note in notes),
            passed=tuple(words for _, passed, _ in outside for words in passed),
            bearings=next((north for _, _, north in outside if north), ""),
            comes_back=comes_back,
        )

    def _tell(self, slug: str, what: str, start: int, end: int, **more: str) -> None:
        self.problems.append(problem_at(self.text, slug, what, start, end, **more))

    # ------------------------------------------------------------ the parts

    def _exceptions(self) -> None:
        for hit in pattern("exception").finditer(self.text.plain):
            self._tell("deed-exception", "land is taken out of what is described here, and that is not read",
                       hit.start(), hit.end(), allowed="one ring of calls",
                       hint="leave the exception out of the text and keep in mind that the line there is another:"
                       " a licensed surveyor says where")  # fmt: skip

    def _parts(self) -> list[_Part]:
        plain = self.text.plain
        cuts = [hit.span() for hit in pattern("split").finditer(plain)]
        if len(cuts) > MOST_PROSE_CALLS:
            self._tell("too-many-calls", "a description of so many calls is taken for another kind of text", *cuts[-1],
                       found=f"{len(cuts)}", allowed=f"up to {MOST_PROSE_CALLS} calls")  # fmt: skip
            raise ProblemError(self.problems)
        edges = [(0, cuts[0][0] if cuts else len(plain))]
        edges += [(cut[1], after[0]) for cut, after in zip(cuts, [*cuts[1:], (len(plain), 0)], strict=False)]
        made = []
        for k, (start, end) in enumerate(edges):
            begins = list(beginning_in(plain, start, end)) if k else []
            notes = notes_in(plain, start, end, tuple(b[:2] for b in begins))
            made.append(_Part(start, end, tuple(notes), begins[0] if begins else None))
        return [made[0], *(part for part in made[1:] if plain[part.start : part.end].strip(" \n\r\t,;:.-"))]

    def _ends(self, head: _Part, parts: Sequence[_Part]) -> tuple[int, int | None]:
        """How many parts lead to the beginning, and the index of the one that comes back to it."""
        ends = [k for k, part in enumerate(parts) if part.beginning is not None]
        if not ends:
            return 0, None
        commences = bool(pattern("commencing").search(self.text.plain, head.start, head.end))
        first = parts[ends[0]].beginning
        leads = len(ends) > 1 and (commences or (first is not None and first[2]))
        last = ends[1] if leads else ends[0]
        if commences and len(ends) == 1:
            hit = pattern("commencing").search(self.text.plain, head.start, head.end)
            assert hit is not None
            self._tell("deed-beginning-missing", "this commences, and no call is said to reach the point of beginning",
                       *hit.span(), allowed="Beginning at ...; or a first call to the POINT OF BEGINNING",
                       hint="where the calls begin at this place, write Beginning for it")  # fmt: skip
        if last + 1 < len(parts):
            after = parts[last + 1]
            self._tell("deed-goes-on", "the calls go on after they came back to the point of beginning", after.start,
                       min(after.end, after.start + 60), allowed="one ring of calls",
                       hint="give each parcel, easement or exception a text of its own")  # fmt: skip
        return (ends[0] + 1 if leads else 0), last

    # ------------------------------------------------------------ a call

    def _call(self, part: _Part, end: int, after: _Part | None) -> ProseCall | None:
        """What stands between two splits as a call; None where it only says that calls follow."""
        notes = [note for note in part.notes if note.start < end]
        begins = next((note for note in notes if note.kind == "curve begins"), None)
        tokens = self._tokens(part.start, end, notes, part.beginning)
        carried, self.carried = self.carried, []
        words = self.text.plain[part.start : end]
        follows = after is not None and bool(pattern("said_curve").search(self.text.plain, after.start, after.end))
        if begins is not None and follows:
            self.carried = [token for token in tokens if begins.start <= token.start < begins.end]
            tokens = [token for token in tokens if token not in self.carried]
            words = self.text.plain[part.start : begins.start]
        tokens = self._but_areas(tokens)
        masked = self._masked(part.start, part.start + len(words), notes)
        if pattern("curved").search(masked):
            found = read_prose_curve(self.text, [*carried, *tokens], self.options, self._heading())
            everything = [*carried, *tokens]
        else:
            found = read_line(self.text, tokens, self.options)
            self._same_course(part.start, end, found)
            everything = tokens
            self._numbers_left(carried, found)
        self._numbers_left(everything, found)
        self.problems += found.problems
        if not found.problems and self._only_leads(part, found):
            return None
        if not found.problems:
            self._whole(part, end, found)
        noted = [self.text.words(*span) for span in found.noted]
        return self._made_call(part, end, notes, tokens, found, noted)

    def _heading(self) -> float | None:
        """Azimuth of the call before, where it is a straight one."""
        before = self.before.read if self.before is not None else None
        return before.azimuth if before is not None and before.curve is None else None

    def _same_course(self, start: int, end: int, found: Found) -> None:
        """The bearing of the call before, where a call is said to go on in it."""
        said = pattern("same_course").search(self.text.plain, start, end)
        heading = self._heading()
        if said is None or found.azimuth is not None or heading is None:
            return
        assert self.before is not None
        found.take([token for token in self.text.tokens if said.start() <= token.start < said.end()])
        found.azimuth, found.north = heading, self.before.read.north
        found.said.insert(0, self.text.words(*said.span()))

    def _only_leads(self, part: _Part, found: Found) -> bool:
        """Whether the words only say that courses follow."""
        says = (self.text.plain[note.start : note.end].lower() for note in part.notes if note.kind == "aside")
        empty = found.azimuth is None and found.length is None and found.curve is None and part.beginning is None
        return empty and any(words.rstrip("s").endswith(("course", "call", "distance")) for words in says)

    def _made_call(self, part: _Part, end: int, notes: list[Note], tokens: list[Token], found: Found,
                   noted: list[str]) -> ProseCall:  # fmt: skip
        read = CallText(found.azimuth, found.length, False, found.about, found.north, found.curve)
        return ProseCall(
            read=read,
            text=" ".join([*found.said, *(["more or less"] if found.about else [])]),
            start=part.start,
            end=end,
            monument=self._monument(notes),
            along=tuple(self.text.words(n.start, n.end) for n in notes if n.kind == "adjoiner"),
            noted=(*noted, *self._noted(notes)),
            passed=tuple(self._passed([t for t in tokens if t not in found.used])),
        )

    def _whole(self, part: _Part, end: int, found: Found) -> None:
        """A call lacks nothing that the text does not say it lacks; the last one may lack all but the beginning."""
        if found.curve is not None:
            return
        closes = part.beginning is not None and end == part.beginning[1]
        words = self.text.plain[part.start : end]
        start, end = end - len(words.lstrip()), part.start + len(words.rstrip(" \n;,."))
        if found.azimuth is None and "bearing" not in found.lacks and not (closes and found.length is None):
            self._tell("deed-bearing-missing", "this call has no bearing that can be read", start, end,
                       allowed="N 12°30' E; due north; bearing unknown",
                       hint=self._bearing_hint(start, end))  # fmt: skip
        if found.length is None and "distance" not in found.lacks and not closes:
            hint = "take it from the plat, or write `distance unknown` in one call to have it solved"
            self._tell("deed-distance-missing", "this call has no distance that can be read", start, end,
                       allowed="120.55 feet; distance unknown", hint=hint)  # fmt: skip

    def _bearing_hint(self, start: int, end: int) -> str:
        solved = "take it from the plat, or write `bearing unknown` in one call to have it solved"
        if pattern("same_course").search(self.text.plain, start, end):
            return f"no straight call with a bearing stands before it: {solved}"
        if pattern("goes_on").search(self.text.plain, start, end) and self._heading() is not None:
            return (
                f"a line that is continued may bend: write `on the same course` if it goes on straight; else {solved}"
            )
        return f"northerly, along a line or at right angles is no bearing: {solved}"

    # ------------------------------------------------------------ words

    def _tokens(
        self, start: int, end: int, notes: Sequence[Note], beginning: tuple[int, int, bool] | None
    ) -> list[Token]:
        """Tokens of a part outside its notes, with a barrier in the place of each note."""
        spans = [(n.start, n.end) for n in notes if n.kind != "curve begins"]
        if beginning is not None and beginning[1] <= end:
            spans.append(beginning[:2])
        made: list[Token] = []
        for token in self.text.tokens:
            if not start <= token.start < end:
                continue
            if any(first <= token.start and token.end <= last for first, last in spans):
                if made and made[-1].kind != BARRIER:
                    made.append(Token(BARRIER, BARRIER, token.start, token.start))
            else:
                made.append(token)
        return made

    def _but_areas(self, tokens: list[Token]) -> list[Token]:
        """Tokens without those of areas, which are kept."""
        found = areas_in(self.text, tokens, self.options.foot)
        self.areas += found
        made: list[Token] = []
        for token in tokens:
            if not any(area.start <= token.start < area.end for area in found):
                made.append(token)
            elif made and made[-1].kind != BARRIER:
                made.append(Token(BARRIER, BARRIER, token.start, token.start))
        return made

    def _masked(self, start: int, end: int, notes: Sequence[Note]) -> str:
        words = list(self.text.plain[start:end])
        for note in notes:
            if note.kind != "curve begins":
                words[max(0, note.start - start) : max(0, note.end - start)] = " " * (
                    max(0, min(note.end, end) - start) - max(0, note.start - start)
                )
        return "".join(words)

    def _numbers_left(self, tokens: Sequence[Token], found: Found) -> None:
        """Every word that carries a number and was not understood is a problem of its own."""
        for token in unread(found, tokens):
            hint = "leave it out if the line does not depend on it, or say it in other words"
            what = "this carries a number, and what it says was not understood"
            self._tell("deed-number-not-read", what, token.start, token.end, hint=hint)

    def _outside(self, start: int, end: int, notes: Sequence[Note]) -> tuple[list[str], list[str], str]:
        """Notes and words passed by before or after the calls, and the north that is said there."""
        tokens = self._tokens(start, end, notes, None)
        tokens = self._but_areas(tokens)
        self._numbers_left(tokens, Found())
        norths = {NORTHS[t.text] for t in self.text.tokens for n in notes
                  if n.kind == "basis" and n.start <= t.start < n.end and t.text in NORTHS}  # fmt: skip
        return self._noted(notes, outside=True), self._passed(tokens), norths.pop() if len(norths) == 1 else ""

    def _monument(self, notes: Sequence[Note]) -> str:
        return "; ".join(self.text.words(n.start, n.end) for n in notes if n.kind == "monument")

    def _noted(self, notes: Sequence[Note], outside: bool = False) -> list[str]:
        """Notes in words, without those that stand in another one and are said with it."""
        shown = [
            n for n in notes if n.kind not in {"monument", "aside", "curve begins", *(() if outside else ("adjoiner",))}
        ]
        holders = [n for n in notes if n.kind in {"adjoiner", "remark", "basis"}]
        return [
            self.text.words(n.start, n.end)
            for n in shown
            if not any(h is not n and h.start <= n.start and n.end <= h.end for h in holders)
        ]

    def _passed(self, tokens: Sequence[Token]) -> list[str]:
        """Words passed by, in the phrases in which they stand."""
        made: list[tuple[int, int]] = []
        broken = True
        for token in tokens:
            if token.kind != "word":
                broken = broken or token.kind != "-"
                continue
            between = self.text.plain[made[-1][1] : token.start] if made else ""
            if broken or not set(between.lower().replace("-", " ").split()) <= _SMALL:
                made.append((token.start, token.end))
            else:
                made[-1] = (made[-1][0], token.end)
            broken = False
        words = [self.text.words(start, end).rstrip(".") for start, end in made]
        return [said for said in words if not set(said.lower().split()) <= _SMALL]
