"""The designed fence as the rules see it: stretches of it, heights, faces, how open it is."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from palewright.model import Bay, BayMeeting, Design, FenceFacts, Kind, Leg, Post
from palewright.permit.regions import TOUCHING_M, depth_of, nearest_of_segment, parts_between
from palewright.plane import XY, Side, add, distance, left_of, scale, sub, unit
from palewright.record import Record

__all__ = ["Fence", "Stretch", "edges_of_post", "joined", "signed_distance"]

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Heights = Callable[[NDArray[float64]], NDArray[float64]]

_LEAST_M = 1e-3
"""A bay that reaches less than this into a stretch is not counted to it [m]."""


class Stretch(Record):
    """A piece of one run: from and to along it [m], its bays, and the posts at its two ends."""

    run: str
    fence: str
    low_m: float
    high_m: float
    bays: tuple[int, ...]
    posts: tuple[str, str]
    legs: tuple[int, ...]


class Fence:
    """A design with what rules ask of it.

    kinds
        by the name of the fence. facts: what was typed of a fence besides its kind. heights: ground beside it.
    """

    def __init__(
        self, design: Design, kinds: Mapping[str, Kind], facts: Iterable[FenceFacts], heights: Heights | None = None
    ) -> None:
        self.heights = heights
        self.design = design
        self.kinds = kinds
        self.facts = {each.fence: each for each in facts}
        self.posts: dict[str, Post] = {post.label: post for post in design.posts}
        self.bays: dict[int, Bay] = {bay.number: bay for bay in design.bays}
        self.runs = {run.name: run for run in design.runs}
        self.met: dict[int, BayMeeting] = {
            met.bay: met for meeting in design.meetings for met in meeting.bays if met.known
        }
        self._spans: dict[int, tuple[float, float]] = {}

    # ------------------------------------------------------------ stretches

    def parts(self, edges: Sequence[Side], name: Callable[[XY], str]) -> list[tuple[str, Stretch]]:
        """The fence cut at edges; each piece with the name of its place, pieces of one name in a row made one.

        Pieces without a name are left out.
        """
        found: list[tuple[str, Stretch]] = []
        for leg in self.design.legs:
            for low, high, middle in parts_between(leg.start, leg.end, edges):
                word = name(middle)
                piece = self._piece(leg, low, high) if word else None
                if piece is None:
                    continue
                if found and found[-1][0] == word and _follows(found[-1][1], piece):
                    found[-1] = (word, _joined(found[-1][1], piece))
                else:
                    found.append((word, piece))
        return found

    def whole(self) -> list[Stretch]:
        """Every run as one stretch."""
        return [stretch for _, stretch in self.parts((), lambda p: "all")]

    def _piece(self, leg: Leg, low: float, high: float) -> Stretch | None:
        bays = []
        for number in leg.bays:
            bay = self.bays[number]
            first, last = (distance(leg.start, self.posts[label].xy) for label in (bay.start, bay.end))
            if min(last, high) - max(first, low) > _LEAST_M:
                bays.append(bay)
        if not bays:
            return None
        numbers = tuple(bay.number for bay in bays)
        ends = (bays[0].start, bays[-1].end)
        return Stretch(leg.run, leg.fence, leg.from_m + low, leg.from_m + high, numbers, ends, (leg.index,))

    def span(self, bay: int) -> tuple[float, float]:
        """From which station of its run to which a bay reaches [m]."""
        if not self._spans:
            for leg in self.design.legs:
                at = leg.from_m
                for number in leg.bays:
                    self._spans[number] = (at, at + self.bays[number].length_m)
                    at += self.bays[number].length_m
        return self._spans[bay]

    def on_ground(self, stretch: Stretch) -> bool:
        """Whether it is known how every bay of a stretch meets the ground."""
        return all(number in self.met for number in stretch.bays)

    def racks(self, stretch: Stretch, ways: Sequence[str]) -> bool:
        """Whether every part of a stretch was asked to follow the ground in one of these ways."""
        run = self.runs[stretch.run]
        parts = [how for a, b, how in run.stretches if min(b, stretch.high_m) - max(a, stretch.low_m) > _LEAST_M]
        return {run.follows, *parts} <= set(ways)

    def by_ground(self, stretch: Stretch) -> list[Stretch]:
        """A stretch cut where ground that is known ends and ground that nobody knows begins."""
        made = []
        for _, group in itertools.groupby(stretch.bays, key=lambda number: number in self.met):
            bays = tuple(group)
            low, high = max(self.span(bays[0])[0], stretch.low_m), min(self.span(bays[-1])[1], stretch.high_m)
            legs = tuple(dict.fromkeys(self.bays[number].leg for number in bays))
            ends = (self.bays[bays[0]].start, self.bays[bays[-1]].end)
            made.append(Stretch(stretch.run, stretch.fence, low, high, bays, ends, legs))
        return made if len(made) > 1 else [stretch]

    # ------------------------------------------------------------ heights and looks

    def height(self, stretch: Stretch, posts_over_m: float = 0.0) -> float:
        """Height of the highest part of a stretch above the ground straight below it, or above level ground where no
        other is known [m]; posts may be higher by ``posts_over_m``."""
        kind = self.kinds[stretch.fence]
        if self.on_ground(stretch):
            tops = [max(self.met[bay].highest_m for bay in stretch.bays) + kind.height_m - kind.top_m]
        else:
            tops = [kind.height_m]
            tops += [gate.height_m for gate in self.design.gates if gate.bay in stretch.bays]
        labels = {label for number in stretch.bays for label in (self.bays[number].start, self.bays[number].end)}
        tops += [self.posts[label].above_m - posts_over_m for label in labels if self.posts[label].number]
        return max(tops)

    def open_share(self, fence: str) -> float | None:
        """Share of the face of a fence that is open, seen square to it; None where nobody has said.

        Boards w wide with gaps g: g / (w + g). Boards without gaps, lapped or on both sides: nothing is open.
        """
        facts, kind = self.facts.get(fence), self.kinds[fence]
        if facts is not None and facts.open_share is not None:
            return facts.open_share
        if kind.pattern in ("solid", "board on board", "both sides"):
            return 0.0
        if kind.pattern == "spaced" and kind.board_width_m > 0.0:
            return kind.board_gap_m / (kind.board_width_m + kind.board_gap_m)
        return None

    def opening(self, fence: str) -> float | None:
        """The widest opening in the face of a fence [m]; None where nobody has said."""
        facts, kind = self.facts.get(fence), self.kinds[fence]
        if facts is not None and facts.opening_m is not None:
            return facts.opening_m
        if kind.pattern in ("solid", "board on board"):
            return 0.0
        return kind.board_gap_m if kind.pattern == "spaced" else None

    # ------------------------------------------------------------ distances

    def faces(self, leg: Leg) -> tuple[tuple[XY, XY], tuple[XY, XY]]:
        """Both outermost faces of a leg as segments; the deeper face on both sides where the good side is not said."""
        kind = self.kinds[leg.fence]
        front, back = kind.front_m, kind.back_m
        left = left_of(unit(sub(leg.end, leg.start)))
        if leg.yard not in ("left", "right") or leg.good_side not in ("neighbour", "yard"):
            one = two = max(front, back)
        else:
            # the good side looks to the left when it looks out and the yard is right, or in and the yard is left
            good_left = (leg.good_side == "neighbour") == (leg.yard == "right")
            one, two = (front, back) if good_left else (back, front)
        shifts = (scale(left, one), scale(left, -two))
        return tuple((add(leg.start, off), add(leg.end, off)) for off in shifts)  # type: ignore[return-value]

    def nearest_post(self, run: str, p: XY) -> str:
        """The post of a run nearest to a point."""
        labels = [label for leg in self.runs[run].legs for label in self.design.legs[leg].posts]
        return min(labels, key=lambda label: distance(self.posts[label].xy, p))


def edges_of_post(post: Post) -> list[tuple[XY, XY]]:
    """The four faces of a square post as segments; of a round one only its centre, twice."""
    if post.round:
        return [(post.xy, post.xy)]
    c, s = math.cos(post.axis), math.sin(post.axis)
    w, d = post.width_m / 2.0, post.depth_m / 2.0
    x, y = post.xy
    ring = [(x + c * i * w - s * j * d, y + s * i * w + c * j * d) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return list(zip(ring, [*ring[1:], ring[0]], strict=True))


def signed_distance(a: XY, b: XY, side: Side, left: bool) -> tuple[float, XY]:
    """Least distance from a segment to a side [m], and where; negative: how far an end of it is over the side."""
    over = [(depth_of(p, side, left), p) for p in (a, b)]
    far, at = nearest_of_segment(a, b, side)
    beyond = [
        (depth, p) for depth, p in over if depth < -TOUCHING_M and nearest_of_segment(p, p, side)[0] <= -depth + 1e-6
    ]
    return min(beyond) if beyond else (far, at)


def _follows(one: Stretch, two: Stretch) -> bool:
    return one.run == two.run and one.fence == two.fence and abs(two.low_m - one.high_m) < 1e-6


def _joined(one: Stretch, two: Stretch) -> Stretch:
    bays = tuple(dict.fromkeys((*one.bays, *two.bays)))
    legs = tuple(dict.fromkeys((*one.legs, *two.legs)))
    return Stretch(one.run, one.fence, one.low_m, two.high_m, bays, (one.posts[0], two.posts[1]), legs)


def joined(parts: Iterable[Stretch]) -> list[Stretch]:
    """Stretches of one run that follow each other made one."""
    made: list[Stretch] = []
    for part in parts:
        if made and _follows(made[-1], part):
            made[-1] = _joined(made[-1], part)
        else:
            made.append(part)
    return made
