"""What a file made by another program holds, between the reader of its format and the draft of a job."""

from __future__ import annotations

from palewright.errors import Problem
from palewright.record import Record

__all__ = ["Drawn", "DrawnPath", "DrawnPoint", "GroundFrame"]

XY = tuple[float, float]


class DrawnPoint(Record):
    """A point of the file. ``words``: its description there. ``height_m``: elevation [m], or None."""

    name: str
    xy: XY
    layer: str = ""
    words: str = ""
    height_m: float | None = None


class DrawnPath(Record):
    """A line of the file, or a ring where ``closed`` (the first point is not repeated).

    arcs
        (side, sweep): side ``side`` (0-based, from point ``side`` on) is an arc, along which the direction turns by
        ``sweep`` [rad], left positive. Radius and centre follow from the chord.
    holes
        rings inside a ring that do not belong to it.
    """

    name: str
    points: tuple[XY, ...]
    closed: bool = False
    layer: str = ""
    arcs: tuple[tuple[int, float], ...] = ()
    holes: tuple[tuple[XY, ...], ...] = ()


class GroundFrame(Record):
    """How geographic or grid coordinates became ground metres: a plane tangent to the ellipsoid at one place.

    crs, datum
        coordinate system of the file and its datum, in words.
    latitude, longitude, height_m
        of the origin, on that datum [degrees, m above the ellipsoid]; ``height_given`` False: 0 was taken.
    convergence
        geodetic azimuth minus grid azimuth at the origin [rad]; 0 for a geographic file.
    scale_north, scale_east
        grid / ellipsoid at the origin; 1 for a geographic file. elevation_factor: ellipsoid / ground.
    """

    crs: str
    datum: str
    latitude: float
    longitude: float
    height_m: float
    height_given: bool
    convergence: float
    scale_north: float
    scale_east: float
    elevation_factor: float


class Drawn(Record):
    """Rings, lines and points in ground metres, x east and y north (or as drawn, where ``north`` is empty).

    form
        "GeoJSON", "DXF", ... unit: of lengths in the file, as a job file writes it ("ft", "ft US", "m", ...); "degree".
    north
        what its y axis rests on: "true north", "the grid of the file", or "" where the file does not say.
    frame
        None where the coordinates were taken as they are. cautions: what a reader must know of them.
    """

    file: str
    form: str
    unit: str
    north: str
    rings: tuple[DrawnPath, ...]
    paths: tuple[DrawnPath, ...]
    points: tuple[DrawnPoint, ...]
    frame: GroundFrame | None = None
    cautions: tuple[Problem, ...] = ()
