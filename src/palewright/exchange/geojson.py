"""GeoJSON (RFC 7946), written: the plan on the globe."""

from __future__ import annotations

from typing import Any

from palewright.exchange.features import Feature, features
from palewright.exchange.globe import Anchor, Globe
from palewright.model import Plan
from palewright.plane import signed_area

__all__ = ["geometry", "to_geojson"]


def to_geojson(plan: Plan, anchor: Anchor | None = None, height_m: float = 0.0) -> dict[str, Any]:
    """The plan as a FeatureCollection: boundary, fence, posts, gates, strings, stakes, zones, old fences, buildings.

    anchor
        (name of a point or of a post, latitude, longitude) of one point of the plan, WGS 84 [degrees].
    height_m
        ellipsoid height of the ground [m]; every 1,000 m left out stretches the plan on the globe by 1:6,400.
    Longitude first, latitude second; rings closed and counter-clockwise outside (RFC 7946, sections 3.1.1 and 3.1.6).
    Raises ProblemError as :class:`palewright.exchange.globe.Globe` does.
    """
    globe = Globe(plan, anchor, height_m)
    rows = [
        {"type": "Feature", "geometry": geometry(made, globe), "properties": {"what": made.what, **_facts(made)}}
        for made in features(plan)
    ]
    return {"type": "FeatureCollection", "features": rows}


def _facts(made: Feature) -> dict[str, object]:
    facts = dict(made.facts)
    return facts if "label" in facts else {"name": made.name, **facts}


def geometry(made: Feature, globe: Globe) -> dict[str, Any]:
    """One feature as a GeoJSON geometry."""
    points = made.points
    if made.shape == "area" and signed_area(points) < 0.0:
        points = points[::-1]
    positions = [list(globe.position(xy)) for xy in points]
    if made.shape == "point":
        return {"type": "Point", "coordinates": positions[0]}
    if made.shape == "area":
        return {"type": "Polygon", "coordinates": [[*positions, positions[0]]]}
    return {"type": "LineString", "coordinates": positions}
