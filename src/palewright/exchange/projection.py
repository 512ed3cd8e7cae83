"""Coordinate systems through PROJ (the `gis` extra): a grid to latitude and longitude, and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.exchange.foreign import WGS84
from palewright.exchange.gis_out import gis_library
from palewright.plane import XY
from palewright.record import Record
from palewright.survey import WGS84_A, WGS84_F

__all__ = ["Projection", "projection"]


class Projection(Record):
    """A coordinate system.

    name, datum
        in words. geographic: its coordinates are longitude and latitude [degrees].
    unit_m
        metres in a unit of the grid (1 for a geographic system). a, f: its ellipsoid, [m] and flattening.
    bounds
        (west, south, east, north) [degrees] where it is meant to be used, or None.
    """

    name: str
    datum: str
    geographic: bool
    unit_m: float
    a: float
    f: float
    bounds: tuple[float, float, float, float] | None
    _there: Any = None
    _back: Any = None

    def to_geographic(self, places: Sequence[XY]) -> list[tuple[float, float]]:
        """(latitude, longitude) [rad] of places (x or longitude first), on the system's own datum: no datum shift."""
        if self._there is None:
            return [(math.radians(y), math.radians(x)) for x, y in places]
        xs, ys = self._there.transform([x for x, _ in places], [y for _, y in places])
        return [(math.radians(lat), math.radians(lon)) for lon, lat in zip(xs, ys, strict=True)]

    def to_grid(self, latitude: float, longitude: float) -> XY:
        """(east, north) on the grid [m] of a place [rad]."""
        x, y = self._back.transform(math.degrees(longitude), math.degrees(latitude))
        return (x * self.unit_m, y * self.unit_m)

    def covers(self, latitude: float, longitude: float) -> bool:
        """Whether a place [rad] lies where the system is meant to be used, two degrees over."""
        if not (math.isfinite(latitude) and math.isfinite(longitude)):
            return False
        if self.bounds is None:
            return True
        west, south, east, north = self.bounds
        lat, lon = math.degrees(latitude), math.degrees(longitude)
        wide = (east - west) % 360.0 or 360.0
        return south - 2.0 <= lat <= north + 2.0 and (lon - west + 2.0) % 360.0 <= wide + 4.0


@lru_cache(maxsize=16)
def projection(text: str, file: str = "") -> Projection:
    """A coordinate system by its code ("EPSG:2229"), PROJ string or WKT; WGS 84 needs no library.

    Raises ProblemError: ``crs-unknown``, ``crs-not-usable`` for one that is neither geographic nor a map grid, and
    ``gis-extra-missing``.
    """
    if text == WGS84:
        return Projection("longitude and latitude", "WGS 84", True, 1.0, WGS84_A, WGS84_F, None)
    pyproj = gis_library("pyproj")
    try:
        crs = pyproj.CRS.from_user_input(text)
        while crs.is_compound or crs.is_bound:
            crs = crs.sub_crs_list[0] if crs.is_compound else crs.source_crs
        base = crs.geodetic_crs
        usable = base is not None and (crs.is_geographic or crs.is_projected) and len(crs.axis_info) >= 2
        there = pyproj.Transformer.from_crs(crs, base, always_xy=True) if usable else None
        back = pyproj.Transformer.from_crs(base, crs, always_xy=True) if usable else None
    except (pyproj.exceptions.ProjError, TypeError, ValueError) as error:
        raise _crs_problem("crs-unknown", "this coordinate system is not known", text, file, str(error)) from None
    if not usable or crs.ellipsoid is None:
        raise _crs_problem(
            "crs-not-usable", "this is no map grid, and not longitude and latitude", text, file, crs.name
        )
    shape, area = crs.ellipsoid, crs.area_of_use
    flat = 1.0 / shape.inverse_flattening if shape.inverse_flattening else 0.0
    bounds = (area.west, area.south, area.east, area.north) if area else None
    unit = 1.0 if crs.is_geographic else float(crs.axis_info[0].unit_conversion_factor)
    code = crs.to_authority(min_confidence=70)
    name = f"{':'.join(code)} {crs.name}" if code else crs.name
    datum = base.datum.name if base.datum else base.name
    return Projection(name, datum, crs.is_geographic, unit, shape.semi_major_metre, flat, bounds, there, back)


def _crs_problem(slug: str, what: str, text: str, file: str, found: str) -> ProblemError:
    said = " ".join(found.split())[:120]
    return ProblemError(
        Problem(slug, what, Where(file=file), found=f"{' '.join(text.split())[:60]} ({said})",
                allowed="a code such as EPSG:2229",
                hint="the paper of the survey, or the county's map office, names the zone and its unit")
    )  # fmt: skip
