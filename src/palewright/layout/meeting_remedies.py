"""What would heal a rule that cannot be kept: fill, cut, a kick board, another bay, another limit. Numbers only."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from palewright.layout.meeting_build import build
from palewright.layout.meeting_chain import best_chain
from palewright.layout.meeting_checks import broken
from palewright.layout.meeting_ground import envelopes, ground_at
from palewright.layout.meeting_level import level_top
from palewright.layout.meeting_rules import (
    SLACK_M,
    Floats,
    GroundBreak,
    GroundRemedy,
    GroundRules,
    LookWeights,
    Met,
)

__all__ = ["ground_remedies"]

#: a bay is not divided into more than this (our own choice)
_MOST_BAYS = 6

_SLUGS = {
    "most-gap": ("fill", "kick-board", "more-gap"),
    "least-gap": ("cut", "less-gap"),
    "legal-height": ("lower-infill",),
    "rack": ("more-rack", "step-it"),
}


def ground_remedies(
    met: Met,
    stations_m: Floats,
    heights_m: Floats,
    posts_m: Floats,
    rules: GroundRules,
    measured: tuple[Floats, Floats] | None = None,
    asked: Sequence[str] = (),
    leaves: Mapping[int, tuple[float, float]] = MappingProxyType({}),
) -> tuple[GroundRemedy, ...]:
    """Remedies for every break of an answer, in the order of its breaks; each would heal its break by itself.

    met, stations_m, heights_m, posts_m, rules, measured
        as asked and answered in :func:`meeting.meet`; asked: of each bay, its own way unless given.
    leaves
        of bays with a gate: how much lower its leaf may hang and still clear its swing, and by how much the swing
        lifts it [m].
    "more-levels": into how many stretches with a top of their own a level top has to be divided, at posts.
    "fill" and "cut": how much the ground must change at the worst place, between two stations. "kick-board": its least
    height. "another-bay": into how many bays the bay has to be divided so that it keeps its rules by itself.
    "more-gap", "less-gap", "lower-infill": by how much the limit or the fence would have to change. "more-rack":
    rise [m] that the panel would have to take; "step-it": the bay level instead. Below a gate nothing may stand in the
    way of the leaf: "lower-leaf", "threshold" (ground or a sill raised below the shut leaf only), "other-swing" and
    "other-place" (there it would hang so much nearer to its ground).
    Source: geometry; the choice: common practice.
    """
    found: list[GroundRemedy] = []
    own = (stations_m, heights_m) if measured is None else measured
    for item in met.breaks:
        start, end = posts_m[item.bay : item.bay + 2].tolist()
        if item.rule in ("most-gap", "least-gap"):
            start, end = _stretch(met, stations_m, heights_m, posts_m, item)
        mode = met.modes[item.bay]
        slugs = _SLUGS.get(item.rule, ())
        if mode == "gate" and item.rule == "most-gap":
            slugs = _below_gate(item, *leaves.get(item.bay, (0.0, 0.0)))
        found += [
            GroundRemedy(item.rule, slug, item.bay, start, end, item.found_m if slug == "more-rack" else item.by_m)
            for slug in slugs
        ]
        if item.rule == "rack" or mode == "gate":
            continue
        if mode == "level-top":
            found += _more_levels(met, stations_m, heights_m, posts_m, rules, own, item)
            continue
        how = "mixed" if asked and asked[item.bay] in ("mixed", "best") else mode
        count = _divided(stations_m, heights_m, posts_m, rules, own, item, "racked" if how == "grade" else how)
        if count:
            ends = posts_m[item.bay : item.bay + 2].tolist()
            each = (ends[1] - ends[0]) / count
            found.append(GroundRemedy(item.rule, "another-bay", item.bay, ends[0], ends[1], each, count))
    return tuple(found)


def _below_gate(item: GroundBreak, lower_m: float, lifted_m: float) -> tuple[str, ...]:
    """What heals too much room below a leaf that must still swing."""
    lower = ("lower-leaf",) if item.by_m <= lower_m + SLACK_M else ()
    swing = ("other-swing",) if item.by_m <= lifted_m + SLACK_M else ()
    return (*lower, "threshold", *swing, "other-place", "more-gap")


def _stretch(met: Met, s: Floats, z: Floats, posts: Floats, item: GroundBreak) -> tuple[float, float]:
    """From where to where, round the worst place, the gap is beyond its limit."""
    a, b = posts[item.bay : item.bay + 2]
    at = np.unique(np.concatenate([[a], s[(s > a) & (s < b)], [b], [item.at_m]]))
    sign = 1.0 if item.rule == "most-gap" else -1.0
    over = sign * (np.interp(at, (a, b), met.bottoms_m[item.bay]) - ground_at(s, z, at) - item.allowed_m)
    worst = int(np.searchsorted(at, item.at_m))
    i = j = worst
    while i > 0 and over[i - 1] > 0.0:
        i -= 1
    while j + 1 < len(at) and over[j + 1] > 0.0:
        j += 1
    start = float(np.interp(0.0, over[i - 1 : i + 1], at[i - 1 : i + 1])) if i else float(a)
    end = float(np.interp(0.0, -over[j : j + 2], at[j : j + 2])) if j + 1 < len(at) else float(b)
    return start, end


def _divided(
    s: Floats,
    z: Floats,
    posts: Floats,
    rules: GroundRules,
    measured: tuple[Floats, Floats],
    item: GroundBreak,
    how: str,
) -> int:
    """Into how many even bays the bay must be divided to keep its rules by itself; 0 where that does not help."""
    a, b = posts[item.bay : item.bay + 2]
    if item.rule == "largest-step":
        return math.ceil(item.found_m / item.allowed_m - 1e-9) if item.allowed_m > 0.0 else 0
    base = float(ground_at(s, z, np.array([a]))[0]) + rules.target_m
    for count in range(1, _MOST_BAYS + 1):
        bays = envelopes(s, z, np.linspace(a, b, count + 1), rules, measured)
        if best_chain(build(bays, [how] * count, rules, LookWeights(), base))[1]:
            return count if count > 1 else 0
    return 0


def _more_levels(
    met: Met,
    s: Floats,
    z: Floats,
    posts: Floats,
    rules: GroundRules,
    measured: tuple[Floats, Floats],
    item: GroundBreak,
) -> list[GroundRemedy]:
    """The fewest stretches of a level top that keep their rules: each taken as far as it goes."""
    a = b = item.bay
    while a > 0 and met.modes[a - 1] == "level-top":
        a -= 1
    while b + 1 < len(met.modes) and met.modes[b + 1] == "level-top":
        b += 1
    base = float(ground_at(s, z, posts[:1])[0]) + rules.target_m
    count, start = 1, a
    for k in range(a, b + 1):
        for first in (start, k):
            at = posts[first : k + 2]
            if not broken(s, z, at, ["level-top"] * (len(at) - 1), *level_top(s, z, at, rules, base), rules, measured):
                break
            if first == k:
                return []
            count, start = count + 1, k
    ends = float(posts[a]), float(posts[b + 1])
    return [GroundRemedy(item.rule, "more-levels", item.bay, *ends, item.by_m, count)]
