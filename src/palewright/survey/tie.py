"""A point by two tapes from the ends of a base line, and how well it stands."""

from __future__ import annotations

import math

from palewright.errors import Problem, ProblemError
from palewright.notation import show_length
from palewright.record import Record

__all__ = ["SwungTie", "strength_of_figure", "swing_excess", "swung_tie", "tie_gap"]

_REACH = 1e-12


class SwungTie(Record):
    """A point at two taped distances from the ends of a base line.

    along, off
        along the base from its start, and square off it to either side [m, off >= 0]: the tapes do not say which side.
    crossing
        angle between the two tapes at the point [rad, 0 to pi].
    semi_major, semi_minor
        standard ellipse (one sigma) [m]; None where no sigma was given, or where the tapes lie in one line and
        nothing holds the point sideways.
    """

    along: float
    off: float
    crossing: float
    semi_major: float | None
    semi_minor: float | None


def tie_gap(base: float, a: float, b: float) -> float:
    """How far two tapes are from meeting [m]; 0: they meet.

    base
        between the two known points [m], >= 0. a, b: tapes from its start and end [m], >= 0.
    Positive: together too short by so much; negative: one is longer than the other and the base by so much.
    Source: triangle inequality.

    >>> tie_gap(10.0, 4.0, 5.0), tie_gap(10.0, 16.0, 5.0), tie_gap(10.0, 6.0, 8.0)
    (1.0, -1.0, 0.0)
    """
    slack = _REACH * (base + a + b)
    short, long = base - a - b, abs(a - b) - base
    if short > slack:
        return short
    return -long if long > slack else 0.0


def swung_tie(base: float, a: float, b: float, sigma: float | None = None, style: str = "feet-inches") -> SwungTie:
    """Where two tapes swung from the ends of a base line meet.

    base
        between the two known points [m], > 0. a, b: tapes from its start and from its end to the point [m], > 0.
    sigma
        standard deviation of each of the two tapes [m], > 0; the base counts as perfect. style: how a problem writes
        lengths.
    Returns the :class:`SwungTie`: along = (a^2 - b^2 + base^2) / (2 base), off = sqrt(a^2 - along^2); with the crossing
    angle g, h half of the smaller of g and 180 - g, the axes of the ellipse are sigma / (sqrt(2) sin h), which is
    sigma / sqrt(1 - |cos g|), and sigma / (sqrt(2) cos h).
    Raises ProblemError when the tapes do not meet, ValueError outside the ranges. Source: geometry; variance of two
    equal distances. Crossings of 30 to 150 degrees hold, 60 to 120 are good, a third tie proves (common practice).

    >>> tie = swung_tie(5.0, 3.0, 4.0, 0.01)
    >>> round(tie.along, 9), round(tie.off, 9), round(math.degrees(tie.crossing), 6)
    (1.8, 2.4, 90.0)
    """
    if not (base > 0.0 and a > 0.0 and b > 0.0) or (sigma is not None and not sigma > 0.0):
        raise ValueError("base, tapes and sigma are larger than 0")
    if gap := tie_gap(base, a, b):
        raise ProblemError(_cannot_reach(base, a, b, gap, style))
    along = ((a - b) * (a + b) / base + base) / 2.0
    spare = (a + b - base, base + a - b, base - a + b)
    flat = min(spare) <= _REACH * (a + b + base)
    twice_area = 0.0 if flat else math.sqrt(math.prod(spare) * (a + b + base)) / 2.0
    crossing = math.atan2(twice_area, (a * a + b * b - base * base) / 2.0)
    half = min(crossing, math.pi - crossing) / 2.0
    each = None if sigma is None else sigma / math.sqrt(2.0)
    return SwungTie(
        along,
        twice_area / base,
        crossing,
        None if each is None or flat else each / math.sin(half),
        None if each is None else each / math.cos(half),
    )


def _cannot_reach(base: float, a: float, b: float, gap: float, style: str) -> Problem:
    lengths = (a, b, base, abs(gap), abs(base - a), base + a)
    first, second, whole, by, least, most = (show_length(length, style, fraction=16) for length in lengths)
    what = "the two tapes together are shorter than the base" if gap > 0.0 else "one tape is longer than the way round"
    return Problem(
        "tie-cannot-reach",
        f"{what}: they miss each other by {by}",
        found=f"tapes {first} and {second}, base {whole}",
        allowed=f"the other tape between {least} and {most}",
        hint="measure all three again; look for a whole foot misread",
    )


def swing_excess(offset: float, missed: float) -> float:
    """How much too long a swung offset reads where the foot of the perpendicular is missed.

    offset
        true distance square off the line [m], >= 0. missed: along the line [m].
    Returns sqrt(o^2 + m^2) - o [m], never negative: the smallest reading of a swing is the right one.
    Raises ValueError for a negative offset. Source: geometry; swing offsets, Navy training manual EA 14069.

    >>> round((20.0 + swing_excess(20.0, 1.0)), 4)
    20.025
    """
    if not offset >= 0.0:
        raise ValueError("an offset is not negative")
    return math.hypot(offset, missed) - offset


def strength_of_figure(a: float, b: float) -> float:
    """Strength of a single triangle by its two distance angles, in units of the sixth place of logarithms.

    a, b
        angles opposite the known side and the side sought [rad, 0 < angle < pi].
    Returns dA^2 + dA dB + dB^2, with d the change of log sin for one second of arc; the smaller, the stronger. The
    factor (D - C) / D of a larger figure is left to the caller. Raises ValueError outside the range.
    Source: U.S. Coast and Geodetic Survey, strength of figure (formula from memory).

    >>> round(strength_of_figure(math.radians(60.0), math.radians(60.0)), 2)
    4.43
    """
    if not (0.0 < a < math.pi and 0.0 < b < math.pi):
        raise ValueError("distance angles lie between 0 and pi")
    second = math.radians(1.0 / 3600.0) / math.log(10.0) * 1e6
    change_a, change_b = second / math.tan(a), second / math.tan(b)
    return change_a**2 + change_a * change_b + change_b**2
