"""A level top over a stretch: the least height that leaves every board as long as it must be."""

from __future__ import annotations

import numpy as np

from palewright.layout.meeting_build import first_up
from palewright.layout.meeting_ground import ground_at, spans
from palewright.layout.meeting_rules import Floats, GroundRules

__all__ = ["level_top"]


def level_top(
    stations_m: Floats, heights_m: Floats, posts_m: Floats, rules: GroundRules, base_m: float
) -> tuple[Floats, Floats]:
    """Bottoms and tops at the posts of a stretch with a level top, each shaped (bays, 2) [m].

    The bottom follows the ground at the target gap, each board cut to it; the top is the lowest on the grid at which
    no board is shorter than the infill. Any lower top would leave the board above the highest ground too short, so it
    is the least. Source: geometry.

    >>> s, z = np.array([0.0, 4.0]), np.array([0.0, 0.4])
    >>> bottoms, tops = level_top(s, z, np.array([0.0, 2, 4]), GroundRules(1.8, 0, 0.05, 0.1, grid_m=0.01), 0.05)
    >>> np.round(bottoms, 9).tolist(), np.round(tops, 9).tolist()
    ([[0.05, 0.25], [0.25, 0.45]], [[2.25, 2.25], [2.25, 2.25]])
    """
    highest = float(spans(stations_m, heights_m, posts_m).value.max())
    lowest_top = first_up(highest + rules.target_m, base_m, rules.grid_m)
    top = base_m + rules.grid_m * lowest_top + rules.infill_m
    ends = ground_at(stations_m, heights_m, posts_m) + rules.target_m
    bottoms = np.stack([ends[:-1], ends[1:]], axis=1)
    return bottoms, np.full_like(bottoms, top)
