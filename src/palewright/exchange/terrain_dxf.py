"""DXF, read for its ground: points with heights, 3D faces, polyface and polygon meshes."""

from __future__ import annotations

import importlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from palewright.exchange.dxf_in import _UNITS, _Heard
from palewright.exchange.foreign import DAMAGED, refused

__all__ = ["read_surface_dxf"]

Row = tuple[float, float, float]


def read_surface_dxf(
    path: Path, data: bytes, layer: str = ""
) -> tuple[list[Row], list[tuple[int, int, int]], str, str, int, int]:
    """Points and triangles of a drawing, unit by the header, no coordinate system, points left out, lines not kept.

    layer
        the only one to read. A face of four corners is two triangles. Where there are faces, points stand for nothing
        of their own and are left out; points at height 0 among others are left out as points without a height. Lines in
        space are breaklines, and no ground of their own: without faces they are counted.
    Raises ProblemError ``file-broken``.
    """
    if not data.startswith(b"AutoCAD Binary DXF") and not data.rstrip(b"\x00 \r\n\t\x1a").endswith(b"EOF"):
        raise refused("file-broken", "the drawing has no end", path.name, hint="was the file cut off?")
    ezdxf = importlib.import_module("ezdxf")
    try:
        with _Heard():
            doc = ezdxf.readfile(str(path))
        reader = _Reader()
        for entity in doc.modelspace():
            if not layer or str(entity.dxf.get("layer", "0")).casefold() == layer.casefold():
                reader.take(entity)
        unit = _UNITS.get(int(doc.header.get("$INSUNITS", 0)), "")
    except MemoryError:
        raise
    except Exception as error:  # a reader of foreign files fails in many ways, all of them the file's fault
        found = f"{type(error).__name__}: {' '.join(str(error).split())[:100]}"
        raise refused("file-broken", "the drawing cannot be read", path.name, found=found, hint=DAMAGED) from None
    if reader.faces:
        return list(reader.rows), reader.faces, unit, "", 0, 0
    some = any(z for _, _, z in reader.points)
    kept = [point for point in reader.points if point[2] or not some]
    return kept, [], unit, "", len(reader.points) - len(kept), reader.lines


class _Reader:
    def __init__(self) -> None:
        self.rows: dict[Row, int] = {}
        self.points: list[Row] = []
        self.faces: list[tuple[int, int, int]] = []
        self.lines = 0

    def take(self, entity: Any) -> None:
        """One entity of a drawing; lines and texts are no ground."""
        kind = entity.dxftype()
        if kind == "POINT":
            self.points.append(_row(entity.dxf.location))
        elif kind == "3DFACE":
            self._face([_row(corner) for corner in entity.wcs_vertices()])
        elif kind == "POLYLINE" and (entity.is_poly_face_mesh or entity.is_polygon_mesh):
            for face in entity.virtual_entities():
                self._face([_row(corner) for corner in face.wcs_vertices()])
        elif kind == "POLYLINE" and entity.is_3d_polyline:
            self.lines += 1

    def _face(self, corners: Iterable[Row]) -> None:
        ring = [self.rows.setdefault(corner, len(self.rows)) for corner in corners]
        ring = [corner for k, corner in enumerate(ring) if corner != ring[k - 1]] or ring[:1]
        self.faces += [(ring[0], ring[k], ring[k + 1]) for k in range(1, len(ring) - 1)]


def _row(place: Any) -> Row:
    return (float(place[0]), float(place[1]), float(place[2]))
