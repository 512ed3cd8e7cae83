"""What should be said of an adjusted network: points not fixed and why, pieces, one place with two names, bad pins."""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np

from palewright.errors import Problem
from palewright.model import Network, Observation
from palewright.notation import show_length
from palewright.survey.fitting import Fitting
from palewright.survey.network_arrays import Arrays
from palewright.survey.rows import Floats
from palewright.survey.snooping import Contradiction

__all__ = ["cautions_of"]

SAME_PLACE_M = 0.05
"""Two points are never called one place when they are farther apart than this [m]."""
_SIGMAS = 3.0
_MOST_NAMES = 12

_PLACED = ("east", "north")
"""Readings of one point that tie it to the frame."""


def cautions_of(
    network: Network,
    fitting: Fitting,
    undetermined: tuple[str, ...],
    pieces: tuple[tuple[str, ...], ...],
    contradictions: tuple[tuple[Arrays, Contradiction], ...],
    stopped: bool,
) -> tuple[Problem, ...]:
    """Cautions, never errors; the adjustment stands. ``stopped``: snooping gave up, too many readings disagree."""
    found = [_loose(network, undetermined)] if undetermined else []
    parts = [piece for piece in pieces if len(piece) > 1]
    if undetermined and len(parts) > 1:
        found.append(_pieces(parts))
    found += _same_places(fitting)
    found += [_contradicted(arrays, held) for arrays, held in contradictions]
    if stopped and not contradictions:
        found.append(
            Problem(
                "network-readings-disagree",
                "more readings disagree than can be single mistakes",
                severity="caution",
                hint="all may be worse than was said, a held point wrong, or one name given to two places",
            )
        )
    return tuple(found)


def _names(names: tuple[str, ...] | list[str]) -> str:
    more = len(names) - _MOST_NAMES
    return ", ".join(names[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def _loose(network: Network, undetermined: tuple[str, ...]) -> Problem:
    """The points that nothing fixes, grouped by why."""
    loose = set(undetermined)
    readings: dict[str, list[Observation]] = {name: [] for name in undetermined}
    for observation in network.observations:
        for name in loose.intersection(observation.points):
            readings[name].append(observation)
    why: dict[str, list[str]] = defaultdict(list)
    apart = _apart(loose, readings) if len(loose) < len(network.points) else set()
    for name in undetermined:
        reason = "no reading joins it to the rest" if name in apart else _why(network, name, readings[name])
        why[reason].append(name)
    return Problem(
        "network-points-loose",
        "the readings do not fix every point",
        severity="caution",
        found="; ".join(f"{_names(names)}: {reason}" for reason, names in why.items()),
        hint="measure to each of them from one more point that is fixed, not in line with the ties it has",
    )


def _apart(loose: set[str], readings: dict[str, list[Observation]]) -> set[str]:
    """Loose points that are read, and that no chain of readings joins to a point that is not loose."""
    apart = {name for name in loose if readings[name]}
    reached = {name for name in apart for o in readings[name] if o.kind in _PLACED or not loose >= set(o.points)}
    while reached:
        apart -= reached
        reached = {name for name in apart for o in readings[name] if not apart >= set(o.points)}
    return apart


def _why(network: Network, name: str, readings: list[Observation]) -> str:
    if not readings:
        return "no reading names it"
    if len(readings) == 1:
        return "one reading only"
    held = sum(point.held for point in network.points)
    if (
        network.datum == "held"
        and held < 2
        and not any(o.kind in ("azimuth", "east", "north") for o in network.observations)
    ):
        return f"{'only one point is' if held else 'no point is'} held, which leaves the whole free to turn"
    ends = {other for o in readings for other in o.points if other != name}
    if len(readings) == 2 and len(ends) == 2 and all(o.kind == "distance" for o in readings):
        return "its two ties lie in one line"
    return "its readings leave it free to move"


def _pieces(pieces: list[tuple[str, ...]]) -> Problem:
    return Problem(
        "network-in-pieces",
        "no reading joins one part of the network with another",
        severity="caution",
        found="; ".join(_names(piece) for piece in pieces[:6])
        + (f"; {len(pieces) - 6} parts more" if len(pieces) > 6 else ""),
        hint="three tapes between two parts join them",
    )


def _same_places(fitting: Fitting) -> list[Problem]:
    """Pairs of points that came out on one place: nearer than 5 cm and than 3 of their standard deviations."""
    names, places = fitting.arrays.names, fitting.settled.state.places
    sure = np.flatnonzero(~fitting.loose)
    sure = sure[np.argsort(places[sure, 0], kind="stable")]
    spread = _spread(fitting.point_cov)
    found = []
    step = 1
    while step < len(sure):
        one, two = sure[:-step], sure[step:]
        close = places[two, 0] - places[one, 0] < SAME_PLACE_M
        if not close.any():
            break
        apart = np.hypot(*(places[two] - places[one]).T)
        near = np.minimum(np.maximum(_SIGMAS * np.hypot(spread[one], spread[two]), 0.001), SAME_PLACE_M)
        for k in np.flatnonzero(close & (apart < near)):
            a, b = sorted((int(one[k]), int(two[k])))
            found.append((a, b, float(apart[k])))
        step += 1
    return [
        Problem(
            "network-same-place",
            "two points of the network are on one place",
            severity="caution",
            found=f"{names[a]} and {names[b]}, {show_length(apart)} apart",
            hint="if they are one point, give it one name: the readings then check each other",
        )
        for a, b, apart in sorted(found)
    ]


def _spread(cov: Floats) -> Floats:
    return np.asarray(np.sqrt(np.maximum((cov[:, 0, 0] + cov[:, 1, 1]) / 2.0, 0.0)))


def _contradicted(arrays: Arrays, held: Contradiction) -> Problem:
    name = arrays.names[held.point]
    others = [arrays.names[k] for k in held.rivals]
    said = f"{name}, {show_length(math.hypot(*held.shift))} from where the readings have it"
    return Problem(
        "network-held-contradicted",
        "a held point is not where the readings put it",
        severity="caution",
        found=said + (f"; or {_names(others)}" if others else ""),
        hint="see whether the mark is disturbed, or whether its coordinates or its name are right",
    )
