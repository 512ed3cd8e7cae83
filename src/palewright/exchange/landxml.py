"""LandXML 1.2, written: points, the boundary as a parcel, the fence as plan features. Northing first."""

from __future__ import annotations

import itertools
import xml.etree.ElementTree as ET
from collections.abc import Iterable

from palewright.boundary import ring_sides
from palewright.exchange.features import features, spots
from palewright.exchange.xml_out import add, document
from palewright.model import Plan
from palewright.plane import XY, Side, sides_area

__all__ = ["LANDXML", "to_landxml"]

LANDXML = "http://www.landxml.org/schema/LandXML-1.2"
"""The namespace of LandXML 1.2."""
_FOOT = 0.3048
_IMPERIAL = {
    "linearUnit": "foot", "areaUnit": "squareFoot", "volumeUnit": "cubicFeet", "temperatureUnit": "fahrenheit",
    "pressureUnit": "inHG",
}  # fmt: skip
_METRIC = {
    "linearUnit": "meter", "areaUnit": "squareMeter", "volumeUnit": "cubicMeter", "temperatureUnit": "celsius",
    "pressureUnit": "milliBars",
}  # fmt: skip


def to_landxml(plan: Plan, day: str = "2000-01-01") -> str:
    """The plan as LandXML in its own plane coordinates: international feet, or metres in a metric job.

    day
        date of the document, year-month-day. Points carry "northing easting" and no elevation, since level ground is
        assumed. A plan without north is written too and says LOCAL in its name.
    """
    metric = plan.settings.print_style == "metric"
    per_m = 1.0 if metric else 1.0 / _FOOT
    head = {"xmlns": LANDXML, "version": "1.2", "date": day, "time": "00:00:00", "language": "English"}
    root = ET.Element("LandXML", head)
    add(add(root, "Units"), "Metric" if metric else "Imperial", attributes=_METRIC if metric else _IMPERIAL)
    north = plan.site.north and plan.settings.north
    add(root, "Project", attributes={"name": plan.settings.title if north else f"LOCAL: {plan.settings.title}"})
    add(root, "Application", attributes={"name": "Palewright", "desc": "Layout help, not a survey."})
    points = add(root, "CgPoints")
    corners: dict[XY, str] = {}
    for made in spots(plan):
        attributes = {"name": made.name, "desc": made.what}
        add(points, "CgPoint", _place(made.points[0], per_m), attributes)
        if made.what == "corner":
            corners[made.points[0]] = made.name
    _parcel(root, plan, per_m, corners)
    lines = add(root, "PlanFeatures")
    for made in features(plan):
        if made.what in ("fence", "gate", "string"):
            line = add(lines, "PlanFeature", attributes={"name": made.name, "desc": made.what})
            sides = (Side(a, b) for a, b in itertools.pairwise(made.points))
            _sides(add(line, "CoordGeom"), sides, per_m, {})
    return document(root)


def _parcel(root: ET.Element, plan: Plan, per_m: float, corners: dict[XY, str]) -> None:
    if plan.site.ring is None:
        return
    sides = ring_sides(plan.site.ring)
    area = abs(sides_area(sides)) * per_m**2
    parcel = add(add(root, "Parcels"), "Parcel", attributes={"name": "boundary", "area": f"{area:.3f}"})
    _sides(add(parcel, "CoordGeom"), sides, per_m, corners)


def _sides(parent: ET.Element, sides: Iterable[Side], per_m: float, names: dict[XY, str]) -> None:
    for side in sides:
        line = add(parent, "Line")
        places = [("Start", side.a), ("End", side.b)]
        if side.sweep:
            line.tag = "Curve"
            line.set("rot", "ccw" if side.sweep > 0.0 else "cw")
            line.set("radius", f"{side.radius * per_m:.6f}")
            places.insert(1, ("Center", side.centre))
        for tag, xy in places:
            add(line, tag, _place(xy, per_m), {"pntRef": names[xy]} if xy in names else {})


def _place(xy: XY, per_m: float) -> str:
    return f"{xy[1] * per_m:.6f} {xy[0] * per_m:.6f}"
