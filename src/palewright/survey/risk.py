"""How far inside a line a thing stands, how well that is known, and what inset a chosen risk asks for.

There is no general legal tolerance for what stands over a line. These figures say what measuring error alone does; they
prove no line and no post.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from palewright.plane import XY, distance, project, sub, unit
from palewright.record import Record

__all__ = [
    "ELLIPSE_95",
    "LineOffset",
    "RelativePrecision",
    "angular_limit",
    "crossing_chance",
    "inset_for_risk",
    "line_offset",
    "relative_precision",
    "semi_axes",
]

Matrix = NDArray[np.float64]

ELLIPSE_95 = math.sqrt(-2.0 * math.log(0.05))
"""Standard ellipse to 95 % ellipse where the standard deviations are known: 2.4477."""

_LIMITS_M = (0.02, 0.07 * 0.3048)
_PER_LENGTH = 50e-6


class LineOffset(Record):
    """A point beside a line: along it from its start, off it (left positive), and the standard deviation of off [m]."""

    along: float
    off: float
    sigma: float


def line_offset(p: XY, a: XY, b: XY, covariance: Matrix) -> LineOffset:
    """How far a point is from the line through two others, and how well that is known.

    p, a, b
        the point and the two ends of the line [m]; the ends are not one place.
    covariance
        of (p, a, b) together: 6 x 6, order east, north of each [m2]. Independent points: blocks on the diagonal.
    Returns the :class:`LineOffset`; its variance is J C J' with J = (n, -n (1 - t), -n t), n the unit vector to the
    left of the line and t = along / length: beyond the ends the line is worse. Raises ValueError for a matrix of
    another shape or a line without length. Source: propagation of variance.

    >>> flat = line_offset((50.0, 1.0), (0.0, 0.0), (100.0, 0.0), np.eye(6) * 1e-4)
    >>> round(flat.off, 6), round(flat.sigma, 6)
    (1.0, 0.012247)
    """
    if covariance.shape != (6, 6):
        raise ValueError("the covariance of point, start and end is 6 x 6")
    along, off = project(p, a, b)
    t = along / distance(a, b)
    d = unit(sub(b, a))
    normal = np.array([-d[1], d[0]])
    row = np.concatenate((normal, -normal * (1.0 - t), -normal * t))
    return LineOffset(along, off, math.sqrt(max(0.0, float(row @ covariance @ row))))


def crossing_chance(inside: float, sigma: float) -> float:
    """Chance that a thing measured to stand inside a line really stands over it.

    inside
        measured distance of its nearest edge from the line, inside positive [m]. sigma: of that distance [m], >= 0.
    Returns the chance by measuring error alone, 0 to 1 (a half at 0). Raises ValueError for a negative sigma.
    Source: normal distribution.

    >>> round(crossing_chance(2.326, 1.0), 3)
    0.01
    """
    if not sigma >= 0.0:
        raise ValueError("a standard deviation is not negative")
    if sigma == 0.0:
        return 0.5 if inside == 0.0 else float(inside < 0.0)
    from statistics import NormalDist

    return NormalDist().cdf(-inside / sigma)


def inset_for_risk(risk: float, sigma: float, half: float = 0.0) -> float:
    """Distance from the line at which to set a centre so that measuring error crosses it with a chosen chance.

    risk
        chance that the person accepts [0 < risk < 0.5]; there is no default, and none is right for everyone.
    sigma
        of the distance from the line [m], >= 0. half: from the centre to the face or footing edge nearest the line [m].
    Returns z sigma + half [m]. Raises ValueError outside the ranges. Source: normal distribution, one side.

    >>> round(inset_for_risk(0.01, 0.0366) * 12, 2)
    1.02
    """
    if not 0.0 < risk < 0.5:
        raise ValueError("the risk lies between 0 and a half")
    if not (sigma >= 0.0 and half >= 0.0):
        raise ValueError("a standard deviation and half a width are not negative")
    from statistics import NormalDist

    return NormalDist().inv_cdf(1.0 - risk) * sigma + half


def semi_axes(covariance: Matrix) -> tuple[float, float]:
    """Long and short half axis of the standard ellipse of a 2 x 2 covariance [m2], one sigma [m].

    Raises ValueError for another shape. Source: eigenvalues.

    >>> semi_axes(np.diag([9.0, 4.0]))
    (3.0, 2.0)
    """
    if covariance.shape != (2, 2):
        raise ValueError("the covariance of a point is 2 x 2")
    mean, half = (covariance[0, 0] + covariance[1, 1]) / 2.0, (covariance[0, 0] - covariance[1, 1]) / 2.0
    reach = math.hypot(half, (covariance[0, 1] + covariance[1, 0]) / 2.0)
    return math.sqrt(max(0.0, mean + reach)), math.sqrt(max(0.0, mean - reach))


class RelativePrecision(Record):
    """Relative positional precision of two corners.

    semi_major_95
        long half axis of the 95 % ellipse of one corner relative to the other [m].
    limit_2cm, limit_007ft
        2 cm + 50 ppm and 0.07 ft + 50 ppm of the distance [m]: the standard names both, and they are not the same.
    """

    semi_major_95: float
    limit_2cm: float
    limit_007ft: float

    @property
    def within(self) -> tuple[bool, bool]:
        """Whether it keeps the limit, by 2 cm and by 0.07 ft."""
        return self.semi_major_95 <= self.limit_2cm, self.semi_major_95 <= self.limit_007ft


def relative_precision(a: XY, b: XY, covariance: Matrix) -> RelativePrecision:
    """Relative positional precision between two adjacent corners.

    a, b
        the corners [m]. covariance: of (a, b) together, 4 x 4, order east, north of each [m2].
    Returns the :class:`RelativePrecision`: the covariance of the difference is A + B - AB - BA; its long half axis
    times 2.4477. Raises ValueError for another shape.
    Source: ALTA/NSPS Minimum Standard Detail Requirements 2021, section 3.E.

    >>> answer = relative_precision((0.0, 0.0), (100.0, 0.0), np.eye(4) * 5e-5)
    >>> round(answer.semi_major_95, 5), round(answer.limit_2cm, 4), round(answer.limit_007ft, 5)
    (0.02448, 0.025, 0.02634)
    """
    if covariance.shape != (4, 4):
        raise ValueError("the covariance of two corners is 4 x 4")
    split = covariance[:2, :2] + covariance[2:, 2:] - covariance[:2, 2:] - covariance[2:, :2]
    ppm = _PER_LENGTH * distance(a, b)
    return RelativePrecision(ELLIPSE_95 * semi_axes(split)[0], _LIMITS_M[0] + ppm, _LIMITS_M[1] + ppm)


def angular_limit(per_angle: float, angles: int) -> float:
    """Largest angular misclosure allowed for a loop of so many angles.

    per_angle
        limit for one angle [rad], >= 0. angles: how many, >= 1.
    Returns limit x sqrt(angles) [rad]. Raises ValueError outside the ranges. Source: Washington Administrative Code
    332-130-090 (10 seconds in cities, 30 for lots); North Carolina Administrative Code 21-56.1603 (20 for class A).

    >>> round(math.degrees(angular_limit(math.radians(30 / 3600), 4)) * 3600, 6)
    60.0
    """
    if not per_angle >= 0.0 or angles < 1:
        raise ValueError("a limit is not negative, and there is at least one angle")
    return per_angle * math.sqrt(angles)
