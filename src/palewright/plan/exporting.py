"""One file in one format, from a plan."""

from __future__ import annotations

import json
import tempfile
from datetime import date
from pathlib import Path

from palewright.errors import Problem, ProblemError
from palewright.model import Plan

__all__ = ["FORMATS", "export"]

FORMATS = (
    "plan-json", "posts-csv", "materials-csv", "svg", "dxf", "scene-json", "landxml", "pnezd-csv",
    "geojson", "geopackage", "shapefile", "kml", "gpx",
)  # fmt: skip
"""Every format; the last five are on the globe and need north and a place."""


def export(plan: Plan, form: str, place: str = "", height_m: float = 0.0) -> bytes:
    """A plan in one format.

    form
        one of :data:`FORMATS`.
    place
        for the formats on the globe: "POINT, latitude, longitude" in degrees.
    height_m
        of the ground above the ellipsoid, for the same formats [m].
    Raises ProblemError for an unknown format, for one on the globe without north or place, or a place that cannot be
    read.
    """
    from palewright import draw, exchange, papers

    if form == "plan-json":
        return exchange.dumps(plan).encode()
    if form == "posts-csv":
        return exchange.posts_csv(plan).encode()
    if form == "materials-csv":
        return exchange.materials_csv(plan).encode()
    if form in ("svg", "scene-json", "dxf"):
        plan = papers.in_language(plan)
    if form == "svg":
        return draw.to_svg(draw.plan_sheets(plan)[0]).encode()
    if form == "scene-json":
        return (json.dumps(draw.to_json(draw.plan_sheets(plan)[0])) + "\n").encode()
    if form == "dxf":
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "plan.dxf"
            draw.to_dxf(plan, path)
            return path.read_bytes()
    if form == "landxml":
        return exchange.to_landxml(plan, date.today().isoformat()).encode()
    if form == "pnezd-csv":
        return exchange.to_pnezd(plan).encode()
    if form in FORMATS:
        return _on_the_globe(plan, form, place, height_m)
    raise ProblemError(
        Problem(
            "unknown-format",
            "there is no such format",
            found=form,
            allowed=", ".join(FORMATS),
        )
    )


def _on_the_globe(plan: Plan, form: str, place: str, height_m: float) -> bytes:
    from palewright import exchange

    anchor = _place(place)
    if form == "geojson":
        return (json.dumps(exchange.to_geojson(plan, anchor, height_m)) + "\n").encode()
    if form == "kml":
        return exchange.to_kml(plan, anchor, height_m).encode()
    if form == "gpx":
        return exchange.to_gpx(plan, anchor, height_m).encode()
    write = exchange.to_geopackage if form == "geopackage" else exchange.to_shapefile
    return write(plan, anchor, height_m)


def _place(text: str) -> tuple[str, float, float] | None:
    if not text.strip():
        return None
    parts = [part.strip() for part in text.split(",")]
    try:
        name, latitude, longitude = parts[0], float(parts[1]), float(parts[2])
        if len(parts) != 3 or not (abs(latitude) <= 90.0 and abs(longitude) <= 180.0):
            raise ValueError(text)
    except (IndexError, ValueError):
        raise ProblemError(
            Problem(
                "place-unreadable",
                "the place of a point cannot be read",
                found=text,
                allowed='"POINT, latitude, longitude", latitude -90 to 90, longitude -180 to 180, in degrees',
                hint='for instance "NE, 41.20345, -96.04512" (west is negative)',
            )
        ) from None
    return name, latitude, longitude
