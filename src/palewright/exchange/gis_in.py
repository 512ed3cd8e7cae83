"""GeoPackage and shapefile, read with GDAL (the `gis` extra)."""

from __future__ import annotations

import io
import tempfile
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from palewright.exchange.foreign import DAMAGED, MOST_BYTES, Sheet, check_count, refused, spot
from palewright.exchange.geojson_in import name_of
from palewright.exchange.gis_out import gis_library
from palewright.model import DrawnPath, DrawnPoint
from palewright.plane import XY

__all__ = ["read_gis", "read_zip"]

_MOST_FEATURES = 100_000
_PARTS = (".shp", ".shx", ".dbf", ".prj", ".cpg")


def read_gis(path: Path, form: str, layer: str = "", file: str = "") -> Sheet:
    """One layer of a GeoPackage or a shapefile; ``form`` is its name in words.

    Raises ProblemError: ``which-layer`` where there are several, ``unknown-layer``, ``file-broken``,
    ``too-many-points``, ``not-finite``, ``gis-extra-missing``.
    """
    file = file or path.name
    _check_whole(path, file)
    raw, pyogrio = gis_library("pyogrio.raw"), gis_library("pyogrio")
    with _as_problem(file, []):
        held = [(str(name), str(kind)) for name, kind in pyogrio.list_layers(str(path)) if kind is not None]
    names = [name for name, _ in held]
    if not names:
        raise refused("drawing-empty", "there is no layer with shapes in this file", file)
    wanted = [name for name in names if name.casefold() == layer.casefold()] if layer else names
    if not wanted:
        raise refused("unknown-layer", "the file has no such layer", file, found=layer, allowed=", ".join(names[:20]))
    if len(wanted) > 1:
        raise refused("which-layer", "the file has several layers", file, found=f"{len(names)}",
                      allowed=", ".join(names[:20]), hint=f"name one: --layer {names[0]}")  # fmt: skip
    said: list[str] = []
    with _as_problem(file, said):
        count = pyogrio.read_info(str(path), layer=wanted[0], force_feature_count=True)["features"]
        if count > _MOST_FEATURES:
            raise refused("too-many-points", "the layer has more shapes than are read", file, found=f"{count:,}",
                          allowed=f"at most {_MOST_FEATURES:,}")  # fmt: skip
        about, _, shapes, data = raw.read(str(path), layer=wanted[0])
        sheet = Sheet(file, form, crs=str(about["crs"] or ""))
        _Layer(sheet, wanted[0]).put(shapes, [str(name) for name in about["fields"]], data)
    if said:
        sheet.caution("library-warned", "the library that reads map files was not content", said[0])
    return sheet


def _check_whole(path: Path, file: str) -> None:
    """A file that is shorter than its own header says was cut off: it would read as one with fewer shapes.

    One of another kind than the two is refused: by their content GDAL also takes files that lead to others. Source:
    SQLite file format, 1.3; ESRI shapefile technical description (1998), file code 9994.
    """
    with path.open("rb") as opened:
        head = opened.read(32)
    if not head.startswith((b"SQLite format 3\x00", (9994).to_bytes(4, "big"))):
        raise refused("file-broken", "this is neither a GeoPackage nor a shapefile", file, hint=DAMAGED)
    wanted = 2 * int.from_bytes(head[24:28], "big")
    if head.startswith(b"SQLite"):
        page = int.from_bytes(head[16:18], "big")
        wanted = (65536 if page == 1 else page) * int.from_bytes(head[28:32], "big")
    size = path.stat().st_size
    if size < wanted:
        raise refused("file-broken", "the file is shorter than it says itself", file, found=f"{size:,} bytes",
                      allowed=f"{wanted:,} bytes", hint="was the file cut off?")  # fmt: skip


def read_zip(data: bytes, file: str, layer: str = "") -> Sheet:
    """The shapefiles of a zip, unpacked by their bare names, at most as much as any file may hold.

    Raises ProblemError: ``file-broken``, ``file-too-large``, ``unknown-kind``, and what :func:`read_gis` raises.
    """
    with tempfile.TemporaryDirectory() as folder:
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as box:
                parts = [one for one in box.infolist() if Path(one.filename).suffix.lower() in _PARTS]
                if sum(one.file_size for one in parts) > MOST_BYTES or len(parts) > 100:
                    raise refused("file-too-large", "what the zip holds is too large to be read", file,
                                  allowed=f"at most {MOST_BYTES:,} bytes")  # fmt: skip
                for one in parts:
                    with box.open(one) as member:
                        (Path(folder) / _bare(one.filename)).write_bytes(member.read(one.file_size))
        except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError, ValueError) as error:
            if hasattr(error, "problems"):
                raise
            raise refused("file-broken", "the zip cannot be unpacked", file, found=str(error)[:80],
                          hint=DAMAGED) from None  # fmt: skip
        found = sorted(Path(folder).glob("*.shp"))
        if not found:
            raise refused("unknown-kind", "there is no shapefile in this zip", file,
                          hint="a KMZ is unpacked first: the KML inside it is read")  # fmt: skip
        chosen = [path for path in found if path.stem.casefold() == layer.casefold()] if layer else found
        if not chosen:
            raise refused("unknown-layer", "the zip has no such shapefile", file, found=layer,
                          allowed=", ".join(path.stem for path in found))  # fmt: skip
        if len(chosen) > 1:
            raise refused("which-layer", "the zip has several shapefiles", file, found=f"{len(found)}",
                          allowed=", ".join(path.stem for path in found[:20]),
                          hint=f"name one: --layer {found[0].stem}")  # fmt: skip
        return read_gis(chosen[0], "shapefile", file=file)


def _bare(name: str) -> str:
    """Name of a part without its folders, its ending in small letters."""
    path = Path(name.replace("\\", "/"))
    return path.stem.replace("/", "_")[:100] + path.suffix.lower()


@contextmanager
def _as_problem(file: str, said: list[str]) -> Iterator[None]:
    """What a library for map files raises is the file's fault; what it warns of goes to ``said``."""
    try:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always")
            yield
        said += [" ".join(str(one.message).split())[:120] for one in caught]
    except MemoryError:
        raise
    except Exception as error:
        if hasattr(error, "problems"):
            raise
        found = " ".join(str(error).split())[:120]
        raise refused("file-broken", "the file cannot be read", file, found=found,
                      hint="is it whole? a shapefile needs its .shx and .dbf beside it") from None  # fmt: skip


class _Layer:
    def __init__(self, sheet: Sheet, layer: str) -> None:
        self.sheet, self.layer, self.count, self.empty = sheet, layer, 0, 0

    def put(self, shapes: Any, fields: list[str], data: list[Any]) -> None:
        """Every shape of the layer with the name that its table gives it."""
        from_wkb = gis_library("shapely").from_wkb
        for k, wkb in enumerate(shapes):
            shape = from_wkb(wkb) if wkb is not None else None
            if shape is None or shape.is_empty:
                self.empty += 1
                continue
            facts = {name: _plain(column[k]) for name, column in zip(fields, data, strict=True)}
            self._one(shape, name_of(facts))
        if self.empty:
            self.sheet.caution("shapes-empty", "some rows of the layer have no shape", f"{self.empty:,} of them")

    def _one(self, shape: Any, name: str) -> None:
        kind = shape.geom_type
        if kind == "Point":
            self.sheet.points.append(DrawnPoint(name, self._places(shape)[0], self.layer))
        elif kind in ("LineString", "LinearRing"):
            self.sheet.paths.append(DrawnPath(name, self._places(shape), False, self.layer))
        elif kind == "Polygon":
            holes = tuple(self._places(hole)[:-1] for hole in shape.interiors)
            self.sheet.rings.append(DrawnPath(name, self._places(shape.exterior)[:-1], True, self.layer, holes=holes))
        else:
            for part in shape.geoms:
                self._one(part, name)

    def _places(self, shape: Any) -> tuple[XY, ...]:
        made = tuple(spot(float(row[0]), float(row[1]), self.sheet.file, "coordinates") for row in shape.coords)
        self.count += len(made)
        check_count(self.count, self.sheet.file)
        return made


def _plain(value: Any) -> Any:
    """A value of a table without the types of arrays."""
    return value.item() if hasattr(value, "item") else value
