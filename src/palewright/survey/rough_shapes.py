"""Where one unknown point of an observation may lie, and by how much an observation misses places that are known."""

from __future__ import annotations

import math
from collections.abc import Mapping

from palewright.model import Observation
from palewright.plane import XY

__all__ = ["SIGNED_KINDS", "Shape", "is_signed", "meet", "miss", "shapes", "wrap"]

Shape = tuple[float, float, float, float, float]
"""A circle (x, y, radius, 0, 0) or a line (x, y, 0, dx, dy) with (dx, dy) of length 1."""

SIGNED_KINDS = ("azimuth", "direction")
_TURN = 2.0 * math.pi
_SMALL = 1e-9


def wrap(angle: float) -> float:
    """An angle between -pi and pi [rad]."""
    return math.remainder(angle, _TURN)


def is_signed(observation: Observation) -> bool:
    """Whether it tells a figure from its mirror image."""
    return observation.kind in SIGNED_KINDS or observation.side in ("clockwise", "left", "right")


def _azimuth(a: XY, b: XY) -> float:
    return math.atan2(b[0] - a[0], b[1] - a[1])


def _ray(at: XY, azimuth: float) -> Shape:
    return (at[0], at[1], 0.0, math.sin(azimuth), math.cos(azimuth))


def _line(a: XY, b: XY) -> list[Shape]:
    return [] if a == b else [_ray(a, _azimuth(a, b))]


def shapes(observation: Observation, p: str, at: Mapping[str, XY], zero: float) -> list[Shape]:
    """Circles and lines on which ``p`` lies when the other points of an observation are where ``at`` says.

    zero
        azimuth of the zero of the circle (direction) or of north (azimuth) in this frame [rad]; nothing else uses it.
    More may be given than the sense of the observation allows: :func:`miss` tells. Empty where it says nothing simple.
    """
    kind, points, value = observation.kind, observation.points, observation.value
    if kind == "distance":
        q = at[points[1] if points[0] == p else points[0]]
        return [(q[0], q[1], value, 0.0, 0.0)]
    if kind in SIGNED_KINDS:
        q = at[points[1] if points[0] == p else points[0]]
        return [_ray(q, value + zero)]
    if kind == "angle":
        return _of_angle(points, value, p, at)
    if kind == "on line":
        a, b = (at[name] for name in points if name != p)
        return _line(a, b)
    if kind in ("along", "offset"):
        return _of_line(kind, points, value, p, at)
    if kind == "parallel":
        pair, other = (points[:2], points[2:]) if p in points[:2] else (points[2:], points[:2])
        start = at[pair[1] if pair[0] == p else pair[0]]
        return [] if at[other[0]] == at[other[1]] else [_ray(start, _azimuth(at[other[0]], at[other[1]]))]
    return [(value, 0.0, 0.0, 0.0, 1.0)] if kind == "east" else [(0.0, value, 0.0, 1.0, 0.0)]


def _of_angle(points: tuple[str, ...], value: float, p: str, at: Mapping[str, XY]) -> list[Shape]:
    if p != points[1]:
        corner, arm = at[points[1]], at[points[0] if points[2] == p else points[2]]
        if corner == arm:
            return []
        base = _azimuth(corner, arm)
        return [_ray(corner, base + value), _ray(corner, base - value)]
    a, b = at[points[0]], at[points[2]]
    chord = math.dist(a, b)
    if chord < _SMALL:
        return []
    if abs(math.sin(value)) < 1e-6:
        return _line(a, b)
    radius, off = chord / (2.0 * abs(math.sin(value))), 0.5 / math.tan(value)
    middle, d = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0), (b[0] - a[0], b[1] - a[1])
    return [(middle[0] - s * off * d[1], middle[1] + s * off * d[0], radius, 0.0, 0.0) for s in (1.0, -1.0)]


def _of_line(kind: str, points: tuple[str, ...], value: float, p: str, at: Mapping[str, XY]) -> list[Shape]:
    if p == points[0]:
        a, b = at[points[1]], at[points[2]]
        if a == b:
            return []
        base = _azimuth(a, b)
        if kind == "along":
            foot = (a[0] + value * math.sin(base), a[1] + value * math.cos(base))
            return [_ray(foot, base + math.pi / 2.0)]
        side = (value * math.cos(base), -value * math.sin(base))
        return [_ray((a[0] + s * side[0], a[1] + s * side[1]), base) for s in (1.0, -1.0)]
    q, start = at[points[0]], at[points[2] if points[1] == p else points[1]]
    reach = math.dist(q, start)
    if reach < _SMALL or abs(value) > reach or (kind == "along" and p == points[1]):
        return []
    base = _azimuth(start, q)
    turn = math.acos(value / reach) if kind == "along" else math.asin(value / reach)
    return [_ray(start, base + turn), _ray(start, base - turn)]


def miss(observation: Observation, at: Mapping[str, XY], zero: float, signed: bool = True) -> tuple[float, float]:
    """By how much an observation misses the places of its points, and its own standard deviation there [m, m].

    zero
        as in :func:`shapes`. signed: False: sides and senses are not looked at (a figure that may be mirrored).
    Angles count at their shorter arm; what a direction adds is taken at its length.
    """
    kind, value, sigma = observation.kind, observation.value, observation.sigma
    places = [at[name] for name in observation.points]
    if kind == "distance":
        return math.dist(places[0], places[1]) - value, sigma
    if kind in SIGNED_KINDS:
        length = math.dist(places[0], places[1])
        return wrap(_azimuth(places[0], places[1]) - zero - value) * length, sigma * length
    if kind == "angle":
        a, corner, b = places
        arm = min(math.dist(a, corner), math.dist(b, corner))
        turn = _azimuth(corner, b) - _azimuth(corner, a)
        if signed and observation.side == "clockwise":
            return wrap(turn - value) * arm, sigma * arm
        return (abs(wrap(turn)) - abs(wrap(value))) * arm, sigma * arm
    if kind == "parallel":
        a, b, c, d = places
        arm = min(math.dist(a, b), math.dist(c, d))
        return math.remainder(_azimuth(a, b) - _azimuth(c, d), math.pi) * arm, sigma * arm
    if kind in ("east", "north"):
        return places[0][kind == "north"] - value, sigma
    return _line_miss(observation, places, signed), sigma


def _line_miss(observation: Observation, places: list[XY], signed: bool) -> float:
    p, a, b = places
    length = math.dist(a, b)
    if length < _SMALL:
        return math.dist(p, a)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    if observation.kind == "along":
        return (p[0] - a[0]) * ux + (p[1] - a[1]) * uy - observation.value
    left = ux * (p[1] - a[1]) - uy * (p[0] - a[0])
    if observation.kind == "on line" or not (signed and observation.side):
        return abs(left) - observation.value
    return (left if observation.side == "left" else -left) - observation.value


def meet(one: Shape, two: Shape) -> list[XY]:
    """Where two circles or lines meet; where they just do not, the place nearest to both; empty where there is none."""
    if one[2] and two[2]:
        return _circles(one, two)
    if one[2] or two[2]:
        circle, line = (one, two) if one[2] else (two, one)
        x, y = circle[0] - line[0], circle[1] - line[1]
        along, off = x * line[3] + y * line[4], line[3] * y - line[4] * x
        half = math.sqrt(max(0.0, circle[2] ** 2 - off * off))
        steps = (along - half, along + half) if half > _SMALL else (along,)
        return [(line[0] + s * line[3], line[1] + s * line[4]) for s in steps]
    det = one[3] * two[4] - one[4] * two[3]
    if abs(det) < 1e-6:
        return []
    s = ((two[0] - one[0]) * two[4] - (two[1] - one[1]) * two[3]) / det
    return [(one[0] + s * one[3], one[1] + s * one[4])]


def _circles(one: Shape, two: Shape) -> list[XY]:
    x, y = two[0] - one[0], two[1] - one[1]
    d = math.hypot(x, y)
    if d < 1e-6 * (one[2] + two[2]):
        return []
    x, y = x / d, y / d
    along = ((one[2] - two[2]) * (one[2] + two[2]) / d + d) / 2.0
    square = one[2] ** 2 - along * along
    if square <= _SMALL:
        # they do not meet: half way between the two circles, on the line of their centres
        first = one[2] if d + one[2] > two[2] else -one[2]
        second = d - two[2] if d + two[2] > one[2] else d + two[2]
        step = (first + second) / 2.0
        return [(one[0] + step * x, one[1] + step * y)]
    off = math.sqrt(square)
    foot = (one[0] + along * x, one[1] + along * y)
    return [(foot[0] - off * y, foot[1] + off * x), (foot[0] + off * y, foot[1] - off * x)]
