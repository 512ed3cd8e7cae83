"""Marks on a circular arc by tape: offsets from its tangent, chords from its beginning, offsets from its long chord."""

from __future__ import annotations

import math

from palewright.record import Record

__all__ = ["ArcMark", "arc_mark", "panel_ordinate"]


class ArcMark(Record):
    """One mark on an arc, three ways to set it.

    deflection, chord
        angle at the beginning of the arc from its tangent [rad], and the straight tape from there [m].
    tangent_along, tangent_off
        along the tangent from the beginning, and square off it to the inside [m].
    chord_along, chord_off
        along the long chord from the beginning, and square off it toward the arc [m].
    """

    deflection: float
    chord: float
    tangent_along: float
    tangent_off: float
    chord_along: float
    chord_off: float


def arc_mark(radius: float, central: float, along: float) -> ArcMark:
    """How to set a mark on an arc.

    radius
        [m], > 0. central: central angle of the whole arc [rad, 0 < angle <= pi]. along: length on the arc from its
        beginning [m], 0 to radius x central.
    Returns the :class:`ArcMark`: with f = along / radius, deflection f / 2, chord 2 R sin(f / 2), tangent offsets
    R sin f and R (1 - cos f); the chord, turned by half the central angle less the deflection, gives those from the
    long chord.
    Raises ValueError outside the ranges. Source: geometry, as in route surveying handbooks.

    >>> mark = arc_mark(40.0, math.radians(60.0), 16.0)
    >>> round(math.degrees(mark.deflection), 4), round(mark.chord, 4), round(mark.tangent_off, 4)
    (11.4592, 15.8935, 3.1576)
    """
    if not (radius > 0.0 and 0.0 < central <= math.pi and 0.0 <= along <= radius * central * (1.0 + 1e-12)):
        raise ValueError("a mark lies on an arc with a radius and a central angle of at most half a turn")
    angle = along / radius
    chord = 2.0 * radius * math.sin(angle / 2.0)
    turn = (central - angle) / 2.0
    return ArcMark(
        angle / 2.0,
        chord,
        radius * math.sin(angle),
        chord * math.sin(angle / 2.0),
        chord * math.cos(turn),
        chord * math.sin(turn),
    )


def panel_ordinate(radius: float, panel: float) -> float:
    """Greatest distance between a straight panel and the arc on which both its ends stand.

    radius
        [m], > 0. panel: its length [m], 0 to twice the radius.
    Returns R - sqrt(R^2 - panel^2 / 4) [m], written so that it keeps its digits. Raises ValueError outside the ranges.
    Source: geometry (middle ordinate).

    >>> round(panel_ordinate(40.0, 8.0), 4)
    0.2005
    """
    if not (radius > 0.0 and 0.0 <= panel <= 2.0 * radius):
        raise ValueError("a panel reaches from arc to arc")
    return panel**2 / 4.0 / (radius + math.sqrt(radius**2 - panel**2 / 4.0))
