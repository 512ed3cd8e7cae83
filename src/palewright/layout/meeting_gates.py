"""A gate leaf that swings over ground which is not level: how high its bottom must be, and what stays open below."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_rules import Floats

__all__ = ["Sweep", "leaf_sweep", "sector"]


class Sweep(NamedTuple):
    """What the ground asks of a leaf.

    bottom
        the level bottom that clears the whole swing. closed_lowest: lowest ground under the closed leaf [m].
    unknown
        share of the places whose height is not known (0 to 1); nothing is said about them.
    """

    bottom: float
    closed_lowest: float
    unknown: float


def sector(hinge: tuple[float, float], latch: tuple[float, float], opens: float, spacing_m: float = 0.1) -> Floats:
    """Places under a leaf from closed to open, no further apart than a spacing: (angles, along, 2) [m], closed first.

    hinge, latch
        ends of the closed leaf [m]. opens: angle through which it opens [rad, -2 pi to 2 pi], positive to the left
        (against the clock) seen from above. spacing_m: > 0 [m].
    Source: geometry.

    >>> sector((0.0, 0.0), (1.0, 0.0), math.pi / 2, 0.5)[-1, -1].round(9).tolist()
    [0.0, 1.0]
    """
    dx, dy = latch[0] - hinge[0], latch[1] - hinge[1]
    length = math.hypot(dx, dy)
    along = np.linspace(0.0, length, max(2, math.ceil(length / spacing_m) + 1))
    angles = np.linspace(0.0, opens, max(2, math.ceil(abs(opens) * length / spacing_m) + 1))
    turned = math.atan2(dy, dx) + angles
    unit = np.stack([np.cos(turned), np.sin(turned)], axis=1)
    return np.asarray(hinge + along[None, :, None] * unit[:, None, :], dtype=np.float64)


def leaf_sweep(heights_m: Floats, clearance_m: float, beyond_m: float = 0.0) -> Sweep:
    """What the ground under a swing asks of a leaf with a level bottom.

    heights_m
        ground at the places of :func:`sector`, (angles, along), nan where it is not known [m].
    clearance_m
        room between the leaf and the highest ground, >= 0 [m]. beyond_m: what the ground may be higher between the
        places [m].
    bottom = highest + beyond + clearance. Raises ValueError when nothing is known under the closed leaf.
    Source: geometry; at least 1 in above the highest ground in the swing: common practice (do-it-yourself guides).

    >>> places = sector((0.0, 0.0), (1.0, 0.0), math.pi / 2)
    >>> swing = leaf_sweep(0.1 * places[..., 1], 0.03)
    >>> round(swing.bottom, 9), swing.closed_lowest
    (0.13, 0.0)
    """
    known = np.isfinite(heights_m)
    if not known[0].any():
        raise ValueError("no ground is known under the closed leaf")
    bottom = float(np.nanmax(heights_m)) + beyond_m + clearance_m
    return Sweep(bottom, float(np.nanmin(heights_m[0])), float(1.0 - known.mean()))
