"""A gate leaf that swings over ground which is not level: how high its bottom must be, and what stays open below."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_rules import Floats

__all__ = ["Sector", "Sweep", "leaf_sweep", "sector"]


class Sector(NamedTuple):
    """Places under a swinging leaf: ``xy`` (angles, along, 2) [m]; the first row is the closed leaf."""

    xy: Floats
    angles: Floats
    along: Floats


class Sweep(NamedTuple):
    """What the ground asks of a leaf. Heights in the datum of the ground; all lengths in m.

    highest, highest_at
        highest ground under the swing and its place. closed_highest, closed_lowest: under the closed leaf.
    bottom
        the level bottom that clears the whole swing.
    low_gap
        most room under the closed leaf with that bottom. rise: highest ground of the swing above the highest under
        the closed leaf: by so much the bottom is raised; the swing is uphill where it is more than 0.
    angle
        opening angle [rad] at which a leaf that clears only the closed line by the same amount first touches; None
        where it never does.
    unknown
        share of the places whose height is not known (0 to 1); nothing is said about them.
    """

    highest: float
    highest_at: tuple[float, float]
    closed_highest: float
    closed_lowest: float
    bottom: float
    low_gap: float
    rise: float
    angle: float | None
    unknown: float


def sector(hinge: tuple[float, float], latch: tuple[float, float], opens: float, spacing_m: float = 0.1) -> Sector:
    """Places under a leaf from closed to open, no further apart than a spacing.

    hinge, latch
        ends of the closed leaf [m]. opens: angle through which it opens [rad, -2 pi to 2 pi], positive to the left
        (against the clock) seen from above. spacing_m: > 0 [m].
    Source: geometry.

    >>> sector((0.0, 0.0), (1.0, 0.0), math.pi / 2, 0.5).xy[-1, -1].round(9).tolist()
    [0.0, 1.0]
    """
    dx, dy = latch[0] - hinge[0], latch[1] - hinge[1]
    length = math.hypot(dx, dy)
    along = np.linspace(0.0, length, max(2, math.ceil(length / spacing_m) + 1))
    angles = np.linspace(0.0, opens, max(2, math.ceil(abs(opens) * length / spacing_m) + 1))
    turned = math.atan2(dy, dx) + angles
    unit = np.stack([np.cos(turned), np.sin(turned)], axis=1)
    return Sector(np.asarray(hinge) + along[None, :, None] * unit[:, None, :], angles, along)


def leaf_sweep(places: Sector, heights_m: Floats, clearance_m: float, beyond_m: float = 0.0) -> Sweep:
    """What the ground under a swing asks of a leaf with a level bottom.

    heights_m
        ground at ``places.xy``, shape (angles, along), nan where it is not known [m]. clearance_m: room between the
        leaf and the highest ground, >= 0 [m]. beyond_m: what the ground may be higher between the places [m].
    bottom = highest + beyond + clearance. Raises ValueError when nothing is known under the closed leaf.
    Source: geometry; at least 1 in above the highest ground in the swing: common practice (do-it-yourself guides).

    >>> places = sector((0.0, 0.0), (1.0, 0.0), math.pi / 2)
    >>> swing = leaf_sweep(places, 0.1 * places.xy[..., 1], 0.03)
    >>> round(swing.bottom, 9), round(swing.rise, 9), round(swing.low_gap, 9)
    (0.13, 0.1, 0.13)
    """
    known = np.isfinite(heights_m)
    if not known[0].any():
        raise ValueError("no ground is known under the closed leaf")
    closed = heights_m[0][known[0]]
    flat = int(np.argmax(np.where(known, heights_m, -np.inf)))
    highest = float(heights_m.ravel()[flat])
    x, y = places.xy.reshape(-1, 2)[flat].tolist()
    bottom = highest + beyond_m + clearance_m
    top, low = float(closed.max()), float(closed.min())
    with_least = np.where(known, heights_m, -np.inf).max(axis=1) > top + clearance_m
    touches = float(places.angles[int(with_least.argmax())]) if with_least.any() else None
    return Sweep(
        highest,
        (x, y),
        top,
        low,
        bottom,
        bottom - low,
        highest - top,
        touches,
        float(1.0 - known.mean()),
    )
