"""The marks of the tape that the crew reads, and what one reading by them is worth."""

from __future__ import annotations

import math

from palewright.model import CornerCheck, Mark, Settings, StringLine, Tie

__all__ = ["check_verdict", "expected_on_tape", "mark_m", "reading_sigma", "to_post"]

_HAIR_M = 1e-6


def mark_m(settings: Settings) -> float:
    """From mark to mark of the tape, as the job prints [m]: a part of an inch, a hundredth of a foot, a millimetre."""
    if settings.print_style == "metric":
        return 0.001
    return 0.003048 if settings.print_style == "decimal-feet" else 0.0254 / settings.fraction


def reading_sigma(mark: float) -> float:
    """Standard deviation of one reading to the nearest mark [m].

    mark
        from mark to mark [m], >= 0.
    Returns mark / (2 sqrt 3): anywhere within half a mark either way is as likely. Raises ValueError for a
    negative one.
    Source: jcgm-100, 4.3.7 and F.2.2.1.

    >>> round(reading_sigma(0.0254 / 8) * 1000, 3)
    0.917
    """
    if not mark >= 0.0:
        raise ValueError("marks are not a negative length apart")
    return mark / (2.0 * math.sqrt(3.0))


def expected_on_tape(expected: float, mark: float) -> int:
    """The mark that is nearest to an expected length: how many marks from zero."""
    return math.floor(expected / mark + 0.5 + 1e-9)


def to_post(string: StringLine, mark: Mark) -> float:
    """What is read square off a string to one of its posts [m]: to its own near face, else to its centre."""
    if mark.face_m is not None:
        return mark.face_m
    return string.offset_m if mark.offset_m is None else mark.offset_m


def check_verdict(check: Tie | CornerCheck, off: float) -> str:
    """Whether a check passed.

    off
        what was read, less what was expected as its paper prints it [m].
    Returns "passed" within its tolerance; "explained" where the points that it hangs on may be as far off;
    else "failed".
    """
    if abs(off) <= check.tolerance_m + _HAIR_M:
        return "passed"
    most = check.most_off_m if check.known_m is not None and check.known_m > check.tolerance_m else None
    return "explained" if most is not None and abs(off) <= most + _HAIR_M else "failed"
