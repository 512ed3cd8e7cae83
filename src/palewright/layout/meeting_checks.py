"""Whether a fence keeps its rules on the ground, everywhere in every bay: judged from its lines alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_ground import Spans, spans
from palewright.layout.meeting_rules import SLACK_M, Floats, GroundBreak, GroundRules, StepsAt

__all__ = ["Room", "broken", "heights_above", "rooms"]


class Room(NamedTuple):
    """Least and most room under each bay, and their stations [m]."""

    least: Floats
    least_at: Floats
    most: Floats
    most_at: Floats


def rooms(stations_m: Floats, heights_m: Floats, posts_m: Floats, modes: Sequence[str], bottoms_m: Floats) -> Room:
    """Least and most room between the bottom of each bay and the ground, anywhere in it.

    Bottom and ground are straight between knots, so both extremes lie at a knot or a post. A bay whose bottom is cut
    to the ground ("level-top") keeps the room of its posts all along. Source: geometry.

    >>> s, z = np.array([0.0, 1.0, 2.0]), np.array([0.0, 0.06, 0.0])
    >>> room = rooms(s, z, np.array([0.0, 2.0]), ["racked"], np.array([[0.1, 0.1]]))
    >>> round(float(room.least[0]), 9), float(room.least_at[0]), float(room.most[0])
    (0.04, 1.0, 0.1)
    """
    points = spans(stations_m, heights_m, posts_m)
    room = _line(points, posts_m, bottoms_m) - points.value
    cut = (np.asarray(modes) == "level-top")[points.bay]
    ends = np.zeros(len(points.at), dtype=bool)
    ends[points.starts] = True
    ends[np.append(points.starts[1:], len(points.at)) - 1] = True
    room = np.where(cut & ~ends, np.repeat(room[points.starts], np.bincount(points.bay)), room)
    return Room(*_extreme(points, room, np.minimum), *_extreme(points, room, np.maximum))


def heights_above(points_m: tuple[Floats, Floats], posts_m: Floats, tops_m: Floats) -> tuple[Floats, Floats]:
    """The most that the top of each bay stands above the heights it is measured from, and where [m].

    points_m
        stations and heights from which is measured, see ``meeting_ground.reference``. tops_m: shape (bays, 2) [m].
    """
    points = spans(*points_m, posts_m)
    return _extreme(points, _line(points, posts_m, tops_m) - points.value, np.maximum)


def broken(
    stations_m: Floats,
    heights_m: Floats,
    posts_m: Floats,
    modes: Sequence[str],
    bottoms_m: Floats,
    tops_m: Floats,
    rules: GroundRules,
    measured: tuple[Floats, Floats],
    steps: StepsAt = (),
) -> tuple[GroundBreak, ...]:
    """Every rule that is not kept: which, in which bay, where and by how much; along the run. "assumed": not judged.

    steps
        for each post what a step at it must keep, None where there is none; as ``rules`` say unless given.
    """
    room = rooms(stations_m, heights_m, posts_m, modes, bottoms_m)
    known = np.asarray(modes) != "assumed"
    found: list[GroundBreak] = []

    def note(rule: str, over: Floats, at: Floats, value: Floats, allowed: Floats | float) -> None:
        limits = np.broadcast_to(np.asarray(allowed, dtype=np.float64), over.shape)
        for i in np.flatnonzero((over > 2.0 * SLACK_M) & known):
            found.append(GroundBreak(rule, int(i), float(at[i]), float(over[i]), float(value[i]), float(limits[i])))

    note("least-gap", rules.least_m - room.least, room.least_at, room.least, rules.least_m)
    note("most-gap", room.most - rules.most_m, room.most_at, room.most, rules.most_m)
    if rules.legal_m is not None:
        tall, at = heights_above(measured, posts_m, tops_m)
        note("legal-height", tall - rules.legal_m, at, tall, rules.legal_m)
    scribed = np.asarray(modes) == "level-top"
    if rules.most_infill_m is not None and scribed.any():
        tall, at = heights_above((stations_m, heights_m), posts_m, tops_m)
        boards = np.where(scribed, tall - room.least, 0.0)
        note("longest-infill", boards - rules.most_infill_m, at, boards, rules.most_infill_m)
    if rules.rack is not None:
        rise = np.abs(np.diff(bottoms_m, axis=1)[:, 0])
        rise = np.where(np.asarray(modes) == "racked", rise, 0.0)
        limit = rules.rack * np.diff(posts_m)
        note("rack", rise - limit, posts_m[:-1], rise, limit)
    levels = np.isin(np.asarray(modes), ("racked", "stepped"))
    step = np.where(levels[1:] & levels[:-1], np.abs(bottoms_m[1:, 0] - bottoms_m[:-1, 1]), 0.0)
    step = np.concatenate([[0.0], step])
    largest = np.array([at.largest_step_m if at else 0.0 for at in (steps or [rules] * len(posts_m))[:-1]])
    note("largest-step", step - largest, posts_m[:-1], step, largest)
    return tuple(sorted(found, key=lambda item: (item.bay, item.at_m, item.rule)))


def _line(points: Spans, posts: Floats, ends: Floats) -> Floats:
    """Height of the straight line of each bay at its points; exact at both ends."""
    a, b = posts[:-1][points.bay], posts[1:][points.bay]
    t = (points.at - a) / (b - a)
    out: Floats = (1.0 - t) * ends[points.bay, 0] + t * ends[points.bay, 1]
    return out


def _extreme(points: Spans, values: Floats, pick: np.ufunc) -> tuple[Floats, Floats]:
    """Least or most of each bay that has points, and the first station where it stands."""
    best = pick.reduceat(values, points.starts)
    counts = np.diff(np.append(points.starts, len(values)))
    hit = np.flatnonzero(values == np.repeat(best, counts))
    group = np.searchsorted(points.starts, hit, side="right") - 1
    _, where = np.unique(group, return_index=True)
    return best, points.at[hit[where]]
