"""Each run from the side: ground, bottoms and tops, posts in their holes, steps and gaps, with the ids of the plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from palewright.drafting.scene_fence import bay_id, post_id
from palewright.drafting.sight_records import Choice, Elevation, ElevationBay, ElevationGap, ElevationPost
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.draw.elevation_row import gate_heights, half_width
from palewright.model import Bay, BayMeeting, Gate, Job, Kind, Meeting, Post, Run
from palewright.record import Record

if TYPE_CHECKING:
    from palewright.drafting.pieces import RunParts

__all__ = ["FOLLOWS", "elevation_of", "elevations_asked"]

FOLLOWS = ("racked", "stepped", "level-top", "grade", "mixed", "best", "ask")
_LEAST_STEP_M = 0.0008


class Strip(Record):
    """A run laid flat: posts with their stations, bays between them; ``meeting`` None where the ground is not known."""

    run: Run
    posts: tuple[tuple[float, Post], ...]
    bays: tuple[tuple[float, float, Bay], ...]
    meeting: Meeting | None

    @property
    def length(self) -> float:
        """Station of the last post [m]."""
        return self.posts[-1][0] if self.posts else 0.0


def elevation_of(parts: RunParts, kinds: Mapping[str, Kind], things: Things, speech: Speech) -> Elevation:
    """One run from the side."""
    return _elevation(_unroll(parts), parts.run, kinds, {gate.bay: gate for gate in parts.gates}, things, speech)


def _unroll(parts: RunParts) -> Strip:
    """Posts and bays of a run by station, leg after leg."""
    spots: list[tuple[float, Post]] = []
    bays: list[tuple[float, float, Bay]] = []
    numbered = {bay.number: bay for bay in parts.bays}
    for leg in parts.legs:
        station = leg.from_m
        if not spots:
            spots.append((station, parts.all[leg.posts[0]]))
        for number, label in zip(leg.bays, leg.posts[1:], strict=True):
            bay = numbered[number]
            bays.append((station, station + bay.length_m, bay))
            station += bay.length_m
            spots.append((station, parts.all[label]))
    return Strip(parts.run, tuple(spots), tuple(bays), parts.meeting if parts.run.profile is not None else None)


def _elevation(
    strip: Strip, run: Run, kinds: Mapping[str, Kind], gates: Mapping[int, Gate], things: Things, speech: Speech
) -> Elevation:
    meeting, about = strip.meeting, f"run {run.name}"
    base = min(height.ground_m for height in meeting.posts) if meeting is not None else 0.0
    if meeting is not None:
        posts = _posts_on(strip, meeting, base, speech)
        bays = _bays_on(strip, meeting, base, gates, speech)
        ground = _ground(strip, base)
        unknown = tuple((gap.from_m, gap.to_m) for gap in run.profile.unknown) if run.profile is not None else ()
    else:
        posts = tuple(_post(station, post, speech) for station, post in strip.posts)
        bays = tuple(_bay(item, kinds, gates, speech) for item in strip.bays)
        ground, unknown = ((0.0, 0.0), (strip.length, 0.0)), ()
    low = min([z for _, z in ground] + [post.foot for post in posts] + [post.hole for post in posts if post.hole])
    high = max([post.top for post in posts] + [z for bay in bays for z in bay.top], default=1.0)
    choices = _choices(speech)
    key = "elevation.level" if meeting is None else "elevation.known"
    return Elevation(
        run.name, about, things.path(about), run.follows or "ask", choices, strip.length, meeting is None,
        (0.0, low, strip.length, high), ground, unknown, bays, posts,
        speech(key, run=run.name, length=speech.length(run.length_m)),
    )  # fmt: skip


def _choices(speech: Speech) -> tuple[Choice, ...]:
    """The ways to meet the ground."""
    return tuple(Choice(word, speech("follows." + word.replace("-", "_"))) for word in FOLLOWS)


def elevations_asked(job: Job, things: Things, speech: Speech) -> Iterator[Elevation]:
    """Runs that are not laid out have nothing to draw, but another way to meet the ground can be chosen."""
    from palewright.tables.wire import wire_kind_names

    wire = {fence.name for fence in job.fences if fence.kind in wire_kind_names()}
    for run in job.runs:
        if run.fence not in wire:
            about = f"run {run.name}"
            yield Elevation(run.name, about, things.path(about), run.follows or "ask", _choices(speech), 0.0, False,
                            (0.0, 0.0, 1.0, 1.0), (), (), (), (), speech("item.run_wish", name=run.name))  # fmt: skip


def _ground(strip: Strip, base: float) -> tuple[tuple[float, float], ...]:
    profile = strip.run.profile
    assert profile is not None
    return tuple((s, z - base) for s, z in zip(profile.stations_m, profile.heights_m, strict=True))


def _post(station: float, post: Post, speech: Speech) -> ElevationPost:
    sunk = post.hole.in_ground_m if post.hole is not None else 0.0
    deep = -post.hole.depth_m if post.hole is not None else None
    text = speech.length(post.length_m) if post.number else ""
    return ElevationPost(post_id(post.label), station, half_width(post), 0.0, post.above_m, -sunk, deep, text)


def _posts_on(strip: Strip, meeting: Meeting, base: float, speech: Speech) -> tuple[ElevationPost, ...]:
    rows = []
    for (station, post), height in zip(strip.posts, meeting.posts, strict=True):
        deep = height.ground_m - base - post.hole.depth_m if post.hole is not None else None
        step = ""
        if abs(height.step_m) > _LEAST_STEP_M:
            step = ("+" if height.step_m > 0 else "−") + speech.measures.inches(abs(height.step_m))
        rows.append(
            ElevationPost(
                post_id(post.label), station, half_width(post), height.ground_m - base, height.top_m - base,
                height.foot_m - base, deep, speech.length(post.length_m) if post.number else "", step,
            )
        )  # fmt: skip
    return tuple(rows)


def _bay(
    item: tuple[float, float, Bay], kinds: Mapping[str, Kind], gates: Mapping[int, Gate], speech: Speech
) -> ElevationBay:
    start, end, bay = item
    kind, gate = kinds.get(bay.fence), gates.get(bay.number)
    if gate is not None:
        low, high = gate_heights(gate, kind)
    else:
        low, high = (kind.bottom_gap_m, kind.top_m) if kind is not None else (0.0, 1.0)
    name = f"gate {gate.name}" if gate is not None else ""
    return ElevationBay(bay_id(bay), start, end, (low, low), (high, high), "", speech.length(bay.length_m), gate=name)


def _bays_on(
    strip: Strip, meeting: Meeting, base: float, gates: Mapping[int, Gate], speech: Speech
) -> tuple[ElevationBay, ...]:
    rows = []
    for (start, end, bay), met in zip(strip.bays, meeting.bays, strict=True):
        gate = gates.get(bay.number)
        bottom = (met.bottom_m[0] - base, met.bottom_m[1] - base)
        rows.append(
            ElevationBay(
                bay_id(bay), start, end, bottom, (met.top_m[0] - base, met.top_m[1] - base), met.mode,
                speech.length(bay.length_m), _gap(start, end, bottom, met, speech),
                tuple(_over(rule, by, speech) for rule, by in met.breaks),
                f"gate {gate.name}" if gate is not None else "",
            )
        )  # fmt: skip
    return tuple(rows)


def _gap(start: float, end: float, bottom: tuple[float, float], met: BayMeeting, speech: Speech) -> ElevationGap:
    """The room that matters most in a bay: too little of it before the largest."""
    tight = any(rule == "least-gap" for rule, _ in met.breaks)
    gap = met.least if tight else met.most
    share = (gap.at_m - start) / (end - start) if end > start else 0.0
    edge = bottom[0] + (bottom[1] - bottom[0]) * min(max(share, 0.0), 1.0)
    shown = ("−" if gap.gap_m < 0.0 else "") + speech.measures.inches(abs(gap.gap_m))
    return ElevationGap(gap.at_m, edge - gap.gap_m, edge, shown)


def _over(rule: str, by: float, speech: Speech) -> str:
    key = "elevation.over_" + rule.replace("-", "_")
    return speech(key if speech.has(key) else "elevation.over", by=speech.small(by))
