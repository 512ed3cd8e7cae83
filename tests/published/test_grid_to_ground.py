"""Map grids and the ground: Snyder's worked examples, a state's second term, a line in three systems.

Snyder, USGS Professional Paper 1395 (1987), numerical examples, Clarke 1866 ellipsoid (a 6,378,206.4 m, e2 0.00676866):
transverse Mercator x 127,106.5 m, y 4,484,124.4 m, k 0.9997989 at 40 30 N, 73 30 W; Lambert conformal conic
x 1,894,410.9 m, y 1,564,649.5 m, k 0.9970171 at 35 N, 75 W. The grid coordinates are printed to 0.1 m, the factors to 1e-7.
Texas Department of Transportation, survey manual: second term 2.36 x 19,000 x (-391,000) x 1e-10 = -1.8 seconds (feet).
A page on grid and ground: grid 5,314.116 ft, ground factor of the line 1.000132409, ground 5,314.820 ft.

sources: snyder-1395, txdot-second-term, wgs84
"""

from __future__ import annotations

import math
from pathlib import Path

import pyproj
import pytest

from palewright.errors import ProblemError
from palewright.exchange import Asked, import_file
from palewright.model import Drawn
from palewright.survey import arc_to_chord, elevation_factor, grid_azimuth, ground_distance, line_scale, radii

CLARKE = "+ellps=clrk66 +units=m +type=crs"
TM = f"+proj=tmerc +lat_0=0 +lon_0=-75 +k=0.9996 {CLARKE}"
LCC = f"+proj=lcc +lat_1=33 +lat_2=45 +lat_0=23 +lon_0=-96 {CLARKE}"


def points(folder: Path, rows: list[tuple[float, float]], crs: str, **asked: object) -> Drawn:
    """A point list, east and north, in a coordinate system."""
    path = folder / "points.csv"
    path.write_text("easting,northing\n" + "".join(f"{x!r},{y!r}\n" for x, y in rows))
    return import_file(path, Asked(crs=crs, any_size=True, **asked)).drawn  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("crs", "x", "y", "latitude", "longitude", "scale"),
    [(TM, 127_106.5, 4_484_124.4, 40.5, -73.5, 0.9997989), (LCC, 1_894_410.9, 1_564_649.5, 35.0, -75.0, 0.9970171)],
)
def test_snyder(tmp_path: Path, crs: str, x: float, y: float, latitude: float, longitude: float, scale: float) -> None:
    frame = points(tmp_path, [(x, y), (x + 10, y)], crs).frame
    assert frame is not None
    # 0.05 m of rounding is 5e-7 degree of latitude and 6e-7 of longitude
    assert (frame.latitude, frame.longitude) == pytest.approx((latitude, longitude), abs=8e-7)
    assert (frame.scale_north, frame.scale_east) == pytest.approx((scale, scale), abs=6e-8)
    assert "Clarke 1866" in frame.datum


def test_snyder_convergence(tmp_path: Path) -> None:
    """Lambert conic: gamma = n (lon - lon0), n = sin of the standard parallels' mean as Snyder gives it, 0.6304965."""
    frame = points(tmp_path, [(1_894_410.9, 1_564_649.5), (1_894_420.9, 1_564_649.5)], LCC).frame
    assert frame is not None
    assert math.degrees(frame.convergence) == pytest.approx(0.6304965 * (-75 + 96), abs=2e-5)


def test_second_term() -> None:
    """The manual's factor 2.36 is 25.4 in feet; it prints -1.8 of -1.753 seconds."""
    in_feet = 25.4 * 0.3048**2
    assert in_feet == pytest.approx(2.36, abs=0.001)
    seconds = math.degrees(arc_to_chord(19_000 * 0.3048, -391_000 * 0.3048)) * 3600
    assert seconds == pytest.approx(-1.8, abs=0.05)
    turned = grid_azimuth(math.radians(10.0), math.radians(-0.5), math.radians(seconds / 3600))
    assert math.degrees(turned) == pytest.approx(10.5 + seconds / 3600)


def test_ground_factor_of_a_line() -> None:
    """By the factor of one end, 1.000133747, it is 5314.827; the page prints .826, a slip of its last digit."""
    assert ground_distance(5314.116, 1 / 1.000132409) == pytest.approx(5314.820, abs=0.0005)
    assert ground_distance(5314.116, 1 / 1.000133747) == pytest.approx(5314.827, abs=0.0005)
    assert line_scale(0.9998, 0.9999, 1.0001) == pytest.approx((0.9998 + 4 * 0.9999 + 1.0001) / 6)


@pytest.mark.parametrize(
    ("crs", "stored", "off"), [("EPSG:32613", 91.4034, 1e-4), ("EPSG:3857", 119.503, 1e-3), ("EPSG:4326", None, 0.0)]
)
def test_a_ground_line_of_300_feet(tmp_path: Path, crs: str, stored: float | None, off: float) -> None:
    """300 ft (91.44 m) at 40 N, 105 W, azimuth 37: 91.4034 m on UTM 13, 119.503 m in web mercator, 91.44 m on the ground.

    East 55.0300 m, north 73.0272 m of the start. The end by the geodesic on the ellipsoid (GeographicLib).
    """
    lon, lat, _ = pyproj.Geod(ellps="WGS84").fwd(-105.0, 40.0, 37.0, 91.44)
    turn = pyproj.Transformer.from_crs(4326, crs, always_xy=True)
    start, end = turn.transform(-105.0, 40.0), turn.transform(lon, lat)
    if stored is not None:
        assert math.dist(start, end) == pytest.approx(stored, abs=off)
    one, two = points(tmp_path, [start, end], crs).points
    east, north = two.xy[0] - one.xy[0], two.xy[1] - one.xy[1]
    assert (east, north) == pytest.approx((55.0300, 73.0272), abs=5e-5)
    assert math.hypot(east, north) == pytest.approx(91.44, abs=1e-5)


def test_grid_distance_over_the_combined_factor_is_the_ground_distance(tmp_path: Path) -> None:
    """Two ways to the ground: our plane at the height of the ground, and grid / (scale x elevation factor)."""
    height = 1650.0
    rows = [(500_000.0, 4_427_757.0), (500_055.0, 4_427_830.0)]
    drawn = points(tmp_path, rows, "EPSG:32613", height_m=height)
    frame = drawn.frame
    assert frame is not None
    meridian, normal = radii(math.radians(frame.latitude))
    lift = elevation_factor(height, math.sqrt(meridian * normal))
    assert frame.elevation_factor == pytest.approx(lift, abs=1e-12)
    one, two = drawn.points
    by_factor = ground_distance(math.dist(*rows), frame.scale_east, lift)
    # the radius differs with the azimuth by up to 0.3 percent of the elevation effect: 0.8 ppm here
    assert math.dist(one.xy, two.xy) == pytest.approx(by_factor, rel=1e-6)


def test_grid_azimuth_is_true_azimuth_less_convergence(tmp_path: Path) -> None:
    """A line along grid north, 3 degrees east of a UTM meridian at 40 N: convergence atan(tan 3 x sin 40) = 1.930 degrees."""
    turn = pyproj.Transformer.from_crs(4326, "EPSG:32613", always_xy=True)
    x, y = turn.transform(-102.0, 40.0)
    drawn = points(tmp_path, [(x, y), (x, y + 100.0)], "EPSG:32613")
    assert drawn.frame is not None
    wanted = math.degrees(math.atan(math.tan(math.radians(3)) * math.sin(math.radians(40))))
    assert math.degrees(drawn.frame.convergence) == pytest.approx(wanted, abs=2e-3)
    one, two = drawn.points
    azimuth = math.atan2(two.xy[0] - one.xy[0], two.xy[1] - one.xy[1])
    assert grid_azimuth(azimuth, drawn.frame.convergence) == pytest.approx(0.0, abs=1e-6) or grid_azimuth(
        azimuth, drawn.frame.convergence
    ) == pytest.approx(math.tau, abs=1e-6)


def test_feet_and_survey_feet_of_one_zone(tmp_path: Path) -> None:
    """EPSG:4457 is EPSG:32134 in US survey feet: 1,000,000 ft read as international feet would be 2 ft off."""
    metres = (600_000.0, 150_000.0)
    survey = tuple(v * 3937 / 1200 for v in metres)
    frames = [
        points(tmp_path, [metres, (metres[0] + 30, metres[1])], "EPSG:32134").frame,
        points(tmp_path, [survey, (survey[0] + 100, survey[1])], "EPSG:4457").frame,  # type: ignore[list-item]
    ]
    assert frames[0] is not None
    assert frames[1] is not None
    assert frames[1].latitude == pytest.approx(frames[0].latitude, abs=1e-10)
    assert frames[1].longitude == pytest.approx(frames[0].longitude, abs=1e-10)
    drawn = points(tmp_path, [survey, (survey[0] + 100, survey[1])], "EPSG:4457")  # type: ignore[list-item]
    assert drawn.unit == "ft US"
    with pytest.raises(ProblemError, match="crs-unknown"):
        points(tmp_path, [metres], "EPSG:999999")
