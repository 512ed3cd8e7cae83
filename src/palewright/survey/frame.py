"""Grid and ground: a local plane on the globe, convergence, and the factors between grid and ground distances."""

from __future__ import annotations

import math
from collections.abc import Callable

from palewright.plane import XY
from palewright.record import Record

__all__ = [
    "MOST_NORTH",
    "WGS84_A",
    "WGS84_F",
    "GridFactors",
    "arc_to_chord",
    "elevation_factor",
    "geographic_to_local",
    "grid_azimuth",
    "grid_factors",
    "ground_distance",
    "line_scale",
    "local_to_geographic",
    "radii",
]

WGS84_A = 6_378_137.0
"""Semi-major axis of the WGS 84 ellipsoid [m] (NGA.STND.0036, table 3.1)."""
WGS84_F = 1.0 / 298.257223563
"""Flattening of the WGS 84 ellipsoid (NGA.STND.0036, table 3.1)."""
MOST_NORTH = math.radians(89.0)
"""Greatest latitude of an anchor [rad]; nearer to a pole east and north turn within a site."""
_STEP_M = 20.0
_SECOND_TERM = math.radians(25.4e-10 / 3600.0)


def radii(latitude: float, a: float = WGS84_A, f: float = WGS84_F) -> tuple[float, float]:
    """Radii of curvature of the ellipsoid: (meridian, prime vertical) [m].

    latitude
        [rad]. a, f: semi-major axis [m] and flattening of the ellipsoid.
    Raises ValueError for a number that is not finite. M = a (1 - e2) / w^3, N = a / w, w2 = 1 - e2 sin2 lat.
    Source: Snyder, USGS PP 1395, equations 4-18 and 4-20.

    >>> [round(r) for r in radii(math.radians(45.0))]
    [6367382, 6388838]
    """
    if not (math.isfinite(latitude) and math.isfinite(a) and math.isfinite(f)):
        raise ValueError("a radius needs a finite latitude and ellipsoid")
    e2 = f * (2.0 - f)
    w2 = 1.0 - e2 * math.sin(latitude) ** 2
    return a * (1.0 - e2) / w2**1.5, a / math.sqrt(w2)


def _rectangular(latitude: float, longitude: float, height_m: float, a: float, f: float) -> tuple[float, float, float]:
    e2 = f * (2.0 - f)
    n = radii(latitude, a, f)[1]
    across = (n + height_m) * math.cos(latitude)
    return (
        across * math.cos(longitude),
        across * math.sin(longitude),
        (n * (1.0 - e2) + height_m) * math.sin(latitude),
    )


def _check_anchor(latitude: float, longitude: float, height_m: float) -> None:
    if not (abs(latitude) <= MOST_NORTH and math.isfinite(longitude) and math.isfinite(height_m)):
        raise ValueError("the anchor needs a latitude within 89 degrees of the equator and a longitude")


def local_to_geographic(
    xy: XY, latitude: float, longitude: float, height_m: float = 0.0, a: float = WGS84_A, f: float = WGS84_F
) -> tuple[float, float]:
    """Latitude and longitude of a point on the plane tangent to the ellipsoid at an anchor.

    xy
        east and north of the anchor [m], finite; meant for a site (some kilometres at most).
    latitude, longitude
        of the anchor [rad]; latitude within 89 degrees of the equator. height_m: ellipsoid height [m].
    a, f
        semi-major axis [m] and flattening of the ellipsoid; WGS 84 unless given.
    Returns (latitude, longitude) [rad], longitude from -pi to pi. Raises ValueError outside the range.
    With N = a / sqrt(1 - e2 sin2 lat) the anchor is X = (N + h) cos lat cos lon, Y = (N + h) cos lat sin lon,
    Z = (N (1 - e2) + h) sin lat; east and north are turned into X, Y, Z; back by tan lat = (Z + e2 N sin lat) / p,
    repeated until it stands. Source: NGA.STND.0036, coordinate conversion; tangent plane: geometry.

    >>> lat, lon = local_to_geographic((55.0300, 73.0272), math.radians(40.0), math.radians(-105.0))
    >>> round(math.degrees(lat), 7), round(math.degrees(lon), 7)
    (40.0006577, -104.9993556)
    """
    _check_anchor(latitude, longitude, height_m)
    east, north = xy
    if not (math.isfinite(east) and math.isfinite(north)):
        raise ValueError("a point needs finite coordinates")
    e2 = f * (2.0 - f)
    sin_lat, cos_lat = math.sin(latitude), math.cos(latitude)
    sin_lon, cos_lon = math.sin(longitude), math.cos(longitude)
    x0, y0, z0 = _rectangular(latitude, longitude, height_m, a, f)
    x = x0 - sin_lon * east - sin_lat * cos_lon * north
    y = y0 + cos_lon * east - sin_lat * sin_lon * north
    z = z0 + cos_lat * north
    p = math.hypot(x, y)
    new = math.atan2(z, p * (1.0 - e2))
    for _ in range(12):
        before, s = new, math.sin(new)
        new = math.atan2(z + e2 * a / math.sqrt(1.0 - e2 * s * s) * s, p)
        if abs(new - before) < 1e-15:
            break
    return new, math.atan2(y, x)


def geographic_to_local(
    place: tuple[float, float],
    latitude: float,
    longitude: float,
    height_m: float = 0.0,
    a: float = WGS84_A,
    f: float = WGS84_F,
) -> XY:
    """East and north of a place on the plane tangent to the ellipsoid at an anchor: ground distances about it.

    place
        (latitude, longitude) [rad], on the same datum as the anchor and as high above the ellipsoid.
    latitude, longitude, height_m, a, f
        as in :func:`local_to_geographic`, of which this is the inverse to d3 / 2R2 (0.3 mm at 3 km).
    Returns (east, north) [m]. Raises ValueError outside the range, and for a place 90 degrees away or more.
    Source: NGA.STND.0036, coordinate conversion; tangent plane: geometry.

    >>> place = (math.radians(40.0006576957), math.radians(-104.9993555681))
    >>> east, north = geographic_to_local(place, math.radians(40.0), math.radians(-105.0))
    >>> round(east, 4), round(north, 4)
    (55.03, 73.0272)
    """
    _check_anchor(latitude, longitude, height_m)
    lat, lon = place
    if not (abs(lat) <= math.pi / 2 and math.isfinite(lon)):
        raise ValueError("a place needs a latitude and a longitude")
    here, there = (_rectangular(*spot, height_m, a, f) for spot in ((latitude, longitude), (lat, lon)))
    dx, dy, dz = (t - h for t, h in zip(there, here, strict=True))
    sin_lat, cos_lat = math.sin(latitude), math.cos(latitude)
    sin_lon, cos_lon = math.sin(longitude), math.cos(longitude)
    if cos_lat * (cos_lon * there[0] + sin_lon * there[1]) + sin_lat * there[2] <= 0.0:
        raise ValueError("the place is on the other side of the earth")
    east = cos_lon * dy - sin_lon * dx
    return east, cos_lat * dz - sin_lat * (cos_lon * dx + sin_lon * dy)


class GridFactors(Record):
    """A map grid at one place: convergence [rad] and scale (grid / ellipsoid) along the meridian and across it.

    convergence
        geodetic azimuth minus grid azimuth; positive east of the central meridian in the northern hemisphere.
    """

    convergence: float
    scale_north: float
    scale_east: float


def grid_factors(
    project: Callable[[float, float], XY], latitude: float, longitude: float, a: float = WGS84_A, f: float = WGS84_F
) -> GridFactors:
    """Convergence and scale of a map projection at a place, from the projection alone.

    project
        (latitude, longitude) [rad] to grid (east, north) [m] on the ellipsoid a, f.
    latitude, longitude
        [rad], within 89 degrees of the equator.
    Returns the factors; they are differences over 20 m each way, good to about 1e-9. Raises ValueError where the
    projection gives no finite place. Source: geometry (Snyder, USGS PP 1395, chapter 4, defines h, k and gamma so).

    >>> plate = lambda lat, lon: (WGS84_A * lon, WGS84_A * lat)
    >>> round(grid_factors(plate, 0.0, 0.0).scale_east, 6)
    1.0
    """
    _check_anchor(latitude, longitude, 0.0)
    meridian, normal = radii(latitude, a, f)
    d_lat, d_lon = _STEP_M / meridian, _STEP_M / (normal * math.cos(latitude))
    south, north = project(latitude - d_lat, longitude), project(latitude + d_lat, longitude)
    west, east = project(latitude, longitude - d_lon), project(latitude, longitude + d_lon)
    if not all(math.isfinite(v) for spot in (south, north, west, east) for v in spot):
        raise ValueError("the projection gives no place here")
    up = (north[0] - south[0], north[1] - south[1])
    right = (east[0] - west[0], east[1] - west[1])
    span = 2.0 * _STEP_M
    return GridFactors(-math.atan2(up[0], up[1]), math.hypot(*up) / span, math.hypot(*right) / span)


def elevation_factor(height_m: float, radius_m: float) -> float:
    """From a distance on the ground to one on the ellipsoid: R / (R + h).

    height_m
        above the ellipsoid [m] (elevation plus geoid height). radius_m: of the earth there [m], greater than 0.
    Raises ValueError when R + h is not above 0. Source: NGS, grid to ground ("elevation factor").

    >>> round(elevation_factor(1650.0, 6_372_000.0), 7)
    0.9997411
    """
    if not (radius_m > 0.0 and radius_m + height_m > 0.0 and math.isfinite(radius_m + height_m)):
        raise ValueError("the radius must be above 0, and the height above the centre of the earth")
    return radius_m / (radius_m + height_m)


def line_scale(k_start: float, k_middle: float, k_end: float) -> float:
    """Scale along a whole line from its two ends and its middle: (k1 + 4 km + k2) / 6.

    Raises ValueError unless all are above 0. Source: NGS, State Plane Coordinate System manual (Simpson's rule).

    >>> round(line_scale(0.9999, 0.99985, 0.9999), 7)
    0.9998667
    """
    if not (k_start > 0.0 and k_middle > 0.0 and k_end > 0.0):
        raise ValueError("a scale factor is above 0")
    return (k_start + 4.0 * k_middle + k_end) / 6.0


def ground_distance(grid_m: float, scale: float, elevation: float = 1.0) -> float:
    """Distance on the ground from one on the grid: grid / (scale x elevation factor).

    grid_m
        [m], not negative. scale, elevation: factors, above 0. Raises ValueError outside. Source: NGS, grid to ground.

    >>> round(ground_distance(91.4034, 0.9996), 3)
    91.44
    """
    if not (grid_m >= 0.0 and scale > 0.0 and elevation > 0.0):
        raise ValueError("a distance is not negative, and its factors are above 0")
    return grid_m / (scale * elevation)


def grid_azimuth(azimuth: float, convergence: float, second_term: float = 0.0) -> float:
    """Grid azimuth of a line from its geodetic one [rad, 0 to 2 pi): azimuth - convergence + second term.

    Raises ValueError for a number that is not finite. Source: NGS, State Plane Coordinate System manual.

    >>> round(math.degrees(grid_azimuth(math.radians(1.0), math.radians(2.0))), 6)
    359.0
    """
    if not math.isfinite(azimuth + convergence + second_term):
        raise ValueError("an azimuth is finite")
    return (azimuth - convergence + second_term) % math.tau


def arc_to_chord(delta_north_m: float, mean_east_m: float) -> float:
    """Second term of a grid azimuth [rad]: 25.4 x 1e-10 x dN x dE seconds.

    delta_north_m
        from the start of the line to its end [m]. mean_east_m: of the line, from the central meridian [m].
    Negligible on a lot (0.003 seconds over 100 m, 10 km off the meridian). Raises ValueError for a number that is not
    finite. Source: Texas Department of Transportation, survey manual.

    >>> round(math.degrees(arc_to_chord(100.0, 10_000.0)) * 3600, 5)
    0.00254
    """
    if not math.isfinite(delta_north_m * mean_east_m):
        raise ValueError("the second term needs finite distances")
    return _SECOND_TERM * delta_north_m * mean_east_m
