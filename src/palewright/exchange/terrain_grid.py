"""Grids of heights, read: GeoTIFF with rasterio (the `gis` extra), ESRI ASCII grids, NumPy archives."""

from __future__ import annotations

import io
import struct
import warnings
import zipfile
import zlib
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from palewright.errors import ProblemError
from palewright.exchange.foreign import DAMAGED, MISSING, read_file_bytes, refused
from palewright.exchange.gis_out import gis_library
from palewright.model import TerrainSpec

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["MOST_CELLS", "RawGrid", "read_grid"]

MOST_CELLS = 100_000_000
"""Largest grid read [cells]."""
_UNITS = {
    "m": "m", "metre": "m", "meter": "m", "metres": "m", "meters": "m", "ft": "ft", "foot": "ft", "feet": "ft",
    "us survey foot": "ft US", "ftus": "ft US", "us-ft": "ft US", "foot_us": "ft US", "us survey feet": "ft US",
}  # fmt: skip


class RawGrid(NamedTuple):
    """Heights in the unit of the file, nan for no data; affine of cell corners; unit and crs, "" where not said."""

    values: Any
    affine: tuple[float, ...]
    unit: str
    crs: str


def read_grid(path: Path, spec: TerrainSpec) -> RawGrid:
    """A grid of heights as its file has it.

    Raises ProblemError: ``terrain-kind``, ``grid-too-large``, ``grid-not-placed``, ``file-missing``, ``file-broken``.
    """
    ending = path.suffix.casefold()
    if ending in (".tif", ".tiff", ".gpkg"):
        return _raster(path, spec.layer)
    if ending in (".asc", ".grd"):
        return _ascii(read_file_bytes(path), path.name)
    if ending == ".npz":
        return _archive(read_file_bytes(path), path.name)
    raise refused("terrain-kind", "grids of this kind are not read", path.name, found=ending or "no ending",
                  allowed="GeoTIFF (.tif), ESRI ASCII (.asc), NumPy (.npz)")  # fmt: skip


def _size(rows: int, columns: int, file: str) -> None:
    if rows * columns > MOST_CELLS:
        raise refused("grid-too-large", "the grid has more cells than are read", file, found=f"{rows * columns:,}",
                      allowed=f"at most {MOST_CELLS:,}", hint="cut out what lies near the site")  # fmt: skip


def _raster(path: Path, layer: str) -> RawGrid:
    import numpy as np

    file = path.name
    if not path.is_file():
        raise refused("file-missing", "there is no such file", file, hint=MISSING)
    rasterio = gis_library("rasterio")
    packed = path.suffix.casefold() == ".gpkg"
    name = f"GPKG:{path}:{layer}" if layer and packed else str(path)
    # by their content GDAL also takes kinds of files that lead to others, on this machine and on the network, and it
    # looks for such beside the file: only the two kinds are let in, and nothing beside them is opened
    alone = rasterio.Env(GDAL_DISABLE_READDIR_ON_OPEN="EMPTY_DIR", GDAL_PAM_ENABLED="NO")
    try:
        with warnings.catch_warnings(record=True) as told:
            warnings.simplefilter("always")
            with alone, rasterio.open(name, driver="GPKG" if packed else "GTiff") as held:
                _size(held.height, held.width, file)
                masked = held.read(1, masked=True)
                affine, crs, unit = tuple(held.transform)[:6], held.crs, (held.units or ("",))[0] or ""
    except rasterio.errors.RasterioError as error:
        raise refused(
            "file-broken",
            "the grid cannot be read",
            file,
            found=" ".join(str(error).split())[:100],
            hint=DAMAGED,
        ) from None
    if any(issubclass(one.category, rasterio.errors.NotGeoreferencedWarning) for one in told):
        raise refused("grid-not-placed", "the file does not say where its cells lie", file,
                      hint="a picture of the ground is no grid of heights; a GeoTIFF has its place in it")  # fmt: skip
    values = np.ma.filled(masked.astype(np.float32 if masked.dtype == np.float32 else float), np.nan)
    return RawGrid(values, affine, _unit(unit, file), crs.to_wkt() if crs else "")


def _unit(said: str, file: str) -> str:
    if said and said.strip().casefold() not in _UNITS:
        raise refused("unit-unknown", "the unit of the file is not known", file, found=said[:40],
                      allowed="metre, foot, US survey foot")  # fmt: skip
    return _UNITS.get(said.strip().casefold(), "")


def _ascii(data: bytes, file: str) -> RawGrid:
    import numpy as np

    head: dict[str, float] = {}
    lines = data.decode("latin-1").splitlines()
    try:
        while len(head) < len(lines) and lines[len(head)].split()[:1] and lines[len(head)].split()[0][0].isalpha():
            key, value = lines[len(head)].split()[:2]
            head[key.casefold()] = float(value)
        rows, columns = int(head["nrows"]), int(head["ncols"])
        _size(rows, columns, file)
        values: NDArray[np.float64] = np.array(" ".join(lines[len(head) :]).split(), dtype=float).reshape(rows, columns)
        dx, dy = head.get("dx", head.get("cellsize", 0.0)), head.get("dy", head.get("cellsize", 0.0))
        west = head["xllcorner"] if "xllcorner" in head else head["xllcenter"] - dx / 2.0
        south = head["yllcorner"] if "yllcorner" in head else head["yllcenter"] - dy / 2.0
    except ProblemError:
        raise
    except (KeyError, ValueError, IndexError, OverflowError) as error:
        raise refused("file-broken", "this is not an ESRI ASCII grid", file, found=str(error)[:80], hint=DAMAGED,
                      allowed="ncols, nrows, xllcorner, yllcorner, cellsize, rows of heights") from None  # fmt: skip
    values[values == head.get("nodata_value", -9999.0)] = np.nan
    return RawGrid(values, (dx, 0.0, west, 0.0, -dy, south + rows * dy), "", "")


#: what numpy, zipfile and zlib raise for archives that are damaged, locked, or no archives
_ARCHIVE_BROKEN = (LookupError, ValueError, OSError, EOFError, TypeError, AttributeError, RuntimeError, SyntaxError,
                   MemoryError, zipfile.BadZipFile, zlib.error, struct.error)  # fmt: skip


def _archive(data: bytes, file: str) -> RawGrid:
    import numpy as np

    with suppress(zipfile.BadZipFile, NotImplementedError), zipfile.ZipFile(io.BytesIO(data)) as packed:
        _size(sum(one.file_size for one in packed.infolist()) // 16, 1, file)  # a small file may hold a very large one
    try:
        with np.load(io.BytesIO(data), allow_pickle=False) as held:
            values, affine = np.array(held["elevation"], dtype=float), [float(v) for v in held["affine"].ravel()[:6]]
            said = {key: str(held[key]) for key in ("unit", "crs") if key in held}
            if "nodata" in held:
                values[values == float(held["nodata"])] = np.nan
    except _ARCHIVE_BROKEN as error:
        raise refused("file-broken", "this archive holds no grid of heights", file, found=str(error)[:80], hint=DAMAGED,
                      allowed="arrays `elevation` (rows, columns) and `affine` (6 numbers)") from None  # fmt: skip
    if values.ndim != 2 or len(affine) != 6:
        raise refused("file-broken", "this archive holds no grid of heights", file, found=f"shape {values.shape}",
                      hint="`elevation` has rows and columns, `affine` six numbers")  # fmt: skip
    _size(values.shape[0], values.shape[1], file)
    return RawGrid(values, tuple(affine), said.get("unit", ""), said.get("crs", ""))
