"""Triangles that make or prove a corner, and what an error in them does."""

from __future__ import annotations

import math

from palewright.errors import Problem, ProblemError
from palewright.notation import show_length
from palewright.record import Record
from palewright.tables import tape_table

__all__ = ["Square", "chord", "diagonal_tolerance", "inside_angle", "square", "tape_tolerance", "turn_sigma"]


class Square(Record):
    """A triangle of two legs: diagonal [m], turn that an error makes [rad], and how far that moves the end [m]."""

    diagonal_m: float
    turn: float
    sideways_m: float


def chord(leg_a: float, leg_b: float, angle: float) -> float:
    """Distance between the ends of two legs.

    leg_a, leg_b
        legs from the corner [m], > 0. angle: between them [rad, 0 to pi].
    Returns the distance [m]. Raises ValueError outside these ranges.
    c^2 = (a - b)^2 + 4 a b sin^2(angle / 2): the law of cosines in a form that keeps its digits. Source: geometry.

    >>> chord(3.0, 4.0, math.pi / 2)
    5.0
    """
    _legs(leg_a, leg_b)
    if not 0.0 <= angle <= math.pi:
        raise ValueError("the angle lies between 0 and pi")
    return math.hypot(leg_a - leg_b, 2.0 * math.sqrt(leg_a * leg_b) * math.sin(angle / 2.0))


def inside_angle(leg_a: float, leg_b: float, diagonal: float) -> float:
    """Angle between two legs from all three sides of the triangle.

    leg_a, leg_b
        legs [m], > 0. diagonal: between their ends [m], from |a - b| to a + b.
    Returns the angle [rad]. Raises ProblemError when no triangle has these sides.
    angle = 2 atan sqrt((c^2 - (a - b)^2) / ((a + b)^2 - c^2)). Source: geometry (half-angle formula).

    >>> round(math.degrees(inside_angle(3.0, 4.0, 5.0)), 9)
    90.0
    """
    _legs(leg_a, leg_b)
    over = (diagonal - leg_a + leg_b) * (diagonal + leg_a - leg_b)
    under = (leg_a + leg_b - diagonal) * (leg_a + leg_b + diagonal)
    if over < 0.0 or under < 0.0:
        raise ProblemError(
            Problem(
                "triangle-impossible",
                "no triangle has these three sides",
                found=f"legs {_say(leg_a)} and {_say(leg_b)}, diagonal {_say(diagonal)}",
                allowed=f"a diagonal between {_say(abs(leg_a - leg_b))} and {_say(leg_a + leg_b)}",
                hint="check the error of the diagonal and the units",
            )
        )
    return 2.0 * math.atan2(math.sqrt(over), math.sqrt(under))


def _say(length_m: float) -> str:
    return show_length(length_m, fraction=16)


def square(leg_a: float, leg_b: float, angle: float = math.pi / 2.0, error: float = 0.0, run: float = 0.0) -> Square:
    """Diagonal between the ends of two legs, and what holding it wrongly does.

    leg_a, leg_b
        legs [m], > 0. angle: between them [rad, 0 < angle < pi].
    error
        how much too long the diagonal is held [m]; negative: too short.
    run
        how far the second leg runs on from the corner [m], >= 0.
    Returns the diagonal [m], the change of the angle worked out from the three sides as held [rad], and
    run x tan(change) [m]. Raises ValueError outside the ranges, ProblemError when no triangle has the sides as held, or
    when they turn the second leg by a right angle or more: it then runs no longer on.
    Source: geometry (law of cosines).

    >>> answer = square(6.0, 8.0, error=0.125 / 12, run=100.0)
    >>> round(math.degrees(answer.turn), 4), round(answer.sideways_m * 12, 3)
    (0.1244, 2.606)
    """
    if not 0.0 < angle < math.pi:
        raise ValueError("the angle lies between 0 and pi")
    if run < 0.0:
        raise ValueError("a run is not negative")
    diagonal = chord(leg_a, leg_b, angle)
    turn = inside_angle(leg_a, leg_b, diagonal + error) - angle if error else 0.0
    if abs(turn) >= math.pi / 2.0 - 1e-9:
        raise ProblemError(
            Problem(
                "turned-too-far",
                "so wrong a diagonal turns the second leg by a right angle or more",
                found=f"{math.degrees(turn):.1f}\u00b0",
                allowed="less than 90\u00b0",
                hint="check the unit of the error",
            )
        )
    return Square(diagonal, turn, run * math.tan(turn))


def turn_sigma(leg_a: float, leg_b: float, sigma: float, angle: float = math.pi / 2.0) -> float:
    """Standard deviation of an angle set by three taped sides.

    leg_a, leg_b
        legs [m], > 0. sigma: standard deviation of each of the three sides [m], >= 0.
    angle
        between the legs [rad, 0 < angle < pi].
    Returns [rad]. Raises ValueError outside the ranges.
    sin(angle) a b d(angle) = c dc - (a - b cos) da - (b - a cos) db; at a right angle
    sigma sqrt(a^2 + b^2 + c^2) / (a b). Source: geometry (law of cosines, differentiated).

    >>> round(math.degrees(turn_sigma(6.0, 8.0, 0.125 / 12)) * 60, 2)
    10.55
    """
    _legs(leg_a, leg_b)
    if not 0.0 < angle < math.pi or sigma < 0.0:
        raise ValueError("the angle lies between 0 and pi, and a standard deviation is not negative")
    c, cos = chord(leg_a, leg_b, angle), math.cos(angle)
    size = math.hypot(c, leg_a - leg_b * cos, leg_b - leg_a * cos)
    return sigma * size / (leg_a * leg_b * math.sin(angle))


def diagonal_tolerance(leg_a: float, leg_b: float, angle: float, far: float, sideways: float) -> float:
    """How much the diagonal may be off before the far end of a leg moves by ``sideways``.

    leg_a, leg_b
        legs of the triangle [m], > 0. angle: between them [rad, 0 < angle < pi].
    far
        length of the leg whose end moves [m], > 0. sideways: how far it may move [m], >= 0.
    Returns a b sin(angle) / c x sideways / far [m]. Raises ValueError outside the ranges. Source: geometry.

    >>> round(diagonal_tolerance(9.0, 12.0, math.pi / 2, 60.0, 0.5), 4)
    0.06
    """
    _legs(leg_a, leg_b)
    if far <= 0.0 or sideways < 0.0 or not 0.0 < angle < math.pi:
        raise ValueError("the far leg is longer than 0, and the angle lies between 0 and pi")
    return leg_a * leg_b * math.sin(angle) / chord(leg_a, leg_b, angle) * sideways / far


def tape_tolerance(length: float) -> float:
    """How far off a steel tape itself may be at a reading: no check by tape proves more than this.

    length
        reading [m], >= 0. Beyond the last row of the table (100 ft) whole hundreds of feet and the rest are added up.
    Returns [m]. Raises ValueError for a negative length. Source: nist-hb44, tolerances of metal tapes.

    >>> [round(tape_tolerance(feet * 0.3048) / 0.0254, 6) for feet in (6, 30, 31, 87, 116)]
    [0.03125, 0.0625, 0.125, 0.25, 0.3125]
    """
    if length < 0.0:
        raise ValueError("a length is not negative")
    rows = tape_table()
    longest, most = rows[-1]
    whole = max(0, math.ceil(length / longest - 1e-9) - 1)
    rest = length - whole * longest
    return whole * most + next(off for reach, off in rows if rest <= reach + 1e-6)


def _legs(leg_a: float, leg_b: float) -> None:
    if not (leg_a > 0.0 and leg_b > 0.0):
        raise ValueError("a leg is longer than 0")
