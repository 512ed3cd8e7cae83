"""Which call may be mistyped, when calls do not close: every single plain slip is tried."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from palewright.boundary.calls import latitudes_departures
from palewright.record import Record

__all__ = ["Suspect", "find_suspects"]


class Suspect(Record):
    """One slip that would explain a misclosure.

    index
        the call (0-based). slip: "north-south", "east-west", "reversed", "other side", "left out" or "length".
    length_m
        the length that would close best, for slip "length" [m]; 0 else.
    left_m
        misclosure that would be left [m].
    """

    index: int
    slip: str
    length_m: float
    left_m: float


def find_suspects(
    calls: Sequence[tuple[float, float]],
    other_side: Mapping[int, float] | None = None,
    most: int = 3,
    good: float = 1000.0,
) -> tuple[Suspect, ...]:
    """Single slips after which the calls would close to 1 : ``good`` or better, the best first.

    calls
        (azimuth [rad], length [m] > 0). most: how many to name (>= 1).
    other_side
        for curves tangent to the course before them: chord azimuth if they turned the other way (0-based call, [rad]).
    Tried for each call: N for S, E for W, both; leaving it out; and another length along the same bearing (the
    misclosure projected on the call). A true slip is not proved by closing: the deed has to be read again.
    Source: common practice (looking for a course parallel to the misclosure is in surveying textbooks).

    >>> square = [(0.0, 10.0), (math.pi / 2, 10.0), (math.pi, 10.0), (math.pi / 2, 10.0)]
    >>> [(s.index, s.slip) for s in find_suspects(square)]
    [(1, 'east-west'), (3, 'east-west')]
    """
    pairs = latitudes_departures(calls)
    lat, dep = math.fsum(p[0] for p in pairs), math.fsum(p[1] for p in pairs)
    perimeter = math.fsum(length for _, length in calls)
    found: list[Suspect] = []
    for k, (a, b) in enumerate(pairs):
        length = calls[k][1]
        if length <= 0.0:
            continue
        tries = [("north-south", lat - 2 * a, dep), ("east-west", lat, dep - 2 * b)]
        tries += [("reversed", lat - 2 * a, dep - 2 * b), ("left out", lat - a, dep - b)]
        for slip, new_lat, new_dep in tries:
            # changing a letter of a due north or due east call is the same as turning it round: name it once
            if slip in ("north-south", "east-west") and min(abs(a), abs(b)) < 1e-6 * length and slip != _main(a, b):
                continue
            if slip == "reversed" and min(abs(a), abs(b)) < 1e-6 * length:
                continue
            found.append(Suspect(k, slip, 0.0, math.hypot(new_lat, new_dep)))
        if other_side and k in other_side:
            to_lat, to_dep = length * math.cos(other_side[k]), length * math.sin(other_side[k])
            found.append(Suspect(k, "other side", 0.0, math.hypot(lat - a + to_lat, dep - b + to_dep)))
        u, v = a / length, b / length
        better = length - (lat * u + dep * v)
        if better > 0.0 and abs(better - length) > 1e-6 * length:
            found.append(Suspect(k, "length", better, abs(lat * v - dep * u)))
    fitting = [s for s in found if s.left_m * good <= perimeter]
    order = {"north-south": 0, "east-west": 0, "length": 1, "other side": 1, "reversed": 2, "left out": 3}
    fitting.sort(key=lambda s: (order[s.slip], round(s.left_m, 6), s.index))
    return tuple(fitting[:most])


def _main(lat: float, dep: float) -> str:
    return "north-south" if abs(lat) >= abs(dep) else "east-west"
