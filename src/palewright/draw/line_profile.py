"""Runs of wire from the side where their ground is known: the ground, assemblies, posts in dips and on rises.

Heights are drawn larger than lengths, by a factor that the sheet states. Ground that nothing reaches is dashed.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.frame import layout_of
from palewright.draw.line import station_words
from palewright.draw.notes import Notes, plan_notes
from palewright.draw.palette import BLACK, PAPER
from palewright.draw.place import HARD
from palewright.draw.scene import View
from palewright.draw.sheets import Draft
from palewright.draw.view import Field, Scale, scales
from palewright.draw.words import Words, short
from palewright.layout.grade import height_at
from palewright.model import LinePlan, LinePost, Plan, Profile
from palewright.record import Record

__all__ = ["profile_drafts"]

XY = tuple[float, float]
_LEFT_MM, _RIGHT_MM = 20.0, 8.0
_RELIEF_MM = 20.0
_STRIP_MM = 50.0
_POST_MM = 5.0
_STEP_MM = 0.4
_STRIPS = ((1, 2_400.0), (3, 12_000.0), (6, math.inf))
"""In how many strips a run goes, one after the other, as long as its scale is no smaller than this denominator."""
_DASH = (2.4, 1.6)
_NAME_MM = 9.0
"""A name takes so much of a strip; posts nearer to one that is named have none there."""
_FIRST = {"low": 1, "high": 1, "stiff": 1, "pull": 2}
_TIMES = (100, 50, 20, 10, 5, 2, 1)


class _Strip(Record):
    """A part of a run on one sheet width: from station to station [m], its lowest ground [m]."""

    start: float
    end: float
    low: float


def profile_drafts(plan: Plan, words: Words) -> list[Draft]:
    """The sheets of every run of wire whose ground is known."""
    drafts: list[Draft] = []
    for line in plan.lines:
        if line.profile is not None:
            drafts += _sheets(plan, line, line.profile, words)
    return drafts


def _sheets(plan: Plan, line: LinePlan, profile: Profile, words: Words) -> list[Draft]:
    style = plan.settings.print_style
    layout = layout_of(plan.settings.paper, False, _notes(plan, words, 1, profile))
    room = layout.field.width - _LEFT_MM - _RIGHT_MM
    offered = scales(style)
    scale = next(
        (s for most, limit in _STRIPS for s in offered
         if s.denominator <= limit and line.length_m * 1000.0 / s.denominator <= room * most),
        offered[-1],
    )  # fmt: skip
    k = 1000.0 / scale.denominator
    count = max(1, math.ceil(line.length_m * k / room - 1e-9))
    strips, relief = [], 0.0
    for j in range(count):
        start, end = j * room / k, min((j + 1) * room / k, line.length_m)
        heights = [height_at(profile, s) for s in _samples(start, end, k)]
        strips.append(_Strip(start, end, min(heights)))
        relief = max(relief, max(heights) - min(heights))
    times = next((t for t in _TIMES if relief * k * t <= _RELIEF_MM), 1)
    at = sorted(post.station_m for post in (*(one.posts[0] for one in line.assemblies), *line.fixed))
    scarce = any((b - a) * k < _NAME_MM for a, b in itertools.pairwise(at))
    notes = _notes(plan, words, times, profile, scarce)
    each = max(1, int(layout.field.height // _STRIP_MM))
    parts = math.ceil(count / each)
    drafts = []
    for n in range(parts):
        board = _sheet(plan, line, profile, strips[n * each : (n + 1) * each], each, layout.field, scale, times, words)
        name = words("elevation", run=short(line.run, 24))
        alt = words("alt_profile", run=short(line.run), title=plan.settings.title, scale=scale.words)
        said = words("scale_profile", scale=scale.words, times=times)
        drafts.append(Draft(board, layout, scale, name, "elevation", notes, alt, None, said))
    return drafts


def _notes(plan: Plan, words: Words, times: int, profile: Profile, scarce: bool = True) -> Notes:
    """``scarce``: some posts have no room for their names."""
    notes = plan_notes(plan, words, "elevation", runs=[])
    keys = ["profile_from_known" if _zero(profile) > 0.0 else "profile_from_start", "profile_key"]
    keys += ["profile_unnamed"] if scarce else []
    keys += ["profile_dashed"] if profile.unknown else []
    said = (words("profile_times", times=times), *(words(key) for key in keys), *notes.notes)
    return replace(notes, notes=said, trial="")


def _zero(profile: Profile) -> float:
    """The first station whose ground is known [m]: heights count from there."""
    return next((gap.to_m for gap in profile.unknown if gap.from_m <= 0.0), 0.0)


def _known(profile: Profile, start: float, end: float) -> list[tuple[float, float, bool]]:
    """The pieces of a strip: from and to [m], and whether their ground is known."""
    inner = {s for gap in profile.unknown for s in (gap.from_m, gap.to_m) if start < s < end}
    cuts = [start, *sorted(inner), end]
    return [
        (a, b, not any(gap.from_m <= (a + b) / 2.0 <= gap.to_m for gap in profile.unknown))
        for a, b in itertools.pairwise(cuts)
    ]


def _samples(start: float, end: float, k: float) -> list[float]:
    count = max(1, math.ceil((end - start) * k / _STEP_MM))
    return [start + (end - start) * j / count for j in range(count + 1)]


def _sheet(
    plan: Plan, line: LinePlan, profile: Profile, strips: list[_Strip], each: int, field: Field, scale: Scale,
    times: int, words: Words,
) -> Board:  # fmt: skip
    k = 1000.0 / scale.denominator
    board = Board(
        field, View(scale.denominator, (strips[0].start, 0.0), 0.0, (field.left + _LEFT_MM, 0.0), scale.words)
    )
    gap = field.height / (each if len(strips) > 1 or strips[0].start else 1)
    for j, strip in enumerate(strips):
        base = field.top + gap * (j + 0.5) + _RELIEF_MM / 2
        _strip(board, plan, line, profile, strip, (field.left + _LEFT_MM, base), (k, k * times), words)
    return board


def _strip(
    board: Board, plan: Plan, line: LinePlan, profile: Profile, strip: _Strip, foot: XY, mm: XY, words: Words
) -> None:
    """One strip over its line of stations; ``foot``: its lower left corner, ``mm``: along and up for a metre."""

    def at(station: float) -> XY:
        up = (height_at(profile, station) - strip.low) * mm[1]
        return (foot[0] + (station - strip.start) * mm[0], foot[1] - up)

    pieces = _known(profile, strip.start, strip.end)
    for a, b, known in pieces:
        ground = [at(station) for station in _samples(a, b, mm[0])]
        style = {"stroke_mm": 0.5} if known else {"stroke_mm": 0.25, "dash": _DASH}
        board.chain(ground, "ground", weight=HARD, crossing=24.0, id=line.run, **style)
    metric = plan.settings.print_style == "metric"
    _stations(board, line, strip, foot, mm[0], metric)
    heights = [height_at(profile, s) for a, b, known in pieces if known for s in _samples(a, b, mm[0])]
    tall = bool(heights) and (max(heights) - min(heights)) * mm[1] > NOTE_MM * 1.2
    zero, whole = height_at(profile, _zero(profile)), 0.1 if metric else 0.3048
    for height in [min(heights), max(heights)] if tall else heights[:1]:
        y = foot[1] - (height - strip.low) * mm[1]
        board.chain(((foot[0] - 2.0, y), (foot[0] - 0.6, y)), "dimension", stroke_mm=0.18)
        said = words.length(round((height - zero) / whole) * whole)
        board.write(said, (foot[0] - 2.6, y), NOTE_MM, "end", layer="dimension", middle=True)
    held = [(next(p for p in one.posts if p.role != "brace"), one.label) for one in line.assemblies]
    posts = [*held, *((post, post.label) for post in line.fixed)]
    here = [(post, name) for post, name in posts if strip.start - 1e-6 <= post.station_m <= strip.end]
    named = _named(here, mm[0])
    for post, name in here:
        _post(board, at(post.station_m), name if post.label in named else "", post.role)
    for a, b, known in pieces:
        if not known:
            _unknown(board, [at(station) for station in _samples(a, b, mm[0])], words)


def _stations(board: Board, line: LinePlan, strip: _Strip, foot: XY, mm_per_m: float, metric: bool) -> None:
    """The line of stations under a strip."""
    axis = foot[1] + 5.0
    end = foot[0] + (strip.end - strip.start) * mm_per_m
    board.chain(((foot[0], axis), (end, axis)), "dimension", stroke_mm=0.18, weight=60.0)
    for station, text in station_words(line, mm_per_m, metric):
        if strip.start <= station <= strip.end:
            x = foot[0] + (station - strip.start) * mm_per_m
            board.chain(((x, axis - 1.0), (x, axis + 1.0)), "dimension", stroke_mm=0.25)
            board.write(text, (x, axis + 4.2), NOTE_MM, "middle", layer="dimension", role="station")


def _named(posts: list[tuple[LinePost, str]], mm_per_m: float) -> set[str]:
    """Which posts have room for their name: ends, corners and gates first, then dips and rises, then pulls."""
    kept: list[float] = []
    names = set()
    for post, _ in sorted(posts, key=lambda one: (_FIRST.get(one[0].role, 0), one[0].station_m)):
        if all(abs(post.station_m - station) * mm_per_m >= _NAME_MM for station in kept):
            kept.append(post.station_m)
            names.add(post.label)
    return names


def _unknown(board: Board, ground: list[XY], words: Words) -> None:
    """Says over a dashed piece that its ground is not known."""
    text = [words("profile_unknown")]
    half, rise = board.block(text, NOTE_MM, "bold")
    spots = [
        ((x + dx, y - rise - gap), abs(t - 0.5) + gap + abs(dx) / half)
        for gap in (1.6, 7.0, 12.0)
        for t in (0.5, 0.3, 0.7, 0.15, 0.85)
        for x, y in [ground[round(t * (len(ground) - 1))]]
        for dx in (0.0, -half, half)
    ]
    board.label(text, ground[len(ground) // 2], spots, weight="bold", role="ground-unknown", pad=0.2)


def _post(board: Board, foot: XY, name: str, role: str) -> None:
    """A post that is pulled as a stroke; one that stands first as a ring on the ground, in dips named below it.

    name
        "" where there is no room for it.
    """
    top = foot
    if role in ("low", "high", "stiff"):
        board.disc(foot, 0.8, "post", HARD, fill=PAPER, stroke_mm=0.3, id=name)
    else:
        top = (foot[0], foot[1] - _POST_MM)
        board.chain((foot, top), "post", stroke_mm=0.7 if name else 0.25, weight=HARD, colour=BLACK, id=name)
    if not name:
        return
    half, rise = board.block([name], NOTE_MM, "bold")
    sign = 1.0 if role == "low" else -1.0
    spots = [
        ((top[0] + dx, top[1] + s * (rise + gap)), abs(dx) / 4 + gap + (0.0 if s == sign else 3.0))
        for gap in (1.2, 4.2, 7.2)
        for s in (sign, -sign)
        for dx in (0.0, half, -half)
    ]
    board.label([name], top, spots, weight="bold", role="assembly-label", pad=0.2, id=name)
