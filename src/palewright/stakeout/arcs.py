"""Posts along a curve: one string beside its long chord, or beside a tangent, and how far each post stands off it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

from palewright.model import ArcString, Leg, Post, Reason, StringLine
from palewright.plane import XY, cross, dot, scale, sub, turn_between, unit
from palewright.stakeout.line import Line
from palewright.stakeout.stakes import Ground

__all__ = ["arc_of", "arc_reasons", "bowed", "choose", "is_curve", "long_chord_offset", "tangent_offset"]

_EVEN = 0.01
"""Bays of one curve are alike to this part of their length, and their turns to this part of theirs (our own)."""
_MOST_TURN = math.radians(100.0)
"""A curve that turns more is set by two strings or more: offsets grow with the turn (our own choice)."""
_STEP_M = 0.3048
_STRAIGHT = 1e-4


def long_chord_offset(radius: float, chord: float, along: float) -> float:
    """How far a circle stands off its long chord.

    radius
        [m], at least half the chord. chord: its length [m], > 0. along: from one end of the chord [m], 0 to chord.
    Returns y = sqrt(R^2 - x^2) - (R - M) [m], with x from the middle of the chord and M the middle ordinate,
    R - sqrt(R^2 - chord^2 / 4), of the smaller arc. Raises ValueError outside the ranges.
    Source: route surveying handbooks, simple curves by ordinates from the long chord (from memory); geometry.

    >>> round(long_chord_offset(40.0, 40.0, 15.0686), 4)
    5.0538
    """
    if not (chord > 0.0 and radius >= chord / 2.0 and 0.0 <= along <= chord):
        raise ValueError("an offset lies on a chord that the circle can have")
    x = along - chord / 2.0
    return math.sqrt(radius**2 - x**2) - math.sqrt(radius**2 - chord**2 / 4.0)


def tangent_offset(radius: float, along: float) -> float:
    """How far a circle stands off its tangent.

    radius
        [m], > 0. along: on the tangent from where it touches [m], 0 to the radius.
    Returns R - sqrt(R^2 - along^2) [m], written so that it keeps its digits. Raises ValueError outside the ranges.
    Source: route surveying handbooks, offsets from the tangent (from memory); geometry.

    >>> round(tangent_offset(40.0, 40.0 * math.sin(0.4)), 4)
    3.1576
    """
    if not 0.0 <= along <= radius:
        raise ValueError("an offset from a tangent lies within the radius")
    return along**2 / (radius + math.sqrt(radius**2 - along**2)) if radius else 0.0


def bowed(chains: Sequence[list[Leg]], posts: dict[str, Post]) -> list[list[Leg]]:
    """Chains of legs with the bays of each curve in one chain; a curve that turns far is parted evenly.

    A curve is two or more bays after one another, each a leg of its own and all alike, that turn alike at line posts.
    """
    made: list[list[Leg]] = []
    curve: list[Leg] = []
    for chain in [*chains, []]:
        if chain and _goes_on(curve, chain, posts):
            curve.append(chain[0])
            continue
        made += _parted(curve)
        curve = [chain[0]] if len(chain) == 1 and len(chain[0].posts) == 2 else []
        if chain and not curve:
            made.append(chain)
    return made


def is_curve(legs: Sequence[Leg]) -> bool:
    """Whether legs of one chain are the bays of a curve."""
    return len(legs) > 1 and abs(_turn(legs[0], legs[1])) > _STRAIGHT


def _goes_on(curve: list[Leg], chain: list[Leg], posts: dict[str, Post]) -> bool:
    if not curve or len(chain) != 1 or len(chain[0].posts) != 2:
        return False
    before, leg = curve[-1], chain[0]
    if leg.run != before.run or leg.posts[0] != before.posts[1] or posts[leg.posts[0]].role != "line":
        return False
    turn = _turn(before, leg)
    if abs(turn) <= _STRAIGHT:
        return False
    alike = abs(leg.length_m - before.length_m) <= _EVEN * before.length_m and leg.yard == before.yard
    return alike and (len(curve) < 2 or abs(turn - _turn(curve[-2], before)) <= _EVEN * abs(turn))


def _turn(a: Leg, b: Leg) -> float:
    return turn_between(sub(a.end, a.start), sub(b.end, b.start))


def _parted(curve: list[Leg]) -> list[list[Leg]]:
    if len(curve) < 2:
        return [[leg] for leg in curve]
    turn = abs(_turn(curve[0], curve[1])) * len(curve)
    parts = min(math.ceil(turn / _MOST_TURN - 1e-9), len(curve) // 2)
    cuts = [round(k * len(curve) / parts) for k in range(parts + 1)]
    return [curve[a:b] for a, b in itertools.pairwise(cuts)]


def choose(make: Callable[[XY | None, bool], Line], legs: list[Leg], ground: Ground, beyond: float) -> Line | None:
    """The first string that its curve can be set from; None where none can.

    make
        the line in a direction (None: that of the long chord), on the side that was asked for or on the other one.
    beyond
        how far past its ends its stakes are wanted [m].
    Tried one after another: beside the long chord, beside the tangent at the beginning and at the end, and these on
    the other side. A string will not do where a stake cannot stand or where it leaves the property or meets a building.
    """
    half = _turn(legs[0], legs[1]) / 2.0
    first, last = unit(sub(legs[0].end, legs[0].start)), unit(sub(legs[-1].end, legs[-1].start))
    ways = [None, _turned(first, -half), _turned(last, half)]
    if abs(half) * 2.0 * len(legs) > math.radians(80.0):
        ways = ways[:1]
    for other in (False, True):
        for way in ways:
            line = make(way, other)
            if all(a < b for a, b in itertools.pairwise(line.at)) and _stands(line, ground, beyond):
                return line
    return None


def _turned(u: XY, angle: float) -> XY:
    c, s = math.cos(angle), math.sin(angle)
    return (u[0] * c - u[1] * s, u[0] * s + u[1] * c)


def _stands(line: Line, ground: Ground, beyond: float) -> bool:
    bounded = ground.fence_inside(line)
    low, high = -_STEP_M / 2.0, line.at[-1] + _STEP_M / 2.0
    ends = line.point(low), line.point(high)
    if ground.buildings_between(*ends):
        return False
    steps = max(2, math.ceil((high - low) / _STEP_M))
    places = [line.point(low + (high - low) * k / steps) for k in range(steps + 1)]
    if bounded and not all(ground.within(at) for at in places):
        return False
    for end, out in ((ends[0], -1.0), (ends[1], 1.0)):
        tries = [beyond * k / 8.0 for k in range(8, -1, -1)]
        spots = [(end[0] + line.d[0] * out * t, end[1] + line.d[1] * out * t) for t in tries]
        if all(ground.blocked(spot, end, bounded, True) for spot in spots):
            return False
    return True


def arc_of(line: Line) -> ArcString | None:
    """The curve that a string serves: its radius, long chord and middle ordinate, and how to check it; None: straight.

    The check is where the curve stands farthest off its long chord, halfway between its end posts.
    """
    if not line.curved:
        return None
    turn = abs(_turn(line.legs[0], line.legs[1]))
    radius = line.legs[0].length_m / 2.0 / math.sin(turn / 2.0)
    p, q = line.posts[0].xy, line.posts[-1].xy
    along = sub(q, p)
    chord = math.hypot(*along)
    middle = long_chord_offset(radius, chord, chord / 2.0)
    # toward the outside of the curve: away from where it turns to
    out = unit((along[1], -along[0]))
    if cross(sub(line.posts[1].xy, p), along) < 0.0:
        out = scale(out, -1.0)
    top = (p[0] + along[0] / 2.0 + out[0] * middle, p[1] + along[1] / 2.0 + out[1] * middle)
    way = "chord" if abs(cross(unit(along), line.d)) < 1e-9 else "tangent"
    off = sub(top, line.base)
    return ArcString(way, radius, chord, middle, dot(off, line.d), line.offset - dot(off, line.n))


_CHORD = "sqrt(R^2 - x^2) - (R - M), x from the middle of the long chord, R the radius, M the middle ordinate; added to"
_TANGENT = "R - sqrt(R^2 - x^2), x along the tangent, R the radius; added to or taken from"


def arc_reasons(strings: Sequence[StringLine]) -> list[Reason]:
    """How the offsets of posts on curves came about, and the middle ordinate that proves them."""
    made: list[Reason] = []
    for string in strings:
        arc, about = string.arc, f"string {string.name}"
        first = string.marks[0].offset_m if string.marks else None
        if arc is None or first is None:
            continue
        sizes = (("radius", arc.radius_m), ("long chord", arc.chord_m))
        ordinate = "R - sqrt(R^2 - C^2 / 4), R the radius, C the long chord"
        made.append(Reason(about, "middle ordinate", arc.middle_m, "m", ordinate, sizes, "curve-offsets"))
        formula = f"{_CHORD if arc.way == 'chord' else _TANGENT} the offset of the first post"
        for mark in string.marks:
            if mark.offset_m is not None:
                inputs = (*sizes, ("first post", first), ("reading", mark.reads_m))
                made.append(Reason(about, f"offset of post {mark.post}", mark.offset_m, "m", formula, inputs,
                                   "curve-offsets"))  # fmt: skip
    return made
