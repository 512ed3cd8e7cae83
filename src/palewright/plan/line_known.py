"""How well the line is known on the ground, and how well the points of a run are tied to it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from palewright.model import Corner, Job, Leg, PointRef, Site
from palewright.plane import XY, Side, distance, midpoint, segment_distance
from palewright.record import Record
from palewright.survey import Adjustment, offset_rows, propagate, record_line_sigma

__all__ = ["LineKnown", "NotKnownError"]

Floats = NDArray[np.float64]
_FIXED = frozenset({"coordinates", "boundary"})


class NotKnownError(Exception):
    """Nobody can say how well this distance is known; ``why`` as in :class:`palewright.model.LineDistance`."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class _End(Record):
    """An end of a stretch of a run: its place, and its name in the network where it was measured.

    called: it was set off from the line itself, by a run along sides, and goes where the line goes.
    """

    xy: XY
    name: str = ""
    called: bool = False


class LineKnown:
    """The sides of a boundary, and what was measured of their corners and of the points of runs."""

    def __init__(
        self, job: Job, site: Site, legs: Sequence[Leg], sides: Sequence[Side], adjustment: Adjustment | None
    ) -> None:
        assert site.ring is not None
        self._called = {name for spec in job.runs for name in spec.call if name}
        self._tips: dict[str, tuple[XY, XY]] = {}
        for leg in legs:
            self._tips[leg.run] = (self._tips.get(leg.run, (leg.start,))[0], leg.end)
        self._ring, self._sides, self._adjustment = site.ring, sides, adjustment
        self._runs = {spec.name: spec for spec in job.runs}
        self._specs = {spec.name: spec for spec in job.points}
        self._points = {point.name: point for point in site.points}
        self._held: dict[str, bool] = {}
        self._loose: set[str] = set()
        self._cleared = self._disagree = False
        if adjustment is not None:
            self._held = {point.name: point.held for point in adjustment.network.points}
            self._loose = set(adjustment.adjusted.undetermined)
            self._cleared, self._disagree = adjustment.cleared, adjustment.disagrees

    def corners(self, side: int) -> tuple[Corner, Corner]:
        """Both corners of a side, counted from 0."""
        corners = self._ring.corners
        return corners[side], corners[(side + 1) % len(corners)]

    def why_not(self, side: int) -> str:
        """Why nobody can say how well a side is known on the ground; "" where its corners hold it."""
        if not self._ring.status.located:
            return "line-not-located"
        ends = self.corners(side)
        if all(corner.counts for corner in ends):
            return ""
        if not all(corner.found for corner in ends):
            return "corner-not-found"
        if any(corner.matches_record is False for corner in ends):
            return "corner-disagrees"
        return "corner-not-compared" if any(c.matches_record is None for c in ends) else "pin-not-counted"

    def measured(self, name: str) -> bool:
        """Whether the network gives a covariance for a point."""
        return name in self._held and not self._held[name] and name not in self._loose

    def covariance(self, names: Sequence[str]) -> Floats:
        """Of measured points [m2]; without suspects where it is known which they are."""
        assert self._adjustment is not None
        if self._disagree:
            raise NotKnownError("measurements-disagree")
        return self._adjustment.covariance(list(names), self._cleared)

    def sigma_of_side(self, side: int) -> float:
        """Of a whole side across itself [m]: from the network that has both corners, else the limit of the standard."""
        a, b = (corner.name for corner in self.corners(side))
        if self.measured(a) and self.measured(b):
            q = self.covariance((a, b))
            split = q[:2, :2] + q[2:, 2:] - q[:2, 2:] - q[2:, :2]
            return float(np.sqrt(max(0.0, np.linalg.eigvalsh(split)[-1])))
        return record_line_sigma(distance(self._sides[side].a, self._sides[side].b))

    def parts(self, leg: Leg, side: int, points: Floats, foot: Floats) -> tuple[Floats, Floats]:
        """Standard deviations of the distance of points of a leg from a side [m]: of the line, and of the network.

        Raises :class:`NotKnownError`. A run along sides is set off from the found corners themselves: it has no network
        part.
        """
        why = self.why_not(side)
        if why:
            raise NotKnownError(why)
        none = np.zeros(len(points))
        stretch = self._stretch(leg)
        if stretch is None:
            return none + self.sigma_of_side(side), none
        ends = [corner.name if self.measured(corner.name) else "" for corner in self.corners(side)]
        self._tied(stretch, ends)
        line = none if all(ends) else none + record_line_sigma(distance(self._sides[side].a, self._sides[side].b))
        to_point, to_start, to_end = offset_rows(points, foot, self._sides[side])
        first, last = (np.array(end.xy) for end in stretch)
        d = last - first
        share = ((points - first) @ d / float(d @ d))[:, None]
        free = 1.0 - sum(part for end, part in zip(stretch, (1.0 - share, share), strict=True) if end.called)
        moves = zip(
            (stretch[0].name, stretch[1].name, *ends),
            (to_point * (1.0 - share), to_point * share, to_start * free, to_end * free),
            strict=True,
        )
        rows: dict[str, Floats] = {}
        for name, row in moves:
            if name:
                rows[name] = rows[name] + row if name in rows else row
        if not rows:
            return line, none
        return line, propagate(np.hstack(list(rows.values())), self.covariance(list(rows)))

    def _stretch(self, leg: Leg) -> tuple[_End, _End] | None:
        """The two points of its run between which a leg lies; None for a run along sides."""
        spec = self._runs.get(leg.run)
        if spec is None or spec.sides:
            return None
        last = len(spec.through) - 1
        ends = [self._end(ref, leg.run, {0: 0, last: 1}.get(k)) for k, ref in enumerate(spec.through)]
        middle = midpoint(leg.start, leg.end)
        ends += ends[:1] if spec.closed else []
        pairs = [(a, b) for a, b in pairwise(ends) if a.xy != b.xy]
        if not pairs:
            raise NotKnownError("not-tied")
        return min(pairs, key=lambda pair: segment_distance(middle, pair[0].xy, pair[1].xy))

    def _end(self, ref: PointRef, run: str, tip: int | None) -> _End:
        if ref.xy is not None:
            return _End(ref.xy)
        if ref.name in self._called and ref.name not in self._points:
            if tip is None:
                raise NotKnownError("not-tied")
            return _End(self._tips[run][tip], called=True)
        xy = self._points[ref.name].xy
        return _End(xy, self._name(ref.name))

    def _name(self, name: str) -> str:
        """The point of the network that carries a point; "" for a place that was typed. Raises NotKnownError."""
        if name in self._loose:
            raise NotKnownError("not-determined")
        if name in self._held:
            return "" if self._held[name] else name
        spec, point = self._specs.get(name), self._points[name]
        if point.how in _FIXED:
            return ""
        if spec is not None and spec.how == "calls":
            return self._name(spec.start)
        if spec is not None and spec.how == "on line" and not any(self._name(end) for end in spec.line):
            return ""
        raise NotKnownError("not-tied")

    def _tied(self, stretch: tuple[_End, _End], corners: Sequence[str]) -> None:
        """A net that floats says nothing of places outside it."""
        named = [end.name for end in stretch if not end.called] + list(corners)
        floats = self._adjustment is not None and self._adjustment.network.datum != "held"
        if floats and any(named) and not all(named):
            raise NotKnownError("not-tied")
