"""Ground: heights from spots, surfaces and grids, and the profile under a path.

Arrays in metres, heights up positive in one datum. Ground is never made up: what nothing reaches is nan, or named.
"""

from palewright.ground.grid import SAG_M, Affine, Grid
from palewright.ground.pieces import Floats, Pieces, Surface, joined, path_stations
from palewright.ground.profile import (
    WALL_M,
    Conflict,
    Jump,
    Laid,
    Source,
    check_rising,
    lay,
    line_pieces,
    surface_pieces,
)
from palewright.ground.slopes import Deviation, along_slope, deviation, height_at, sigma_at, slopes, station_at, steep
from palewright.ground.tin import SAME_PLACE_M, Tin, tin

__all__ = [
    "Affine",
    "Conflict",
    "Deviation",
    "Floats",
    "Grid",
    "Jump",
    "Laid",
    "Pieces",
    "SAG_M",
    "SAME_PLACE_M",
    "Source",
    "Surface",
    "Tin",
    "WALL_M",
    "along_slope",
    "check_rising",
    "deviation",
    "height_at",
    "joined",
    "lay",
    "line_pieces",
    "path_stations",
    "sigma_at",
    "slopes",
    "station_at",
    "steep",
    "surface_pieces",
    "tin",
]
