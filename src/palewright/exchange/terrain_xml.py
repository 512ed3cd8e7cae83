"""LandXML 1.2, read: the triangles of a surface, or the points and breaklines that it was made from. Northing first."""

from __future__ import annotations

from typing import Any

from palewright.exchange.foreign import refused
from palewright.exchange.landxml_in import read_landxml
from palewright.exchange.xml_in import child, children, local_name, numbers, read_xml

__all__ = ["read_surface_xml"]

Row = tuple[float, float, float]


def read_surface_xml(
    data: bytes, file: str, layer: str = ""
) -> tuple[list[Row], list[tuple[int, int, int]], str, str, int, int]:
    """Points (east, north, height), visible triangles, unit, coordinate system, points left out, breaklines not kept.

    Where the file has no triangles the points that the surface was made from count, those of its breaklines among them;
    that triangles keep to the breaklines is then not sure.

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
    known = {p.name: (*p.xy, p.height_m) for p in sheet.points if p.name and p.height_m is not None}
    rows, at = _points(definition, known, file)
    faces = _faces(definition, at, file)
    if faces or (definition is not None and child(definition, "Faces") is not None):
        return rows, faces, sheet.unit, sheet.crs, 0, 0
    more, lines = _made_from(chosen[0], file)
    return list(dict.fromkeys([*rows, *more])), [], sheet.unit, sheet.crs, 0, lines


def _made_from(surface: Any, file: str) -> tuple[list[Row], int]:
    """Points in the source data of a surface, those of breaklines among them, and how many breaklines there are."""
    rows: list[Row] = []
    lines = 0
    for source in children(surface, "SourceData"):
        for element in source.iter():
            tag = local_name(element) if isinstance(element.tag, str) else ""
            lines += tag == "Breakline"
            over = local_name(element.getparent()) if element.getparent() is not None else ""
            if tag == "PntList3D" and over in ("DataPoints", "Breakline"):
                values = numbers(element.text, file, tag)
                if len(values) % 3:
                    raise refused("not-a-number", "a list of points has three numbers for each", file,
                                  found=f"{len(values)} numbers", allowed="northing, easting, height")  # fmt: skip
                rows += zip(values[1::3], values[::3], values[2::3], strict=True)
    return rows, lines


def _points(definition: Any, known: dict[str, Row], file: str) -> tuple[list[Row], dict[str, int]]:
    """The points of a surface; one without numbers of its own stands at the point of the file that it refers to."""
    rows: list[Row] = []
    at: dict[str, int] = {}
    for held in children(definition, "Pnts") if definition is not None else ():
        for point in children(held, "P"):
            reference = point.get("pntRef")
            if reference is not None and not (point.text or "").strip():
                if reference not in known:
                    raise refused("unknown-point", "a point of a surface refers to one that the file does not give "
                                  "with a height", file, found=reference[:60])  # fmt: skip
                at[point.get("id", reference)] = len(rows)
                rows.append(known[reference])
                continue
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
