"""Legal heights of a run made one line that the tops of its bays must not cross."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from palewright.layout.meeting_ground import crossings
from palewright.layout.meeting_rules import SLACK_M, Floats
from palewright.model import HeightLine

__all__ = ["legal_at", "legal_line"]

_FREE_M = 1.0e3
"""Where no rule of height holds the line stands this high above every other: no fence reaches it [m]."""


def legal_line(
    lines: Sequence[HeightLine], length_m: float, over_m: float
) -> tuple[float, tuple[Floats, Floats]] | None:
    """One limit, and the heights from which it counts, for all rules of height along a run.

    lines
        each of one stretch. length_m: of the run. over_m: what stands above the infill: reveal, cap [m].
    Where several rules hold the lowest counts; a rule of 6 ft beside one of 4 ft is 4 ft counted from 2 ft higher.
    Returns None where no rule holds anywhere. Source: geometry.

    >>> front = HeightLine("front", 1.2, (0.0, 5.0), (0.0, 0.0))
    >>> most, (s, z) = legal_line([front, HeightLine("rear", 1.8, (5.0, 9.0), (0.0, 0.4))], 9.0, 0.1)
    >>> round(most, 9), s.tolist(), np.round(z, 9).tolist()
    (1.1, [0.0, 5.0, 5.0, 9.0], [0.0, 0.0, 0.6, 1.0])
    """
    if not lines:
        return None
    least = min(line.most_m for line in lines)
    top = max(max(line.heights_m) for line in lines) + _FREE_M
    ends = {0.0, length_m, *(end for line in lines for end in (line.stations_m[0], line.stations_m[-1]))}
    cuts = [cut for cut in sorted(ends) if 0.0 <= cut <= length_m]
    stations, heights = [], []
    for a, b in pairwise(cuts):
        if b - a <= SLACK_M:
            continue
        here = [line for line in lines if line.stations_m[0] <= a + SLACK_M and line.stations_m[-1] >= b - SLACK_M]
        at, low = _lowest(here, a, b, least) if here else (np.array([a, b]), np.array([top, top]))
        stations.append(at)
        heights.append(low)
    return least - over_m, (np.concatenate(stations), np.concatenate(heights))


def _lowest(lines: Sequence[HeightLine], a: float, b: float, least: float) -> tuple[Floats, Floats]:
    """The lowest of the lines from a to b, each lifted by what its rule allows more than the least."""
    parts = [_clipped(line, a, b) for line in lines]
    if len(parts) == 1:
        return parts[0][0], parts[0][1] + lines[0].most_m - least
    at = np.unique(np.concatenate([s for s, _ in parts]))
    each = np.stack([np.interp(at, s, z) + line.most_m - least for (s, z), line in zip(parts, lines, strict=True)])
    at, each = crossings(at, each)
    return at, each.min(axis=0)


def _clipped(line: HeightLine, a: float, b: float) -> tuple[Floats, Floats]:
    """A line from a to b alone; at a jump on an end the height on the inner side."""
    s, z = np.array(line.stations_m), np.array(line.heights_m)
    inside = (s > a + SLACK_M) & (s < b - SLACK_M)
    first = int(np.searchsorted(s, a + SLACK_M, side="right"))
    last = int(np.searchsorted(s, b - SLACK_M, side="left"))
    ends = [float(np.interp(at, s[i - 1 : i + 1], z[i - 1 : i + 1])) for at, i in ((a, first), (b, last))]
    return np.array([a, *s[inside], b]), np.array([ends[0], *z[inside], ends[1]])


def legal_at(lines: Sequence[HeightLine], station_m: float) -> float:
    """What the rule that binds at a station allows there above the heights from which it counts [m]."""
    here = [line for line in lines if line.stations_m[0] - SLACK_M <= station_m <= line.stations_m[-1] + SLACK_M]
    return min(here, key=lambda line: float(np.interp(station_m, line.stations_m, line.heights_m)) + line.most_m).most_m
