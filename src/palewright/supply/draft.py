"""The lines of a take-off as they are counted, and the design cut into the pieces that are counted."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from palewright.model import Bay, BayMeeting, Design, Item, Kind, Leg, Post, Profile, Reason, Remark
from palewright.record import Record
from palewright.supply.counts import whole_units

__all__ = [
    "Draft",
    "Piece",
    "bay_numbers",
    "code_of",
    "feet",
    "feet_words",
    "inches",
    "labels",
    "number",
    "pieces_of",
    "word",
]


_SLANTED = ("racked", "grade")
_BEND_M = 0.00635
"""Rails run straight on past a post that they would miss by no more than 1/4 in (common practice: what a crew sets)."""


class Piece(Record):
    """A straight piece of fence between two fixed posts (or wall), without a gate in it.

    length_m
        centre to centre, or from the wall face [m]; ``face_m`` from outer post face to outer post face [m].
    met, spans, profile
        how each bay meets the ground (None: taken as level), its stations along the run [m], the ground under the run.
    """

    kind: Kind
    leg: Leg
    bays: tuple[Bay, ...]
    start: Post
    end: Post
    length_m: float
    face_m: float
    met: tuple[BayMeeting | None, ...] = ()
    spans: tuple[tuple[float, float], ...] = ()
    profile: Profile | None = None

    @property
    def rails_m(self) -> tuple[float, ...]:
        """Each bay from post to post as its rails or its mesh lie: along the slope, or level [m]."""
        if self.profile is None:
            return tuple(bay.length_m for bay in self.bays)
        return tuple(
            met.along_m if met is not None and met.mode in _SLANTED else bay.length_m
            for bay, met in zip(self.bays, self.met, strict=True)
        )

    @property
    def along_m(self) -> float:
        """The whole piece along the slope, or level [m]."""
        return math.fsum(self.rails_m)

    @property
    def straight(self) -> list[tuple[int, int]]:
        """Bays from and up to which a rail may run through: it ends where the fence steps or the slope changes."""
        if self.profile is None:
            return [(0, len(self.bays))]
        cuts = [0, *(k for k in range(1, len(self.bays)) if self._bent(k)), len(self.bays)]
        return list(itertools.pairwise(cuts))

    def _bent(self, k: int) -> bool:
        """Whether a straight rail over the bays k - 1 and k would miss the post between by more than a crew sees."""
        one, two = self.met[k - 1], self.met[k]
        if one is None or two is None:
            return one is not two
        (a, b), (c, d) = _rail(one), _rail(two)
        before, after = self.bays[k - 1].length_m, self.bays[k].length_m
        off = abs((d - c) / after - (b - a) / before) * before * after / (before + after)
        return abs(c - b) > _BEND_M or off > _BEND_M


def _rail(met: BayMeeting) -> tuple[float, float]:
    """Heights of a line that the rails of a bay lie along, at its two posts [m]."""
    return met.top_m if met.mode == "level-top" else met.bottom_m


def pieces_of(design: Design, kinds: Mapping[str, Kind]) -> dict[str, list[Piece]]:
    """Every piece by the name of its fence, in the order of the legs."""
    posts = {post.label: post for post in design.posts}
    bays = {bay.number: bay for bay in design.bays}
    ground = {run.name: run.profile for run in design.runs}
    changes = {post.label for post in design.posts if post.role == "change"}
    met = {bay.bay: bay for meeting in design.meetings for bay in meeting.bays if bay.known}
    found: dict[str, list[Piece]] = {name: [] for name in kinds}
    for leg in design.legs:
        ends = list(itertools.accumulate((bays[number].length_m for number in leg.bays), initial=leg.from_m))
        spans = dict(zip(leg.bays, itertools.pairwise(ends), strict=True))
        for row in _rows([bays[number] for number in leg.bays], changes):
            piece = _piece(kinds, leg, row, posts)
            if any(bay.number in met for bay in row):
                laid = tuple(met.get(bay.number) for bay in row), tuple(spans[bay.number] for bay in row)
                piece = replace(piece, met=laid[0], spans=laid[1], profile=ground[leg.run])
            found[row[0].fence].append(piece)
    return found


def _rows(bays: list[Bay], changes: set[str]) -> list[list[Bay]]:
    """Bays of one leg cut at gates, where the fence changes, and where it follows the ground in another way."""
    rows: list[list[Bay]] = [[]]
    for bay in bays:
        if rows[-1] and (bay.kind == "gate" or bay.fence != rows[-1][-1].fence or bay.start in changes):
            rows.append([])
        if bay.kind != "gate":
            rows[-1].append(bay)
    return [row for row in rows if row]


def _piece(kinds: Mapping[str, Kind], leg: Leg, row: list[Bay], posts: Mapping[str, Post]) -> Piece:
    start, end = posts[row[0].start], posts[row[-1].end]
    length = math.fsum(bay.length_m for bay in row)
    face = length + sum(post.width_m / 2 for post in (start, end) if post.number)
    return Piece(kinds[row[0].fence], leg, tuple(row), start, end, length, face)


class Draft:
    """Collects the lines, remarks and reasons of a take-off."""

    def __init__(self) -> None:
        self.items: list[Item] = []
        self.remarks: list[Remark] = []
        self.reasons: list[Reason] = []

    def add(
        self,
        code: str,
        what: str,
        size: str,
        need: float,
        group: str,
        *,
        unit: str = "each",
        waste: float = 0.0,
        per: float = 1.0,
        buy_unit: str = "each",
        posts: Iterable[str] = (),
        bays: Iterable[int] = (),
        gates: Iterable[str] = (),
        rule: str = "",
        source: str = "common practice",
        note: str = "",
    ) -> None:
        """One line; nothing is added for a need of nothing.

        ``rule`` says how it was counted and ``note`` what else to know: fixed sentences without numbers, so that they
        can be printed in another language.
        """
        if need <= 0:
            return
        buy = whole_units(need, per, waste)
        served = tuple(posts), tuple(bays), tuple(gates)
        self.items.append(
            Item(code, what, size, need, unit, waste, buy, buy_unit, per, group, *served, rule, source, note)
        )
        counted, how = "count" if unit == "each" else unit, rule or "counted from the layout"
        inputs = (("waste", waste), ("one holds", per), ("buy", buy))
        self.reasons.append(Reason(code, what, need, counted, how, inputs, source))

    def remark(self, slug: str, level: str, about: str, **args: float | int | str) -> None:
        """One remark."""
        self.remarks.append(Remark(slug, level, about, tuple(args.items())))


def labels(posts: Sequence[Post]) -> tuple[str, ...]:
    """Labels of posts in order."""
    return tuple(post.label for post in posts)


def bay_numbers(pieces: Iterable[Piece]) -> tuple[int, ...]:
    """Numbers of all bays of the pieces."""
    return tuple(bay.number for piece in pieces for bay in piece.bays)


def feet(value: float) -> str:
    """A length in feet for codes and sizes of stock: "8", "7.5".

    >>> feet(2.4384)
    '8'
    """
    return f"{round(value / 0.3048, 2):g}"


def feet_words(value: float) -> str:
    """A length of stock as a buyer says it: "8 ft", "6 1/2 ft".

    >>> feet_words(2.4384), feet_words(1.9812)
    ('8 ft', '6 1/2 ft')
    """
    whole, half = divmod(round(value / 0.3048 * 2, 4), 2)
    return f"{whole:g} 1/2 ft" if half == 1 and whole else f"{feet(value)} ft"


def inches(value: float) -> str:
    """A length in inches for codes and sizes: "48", "36.5".

    >>> inches(1.2192)
    '48'
    """
    return f"{round(value / 0.0254, 3):g}"


def code_of(name: str) -> str:
    """A trade name as a part of a code: no blanks.

    >>> code_of("2 3/8")
    '2-3/8'
    """
    return name.replace(" ", "-")


def number(kind: Kind, key: str) -> float:
    """A number among the values of a kind; 0 where it has no such key."""
    value = kind.value(key, 0.0)
    return 0.0 if isinstance(value, str) or value is None else float(value)


def word(kind: Kind, key: str) -> str:
    """A word among the values of a kind; "" where it has no such key."""
    value = kind.value(key, "")
    return value if isinstance(value, str) else ""
