"""What a line of wire takes: rolls, posts, rails, brace wire, staples and clips, and where rolls are dropped."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.layout.line_sizes import post_depth, post_length, post_words
from palewright.model import LinePlan, Roll
from palewright.supply.draft import Draft, code_of, feet, feet_words

__all__ = ["brace_wire_m", "rolls_for", "take_lines", "wire_rolls"]

Floats = NDArray[np.float64]
_FOOT = 0.3048
_PULLED = ("end", "corner", "anchor", "pull")
_WOOD = ("wood", "stiff", "high")
_ROLLS = "each piece from tie to tie, a tie at both its ends, a splice where a roll ends within it"
_STAPLES = 75
"""Staples in a pound (from memory)."""
_SIGNS_M = 300 * _FOOT


def rolls_for(pulls_m: Floats | Sequence[float], roll_m: float, tie_m: float, splice_m: float) -> tuple[float, int]:
    """Wire for pieces that are each tied off at both ends, and rolls that give it.

    pulls_m
        from tie to tie [m]. roll_m: wire on a roll [m, > splice]. tie_m: to tie off an end [m, >= 0]. splice_m: lost
        where a roll ends within a piece and the next is spliced on [m, >= 0].
    Returns the wire used up, splices among it [m], and whole rolls: the least n with n roll >= pieces + 2 ties a piece
    + (n - 1) splices. Source: geometry.

    >>> [round(rolls_for([2284 * 0.3048 / n] * n, 330 * 0.3048, 2 * 0.3048, 0.3048)[1]) for n in (1, 8)]
    [7, 8]
    >>> rolls_for([10560 * 0.3048], 330 * 0.3048, 0.0, 0.0)[1]
    32
    """
    if not roll_m > splice_m >= 0.0 or tie_m < 0.0:
        raise ValueError(f"no rolls of {roll_m} m with ties of {tie_m} m and splices of {splice_m} m")
    pieces = np.asarray(pulls_m, dtype=float)
    if not len(pieces):
        return 0.0, 0
    total = float(pieces.sum()) + 2.0 * tie_m * len(pieces)
    rolls = max(1, math.ceil((total - splice_m) / (roll_m - splice_m) - 1e-9))
    return total + (rolls - 1) * splice_m, rolls


def brace_wire_m(span_m: float, rise_m: float) -> float:
    """Wire of one diagonal: two loops round both posts, four times its length [m].

    span_m, rise_m
        from post to post, and from the foot of the one to the head of the other [m, > 0]. Source: geometry; a double
        loop is common practice.

    >>> round(brace_wire_m(8 * 0.3048, 4.5 * 0.3048) / 0.3048, 1)
    36.7
    """
    return 4.0 * math.hypot(span_m, rise_m)


def wire_rolls(line: LinePlan) -> tuple[Roll, ...]:
    """Where each roll of mesh and of strand wire begins to be used, in the order in which they are."""
    rules, made = line.rules, list[Roll]()
    for what, runs, roll in _wires(line):
        pieces = list(line.pulls_m) * runs
        _, count = rolls_for(pieces, roll, rules.number("tie"), rules.number("splice"))
        need = np.cumsum([0.0, *(piece + 2.0 * rules.number("tie") for piece in line.pulls_m)])
        used = np.arange(count) * (roll - rules.number("splice")) % max(float(need[-1]), 1e-9)
        piece = np.minimum(np.searchsorted(need, used, side="right") - 1, len(line.pulls_m) - 1)
        within = np.maximum(0.0, used - need[piece] - rules.number("tie"))
        starts = np.array(_piece_starts(line))
        stations = np.minimum(starts[piece] + within * line.length_m / line.along_m, line.length_m)
        made += [Roll(what, k + 1, float(station)) for k, station in enumerate(stations)]
    return tuple(made)


def _piece_starts(line: LinePlan) -> list[float]:
    """Level stations at which the pieces of wire are tied first, opening after opening left out [m].

    At a pull assembly the wire onward is tied to its first post, that of the piece before to its last.
    """
    opens = {round(gate.from_m, 6) for gate in line.gates}
    begin = line.assemblies if line.closed else line.assemblies[:-1]
    return [
        one.posts[0].station_m if one.role == "pull" else one.station_m
        for one in begin
        if round(one.station_m, 6) not in opens
    ]


def _wires(line: LinePlan) -> list[tuple[str, int, float]]:
    """(what, how many times along the line, length of a roll [m]) of its wire."""
    rules, made = line.rules, list[tuple[str, int, float]]()
    if rules.number("mesh"):
        made.append(("woven-wire", 1, rules.number("roll")))
    if rules.number("strands"):
        what = "barbed-wire" if rules.kind in ("woven wire", "barbed wire") else "smooth-wire"
        made.append((what, int(rules.number("strands")), rules.number("strand roll")))
    return made


def take_lines(draft: Draft, lines: Sequence[LinePlan]) -> None:
    """Everything of the lines of a job."""
    for line in lines:
        _posts(draft, line)
        _wire(draft, line)
        _braces(draft, line)
        _fasteners(draft, line)
        _electric(draft, line)
        for gate in line.gates:
            what, pair = (gate.what or "farm gate").replace(" ", "-"), gate.leaves == 2 and not gate.what
            size = f"for a {feet_words(gate.opening_m)} opening"
            draft.add(f"gate.{what}{'.pair' if pair else ''}.{feet(gate.opening_m)}ft",
                      f"{what}-pair" if pair else what, size, 1, "gates", gates=(gate.name,),
                      rule="one for each opening")  # fmt: skip


def _posts(draft: Draft, line: LinePlan) -> None:
    rules, count = line.rules, line.count
    for what, key, roles in (
        ("pulled-post", "post pulled", _PULLED),
        ("gate-post", "post gate", ("gate",)),
        ("brace-post", "post brace", ("brace",)),
        ("wood-line-post", "post line", _WOOD),
    ):
        words = post_words(rules, roles[0])
        draft.add(f"post.wood.{code_of(words)}", what, words, sum(count(role) for role in roles), "posts",
                  rule="counted from the layout", source=_source(line, key))  # fmt: skip
    draft.add("post.wood.dip", "dip-post", post_words(rules, "low"), count("low"), "posts",
              rule="one in each dip, a foot deeper, held down")  # fmt: skip
    draft.add(f"post.steel.{code_of(rules.word('post steel'))}", "steel-post", rules.word("post steel"),
              count("steel"), "posts", rule="counted from the layout", source=_source(line, "post steel"))  # fmt: skip
    draft.add("stay", "wire-stay", "", count("stay"), "fittings", rule="stays in each bay",
              source=_source(line, "stays"))  # fmt: skip


def _source(line: LinePlan, key: str) -> str:
    rule = line.rules.rule(key)
    return rule.source if rule is not None else "common practice"


def _wire(draft: Draft, line: LinePlan) -> None:
    rules = line.rules
    for what, runs, roll in _wires(line):
        need, _ = rolls_for(list(line.pulls_m) * runs, roll, rules.number("tie"), rules.number("splice"))
        size = f"{rules.number('mesh') / 0.0254:g} in" if what == "woven-wire" else ""
        draft.add(f"wire.{what}.{feet(roll)}ft", what, size, need, "fabric", unit="m", per=roll,
                  buy_unit=f"roll of {feet(roll)} ft", rule=_ROLLS)  # fmt: skip


def _braces(draft: Draft, line: LinePlan) -> None:
    rules, count = line.rules, line.count
    words = rules.word("rail")
    draft.add(f"rail.brace.{code_of(words)}", "wood-brace-rail", words, count("rail"), "rails",
              rule="one between each two posts of a brace", source=_source(line, "brace"))  # fmt: skip
    draft.add("strut", "strut", "", count("strut"), "rails", rule="one at each end of each piece of wire")
    draft.add("pin.brace", "brace-pin", "3/8 in", 2 * count("rail"), "fittings", rule="one at each end of a rail",
              source="nrcs-32")  # fmt: skip
    rise = post_length(rules, "brace") - post_depth(rules, "brace")
    each = brace_wire_m(rules.number("span"), rise)
    draft.add("wire.brace", "brace-wire", "9 gauge", each * count("diagonal"), "fittings", unit="m", per=_FOOT,
              buy_unit="ft", rule="four times the diagonal: two loops from the foot of the pulled post")  # fmt: skip
    draft.add("stick.twitch", "twitch-stick", "", count("diagonal"), "fittings", rule="one for each brace wire")


def _fasteners(draft: Draft, line: LinePlan) -> None:
    rules, count = line.rules, line.count
    on_each = int(rules.number("ties") + rules.number("strands"))
    if rules.kind == "electric wire":
        posts = line.holes + count("steel")
        draft.add("insulator", "insulator", "", int(rules.number("strands")) * posts, "fittings",
                  rule="wires x posts", source="from memory")  # fmt: skip
        return
    draft.add("staple", "wire-staple", "", on_each * line.holes, "fasteners", per=_STAPLES, buy_unit="lb",
              rule="wires fastened x posts of wood", source="from memory")  # fmt: skip
    draft.add("clip", "post-clip", "", on_each * count("steel"), "fasteners", rule="wires fastened x posts of steel",
              source="from memory")  # fmt: skip


def _electric(draft: Draft, line: LinePlan) -> None:
    if line.rules.kind == "high-tensile wire":
        strands = int(line.rules.number("strands"))
        draft.add("strainer", "strainer", "", strands * line.count("pull piece"), "fittings",
                  rule="one in each wire of each piece", source="nrcs-382-me")  # fmt: skip
    if line.rules.kind != "electric wire":
        return
    draft.add("rod.ground", "ground-rod", "6 ft", 3, "fittings", rule="three at least (from memory), 10 ft apart",
              source="nrcs-382-ri")  # fmt: skip
    draft.add("sign.electric", "warning-sign", "", math.ceil(line.wire_m / _SIGNS_M), "fittings",
              rule="one every 300 ft at most", source="from memory")  # fmt: skip
    under = math.fsum(gate.opening_m + 10 * _FOOT for gate in line.gates)
    draft.add("cable.underground", "gate-cable", "", under, "fittings", unit="m", per=_FOOT, buy_unit="ft",
              rule="opening and 10 ft, under each gate", source="from memory")  # fmt: skip
