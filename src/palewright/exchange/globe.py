"""A plan on the globe: refused where nothing says which way north is or where the site lies."""

from __future__ import annotations

import math

from palewright.errors import Problem, ProblemError
from palewright.model import Plan
from palewright.plane import XY
from palewright.survey import MOST_NORTH, local_to_geographic

__all__ = ["Anchor", "Globe"]

Anchor = tuple[str, float, float]
"""Name of a point or of a post, latitude, longitude, WGS 84 [degrees]."""
_DECIMALS = 9
"""Decimals of a degree written: 1e-9 degree is a tenth of a millimetre; RFC 7946 names 6 as usual, a lot needs 8."""


class Globe:
    """Places of the plan as positions [longitude, latitude] in degrees.

    anchor
        one point of the plan and where it lies. height_m: ellipsoid height of the ground [m]; every 1,000 m left out
        stretches the plan on the globe by 1:6,400.
    Raises ProblemError: ``geographic-needs-north`` for a plan without north, ``geographic-needs-true-north`` where its
    bearings are said to be magnetic, ``geographic-needs-place`` without an anchor, ``unknown-point`` for a name that is
    not in the plan, ``geographic-out-of-range`` near a pole or across the 180th meridian.
    """

    def __init__(self, plan: Plan, anchor: Anchor | None, height_m: float = 0.0) -> None:
        _refuse_without_north(plan)
        if anchor is None:
            raise ProblemError(
                Problem(
                    "geographic-needs-place",
                    "this format needs the latitude and longitude of one point of the plan",
                    hint='give one, for instance "NE, 41.20345, -96.04512"; better from a survey than from a phone',
                )
            )
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
        if not (abs(latitude) <= math.degrees(MOST_NORTH) and abs(longitude) <= 180.0):
            raise _out_of_range(f"{latitude}, {longitude}")
        self.origin = places[name]
        self.latitude, self.longitude = math.radians(latitude), math.radians(longitude)
        self.height_m = height_m

    def position(self, xy: XY) -> tuple[float, float]:
        """One place as (longitude, latitude) [degrees]."""
        local = (xy[0] - self.origin[0], xy[1] - self.origin[1])
        lat, lon = local_to_geographic(local, self.latitude, self.longitude, self.height_m)
        if abs(lon - self.longitude) > math.pi:
            raise _out_of_range("a site across the 180th meridian")
        return round(math.degrees(lon), _DECIMALS), round(math.degrees(lat), _DECIMALS)


def _refuse_without_north(plan: Plan) -> None:
    basis = plan.settings.north_basis
    if not (plan.site.north and plan.settings.north):
        raise ProblemError(
            Problem(
                "geographic-needs-north",
                "this format is on the globe, and this plan does not know which way north is",
                hint="give the boundary by bearings, or measure a direction; DXF and SVG are local and need no north",
            )
        )
    words = basis.casefold()
    if ("magnetic" in words or "needle" in words) and "true" not in words:
        raise ProblemError(
            Problem(
                "geographic-needs-true-north",
                "this format needs true north, and the bearings of this plan are magnetic",
                found=basis,
                hint="turn the bearings by the declination of their date first, and say true in the basis of north",
            )
        )


def _out_of_range(found: str) -> ProblemError:
    return ProblemError(
        Problem(
            "geographic-out-of-range",
            "places on the globe are written within 89 degrees of the equator and on one side of the 180th meridian",
            found=found,
        )
    )
