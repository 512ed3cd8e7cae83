"""Crossings, triangles that set the corners, and the tapes that prove them."""

from __future__ import annotations

import itertools
import math

from palewright.model import CornerCheck, Crossing, Design, Job, Reason, Remark, Site, StringLine, Tie
from palewright.plane import XY, angle_between, distance, dot, scale, sub
from palewright.stakeout.lines import Line
from palewright.stakeout.squaring import chord, diagonal_tolerance
from palewright.stakeout.stakes import Ground
from palewright.stakeout.strings import reading

__all__ = ["corner_checks", "crossings", "ties"]

_FOOT_M = 0.3048
_STEP_METRIC_M = 0.3
_RIGHT = 1e-5
_FLAT_TIE = math.sin(math.radians(15.0))


def crossings(lines: list[Line], reasons: list[Reason]) -> list[Crossing]:
    """Where strings cross, each pair at a post once."""
    found: list[Crossing] = []
    seen: set[tuple[int, int, str]] = set()
    for index, line in enumerate(lines):
        for end in (0, 1):
            what, post = line.ends[end], line.posts[-1 if end else 0]
            if what.partner < 0:
                continue
            key = (min(index, what.partner), max(index, what.partner), post.label)
            if key in seen:
                continue
            seen.add(key)
            other = lines[what.partner]
            xy = line.point(what.s)
            along = dot(sub(xy, other.base), other.d)
            angle = _yard_angle(line, end, other, post.label)
            found.append(
                Crossing((line.name, other.name), post.label, xy, (reading(line, what.s), reading(other, along)), angle)
            )
            corner = what.s if end == 0 else line.at[-1] - what.s
            reasons.append(
                Reason(
                    f"string {line.name}",
                    f"crossing to post {post.label}",
                    abs(corner),
                    "m",
                    "along the string, where the strings cross; offset / tan(angle / 2) for equal offsets",
                    (("offset", line.offset), ("angle_rad", angle)),
                )
            )
    return found


def _yard_angle(line: Line, end: int, other: Line, label: str) -> float:
    """Angle between the legs at a post, measured through the yard of ``line`` [rad]; at a tee the smaller angle."""
    into = line.d if end == 0 else scale(line.d, -1.0)
    if other.posts[0].label == label:
        ray = other.d
    elif other.posts[-1].label == label:
        ray = scale(other.d, -1.0)
    else:
        between = angle_between(into, other.d)
        return min(between, math.pi - between)
    return math.atan2(dot(ray, line.yard), dot(ray, into)) % math.tau


def corner_checks(
    job: Job, lines: list[Line], strings: list[StringLine], made: list[Crossing], ground: Ground, remarks: list[Remark],
    reasons: list[Reason],
) -> list[CornerCheck]:  # fmt: skip
    """A triangle for each crossing: the largest 3-4-5 at a right angle, the chord at any other."""
    by_name = {line.name: (line, string) for line, string in zip(lines, strings, strict=True)}
    result: list[CornerCheck] = []
    for crossing in made:
        arms = [_arm(*by_name[name], crossing.xy) for name in crossing.strings]
        check = _check(job, by_name, crossing, arms, ground)
        if check is None:
            args = (("post", crossing.post), ("strings", ", ".join(crossing.strings)))
            remarks.append(Remark("corner-check-too-small", "caution", f"corner {crossing.post}", args))
            continue
        result.append(check)
        inputs = (("a", check.legs_m[0]), ("b", check.legs_m[1]), ("angle_rad", check.angle))
        about = f"corner {crossing.post}"
        reasons.append(Reason(about, "diagonal", check.diagonal_m, "m", "c^2 = a^2 + b^2 - 2 a b cos(angle)", inputs))
        formula = "a b sin(angle) / c x sideways / longer leg of the fence"
        more = (*inputs, ("sideways", job.stakes.tolerance_m))
        reasons.append(Reason(about, "diagonal tolerance", check.tolerance_m, "m", formula, more))
    return result


def _arm(line: Line, string: StringLine, at: XY) -> tuple[XY, float]:
    """Direction of the longer side of a string from a crossing, and how far it is held that way [m]."""
    s = dot(sub(at, line.base), line.d)
    ends = [dot(sub(stake.xy, line.base), line.d) for stake in string.stakes]
    for k, stake in enumerate(string.stakes):
        if stake.refused:
            ends[k] = line.ends[k].s
    back, on = s - ends[0], ends[1] - s
    return (line.d, on) if on >= back else (scale(line.d, -1.0), back)


def _check(
    job: Job,
    by_name: dict[str, tuple[Line, StringLine]],
    crossing: Crossing,
    arms: list[tuple[XY, float]],
    ground: Ground,
) -> CornerCheck | None:
    angle = angle_between(arms[0][0], arms[1][0])
    step = _STEP_METRIC_M if job.print_style == "metric" else _FOOT_M
    room = [min(length, job.tape_m) / step + 1e-9 for _, length in arms]
    method, steps = "chord", (0, 0)
    if abs(angle - math.pi / 2.0) < _RIGHT:
        times, steps = _three_four_five(room, job.tape_m / step)
        if times:
            method = f"3-4-5 by {times * 3 if job.print_style == 'metric' else times}"
            angle = math.pi / 2.0
    if method == "chord":
        steps = _chord_steps(room, angle, job.tape_m / step)
    while min(steps) > 0:
        legs = (steps[0] * step, steps[1] * step)
        ends = [_go(crossing.xy, arm[0], leg) for arm, leg in zip(arms, legs, strict=True)]
        if not ground.buildings_between(ends[0], ends[1]):
            break
        if method == "chord":
            steps = (steps[0] - 1, steps[1] - 1)
        else:
            times = steps[0] // (3 if steps[0] < steps[1] else 4) - 1
            steps = (steps[0] // (times + 1) * times, steps[1] // (times + 1) * times)
            method = f"3-4-5 by {times * 3 if job.print_style == 'metric' else times}"
    if min(steps) <= 0:
        return None
    far = max(by_name[name][0].at[-1] for name in crossing.strings)
    post = next(p for p in by_name[crossing.strings[0]][0].posts if p.label == crossing.post)
    return CornerCheck(
        crossing.post,
        crossing.strings,
        angle,
        method,
        legs,
        chord(legs[0], legs[1], angle),
        diagonal_tolerance(legs[0], legs[1], angle, far, job.stakes.tolerance_m),
        post.assumed,
    )


def _go(a: XY, u: XY, length: float) -> XY:
    return (a[0] + u[0] * length, a[1] + u[1] * length)


def _three_four_five(room: list[float], tape: float) -> tuple[int, tuple[int, int]]:
    """Largest whole multiple of 3-4-5 that fits, either way round: (multiple, legs in steps)."""
    most = int((tape + 1e-9) / 5.0)
    one = min(most, int(room[0] / 3.0), int(room[1] / 4.0))
    other = min(most, int(room[0] / 4.0), int(room[1] / 3.0))
    return (one, (3 * one, 4 * one)) if one >= other else (other, (4 * other, 3 * other))


def _chord_steps(room: list[float], angle: float, tape: float) -> tuple[int, int]:
    """Longest legs in whole steps that fit the strings, with a chord that fits the tape."""
    a, b = int(room[0]), int(room[1])
    while min(a, b) > 0 and chord(a, b, angle) > tape + 1e-9:
        if a >= b:
            a -= 1
        else:
            b -= 1
    return a, b


# ---------------------------------------------------------------- ties


def ties(job: Job, site: Site, design: Design, lines: list[Line], ground: Ground) -> list[Tie]:
    """Diagonals over the corners, whole lengths, and tapes from what stands to the corner posts.

    What stands: things that walks and walls start from, found monuments, and named corners of buildings.
    """
    tolerance = job.stakes.tolerance_m
    result = _diagonals(job, lines, ground)
    for line in lines:
        if line.at[-1] > 0.0 and len(line.posts) > 2:
            result.append(Tie(line.posts[0].label, line.posts[-1].label, line.at[-1], tolerance, "overall"))
    corners = {ref.name for _, refs in job.buildings for ref in refs if ref.name}
    things = [p for p in site.points if not p.assumed_angle and (p.how == "thing" or p.found or p.name in corners)]
    done: set[str] = set()
    for line in lines:
        for post in (line.posts[0], line.posts[-1]):
            if post.label in done or post.hole is None:
                continue
            done.add(post.label)
            near = sorted((distance(thing.xy, post.xy), thing.name, thing.xy) for thing in things)
            seen = [t for t in near if 0.3 < t[0] <= job.tape_m and not ground.buildings_between(t[2], post.xy)]
            result.extend(Tie(t[1], post.label, t[0], tolerance, "tie") for t in _best_pair(post.xy, seen[:4]))
    return result


def _best_pair(at: XY, near: list[tuple[float, str, XY]]) -> list[tuple[float, str, XY]]:
    """The two tapes that cross best at a point; one where there is only one."""
    if len(near) < 2:
        return near
    best = near[:2]
    for a, b in itertools.combinations(near, 2):
        if _crossing(at, a[2], b[2]) > _crossing(at, best[0][2], best[1][2]):
            best = [a, b]
    return best


def _crossing(at: XY, a: XY, b: XY) -> float:
    """Sine of the angle at which the tapes from two points cross at ``at``."""
    return math.sin(angle_between(sub(a, at), sub(b, at)))


def _diagonals(job: Job, lines: list[Line], ground: Ground) -> list[Tie]:
    """From end to end over each corner: proves the angle between two strings."""
    result: list[Tie] = []
    seen: set[frozenset[str]] = set()
    for (i, one), (j, other) in itertools.combinations(enumerate(lines), 2):
        if not any(end.partner == j for end in one.ends) and not any(end.partner == i for end in other.ends):
            continue
        shared = [p for p in (one.posts[0], one.posts[-1]) if p.label in (other.posts[0].label, other.posts[-1].label)]
        for corner in shared:
            a = one.posts[-1] if one.posts[0].label == corner.label else one.posts[0]
            b = other.posts[-1] if other.posts[0].label == corner.label else other.posts[0]
            key = frozenset((a.label, b.label))
            if a.label == b.label or key in seen:
                continue
            angle = angle_between(sub(a.xy, corner.xy), sub(b.xy, corner.xy))
            if math.sin(angle) < _FLAT_TIE or ground.buildings_between(a.xy, b.xy):
                continue
            seen.add(key)
            legs = distance(a.xy, corner.xy), distance(b.xy, corner.xy)
            allowed = diagonal_tolerance(legs[0], legs[1], angle, max(legs), job.stakes.tolerance_m)
            result.append(Tie(a.label, b.label, distance(a.xy, b.xy), allowed, "diagonal"))
    return result
