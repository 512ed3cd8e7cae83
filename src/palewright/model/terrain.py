"""What a person knows of the ground, as written, and surfaces read from files. No calculation here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from typing import Any

from palewright.errors import Where
from palewright.record import Record

__all__ = ["GroundSpec", "SpotSpec", "StringSpec", "Terrain", "TerrainSpec"]


class SpotSpec(Record):
    """The height of the ground at one place: at the point ``name``, or at ``xy`` [m].

    how
        with what it was measured, in words. within: its standard deviation where the person gives one [m].
    """

    height_m: float
    name: str = ""
    xy: tuple[float, float] | None = None
    how: str = ""
    within: float | None = None
    at: Where = field(default_factory=Where)


class StringSpec(Record):
    """A level string and a rule: how far below it the ground lies.

    run, ends
        it hangs along a run, or between two points. start: the point that stations count from; "" its first end.
    drops
        station along the string, and from the string down to the ground [m].
    """

    drops: tuple[tuple[float, float], ...]
    run: str = ""
    ends: tuple[str, str] = ("", "")
    start: str = ""
    how: str = ""
    within: float | None = None
    at: Where = field(default_factory=Where)


class TerrainSpec(Record):
    """A file of ground.

    kind
        "surface" (spots, triangles) or "grid". unit: of its heights, as a job file writes it; "" for what the file
        says.
    layer
        the only one to read. order: of a point list, "PNEZD" or "PENZD".
    crs
        coordinate system of the file, where it does not say it. same_grid: the coordinates of the job are those of the
        file. zero: latitude and longitude of [0, 0] of the job [degrees].
    """

    kind: str
    file: str
    unit: str = ""
    layer: str = ""
    order: str = ""
    crs: str = ""
    same_grid: bool = False
    zero: tuple[float, float] | None = None
    how: str = ""
    within: float | None = None
    at: Where = field(default_factory=Where)


class Terrain(Record):
    """A file of ground that was read, in metres of the job.

    points, faces
        of a surface: (n, 3), and (m, 3) rows of it or None. values, affine: of a grid, nan for no data.
    to_plane
        from places of the job to places of the grid, where they are not the same.
    cautions
        slugs of what must be said of the file, each with what was found.
    """

    spec: TerrainSpec
    points: Any = field(default=None, compare=False)
    faces: Any = field(default=None, compare=False)
    values: Any = field(default=None, compare=False)
    affine: tuple[float, float, float, float, float, float] | None = None
    to_plane: Callable[[Any], Any] | None = field(default=None, compare=False)
    cautions: tuple[tuple[str, str], ...] = ()


class GroundSpec(Record):
    """All that a job says of its ground beside levels and falls; ``terrain`` once its files were read."""

    spots: tuple[SpotSpec, ...] = ()
    strings: tuple[StringSpec, ...] = ()
    files: tuple[TerrainSpec, ...] = ()
    terrain: tuple[Terrain, ...] = ()
