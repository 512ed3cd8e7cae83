"""Ground: heights from spots, surfaces and grids, and the profile under a path.

Arrays in metres, heights up positive in one datum. Ground is never made up: what nothing reaches is nan, or named.
"""

from palewright.ground.grid import SAG_M, Affine, Grid
from palewright.ground.pieces import Floats, Pieces, Surface, allowed_miss, joined, path_stations
from palewright.ground.profile import (
    WALL_M,
    Conflict,
    Jump,
    Laid,
    Source,
    lay,
    line_pieces,
    steep,
    surface_pieces,
)
from palewright.ground.tin import SAME_PLACE_M, Tin, tin

__all__ = [
    "Affine",
    "Conflict",
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
    "allowed_miss",
    "joined",
    "lay",
    "line_pieces",
    "path_stations",
    "steep",
    "surface_pieces",
    "tin",
]
