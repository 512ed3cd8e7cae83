"""GeoPackage and shapefile, written with GDAL (the `gis` extra): WGS 84, a layer a shape."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from palewright.errors import Problem, ProblemError
from palewright.exchange.features import Feature, features
from palewright.exchange.geojson import geometry
from palewright.exchange.globe import Anchor, Globe
from palewright.model import Plan

__all__ = ["gis_library", "to_geopackage", "to_shapefile"]

_LAYERS = {"point": ("points", "Point"), "line": ("lines", "LineString"), "area": ("areas", "Polygon")}
_FIXED_DAY = (2000, 1, 1, 0, 0, 0)


def gis_library(name: str) -> Any:
    """A library of the `gis` extra. Raises ProblemError ``gis-extra-missing`` where it is not installed."""
    import importlib

    try:
        return importlib.import_module(name)
    except ImportError:
        raise ProblemError(
            Problem(
                "gis-extra-missing",
                "this needs the libraries for map files and projections, and they are not installed",
                found=f"no {name.partition('.')[0]}",
                hint='install them with: pip install "palewright[gis]"',
            )
        ) from None


def to_geopackage(plan: Plan, anchor: Anchor | None = None, height_m: float = 0.0) -> bytes:
    """The plan as a GeoPackage: layers points, lines and areas in EPSG:4326.

    anchor, height_m
        as for :func:`palewright.exchange.to_geojson`; raises the same problems, and ``gis-extra-missing``.
    """
    globe = Globe(plan, anchor, height_m)
    gdal = gis_library("pyogrio")
    gdal.set_gdal_config_options({"OGR_CURRENT_DATE": "2000-01-01T00:00:00Z"})
    try:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "plan.gpkg"
            for shape in _LAYERS:
                _write(plan, globe, shape, path, "GPKG")
            return path.read_bytes() if path.exists() else b""
    finally:
        gdal.set_gdal_config_options({"OGR_CURRENT_DATE": None})


def to_shapefile(plan: Plan, anchor: Anchor | None = None, height_m: float = 0.0) -> bytes:
    """The plan as a zip of shapefiles: points, lines and areas with their .prj, WGS 84; UTF-8 names.

    anchor, height_m
        as for :func:`palewright.exchange.to_geojson`; raises the same problems, and ``gis-extra-missing``.
    """
    globe = Globe(plan, anchor, height_m)
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder:
        for shape, (layer, _) in _LAYERS.items():
            _write(plan, globe, shape, Path(folder) / f"{layer}.shp", "ESRI Shapefile")
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as box:
            for path in sorted(Path(folder).iterdir()):
                box.writestr(zipfile.ZipInfo(path.name, _FIXED_DAY), path.read_bytes(), zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _write(plan: Plan, globe: Globe, shape: str, path: Path, driver: str) -> None:
    rows = [made for made in features(plan) if made.shape == shape]
    if not rows:
        return
    raw, numpy, shapely = gis_library("pyogrio.raw"), gis_library("numpy"), gis_library("shapely.geometry")
    layer, kind = _LAYERS[shape]
    wkb = numpy.array([shapely.shape(geometry(made, globe)).wkb for made in rows], dtype=object)
    columns = {
        "what": [made.what for made in rows],
        "name": [made.name for made in rows],
        "about": [_about(made) for made in rows],
    }
    data = [numpy.array(column, dtype=object) for column in columns.values()]
    raw.write(
        str(path), wkb, data, list(columns), layer=layer, driver=driver, geometry_type=kind, crs="EPSG:4326",
        encoding="UTF-8", append=path.exists(),
    )  # fmt: skip


def _about(made: Feature) -> str:
    """The facts of a feature in one line of a table, at most what a shapefile holds."""
    text = "; ".join(f"{key} {value}" for key, value in made.facts if value not in (None, ""))
    return text[:250]
