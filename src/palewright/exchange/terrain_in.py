"""Files of ground, read: surfaces (LandXML, DXF, point lists) and grids of heights (GeoTIFF, ESRI ASCII, NumPy)."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from palewright.exchange.foreign import MOST_POINTS, read_file_bytes, refused, unit_size
from palewright.exchange.projection import Projection, projection
from palewright.model import Terrain, TerrainSpec
from palewright.survey import geographic_to_local, local_to_geographic

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["read_terrain"]

#: No dry ground lies lower or higher (shore of the Dead Sea -430 m, Everest 8,849 m): what does is a mark for "no data"
#: that the file does not declare, such as -9999 [m].
_LOWEST_M, _HIGHEST_M = -500.0, 9_000.0
_MERCATOR = ("pseudo-mercator", "web mercator", "popular visualisation")


class Raw(NamedTuple):
    """A surface in the units of its file. unit: "" where the file does not say it. breaklines: that are not kept."""

    points: Any
    faces: Any
    unit: str
    crs: str
    left_out: int = 0
    breaklines: int = 0


def read_terrain(path: Path, spec: TerrainSpec) -> Terrain:
    """A file of ground in metres of the job.

    path, spec
        the file, and what the job says of it.
    A file without a coordinate system has the job's own coordinates. One in a map grid is laid under the job by
    ``same_grid`` or ``zero``; nothing is guessed. Raises ProblemError: ``unit-not-said``, ``unit-conflict``,
    ``terrain-not-placed``, ``web-mercator``, ``terrain-kind``, ``surface-which``, ``drawing-empty``, and what readers
    of the formats raise.
    """
    if spec.kind == "grid":
        from palewright.exchange.terrain_grid import read_grid

        raw = read_grid(path, spec)
        return _grid(raw.values, raw.affine, raw.unit, raw.crs, spec, path.name)
    return _surface(_raw_surface(path, spec), spec, path.name)


def _raw_surface(path: Path, spec: TerrainSpec) -> Raw:
    data, ending, file = read_file_bytes(path), path.suffix.casefold(), path.name
    if ending == ".xml" or data.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"<"):
        from palewright.exchange.terrain_xml import read_surface_xml

        return Raw(*read_surface_xml(data, file, spec.layer))
    if ending == ".dxf":
        from palewright.exchange.terrain_dxf import read_surface_dxf

        return Raw(*read_surface_dxf(path, data, spec.layer))
    if ending in (".csv", ".txt", ".pnezd", ".penzd", ".pts"):
        from palewright.exchange.points_in import read_points

        sheet = read_points(data, file, spec.order)
        rows = [(*point.xy, point.height_m) for point in sheet.points if point.height_m is not None]
        return Raw(rows, None, "", sheet.crs, len(sheet.points) - len(rows))
    raise refused("terrain-kind", "surfaces of this kind are not read", file, found=ending or "no ending",
                  allowed="LandXML (.xml), DXF (.dxf), point list (.csv, .txt)")  # fmt: skip


def _unit(said: str, spec: TerrainSpec, file: str, firm: bool) -> float:
    """Metres in the unit of heights. firm: what the file says stands, and the job may not say another."""
    if said and spec.unit and firm and abs(unit_size(said, file) / unit_size(spec.unit, file) - 1.0) > 1e-9:
        raise refused("unit-conflict", "the file and the job do not say the same unit of its heights", file,
                      found=f"{said} in the file, {spec.unit} in the job", allowed="one unit",
                      hint="take `unit` out, or have the file made again")  # fmt: skip
    unit = (said or spec.unit) if firm else (spec.unit or said)
    if not unit:
        raise refused("unit-not-said", "the file does not say the unit of its heights", file,
                      hint="say it beside the file: `unit: ft` or `unit: m`")  # fmt: skip
    return unit_size(unit, file)


def _system(crs: str, spec: TerrainSpec, file: str) -> Projection | None:
    """The coordinate system of a file, once it is said how it lies to the job."""
    crs = spec.crs or crs
    if not crs:
        if spec.zero is not None:
            raise refused("terrain-not-placed", "`zero at` needs the coordinate system of the file", file,
                          hint="name it: `crs: EPSG:2229`")  # fmt: skip
        return None
    system = projection(crs, file)
    if any(word in f"{system.name} {crs}".casefold() for word in (*_MERCATOR, "epsg:3857")):
        raise refused("web-mercator", "web mercator stretches the ground, and is not for measuring", file,
                      found=system.name, hint="have the file made in the grid of the region")  # fmt: skip
    if spec.same_grid == (spec.zero is not None) or (spec.same_grid and system.geographic):
        raise refused("terrain-not-placed", "the file is in a coordinate system, and where this job lies in it is not "
                      "said", file, found=system.name, allowed="`same grid: yes`, or `zero at: [latitude, longitude]`",
                      hint="`same grid` is for a job with the coordinates of that grid itself")  # fmt: skip
    return system


def _surface(raw: Raw, spec: TerrainSpec, file: str) -> Terrain:
    import numpy as np

    up = _unit(raw.unit, spec, file, firm=False)
    system = _system(raw.crs, spec, file)
    points = np.array(raw.points, dtype=float).reshape(-1, 3)
    if not len(points):
        raise refused("drawing-empty", "no height stands in this file", file, hint="another layer, another file?")
    if not np.isfinite(points).all():
        raise refused("not-finite", "a place or a height of this file is not a number", file)
    if len(points) > MOST_POINTS:
        raise refused("too-many-points", "there are more points than are taken", file, found=f"{len(points):,}",
                      allowed=f"at most {MOST_POINTS:,}")  # fmt: skip
    flat = points[:, :2] * (up if system is None else system.unit_m if not system.geographic else 1.0)
    if system is not None and spec.zero is not None:
        lat, lon = (math.radians(angle) for angle in spec.zero)
        height = float(np.median(points[:, 2])) * up
        globe = system.to_geographic([(float(x), float(y)) for x, y in points[:, :2]])
        flat = np.array([geographic_to_local(place, lat, lon, height, system.a, system.f) for place in globe])
    counted = (("terrain-without-height", raw.left_out), ("terrain-breaklines", raw.breaklines))
    cautions = tuple((slug, f"{count:,}") for slug, count in counted if count)
    faces = None if raw.faces is None or not len(raw.faces) else np.array(raw.faces, dtype=np.intp)
    return Terrain(spec, np.column_stack([flat, points[:, 2] * up]), faces, cautions=cautions + _datum(system, spec))


def _grid(
    values: NDArray[np.floating], affine: tuple[float, ...], said: str, crs: str, spec: TerrainSpec, file: str
) -> Terrain:
    import numpy as np

    up = _unit(said, spec, file, firm=True)
    system = _system(crs, spec, file)
    values = values * up if up != 1.0 else values
    absurd = (values < _LOWEST_M) | (values > _HIGHEST_M)
    cautions: tuple[tuple[str, str], ...] = ()
    if absurd.any():
        cautions = (("terrain-absurd", f"{int(absurd.sum()):,}"),)
        values = np.where(absurd, np.nan, values)
    flat = up if system is None else 1.0 if system.geographic else system.unit_m
    a, b, c, d, e, f = (float(value) * flat for value in affine)
    bend = None
    if system is not None and spec.zero is not None:
        bend = _bend(system, spec.zero, float(np.nanmedian(values)) if np.isfinite(values).any() else 0.0)
    return Terrain(
        spec, values=values, affine=(a, b, c, d, e, f), to_plane=bend, cautions=cautions + _datum(system, spec)
    )


def _bend(system: Projection, zero: tuple[float, float], height: float) -> Any:
    """From places of the job to those of the grid [m, or degrees]."""
    import numpy as np

    lat, lon = (math.radians(angle) for angle in zero)

    def to_plane(xy: NDArray[np.float64]) -> NDArray[np.float64]:
        globe = [local_to_geographic((float(x), float(y)), lat, lon, height, system.a, system.f) for x, y in xy]
        if system.geographic:
            return np.degrees([(longitude, latitude) for latitude, longitude in globe])
        return np.array([system.to_grid(*place) for place in globe])

    return to_plane


def _datum(system: Projection | None, spec: TerrainSpec) -> tuple[tuple[str, str], ...]:
    """That latitude and longitude count on the file's own datum, where that is another than receivers have."""
    if system is None or spec.zero is None or "84" in system.datum:
        return ()
    return (("terrain-datum", system.datum),)
