"""LandXML 1.2, read: the triangles of a surface. Northing first."""

from __future__ import annotations

from typing import Any

from palewright.exchange.foreign import refused
from palewright.exchange.landxml_in import read_landxml
from palewright.exchange.xml_in import child, children, local_name, numbers, read_xml

__all__ = ["read_surface_xml"]

Row = tuple[float, float, float]


def read_surface_xml(data: bytes, file: str, layer: str = "") -> tuple[list[Row], list[tuple[int, int, int]], str, str]:
    """East, north and height of the points of a surface, its visible triangles, and unit and coordinate system.

    layer
        name of the surface, where the file has several. Raises ProblemError: ``surface-which``, ``unknown-point`` for a
        triangle of points that are not there, and what :func:`palewright.exchange.landxml_in.read_landxml` raises.
    """
    root = read_xml(data, file)
    if local_name(root).casefold() != "landxml":
        raise refused("terrain-kind", "this XML is no LandXML", file, found=local_name(root)[:40])
    sheet = read_landxml(root, file)
    surfaces = [e for e in root.iter() if isinstance(e.tag, str) and local_name(e) == "Surface"]
    names = [e.get("name") or f"surface {k}" for k, e in enumerate(surfaces, 1)]
    chosen = [e for e, name in zip(surfaces, names, strict=True) if name == layer or not layer]
    if len(chosen) != 1:
        found = layer or f"{len(chosen)} surfaces"
        raise refused("surface-which", "one surface of the file is meant", file, found=found,
                      allowed=", ".join(names[:20]), hint="name it with `layer`" if names else "")  # fmt: skip
    definition = child(chosen[0], "Definition")
    rows, at = _points(definition, file)
    return rows, _faces(definition, at, file), sheet.unit, sheet.crs


def _points(definition: Any, file: str) -> tuple[list[Row], dict[str, int]]:
    rows: list[Row] = []
    at: dict[str, int] = {}
    for held in children(definition, "Pnts") if definition is not None else ():
        for point in children(held, "P"):
            values = numbers(point.text, file, "P")
            if len(values) != 3:
                raise refused("not-a-number", "a point of a surface has three numbers", file,
                              found=(point.text or "")[:60], allowed="northing, easting, height")  # fmt: skip
            at[point.get("id", "")] = len(rows)
            rows.append((values[1], values[0], values[2]))
    return rows, at


def _faces(definition: Any, at: dict[str, int], file: str) -> list[tuple[int, int, int]]:
    found = []
    for held in children(definition, "Faces") if definition is not None else ():
        for face in children(held, "F"):
            if face.get("i") == "1":  # invisible: no part of the surface
                continue
            names = (face.text or "").split()
            if len(names) != 3 or not all(name in at for name in names):
                raise refused("unknown-point", "a triangle of a surface names three of its points", file,
                              found=" ".join(names)[:60])  # fmt: skip
            found.append((at[names[0]], at[names[1]], at[names[2]]))
    return found
