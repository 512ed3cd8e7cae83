"""Circular curves of a deed: any two of radius, central angle, arc, chord and tangent give the rest."""

from __future__ import annotations

import math
from collections.abc import Callable

from palewright.errors import Problem, ProblemError
from palewright.record import Record

__all__ = ["PARTS_AGREE_M", "PARTS_SHARE", "CurveShape", "Difference", "curve_from_parts", "radius_of_degree"]

PARTS_AGREE_M = 0.006096
"""Parts of one curve agree within 0.02 ft [m]: two lengths printed to 0.01 ft and rounded (our own choice)."""
_HALF_M = 0.001524
"""Half of the last figure of a length printed to 0.01 ft [m]."""
PARTS_SHARE = 1.0 / 50.0
"""Parts that disagree by more than this share of the arc are taken for a typing error, as closures are (our own)."""


class CurveShape(Record):
    """A circular curve by its radius [m, > 0] and central angle [rad, 0 to 2 pi, both excluded].

    >>> curve = CurveShape(40.0, math.radians(60.0))
    >>> [round(x, 4) for x in (curve.arc_m, curve.tangent_m, curve.chord_m, curve.middle_m, curve.external_m)]
    [41.8879, 23.094, 40.0, 5.359, 6.188]
    """

    radius_m: float
    delta: float

    @property
    def arc_m(self) -> float:
        """Length along the curve [m]: L = R delta."""
        return self.radius_m * self.delta

    @property
    def chord_m(self) -> float:
        """Long chord [m]: C = 2 R sin(delta / 2)."""
        return 2.0 * self.radius_m * math.sin(self.delta / 2.0)

    @property
    def tangent_m(self) -> float:
        """From its beginning to where its tangents meet [m]: T = R tan(delta / 2); inf from 180 degrees."""
        return self.radius_m * math.tan(self.delta / 2.0) if self.delta < math.pi else math.inf

    @property
    def middle_m(self) -> float:
        """Greatest distance between chord and curve [m]: M = R (1 - cos(delta / 2))."""
        return self.radius_m * (1.0 - math.cos(self.delta / 2.0))

    @property
    def external_m(self) -> float:
        """From where the tangents meet to the curve [m]: E = R (1 / cos(delta / 2) - 1); inf from 180 degrees."""
        return self.radius_m * (1.0 / math.cos(self.delta / 2.0) - 1.0) if self.delta < math.pi else math.inf

    @property
    def segment_m2(self) -> float:
        """Area between chord and curve [m2]: R^2 (delta - sin delta) / 2."""
        return self.radius_m**2 * (self.delta - math.sin(self.delta)) / 2.0


class Difference(Record):
    """A part that a deed gives over and above two others: its value as given and by the others; ``off_m`` apart [m].

    part
        "central angle" (both values [rad]), "arc", "chord", "tangent" or "degree of curve" (the radius by it) [m].
        ``off_m`` is measured along the curve where the part is no length along it.
    """

    part: str
    given: float
    computed: float
    off_m: float


def radius_of_degree(degree: float, by: str, station_m: float) -> float:
    """Radius of a curve from its degree of curve [m].

    degree
        degree of curve [rad, 0 to pi]. by: "arc" (the angle over an arc of one station) or "chord" (over a chord).
    station_m
        one station: 100 ft of the foot of the deed [m], > 0.
    Returns station / degree (5729.578 ft / D for an arc of 100 ft), or station / (2 sin(degree / 2)) by the chord.
    Raises ValueError for another definition or a degree that is none.
    Source: US Army FM 5-430-00-1, appendix F (arc and chord definition).

    >>> round(radius_of_degree(math.radians(15.0), "arc", 100.0), 3)
    381.972
    >>> round(radius_of_degree(math.radians(15.0), "chord", 100.0), 3)
    383.065
    """
    if not 0.0 < degree < math.pi or not station_m > 0.0:
        raise ValueError("a degree of curve lies between 0 and 180 degrees")
    if by == "arc":
        return station_m / degree
    if by == "chord":
        return station_m / (2.0 * math.sin(degree / 2.0))
    raise ValueError("a degree of curve is by the arc or by the chord")


def curve_from_parts(
    radius_m: float | None = None,
    delta: float | None = None,
    arc_m: float | None = None,
    chord_m: float | None = None,
    tangent_m: float | None = None,
    degree_radius_m: float | None = None,
) -> tuple[CurveShape, tuple[Difference, ...]]:
    """A curve from any two of its parts, and how the parts beyond two differ from it.

    radius_m, arc_m, chord_m, tangent_m
        [m], > 0, or None. delta: central angle [rad, 0 to 2 pi], or None. degree_radius_m: the radius that a degree of
        curve gives, see :func:`radius_of_degree`; it counts as the radius where no radius is given.
    Returns the shape and every part that was given too and is off by more than :data:`PARTS_AGREE_M`; what is off by
    more than :data:`PARTS_SHARE` of the arc is a typing error, and the caller's to refuse.
    Raises ProblemError: ``curve-parts-missing`` for fewer than two, ``curve-impossible`` for two that no circle has
    (a chord longer than the arc or than twice the radius, ...).
    L = R delta, C = 2 R sin(delta / 2), T = R tan(delta / 2); from L and C, or L and T, delta by bisection. A chord
    with a radius is taken for the smaller arc unless another part says that it is the larger one. Of radius, arc and
    delta the delta is kept as written where it explains the arc to its last figure: a curve is designed by radius and
    delta, its arc computed and rounded (a quarter circle stays 90 degrees). Where it does not, delta is the one that
    was rounded more, as to a minute in old deeds, and the arc is taken.
    Source: route surveying textbooks; which part is rounded: common practice, from memory.

    >>> curve, _ = curve_from_parts(radius_m=50.0, chord_m=38.94)
    >>> round(math.degrees(curve.delta), 4), round(curve.segment_m2, 2)
    (45.8343, 103.29)
    """
    radius_m, degree_radius_m = (degree_radius_m, None) if radius_m is None else (radius_m, degree_radius_m)
    given = {"radius": radius_m, "central angle": delta, "arc": arc_m, "chord": chord_m, "tangent": tangent_m}
    parts = {name: value for name, value in given.items() if value is not None}
    for name, value in parts.items():
        if not (math.isfinite(value) and value > 0.0) or (name == "central angle" and value >= 2.0 * math.pi):
            raise _impossible(
                f"a {name} has to be larger than 0" + (" and less than a full turn" if name[0] == "c" else "")
            )
    pair = next((names for names in _WAYS if all(name in parts for name in names)), None)
    if pair is None:
        raise ProblemError(
            Problem(
                "curve-parts-missing",
                "two parts of a curve give the rest, and fewer are given",
                found=", ".join(parts) or "none",
                allowed="two of radius (or degree of curve), delta, arc, chord, tangent",
                hint="look the other parts up in the deed or on the plat",
            )
        )
    if pair == ("radius", "arc") and _explains(parts["radius"], parts.get("central angle", 0.0), parts["arc"]):
        pair = ("radius", "central angle")
    shape = _WAYS[pair](parts[pair[0]], parts[pair[1]])
    return shape, _differences(shape, parts, pair, degree_radius_m)


def _explains(radius: float, delta: float, arc: float) -> bool:
    """Whether radius and central angle give the arc to within what its own rounding and that of the radius leave."""
    return abs(radius * delta - arc) <= _HALF_M * (1.0 + delta) * (1.0 + 1e-9)


def _impossible(why: str) -> ProblemError:
    return ProblemError(
        Problem(
            "curve-impossible", f"no curve has these parts: {why}", hint="check the figures of the curve in the deed"
        )
    )


def _by_radius_chord(radius: float, chord: float) -> CurveShape:
    if chord > 2.0 * radius * (1.0 + 1e-12):
        raise _impossible("the chord is longer than twice the radius")
    return CurveShape(radius, 2.0 * math.asin(min(chord / (2.0 * radius), 1.0)))


def _by_radius_arc(radius: float, arc: float) -> CurveShape:
    if arc >= 2.0 * math.pi * radius:
        raise _impossible("the arc is longer than the whole circle")
    return CurveShape(radius, arc / radius)


def _by_delta_tangent(delta: float, tangent: float) -> CurveShape:
    if delta >= math.pi:
        raise _impossible("tangents do not meet on a curve of 180 degrees or more")
    return CurveShape(tangent / math.tan(delta / 2.0), delta)


def _by_arc_chord(arc: float, chord: float) -> CurveShape:
    if chord >= arc:
        raise _impossible("the chord is not shorter than the arc")
    half = _bisect(lambda x: chord / arc - math.sin(x) / x, math.pi)
    return CurveShape(arc / (2.0 * half), 2.0 * half)


def _by_arc_tangent(arc: float, tangent: float) -> CurveShape:
    if 2.0 * tangent <= arc:
        raise _impossible("twice the tangent is not longer than the arc")
    half = _bisect(lambda x: math.tan(x) / x - 2.0 * tangent / arc, math.pi / 2.0)
    return CurveShape(arc / (2.0 * half), 2.0 * half)


def _by_chord_tangent(chord: float, tangent: float) -> CurveShape:
    if chord >= 2.0 * tangent:
        raise _impossible("twice the tangent is not longer than the chord")
    half = math.acos(chord / (2.0 * tangent))
    return CurveShape(tangent / math.tan(half), 2.0 * half)


_WAYS: dict[tuple[str, str], Callable[[float, float], CurveShape]] = {
    ("radius", "arc"): _by_radius_arc,
    ("radius", "central angle"): CurveShape,
    ("arc", "central angle"): lambda arc, delta: CurveShape(arc / delta, delta),
    ("radius", "tangent"): lambda radius, tangent: CurveShape(radius, 2.0 * math.atan(tangent / radius)),
    ("radius", "chord"): _by_radius_chord,
    ("chord", "central angle"): lambda chord, delta: CurveShape(chord / (2.0 * math.sin(delta / 2.0)), delta),
    ("central angle", "tangent"): _by_delta_tangent,
    ("arc", "chord"): _by_arc_chord,
    ("arc", "tangent"): _by_arc_tangent,
    ("chord", "tangent"): _by_chord_tangent,
}
"""Pairs of parts, the surest first: the first pair of which both are given makes the curve."""


def _bisect(rising: Callable[[float], float], high: float) -> float:
    """Where a function that rises between 0 and ``high`` is 0, to the last digit."""
    low = 0.0
    while True:
        middle = (low + high) / 2.0
        if middle in (low, high):
            return middle
        if rising(middle) < 0.0:
            low = middle
        else:
            high = middle


def _differences(
    shape: CurveShape, parts: dict[str, float], pair: tuple[str, str], degree_radius: float | None
) -> tuple[Difference, ...]:
    computed = {
        "central angle": shape.delta,
        "arc": shape.arc_m,
        "chord": shape.chord_m,
        "tangent": shape.tangent_m,
    }
    found = []
    if degree_radius is not None:
        off = abs(shape.radius_m / degree_radius - 1.0) * shape.arc_m
        found.append(Difference("degree of curve", degree_radius, shape.radius_m, off))
    for name, value in parts.items():
        if name in pair:
            continue
        off = abs(value - computed[name])
        if name == "central angle":
            off *= shape.radius_m
        elif name == "tangent":
            # along the curve: the same tangent error means less and less as the curve nears half a circle
            off = abs(2.0 * math.atan(value / shape.radius_m) - shape.delta) * shape.radius_m
        found.append(Difference(name, value, computed[name], off))
    return tuple(difference for difference in found if difference.off_m > PARTS_AGREE_M)
