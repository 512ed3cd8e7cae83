"""Tapes between posts and to what stands: they place the corner posts, and prove the fence afterwards."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from palewright.model import Job, Post, Remark, Site, SitePoint, Tie
from palewright.plane import XY, angle_between, distance, sub
from palewright.stakeout.line import Line
from palewright.stakeout.places import Wall, in_line, things_of, walls_of
from palewright.stakeout.squaring import diagonal_tolerance, tape_tolerance
from palewright.stakeout.stakes import Ground

__all__ = ["ties"]

_FLAT_TIE = math.sin(math.radians(15.0))
_WEAK = 4.0
"""A diagonal that proves the far end only to this many times the job's tolerance is left out (our own choice)."""
_SAME_M = 0.001
_NEAREST = 5
"""Among so many of the nearest things the two are chosen whose tapes cross best (our own choice)."""


def ties(job: Job, site: Site, lines: list[Line], ground: Ground, remarks: list[Remark]) -> list[Tie]:
    """Tapes that place the end and corner posts, diagonals over the corners, whole lengths; each tape once.

    A post is placed from what stands (things that walks and walls start from, found monuments, named corners of
    buildings and points on their walls): by one tape in line with a wall, or by two that cross. What neither reaches is
    placed from posts already set, so the ties that place are in order of work. ``remarks`` says which posts stand in
    line with a wall, and which nothing places.
    """
    walls = walls_of(site)
    things = things_of(job, site, walls)
    posts = {post.label: post for line in lines for post in (line.posts[0], line.posts[-1])}
    holes = sorted((post for post in posts.values() if post.hole is not None), key=lambda post: post.number)
    found: list[Tie] = []
    stand = {thing.name: thing.xy for thing in things}
    left = [post for post in holes if not _in_line(job, walls, post, ground, found, remarks)]
    left = _place(job, stand, left, ground, found)
    for sights in (0, 1):  # a tape over one sighted point only where no shorter one places a post
        for sure in (True, False):  # posts that hang on an unmeasured corner place others only where nothing else does
            more = True
            while more:
                stand |= {p.label: p.xy for p in holes if p not in left and not (sure and p.assumed)}
                rest = _place(job, stand, left, ground, found, sights)
                more, left = len(rest) < len(left), rest
    for post in left:
        found += [_tie(job, name, post.label, length, "tie") for length, name, _ in _near(job, stand, post, ground)[:1]]
    if lines:
        _say(remarks, left, found)
    found += _diagonals(job, lines, ground)
    for line in lines:
        if line.at[-1] > 0.0 and len(line.posts) > 2:
            whole = distance(line.posts[0].xy, line.posts[-1].xy)
            found.append(_tie(job, line.posts[0].label, line.posts[-1].label, whole, "overall"))
    result = _once(found, _one_place(things, posts))
    long = [f"{tie.start}-{tie.end}" for tie in result if tie.length_m > job.tape_m + 1e-9]
    if long:
        args = (("ties", ", ".join(long)), ("tape_m", job.tape_m))
        remarks.append(Remark("tie-longer-than-tape", "note", "ties", args))
    return result


def _tie(job: Job, start: str, end: str, length: float, why: str) -> Tie:
    return Tie(start, end, length, max(job.stakes.tolerance_m, tape_tolerance(length)), why)


def _say(remarks: list[Remark], left: list[Post], found: list[Tie]) -> None:
    """Which posts neither two tapes nor a wall place."""
    if left:
        args = (("posts", ", ".join(post.label for post in left)), ("count", len(left)))
        remarks.append(Remark("few-ties" if found else "nothing-stands", "caution", "ties", args))


def _in_line(job: Job, walls: list[Wall], post: Post, ground: Ground, found: list[Tie], remarks: list[Remark]) -> bool:
    """Whether a post stands in line with a wall: then one tape from the end of the wall places it."""
    line = in_line(walls, post.xy, job.stakes.tolerance_m / 2.0, job.tape_m)
    if line is None or ground.buildings_between(line.xy, post.xy):
        return False
    found.append(_tie(job, line.start, post.label, line.length_m, "tie"))
    args = (("post", post.label), ("wall", line.wall.name), ("start", line.start), ("from_m", line.length_m))
    remarks.append(Remark("post-in-line", "note", f"post {post.label}", args))
    return True


def _near(job: Job, stand: dict[str, XY], post: Post, ground: Ground, sights: int = 0) -> list[tuple[float, str, XY]]:
    """What stands within reach of the tape, held again at so many sighted points, and is seen; nearest first."""
    reach = (sights + 1) * job.tape_m
    near = sorted((distance(xy, post.xy), name, xy) for name, xy in stand.items() if name != post.label)
    return [t for t in near if _SAME_M < t[0] <= reach and not ground.buildings_between(t[2], post.xy)]


def _place(
    job: Job, stand: dict[str, XY], posts: list[Post], ground: Ground, found: list[Tie], sights: int = 0
) -> list[Post]:
    """Add to ``found`` the two tapes to each post that cross best; returns the posts where no two cross well."""
    left = []
    for post in posts:
        seen = _near(job, stand, post, ground, sights)[:_NEAREST]
        pairs = [
            (_crossing(post.xy, a[2], b[2]), -k, (a, b)) for k, (a, b) in enumerate(itertools.combinations(seen, 2))
        ]
        sine, _, best = max(pairs, default=(0.0, 0, ()))
        if sine < _FLAT_TIE:
            left.append(post)
            continue
        found += [_tie(job, name, post.label, length, "tie") for length, name, _ in best]
    return left


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
