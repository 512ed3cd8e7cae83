"""The fence on the screen: runs, bays, holes, posts at their true size, gates with their swing, lengths of legs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from palewright.drafting.sight_records import Item
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.drafting.wires import stretch_items
from palewright.model import Bay, Gate, Leg, LinePlan, Post

if TYPE_CHECKING:
    from palewright.drafting.pieces import RunParts

__all__ = [
    "axis_of",
    "bay_id",
    "bay_item",
    "gate_item",
    "hole_id",
    "hole_item",
    "leg_id",
    "leg_items",
    "line_items",
    "post_id",
    "post_item",
    "run_fence",
    "run_item",
]

XY = tuple[float, float]


def post_id(label: str) -> str:
    """The id of a post.

    >>> post_id("12")
    'post 12'
    """
    return f"post {label}"


def hole_id(label: str) -> str:
    """The id of the hole of a post."""
    return f"hole {label}"


def leg_id(run: str, number: int) -> str:
    """The id of the length of a straight piece of a run."""
    return f"leg {run} {number}"


def axis_of(post: Post) -> float:
    """How a post is turned [degrees], as it is shown."""
    return round(math.degrees(post.axis), 4) + 0.0


def bay_id(bay: Bay) -> str:
    """The id of a bay: its two posts."""
    return f"bay {bay.start}-{bay.end}"


def run_fence(parts: RunParts, things: Things, speech: Speech) -> Iterator[Item]:
    """Everything of one run in drawing order: its path, holes, bays, gates, posts, lengths."""
    yield run_item(parts, things, speech)
    for post in parts.posts:
        if post.hole is not None:
            yield hole_item(post, things, speech)
    for bay in parts.bays:
        yield bay_item(bay, parts.all, things, speech, parts.run.trial)
    for gate in parts.gates:
        yield gate_item(gate, parts.all, things, speech)
    for post in parts.posts:
        yield post_item(post, things, speech)
    yield from leg_items(parts, things, speech)


def run_item(parts: RunParts, things: Things, speech: Speech) -> Item:
    """The path of a run."""
    run = parts.run
    points = [parts.legs[0].start, *(leg.end for leg in parts.legs)] if parts.legs else []
    if run.closed and points:
        points.pop()
    marks = [*(["trial"] if run.trial else []), *(["level assumed"] if run.level_assumed else [])]
    marks += ["along sides"] if run.name in things.sided else []
    about = f"run {run.name}"
    said = speech("item.run", name=run.name, fence=run.fence, length=speech.length(run.length_m))
    return Item(about, "run", "fence", path=things.path(about), text=run.name, say=said, marks=tuple(marks),
                points=tuple(points), closed=run.closed)  # fmt: skip


def hole_item(post: Post, things: Things, speech: Speech) -> Item:
    """The hole of a post that has one."""
    hole = post.hole
    assert hole is not None
    about = f"run {post.places[0][0]}" if post.places else ""
    key = "item.hole_hand" if hole.hand_dig else "item.hole"
    said = speech(key, post=post.label, wide=speech.inches(hole.diameter_m), deep=speech.inches(hole.depth_m))
    return Item(
        hole_id(post.label), "hole", "fence", about=post_id(post.label), path=things.path(about), say=said,
        marks=("hand dig",) if hole.hand_dig else (), centre=post.xy, radius=hole.diameter_m / 2.0,
    )  # fmt: skip


def post_item(post: Post, things: Things, speech: Speech) -> Item:
    """A post at its true size."""
    marks = [post.role]
    marks += ["round"] if post.round else []
    marks += [] if post.number else ["bracket"]
    marks += ["assumed"] if post.assumed else []
    run, station = post.places[0] if post.places else ("", 0.0)
    key = "item.post" if post.number else "item.bracket"
    said = speech(key, post=post.label, role=speech.term(post.role), section=post.section, run=run,
                  station=speech.length(station))  # fmt: skip
    return Item(
        post_id(post.label), "post", "fence", about=f"run {run}", path=things.path(f"run {run}"), text=post.label,
        say=said, marks=tuple(marks), centre=post.xy, width=post.width_m, depth=post.depth_m,
        axis=math.degrees(post.axis),
    )  # fmt: skip


def bay_item(bay: Bay, posts: Mapping[str, Post], things: Things, speech: Speech, trial: bool) -> Item:
    """A bay between its posts."""
    marks = (bay.kind, *(["cut"] if bay.cut else []), *(["trial"] if trial else []))
    length = speech.length(bay.length_m)
    said = speech("item.bay", start=bay.start, end=bay.end, length=length, clear=speech.length(bay.clear_m))
    about = f"run {bay.run}"
    return Item(
        bay_id(bay), "bay", "fence", about=about, path=things.path(about), text=length, say=said, marks=marks,
        points=(posts[bay.start].xy, posts[bay.end].xy),
    )  # fmt: skip


def gate_item(gate: Gate, posts: Mapping[str, Post], things: Things, speech: Speech) -> Item:
    """A gate with its swing."""
    about = f"gate {gate.name}"
    opening = speech.length(gate.opening_m)
    way, posts_said = speech("item.swings_" + gate.swings), ", ".join(gate.hinge)
    swings = speech("item.gate_swings" + "_unsaid" * (f"{about} swings" in things.unsaid), swings=way)
    hinges = speech("item.gate_hinges" + "_unsaid" * (f"{about} hinges" in things.unsaid), posts=posts_said)
    said = speech("item.gate", name=gate.name, opening=opening, swings=swings, hinges=hinges)
    return Item(
        about, "gate", "fence", about=f"run {gate.run}", path=things.path(about), text=f"{gate.name} {opening}",
        say=said, points=tuple(posts[label].xy for label in gate.posts), rings=gate.swing, spots=gate.hinge_xy,
        drag="along",
    )  # fmt: skip


def leg_items(parts: RunParts, things: Things, speech: Speech) -> Iterator[Item]:
    """The straight pieces of a run between its ends and corners; a tee does not divide them."""
    run = parts.run
    for k, (start, end, length, ends) in enumerate(_straight(parts.legs), 1):
        one, two = (speech("item.wall_of", post=label) if parts.all[label].number == 0 else label for label in ends)
        said = speech("item.leg", run=run.name, length=speech.length(length), start=one, end=two)
        yield Item(
            leg_id(run.name, k), "dimension", "dimensions", about=f"run {run.name}",
            path=things.path(f"run {run.name}"), text=speech.length(length), say=said, points=(start, end),
        )  # fmt: skip


def _straight(legs: Sequence[Leg]) -> list[tuple[XY, XY, float, tuple[str, str]]]:
    found: list[tuple[XY, XY, float, tuple[str, str]]] = []
    azimuth = None
    for leg in legs:
        if found and azimuth is not None and abs(math.remainder(leg.azimuth - azimuth, math.tau)) < 1e-6:
            start, _, length, ends = found.pop()
            found.append((start, leg.end, length + leg.length_m, (ends[0], leg.posts[-1])))
        else:
            found.append((leg.start, leg.end, leg.length_m, (leg.posts[0], leg.posts[-1])))
        azimuth = leg.azimuth
    return found


def line_items(lines: Sequence[LinePlan], things: Things, speech: Speech) -> Iterator[Item]:
    """Runs of wire: path, stretches, gates, posts that hold a pull. Line posts are asked for where they are in view."""
    for line in lines:
        about = f"run {line.run}"
        said = speech("item.wire", name=line.run, length=speech.length(line.length_m), posts=line.holes)
        points = line.path[:-1] if line.closed and len(line.path) > 1 and line.path[0] == line.path[-1] else line.path
        yield Item(about, "run", "fence", path=things.path(about), text=line.run, say=said, marks=("wire",),
                   points=tuple(points), closed=line.closed)  # fmt: skip
        yield from stretch_items(line, things, speech)
        for post in (post for assembly in line.assemblies for post in assembly.posts):
            yield Item(
                f"post {post.label} of {line.run}", "post", "fence", about=about, path=things.path(about),
                text=post.label, say=speech("item.wire_post", post=post.label, run=line.run), marks=(post.role, "wire"),
                centre=post.xy,
            )  # fmt: skip
