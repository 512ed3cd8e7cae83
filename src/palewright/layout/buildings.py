"""Posts and fences against the outlines of buildings: no hole can be dug in one."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from palewright.errors import Problem
from palewright.layout.frame import Frame, LegFrame, Trace
from palewright.layout.say import Say
from palewright.layout.zones import within
from palewright.model import Post, Remark
from palewright.plane import XY, distance_to_ring, inside

__all__ = ["AT_WALL", "check_buildings"]

AT_WALL = 0.05
"""A bracket, or a fence along a wall, this deep in the outline is at the wall [m]: half a post; our own choice."""

_SLACK = 0.001
_LOOKS = 16

Building = tuple[str, tuple[XY, ...]]


def check_buildings(
    frame: Frame, posts: Sequence[Post], buildings: Sequence[Building], say: Say, problems: list[Problem]
) -> list[Remark]:
    """Posts whose centre lies inside a building become a problem per run; a fence through one, a caution.

    buildings
        name and outline, corners in order, the first not repeated.

    A post is at the wall, not inside, when its centre is no deeper in the outline than half its own section.
    """
    remarks: list[Remark] = []
    for name, outline in buildings:
        if len(outline) < 3:
            continue
        x0, x1 = min(p[0] for p in outline), max(p[0] for p in outline)
        y0, y1 = min(p[1] for p in outline), max(p[1] for p in outline)
        within_box = [post for post in posts if x0 < post.xy[0] < x1 and y0 < post.xy[1] < y1]
        deep = [(depth, post) for post in within_box if (depth := _depth(post, outline)) > 0.0]
        told: set[str] = set()
        for trace in frame.traces:
            legs = [frame.legs[k] for k in frame.legs_of[trace.index]]
            numbers = {leg.index for leg in legs}
            mine = [(d, post) for d, post in deep if post.label not in told and numbers.intersection(post.legs)]
            crossed = [(leg, span) for leg in legs for span in _through(leg, outline)]
            if mine:
                told.update(post.label for _, post in mine)
                problems.append(_inside(trace, name, mine, crossed, say))
            elif crossed:
                args = (
                    ("run", trace.spec.name),
                    ("building", name),
                    ("length_m", sum(high - low for _, (low, high) in crossed)),
                )
                about = f"run {trace.spec.name}"
                remarks.append(Remark("fence-through-building", "caution", about, args, trace.spec.at))
    return remarks


def _depth(post: Post, outline: Sequence[XY]) -> float:
    """How deep the centre of a post is inside an outline [m]; 0 outside, and at the wall."""
    if not inside(post.xy, outline):
        return 0.0
    depth = abs(distance_to_ring(post.xy, outline))
    half = max(post.width_m, post.depth_m) / 2.0 if post.number else AT_WALL
    return depth if depth > half + _SLACK else 0.0


def _through(leg: LegFrame, outline: Sequence[XY]) -> list[tuple[float, float]]:
    """Where a leg runs inside an outline, deeper than along its wall: stations from the start of the leg [m]."""
    found = []
    for low, high in within(outline, leg.a, leg.d):
        low, high = max(low, 0.0), min(high, leg.length)
        if high - low <= _SLACK:
            continue
        looks = (leg.point(low + (high - low) * k / _LOOKS) for k in range(_LOOKS + 1))
        if any(inside(p, outline) and abs(distance_to_ring(p, outline)) > AT_WALL for p in looks):
            found.append((low, high))
    return found


def _inside(
    trace: Trace,
    name: str,
    deep: Sequence[tuple[float, Post]],
    crossed: Sequence[tuple[LegFrame, tuple[float, float]]],
    say: Say,
) -> Problem:
    run = trace.spec.name
    stations = sorted(at for _, post in deep for place, at in post.places if place == run)
    worst = max(depth for depth, _ in deep)
    many = len(deep) > 1
    meets = sorted(leg.from_m + at for leg, span in crossed for at in span if _SLACK < at < leg.length - _SLACK)
    hint = "take the run round the building, or end it at the wall"
    if meets:
        hint += f": the run meets the outline at {_listed([say.m(at) for at in meets])} along it"
    return Problem(
        "post-in-building",
        f"{'posts' if many else 'a post'} of run {run} would stand inside building {name}",
        trace.spec.at,
        found=f"{len(deep)} {'posts' if many else 'post'} inside {name}, at "
        f"{_listed([say.m(at) for at in stations])} along the run, up to {say.m(worst)} from its wall",
        allowed="no post deeper than half its width in the outline of a building",
        hint=hint,
    )


def _listed(words: Sequence[str], most: int = 6) -> str:
    """At most this many, then how many more."""
    shown = list(dict.fromkeys(words))
    more = len(shown) - most
    return ", ".join(itertools.islice(shown, most)) + (f" and {more} more" if more > 0 else "")
