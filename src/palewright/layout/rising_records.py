"""What comes of runs put on the ground: their records, and what must be said of them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import field

import numpy as np

from palewright.layout.frame import Trace
from palewright.layout.grade import height_at
from palewright.layout.meeting_checks import heights_above, rooms
from palewright.layout.meeting_rules import SLACK_M, GroundBreak, GroundRemedy, Met
from palewright.layout.rising_limits import legal_at
from palewright.model import (
    Bay,
    BayMeeting,
    Gap,
    Gate,
    LevelLineMark,
    Meeting,
    MeetingRemedy,
    Post,
    PostHeight,
    Profile,
    Remark,
    RunLimits,
)
from palewright.record import Record

__all__ = ["Line", "inner_steps", "meeting_of", "said_of"]

STRING_M = 0.6096
"""A level string is hung anew where post tops come to lie 2 ft below it (common practice: within reach of a rule)."""


class Line(Record):
    """One run in walking order: its posts, their stations [m], the bays between them, its gates, rules of a place.

    asked
        how each bay shall meet the ground, "assumed" where nobody knows it. gates: those whose ground is known.
    """

    trace: Trace
    profile: Profile
    posts: tuple[Post, ...]
    stations: tuple[float, ...]
    bays: tuple[Bay, ...]
    gates: tuple[Gate, ...]
    asked: tuple[str, ...]
    limits: RunLimits = field(default_factory=RunLimits)


def meeting_of(line: Line, met: Met, remedies: Sequence[GroundRemedy], posts: dict[str, Post]) -> Meeting:
    """How one run meets the ground, as a record; ``posts``: by label, with the heights that they have now."""
    spec, profile = line.trace.spec, line.profile
    grounds = [height_at(profile, station) for station in line.stations]
    tops = [ground + posts[post.label].above_m for ground, post in zip(grounds, line.posts, strict=True)]
    known = _known(line)
    strings = _strings(line, tops, grounds, known)
    hung = {k: mark.height_m for mark, members in strings for k in members}
    steps = [0.0, *inner_steps(met), 0.0]
    heights = []
    for k, (old, ground, top) in enumerate(zip(line.posts, grounds, tops, strict=True)):
        hole = posts[old.label].hole
        foot = ground - (hole.in_ground_m if hole is not None else 0.0)
        sigma = float(np.interp(line.stations[k], profile.stations_m, profile.sigmas_m))
        below = hung[k] - top if k in hung else None
        heights.append(PostHeight(old.label, ground, top, foot, sigma, steps[k], below, known[k]))
    return Meeting(
        run=spec.name,
        follows=spec.follows or "best",
        bays=_bays(line, met),
        posts=tuple(heights),
        strings=tuple(mark for mark, _ in strings),
        weights=tuple((name, float(getattr(met.weights, name))) for name in met.parts if hasattr(met.weights, name)),
        cost=met.cost,
        bound=met.bound,
        proof=met.proof,
        remedies=tuple(_remedy(line, remedy) for remedy in remedies),
    )


def inner_steps(met: Met) -> list[float]:
    """Bottom of the bay after less that of the bay before, at every post between two bays of a run [m]; 0 beside ground
    that nobody knows."""
    known = [mode != "assumed" for mode in met.modes]
    steps = (met.bottoms_m[1:, 0] - met.bottoms_m[:-1, 1]).tolist()
    return [step if all(known[k : k + 2]) else 0.0 for k, step in enumerate(steps)]


def _remedy(line: Line, remedy: GroundRemedy) -> MeetingRemedy:
    bay = line.bays[remedy.bay]
    place = (bay.number, bay.start, bay.end, remedy.from_m, remedy.to_m)
    return MeetingRemedy(remedy.rule, remedy.slug, *place, remedy.amount_m, remedy.count)


def _bays(line: Line, met: Met) -> tuple[BayMeeting, ...]:
    s, z, at = np.array(line.profile.stations_m), np.array(line.profile.heights_m), np.array(line.stations)
    room = rooms(s, z, at, met.modes, met.bottoms_m)
    highest, _ = heights_above((s, z), at, met.tops_m)
    found = []
    for k, bay in enumerate(line.bays):
        (low, high), (left, right) = met.bottoms_m[k], met.tops_m[k]
        broken = tuple((item.rule, item.by_m) for item in met.breaks if item.bay == k)
        found.append(
            BayMeeting(
                bay=bay.number,
                mode=met.modes[k],
                bottom_m=(float(low), float(high)),
                top_m=(float(left), float(right)),
                least=Gap(float(room.least[k]), float(room.least_at[k])),
                most=Gap(float(room.most[k]), float(room.most_at[k])),
                highest_m=float(highest[k]),
                along_m=math.hypot(bay.length_m, float(high - low)),
                breaks=broken,
                asked=line.trace.follows_at((line.stations[k] + line.stations[k + 1]) / 2.0) or "best",
            )
        )
    return tuple(found)


def _known(line: Line) -> list[bool]:
    """For each post whether the ground under a whole bay at its side is known."""
    lit = [how != "assumed" for how in line.asked]
    return [before or after for before, after in itertools.pairwise((False, *lit, False))]


def _strings(
    line: Line, tops: Sequence[float], grounds: Sequence[float], known: Sequence[bool]
) -> list[tuple[LevelLineMark, range]]:
    """Level strings along the run, each with the posts in a row that hang on it; none over ground that nobody knows.

    Each hangs at its highest post top and reaches as far as a rule does from it. A loop comes back to its first post:
    that hangs on the first string at the one end and on the last at the other.
    """
    marks: list[tuple[LevelLineMark, range]] = []
    begun = 0
    for k in range(1, len(tops) + 1):
        span = tops[begun : k + 1]
        if k < len(tops) and known[k] == known[k - 1] and max(span) - min(span) <= STRING_M:
            continue
        if known[begun]:
            high = max(range(begun, k), key=lambda i: tops[i])
            labels = dict.fromkeys(post.label for post in line.posts[begun:k])
            mark = LevelLineMark(tops[high], line.posts[high].label, tops[high] - grounds[high], tuple(labels))
            marks.append((mark, range(begun, k)))
        begun = k
    return marks


def said_of(line: Line, met: Met) -> list[Remark]:
    """What the program proposes, and every rule that is not kept."""
    spec = line.trace.spec
    about, run = f"run {spec.name}", ("run", spec.name)
    remarks = []
    if "best" in line.asked:
        left = [mode for mode, how in zip(met.modes, line.asked, strict=True) if how == "best" and mode != "gate"]
        modes = ", ".join(f"{mode} {len(list(bays))}" for mode, bays in itertools.groupby(left))
        remarks.append(Remark("ground-best-proposed", "note", about, (run, ("modes", modes)), spec.at))
    for start, end in line.trace.assumed:
        beside = [post.label for post, at in zip(line.posts, line.stations, strict=True)
                  if start - SLACK_M <= at <= end + SLACK_M]  # fmt: skip
        spans = (("from_m", start), ("to_m", end), ("posts", ", ".join(dict.fromkeys(beside))))
        remarks.append(Remark("level-ground-assumed-part", "assumption", about, (run, *spans), spec.at))
    names = {gate.bay: gate.name for gate in line.gates}
    groups: dict[tuple[str, str], list[GroundBreak]] = {}
    for item in met.breaks:  # below a leaf nothing is filled or closed, so that is said of each gate by itself
        gate = names.get(line.bays[item.bay].number, "") if item.rule == "most-gap" else ""
        groups.setdefault((item.rule, gate), []).append(item)
    for (rule, gate), broken in groups.items():
        more = (("gate", gate),) if gate else ()
        remarks.append(Remark(f"ground-{rule}", "caution", about, (run, *more, *_worst(line, broken)), spec.at))
    return remarks


def _worst(line: Line, broken: Sequence[GroundBreak]) -> tuple[tuple[str, float | str], ...]:
    """Arguments of a remark on one rule: the bays that break it, and how far the worst of them does."""
    worst = max(broken, key=lambda item: item.by_m)
    bays = [line.bays[item.bay] for item in broken]
    found, allowed = worst.found_m, worst.allowed_m
    if worst.rule == "legal-height":  # said of the highest part, from where the rule measures
        allowed = legal_at(line.limits.heights, worst.at_m)
        found = allowed + worst.by_m
    return (
        ("bays", ", ".join(dict.fromkeys(f"{bay.start}-{bay.end}" for bay in bays))),
        ("worst", f"{line.bays[worst.bay].start}-{line.bays[worst.bay].end}"),
        ("by_m", worst.by_m),
        ("found_m", found),
        ("allowed_m", allowed),
        ("at_m", worst.at_m),
    )
