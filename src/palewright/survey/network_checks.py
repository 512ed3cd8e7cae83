"""What cannot be right about a network before anything is computed."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from palewright.errors import Problem
from palewright.model import NetPoint, Network, Observation
from palewright.survey.rows import KINDS

__all__ = ["check_network"]

DATUMS = ("held", "least", "free")
SOURCES = ("measured", "record", "assumed")
MOST = 1e9
"""No length, coordinate or standard deviation is larger [m or rad]."""
LEAST_SIGMA = 1e-9
"""No standard deviation is smaller [m or rad]: arithmetic could not tell it from exact."""
_SIDES = {"angle": ("", "clockwise"), "offset": ("", "left", "right")}
_RANGES = {
    "distance": (1e-9, MOST, "a length above 0"),
    "offset": (0.0, MOST, "a length of 0 or more"),
    "on line": (0.0, 0.0, "0"),
    "parallel": (-math.pi / 2.0, math.pi / 2.0, "-90° to 90°"),
}


def check_network(network: Network) -> tuple[Problem, ...]:
    """Everything wrong with a network as written: names, numbers, kinds, places. Nothing is computed.

    Returns Problems, none of them a caution; () when :func:`palewright.survey.adjust` may be asked.
    """
    found = list(_whole(network)) + [problem for point in network.points for problem in _point(point)]
    names = {point.name for point in network.points}
    twins = _twins(network)
    for number, observation in enumerate(network.observations):
        if twins or not _plain(observation, names):
            found += [_placed(problem, observation, number) for problem in _observation(observation, names, twins)]
    return tuple(found)


def _twins(network: Network) -> dict[str, tuple[float, float]]:
    """Places of held points that share theirs with another held point."""
    held = {point.name: point.xy for point in network.points if point.held and point.xy and network.datum == "held"}
    count = Counter(held.values())
    return {name: xy for name, xy in held.items() if count[xy] > 1}


def _plain(observation: Observation, names: set[str]) -> bool:
    """A quick look that lets the usual distance or clockwise angle through without more questions."""
    points = observation.points
    return (
        observation.kind in ("distance", "angle")
        and observation.side in ("", "clockwise")
        and len(points) == KINDS[observation.kind]
        and names.issuperset(points)
        and len(set(points)) == len(points)
        and LEAST_SIGMA < observation.value < (MOST if observation.kind == "distance" else math.pi)
        and LEAST_SIGMA <= observation.sigma <= MOST
        and observation.source in SOURCES
    )


def _whole(network: Network) -> Iterator[Problem]:
    if network.datum not in DATUMS:
        yield Problem(
            "network-datum-unknown",
            "a network is held in place in a way that is not known",
            found=network.datum,
            allowed=", ".join(DATUMS),
        )
    if not network.observations:
        yield Problem("network-empty", "a network has no readings", hint="give at least one taped distance")
    seen: set[str] = set()
    for point in network.points:
        if point.name in seen:
            yield Problem("network-point-named-twice", "two points have one name", where=point.at, found=point.name)
        seen.add(point.name)


def _point(point: NetPoint) -> Iterator[Problem]:
    if point.xy is None:
        if point.held:
            yield Problem(
                "network-held-without-place",
                "a point is held but has no place",
                where=point.at,
                found=point.name,
                hint="give its coordinates, or do not hold it",
            )
    elif not all(abs(number) <= MOST for number in point.xy):
        yield Problem(
            "network-not-a-number",
            "a coordinate is not a number, or too large",
            where=point.at,
            found=f"{point.name} at {point.xy}",
        )


def _placed(problem: Problem, observation: Observation, number: int) -> Problem:
    thing = f"reading {number + 1}, {observation.kind} {' to '.join(observation.points)}"
    return problem.at(replace(observation.at, thing=observation.at.thing or thing))


def _observation(observation: Observation, names: set[str], twins: dict[str, tuple[float, float]]) -> Iterator[Problem]:
    kind, points = observation.kind, observation.points
    if kind not in KINDS:
        yield Problem("network-kind-unknown", "a kind of reading is not known", found=kind, allowed=", ".join(KINDS))
        return
    if len(points) != KINDS[kind]:
        allowed = f"{KINDS[kind]} for a reading of kind {kind}"
        yield Problem(
            "network-points-count",
            "a reading names too few or too many points",
            found=str(len(points)),
            allowed=allowed,
        )
    for name in dict.fromkeys(points):
        if name not in names:
            yield Problem("network-point-unknown", "a reading names a point that is not in the network", found=name)
        if points.count(name) > 1 and not (kind == "parallel" and _shares_an_end(points)):
            yield Problem("network-point-repeated", "a reading names a point twice", found=name)
    on_one = [name for name in points if name in twins]
    if len({twins[name] for name in on_one}) < len(set(on_one)):
        what = "a reading joins two held points that have one place"
        yield Problem("network-held-on-one-place", what, found=" and ".join(on_one), hint="give the point one name")
    if observation.side not in _SIDES.get(kind, ("",)):
        allowed = ", ".join(repr(side) for side in _SIDES.get(kind, ("",)))
        yield Problem(
            "network-side-unknown", "the side of a reading is not known", found=observation.side, allowed=allowed
        )
    if observation.source not in SOURCES:
        yield Problem(
            "network-source-unknown",
            "where a reading comes from is not known",
            found=observation.source,
            allowed=", ".join(SOURCES),
        )
    yield from _numbers(observation)


def _shares_an_end(points: tuple[str, ...]) -> bool:
    """Whether two lines have one end in common, which parallel lines through three points have."""
    return len(points) == 4 and points[0] != points[1] and points[2] != points[3] and set(points[:2]) != set(points[2:])


def _numbers(observation: Observation) -> Iterator[Problem]:
    value = observation.value
    if not math.isfinite(value):
        yield Problem("network-not-a-number", "a reading is not a number", found=str(value))
    else:
        low, high, allowed = _RANGES.get(observation.kind, (-MOST, MOST, "up to 1e9"))
        if observation.kind == "angle":
            high = 2.0 * math.pi if observation.side == "clockwise" else math.pi
            low, allowed = 0.0, "0° to 360° clockwise" if observation.side == "clockwise" else "0° to 180°"
        if not low <= value <= high:
            yield Problem(
                "network-value-range",
                f"a reading of kind {observation.kind} is out of range",
                found=f"{value:g}",
                allowed=allowed,
            )
    if not LEAST_SIGMA <= observation.sigma <= MOST:
        yield Problem(
            "network-sigma-range",
            "how good a reading is must be a length or angle above 0",
            found=str(observation.sigma),
            allowed="1e-9 to 1e9",
            hint="give the standard deviation of the tape or instrument",
        )
