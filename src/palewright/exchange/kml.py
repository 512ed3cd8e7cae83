"""KML 2.2 (OGC 07-147r2), written: the plan on the globe, for a map viewer."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from palewright.exchange.features import Feature, features
from palewright.exchange.geojson import geometry
from palewright.exchange.globe import Anchor, Globe
from palewright.exchange.xml_out import add, document
from palewright.model import Plan

__all__ = ["KML", "to_kml"]

KML = "http://www.opengis.net/kml/2.2"
"""The namespace of KML 2.2."""


def to_kml(plan: Plan, anchor: Anchor | None = None, height_m: float = 0.0) -> str:
    """The plan as KML: a folder for each kind of thing, its facts as extended data.

    anchor, height_m
        as for :func:`palewright.exchange.to_geojson`; raises the same problems.
    Longitude, latitude; on the ground; rings closed. Metres and SI in the data.
    """
    globe = Globe(plan, anchor, height_m)
    root = ET.Element("kml", {"xmlns": KML})
    top = add(root, "Document")
    add(top, "name", plan.settings.title)
    add(top, "description", "Layout help, not a survey.")
    folders: dict[str, ET.Element] = {}
    for made in features(plan):
        if made.what not in folders:
            folders[made.what] = add(top, "Folder")
            add(folders[made.what], "name", made.what)
        _placemark(folders[made.what], made, globe)
    return document(root)


def _placemark(parent: ET.Element, made: Feature, globe: Globe) -> None:
    mark = add(parent, "Placemark")
    add(mark, "name", made.name)
    facts = [(key, value) for key, value in made.facts if value not in (None, "")]
    if facts:
        data = add(mark, "ExtendedData")
        for key, value in facts:
            add(add(data, "Data", attributes={"name": key}), "value", str(value))
    shape = geometry(made, globe)
    if shape["type"] == "Polygon":
        outer = add(add(add(mark, "Polygon"), "outerBoundaryIs"), "LinearRing")
        add(outer, "coordinates", _tuples(shape["coordinates"][0]))
    else:
        one = shape["type"] == "Point"
        add(add(mark, shape["type"]), "coordinates", _tuples([shape["coordinates"]] if one else shape["coordinates"]))


def _tuples(positions: list[list[float]]) -> str:
    return " ".join(f"{lon:.9f},{lat:.9f}" for lon, lat in positions)
