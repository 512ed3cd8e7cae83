"""Barrier rules on a slope, for pools and animals: gap along the whole bottom, height outside, climb at steps.

What a step does to a rule on horizontal members: the upper bay's lowest member stands a step nearer to the lower bay's
top member than two members of one bay are. Whoever stands on it beside the post has that much less to climb.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from palewright.layout.meeting_checks import heights_above, rooms
from palewright.layout.meeting_ground import ground_at
from palewright.layout.meeting_rules import SLACK_M, Floats, GroundBreak

__all__ = [
    "POOL_GAP_SOIL_M",
    "POOL_GAP_SOLID_M",
    "POOL_HEIGHT_M",
    "POOL_MEMBERS_M",
    "climb_at_steps",
    "gaps_below",
    "outside_heights",
]

#: 2 in over soil, grass or gravel; 4 in over a solid surface; 48 in high outside; 45 in between horizontal members:
#: CPSC, Safety Barrier Guidelines for Residential Pools, and ISPSC 305 (from memory)
POOL_GAP_SOIL_M = 0.0508
POOL_GAP_SOLID_M = 0.1016
POOL_HEIGHT_M = 1.2192
POOL_MEMBERS_M = 1.143


def gaps_below(
    stations_m: Floats,
    heights_m: Floats,
    posts_m: Floats,
    modes: Sequence[str],
    bottoms_m: Floats,
    *,
    solid_m: Sequence[tuple[float, float]] = (),
    soil_gap_m: float = POOL_GAP_SOIL_M,
    solid_gap_m: float = POOL_GAP_SOLID_M,
) -> tuple[GroundBreak, ...]:
    """Where the room under the fence is more than a barrier allows, once for each bay and surface, at its widest.

    stations_m, heights_m, posts_m, modes, bottoms_m
        as for :func:`meeting_checks.rooms`. solid_m: stretches [m] of a solid surface, from and to; everything else is
        soil, and so are the edges.
    Source: CPSC pool barrier guidelines; ISPSC 305 (from memory). For an animal give its own gaps.

    >>> s, z = np.array([0.0, 2.0]), np.array([0.0, -0.1])
    >>> wide = gaps_below(s, z, s, ["stepped"], np.array([[0.03, 0.03]]), solid_m=[(1.0, 2.0)])
    >>> [(x.rule, x.at_m, round(x.by_m, 4)) for x in wide]
    [('gap-over-soil', 1.0, 0.0292), ('gap-over-solid', 2.0, 0.0284)]
    """
    edges = np.array([x for pair in solid_m for x in pair if posts_m[0] < x < posts_m[-1]])
    cuts = np.unique(np.concatenate([posts_m, edges]))
    owner = np.searchsorted(posts_m, 0.5 * (cuts[:-1] + cuts[1:]), side="right") - 1
    here = [modes[i] for i in owner]
    ends = np.stack(
        [_bottom(stations_m, heights_m, posts_m, modes, bottoms_m, owner, x) for x in (cuts[:-1], cuts[1:])], axis=1
    )
    room = rooms(stations_m, heights_m, cuts, here, ends)
    widest: dict[tuple[int, str], GroundBreak] = {}
    for k, bay in enumerate(owner.tolist()):
        is_solid = any(a < 0.5 * (cuts[k] + cuts[k + 1]) < b for a, b in solid_m)
        rule, allowed = ("gap-over-solid", solid_gap_m) if is_solid else ("gap-over-soil", soil_gap_m)
        found = float(room.most[k])
        known = widest.get((bay, rule))
        if found - allowed > SLACK_M and (known is None or found > known.found_m):
            widest[bay, rule] = GroundBreak(rule, bay, float(room.most_at[k]), found - allowed, found, allowed)
    return tuple(sorted(widest.values(), key=lambda item: (item.bay, item.at_m)))


def _bottom(
    s: Floats, z: Floats, posts: Floats, modes: Sequence[str], bottoms: Floats, bay: np.ndarray, at: Floats
) -> Floats:
    """Height of the bottom of each bay at a place in it: straight, or along the ground where it is cut to it."""
    share = (at - posts[bay]) / (posts[bay + 1] - posts[bay])
    line = (1.0 - share) * bottoms[bay, 0] + share * bottoms[bay, 1]
    along = ground_at(s, z, at) + bottoms[bay, 0] - ground_at(s, z, posts[bay])
    out: Floats = np.where([modes[i] == "level-top" for i in bay], along, line)
    return out


def outside_heights(
    outside_m: tuple[Floats, Floats], posts_m: Floats, tops_m: Floats, least_m: float = POOL_HEIGHT_M
) -> tuple[GroundBreak, ...]:
    """Where the fence is lower than a barrier must be, measured on its outside, at the lowest place of each bay.

    outside_m
        stations and heights of the ground on the outside [m]. posts_m, tops_m: posts, and tops of the bays at them,
        shape (bays, 2) [m]. least_m: [m].
    At a post both bays are measured with their own tops: a bay that steps down is lowest where it meets the upper one.
    Source: CPSC pool barrier guidelines: 48 in on the outside; ISPSC 305 (from memory).

    >>> s, z = np.array([0.0, 2.0, 4.0]), np.array([0.0, 0.0, 0.3])
    >>> low = outside_heights((s, z), np.array([0.0, 2.0, 4.0]), np.array([[1.3, 1.3], [1.3, 1.3]]))
    >>> [(x.bay, x.at_m, round(x.found_m, 9)) for x in low]
    [(1, 4.0, 1.0)]
    """
    lowest, at = heights_above((outside_m[0], -outside_m[1]), posts_m, -tops_m)
    return tuple(
        GroundBreak("outside-height", i, float(where), least_m + float(value), -float(value), least_m)
        for i, (value, where) in enumerate(zip(lowest, at, strict=True))
        if least_m + value > SLACK_M
    )


def climb_at_steps(
    posts_m: Floats, bottoms_m: Floats, members_m: tuple[float, float], least_m: float = POOL_MEMBERS_M
) -> tuple[GroundBreak, ...]:
    """Steps that bring horizontal members too near to one another.

    members_m
        heights above the bottom of the tops of the lowest and the highest horizontal member on the outside [m]; both
        members are as far apart as the rule asks within one bay.
    least_m
        between the tops of two members [m].
    Distance at a post = highest of the lower bay - lowest of the upper bay = members apart - step. A break is only
    given where the members of one bay keep the rule and the step takes it away.
    Source: CPSC pool barrier guidelines and ISPSC 305 (from memory) for 45 in; what a step does to it: geometry.

    >>> two = np.array([[0.0, 0.0], [0.1, 0.1]])
    >>> [round(x.found_m, 9) for x in climb_at_steps(np.array([0.0, 2.0, 4.0]), two, (0.1, 1.3))]
    [1.1]
    """
    apart = members_m[1] - members_m[0]
    left = apart - np.abs(bottoms_m[1:, 0] - bottoms_m[:-1, 1])
    if apart < least_m - SLACK_M:
        return ()
    return tuple(
        GroundBreak(
            "climb-at-step", int(i) + 1, float(posts_m[i + 1]), least_m - float(left[i]), float(left[i]), least_m
        )
        for i in np.flatnonzero(left < least_m - SLACK_M)
    )
