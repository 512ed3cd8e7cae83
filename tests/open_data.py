"""Open data that ships inside wheels of the ``data`` group: real parcels with their ground, and a mountain."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pyogrio
import pyproj
import shapely


def inside(wheel: str, *parts: str) -> Path:
    """A file of a wheel, which is looked up and never imported."""
    found = importlib.util.find_spec(wheel)
    assert found is not None, "make setup installs the data wheels"
    return Path((found.submodule_search_locations or [""])[0]).joinpath(*parts)


def parcels_file() -> Path:
    """407 cadastral parcels (layer plots, EPSG:3857) and bare earth (layer dtm, EPSG:5514): momepy's sample data."""
    return inside("momepy", "datasets", "bubenec.gpkg")


def parcel_rings() -> list[np.ndarray]:
    """The outer rings of the parcels, closed, in the grid of the ground [m], by pyproj alone."""
    turn = pyproj.Transformer.from_crs(3857, 5514, always_xy=True)
    _, _, shapes, _ = pyogrio.raw.read(parcels_file(), layer="plots")
    rings = [shapely.get_coordinates(shapely.get_exterior_ring(shapely.from_wkb(shape))) for shape in shapes]
    return [np.column_stack(turn.transform(ring[:, 0], ring[:, 1])) for ring in rings]


def jacksboro() -> np.ndarray:
    """344 rows of 403 heights [m] of the Jacksboro fault (SRTM): matplotlib's sample data."""
    with np.load(inside("matplotlib", "mpl-data", "sample_data", "jacksboro_fault_dem.npz")) as held:
        return held["elevation"].astype(float)
