"""A line of wire laid out as arrays, the same for a field and for a hundred kilometres.

Assemblies stand where ends, bends, gates and the greatest pull ask for them, and between them stretches of equal bays.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.layout.line_curves import Curve, curves_of, gentle, held_tips, pulls_round, turns_of
from palewright.layout.line_ground import DIP, Way, dips_and_rises
from palewright.model import WireRules

__all__ = ["NAMES", "Role", "LineArrays", "lay_line", "longest_bays"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


class Role(IntEnum):
    """What a post is for. Up to PULL they belong to assemblies; STIFF, LOW and HIGH stand first within stretches."""

    END = 0
    CORNER = 1
    ANCHOR = 2
    GATE = 3
    PULL = 4
    BRACE = 5
    STIFF = 6
    LOW = 7
    HIGH = 8
    WOOD = 9
    STEEL = 10
    NONE = 11


NAMES = tuple(role.name.lower() for role in Role)
_NEAR = 0.01
_SLACK = 1e-9
_SPANS = {"none": 0, "strut": 0, "single": 1, "double": 2}


class LineArrays(NamedTuple):
    """A line as arrays.

    along, role, turn
        of its assemblies in walking order: distance along the ground of the pulled post (the middle of a pull assembly)
        [m], role, and turn of the run [rad]. spans_before, spans_after: braced spans on each side.
        reach_before, reach_after: how far they go [m].
    gap
        for each assembly, whether an opening lies between it and the next one.
    start, end, bays, first, last
        of its stretches: distances along the ground [m], equal bays, and what they begin and end with: an assembly
        (its number), or ``-1 - k`` for fixed post k.
    fixed, fixed_role
        posts that stand within stretches: distances [m], and STIFF, LOW (in a dip) or HIGH (on a rise).
    pulls
        from tie to tie of each piece of wire [m].
    short
        for each piece between assemblies: 0, or 1 where both share one brace post, or 2 where one rail goes from one
        to the other, because there is no room for more.
    curves
        where the path bends gradually, in walking order: bays are shorter there.
    """

    way: Way
    along: Floats
    role: Ints
    turn: Floats
    spans_before: Ints
    spans_after: Ints
    reach_before: Floats
    reach_after: Floats
    gap: NDArray[np.bool_]
    start: Floats
    end: Floats
    bays: Ints
    first: Ints
    last: Ints
    fixed: Floats
    fixed_role: Ints
    pulls: Floats
    short: Ints
    curves: tuple[Curve, ...] = ()

    @property
    def spacing(self) -> Floats:
        """Bay of each stretch [m]."""
        return np.asarray((self.end - self.start) / self.bays)

    @property
    def posts(self) -> int:
        """Line posts of the stretches, the fixed ones among them."""
        return int(self.bays.sum()) - len(self.bays) + len(self.fixed)


def lay_line(way: Way, closed: bool, openings: Sequence[tuple[float, float]], rules: WireRules) -> LineArrays:
    """A line laid out.

    way
        its path and the ground along it; a closed path ends where it begins. openings: stations of the two post centres
        of each gate or crossing, in walking order [m].
    Bends are sorted by the classes of the rules; pieces between ends, bends that are braced and gates are divided into
    equal pulls no longer than the greatest; a curve that turns more than wire may is held at both its ends, and within
    it by how far it turns; what is left between the braces into equal bays no longer than the longest,
    at posts that stand first: at small bends, at both ends of curves, in dips and on rises. Distances are along the
    ground.
    """
    curves = curves_of(way, rules)
    bends = _bend_roles(way, closed, rules, curves)
    edges = np.sort(np.concatenate([way.at[bends <= Role.GATE], np.array(openings, dtype=float).reshape(-1)]))
    tips = held_tips(way, curves, rules, edges)
    bends[tips] = np.where(bends[tips] > Role.PULL, Role.PULL, bends[tips])
    station, role, turn, gap = _terminals(way, closed, bends, openings)
    stiff = way.along_of(way.at[bends == Role.STIFF])
    d = way.along_of(station)
    piece = np.diff(d)
    long = np.ceil(piece / rules.number("longest pull") - _SLACK).astype(np.intp)
    count = np.where(gap[:-1], 1, np.maximum(long, pulls_round(way, curves, rules, station)))
    of = np.append(np.repeat(np.arange(len(count)), count), len(count))
    k = np.arange(len(of)) - np.concatenate([[0], np.cumsum(count)])[of]
    pull = np.append(piece / count, 0.0)
    along, pulled = d[of] + k * pull[of], k > 0
    role, turn = np.where(pulled, Role.PULL, role[of]), np.where(pulled, 0.0, turn[of])
    gap = gap[of] & ~pulled
    spans = _spans(np.diff(along), gap[:-1], rules)
    return _stretches(way, along, role, turn, gap, spans, stiff, curves, rules)


def _bend_roles(way: Way, closed: bool, rules: WireRules, curves: Sequence[Curve]) -> Ints:
    """The role of each corner of the path by how far it turns."""
    turn = np.abs(_turns(way, closed))
    role = np.full(len(turn), Role.NONE, dtype=np.intp)
    role[turn > rules.number("stiff over") + _SLACK] = Role.STIFF
    role[turn > rules.number("anchor over") + _SLACK] = Role.ANCHOR
    role[(turn >= rules.number("corner from") - _SLACK) & (turn > _SLACK)] = Role.CORNER
    for curve in curves:
        role[curve.first + 1 : curve.last] = Role.NONE
        tips = np.array([curve.first, curve.last])
        role[tips] = np.where(turn[tips] > gentle(rules) + _SLACK, role[tips], Role.STIFF)
    role[[0, -1]] = np.where(role[[0, -1]] == Role.CORNER, Role.CORNER, Role.ANCHOR) if closed else Role.END
    return role


def _turns(way: Way, closed: bool) -> Floats:
    """Turn at every corner; at both ends that of the closing corner, 0 where the line is open."""
    inner = turns_of(way.xy)
    ends = turns_of(np.array([way.xy[-2], way.xy[0], way.xy[1]]))[0] if closed else 0.0
    return np.concatenate([[ends], inner, [ends]])


def _terminals(
    way: Way, closed: bool, roles: Ints, openings: Sequence[tuple[float, float]]
) -> tuple[Floats, Ints, Floats, NDArray[np.bool_]]:
    """Where wire ends or is braced: stations, roles, turns, and whether an opening begins there."""
    turns = _turns(way, closed)
    held = roles <= Role.PULL
    station, role, turn = way.at[held], roles[held], turns[held]
    edges = np.array(openings, dtype=float).reshape(-1)
    apart = np.abs(edges[:, None] - station[None, :]).min(axis=1) > _NEAR if len(edges) else np.empty(0, dtype=bool)
    new = edges[apart]
    station = np.concatenate([station, new])
    role = np.concatenate([role, np.full(len(new), Role.GATE, dtype=np.intp)])
    turn = np.concatenate([turn, np.zeros(len(new))])
    order = np.argsort(station, kind="stable")
    station, role, turn = station[order], role[order], turn[order]
    gap = np.zeros(len(station), dtype=bool)
    for from_m, _ in openings:
        gap[np.abs(station - from_m).argmin()] = True
    return station, role, turn, gap


def _spans(pull: Floats, gap: NDArray[np.bool_], rules: WireRules) -> Ints:
    """Braced spans at both ends of each piece of wire."""
    word = rules.word("brace")
    if word == "by pull":
        spans = np.where(pull > rules.number("double over") + _SLACK, 2, 1)
    else:
        spans = np.full(len(pull), _SPANS[word], dtype=np.intp)
    return np.where(gap, 0, spans).astype(np.intp)


def _stretches(
    way: Way, along: Floats, role: Ints, turn: Floats, gap: NDArray[np.bool_], spans: Ints, stiff: Floats,
    curves: Sequence[Curve], rules: WireRules,
) -> LineArrays:  # fmt: skip
    span, longest = rules.number("span"), rules.number("longest bay")
    length = np.diff(along)
    part = np.where(role == Role.PULL, 0.5, 1.0)
    both = span * (part[:-1] + part[1:])
    spans = np.where(length < spans * both + longest / 3.0, np.minimum(spans, 1), spans)
    room = np.where(spans > 0, length / (np.maximum(spans, 1) * both), 2.0)
    short = np.where(room > 1.0 + _SLACK, 0, np.where(room > 0.75, 1, 2))
    reach = spans * span * np.where(short > 0, room, 1.0)
    after = np.append(reach * part[:-1], 0.0)
    before = np.concatenate([[0.0], reach * part[1:]])
    left = length - after[:-1] - before[1:]
    real = ~gap[:-1] & (left > _NEAR)
    start, end, first = along[:-1][real] + after[:-1][real], along[1:][real] - before[1:][real], np.flatnonzero(real)
    fixed, kind = _fixed(way, stiff, start, end, rules)
    of = np.searchsorted(start, fixed) - 1
    begins = np.concatenate([start, fixed])
    number = np.concatenate([first, -1 - np.arange(len(fixed))])
    order = np.argsort(begins, kind="stable")
    begins, number = begins[order], number[order]
    group = np.concatenate([np.arange(len(start)), of])[order]
    same = np.append(group[1:] == group[:-1], False)
    nexts = np.append(begins[1:], np.inf)
    ends = np.where(same, nexts, end[group])
    last = np.where(same, np.append(number[1:], 0), first[group] + 1)
    bays = np.maximum(1, np.ceil((ends - begins) / _longest(way, begins, ends, curves, longest) - _SLACK)).astype(
        np.intp
    )
    tied = length[~gap[:-1]]
    over = (before + after) * (role == Role.PULL)
    pulls = tied + (over[:-1][~gap[:-1]] + over[1:][~gap[:-1]]) / 2.0
    return LineArrays(
        way, along, role, turn, np.concatenate([[0], spans]), np.append(spans, 0), before, after, gap,
        begins, ends, bays, number, last, fixed, kind, pulls, short, tuple(curves),
    )  # fmt: skip


def longest_bays(line: LineArrays, rules: WireRules) -> Floats:
    """The longest bay that each stretch of a line may have [m]."""
    return _longest(line.way, line.start, line.end, line.curves, rules.number("longest bay"))


def _longest(way: Way, begins: Floats, ends: Floats, curves: Sequence[Curve], longest: float) -> Floats:
    """The longest bay of each stretch [m]: that of a curve where it lies on one."""
    made = np.full(len(begins), longest)
    for curve in curves:
        low, high = way.along_of(way.at[[curve.first, curve.last]])
        first, last = np.searchsorted(ends, low + _NEAR, side="right"), np.searchsorted(begins, high - _NEAR)
        made[first:last] = np.minimum(made[first:last], curve.bay)
    return made


def _fixed(way: Way, stiff: Floats, start: Floats, end: Floats, rules: WireRules) -> tuple[Floats, Ints]:
    """Posts that stand within stretches: stiff ones at small bends, then dips and rises well clear of any other."""
    at, kind = stiff, np.full(len(stiff), Role.STIFF, dtype=np.intp)
    if len(way.station) > len(way.at) or way.height.any():
        station, what = dips_and_rises(way, rules.number("dip"))
        low = way.along_of(station)
        clear = rules.number("longest bay") / 3.0
        low, what = _clear_of(low, what, np.sort(np.concatenate([stiff, start, end])), clear)
        at, kind = np.concatenate([at, low]), np.concatenate([kind, np.where(what == DIP, Role.LOW, Role.HIGH)])
    of = np.searchsorted(start, at) - 1
    inside = (of >= 0) & (at > start[np.maximum(of, 0)] + _NEAR) & (at < end[np.maximum(of, 0)] - _NEAR)
    order = np.argsort(at[inside], kind="stable")
    return at[inside][order], kind[inside][order]


def _clear_of(at: Floats, what: Ints, others: Floats, clear: float) -> tuple[Floats, Ints]:
    """Extremes that stand ``clear`` [m] from every other fixed post; of two that are closer the first."""
    if len(others):
        k = np.searchsorted(others, at)
        near = np.minimum(
            np.abs(at - others[np.maximum(k - 1, 0)]), np.abs(at - others[np.minimum(k, len(others) - 1)])
        )
        at, what = at[near > clear], what[near > clear]
    kept = np.concatenate([[True], np.diff(at) > clear]) if len(at) else np.empty(0, dtype=bool)
    return at[kept], what[kept]
