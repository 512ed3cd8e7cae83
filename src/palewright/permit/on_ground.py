"""Rules of height and of barriers on real ground: what they ask of a run before it is laid out, and what came of it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from palewright.layout import ground_at, reference
from palewright.layout.meeting_rules import Floats
from palewright.model import Finding, HeightLine, Job, Profile, Rule, RunLimits, Site
from palewright.permit.fence import Fence, Stretch
from palewright.permit.findings import SLACK_M, ask, found
from palewright.permit.lot import Yards, front_choices, lot_of
from palewright.permit.pool_default import pool_rules
from palewright.permit.regions import parts_between
from palewright.plane import XY, add, distance, left_of, path_stations, scale, sub, unit

__all__ = ["height_on_ground", "limits_on", "measured_from", "pool_on_ground"]

if TYPE_CHECKING:
    from palewright.permit.fence import Heights

_SIDE_M = 0.3048
"""The ground of the other side is looked at 1 ft from the fence where the rule does not say how far (our own)."""

_LOOK_M = 0.25
"""Ground beside the fence is looked at so often along it [m] (our own choice)."""

_Line = tuple[Floats, Floats]


def limits_on(
    job: Job, site: Site, heights: Heights
) -> Callable[[str, Sequence[XY], Profile, Sequence[float]], RunLimits]:
    """What the rules of a job ask of a run whose ground is known: legal heights by stretch, and the gap of a barrier.

    heights
        ground beside the runs [m], nan where it is not known.
    Where it is open which side is front, every choice counts: the lowest of them binds. Raises JobError for an easement
    that cannot be.
    """
    lot = lot_of(job, site)
    rules = job.rules.rules if job.rules is not None else pool_rules(job)
    barriers = {run for _, _, runs in lot.pools for run in runs}
    gaps = [gap for rule in rules if rule.kind == "pool" and (gap := rule.length("gap")) is not None]

    def limits(run: str, path: Sequence[XY], profile: Profile, posts_m: Sequence[float]) -> RunLimits:
        lines: list[HeightLine] = []
        for rule in rules:
            if rule.kind == "height" and lot.ring is not None:
                line, _ = measured_from(rule, path, profile, posts_m, heights)
                spans = {span for front in front_choices(lot) for span in _where(rule, path, lot.yards, front)}
                lines += [_cut(rule, line, *span) for span in sorted(spans)]
        return RunLimits(tuple(lines), min(gaps) if gaps and run in barriers else None)

    return limits


def _where(
    rule: Rule, path: Sequence[XY], yards_of: Callable[..., Yards], front: tuple[int, ...]
) -> list[tuple[float, float]]:
    """Stretches of a path, from and to along it [m], in the yards of a rule."""
    wanted = rule.names("yards")
    stations = path_stations(path)
    if not wanted:
        return [(0.0, stations[-1])]
    yards = yards_of(front, rule.length("depth"))
    if yards.ask:
        return []
    found: list[tuple[float, float]] = []
    for (a, b), at in zip(itertools.pairwise(path), stations, strict=False):
        for low, high, middle in parts_between(a, b, yards.edges):
            if yards.of(middle) in wanted:
                if found and abs(found[-1][1] - at - low) < 1e-6:
                    found[-1] = (found[-1][0], at + high)
                else:
                    found.append((at + low, at + high))
    return found


def _cut(rule: Rule, line: _Line, low: float, high: float) -> HeightLine:
    s, z = line
    inside = (s > low) & (s < high)
    ends = np.interp([low, high], s, z)
    most = rule.length("most") or 0.0
    return HeightLine(rule.name, most, (low, *s[inside].tolist(), high), (ends[0], *z[inside].tolist(), ends[1]))


def measured_from(
    rule: Rule, path: Sequence[XY], profile: Profile, posts_m: Sequence[float], heights: Heights | None
) -> tuple[_Line, bool]:
    """The heights from which a rule measures along a run, and whether they are known as the rule wants them.

    path, profile, posts_m
        corners of the run, the ground under it, stations of its posts [m]. heights: ground beside it.
    Where the ground beside the fence is not known the ground under it stands in. The ground on both sides is looked at
    square to the fence, at the distance of the rule.
    """
    how, within = rule.word("measured", "own grade"), rule.length("within")
    s, z = np.array(profile.stations_m), np.array(profile.heights_m)
    if how in ("own grade", "post"):
        return reference(s, z, how, posts_m=np.array(posts_m)), True
    off = _SIDE_M if within is None else within
    line, known = (s, z), True
    side = "higher side" if how in ("higher side", "highest within") else "lower side"
    for sign in (1.0, -1.0):
        beside, whole = _beside(path, profile, sign * off, heights)
        line, known = reference(*line, side, beside=beside), known and whole
    return (reference(*line, how, within_m=off) if how.endswith("within") else line), known


def _beside(path: Sequence[XY], profile: Profile, off_m: float, heights: Heights | None) -> tuple[_Line, bool]:
    """The ground along a line beside a run; under the run where it is not known there."""
    s, z = np.array(profile.stations_m), np.array(profile.heights_m)
    at, places, start = [], [], 0.0
    for a, b in itertools.pairwise(path):
        length = distance(a, b)
        d = unit(sub(b, a))
        here = np.linspace(0.0, length, max(2, math.ceil(length / _LOOK_M) + 1))
        begin = add(a, scale(left_of(d), off_m))
        at.append(start + here)
        places.append(np.array(begin) + here[:, None] * np.array(d))
        start += length
    stations, own = np.concatenate(at), ground_at(s, z, np.concatenate(at))
    found = heights(np.concatenate(places)) if heights is not None else np.full(len(stations), np.nan)
    known = np.isfinite(found)
    return (stations, np.where(known, found, own)), bool(known.all())


# ---------------------------------------------------------------- what came of it


def height_on_ground(rule: Rule, fence: Fence, stretch: Stretch, yard: str) -> Finding:
    """The highest part of a stretch whose ground is known, measured as the rule says."""
    most, kind, how = rule.length("most") or 0.0, fence.kinds[stretch.fence], rule.word("measured", "own grade")
    line, known = _line_of(rule, fence, stretch)
    height, at = max(_over(fence, stretch, line, 1.0))
    height += kind.height_m - kind.top_m
    cap = dict(kind.height_words).get("post cap", 0.0) - (rule.length("posts_over") or 0.0)
    height, at = max([(height, at), *((top + cap, s) for top, s in _posts_over(fence, stretch, line))])
    kept = height <= most + SLACK_M
    args = (("ground", how), ("at_m", at))
    more: dict[str, Any] = {"provided": height, "required": most, "bound": "most", "yard": yard, "args": args}
    # ground that nobody measured can only lower a height that counts from the higher side, and raise the other
    if not known and kept != how.startswith("high"):
        return ask(rule, "height-on-ground", "other-side-not-known", stretch, **more)
    return found(rule, "meets" if kept else "does-not", "height-on-ground", stretch, **more)


def pool_on_ground(rule: Rule, fence: Fence, stretch: Stretch) -> list[Finding]:
    """Height and gap of a barrier whose ground is known: at the lowest top and the widest gap, anywhere in it."""
    made = []
    height, gap = rule.length("height"), rule.length("gap")
    if height is not None:
        line, _ = _line_of(rule, fence, stretch)
        over, at = max(_over(fence, stretch, line, -1.0))
        made.append(_bound(rule, stretch, "barrier-on-ground", -over, height, "least", at))
    if gap is not None:
        widest = max((fence.met[bay].most for bay in stretch.bays), key=lambda one: one.gap_m)
        made.append(_bound(rule, stretch, "gap-on-ground", widest.gap_m, gap, "most", widest.at_m))
    return made


def _bound(rule: Rule, stretch: Stretch, measure: str, value: float, limit: float, bound: str, at: float) -> Finding:
    kept = value >= limit - SLACK_M if bound == "least" else value <= limit + SLACK_M
    return found(rule, "meets" if kept else "does-not", measure, stretch, provided=value, required=limit, bound=bound,
                 args=(("at_m", at),))  # fmt: skip


def _line_of(rule: Rule, fence: Fence, stretch: Stretch) -> tuple[_Line, bool]:
    """The heights from which a rule measures along the run of a stretch."""
    run = fence.runs[stretch.run]
    assert run.profile is not None
    legs = [fence.design.legs[leg] for leg in run.legs]
    spans = [fence.span(bay) for leg in legs for bay in leg.bays]
    path = [*(leg.start for leg in legs), legs[-1].end]
    return measured_from(rule, path, run.profile, [*(a for a, _ in spans), spans[-1][1]], fence.heights)


def _over(fence: Fence, stretch: Stretch, line: _Line, sign: float) -> list[tuple[float, float]]:
    """Signed height of the top of each bay of a stretch above a line where it is greatest, with its station."""
    s, z = line
    made = []
    for number in stretch.bays:
        low, high = fence.span(number)
        a, b = max(low, stretch.low_m), min(high, stretch.high_m)
        at = np.concatenate([[a], s[(s > a) & (s < b)], [b]])
        above = sign * (np.interp(at, (low, high), fence.met[number].top_m) - ground_at(s, z, at))
        k = int(above.argmax())
        made.append((float(above[k]), float(at[k])))
    return made


def _posts_over(fence: Fence, stretch: Stretch, line: _Line) -> list[tuple[float, float]]:
    """Tops of the posts in a stretch above a line, with their stations."""
    profile = fence.runs[stretch.run].profile
    assert profile is not None
    own = np.array(profile.stations_m), np.array(profile.heights_m)
    ends: dict[str, float] = {}
    for number in stretch.bays:
        ends |= dict(zip((fence.bays[number].start, fence.bays[number].end), fence.span(number), strict=True))
    made = []
    for label, at in ends.items():
        if fence.posts[label].number and stretch.low_m - SLACK_M <= at <= stretch.high_m + SLACK_M:
            here = np.array([at])
            lift = float(ground_at(*own, here)[0] - ground_at(*line, here)[0])
            made.append((fence.posts[label].above_m + lift, at))
    return made
