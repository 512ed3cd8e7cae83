"""Crossings of strings, and the triangles that square the corners."""

from __future__ import annotations

import math
from dataclasses import replace

from palewright.model import CornerCheck, Crossing, Job, Reason, Remark, Site, StringLine
from palewright.plane import XY, angle_between, distance, dot, scale, sub
from palewright.stakeout.line import Line
from palewright.stakeout.squaring import chord, diagonal_tolerance, tape_tolerance
from palewright.stakeout.stakes import Ground
from palewright.stakeout.strings import reading

__all__ = ["corner_checks", "crossings"]

_FOOT_M = 0.3048
_STEP_METRIC_M = 0.3
_RIGHT = 1e-5
_SAME_M = 0.001
_UNEVEN = 4.0 / 3.0
"""Longer leg of a triangle over the shorter: more of it lengthens the tape, and hardly the proof (our own choice)."""


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
    job: Job, site: Site, lines: list[Line], strings: list[StringLine], made: list[Crossing], ground: Ground,
    remarks: list[Remark], reasons: list[Reason],
) -> list[CornerCheck]:  # fmt: skip
    """A triangle for each crossing: the largest 3-4-5 at a right angle, the chord at any other."""
    assumed = {dict(remark.args)["point"] for remark in site.remarks if remark.slug == "assumed-right-angle"}
    unmeasured = [point.xy for point in site.points if point.name in assumed]
    by_name = {line.name: (line, string) for line, string in zip(lines, strings, strict=True)}
    result: list[CornerCheck] = []
    for crossing in made:
        arms = [_arm(*by_name[name], crossing.xy) for name in crossing.strings]
        check = _check(job, by_name, crossing, arms, ground)
        if check is None:
            args = (("post", crossing.post), ("strings", ", ".join(crossing.strings)))
            remarks.append(Remark("corner-check-too-small", "caution", f"corner {crossing.post}", args))
            continue
        post = next(p for p in by_name[crossing.strings[0]][0].posts if p.label == crossing.post)
        check = replace(check, assumed=any(distance(post.xy, xy) < _SAME_M for xy in unmeasured))
        result.append(check)
        inputs = (("a", check.legs_m[0]), ("b", check.legs_m[1]), ("angle_rad", check.angle))
        about = f"corner {crossing.post}"
        reasons.append(Reason(about, "diagonal", check.diagonal_m, "m", "c^2 = a^2 + b^2 - 2 a b cos(angle)", inputs))
        formula = "a b sin(angle) / c x sideways / longer leg of the fence, but no less than a tape itself may be off"
        tape = tape_tolerance(check.diagonal_m)
        more = (*inputs, ("sideways", job.stakes.tolerance_m), ("tape", tape))
        source = "nist-hb44" if check.tolerance_m <= tape else "geometry"
        reasons.append(Reason(about, "diagonal tolerance", check.tolerance_m, "m", formula, more, source))
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
    diagonal, sideways = chord(legs[0], legs[1], angle), job.stakes.tolerance_m
    wanted = diagonal_tolerance(legs[0], legs[1], angle, far, sideways)
    tolerance = max(wanted, tape_tolerance(diagonal))
    far_off = sideways * tolerance / wanted
    return CornerCheck(crossing.post, crossing.strings, angle, method, legs, diagonal, tolerance, False, far_off)


def _go(a: XY, u: XY, length: float) -> XY:
    return (a[0] + u[0] * length, a[1] + u[1] * length)


def _three_four_five(room: list[float], tape: float) -> tuple[int, tuple[int, int]]:
    """Largest whole multiple of 3-4-5 that fits, either way round: (multiple, legs in steps)."""
    most = int((tape + 1e-9) / 5.0)
    one = min(most, int(room[0] / 3.0), int(room[1] / 4.0))
    other = min(most, int(room[0] / 4.0), int(room[1] / 3.0))
    return (one, (3 * one, 4 * one)) if one >= other else (other, (4 * other, 3 * other))


def _chord_steps(room: list[float], angle: float, tape: float) -> tuple[int, int]:
    """Longest legs in whole steps that fit the strings, with a chord that fits the tape, neither much the longer."""
    a, b = int(room[0]), int(room[1])
    a, b = min(a, math.ceil(b * _UNEVEN)), min(b, math.ceil(a * _UNEVEN))
    while min(a, b) > 0 and chord(a, b, angle) > tape + 1e-9:
        if a >= b:
            a -= 1
        else:
            b -= 1
    return a, b
