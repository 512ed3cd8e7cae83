"""Bays between two fixed posts: how many, and where the posts between them stand.

In this order: every hard rule holds; fewest posts; fewest posts in hand-dig zones; fewest posts in paint margins;
(where whole bays are asked for) fewest bays that are not whole; smallest difference between longest and shortest bay.
Stations are exact numbers, not places on a grid. docs/layout-method.md says how and why this is the best there is.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import field, replace
from typing import NamedTuple

from palewright.layout.bays_full import fewest_cut
from palewright.layout.bays_ground import HAND, TOLERANCE_M, Block, Ground, lay_ground
from palewright.layout.bays_search import most_even
from palewright.layout.bays_taut import Pulled
from palewright.layout.bays_why import Fix, NoDivision, explain_none, passable
from palewright.record import Record

__all__ = [
    "FOOT_SLACK",
    "MOST_BAYS",
    "UNCUT_M",
    "TOLERANCE_M",
    "BayRules",
    "Block",
    "Division",
    "Fix",
    "NoDivision",
    "divide",
    "divide_between",
    "eased",
    "fewest_bays",
    "moves",
    "whole_bays",
]

#: After so many numbers of bays in vain it is asked whether any number will do.
_PATIENCE = 8

#: The US survey foot is 2 ppm longer than the foot; a leg so little longer than whole bays gets no bay more.
FOOT_SLACK = 3e-6

#: A panel that is so little too long, 1/64 in, goes in as it is: no tape reads it and no saw cuts it (our own choice).
UNCUT_M = 0.0004

#: More bays than this in a job or a sum are taken for a slip of the unit.
MOST_BAYS = 200_000

_RULES = ("even", "short first", "short last", "short both", "panels")


class BayRules(Record):
    """How bays may be chosen.

    longest_m, shortest_m
        limits of every bay, centre to centre [m].
    rule
        "even"; "short first", "short last" or "short both" (whole bays, what is left at the start, the end, or half at
        each); "panels" (as many bays as possible of the panel's own module, none longer).
    module_m
        the panel's module [m]; with it the longest bay is the smaller of the two.
    sliver
        allow bays below a third of the full one. A single bay between two fixed posts is as short as it is.
    full_m
        the full bay, worked out: the longest allowed, or the module where panels are shorter [m].
    least_m
        shortest bay allowed where bays are divided, worked out: as given, and a third of the full one (common
        practice) [m].
    """

    longest_m: float
    shortest_m: float = 0.0
    rule: str = "even"
    module_m: float | None = None
    sliver: bool = False
    full_m: float = field(init=False, repr=False, compare=False)
    least_m: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.rule not in _RULES:
            raise ValueError(f"rule {self.rule!r} is none of {', '.join(_RULES)}")
        if not (0.0 < self.longest_m < math.inf and 0.0 <= self.shortest_m < math.inf):
            raise ValueError("the longest bay must be above 0, and the shortest not below 0")
        if self.module_m is not None and not self.module_m > 0.0:
            raise ValueError("the module must be above 0")
        full = self.longest_m
        if self.rule == "panels" and self.module_m is not None:
            full = min(full, self.module_m)
        object.__setattr__(self, "full_m", full)
        object.__setattr__(self, "least_m", self.shortest_m if self.sliver else max(self.shortest_m, full / 3.0))


class Division(NamedTuple):
    """Bays between two fixed posts.

    bays
        how many; ``posts_m``: stations of the posts between, from the start [m]; ``spread_m``: longest minus shortest.
    hand_dig, paint
        posts inside hand-dig zones and inside paint margins; ``cut``: bays that are not whole (whole bays asked for).
    binding
        what decides: "fixed posts", "longest bay", "shortest bay" or "zone NAME".
    proof
        how it is known to be the best: "closed form" or "search closed".
    extra
        bays more than without the blocks.
    """

    bays: int
    posts_m: tuple[float, ...]
    spread_m: float
    hand_dig: int
    paint: int
    cut: int
    binding: str
    proof: str
    extra: int = 0


def divide(length_m: float, rules: BayRules, blocks: Sequence[Block] = ()) -> Division:
    """Divide a leg into bays.

    length_m
        between the centres of the two fixed posts [m], > 0.
    blocks
        stations to keep post centres out of; the fixed posts themselves are not tested.
    Raises :class:`NoDivision` with cause and smallest remedy when no division keeps the hard rules.
    Source: geometry; "no bay below a third of the full one" is common practice.

    >>> divide(30.48, BayRules(longest_m=2.4384)).bays
    13
    >>> gas = Block(3.9, 5.1, "no hole", "gas")
    >>> d = divide(12.0, BayRules(longest_m=2.6), [gas])
    >>> [round(x, 3) for x in d.posts_m], d.binding
    ([2.55, 5.1, 7.4, 9.7], 'zone gas')
    """
    if not 0.0 <= length_m < math.inf:
        raise ValueError("the length of a leg must be a number of metres, 0 or more")
    if length_m <= TOLERANCE_M:
        raise NoDivision("length", "", (Fix("end", "", "end", rules.least_m, "longer"),))
    rules = eased(length_m, rules)
    if length_m <= rules.full_m + TOLERANCE_M:
        if length_m < rules.shortest_m - TOLERANCE_M:
            raise NoDivision("shortest bay", "", (Fix("end", "", "end", rules.shortest_m - length_m, "longer"),))
        cut = int(rules.rule != "even" and length_m < rules.full_m - UNCUT_M)
        return Division(1, (), 0.0, 0, 0, cut, "fixed posts", "closed form")
    ground = lay_ground(length_m, blocks)
    if rules.rule == "even":
        return _divide_even(ground, rules)
    pattern = whole_bays(length_m, rules.full_m, rules.least_m, rules.rule)
    inner = pattern[1:-1] if pattern is not None else []
    hit = next((x for x in inner if ground.cost(x)), None)
    if pattern is not None and hit is None:
        return _division(ground, rules, inner, 0, "closed form")
    return _divide_full(ground, rules, "" if hit is None else ground.around(hit))


def eased(length_m: float, rules: BayRules) -> BayRules:
    """The rules, with the longest bay eased by up to 3 ppm where the leg is that much longer than whole bays.

    So a leg of 40 ft in survey feet (2 ppm longer), or one that rounding made a hair too long, has five bays of 8 ft.
    """
    over = length_m / rules.full_m
    whole = round(over)
    if whole and 0.0 < over - whole <= FOOT_SLACK * whole:
        longest = length_m / whole
        return replace(rules, longest_m=longest, module_m=None if rules.module_m is None else longest)
    return rules


def fewest_bays(length_m: float, longest_m: float) -> int:
    """Fewest bays none of which is longer than the longest by more than 1e-9 m; float noise makes no extra bay."""
    return max(1, math.ceil(length_m / (longest_m + TOLERANCE_M)))


def _divide_even(ground: Ground, rules: BayRules) -> Division:
    """Fewest posts, then fewest hits, then the smallest spread."""
    length, least, longest = ground.length_m, rules.least_m, rules.full_m
    fewest = bays = fewest_bays(length, longest)
    blame = -1.0
    while length / bays >= least - TOLERANCE_M:
        pulled, cost, in_the_way = most_even(ground, bays, least, longest)
        if pulled is not None:
            zone = ""
            if bays > fewest:
                zone = ground.next_zone(blame)
            elif len(pulled.bends) > 2:
                zone = ground.named(_deciding(pulled))
            spread = pulled.most - pulled.least
            return Division(
                bays,
                tuple(pulled.stations()),
                spread if spread > TOLERANCE_M else 0.0,
                cost // HAND,
                cost % HAND,
                0,
                f"zone {zone}" if zone else "longest bay",
                "search closed" if ground.bars else "closed form",
                bays - fewest,
            )
        bays += 1
        blame = max(blame, in_the_way)
        if bays - fewest >= _PATIENCE and not _goes_on(ground, rules, bays, fewest):
            break
    raise explain_none(ground, least, longest)


def _goes_on(ground: Ground, rules: BayRules, bays: int, fewest: int) -> bool:
    """Whether a greater number of bays is worth trying (docs/layout-method.md, "How many bays at most")."""
    if bays == fewest + _PATIENCE and not passable(ground, rules.least_m, rules.full_m):
        return False
    return rules.least_m > rules.full_m / 2.0 or bays <= fewest + 2 * len(ground.bars) + 2


def _deciding(pulled: Pulled) -> float:
    """The bend at the end of the steepest piece of a string, or of the flattest where that has only fixed ends [m]."""
    for wanted in (pulled.most, pulled.least):
        for (i, x), (j, y) in itertools.pairwise(pulled.bends):
            if abs((y - x) / (j - i) - wanted) <= TOLERANCE_M:
                return y if j != pulled.bends[-1][0] else x
    return pulled.bends[1][1]


def _divide_full(ground: Ground, rules: BayRules, zone: str) -> Division:
    """Fewest posts, fewest hits, fewest bays that are not whole, smallest spread; cut bays at the named end.

    ``zone``: what a post of the plain pattern would meet.
    """
    length, least, full = ground.length_m, rules.least_m, rules.full_m
    turned = rules.rule == "short first"
    if turned:
        ground = lay_ground(
            length, [replace(b, start_m=length - b.end_m, end_m=length - b.start_m) for b in ground.blocks]
        )
    fewest = fewest_bays(length, full)
    bays = fewest
    while length / bays >= least - TOLERANCE_M:
        found = fewest_cut(ground, bays, least, full)
        if found is None:
            bays += 1
            if bays - fewest >= _PATIENCE and not _goes_on(ground, rules, bays, fewest):
                break
            continue
        posts = found[0]
        if turned:
            posts = [length - x for x in reversed(posts)]
            ground = lay_ground(
                length, [replace(b, start_m=length - b.end_m, end_m=length - b.start_m) for b in ground.blocks]
            )
        return _division(ground, rules, posts, bays - fewest, "search closed", zone)
    raise explain_none(ground, least, full)


def _division(
    ground: Ground,
    rules: BayRules,
    posts: Sequence[float],
    extra: int,
    proof: str,
    zone: str = "",
) -> Division:
    """Count what the layout costs and say what decides."""
    length = ground.length_m
    marks = [0.0, *posts, length]
    steps = [b - a for a, b in itertools.pairwise(marks)]
    spread = max(steps) - min(steps)
    hits = [ground.cost(x) for x in posts] if ground.pieces else []
    whole = rules.rule != "even"
    cut = sum(step < rules.full_m - UNCUT_M for step in steps) if whole else 0
    binding = f"zone {zone}" if zone else "longest bay"
    hand = sum(h // HAND for h in hits)
    return Division(
        len(steps),
        tuple(posts),
        0.0 if spread <= TOLERANCE_M else spread,
        hand,
        sum(h % HAND for h in hits),
        cut,
        binding,
        proof,
        extra,
    )


def divide_between(
    length_m: float,
    rules: BayRules,
    blocks: Sequence[Block] = (),
    given_first: Sequence[float] = (),
    given_last: Sequence[float] = (),
) -> Division:
    """Divide what is left between bays whose lengths are given.

    given_first, given_last
        bays from the start on, and the bays up to the end, both in walking order [m]. They may be shorter than the
        rules allow (they were asked for), not longer than the longest bay.
    Raises :class:`NoDivision` when a given bay is too long, when they are longer together than the leg, when a post
    between them stands on ground where none may stand, or when the rest cannot be divided.

    >>> divide_between(10.0, BayRules(longest_m=2.5), given_first=[1.2]).posts_m[0]
    1.2
    """
    for bay in (*given_first, *given_last):
        if not bay > TOLERANCE_M:
            raise ValueError("a given bay must be longer than 0")
        if bay > rules.longest_m + TOLERANCE_M:
            raise NoDivision("longest bay", "", (Fix("given bay", "", "end", bay - rules.longest_m, "shorter"),))
    first, last = [], []
    for k in range(len(given_first)):
        first.append(math.fsum(given_first[: k + 1]))
    for k in range(len(given_last)):
        last.append(length_m - math.fsum(given_last[k:]))
    left, right = (first[-1] if first else 0.0), (last[0] if last else length_m)
    if right < left - TOLERANCE_M:
        raise NoDivision("given bays", "", (Fix("end", "", "end", left - right, "longer"),))
    ground = lay_ground(length_m, blocks)
    met = right - left <= TOLERANCE_M
    fixed = [*first, *(last[1:] if met else last)]
    fixed = [x for x in fixed if TOLERANCE_M < x < length_m - TOLERANCE_M]
    for x in fixed:
        if ground.cost(x) < 0:
            block = next(b for b in blocks if b.kind == "no hole" and b.start_m < x < b.end_m)
            back, on = x - block.start_m, block.end_m - x
            fixes = (Fix("post", "", "", back, "back"), Fix("post", "", "", on, "on"))
            raise NoDivision("zone", block.name, tuple(sorted(fixes, key=lambda f: f.move_m)))
    if met:
        return _division(ground, rules, fixed, 0, "closed form")
    moved = [replace(b, start_m=b.start_m - left, end_m=b.end_m - left) for b in blocks]
    middle = divide(right - left, rules, moved)
    posts = sorted([*fixed, *(left + x for x in middle.posts_m)])
    whole = _division(ground, rules, posts, middle.extra, middle.proof)
    return whole._replace(binding=middle.binding, spread_m=middle.spread_m)


def moves(
    posts_m: Sequence[float], i: int, rules: BayRules, blocks: Sequence[Block] = ()
) -> tuple[float, str, float, str]:
    """How far one post may go back and on with its neighbours standing, and what stops it first.

    posts_m
        stations of all posts of the leg, both fixed ones included, rising [m]; ``i``: which of them, not an end.
    Returns (back [m], its stop, on [m], its stop); a stop is "bay" (a neighbouring bay would be too long), "short bay"
    or "zone NAME". No-hole and hand-dig zones stop a post that stands outside them; a paint margin does not.

    >>> moves([0.0, 2.4, 4.8], 1, BayRules(longest_m=2.5), [Block(2.45, 2.6, "no hole", "gas")])
    (0.10000000000000009, 'bay', 0.050000000000000266, 'zone gas')
    """
    if not 0 < i < len(posts_m) - 1:
        raise ValueError("only a post between the two fixed ones can move")
    before, x, after = posts_m[i - 1], posts_m[i], posts_m[i + 1]
    longest, least = rules.full_m, rules.least_m
    far_back, back_stop = x - (after - longest), "bay"
    if x - (before + least) < far_back:
        far_back, back_stop = x - (before + least), "short bay"
    far_on, on_stop = before + longest - x, "bay"
    if after - least - x < far_on:
        far_on, on_stop = after - least - x, "short bay"
    for block in blocks:
        if block.kind == "paint" or block.end_m - block.start_m <= TOLERANCE_M:
            continue
        if block.end_m <= x + TOLERANCE_M:
            if x - block.end_m < far_back:
                far_back, back_stop = x - block.end_m, f"zone {block.name}"
        elif block.start_m >= x - TOLERANCE_M and block.start_m - x < far_on:
            far_on, on_stop = block.start_m - x, f"zone {block.name}"
    return (max(far_back, 0.0), back_stop, max(far_on, 0.0), on_stop)


def whole_bays(length_m: float, full_m: float, least_m: float, rule: str) -> list[float] | None:
    """Marks of whole bays with what is left at the end, the start, or halved at both [m]; None when it cannot be.

    rule
        "short last" and "panels" (at the end), "short first", "short both". A last bay below ``least_m`` shares its
        length with as few of its neighbours as it takes (common practice).
    """
    bays = fewest_bays(length_m, full_m)
    if rule == "short both":
        ends = (length_m - (bays - 2) * full_m) / 2.0 if bays > 1 else length_m
        if ends < least_m - TOLERANCE_M:
            return None
        inner = [ends + full_m * k for k in range(bays - 1)]
        return [0.0, *inner, length_m]
    for shared in range(1, bays + 1):
        whole = bays - shared
        each = (length_m - whole * full_m) / shared
        if each >= least_m - TOLERANCE_M:
            marks = [full_m * k for k in range(whole + 1)]
            marks += [whole * full_m + each * k for k in range(1, shared)]
            marks.append(length_m)
            return [length_m - x for x in reversed(marks)] if rule == "short first" else marks
    return None
