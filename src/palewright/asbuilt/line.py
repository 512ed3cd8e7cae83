"""How far inside the line a post stands as built, and how well that is known."""

from __future__ import annotations

import math

from palewright.asbuilt.marks import mark_m, reading_sigma
from palewright.asbuilt.moving import Mover
from palewright.asbuilt.places import Place
from palewright.model import BuiltLine, LineDistance, Post
from palewright.plane import XY, add, scale, unit

__all__ = ["line_as_built", "line_as_planned", "measured_sigma"]

_STEP_M = 1e-4


def line_as_planned(mover: Mover, post: Post) -> BuiltLine | None:
    """The distance to the line that was planned; None without a boundary, or far from it."""
    row = mover.distances.get(post.label)
    if row is None:
        return None
    return BuiltLine(row.side, row.face_m, row.post_m, row.footing_m, row.sigma_m, row.footing_sigma_m, row.why)


def line_as_built(mover: Mover, post: Post, place: Place) -> BuiltLine | None:
    """The distance to the line as built; None where the post was not measured square to it.

    The planned distances change by as much as the centre of the post does, exact where one side is nearest to it.
    """
    row, boundary = mover.distances.get(post.label), mover.boundary
    if row is None or boundary is None:
        return None
    square = _square(mover, post.xy)
    shift = place.shift
    if shift is None:
        by = place.toward(square)
        if by is None:
            return None
        shift = scale(square, by)
    change = boundary.distance(add(post.xy, shift)) - boundary.distance(post.xy)
    upper = lower = None
    if not row.why:
        upper, lower = measured_sigma(row, mark_m(mover.plan.settings))
    far = (row.face_m + change, row.post_m + change, row.footing_m + change)
    return BuiltLine(boundary.nearest(add(post.xy, shift))[1], *far, upper, lower, row.why)


def measured_sigma(row: LineDistance, mark: float) -> tuple[float, float]:
    """Standard deviations of face and post, and of the footing [m], of a post that was measured from its string.

    row
        the planned distance with the parts that its own standard deviations are made of. mark: of the tape [m].
    What was uncertain about the line, the points, the corners and the string stays; that a post may be set beside its
    mark no longer counts, because it was measured where it stands; the reading of that measurement comes in. A hole
    under it was not measured, so its part stays in the footing. Source: propagation of variance; the reading:
    jcgm-100, 4.3.7.

    >>> row = LineDistance("1", "rear", 1, 0.2, 0.2, 0.1, parts=(("line", 0.03), ("string", 0.04), ("post", 0.1)))
    >>> [round(sigma, 6) for sigma in measured_sigma(row, 0.0)]
    [0.05, 0.05]
    """
    parts = dict(row.parts)
    parts.pop("post", None)
    hole = parts.pop("hole", 0.0)
    upper = math.hypot(reading_sigma(mark), *parts.values())
    return upper, math.hypot(upper, hole)


def _square(mover: Mover, xy: XY) -> XY:
    """The direction in which the distance to the line grows fastest: square to it."""
    boundary = mover.boundary
    assert boundary is not None
    (x, y), h = xy, _STEP_M
    east = boundary.distance((x + h, y)) - boundary.distance((x - h, y))
    north = boundary.distance((x, y + h)) - boundary.distance((x, y - h))
    return unit((east, north)) if east or north else (0.0, 0.0)
