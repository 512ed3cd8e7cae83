"""A local plane on the globe against PROJ 9.5.1 (through pyproj 3.7.2), operations topocentric and cart, ellipsoid WGS 84.

The four rows below are PROJ's own answers, printed to 1e-10 degree; tolerance 2e-10 degree (a fiftieth of a millimetre).
The first is a ground line of 300 ft at 40 N 105 W, azimuth 37 degrees: east 55.0300 m, north 73.0272 m.

sources: wgs84, proj-topocentric
"""

from __future__ import annotations

import math

import pytest

from palewright.survey import local_to_geographic

ROWS = [
    # latitude, longitude, height, east, north, latitude and longitude by PROJ
    (40.0, -105.0, 0.0, 55.03, 73.0272, 40.0006576957, -104.9993555681),
    (40.689, -74.0168, 0.0, -120.5, 33.25, 40.6892994115, -74.0182255457),
    (-33.9, 151.2, 0.0, 900.0, -1400.0, -33.9126212456, 151.2097319102),
    (64.8, -147.7, 1500.0, 2500.0, 2500.0, 64.8224089998, -147.6473680194),
]


@pytest.mark.parametrize(("lat", "lon", "height", "east", "north", "lat2", "lon2"), ROWS)
def test_against_proj(
    lat: float, lon: float, height: float, east: float, north: float, lat2: float, lon2: float
) -> None:
    got = local_to_geographic((east, north), math.radians(lat), math.radians(lon), height)
    assert [math.degrees(angle) for angle in got] == pytest.approx([lat2, lon2], abs=2e-10)


def test_a_millionth_of_a_degree_at_40_north() -> None:
    """0.111 m north and 0.085 m east (radii of the ellipsoid; printed to the millimetre)."""
    lat, lon = math.radians(40.0), math.radians(-105.0)
    north = local_to_geographic((0.0, 1.0), lat, lon)[0] - lat
    east = local_to_geographic((1.0, 0.0), lat, lon)[1] - lon
    assert math.radians(1e-6) / north == pytest.approx(0.111, abs=0.0005)
    assert math.radians(1e-6) / east == pytest.approx(0.085, abs=0.0005)
