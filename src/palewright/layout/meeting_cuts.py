"""Cuts of the infill of one bay: boards scribed to the ground, the wedge under a level bay."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from palewright.layout.meeting_ground import ground_at
from palewright.layout.meeting_rules import SLACK_M, Floats

__all__ = ["BoardCuts", "board_edges", "cut_to_ground", "under_bay"]


class BoardCuts(NamedTuple):
    """Of every board: its edges along the run, and at each edge the height of its lower end and its length [m].

    blank
        length of the piece to cut it from: the longer of its two edges [m].
    """

    edges: Floats
    bottom: Floats
    length: Floats
    blank: Floats


def board_edges(start_m: float, end_m: float, board_m: float, between_m: float = 0.0) -> Floats:
    """Edges of boards from station to station, the last one ripped to fit; shape (boards, 2) [m].

    board_m
        face of a board, > 0. between_m: space between boards, > -board_m (negative where they lap) [m].
    Source: geometry.

    >>> board_edges(0.0, 1.0, 0.4).tolist()
    [[0.0, 0.4], [0.4, 0.8], [0.8, 1.0]]
    """
    count = max(1, int(np.ceil((end_m - start_m + between_m) / (board_m + between_m) - SLACK_M)))
    left = start_m + (board_m + between_m) * np.arange(count)
    return np.stack([left, np.minimum(left + board_m, end_m)], axis=1)


def cut_to_ground(
    stations_m: Floats, heights_m: Floats, edges_m: Floats, posts_m: tuple[float, float], tops_m: tuple[float, float],
    gap_m: float,
) -> BoardCuts:  # fmt: skip
    """Boards cut at the bottom by one straight cut each, along the ground and nowhere nearer to it than the gap.

    stations_m, heights_m
        knots of the ground [m]. edges_m: shape (boards, 2) [m]. posts_m, tops_m: stations of the two posts and the top
        of the bay there [m]. gap_m: room below [m].
    The cut runs from edge to edge at the gap; a hump under the board lifts it as it is. Source: geometry.

    >>> s, z = np.array([0.0, 1.0]), np.array([0.0, 0.1])
    >>> cuts = cut_to_ground(s, z, np.array([[0.0, 0.5], [0.5, 1.0]]), (0.0, 1.0), (2.0, 2.0), 0.05)
    >>> np.round(cuts.length, 9).tolist(), np.round(cuts.blank, 9).tolist()
    ([[1.95, 1.9], [1.9, 1.85]], [1.95, 1.9])
    """
    bottom = ground_at(stations_m, heights_m, edges_m.ravel()).reshape(edges_m.shape) + gap_m
    first = np.searchsorted(stations_m, edges_m[:, 0])
    last = np.searchsorted(stations_m, edges_m[:, 1])
    for i in np.flatnonzero(last > first):
        inside = slice(first[i], last[i])
        line = np.interp(stations_m[inside], edges_m[i], bottom[i])
        bottom[i] += max(0.0, float((heights_m[inside] + gap_m - line).max()))
    length = np.interp(edges_m, posts_m, tops_m) - bottom
    return BoardCuts(edges_m, bottom, length, length.max(axis=1))


def under_bay(
    stations_m: Floats,
    heights_m: Floats,
    posts_m: tuple[float, float],
    bottoms_m: tuple[float, float],
    gap_m: float,
    most_m: float,
) -> tuple[float, float, float]:
    """The piece that closes the wedge under a bay: from station, to station, and its greatest height [m].

    gap_m
        room to leave under the piece. most_m: room that needs no piece, >= gap_m [m].
    It reaches from the first place at which the room is more than ``most_m`` to the last. All 0 where none is.
    Source: geometry.

    >>> under_bay(np.array([0.0, 2.0]), np.array([0.0, -0.2]), (0.0, 2.0), (0.05, 0.05), 0.02, 0.1)
    (0.5, 2.0, 0.23)
    """
    a, b = posts_m
    inside = stations_m[(stations_m > a) & (stations_m < b)]
    at = np.concatenate([[a], inside, [b]])
    room = np.interp(at, posts_m, bottoms_m) - ground_at(stations_m, heights_m, at)
    over = np.flatnonzero(room > most_m + SLACK_M)
    if not over.size:
        return 0.0, 0.0, 0.0
    i, j = int(over[0]), int(over[-1])
    start = float(np.interp(most_m, room[i - 1 : i + 1], at[i - 1 : i + 1])) if i else a
    end = float(np.interp(-most_m, -room[j : j + 2], at[j : j + 2])) if j + 1 < len(at) else b
    return start, end, float(room.max()) - gap_m
