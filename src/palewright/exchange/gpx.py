"""GPX 1.1, written: corners, stakes and posts as waypoints; boundary and fence as tracks."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from palewright.exchange.features import features, spots
from palewright.exchange.globe import Anchor, Globe
from palewright.exchange.xml_out import add, document
from palewright.model import Plan
from palewright.plane import XY

__all__ = ["GPX", "to_gpx"]

GPX = "http://www.topografix.com/GPX/1/1"
"""The namespace of GPX 1.1."""


def to_gpx(plan: Plan, anchor: Anchor | None = None, height_m: float = 0.0) -> str:
    """The plan as GPX, to walk to a place with a receiver: a phone finds the lot by it, never a corner or a hole.

    anchor, height_m
        as for :func:`palewright.exchange.to_geojson`; raises the same problems.
    """
    globe = Globe(plan, anchor, height_m)
    root = ET.Element("gpx", {"xmlns": GPX, "version": "1.1", "creator": "Palewright"})
    about = add(root, "metadata")
    add(about, "name", plan.settings.title)
    add(about, "desc", "Layout help, not a survey. A phone finds the lot by this file, never a corner or a hole.")
    for made in spots(plan):
        point = _point(root, "wpt", made.points[0], globe)
        add(point, "name", made.name)
        add(point, "type", made.what)
    for made in features(plan):
        if made.what not in ("boundary", "fence"):
            continue
        track = add(root, "trk")
        add(track, "name", made.name)
        add(track, "type", made.what)
        segment = add(track, "trkseg")
        for xy in (*made.points, *made.points[:1]) if made.shape == "area" else made.points:
            _point(segment, "trkpt", xy, globe)
    return document(root)


def _point(parent: ET.Element, tag: str, xy: XY, globe: Globe) -> ET.Element:
    lon, lat = globe.position(xy)
    return add(parent, tag, attributes={"lat": f"{lat:.9f}", "lon": f"{lon:.9f}"})
