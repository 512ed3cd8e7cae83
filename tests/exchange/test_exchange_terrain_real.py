"""407 real parcels on 1 m bare-earth ground: the boundary of each as a profile, against the raster itself at 5 cm.

Data: Prague-Bubenec, `momepy/datasets/bubenec.gpkg` of momepy 0.11.0 (BSD), layers plots (EPSG:3857) and dtm (EPSG:5514, metres
as its figures say; the file itself does not say the unit of its heights, so that has to be typed). Places of the corners
in the grid of the ground by pyproj alone; heights by scipy.ndimage.map_coordinates on cells read by rasterio alone.
"""

from __future__ import annotations

import numpy as np
import pytest
import rasterio
from scipy.ndimage import map_coordinates
from tests.open_data import parcel_rings, parcels_file

from palewright.errors import ProblemError
from palewright.exchange.terrain_in import read_terrain
from palewright.ground import Grid, Source, lay, surface_pieces
from palewright.model import TerrainSpec

SPEC = TerrainSpec("grid", "bubenec.gpkg", unit="m", layer="dtm", crs="EPSG:5514", same_grid=True)


@pytest.fixture(scope="module")
def lots() -> list[np.ndarray]:
    """Rings of the parcels in the grid of the ground."""
    return parcel_rings()


def test_the_unit_is_asked() -> None:
    with pytest.raises(ProblemError, match="unit-not-said"):
        read_terrain(parcels_file(), TerrainSpec("grid", "bubenec.gpkg", layer="dtm", same_grid=True))


def test_every_lot_lies_on_the_raster(lots: list[np.ndarray]) -> None:
    terrain = read_terrain(parcels_file(), SPEC)
    assert terrain.affine is not None
    grid = Grid(terrain.values, terrain.affine, 0.3)
    with rasterio.open(f"GPKG:{parcels_file()}:dtm") as held:
        cells = held.read(1, masked=True).astype(float).filled(np.nan)
        back = ~held.transform
    assert (np.nanmin(cells), np.nanmax(cells)) == (pytest.approx(188, abs=1), pytest.approx(222, abs=1))
    assert len(lots) == 407
    known = holes = 0
    for k, ring in enumerate(lots):
        laid = lay(f"lot {k}", ring, [Source("grid", surface_pieces(grid, ring))], [grid])
        corner = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
        at = np.arange(0.02, corner[-1], 0.05)
        x, y = (np.interp(at, corner, ring[:, axis]) for axis in (0, 1))
        col, row = back.a * x + back.b * y + back.c, back.d * x + back.e * y + back.f
        wanted = map_coordinates(cells, [row - 0.5, col - 0.5], order=1, cval=np.nan)
        named = np.zeros(len(at), dtype=bool)
        for gap in laid.unknown:
            named |= (at > gap.from_m) & (at < gap.to_m)
        assert np.array_equal(named, np.isnan(wanted))
        holes += int(named.any())
        if laid.profile is not None:
            z = np.interp(at, laid.profile.stations_m, laid.profile.heights_m)
            assert np.abs(z - wanted)[~named].max() <= 0.001 + 1e-6
            assert laid.jumps == ()
            known += 1
    assert known > 350
    assert holes < 60
