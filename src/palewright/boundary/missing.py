"""What calls may lack: the length or the bearing of one or two of them, solved from the others."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.boundary.calls import EXACT, LatDep, latitudes_departures
from palewright.errors import Problem, ProblemError
from palewright.notation import show_bearing, show_length
from palewright.record import Record

__all__ = ["Solved", "solve_calls"]

Known = tuple[float, float]
Typed = tuple[float | None, float | None]


class Solved(Record):
    """Calls with none missing: (azimuth [rad], length [m]).

    gaps
        which calls were solved (0-based), and for what: "length", "direction" or "both".
    """

    calls: tuple[Known, ...]
    gaps: tuple[tuple[int, str], ...] = ()


def solve_calls(calls: Sequence[Typed], style: str = "decimal-feet") -> Solved:
    """Fill in what calls may lack: two numbers at most.

    calls
        (azimuth [rad] or None, length [m] or None). style: how lengths are printed in problems.
    Returns the complete calls. With S the sum of the others and u, v unit vectors: both missing in one call, it is -S;
    a direction, it points along -S; a length, L = -S . u, so that what is left over is square to it. In two calls: two
    lengths from S + L u + M v = 0; a length and a direction from |S + L u| = the known length; two directions from the
    triangle of the two lengths and S.
    Raises ProblemError: ``two-calls-open`` for more than two missing numbers, ``open-call-backward`` when a solved
    length is not positive, ``open-call-nothing`` when the others close by themselves, ``open-calls-parallel`` and
    ``open-calls-apart`` when two calls cannot be solved, ``two-solutions`` when two answers fit: both are named.
    Source: plane surveying textbooks ("omitted measurements").

    >>> solved = solve_calls([(0.0, 3.0), (math.pi / 2, 4.0), (None, None)])
    >>> round(solved.calls[2][1], 6), solved.gaps
    (5.0, ((2, 'both'),))
    """
    gaps = tuple((k, _lacks(call)) for k, call in enumerate(calls) if None in call)
    if not gaps:
        return Solved(_complete(calls))
    if len(gaps) > 2 or (len(gaps) == 2 and "both" in dict(gaps).values()):
        raise ProblemError(
            Problem(
                "two-calls-open",
                "calls of a boundary may lack two numbers at most",
                found="calls " + " and ".join(str(k + 1) for k, _ in gaps),
                allowed="both numbers of one call, or one number each of two calls",
                hint="look up the missing lengths and bearings, or give the boundary by points",
            )
        )
    known = _complete([call for call in calls if None not in call])
    pairs = latitudes_departures(known)
    rest = (math.fsum(p[0] for p in pairs), math.fsum(p[1] for p in pairs))
    if len(gaps) == 1:
        (k, _) = gaps[0]
        nothing = math.hypot(*rest) <= EXACT * math.fsum(length for _, length in known)
        return Solved(_with(calls, {k: _one(k, calls[k], rest, nothing)}), gaps)
    (i, _), (j, _) = gaps
    answers = _two(i, calls[i], j, calls[j], rest)
    if len(answers) > 1:
        raise _two_answers(i, j, answers, style)
    return Solved(_with(calls, {i: answers[0][0], j: answers[0][1]}), gaps)


def _lacks(call: Typed) -> str:
    if call[0] is None:
        return "both" if call[1] is None else "direction"
    return "length"


def _complete(calls: Sequence[Typed]) -> tuple[Known, ...]:
    return tuple((az, length) for az, length in calls if az is not None and length is not None)


def _with(calls: Sequence[Typed], filled: dict[int, Known]) -> tuple[Known, ...]:
    return _complete([filled.get(k, call) for k, call in enumerate(calls)])


def _direction(lat: float, dep: float) -> float:
    return math.atan2(dep, lat) % (2.0 * math.pi)


def _one(k: int, call: Typed, rest: LatDep, nothing: bool) -> Known:
    az, length = call
    if nothing:
        raise ProblemError(
            Problem(
                "open-call-nothing",
                f"call {k + 1} has nothing to close: the other calls already come back to their beginning",
                hint="leave the call out, or give its length",
            )
        )
    if az is None:
        return _direction(-rest[0], -rest[1]), math.hypot(*rest) if length is None else length
    filled = -(rest[0] * math.cos(az) + rest[1] * math.sin(az))
    if filled <= 0.0:
        raise _backward(f"call {k + 1}")
    return az, filled


def _backward(which: str) -> ProblemError:
    return ProblemError(
        Problem(
            "open-call-backward",
            f"{which} would have to be run backward to come to the beginning",
            hint="check its bearing (N for S, E for W?) and the bearings of the other calls",
        )
    )


def _two(i: int, one: Typed, j: int, two: Typed, rest: LatDep) -> list[tuple[Known, Known]]:
    """Every pair of calls that closes with the others, which sum up to ``rest``."""
    if one[1] is None and two[1] is None:
        return [_two_lengths(i, _sure(one[0]), j, _sure(two[0]), rest)]
    if one[0] is None and two[0] is None:
        found = _two_directions(_sure(one[1]), _sure(two[1]), rest)
    elif one[1] is None:
        found = _length_and_direction(_sure(one[0]), _sure(two[1]), rest)
    else:
        found = [(b, a) for a, b in _length_and_direction(_sure(two[0]), _sure(one[1]), rest)]
    if not found:
        raise ProblemError(
            Problem(
                "open-calls-apart",
                f"calls {i + 1} and {j + 1} cannot close the others, whatever is missing in them",
                hint="a length or a bearing of another call is wrong",
            )
        )
    return found


def _sure(value: float | None) -> float:
    assert value is not None
    return value


def _two_lengths(i: int, az: float, j: int, other: float, rest: LatDep) -> tuple[Known, Known]:
    turn = math.sin(other - az)
    if abs(turn) < 1e-6:
        raise ProblemError(
            Problem(
                "open-calls-parallel",
                f"calls {i + 1} and {j + 1} lack their lengths and run in one direction: only their sum is known",
                hint="look up one of the two lengths",
            )
        )
    first = (rest[1] * math.cos(other) - rest[0] * math.sin(other)) / turn
    second = (rest[0] * math.sin(az) - rest[1] * math.cos(az)) / turn
    for k, length in ((i, first), (j, second)):
        if length <= 0.0:
            raise _backward(f"call {k + 1}")
    return (az, first), (other, second)


def _length_and_direction(az: float, length: float, rest: LatDep) -> list[tuple[Known, Known]]:
    """The call along ``az`` whose length is missing, with the one of that length whose direction is."""
    along = rest[0] * math.cos(az) + rest[1] * math.sin(az)
    square = along * along - math.hypot(*rest) ** 2 + length * length
    if square < -EXACT * length * length:
        return []
    root = math.sqrt(max(square, 0.0))
    found = []
    for filled in dict.fromkeys((root - along, -root - along)):
        if filled > 0.0:
            lat, dep = rest[0] + filled * math.cos(az), rest[1] + filled * math.sin(az)
            found.append(((az, filled), (_direction(-lat, -dep), length)))
    return found


def _two_directions(one: float, two: float, rest: LatDep) -> list[tuple[Known, Known]]:
    far = math.hypot(*rest)
    slack = EXACT * (one + two)
    if far == 0.0 or not abs(one - two) - slack <= far <= one + two + slack:
        return []
    toward = _direction(-rest[0], -rest[1])
    angle = math.acos(max(-1.0, min(1.0, (far * far + one * one - two * two) / (2.0 * far * one))))
    found = []
    for az in dict.fromkeys((toward + angle, toward - angle)):
        lat, dep = rest[0] + one * math.cos(az), rest[1] + one * math.sin(az)
        found.append(((az % (2.0 * math.pi), one), (_direction(-lat, -dep), two)))
    return found


def _two_answers(i: int, j: int, answers: list[tuple[Known, Known]], style: str) -> ProblemError:
    said = [
        " with ".join(
            f"call {k + 1} {show_bearing(az)} {show_length(length, style)}"
            for k, (az, length) in zip((i, j), pair, strict=True)
        )
        for pair in answers
    ]
    return ProblemError(
        Problem(
            "two-solutions",
            f"two answers close calls {i + 1} and {j + 1}, and nothing here says which one is meant",
            found=", or ".join(said),
            hint="type the missing number of one of them as the deed, the plat or the ground has it",
        )
    )
