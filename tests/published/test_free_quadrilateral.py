"""The site-size quadrilateral of the lesson "horiz_net" in the public repository OSGeoLabBp/tutorials: a free network.

Ten distances (five, each measured from both ends, sigma 1 mm) and ten directions at four stations (sigma 0.0006 gon), no
point held, inner constraints over rough coordinates. The lesson prints sigma0 0.93, which belongs to 10 degrees of
freedom; the network has a rank defect of 3 (east, north, turn), so there are 20 + 3 - 8 - 4 = 11 of them and sigma0 is
0.885. That value is held here; the sum of squares and the coordinates (to about 1 mm) are the lesson's. Recomputed
outside this project with numpy's pseudo-inverse.

sources: horiz-net
"""

from __future__ import annotations

import math

import pytest

from palewright.model import NetPoint, Network, Observation
from palewright.survey import adjust

GON = math.pi / 200.0
ROUGH = {"1": (-87.492, 24.944), "2": (-20.941, 24.578), "3": (0.002, 0.002), "4": (-87.927, -0.006)}
DISTANCES = "1 2 66.552 66.552; 1 4 24.954 24.955; 2 3 32.288 32.289; 2 4 71.355 71.355; 3 4 87.929 87.929"
DIRECTIONS = """1 2 100.3498; 1 4 201.1093; 2 1 300.3494; 2 3 155.0715; 2 4 277.6076
3 2 355.0758; 3 4 300.0000; 4 1 1.1190; 4 2 77.6151; 4 3 100.0014"""


def _distances() -> list[Observation]:
    rows = [row.split() for row in DISTANCES.split(";")]
    return [Observation("distance", (a, b), float(v), 0.001) for a, b, *both in rows for v in both]


def _points() -> tuple[NetPoint, ...]:
    return tuple(NetPoint(name, xy) for name, xy in ROUGH.items())


def test_free_network() -> None:
    rows = [row.split() for row in DIRECTIONS.replace("\n", ";").split(";")]
    read = [Observation("direction", (a, b), float(gon) * GON, 0.0006 * GON) for a, b, gon in rows]
    done = adjust(Network(_points(), (*_distances(), *read), "free"))
    assert done.dof == 11
    assert done.weighted_squares == pytest.approx(8.622, abs=0.002)
    assert done.sigma0 == pytest.approx(0.885, abs=0.0005)
    right = {"1": (-87.4918, 24.9441), "2": (-20.9408, 24.5780), "3": (0.0017, 0.0021), "4": (-87.9271, -0.0062)}
    for point in done.points:
        assert point.xy == pytest.approx(right[point.name], abs=6e-5)


def test_distances_alone_are_just_enough() -> None:
    """Five mean distances fix four points exactly; the sixth side, 1-3, is then 90.9794 m (recomputed, law of cosines)."""
    done = adjust(Network(_points(), tuple(_distances()), "least"))
    assert done.dof == 5
    one, three = (next(p.xy for p in done.points if p.name == name) for name in "13")
    assert math.dist(one, three) == pytest.approx(90.9794, abs=5e-5)
