"""Marks of posts between two fixed ones with nothing in the way, for whoever asks for no more than that."""

from __future__ import annotations

import math

from palewright.errors import Problem, ProblemError
from palewright.layout.bays import MOST_BAYS, TOLERANCE_M, BayRules, eased, fewest_bays, whole_bays
from palewright.notation import show_length

__all__ = ["spacing"]


def spacing(
    length_m: float, longest_m: float, shortest_m: float = 0.0, rule: str = "even", grade: float | None = None
) -> tuple[float, ...]:
    """Marks of the posts between two fixed ones with nothing in the way, from 0 to the length [m].

    length_m
        level, between the centres of the end posts [m], > 0.
    longest_m, shortest_m
        limits of a bay [m]: level, or measured along the slope where ``grade`` (rise over run) is given; the
        level bay is then the bay along the slope times the cosine of the slope.
    rule
        "even"; "short-last" (whole bays, the last one short; none where they divide); "short-both" (fewest bays: whole
        ones centred between two equal shorter ones). A last bay below ``shortest_m`` shares with its neighbours.
    Raises ProblemError when a value is out of range or no division keeps both limits. Source: geometry.

    >>> len(spacing(30.48, 2.4384)) - 1
    13
    """
    slope = 1.0 if grade is None else 1.0 / math.hypot(1.0, grade)
    longest, shortest = longest_m * slope, shortest_m * slope
    _check_spacing(length_m, longest, shortest, rule)
    longest = eased(length_m, BayRules(longest)).longest_m
    bays = fewest_bays(length_m, longest)
    marks: list[float] | None
    if rule == "even":
        fits = length_m / bays >= shortest - TOLERANCE_M
        marks = [*(length_m * k / bays for k in range(bays)), length_m] if fits else None
    else:
        marks = whole_bays(length_m, longest, shortest, rule.replace("-", " "))
    if marks is None:
        raise ProblemError(
            Problem(
                "no-spacing",
                "no number of bays keeps both limits",
                found=f"{bays} {'bay' if bays == 1 else 'bays'} of {_say(length_m / bays)} in {_say(length_m)}",
                allowed=f"bays of {_say(shortest)} to {_say(longest)}, level",
                hint="allow a shorter or a longer bay, or change the length",
            )
        )
    return tuple(marks)


def _say(length_m: float) -> str:
    return show_length(length_m, fraction=16) if math.isfinite(length_m) else str(length_m)


def _check_spacing(length_m: float, longest_m: float, shortest_m: float, rule: str) -> None:
    """Refuse what cannot be divided, all of it at once."""
    problems = []
    if not 0.0 < length_m < math.inf:
        problems.append(
            Problem(
                "length-out-of-range",
                "the length between the end posts",
                found=_say(length_m),
                allowed="above 0",
                hint="check the two ends",
            )
        )
    if not 0.0 < longest_m < math.inf:
        problems.append(Problem("bay-out-of-range", "the longest bay", found=_say(longest_m), allowed="above 0"))
    if not 0.0 <= shortest_m <= longest_m:
        problems.append(
            Problem(
                "bay-out-of-range",
                "the shortest bay",
                found=_say(shortest_m) if math.isfinite(shortest_m) else f"{shortest_m}",
                allowed=f"0 to the longest bay, {_say(longest_m)}" if math.isfinite(longest_m) else "a length",
                hint="exchange the two, or allow a shorter bay",
            )
        )
    if 0.0 < longest_m < length_m < math.inf and length_m / longest_m > MOST_BAYS:
        problems.append(
            Problem(
                "too-many-posts",
                "so many bays are taken for a slip of the unit",
                found=f"{length_m / longest_m:.0f} bays",
                allowed=f"up to {MOST_BAYS}",
                hint="check the units of the length and of the longest bay",
            )
        )
    if rule not in ("even", "short-last", "short-both"):
        problems.append(
            Problem("unknown-rule", "the rule for spacing", found=repr(rule), allowed="even, short-last, short-both")
        )
    if problems:
        raise ProblemError(problems)
