"""What becomes of the bays, the ground to keep clear of, and the line when one post is moved along its string."""

from __future__ import annotations

import math

from palewright.asbuilt.limits import bay_limits, half_mark, verdict
from palewright.asbuilt.marks import mark_m
from palewright.boundary import ring_sides
from palewright.layout.inside import Boundary
from palewright.layout.zones import TOUCHING, ZoneBox, box_zones, clear_of
from palewright.model import Bay, Mark, Plan, Post, StringLine
from palewright.plane import XY, add, dot, left_of, scale, sub, unit
from palewright.record import Record

__all__ = ["BayThen", "Moved", "Mover", "OnString"]

_HAIR_M = 1e-6


class OnString(Record):
    """A post on a string: directions the tape reads up, and away from the string to the post (unit vectors).

    onward, back
        posts beside it on that string, "" where there is none.
    """

    string: StringLine
    mark: Mark
    u: XY
    away: XY
    onward: str
    back: str


class BayThen(Record):
    """A bay after a move: its level length, "fits", "too-long" or "too-short", and by how much [m]."""

    bay: Bay
    length_m: float
    verdict: str
    by_m: float


class Moved(Record):
    """A post moved along its string.

    at_m
        how far, onward as the tape reads [m]. fits: it may stand there.
    zones
        ground to keep clear of that its hole would then reach into and does not now. over_line: it would stand over
        the line. stop: what stops it by the plan where nothing else says so ("fixed", "given bay", ...); "" nothing.
    """

    at_m: float
    bays: tuple[BayThen, ...]
    zones: tuple[str, ...]
    over_line: bool
    stop: str

    @property
    def fits(self) -> bool:
        """Whether every bay fits, no zone is entered, the line is kept, and nothing else stops it."""
        return not (self.zones or self.over_line or self.stop) and all(bay.verdict == "fits" for bay in self.bays)


class Mover:
    """The posts of a plan, ready to be moved."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.mark = mark_m(plan.settings)
        self.posts = {post.label: post for post in plan.design.posts}
        self.limits = bay_limits(plan)
        self.bays: dict[str, list[Bay]] = {}
        for bay in plan.design.bays:
            for label in (bay.start, bay.end):
                self.bays.setdefault(label, []).append(bay)
        self.distances = {row.post: row for row in plan.inside.distances} if plan.inside is not None else {}
        self.boundary = Boundary.of(ring_sides(plan.site.ring)) if plan.site.ring is not None else None
        self._boxes = box_zones([zone for zone in plan.site.zones if zone.kind in ("no hole", "pin", "hand dig")])
        self._on = _on_strings(plan, self.posts)
        self._clear: dict[tuple[str, str, float], bool] = {}

    def on(self, label: str, string: str = "") -> OnString | None:
        """A post on a string by name, or on its first one; None where it has none."""
        found = self._on.get(label, ())
        return next((one for one in found if string in ("", one.string.name)), None)

    def strings(self, label: str) -> tuple[OnString, ...]:
        """Every string that a post stands on."""
        return tuple(self._on.get(label, ()))

    def moved(self, label: str, at_m: float) -> Moved:
        """A post moved along its first string, all others standing as planned.

        label
            of a post that stands on a string. at_m: onward as the tape reads [m].
        The room that the plan found for it (:class:`~palewright.model.Move`) decides; what stops it there is named by
        the bays, the zones and the line as they would then be. Raises KeyError for a post without a string.
        """
        on = self.on(label)
        if on is None:
            raise KeyError(label)
        post = self.posts[label]
        xy = add(post.xy, scale(on.u, at_m))
        bays = tuple(self._then(bay, {label: xy}) for bay in self.bays.get(label, ()) if bay.kind != "gate")
        zones, over = self._entered(post, xy), self._over(post, xy)
        stop = self._stop(post, on, at_m)
        if not stop and self._free(post):
            bays = tuple(BayThen(then.bay, then.length_m, "fits", 0.0) for then in bays)
        elif stop not in ("fixed", "given bay") and (zones or over or any(then.verdict != "fits" for then in bays)):
            stop = ""
        return Moved(at_m, bays, zones, over, stop)

    def clear_at(self, label: str, string: str, at_m: float) -> bool:
        """Whether a post may leave its place and stand so far along a string [m], whatever becomes of its bays."""
        key = label, string, at_m
        if key not in self._clear:
            post, on = self.posts[label], self.on(label, string)
            xy = None if on is None or not post.number or not self._free(post) else add(post.xy, scale(on.u, at_m))
            self._clear[key] = xy is not None and not self._entered(post, xy) and not self._over(post, xy)
        return self._clear[key]

    def room(self, label: str) -> tuple[float, float]:
        """How far a post may be moved back and onward as the tape of its first string reads [m]."""
        post, on = self.posts[label], self.on(label)
        if on is None or not self._free(post) or post.move is None:
            return 0.0, 0.0
        back, onward = post.move.back_m, post.move.on_m
        return (back, onward) if self._forward(post, on) else (onward, back)

    def length(self, bay: Bay, places: dict[str, XY]) -> float:
        """Level length of a bay with some of its posts elsewhere [m]."""
        one, two = (places.get(label, self.posts[label].xy) for label in (bay.start, bay.end))
        planned = math.dist(self.posts[bay.start].xy, self.posts[bay.end].xy)
        return bay.length_m + math.dist(one, two) - planned

    def _then(self, bay: Bay, places: dict[str, XY]) -> BayThen:
        length = self.length(bay, places)
        return BayThen(bay, length, *verdict(self.limits[bay.number], length, self.mark))

    def _free(self, post: Post) -> bool:
        """Whether the plan lets a post be moved at all."""
        return post.move is not None and not {post.move.back_stop, post.move.on_stop} <= {"fixed", "given bay"}

    def _forward(self, post: Post, on: OnString) -> bool:
        """Whether the tape reads up in walking order."""
        leg = self.plan.design.legs[post.legs[0]]
        return dot(on.u, sub(leg.end, leg.start)) >= 0.0

    def _stop(self, post: Post, on: OnString, at_m: float) -> str:
        """What keeps it from being moved so far by the plan; "" nothing."""
        if abs(at_m) <= _HAIR_M:
            return ""
        if post.move is None:
            return "fixed"
        if not self._free(post):
            return post.move.back_stop
        by = at_m if self._forward(post, on) else -at_m
        move = post.move
        room, stop = (move.on_m, move.on_stop) if by > 0.0 else (move.back_m, move.back_stop)
        slack = half_mark(self.mark) if stop in ("bay", "short bay") else _HAIR_M
        return stop if abs(by) > room + slack else ""

    def _entered(self, post: Post, xy: XY) -> tuple[str, ...]:
        if post.hole is None:
            return ()
        radius = post.hole.diameter_m / 2.0
        near = [box for box in self._boxes if _near(box, xy, radius)]
        return tuple(
            box.zone.name for box in near if clear_of(box, xy, radius) < -TOUCHING <= clear_of(box, post.xy, radius)
        )

    def _over(self, post: Post, xy: XY) -> bool:
        """Whether a post that stands inside the line now would stand over it, with its footing."""
        if self.boundary is None or not post.inset:
            return False
        least = min(far for _, far in post.inset)
        return least >= 0.0 > least + self.boundary.distance(xy) - self.boundary.distance(post.xy) + _HAIR_M


def _near(box: ZoneBox, xy: XY, radius: float) -> bool:
    return box.x0 - radius <= xy[0] <= box.x1 + radius and box.y0 - radius <= xy[1] <= box.y1 + radius


def _on_strings(plan: Plan, posts: dict[str, Post]) -> dict[str, list[OnString]]:
    found: dict[str, list[OnString]] = {}
    for string in plan.stakeout.strings:
        u = unit(sub(string.end_xy, string.start_xy)) if string.end_xy != string.start_xy else (1.0, 0.0)
        labels = [mark.post for mark in string.marks]
        for k, mark in enumerate(string.marks):
            off = sub(posts[mark.post].xy, string.start_xy)
            square = left_of(u)
            away = square if dot(off, square) >= 0.0 else scale(square, -1.0)
            onward = labels[k + 1] if k + 1 < len(labels) else ""
            found.setdefault(mark.post, []).append(OnString(string, mark, u, away, onward, labels[k - 1] if k else ""))
    return found
