"""What a screen shows of one run: its part of the drawing, its side view, its figures. Runs that stay keep theirs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from palewright.drafting.counting import RunFigures, figures_of_run
from palewright.drafting.elevations import elevation_of
from palewright.drafting.scene_fence import run_fence
from palewright.drafting.sight_records import Elevation, Item
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.model import Bay, Design, Gate, Kind, Leg, Meeting, Post, Run
from palewright.plane import XY

__all__ = ["Piece", "Pieces", "RunParts", "box_of_items", "parts_of_runs", "piece_of"]

Box = tuple[float, float, float, float]


class Piece:
    """One run as a screen shows it; ``spots``: where its posts and gates stand, by id; ``box`` round it [m].

    Its side view is drawn when it is first asked for: while something is dragged only one of them is looked at.
    """

    __slots__ = ("_draw", "_elevation", "about", "box", "figures", "items", "spots")

    def __init__(
        self, about: str, items: tuple[Item, ...], draw: Callable[[], Elevation], figures: RunFigures,
        spots: Mapping[str, XY],
    ) -> None:  # fmt: skip
        self.about, self.items, self.figures, self.spots = about, items, figures, spots
        self.box = box_of_items(items)
        self._draw, self._elevation = draw, None

    _elevation: Elevation | None

    @property
    def elevation(self) -> Elevation:
        """The run from the side."""
        if self._elevation is None:
            self._elevation = self._draw()
        return self._elevation


class RunParts(NamedTuple):
    """The records of one run: the posts that are numbered in it, its bays, gates and legs; ``all``: posts by label."""

    run: Run
    posts: list[Post]
    bays: list[Bay]
    gates: list[Gate]
    legs: list[Leg]
    all: Mapping[str, Post]
    meeting: Meeting | None


def parts_of_runs(design: Design) -> list[RunParts]:
    """A design run by run, in its order."""
    posts = {post.label: post for post in design.posts}
    meetings = {meeting.run: meeting for meeting in design.meetings}
    parts = {
        run.name: RunParts(run, [], [], [], [design.legs[k] for k in run.legs], posts, meetings.get(run.name))
        for run in design.runs
    }
    for post in design.posts:
        parts[post.places[0][0]].posts.append(post)
    for bay in design.bays:
        parts[bay.run].bays.append(bay)
    for gate in design.gates:
        parts[gate.run].gates.append(gate)
    return list(parts.values())


def piece_of(parts: RunParts, kinds: Mapping[str, Kind], things: Things, speech: Speech) -> Piece:
    """One run as a screen shows it."""
    items = tuple(run_fence(parts, things, speech))
    spots = {f"post {post.label}": post.xy for post in parts.posts}
    spots |= {f"gate {gate.name}": parts.all[gate.posts[0]].xy for gate in parts.gates}
    figures = figures_of_run(parts, speech)
    return Piece(f"run {parts.run.name}", items, lambda: elevation_of(parts, kinds, things, speech), figures, spots)


class Pieces:
    """Makes pieces; a run that is as it was keeps the one that it had."""

    def __init__(self, things: Things, speech: Speech) -> None:
        self._things, self._speech = things, speech
        self._known: dict[str, list[tuple[object, Piece]]] = {}

    def of(self, runs: Iterable[RunParts], kinds: Mapping[str, Kind]) -> tuple[Piece, ...]:
        """A piece for every run."""
        return tuple(self._one(parts, kinds) for parts in runs)

    def _one(self, parts: RunParts, kinds: Mapping[str, Kind]) -> Piece:
        ends = [_end(parts.all[label]) for leg in parts.legs for label in (leg.posts[0], leg.posts[-1])]
        asked = (parts.run, parts.posts, parts.bays, parts.gates, parts.legs, ends, parts.meeting)
        known = self._known.setdefault(parts.run.name, [])
        for before, piece in known:
            if before == asked:
                return piece
        piece = piece_of(parts, kinds, self._things, self._speech)
        known[1:] = [(asked, piece)]  # the first is that of the revision, the other the last one
        return piece


def _end(post: Post) -> tuple[object, ...]:
    """What a run shows of a post at its end that is drawn with another run: all but the way that it is turned."""
    return post.label, post.number, post.xy, post.width_m, post.above_m, post.length_m, post.hole


def box_of_items(items: Iterable[Item]) -> Box | None:
    """The box round what is drawn [m]."""
    spots = [xy for item in items for xy in item.points]
    spots += [item.centre for item in items if item.centre is not None]
    if not spots:
        return None
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return (min(xs), min(ys), max(xs), max(ys))
