"""Tapes between posts and to what stands: they place the corner posts, and prove the fence afterwards."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import replace

from palewright.model import Job, Post, Remark, Site, SitePoint, Tie
from palewright.plane import XY, angle_between, distance, sub
from palewright.stakeout.lines import Line
from palewright.stakeout.squaring import diagonal_tolerance, tape_tolerance
from palewright.stakeout.stakes import Ground

__all__ = ["ties"]

_FLAT_TIE = math.sin(math.radians(15.0))
_WEAK = 4.0
"""A diagonal that proves the far end only to this many times the job's tolerance is left out (our own choice)."""
_SAME_M = 0.001
_AT_M = 0.3
"""A post this near to what stands is set by it, without a tape [m] (our own choice)."""


def ties(job: Job, site: Site, lines: list[Line], ground: Ground, remarks: list[Remark]) -> list[Tie]:
    """Tapes from what stands to the corner posts, diagonals over the corners, whole lengths; each tape once.

    What stands: things that walks and walls start from, found monuments, and named corners of buildings. Where there
    are none, or fewer than two for a post, ``remarks`` says so.
    """
    corners = {ref.name for _, refs in job.buildings for ref in refs if ref.name}
    things = [p for p in site.points if not p.assumed_angle and (p.how == "thing" or p.found or p.name in corners)]
    posts = {post.label: post for line in lines for post in (line.posts[0], line.posts[-1])}
    holes = [post for post in posts.values() if post.hole is not None]
    found = [tie for post in holes for tie in _from_things(job, things, post, ground)]
    away = [post for post in holes if all(distance(thing.xy, post.xy) > _AT_M for thing in things)]
    if lines:
        _say(remarks, sorted((post.number, post.label) for post in away), found)
    found += _diagonals(job, lines, ground)
    for line in lines:
        if line.at[-1] > 0.0 and len(line.posts) > 2:
            found.append(_tie(job, line.posts[0].label, line.posts[-1].label, line.at[-1], "overall"))
    result = _once(found, _one_place(things, posts))
    long = [f"{tie.start}-{tie.end}" for tie in result if tie.length_m > job.tape_m + 1e-9]
    if long:
        args = (("ties", ", ".join(long)), ("tape_m", job.tape_m))
        remarks.append(Remark("tie-longer-than-tape", "note", "ties", args))
    return result


def _tie(job: Job, start: str, end: str, length: float, why: str) -> Tie:
    return Tie(start, end, length, max(job.stakes.tolerance_m, tape_tolerance(length)), why)


def _say(remarks: list[Remark], posts: list[tuple[int, str]], found: list[Tie]) -> None:
    """What must be known of posts that no two tapes reach from what stands."""
    reached = Counter(tie.end for tie in found)
    few = [label for _, label in posts if reached[label] < 2]
    if few:
        args = (("posts", ", ".join(few)), ("count", len(few)))
        slug, level = ("few-ties", "note") if found else ("nothing-stands", "caution")
        remarks.append(Remark(slug, level, "ties", args))


def _from_things(job: Job, things: list[SitePoint], post: Post, ground: Ground) -> list[Tie]:
    """The two tapes to a post that cross best; the nearest alone where no two cross well."""
    near = sorted((distance(thing.xy, post.xy), thing.name, thing.xy) for thing in things)
    seen = [t for t in near if _AT_M < t[0] <= job.tape_m and not ground.buildings_between(t[2], post.xy)][:4]
    pairs = [(_crossing(post.xy, a[2], b[2]), -k, (a, b)) for k, (a, b) in enumerate(itertools.combinations(seen, 2))]
    best = max(pairs, default=(0.0, 0, seen[:1]))
    kept = best[2] if best[0] >= _FLAT_TIE else seen[:1]
    return [_tie(job, name, post.label, length, "tie") for length, name, _ in kept]


def _crossing(at: XY, a: XY, b: XY) -> float:
    """Sine of the angle at which the tapes from two points cross at ``at``."""
    return math.sin(angle_between(sub(a, at), sub(b, at)))


def _diagonals(job: Job, lines: list[Line], ground: Ground) -> list[Tie]:
    """From end to end over each corner: proves the angle between two strings."""
    result: list[Tie] = []
    for (i, one), (j, other) in itertools.combinations(enumerate(lines), 2):
        if not any(end.partner == j for end in one.ends) and not any(end.partner == i for end in other.ends):
            continue
        shared = [p for p in (one.posts[0], one.posts[-1]) if p.label in (other.posts[0].label, other.posts[-1].label)]
        for corner in shared:
            a = one.posts[-1] if one.posts[0].label == corner.label else one.posts[0]
            b = other.posts[-1] if other.posts[0].label == corner.label else other.posts[0]
            angle = angle_between(sub(a.xy, corner.xy), sub(b.xy, corner.xy))
            if a.label == b.label or math.sin(angle) < _FLAT_TIE or ground.buildings_between(a.xy, b.xy):
                continue
            tie = _diagonal(job, a, b, corner, angle)
            if tie.far_off_m <= _WEAK * job.stakes.tolerance_m:
                result.append(tie)
    return result


def _diagonal(job: Job, a: Post, b: Post, corner: Post, angle: float) -> Tie:
    length, legs = distance(a.xy, b.xy), (distance(a.xy, corner.xy), distance(b.xy, corner.xy))
    sideways = job.stakes.tolerance_m
    wanted = diagonal_tolerance(legs[0], legs[1], angle, max(legs), sideways)
    tolerance = max(wanted, tape_tolerance(length))
    return Tie(a.label, b.label, length, tolerance, "diagonal", sideways * tolerance / wanted)


def _one_place(things: list[SitePoint], posts: dict[str, Post]) -> dict[str, str]:
    """The name of the house corner that a bracket is screwed to, by the bracket's label."""
    brackets = [post for post in posts.values() if post.hole is None]
    return {post.label: thing.name for post in brackets for thing in things if distance(thing.xy, post.xy) < _SAME_M}


def _once(found: list[Tie], same: dict[str, str]) -> list[Tie]:
    """Each tape once, under its first name and with the least tolerance asked of it."""
    kept: dict[frozenset[str], Tie] = {}
    for tie in found:
        key = frozenset(same.get(name, name) for name in (tie.start, tie.end))
        first = kept.setdefault(key, tie)
        if tie.tolerance_m < first.tolerance_m:
            kept[key] = replace(first, tolerance_m=tie.tolerance_m)
    return list(kept.values())
