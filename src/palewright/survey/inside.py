"""How well the distance of a set post from a line is known: the line, the network, the tapes, the string, the hole.

Many points at once, in arrays. Sides may be arcs: an arc keeps its central angle while its ends move.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.plane import Side
from palewright.record import Record
from palewright.survey.risk import ELLIPSE_95

__all__ = ["Nearest", "nearest_sides", "offset_rows", "propagate", "record_line_sigma", "share_sigma", "string_sigma"]

Floats = NDArray[np.float64]
_LIMIT_M, _PER_LENGTH = 0.07 * 0.3048, 50e-6


class Nearest(Record):
    """For each point: number of its nearest side (from 0), the nearest place on it [m], and how far that is [m]."""

    side: NDArray[np.int64]
    foot: Floats
    far: Floats


def nearest_sides(points: Floats, sides: Sequence[Side]) -> Nearest:
    """The nearest side of a ring for each of many points, exact for arcs.

    points
        (n, 2) [m]. sides: at least one.
    Raises ValueError for another shape or no side. Of sides equally near the first counts. Source: geometry.

    >>> found = nearest_sides(np.array([[3.0, 1.0]]), [Side((0.0, 0.0), (10.0, 0.0)), Side((10.0, 0.0), (0.0, 9.0))])
    >>> int(found.side[0]), found.foot[0].tolist(), float(found.far[0])
    (0, [3.0, 0.0], 1.0)
    """
    if points.ndim != 2 or points.shape[1] != 2 or not sides:
        raise ValueError("points are rows of east and north, and there is at least one side")
    best = Nearest(np.zeros(len(points), np.int64), np.zeros_like(points), np.full(len(points), np.inf))
    for k, side in enumerate(sides):
        foot = _foot_on_arc(points, side) if side.sweep else _foot_on_line(points, side)
        far = np.hypot(points[:, 0] - foot[:, 0], points[:, 1] - foot[:, 1])
        nearer = far < best.far
        best.side[nearer] = k
        best.foot[nearer] = foot[nearer]
        best.far[nearer] = far[nearer]
    return best


def _foot_on_line(points: Floats, side: Side) -> Floats:
    a, d = np.array(side.a), np.subtract(side.b, side.a)
    size2 = float(d @ d)
    t = np.clip((points - a) @ d / size2, 0.0, 1.0) if size2 > 0.0 else np.zeros(len(points))
    return np.asarray(a + t[:, None] * d)


def _foot_on_arc(points: Floats, side: Side) -> Floats:
    """Toward the centre of the circle where the arc is there, else the nearer end."""
    centre, a, b = np.array(side.centre), np.array(side.a), np.array(side.b)
    v = points - centre
    far = np.hypot(v[:, 0], v[:, 1])
    on = centre + v * (side.radius / np.where(far > 0.0, far, 1.0))[:, None]
    chord, w = b - a, on - a
    beyond = (chord[0] * w[:, 1] - chord[1] * w[:, 0]) * side.sweep < 0.0
    to_a, to_b = np.hypot(*(points - a).T), np.hypot(*(points - b).T)
    ends = np.where((to_a <= to_b)[:, None], a, b)
    return np.asarray(np.where((beyond & (far > 0.0))[:, None], on, ends))


def offset_rows(points: Floats, foot: Floats, side: Side) -> tuple[Floats, Floats, Floats]:
    """How the distance of points from a side changes as the point and both ends of the side move.

    points, foot
        (n, 2): points, and the nearest place on the side of each [m].
    Returns three (n, 2) arrays of derivatives: to the point (n, the unit vector from the foot to it; square to the
    chord where it stands on the line), to the start -n (I - M), to the end -n M. M turns and stretches the chord into
    the foot: z = (foot - a) / (b - a) as complex numbers, so that an arc keeps its central angle; on a straight side
    z = t, the share of its length. Raises ValueError for a side whose ends are one place. Source: differentiation at
    the foot, where the distance is least.

    >>> rows = offset_rows(np.array([[50.0, 1.0]]), np.array([[50.0, 0.0]]), Side((0.0, 0.0), (100.0, 0.0)))
    >>> [(row[0] + 0.0).tolist() for row in rows]
    [[0.0, 1.0], [0.0, -0.5], [0.0, -0.5]]
    """
    chord = complex(side.b[0] - side.a[0], side.b[1] - side.a[1])
    if chord == 0.0:
        raise ValueError("the ends of a side are not one place")
    away = points - foot
    far = np.hypot(away[:, 0], away[:, 1])
    square = np.array([-chord.imag, chord.real]) / abs(chord)
    normal = np.where((far > 1e-9)[:, None], away / np.where(far > 1e-9, far, 1.0)[:, None], square)
    z = ((foot[:, 0] - side.a[0]) + 1j * (foot[:, 1] - side.a[1])) / chord
    turned = np.stack(
        (normal[:, 0] * z.real + normal[:, 1] * z.imag, normal[:, 1] * z.real - normal[:, 0] * z.imag), axis=1
    )
    return normal, turned - normal, -turned


def propagate(rows: Floats, covariance: Floats) -> Floats:
    """Standard deviation of many numbers: sqrt(J C J') of each row J.

    rows
        (n, k). covariance: (k, k), in the same order [m2].
    Returns (n,) [m]. Raises ValueError where the shapes do not fit. Source: propagation of variance.

    >>> propagate(np.array([[3.0, 4.0]]), np.eye(2)).tolist()
    [5.0]
    """
    if rows.ndim != 2 or covariance.shape != (rows.shape[1], rows.shape[1]):
        raise ValueError("a covariance has a row and a column for each derivative")
    return np.asarray(np.sqrt(np.maximum(np.einsum("ij,ij->i", rows @ covariance, rows), 0.0)))


def record_line_sigma(length: float) -> float:
    """How well a line between two found corners of a record is known across itself, at the limit of the standard.

    length
        of the side [m], >= 0.
    Returns (0.07 ft + 50 ppm of the length) / 2.4477 [m]; 0.07 ft is the larger of the two limits that the standard
    names. A record older or poorer than a licensed survey of that standard may be worse. Raises ValueError for a
    negative length. Source: ALTA/NSPS Minimum Standard Detail Requirements 2021, section 3.E.

    >>> round(record_line_sigma(30.48) / 0.3048, 4)
    0.0306
    """
    if not length >= 0.0:
        raise ValueError("a length is not negative")
    return (_LIMIT_M + _PER_LENGTH * length) / ELLIPSE_95


def share_sigma(share: Floats, first: Floats, last: Floats) -> Floats:
    """Standard deviation of a place on a string whose two ends were set apart from each other.

    share
        of the length of the string, 0 at its first end. first, last: of the ends [m], >= 0.
    Returns sqrt(((1 - v) first)^2 + (v last)^2) [m]. Raises ValueError for a negative one.
    Source: propagation of variance.

    >>> share_sigma(np.array([0.0, 0.5]), np.array([1.0, 1.0]), np.array([2.0, 1.0])).round(4).tolist()
    [1.0, 0.7071]
    """
    if np.any(first < 0.0) or np.any(last < 0.0):
        raise ValueError("a standard deviation is not negative")
    return np.hypot((1.0 - share) * first, share * last)


def string_sigma(along: Floats, across: float, taped: Floats) -> Floats:
    """Standard deviation, square to a line, of a mark made on a string.

    along
        cosine of the angle between the string and the square to the line. across: of the distance square to the string
        [m]; taped: of the tape laid along it, at each mark [m]; both >= 0.
    Returns sqrt((1 - c^2) across^2 + c^2 taped^2) [m]. Raises ValueError for a negative one.
    Source: propagation of variance.

    >>> string_sigma(np.array([0.0, 1.0]), 0.5, np.array([2.0, 2.0])).tolist()
    [0.5, 2.0]
    """
    if across < 0.0 or np.any(taped < 0.0):
        raise ValueError("a standard deviation is not negative")
    c2 = np.clip(along * along, 0.0, 1.0)
    return np.sqrt((1.0 - c2) * across**2 + c2 * taped**2)
