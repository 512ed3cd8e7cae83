"""Ground over a line as straight pieces, and what knows the ground over a plane."""

from __future__ import annotations

from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "APART",
    "LEAST_M",
    "NEAR_M",
    "Floats",
    "Index",
    "Pieces",
    "Surface",
    "allowed_miss",
    "counted",
    "joined",
    "path_stations",
    "shifted",
]

Floats = NDArray[np.float64]
Index = NDArray[np.intp]
NEAR_M = 1e-6
"""Stations closer than this are one station [m]: far below what a tape shows (our own choice)."""
LEAST_M = 0.01
"""Heights of the ground that differ by less agree, however well they are known: grass and soil (our own choice) [m]."""
APART = 3.0
"""Standard deviations by which two heights may differ: 997 in 1,000 do not differ more (normal distribution)."""


class Pieces(NamedTuple):
    """Straight pieces of ground over a line, in order and apart: what lies between them is not known.

    start, end
        level distances along the line [m]. z0, z1: heights at both ends [m]; s0, s1: their standard deviations [m].
    """

    start: Floats
    end: Floats
    z0: Floats
    z1: Floats
    s0: Floats
    s1: Floats

    @classmethod
    def none(cls) -> Pieces:
        """No ground at all."""
        return cls(*(np.empty(0) for _ in range(6)))


class Surface(Protocol):
    """Ground that is known over a plane. Places are (n, 2) arrays, x east, y north [m]."""

    how: str

    def heights(self, xy: Floats) -> tuple[Floats, Floats]:
        """Heights and their standard deviations [m] (n,), nan where nothing is known."""

    def covers(self, xy: Floats) -> NDArray[np.bool_]:
        """Whether places lie within its outline, known ground or not."""

    def over(self, path: Floats, sag_m: float) -> Pieces:
        """Straight pieces over a path (k, 2), which leave the surface by ``sag_m`` [m] at most."""


def joined(parts: list[Pieces]) -> Pieces:
    """Pieces of one line after another."""
    return Pieces(*(np.concatenate(column) for column in zip(*parts, strict=True))) if parts else Pieces.none()


def shifted(pieces: Pieces, by_m: float) -> Pieces:
    """The same pieces, counted from a start that lies ``by_m`` [m] before theirs."""
    return pieces._replace(start=pieces.start + by_m, end=pieces.end + by_m)


def path_stations(path: Floats) -> Floats:
    """Stations of the corners of a path (k, 2) [m]."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])


def allowed_miss(*sigmas: Floats | float) -> Floats:
    """How far two heights may differ before they contradict each other [m].

    sigmas
        standard deviations of all that their difference rests on [m]. Three times the root of the sum of their squares,
        and 1 cm at least.

    >>> allowed_miss(0.03, 0.04).round(9).tolist(), allowed_miss(0.0, 0.001).tolist()
    (0.15, 0.01)
    """
    return np.maximum(APART * np.sqrt(sum(np.square(sigma) for sigma in sigmas)), LEAST_M)


def counted(first: Index, count: Index) -> tuple[Index, Index]:
    """Rows first, first + 1, ... for each group of ``count``: the group of each, and the row.

    >>> counted(np.array([5, 9]), np.array([3, 1]))
    (array([0, 0, 0, 1]), array([5, 6, 7, 9]))
    """
    group = np.repeat(np.arange(len(count)), count)
    return group, first[group] + np.arange(len(group)) - (np.cumsum(count) - count)[group]
