"""Curve calls of a deed: side, and any of radius, arc, chord, delta, tangent, degree of curve and radial bearing."""

from __future__ import annotations

import math
from collections.abc import Callable

from palewright.notation.angles import degrees_at, to_radians
from palewright.notation.bearings import BEARINGS, FILLER, NORTHS, bearing_begins, direction_at, skip_filler
from palewright.notation.lengths import Length, length_end
from palewright.notation.scan import Token, bad
from palewright.record import Record

__all__ = ["CurveText", "concave_end", "read_curve"]

Read = Callable[[list[Token]], Length]


class CurveText(Record):
    """What a call says of a curve; None or "" where it does not say it.

    side
        "left" or "right". delta: central angle [rad]. degree, degree_by: degree of curve [rad] by "arc" or "chord" of
        ``station_m``, 100 ft of the foot in use.
    radial
        azimuth from the beginning of the curve to its centre [rad]. joins: "tangent" or "non-tangent".
    """

    side: str
    radius: Length | None = None
    delta: float | None = None
    arc: Length | None = None
    tangent: Length | None = None
    degree: float | None = None
    degree_by: str = ""
    station_m: float = 30.48
    radial: float | None = None
    joins: str = ""


def read_curve(
    text: str, tokens: list[Token], read: Read, azimuths: str, station_m: float, heading: float | None = None
) -> tuple[CurveText, float | None, Length | None, str]:
    """A curve call from tokens of ``text``: the curve, azimuth [rad] and length of its chord, the word for its north.

    read
        reads a length from its tokens. azimuths: as in :func:`palewright.notation.parse_call`.
    station_m
        100 ft of the foot in use [m]. heading: azimuth of the straight call before, if there is one [rad]; "concave
        northerly" tells the side by the chord, or by it. Raises NotationError with the span marked.
    """
    return _Curve(text, tokens, read, azimuths).read(station_m, heading)


_PARTS = {
    "radius": "radius", "rad": "radius", "r": "radius",
    "arc": "arc", "l": "arc", "al": "arc", "length": "arc",
    "chord": "chord", "lc": "chord", "c": "chord", "ch": "chord", "chd": "chord", "cb": "chord", "chb": "chord",
    "delta": "delta", "δ": "delta", "angle": "delta", "da": "delta", "ca": "delta",
    "tangent": "tangent", "t": "tangent", "tan": "tangent",
    "degree": "degree", "doc": "degree", "d": "degree",
    "radial": "radial",
}  # fmt: skip
_SIDES = {"left": "left", "lt": "left", "right": "right", "rt": "right"}
_WORDS = FILLER | {
    "along", "the", "having", "has", "with", "whose", "which", "that", "is", "and", "to", "said", "through", "being",
    "on", "circular", "simple", "in", "by", "follows", "following", "preceding", "previous", "last", "course", "line",
    "call", "long", "central", "turning", "joins", "thereof", "direction", "subtended", "subtends", "it",
}  # fmt: skip
_LINKS = {"of", "length", "distance", "is", "being", "a", "an", "the", "bearing", "bears", "which", "that", "curve",
          "curvature", "line", "equal", "equals", "to"}  # fmt: skip
_CENTRES = {"center", "centre"}
_TOWARD = {"to", "toward", "towards", "the", "facing"}
_COMPASS = {
    name + tail: math.radians(45 * k)
    for k, name in enumerate(["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"])
    for tail in ("", "erly", "ward", "wardly")
}
_FITS, _AGAINST = math.radians(67.5), math.radians(112.5)
"""A curve is concave to a point of the compass where its hollow side faces within one and a half of eight points of it;
it is not where that faces within one and a half of the opposite one (our own choice)."""
_ALLOWED = "left or right; radius, arc, chord, delta, tangent, degree, radial; tangent or non-tangent"


def concave_end(tokens: list[Token], at: int) -> int:
    """Next token after "concave" and what it faces: "northerly", "to the south", "to the left"."""
    end = at + 1
    while end < len(tokens) and tokens[end].text in _TOWARD:
        end += 1
    faces = end < len(tokens) and tokens[end].text in _COMPASS
    return end + 1 if faces else at + 1 if end < len(tokens) and tokens[end].text not in _SIDES else end


class _Curve:
    """A curve call, left to right."""

    def __init__(self, text: str, tokens: list[Token], read: Read, azimuths: str) -> None:
        self.text, self.tokens, self.length_of, self.azimuths = text, tokens, read, azimuths
        self.at = 0
        self.side = self.joins = self.degree_by = self.north = ""
        self.lengths: dict[str, Length] = {}
        self.angles: dict[str, float] = {}
        self.concave: tuple[float, int, int] | None = None

    def read(self, station_m: float, heading: float | None) -> tuple[CurveText, float | None, Length | None, str]:
        """The curve, azimuth and length of its chord, and the word for its north."""
        while self.at < len(self.tokens):
            self._step(self.tokens[self.at])
        if self.concave is not None:
            self._hollow(*self.concave, heading)
        if not self.side:
            raise bad(
                self.text, "curve-side-missing", "the curve does not say to which side it goes", 0, len(self.text),
                allowed="left or right", hint="as one walks along it",
            )  # fmt: skip
        lengths, angles = self.lengths, self.angles
        curve = CurveText(
            self.side, lengths.get("radius"), angles.get("delta"), lengths.get("arc"), lengths.get("tangent"),
            angles.get("degree"), self.degree_by, station_m, angles.get("radial"), self.joins,
        )  # fmt: skip
        return curve, angles.get("chord"), lengths.get("chord"), self.north

    def _step(self, token: Token) -> None:
        if token.kind in {",", ":", ".", "(", ")", "-"} or token.text.startswith("curv") or token.text in _WORDS:
            self.at += 1
        elif token.text in _SIDES:
            if self.side and self.side != _SIDES[token.text]:
                raise bad(self.text, "curve-part-twice", "the curve goes both left and right", token.start, token.end)
            self.side = _SIDES[token.text]
            self.at += 1
        elif token.text == "concave":
            self._concave(token)
        elif token.text in {"non", "not", "nontangent"}:
            self._not_tangent(token)
        elif token.text in _PARTS:
            self._part(token, _PARTS[token.text])
        elif token.kind == "number" and "arc" not in self.lengths:
            self._length("arc", token)
        elif len(token.text) > 6 and token.text.endswith(("easterly", "westerly", "northerly", "southerly")):
            self.at += 1  # a rough direction, which says less than the parts do
        elif bearing_begins(self.tokens, self.at):
            self._chord(token)
        else:
            raise bad(
                self.text, "curve-unreadable", "this does not belong to a curve", token.start, token.end,
                allowed=_ALLOWED, hint="curve right, radius 250 ft, arc 61.35 ft, chord S 80°12' W",
            )  # fmt: skip

    def _concave(self, token: Token) -> None:
        """The word and what it faces: a side is a side, a point of the compass is kept until the rest is read."""
        end = concave_end(self.tokens, self.at)
        word, self.at = self.tokens[end - 1], end
        if word.text in _COMPASS:
            self.concave = (_COMPASS[word.text], token.start, word.end)

    def _hollow(self, toward: float, start: int, end: int, heading: float | None) -> None:
        """The side of a curve whose hollow side faces ``toward``: by its chord, or by the line that it goes on from."""
        chord, turn = self.angles.get("chord"), self._turn() / 2.0
        if chord is None and self.joins == "non-tangent":
            heading = None
        off = {}
        for side, way in (("right", 1.0), ("left", -1.0)):
            along = chord if chord is not None else None if heading is None else heading + way * turn
            if along is not None:
                off[side] = abs(math.remainder(along + way * math.pi / 2.0 - toward, 2.0 * math.pi))
        fits = [side for side, angle in off.items() if angle <= _FITS]
        if self.side and off and off[self.side] > _AGAINST:
            raise bad(self.text, "curve-side-concave", f"a curve to the {self.side} is not hollow to this side here",
                      start, end, hint="ask whoever drew the deed, and leave one of the two out")  # fmt: skip
        if not self.side and len(fits) != 1:
            raise bad(
                self.text, "curve-side-missing", "this does not tell to which side the curve goes", start, end,
                allowed="left or right",
                hint="it tells with the bearing of the chord, or where the curve goes on from a straight call, and not"
                " along the line it goes in: say left or right, as one walks along it",
            )  # fmt: skip
        self.side = self.side or fits[0]

    def _turn(self) -> float:
        """By how much the direction changes along the curve [rad]; 0 where it is not said."""
        radius, arc = self.lengths.get("radius"), self.lengths.get("arc")
        return self.angles.get("delta", arc.m / radius.m if arc and radius else 0.0)

    def _not_tangent(self, token: Token) -> None:
        after = self.at + 1
        if after < len(self.tokens) and self.tokens[after].kind == "-":
            after += 1
        if token.text != "nontangent":
            if after >= len(self.tokens) or self.tokens[after].text not in {"tangent", "tangential"}:
                raise bad(self.text, "curve-unreadable", "tangent is expected after this", token.start, token.end,
                     allowed="non-tangent")  # fmt: skip
            after += 1
        self.joins, self.at = "non-tangent", after

    def _part(self, token: Token, part: str) -> None:
        self.at += 1
        if part == "radial":
            self._radial(token)
            return
        start = self.at
        while self.at < len(self.tokens) and (
            self.tokens[self.at].text in _LINKS or self.tokens[self.at].kind in {":", ","}
        ):
            self.at += 1
        here = self.tokens[self.at] if self.at < len(self.tokens) else None
        number = here is not None and here.kind in {"number", "part", "-"}
        if part == "chord":
            self._chord(token)
        elif part == "tangent" and not number:
            self.joins, self.at = "tangent", start
        elif part == "arc" and not number and (here is None or token.text in {"arc", "length"}):
            self.at = start  # "along the arc of a curve"
        elif part in {"delta", "degree"}:
            self._angle(part, token)
        else:
            self._length(part, token)

    def _set(self, store: dict[str, Length] | dict[str, float], part: str, token: Token) -> None:
        if part in store:
            end = self.tokens[self.at - 1].end
            raise bad(self.text, "curve-part-twice", f"the {part} of the curve stands here twice", token.start, end,
                 hint="leave one of the two out")  # fmt: skip

    def _length(self, part: str, token: Token) -> None:
        start = self.at
        end = length_end(self.tokens, start)
        if end == start:
            place = self.tokens[start] if start < len(self.tokens) else token
            raise bad(self.text, "length-missing", f"the {part} of the curve needs a length", place.start, place.end,
                 allowed=f"{part} 61.35 ft")  # fmt: skip
        length = self.length_of(self.tokens[start:end])
        if length.exact == 0:
            raise bad(self.text, "length-zero", f"a curve with no {part}", self.tokens[start].start,
                      self.tokens[end - 1].end, allowed="a length larger than 0")  # fmt: skip
        self.at = end
        self._set(self.lengths, part, token)
        self.lengths[part] = length

    def _angle(self, part: str, token: Token) -> None:
        if self.at >= len(self.tokens):
            raise bad(self.text, "angle-missing", f"the {part} of the curve needs an angle", token.start, token.end,
                 allowed=f"{part} 14°03'36\"")  # fmt: skip
        start = self.tokens[self.at]
        degrees, self.at, _ = degrees_at(self.text, self.tokens, self.at, greedy=False, allowed=f"{part} 14°03'36\"")
        most = 360 if part == "delta" else 180
        if not 0 < degrees < most:
            raise bad(self.text, "angle-range", f"the {part} of a curve is more than 0 and less than {most} degrees",
                 start.start, self.tokens[self.at - 1].end, allowed=f"0° to {most}°")  # fmt: skip
        self._set(self.angles, part, token)
        self.angles[part] = to_radians(degrees)
        if part == "degree":
            self._definition(token)

    def _definition(self, token: Token) -> None:
        """By arc or by chord: said right after the degree of curve."""
        at = self.at
        while at < len(self.tokens) and (
            self.tokens[at].text in {"by", "the", "definition", "on", "basis"} or self.tokens[at].kind in {"(", ","}
        ):
            at += 1
        word = self.tokens[at].text if at < len(self.tokens) else ""
        after = self.tokens[at + 1] if at + 1 < len(self.tokens) else None
        if word not in {"arc", "chord"} or (
            after is not None and after.kind in {"number", "word", ":"} and after.text not in {"definition", "def"}
            and self.tokens[at - 1].text not in {"by", "the"}
        ):  # fmt: skip
            raise bad(
                self.text, "curve-degree-definition", "a degree of curve is by the arc or by the chord", token.start,
                self.tokens[self.at - 1].end, allowed="degree 15° by arc, degree 15° by chord",
                hint="roads usually go by the arc, railroads by the chord: the plat says which",
            )  # fmt: skip
        self.degree_by, self.at = word, at + 1
        if after is not None and after.text in {"definition", "def"}:
            self.at += 1

    def _chord(self, token: Token) -> None:
        if self.at < len(self.tokens) and (bearing_begins(self.tokens, self.at) or self.tokens[self.at].text in NORTHS):
            self._set(self.angles, "chord", token)
            self.angles["chord"], self.at, self.north = direction_at(self.text, self.tokens, self.at, self.azimuths)
            self.at = skip_filler(self.tokens, self.at)
            if self.at >= len(self.tokens) or self.tokens[self.at].kind != "number":
                return
        self._length("chord", token)

    def _radial(self, token: Token) -> None:
        start = self.at
        while self.at < len(self.tokens) and not bearing_begins(self.tokens, self.at):
            if self.tokens[self.at].text not in _LINKS | _CENTRES | {"in", "out", "from", "point", "on", ":"}:
                break
            self.at += 1
        words = [word.text for word in self.tokens[start : self.at]]
        centre = bool(_CENTRES & set(words))
        inward, outward = ("to" in words and centre) or "in" in words, ("from" in words and centre) or "out" in words
        if inward == outward:
            raise bad(
                self.text, "curve-radial-way", "a radial bearing goes to the centre or from it", token.start,
                self.tokens[self.at - 1].end, allowed="radial to centre S 12° E, radial from centre N 12° W",
                hint="it is taken at the beginning of the curve",
            )  # fmt: skip
        if self.at >= len(self.tokens):
            raise bad(self.text, "bearing-missing", "a bearing is missing after this", token.start, token.end,
                 allowed=BEARINGS)  # fmt: skip
        self._set(self.angles, "radial", token)
        azimuth, self.at, self.north = direction_at(self.text, self.tokens, self.at, self.azimuths)
        self.angles["radial"] = (azimuth + (math.pi if outward else 0.0)) % (2.0 * math.pi)
