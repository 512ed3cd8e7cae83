"""The network of F. Charamza, GEODET/PC, User's Guide, Zdiby 1990, appendix B, p. 238: directions and distances.

12 points, 2 of them fixed, 46 directions at 12 stations (sigma 10 cc, 0.001 gon) and 23 distances (sigma 5 mm). The
readings and the answers are kept in the public tests of GNU Gama (repository gitGNU/gnu_gama,
tests/gama-local/input/gama-local.gkf and .xml, version 1.13 of the program); the numbers are used here as facts. Its axes
are x south and y west, its angles run clockwise, in gon; its sum of squares is in units of 10 cc and 5 mm with an a
priori reference of 10, so 3435.6008 there is 34.356008 here.

That sum is of the linear rows at the program's rough coordinates, one step of 1 cm away; the residuals at its adjusted
coordinates themselves give 34.355855, which is the minimum and is held here. Coordinates are the same to 2e-7 m.

sources: charamza-1990
"""

from __future__ import annotations

import math

import pytest

from palewright.model import Adjusted, NetPoint, Network, Observation
from palewright.survey import adjust

GON = math.pi / 200.0
FIXED = {"1": (1054980.484, 644498.590), "2": (1054933.801, 643654.101)}
ROUGH = {
    "403": (1054612.60, 644373.60),
    "407": (1054821.17, 644025.97),
    "409": (1054703.68, 643769.62),
    "411": (1054614.59, 643487.05),
    "413": (1054700.75, 643249.95),
    "416": (1054931.43, 643315.19),
    "418": (1055216.48, 643580.48),
    "420": (1055139.91, 643814.89),
    "422": (1055167.23, 644041.46),
    "424": (1055205.41, 644318.24),
}
PRINTED = {
    "403": (1054612.595217, 644373.608482),
    "407": (1054821.163144, 644025.975421),
    "409": (1054703.670300, 643769.618153),
    "411": (1054614.588716, 643487.045497),
    "413": (1054700.743544, 643249.947256),
    "416": (1054931.433693, 643315.193515),
    "418": (1055216.472347, 643580.486995),
    "420": (1055139.898861, 643814.894551),
    "422": (1055167.222373, 644041.461419),
    "424": (1055205.411422, 644318.242998),
}
STATIONS = {
    "1": ("2 0.0000 845.777", "422 28.2057 493.793", "424 60.4906 288.301", "403 324.3662 388.536", "407 382.8182 498.750"),
    "2": (
        "1 0.0000", "407 22.2376 388.562", "409 73.8984 257.498", "411 134.2090 360.282", "416 203.0706 338.919",
        "418 287.2951 292.094", "420 345.6928 261.408", "422 368.9908 452.249",
    ),
    "403": ("1 0.0000", "407 313.5542 405.4030"),
    "407": ("1 0.0000", "403 55.1013", "409 193.3410 281.997", "2 239.4204", "422 323.5443 346.415"),
    "409": ("2 0.0000", "407 102.2575", "411 310.1751 296.281"),
    "411": ("2 0.0000", "409 49.8647", "413 291.4953 252.266", "416 337.6667 360.449"),
    "413": ("411 0.0000", "416 295.3582 239.745"),
    "416": ("2 0.0000", "411 68.8065", "413 117.9922", "418 348.1606 389.397"),
    "418": ("2 0.0000", "416 63.9347", "420 336.3190 246.594"),
    "420": ("2 0.0000", "418 77.9221", "422 250.1804 228.207"),
    "422": ("2 0.0000", "420 26.8834", "424 225.7964 279.405", "1 259.2124", "407 337.3724"),
    "424": ("1 0.0000", "422 134.2955"),
}  # fmt: skip


def _network() -> Network:
    points = [NetPoint(name, (-west, -south), True) for name, (south, west) in FIXED.items()]
    points += [NetPoint(name, (-west, -south)) for name, (south, west) in ROUGH.items()]
    read = []
    for station, lines in STATIONS.items():
        for line in lines:
            to, gon, *metres = line.split()
            read.append(Observation("direction", (station, to), float(gon) * GON, 0.001 * GON))
            read += [Observation("distance", (station, to), float(length), 0.005) for length in metres]
    return Network(tuple(points), tuple(read))


@pytest.fixture(scope="module")
def adjusted() -> Adjusted:
    return adjust(_network())


def test_the_whole(adjusted: Adjusted) -> None:
    kinds = [o.kind for o in _network().observations]
    assert (kinds.count("direction"), kinds.count("distance")) == (46, 23)
    assert adjusted.dof == 37
    assert adjusted.weighted_squares == pytest.approx(34.355855, abs=1e-6)
    assert adjusted.weighted_squares == pytest.approx(34.356008, abs=2e-4)
    assert adjusted.sigma0 == pytest.approx(0.96360820, abs=3e-6)
    assert adjusted.passes
    assert adjusted.chi_low is not None
    assert adjusted.chi_high is not None
    limits = [math.sqrt(limit / 37) for limit in (adjusted.chi_low, adjusted.chi_high)]
    assert limits == pytest.approx([0.773, 1.227], abs=0.0005)


def test_coordinates(adjusted: Adjusted) -> None:
    places = {point.name: (-point.xy[1], -point.xy[0]) for point in adjusted.points}
    for name, printed in PRINTED.items():
        assert places[name] == pytest.approx(printed, rel=0.0, abs=7e-7)


def test_covariance_of_point_403(adjusted: Adjusted) -> None:
    """First numbers of the printed covariance matrix [mm2], scaled there by the a posteriori sigma0."""
    point = next(p for p in adjusted.points if p.name == "403")
    assert adjusted.sigma0 is not None
    scale = 1e6 * adjusted.sigma0**2
    assert point.var_north * scale == pytest.approx(13.819516, abs=2e-4)
    assert point.cov * scale == pytest.approx(1.6969554, abs=2e-4)


def test_residuals_and_redundancy(adjusted: Adjusted) -> None:
    """Distance 407-422 is printed with residual -9.448 mm, studentised 2.481 and likely error -15.121 mm in the sense
    adjusted minus observed; then come two directions at 407, 1.940 and 1.930. Ours are with sigma known, printed ones
    with sigma0 estimated."""
    assert adjusted.sigma0 is not None
    read = _network().observations
    size = sorted(((abs(fit.test or 0.0) / adjusted.sigma0, fit.index) for fit in adjusted.fits), reverse=True)
    assert [round(w, 3) for w, _ in size[:3]] == [2.481, 1.940, 1.930]
    assert [read[index].points for _, index in size[:3]] == [("407", "422"), ("407", "2"), ("407", "409")]
    worst = adjusted.fits[size[0][1]]
    assert worst.residual == pytest.approx(346.405552 - 346.415, abs=1e-6)
    assert worst.blunder == pytest.approx(0.015121, abs=1e-6)
    assert adjusted.suspects == ()
    assert sum(fit.redundancy for fit in adjusted.fits) == pytest.approx(37.0, abs=1e-9)


def test_adjusted_directions(adjusted: Adjusted) -> None:
    """Printed adjusted readings of the station 1 [gon]."""
    read = _network().observations
    at_1 = [fit for fit in adjusted.fits if read[fit.index].kind == "direction" and read[fit.index].points[0] == "1"]
    printed = [0.0009170, 28.2056127, 60.4913588, 324.3654114, 382.8174001]
    assert [fit.adjusted / GON for fit in at_1] == pytest.approx(printed, abs=1e-7)
