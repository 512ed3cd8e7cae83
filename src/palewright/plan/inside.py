"""How far inside the line every post stands, how well that is known, and the inset that a chosen risk asks for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from palewright.boundary import ring_sides
from palewright.errors import JobError, ProblemError
from palewright.layout import proud
from palewright.model import Design, Inside, Job, Kind, LineDistance, Post, Site, Stakeout, StringLine
from palewright.plan.inside_said import pairs, reasons, remarks, rests
from palewright.plan.line_known import LineKnown, NotKnownError
from palewright.plan.margins import side_margins
from palewright.plane import XY, Side, distance
from palewright.record import Record
from palewright.survey import (
    Adjustment,
    crossing_chance,
    inset_for_risk,
    nearest_sides,
    offset_rows,
    share_sigma,
    string_sigma,
    tool_accuracy,
)
from palewright.tables import ToolAccuracy

__all__ = ["NEAR_M", "how_far_inside"]

Floats = NDArray[np.float64]
NEAR_M = 3.048
"""Posts farther from the line than this, 10 ft, are left out (our own choice) [m]."""
MOST = 2_000
"""With more near posts than this only the telling ones of each leg and side are listed (our own choice)."""
_WHAT = ("face", "post", "footing")
_PARTS = ("line", "network", "corner tapes", "string")


def how_far_inside(
    job: Job,
    site: Site,
    kinds: Mapping[str, Kind],
    design: Design,
    stakeout: Stakeout,
    adjustment: Adjustment | None,
) -> Inside | None:
    """Distance to the line of every post near it, with its standard deviation and the chance that it is over the line.

    kinds
        fences by name: at a post deeper than the line posts the rails on its face stand out, and count as they stand.
    adjustment
        of what was measured, or None.
    Returns None without a boundary. The work is one pass over arrays for each leg and side. Every near post is listed,
    or with more than :data:`MOST` of them the telling ones. A wrong pin is in none of the numbers.
    Raises JobError for words for the crew's tape that nobody knows. Source: propagation of variance; each part of
    the standard deviation has its own.
    """
    if site.ring is None:
        return None
    tape = _tape(job)
    sides = ring_sides(site.ring)
    known = LineKnown(job, site, design.legs, sides, adjustment)
    posts = [_as_built(post, kinds) for post in design.posts if post.hole is not None and post.inset]
    posts = [post for post in posts if min(far for _, far in post.inset) < NEAR_M]
    risk = job.boundary.risk if job.boundary is not None else None
    distances = _distances(site, design, stakeout, sides, known, tape, posts, risk)
    margins = side_margins(job, design, distances, risk)
    corners, two = rests(job, site, known), pairs(site, known)
    said = remarks(job, site, distances, margins, corners, two, risk)
    why = reasons(known, sides, distances, tape, risk)
    return Inside(risk, tape.name, NEAR_M, len(posts), distances, margins, corners, two, said, why)


def _as_built(post: Post, kinds: Mapping[str, Kind]) -> Post:
    """A post whose fence face is where rails that nobody notches put it."""
    out = proud(kinds[post.kind], post)
    return replace(post, inset=tuple((what, far - out * (what == "face")) for what, far in post.inset))


def _tape(job: Job) -> ToolAccuracy:
    try:
        return tool_accuracy(job.stakes.tape)
    except ProblemError as error:
        raise JobError(problem.at(job.stakes.at) for problem in error.problems) from error


@dataclass(slots=True)
class _Work:
    """The posts as arrays, and what is found for each: parts of the standard deviation [m], or why there is none."""

    points: Floats
    foot: Floats
    side: NDArray[np.int64]
    leg: list[int]
    line: Floats
    network: Floats
    normal: Floats
    why: list[str]


def _distances(
    site: Site,
    design: Design,
    stakeout: Stakeout,
    sides: Sequence[Side],
    known: LineKnown,
    tape: ToolAccuracy,
    posts: Sequence[Post],
    risk: float | None,
) -> tuple[LineDistance, ...]:
    if not posts:
        return ()
    points = np.array([post.xy for post in posts])
    near = nearest_sides(points, sides)
    inside = {run.name for run in design.runs if run.inside}
    legs = [min(post.legs, key=lambda k: (design.legs[k].run not in inside, k)) for post in posts]
    zero = np.zeros(len(posts))
    work = _Work(points, near.foot, near.side, legs, zero, zero.copy(), np.zeros_like(points), [""] * len(posts))
    _fill(work, design, sides, known)
    corner, string = _set_out(site, design, stakeout, tape, posts, work)
    settings = tuple((what, tool_accuracy(what, "setting").sigma()) for what in ("post", "hole"))
    common = work.line**2 + work.network**2 + corner**2 + string**2
    upper, lower = (np.sqrt(common + sigma**2) for _, sigma in settings)
    insets = np.array([[dict(post.inset)[what] for what in _WHAT] for post in posts])
    parts = np.stack((work.line, work.network, corner, string), axis=1)
    rows = []
    for k in _kept(work, insets, upper, lower, risk):
        far = (float(insets[k, 0]), float(insets[k, 1]), float(insets[k, 2]))
        row = LineDistance(posts[k].label, design.legs[legs[k]].run, int(near.side[k]) + 1, *far, why=work.why[k])
        if not row.why:
            named = (*zip(_PARTS, parts[k].tolist(), strict=True), *settings)
            row = _with_chance(row, float(upper[k]), float(lower[k]), named)
        rows.append(row)
    return tuple(rows)


def _with_chance(row: LineDistance, upper: float, lower: float, parts: tuple[tuple[str, float], ...]) -> LineDistance:
    """The row with its standard deviations: of face and post, and of the footing [m]."""
    cells = ((row.face_m, upper), (row.post_m, upper), (row.footing_m, lower))
    chance = tuple((what, crossing_chance(*cell)) for what, cell in zip(_WHAT, cells, strict=True))
    return replace(row, sigma_m=upper, footing_sigma_m=lower, parts=parts, chance=chance)


def _kept(work: _Work, insets: Floats, upper: Floats, lower: Floats, risk: float | None) -> list[int]:
    """Every post; where there are very many, of each leg and side the first, the last, the nearest and the worst."""
    if len(insets) <= MOST:
        return list(range(len(insets)))
    z = inset_for_risk(risk, 1.0) if risk is not None else 0.0
    above = insets[:, :2].min(axis=1)
    orders = (above, insets[:, 2], above / upper, insets[:, 2] / lower, above - z * upper, insets[:, 2] - z * lower)
    kept: set[int] = set()
    for members in _groups(work).values():
        at = np.array(members)
        kept |= {members[0], members[-1]} | {members[int(order[at].argmin())] for order in orders}
    return sorted(kept)


def _groups(work: _Work) -> dict[tuple[int, int], list[int]]:
    """Posts by leg and side."""
    groups: dict[tuple[int, int], list[int]] = {}
    for k, key in enumerate(zip(work.leg, work.side.tolist(), strict=True)):
        groups.setdefault(key, []).append(k)
    return groups


def _fill(work: _Work, design: Design, sides: Sequence[Side], known: LineKnown) -> None:
    """Line and network parts, leg by leg and side by side."""
    for (leg, side), members in _groups(work).items():
        at = np.array(members)
        work.normal[at] = offset_rows(work.points[at], work.foot[at], sides[side])[0]
        try:
            work.line[at], work.network[at] = known.parts(design.legs[leg], side, work.points[at], work.foot[at])
        except NotKnownError as unknown:
            for k in members:
                work.why[k] = unknown.why


# ---------------------------------------------------------------- the stake-out


class _On(Record):
    """A post on a string: the string's unit vector, share of its length, what the tape reads [m], the end posts."""

    along: XY
    share: float
    reads: float
    ends: tuple[str, str]


def _set_out(
    site: Site, design: Design, stakeout: Stakeout, tape: ToolAccuracy, posts: Sequence[Post], work: _Work
) -> tuple[Floats, Floats]:
    """What the stake-out adds to the distance of each post from its side: tapes to the string's ends, and the string.

    Of the strings that a post stands on the one that runs most nearly along the side counts.
    """
    on = _strings(stakeout.strings)
    ends = _ends(site, design, stakeout, tape, posts, on)
    across = tool_accuracy("string", "line").sigma()
    share, taped, cosine = (np.zeros(len(posts)) for _ in range(3))
    first, last = np.zeros(len(posts)), np.zeros(len(posts))
    for k, post in enumerate(posts):
        nx, ny = work.normal[k].tolist()
        strings = on.get(post.label)
        if not strings:
            first[k] = last[k] = ends[post.label]
            taped[k], cosine[k] = tape.sigma(), 0.0
            continue
        best = min(strings, key=lambda one: abs(one.along[0] * nx + one.along[1] * ny))
        cosine[k] = best.along[0] * nx + best.along[1] * ny
        share[k], taped[k] = best.share, tape.sigma(best.reads)
        first[k], last[k] = ends[best.ends[0]], ends[best.ends[1]]
    return share_sigma(share, first, last), string_sigma(cosine, across, taped)


def _strings(strings: Sequence[StringLine]) -> dict[str, list[_On]]:
    found: dict[str, list[_On]] = {}
    for string in strings:
        (ax, ay), (bx, by) = string.start_xy, string.end_xy
        size = math.hypot(bx - ax, by - ay)
        if not string.marks or size == 0.0:
            continue
        along = ((bx - ax) / size, (by - ay) / size)
        low, high = string.marks[0], string.marks[-1]
        span = high.reads_m - low.reads_m
        for mark in string.marks:
            share = (mark.reads_m - low.reads_m) / span if span > 0.0 else 0.0
            found.setdefault(mark.post, []).append(_On(along, share, mark.from_rezero_m, (low.post, high.post)))
    return found


def _ends(
    site: Site, design: Design, stakeout: Stakeout, tape: ToolAccuracy, posts: Sequence[Post], on: dict[str, list[_On]]
) -> dict[str, float]:
    """How well each end of a string is set [m]: by the shortest tape from what stands or from a pin that was found."""
    wanted = {end for rows in on.values() for one in rows for end in one.ends}
    wanted |= {post.label for post in posts if post.label not in on}
    ties: dict[str, float] = {}
    for tie in stakeout.ties:
        if tie.why == "tie":
            ties[tie.end] = min(ties.get(tie.end, math.inf), tie.length_m)
    corners = {xy for _, outline in site.buildings for xy in outline}
    stands = [p.xy for p in site.points if p.found or p.how == "thing" or p.xy in corners]
    found = {}
    for post in design.posts:
        if post.label in wanted:
            nearest = min((distance(post.xy, xy) for xy in stands), default=0.0)
            found[post.label] = tape.sigma(min(nearest, ties.get(post.label, math.inf)))
    return found
