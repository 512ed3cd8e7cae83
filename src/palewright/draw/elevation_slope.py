"""A piece of a run on real ground: its posts, bays and ground as they are drawn, and what binds on the whole run."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import replace

from palewright.draw.elevation_row import Strip
from palewright.draw.infill import line_at
from palewright.model import Bay, BayMeeting, Meeting, Post, PostHeight
from palewright.record import Record

__all__ = ["Binding", "Slope", "bottom_of", "zero_of"]

XY = tuple[float, float]

_EPS = 1e-6


class Binding(Record):
    """What binds on a whole run: the bays with the least and the most gap, and of each broken rule how much.

    worst
        rule: by how much it is missed at most [m], and in how many bays.
    """

    least: BayMeeting
    most: BayMeeting
    worst: dict[str, tuple[float, int]]

    @classmethod
    def of(cls, meeting: Meeting) -> Binding:
        """Of all bays of a run."""
        worst: dict[str, tuple[float, int]] = {}
        for rule, by in (item for bay in meeting.bays for item in bay.breaks):
            most, count = worst.get(rule, (0.0, 0))
            worst[rule] = (max(most, by), count + 1)
        lit = [bay for bay in meeting.bays if bay.known]
        least = min(lit, key=lambda bay: bay.least.gap_m)
        return cls(least, max(lit, key=lambda bay: bay.most.gap_m), worst)


class Slope(Record):
    """A piece of a run from station to station on its ground; ``times``: how many times heights are drawn.

    base
        height of the row's own zero [m].
    """

    strip: Strip
    meeting: Meeting
    binding: Binding
    start: float
    end: float
    times: float
    base: float = 0.0

    @classmethod
    def of(cls, strip: Strip, meeting: Meeting, binding: Binding, span: XY, times: float) -> Slope:
        """The piece between two stations with the lowest ground under its posts at zero."""
        piece = cls(strip, meeting, binding, *span, times)
        return replace(piece, base=min(height.ground_m for _, _, height in piece.posts()))

    def up(self, height_m: float) -> float:
        """A height as it is drawn over the row's zero [m]."""
        return (height_m - self.base) * self.times

    def _span(self) -> slice:
        stations = self.strip.posts
        first = bisect_left(stations, self.start - _EPS, key=_station)
        return slice(first, bisect_right(stations, self.end + _EPS, key=_station))

    def posts(self) -> list[tuple[float, Post, PostHeight]]:
        """Posts of the piece: station, post, height."""
        part = self._span()
        both = zip(self.strip.posts[part], self.meeting.posts[part], strict=True)
        return [(station, post, height) for (station, post), height in both]

    def bays(self) -> list[tuple[float, float, Bay, BayMeeting]]:
        """Bays of the piece: from, to, bay, and how it meets the ground."""
        part = self._span()
        part = slice(part.start, part.stop - 1)
        both = zip(self.strip.bays[part], self.meeting.bays[part], strict=True)
        return [(a, b, bay, met) for (a, b, bay), met in both]

    def ground(self, start: float, end: float) -> list[XY]:
        """The ground between two stations as it is drawn [m]."""
        profile = self.strip.run.profile
        assert profile is not None
        first, last = bisect_right(profile.stations_m, start), bisect_left(profile.stations_m, end)
        near = slice(max(0, first - 1), last + 1)
        knots = list(zip(profile.stations_m[near], profile.heights_m[near], strict=True))
        inner = [(s, z) for s, z in knots if start < s < end]
        line = [(start, line_at(knots, start)), *inner, (end, line_at(knots, end))]
        return [(s, self.up(z)) for s, z in line]

    def extent(self) -> XY:
        """Lowest hole and highest post top as they are drawn [m]."""
        low = min(self.up(h.ground_m - (p.hole.depth_m if p.hole else 0.0)) for _, p, h in self.posts())
        return low, max(self.up(h.top_m) for _, _, h in self.posts())


def zero_of(meeting: Meeting) -> PostHeight:
    """The post from whose ground the heights of a run count: the first whose ground is known."""
    return next(height for height in meeting.posts if height.known)


def _station(post: tuple[float, Post]) -> float:
    return post[0]


def bottom_of(slope: Slope, a: float, b: float, met: BayMeeting) -> list[XY]:
    """The bottom of a bay from post to post as it is drawn [m]: along the ground where it is cut to it."""
    if met.mode != "level-top":
        return [(a, slope.up(met.bottom_m[0])), (b, slope.up(met.bottom_m[1]))]
    ground = slope.ground(a, b)
    gap = slope.up(met.bottom_m[0]) - ground[0][1]
    return [(x, y + gap) for x, y in ground]
