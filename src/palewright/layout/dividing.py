"""The stretches of each leg between fixed posts, divided into bays."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from palewright.errors import Problem
from palewright.layout.bays import UNCUT_M, BayRules, Block, NoDivision, divide_between, moves
from palewright.layout.frame import Fixed, Frame, LegFrame, Opening, Trace, outline_of
from palewright.layout.remedies import Tried, no_room, posts_overlap
from palewright.layout.say import Say
from palewright.layout.zones import ZoneBox, spans
from palewright.model import Bay, GivenBay, Kind, Move, Post, RunSpec
from palewright.record import Record

__all__ = ["FIXED", "SLIVER", "DividedLeg", "Span", "Stand", "Stretch", "assign_given", "blocks_on", "divide_leg"]

SLIVER = 1.0 / 3.0
"""No bay below this part of the full one unless asked (common practice)."""


class Stand(Record):
    """A post of a leg: where along it [m]; ``fixed`` its index among the fixed posts, or None for a line post."""

    at_m: float
    reach_m: float
    fixed: Fixed | None
    move: Move


class Span(Record):
    """What lies between two neighbouring stands: a gate opening, or a bay with its note."""

    opening: Opening | None = None
    given: str = ""
    note: str = ""
    cut: bool = False


_PLAIN = Span()


class Stretch(Record):
    """How one stretch came out: its length between fixed posts, its bays [m], what bound and by which proof.

    Lengths are measured as the bays are: level, or along the slope.
    """

    length_m: float
    bays: tuple[float, ...]
    binding: str
    proof: str

    @property
    def spread_m(self) -> float:
        """Longest less shortest bay [m]."""
        return max(self.bays) - min(self.bays)


@dataclass(slots=True)
class DividedLeg:
    """Stands and spans of one leg in walking order, and what decided them.

    posts, bays
        what stood there, by number. stood: all of the leg as it was put up, and what it was numbered from.
    quiet
        nobody asks how far its line posts may move: they stand fixed in it.
    """

    stands: list[Stand]
    spans: list[Span]
    stretches: list[Stretch]
    posts: dict[int, Post] = field(default_factory=dict)
    bays: dict[int, Bay] = field(default_factory=dict)
    stood: tuple[Any, Any] | None = None
    quiet: bool = False


FIXED = Move(0.0, "fixed", 0.0, "fixed")


def blocks_on(leg: LegFrame, boxes: Sequence[ZoneBox], radius: float, paint_m: float) -> list[Block]:
    """The zones as blocks for hole centres along the leg [m], each widened by the hole's radius.

    A zone of "no hole" or "hand dig" makes a block and, ``paint_m`` wider, a paint block; loose ground (a footing
    pulled) is kept out of where that costs nothing, so it counts as paint.
    """
    blocks = []
    for box in boxes:
        zone = box.zone
        if zone.kind != "loose ground":
            kind = "hand dig" if zone.kind == "hand dig" else "no hole"
            blocks += [Block(low, high, kind, zone.name) for low, high in spans(box, leg.a, leg.d, leg.length, radius)]
        margin = 0.0 if zone.kind == "loose ground" else paint_m
        if margin > 0.0 or zone.kind == "loose ground":
            blocks += [
                Block(low, high, "paint", zone.name)
                for low, high in spans(box, leg.a, leg.d, leg.length, radius + margin)
            ]
    return blocks


def divide_leg(
    frame: Frame,
    leg: LegFrame,
    blocks: Sequence[Block],
    given: Mapping[tuple[int, int, bool], Sequence[GivenBay]],
    say: Say,
    problems: list[Problem],
    boxes: Sequence[ZoneBox] = (),
    quiet: bool = False,
) -> DividedLeg:
    """Line posts between the fixed posts of a leg.

    Each stretch between neighbouring fixed posts is divided by the rule of the run; a short bay asked for "first" or
    "last" lies at that end of each stretch in walking order. For panels a stretch is measured between the faces of its
    fixed posts plus one line post, so that a full panel fits between any two posts, whatever the section of the end or
    gate post: the bay beside a wider post is longer, centre to centre, by the difference of the half widths.
    ``given``: by (leg, index of the fixed post, whether the stretch begins there); ``boxes``: every zone of the site,
    for a fixed post that would have to move. ``quiet``: how far a line post may move is not asked.
    """
    result = DividedLeg([Stand(0.0, leg.fixed[0].reach_m, leg.fixed[0], FIXED)], [], [], quiet=quiet)
    over = {(o.low_post, o.high_post): o for o in leg.openings}
    for n, (one, two) in enumerate(itertools.pairwise(leg.fixed)):
        opening = over.get((n, n + 1))
        if opening is not None:
            result.spans.append(Span(opening))
        else:
            first = [bay for bay in given.get((leg.index, n, True), ()) for _ in range(bay.count)]
            last = [bay for bay in given.get((leg.index, n + 1, False), ()) for _ in range(bay.count)]
            _divide_stretch(frame, leg, one, two, first, last[::-1], blocks, boxes, result, say, problems)
        result.stands.append(Stand(two.at_m, two.reach_m, two, FIXED))
    return result


def assign_given(frame: Frame, problems: list[Problem]) -> dict[tuple[int, int, bool], list[GivenBay]]:
    """Given bays to the stretches they begin or end: by (leg, index of the fixed post, stretch begins there).

    A given bay starts at a named point or at a gate, named by the gate. Where two stretches meet, ``toward`` tells
    which is meant; without it, the one after.
    """
    result: dict[tuple[int, int, bool], list[GivenBay]] = {}
    for trace in frame.traces:
        for bay in trace.spec.given:
            places = _places_of(frame, [frame.legs[k] for k in frame.legs_of[trace.index]], trace, bay)
            if places:
                result.setdefault(places[0], []).append(bay)
                continue
            problems.append(
                Problem(
                    "given-bay-not-on-run",
                    f"a given bay of run {trace.spec.name} starts where no stretch of it does",
                    bay.at,
                    found=bay.point + (f" toward {bay.toward}" if bay.toward else ""),
                    allowed=", ".join(v.name for v in trace.vertices if v.name) or "a named point or gate of the run",
                )
            )
    return result


def _places_of(frame: Frame, legs: Sequence[LegFrame], trace: Trace, bay: GivenBay) -> list[tuple[int, int, bool]]:
    after, before = [], []
    for leg in legs:
        gates = {(o.low_post, o.high_post) for o in leg.openings}
        ahead, behind = (trace.vertices[k].name for k in (leg.piece[1], leg.piece[0]))
        for n, fixed in enumerate(leg.fixed):
            names = set(fixed.gates)
            if fixed.node is not None:
                names.update(frame.nodes[fixed.node].names)
            if bay.point not in names:
                continue
            if n + 1 < len(leg.fixed) and (n, n + 1) not in gates and bay.toward in ("", ahead):
                after.append((leg.index, n, True))
            if n > 0 and (n - 1, n) not in gates and bay.toward in ("", behind):
                before.append((leg.index, n, False))
    return after + before


def _divide_stretch(
    frame: Frame,
    leg: LegFrame,
    one: Fixed,
    two: Fixed,
    first: Sequence[GivenBay],
    last: Sequence[GivenBay],
    blocks: Sequence[Block],
    boxes: Sequence[ZoneBox],
    result: DividedLeg,
    say: Say,
    problems: list[Problem],
) -> None:
    """Divide what lies between two fixed posts and add its line posts and bays to ``result``."""
    kind = leg.trace.kind
    if two.at_m - one.at_m - one.reach_m - two.reach_m < 1e-9:
        problems.append(posts_overlap(frame, leg, one, two, say))
        result.spans.append(Span())
        return
    half = outline_of(kind.post("line")).half_width
    begin, end = _measured(leg, one, two, half)
    length = end - begin
    rules = _rules_of(kind, leg.trace.spec)
    if not (first or last or rules.sliver) and length < max(rules.shortest_m, SLIVER * kind.longest_m):
        result.spans.append(Span(note="short: fixed posts at both ends"))
        result.stretches.append(Stretch(length, (length,), "fixed posts", "only one way"))
        return
    local = _blocks_within(leg, blocks, begin, length)
    lengths = [bay.length_m for bay in first], [bay.length_m for bay in last]
    try:
        division = divide_between(length, rules, local, *lengths)
    except NoDivision as error:
        problems.append(no_room(frame, leg, Tried(one, two, begin, length, rules, *lengths), boxes, error, say))
        result.spans.append(Span())
        return
    marks = [0.0, *division.posts_m, length]
    bays = tuple(b - a for a, b in itertools.pairwise(marks))
    result.stretches.append(Stretch(length, bays, division.binding, division.proof))
    result.spans += _spans_of(kind, bays, first, last)
    if result.quiet:
        result.stands += [Stand(leg.level(begin + mark), half, None, FIXED) for mark in division.posts_m]
        return
    for k in range(1, len(bays)):
        held = k <= len(first) or k >= len(bays) - len(last)
        move = Move(0.0, "given bay", 0.0, "given bay") if held else Move(*moves(marks, k, rules, local))
        result.stands.append(_between(leg, begin + marks[k], half, move))


def _measured(leg: LegFrame, one: Fixed, two: Fixed, half: float) -> tuple[float, float]:
    """From where to where along the leg a stretch counts: between post centres, for panels between the faces and as
    much beyond as half a line post."""
    if leg.trace.kind.module_m is None:
        return leg.along(one.at_m), leg.along(two.at_m)
    return leg.along(one.at_m + (one.reach_m - half)), leg.along(two.at_m - (two.reach_m - half))


def _blocks_within(leg: LegFrame, blocks: Sequence[Block], begin: float, length: float) -> list[Block]:
    """The blocks that touch a stretch, from its beginning on; it is measured as bays are, blocks of a leg level."""
    return [
        Block(low - begin, high - begin, block.kind, block.name)
        for block in blocks
        for low, high in [(leg.along(block.start_m), leg.along(block.end_m))]
        if high > begin and low < begin + length
    ]


def _spans_of(kind: Kind, bays: Sequence[float], first: Sequence[GivenBay], last: Sequence[GivenBay]) -> list[Span]:
    """The bays of a stretch, each with what is to be said of it: as given, short, a panel cut."""
    spans = []
    cut_m, short_m = 0.0 if kind.module_m is None else kind.module_m - UNCUT_M, SLIVER * kind.longest_m - 1e-6
    if not (first or last) and min(bays) >= max(cut_m, short_m):
        return [_PLAIN] * len(bays)
    for k, bay in enumerate(bays):
        given = ""
        if k < len(first):
            given = first[k].why or "given"
        elif k >= len(bays) - len(last):
            given = last[k - len(bays)].why or "given"
        cut, short = bay < cut_m, not given and bay < short_m
        plain = not (given or short or cut)
        spans.append(_PLAIN if plain else Span(None, given, "short" if short else "", cut))
    return spans


def _between(leg: LegFrame, along_m: float, half: float, move: Move) -> Stand:
    """A line post, its place and how far it may move turned level: the tape on the string is held level."""
    at = leg.level(along_m)
    if leg.grade is not None:
        back, on = leg.level(along_m - move.back_m), leg.level(along_m + move.on_m)
        move = Move(at - back, move.back_stop, on - at, move.on_stop)
    return Stand(at, half, None, move)


def _rules_of(kind: Kind, spec: RunSpec) -> BayRules:
    """What binds the bays of a run: panels keep their own module unless a short bay is asked for by name."""
    rule = "panels" if kind.module_m is not None and not spec.divide else spec.divide or "even"
    shortest = kind.shortest_m if spec.shortest_m is None else spec.shortest_m
    return BayRules(kind.longest_m, shortest, rule, kind.module_m, sliver=spec.shortest_m is not None)
