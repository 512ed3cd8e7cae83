"""Curves of a line of wire: where its path bends gradually, what bay that allows, where the pull is held round them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from palewright.layout.bends import chord_turn
from palewright.layout.line_ground import Way
from palewright.model import WireRules
from palewright.plane import middle_ordinate

__all__ = ["Curve", "curve_bay", "curve_spacing", "curves_of", "gentle", "held_tips", "pulls_round", "turns_of"]

Floats = NDArray[np.float64]
_GENTLE = math.radians(2.0)
"""Bends up to this may be drawn points of a curve, whatever is braced (our own choice)."""
_WIDEST_M = 0.75 * 0.0254
_REACH = 1.5
"""A curve takes in the leg before and after it that is no longer than so many of its own (our own choice)."""


class Curve(NamedTuple):
    """A curve between two corners of a path: its tightest radius [m], its turn [rad, left positive], its bay [m]."""

    first: int
    last: int
    radius: float
    turn: float
    bay: float


def turns_of(path: Floats) -> Floats:
    """How a path (k, 2) turns at each of its inner corners [rad], left positive.

    >>> np.degrees(turns_of(np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]])))
    array([90.])
    """
    legs = np.diff(path, axis=0)
    u, v = legs[:-1], legs[1:]
    return np.asarray(np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1)))


def curve_spacing(radius_m: float) -> float:
    """The longest bay on a curve of a radius [m, > 0], so that chords stay near the arc [m].

    10 ft from 500 ft of radius, 8 ft from 200, 6 ft from 100, 5 ft below. Source: tremonton-curves.

    >>> curve_spacing(60.0) / 0.3048
    6.0
    """
    feet = radius_m / 0.3048
    if feet <= 0.0:
        raise ValueError(f"a radius is more than 0, not {radius_m}")
    return 0.3048 * (10.0 if feet >= 500.0 else 8.0 if feet >= 200.0 else 6.0 if feet > 100.0 else 5.0)


def curve_bay(radius_m: float, longest_m: float) -> float:
    """The longest bay of wire on a curve [m].

    radius_m, longest_m
        of the curve, and the longest bay on straight pieces [m, > 0].
    The bay by radius (tremonton-curves), no longer than the longest. From 500 ft the table has one bay for every
    radius, made for bays of 10 ft; a longer bay stays where its chord stands no more than 3/4 in off the arc, as far as
    the table itself lets one stand (5 ft at a radius of 50 ft).

    >>> [round(curve_bay(feet * 0.3048, 16.5 * 0.3048) / 0.3048, 6) for feet in (150, 500, 2000)]
    [6.0, 10.0, 16.5]
    """
    flat = longest_m < 2.0 * radius_m and middle_ordinate(radius_m, chord_turn(longest_m, radius_m)) <= _WIDEST_M
    wide = flat and radius_m >= 500.0 * 0.3048
    return longest_m if wide else min(longest_m, curve_spacing(radius_m))


def gentle(rules: WireRules) -> float:
    """The largest bend that may be part of a curve [rad]: one that is not braced, and 2 degrees in any case."""
    return max(min(rules.number("anchor over"), rules.number("corner from")), _GENTLE)


def curves_of(way: Way, rules: WireRules) -> list[Curve]:
    """Where a path bends gradually.

    Three bends or more to the same side, each too small to be braced (or of 2 degrees at most), and each within two
    longest bays of the next, are a curve. It goes on to the corner before and after where that is about as near.
    """
    if len(way.xy) < 5:
        return []
    longest = rules.number("longest bay")
    turn, leg = turns_of(way.xy), np.diff(way.at)
    small = np.abs(turn) <= gentle(rules) + 1e-9
    small &= np.abs(turn) > 1e-9
    linked = small[1:] & small[:-1] & (turn[1:] * turn[:-1] > 0.0) & (leg[1:-1] <= 2.0 * longest)
    edge = np.flatnonzero(np.diff(np.concatenate([[False], linked, [False]]).astype(np.int8)))
    made: list[Curve] = []
    for begin, end in zip(edge[::2].tolist(), edge[1::2].tolist(), strict=True):
        if end - begin >= 2:
            made.append(_curve(way, leg, turn, begin + 1, end + 1, longest))
    return made


def _curve(way: Way, leg: Floats, turn: Floats, first: int, last: int, longest: float) -> Curve:
    """The curve whose bends are the corners ``first`` to ``last``."""
    most = _REACH * float(leg[first:last].max())
    total = float(turn[first - 1 : last].sum())
    low = first - 1 if leg[first - 1] <= most else first
    high = last + 1 if leg[last] <= most else last
    a, c = way.xy[first : last - 1], way.xy[first + 2 : last + 1]
    radius = float((np.hypot(*(c - a).T) / (2.0 * np.abs(np.sin(turn[first : last - 1])))).min())
    radius = round(radius, 3)
    return Curve(low, high, radius, total, curve_bay(radius, longest))


def _turned(way: Way, curves: Sequence[Curve], station: Floats) -> Floats:
    """How far the curves of a path turn up to level stations [rad], all to one side."""
    if not curves:
        return np.zeros(len(station))
    at = np.array([way.at[[one.first, one.last]] for one in curves]).reshape(-1)
    turn = np.repeat(np.cumsum([0.0, *(abs(one.turn) for one in curves)]), 2)[1:-1]
    return np.asarray(np.interp(station, at, turn))


def held_tips(way: Way, curves: Sequence[Curve], rules: WireRules, edges: Floats) -> list[int]:
    """Corners of a path at which a curve is to be held at both ends, because it turns more than wire may.

    edges
        stations between which wire goes in one piece [m], rising. ``curve turn`` of the rules: how far wire may turn
        round curves between two braced posts; where nobody says it, or it is 0, none.
    """
    most = rules.number("curve turn")
    if most <= 0.0 or not curves:
        return []
    found: list[int] = []
    turn = np.diff(_turned(way, curves, edges))
    for one in curves:
        low, high = way.at[[one.first, one.last]]
        over = (edges[:-1] < high) & (edges[1:] > low) & (turn > most + 1e-9)
        found += [one.first, one.last] if over.any() else []
    return found


def pulls_round(way: Way, curves: Sequence[Curve], rules: WireRules, edges: Floats) -> NDArray[np.intp]:
    """Into how many pulls each piece between edges is divided, so that none turns more than wire may round curves."""
    most = rules.number("curve turn")
    if most <= 0.0 or not curves:
        return np.ones(len(edges) - 1, dtype=np.intp)
    return np.maximum(1, np.ceil(np.diff(_turned(way, curves, edges)) / most - 1e-9)).astype(np.intp)
