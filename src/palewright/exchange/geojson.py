"""GeoJSON (RFC 7946): the plan on the globe, refused where nothing says which way north is or where the site lies."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from palewright.errors import Problem, ProblemError
from palewright.model import Plan
from palewright.plane import XY, signed_area

__all__ = ["WGS84_A", "WGS84_F", "local_to_geographic", "to_geojson"]

WGS84_A = 6_378_137.0
"""Semi-major axis of the WGS 84 ellipsoid [m] (NGA.STND.0036, table 3.1)."""
WGS84_F = 1.0 / 298.257223563
"""Flattening of the WGS 84 ellipsoid (NGA.STND.0036, table 3.1)."""
_DECIMALS = 9
"""Decimals of a degree written: 1e-9 degree is a tenth of a millimetre; RFC 7946 names 6 as usual, a lot needs 8."""
_MOST_NORTH = 89.0


def local_to_geographic(xy: XY, latitude: float, longitude: float, height_m: float = 0.0) -> tuple[float, float]:
    """Latitude and longitude of a point on the plane tangent to the ellipsoid at an anchor.

    xy
        east and north of the anchor [m], finite; meant for a site (some kilometres at most).
    latitude, longitude
        of the anchor, WGS 84 [rad]; latitude within 89 degrees of the equator. height_m: ellipsoid height [m].
    Returns (latitude, longitude) [rad], longitude from -pi to pi. Raises ValueError outside the range.
    With N = a / sqrt(1 - e2 sin2 lat) the anchor is X = (N + h) cos lat cos lon, Y = (N + h) cos lat sin lon,
    Z = (N (1 - e2) + h) sin lat; east and north are turned into X, Y, Z; back by tan lat = (Z + e2 N sin lat) / p,
    repeated until it stands. Source: NGA.STND.0036, coordinate conversion; tangent plane: geometry.

    >>> lat, lon = local_to_geographic((55.0300, 73.0272), math.radians(40.0), math.radians(-105.0))
    >>> round(math.degrees(lat), 7), round(math.degrees(lon), 7)
    (40.0006577, -104.9993556)
    """
    if not (abs(latitude) <= math.radians(_MOST_NORTH) and math.isfinite(longitude) and math.isfinite(height_m)):
        raise ValueError("the anchor needs a latitude within 89 degrees of the equator and a longitude")
    east, north = xy
    if not (math.isfinite(east) and math.isfinite(north)):
        raise ValueError("a point needs finite coordinates")
    e2 = WGS84_F * (2.0 - WGS84_F)
    sin_lat, cos_lat = math.sin(latitude), math.cos(latitude)
    sin_lon, cos_lon = math.sin(longitude), math.cos(longitude)
    radius = WGS84_A / math.sqrt(1.0 - e2 * sin_lat**2)
    across, up = (radius + height_m) * cos_lat, (radius * (1.0 - e2) + height_m) * sin_lat
    x = across * cos_lon - sin_lon * east - sin_lat * cos_lon * north
    y = across * sin_lon + cos_lon * east - sin_lat * sin_lon * north
    z = up + cos_lat * north
    p = math.hypot(x, y)
    new = math.atan2(z, p * (1.0 - e2))
    for _ in range(12):
        before, s = new, math.sin(new)
        new = math.atan2(z + e2 * WGS84_A / math.sqrt(1.0 - e2 * s * s) * s, p)
        if abs(new - before) < 1e-15:
            break
    return new, math.atan2(y, x)


def to_geojson(plan: Plan, anchor: tuple[str, float, float] | None = None, height_m: float = 0.0) -> dict[str, Any]:
    """The plan as a FeatureCollection: boundary, fence, posts, gates, zones, old fences, buildings.

    anchor
        (name of a point or of a post, latitude, longitude) of one point of the plan, WGS 84 [degrees].
    height_m
        ellipsoid height of the ground [m]; every 1,000 m left out stretches the plan on the globe by 1:6,400.
    Longitude first, latitude second; rings closed and counter-clockwise outside (RFC 7946, sections 3.1.1 and 3.1.6).
    Raises ProblemError: ``geographic-needs-north`` for a plan without north, ``geographic-needs-true-north`` where its
    bearings are said to be magnetic, ``geographic-needs-place`` without an anchor, ``unknown-point`` for a name that is
    not in the plan, ``geographic-out-of-range`` near a pole or across the 180th meridian.
    """
    _refuse_without_north(plan)
    if anchor is None:
        raise ProblemError(
            Problem(
                "geographic-needs-place",
                "GeoJSON needs the latitude and longitude of one point of the plan",
                hint='give one, for instance "NE, 41.20345, -96.04512"; better from a survey than from a phone',
            )
        )
    globe = _Globe(plan, anchor, height_m)
    features = [
        *_boundary(plan, globe),
        *_buildings(plan, globe),
        *_removals(plan, globe),
        *_zones(plan, globe),
        *_fence(plan, globe),
        *_gates(plan, globe),
        *_posts(plan, globe),
    ]
    return {"type": "FeatureCollection", "features": features}


def _refuse_without_north(plan: Plan) -> None:
    basis = plan.settings.north_basis
    if not (plan.site.north and plan.settings.north):
        raise ProblemError(
            Problem(
                "geographic-needs-north",
                "GeoJSON is on the globe, and this plan does not know which way north is",
                hint="give the boundary by bearings, or measure a direction; DXF and SVG are local and need no north",
            )
        )
    words = basis.casefold()
    if ("magnetic" in words or "needle" in words) and "true" not in words:
        raise ProblemError(
            Problem(
                "geographic-needs-true-north",
                "GeoJSON needs true north, and the bearings of this plan are magnetic",
                found=basis,
                hint="turn the bearings by the declination of their date first, and say true in the basis of north",
            )
        )


class _Globe:
    """Places of the plan as positions [longitude, latitude] in degrees."""

    def __init__(self, plan: Plan, anchor: tuple[str, float, float], height_m: float) -> None:
        name, latitude, longitude = anchor
        places = {point.name: point.xy for point in plan.site.points}
        places |= {f"post {post.label}": post.xy for post in plan.design.posts}
        if name not in places:
            raise ProblemError(
                Problem(
                    "unknown-point",
                    "the plan has no point of this name",
                    found=name,
                    allowed=", ".join(list(places)[:12]),
                    hint="name a point of the job, a corner of the boundary, or a post as in: post 1",
                )
            )
        if not (abs(latitude) <= _MOST_NORTH and abs(longitude) <= 180.0):
            raise _out_of_range(f"{latitude}, {longitude}")
        self.origin = places[name]
        self.latitude, self.longitude = math.radians(latitude), math.radians(longitude)
        self.height_m = height_m

    def position(self, xy: XY) -> list[float]:
        """One place as [longitude, latitude]."""
        local = (xy[0] - self.origin[0], xy[1] - self.origin[1])
        lat, lon = local_to_geographic(local, self.latitude, self.longitude, self.height_m)
        if abs(lon - self.longitude) > math.pi:
            raise _out_of_range("a site across the 180th meridian")
        return [round(math.degrees(lon), _DECIMALS), round(math.degrees(lat), _DECIMALS)]

    def line(self, points: Iterable[XY]) -> dict[str, Any]:
        """A LineString."""
        return {"type": "LineString", "coordinates": [self.position(xy) for xy in points]}

    def point(self, xy: XY) -> dict[str, Any]:
        """A Point."""
        return {"type": "Point", "coordinates": self.position(xy)}

    def polygon(self, ring: Sequence[XY]) -> dict[str, Any]:
        """A Polygon with one ring, counter-clockwise and closed."""
        turned = list(ring) if signed_area(ring) >= 0.0 else list(reversed(ring))
        positions = [self.position(xy) for xy in turned]
        return {"type": "Polygon", "coordinates": [[*positions, positions[0]]]}

    def path(self, points: Sequence[XY], closed: bool = False) -> dict[str, Any]:
        """A Point, LineString or Polygon, by the number of points."""
        if len(points) == 1:
            return self.point(points[0])
        return self.polygon(points) if closed and len(points) > 2 else self.line(points)


def _out_of_range(found: str) -> ProblemError:
    return ProblemError(
        Problem(
            "geographic-out-of-range",
            "GeoJSON is written for sites within 89 degrees of the equator and on one side of the 180th meridian",
            found=found,
        )
    )


def _feature(geometry: dict[str, Any], what: str, **properties: object) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": {"what": what, **properties}}


def _boundary(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    ring = plan.site.ring
    if ring is not None:
        shape = globe.polygon([corner.xy for corner in ring.corners])
        status = ring.status
        yield _feature(
            shape, "boundary", located=status.located, corners_found=status.found, corners=status.total,
            area_m2=ring.area_m2, record=ring.record,
        )  # fmt: skip


def _buildings(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    for name, points in plan.site.buildings:
        yield _feature(globe.path(points, closed=True), "building", name=name)


def _removals(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    for old in plan.site.removals:
        yield _feature(globe.line(old.points), "old fence", name=old.name, then=old.then, length_m=old.length_m)


def _zones(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    for zone in plan.site.zones:
        shape = globe.path(zone.points, zone.closed)
        yield _feature(shape, "zone", name=zone.name, kind=zone.kind, half_width_m=zone.half_m, utility=zone.utility)


def _fence(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    for leg in plan.design.legs:
        line = globe.line((leg.start, leg.end))
        yield _feature(line, "fence", run=leg.run, fence=leg.fence, leg=leg.index + 1, length_m=leg.length_m)


def _gates(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    places = {post.label: post.xy for post in plan.design.posts}
    for gate in plan.design.gates:
        line = globe.line([places[label] for label in gate.posts])
        yield _feature(line, "gate", name=gate.name, run=gate.run, opening_m=gate.opening_m, leaves=gate.leaves)


def _posts(plan: Plan, globe: _Globe) -> Iterable[dict[str, Any]]:
    for post in plan.design.posts:
        hole = post.hole
        yield _feature(
            globe.point(post.xy), "post", label=post.label, role=post.role, fence=post.kind, section=post.section,
            hole_diameter_m=hole.diameter_m if hole else None, hole_depth_m=hole.depth_m if hole else None,
            hand_dig=hole.hand_dig if hole else None,
        )  # fmt: skip
