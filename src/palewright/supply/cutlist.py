"""The cutting list: what is cut from lengths of stock, gathered over the whole job and then cut together."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import field

from palewright.model import Bay, Cut, CutPart, Post, Reason
from palewright.record import Record
from palewright.supply.cutting import CutRow, Cutting, Stick, cut_rows, room_left
from palewright.supply.draft import Draft, Piece, feet, feet_words
from palewright.tables import saw_kerf

__all__ = ["BOARD_NAILS", "GATE_FRAME", "RAIL_SCREWS", "CutList", "Fastener", "Stock"]

GATE_FRAME = "gate frames: 2 stiles, the rails, a diagonal from the bottom hinge corner to the top latch corner"
RAIL_SCREWS = "at every end of a rail, where a rail passes a post, and at every joint of a gate frame"
BOARD_NAILS = "wherever a board crosses a rail, and in gates the diagonal too"

_SLACK = 1e-6
_FOOT = 0.3048
_OUTER = ("end", "corner", "tee", "gate")


class Stock(Record):
    """What is bought by the length: the lines of the take-off but for the length, and the lengths on offer [m].

    code, size
        "rail.2x4", "2x4". waste: fraction added to every line.
    rule, source, note
        of the lines: those of the first who asks, where several ask for the same stock.
    """

    code: str
    what: str
    size: str
    group: str
    lengths_m: tuple[float, ...]
    waste: float
    rule: str = field(compare=False)
    source: str = field(default="geometry", compare=False)
    note: str = field(default="", compare=False)

    @property
    def longest_m(self) -> float:
        """The longest on offer [m]."""
        return max(self.lengths_m)


class Fastener(Record):
    """What holds the parts: ``each`` of them at every place where a part ends on a post or passes one."""

    code: str
    what: str
    size: str
    each: int
    box: int
    waste: float
    rule: str
    source: str


class _Wish(Record):
    row: CutRow
    bays: tuple[Bay, ...] = ()
    gate: str = ""
    fastener: Fastener | None = None


class CutList:
    """Gathers rows of parts by what they are cut from; ``cut`` then adds lines, fasteners, cuts and reasons.

    search
        whether the least length to buy is searched for, or cut by the rule of the trade.
    """

    def __init__(self, draft: Draft, search: bool = True) -> None:
        self.draft = draft
        self.search = search
        self.cuts: list[Cut] = []
        self._wishes: dict[Stock, list[_Wish]] = {}
        self._centred: dict[tuple[str, str, float], list[tuple[str, float]]] = {}

    def row(
        self, stock: Stock, cells_m: Sequence[float], bays: Sequence[Bay], times: int, fastener: Fastener | None = None
    ) -> None:
        """A row of bays that is needed ``times`` over."""
        if times and cells_m:
            self._wishes.setdefault(stock, []).append(
                _Wish(CutRow(tuple(cells_m), times), tuple(bays), fastener=fastener)
            )

    def over(
        self,
        piece: Piece,
        stock: Stock,
        times: int,
        fastener: Fastener | None = None,
        outer: bool = True,
        beyond_m: float = 0.0,
    ) -> None:
        """Rows over a whole piece, each ending where no straight part can run on; see :meth:`over_posts`."""
        cells = self.over_posts(piece, stock, outer, beyond_m)
        for first, last in piece.straight:
            self.row(stock, cells[first:last], piece.bays[first:last], times, fastener)

    def part(self, stock: Stock, length_m: float, gate: str, times: int) -> None:
        """A part of a gate that is needed ``times`` over."""
        self._wishes.setdefault(stock, []).append(_Wish(CutRow((length_m,), times), gate=gate))

    def over_posts(self, piece: Piece, stock: Stock, outer: bool = True, beyond_m: float = 0.0) -> list[float]:
        """Bays of a straight piece, as long as parts on the face of the posts must be over them [m].

        outer
            from outer post face to outer post face; else, and where a kind changes in a straight line, from centre to
            centre. beyond_m: at least this beyond the centre of a corner.
        An end bay for which the longest stock is too short from the outer face begins at the post centre: told.
        """
        cells = list(piece.rails_m)
        for place, post in ((0, piece.start), (-1, piece.end)):
            cell = cells[place] + (_beyond(post, beyond_m) if outer else 0.0)
            if cells[place] <= stock.longest_m + _SLACK < cell:
                key = (f"fence {piece.kind.name}", stock.what, stock.longest_m)
                self._centred.setdefault(key, []).append((post.label, cell))
            else:
                cells[place] = cell
        return cells

    def cut(self) -> None:
        """Cut everything together, stock by stock."""
        for (about, _, stock_m), ends in self._centred.items():
            posts = ", ".join(dict.fromkeys(label for label, _ in ends))
            longest = max(length for _, length in ends)
            self.draft.remark("rail-from-centre", "caution", about, posts=posts, length_m=longest, stock_m=stock_m)
        for stock, wishes in self._wishes.items():
            lengths = stock.lengths_m
            longest = max(cell for wish in wishes for cell in wish.row.cells_m)
            if longest > stock.longest_m + _SLACK:
                lengths = (*lengths, math.ceil(longest / _FOOT - 1e-9) * _FOOT)
                self.draft.remark("stock-too-short", "caution", stock.what, size=stock.size, length_m=longest)
            made = cut_rows([wish.row for wish in wishes], lengths, saw_kerf(), self.search)
            self._lines(stock, wishes, made)
            self._fasten(wishes, made)
            self._reason(stock, made)

    def _lines(self, stock: Stock, wishes: Sequence[_Wish], made: Cutting) -> None:
        alike = Counter(_cut(stick, stock, wishes) for stick in made.sticks)
        for length in sorted({cut.stock_m for cut in alike}, reverse=True):
            here = [(cut, count) for cut, count in alike.items() if cut.stock_m == length]
            parts = [part for cut, _ in here for part in cut.parts]
            gates = dict.fromkeys(gate for part in parts for gate in part.gates)
            self.draft.add(
                here[0][0].code,
                stock.what,
                " x ".join(text for text in (stock.size, feet_words(length)) if text),
                sum(count for _, count in here),
                stock.group,
                waste=stock.waste,
                bays=sorted({bay for part in parts for bay in part.bays}),
                gates=gates,
                rule=stock.rule,
                source=stock.source,
                note=GATE_FRAME if gates else stock.note,
            )
            self.cuts += [Cut(cut.code, cut.what, cut.stock_m, count, cut.parts, cut.left_m) for cut, count in here]

    def _fasten(self, wishes: Sequence[_Wish], made: Cutting) -> None:
        places: Counter[Fastener] = Counter()
        bays: dict[Fastener, list[int]] = {}
        for part in (part for stick in made.sticks for part in stick.parts):
            if fastener := wishes[part.row].fastener:
                places[fastener] += part.last - part.first + 2
        for wish in wishes:
            if wish.fastener:
                bays.setdefault(wish.fastener, []).extend(bay.number for bay in wish.bays)
        for fastener, count in places.items():
            self.draft.add(
                fastener.code, fastener.what, fastener.size, count * fastener.each, "fasteners", waste=fastener.waste,
                per=float(fastener.box), buy_unit=f"box of {fastener.box}", bays=bays[fastener], rule=fastener.rule,
                source=fastener.source,
            )  # fmt: skip

    def _reason(self, stock: Stock, made: Cutting) -> None:
        bought, least = made.bought_m, made.least_m
        closed = bought <= least + _SLACK
        proof = "bound reached: nothing less can be bought" if closed else "not proven the least"
        inputs = (("bound_m", least), ("saw cut_m", saw_kerf()), ("proof", proof))
        formula = "least total length, then fewest lengths, then fewest parts; joints on post centres"
        quantity = f"{stock.what} bought"
        self.draft.reasons.append(Reason(stock.code, quantity, bought, "m", formula, inputs, stock.source))
        if not closed:
            self.draft.remark("cut-not-proven", "note", stock.what, size=stock.size, bought_m=bought, least_m=least)


def _cut(stick: Stick, stock: Stock, wishes: Sequence[_Wish]) -> Cut:
    """One length of stock with what is cut from it, longest part first."""
    parts = []
    for part in sorted(stick.parts, key=lambda part: (-round(part.length_m, 6), part.row, part.first)):
        wish = wishes[part.row]
        bays = tuple(bay.number for bay in wish.bays[part.first : part.last + 1])
        parts.append(CutPart(part.length_m, bays, (wish.gate,) if wish.gate else ()))
    left = max(0.0, room_left([part.length_m for part in parts], stick.stock_m, saw_kerf()))
    return Cut(f"{stock.code}.{feet(stick.stock_m)}ft", stock.what, stick.stock_m, 1, tuple(parts), left)


def _beyond(post: Post, least: float) -> float:
    """How far a part on the face of the posts reaches beyond the centre of the last one [m]."""
    if not post.number or post.role not in _OUTER:
        return 0.0
    return max(post.width_m / 2, least if post.role == "corner" else 0.0)
