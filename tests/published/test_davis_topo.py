"""52 spot heights in a square of 310 ft: J. C. Davis, Statistics and Data Analysis in Geology (Wiley, 1973), the data set
``topo`` of the R package MASS; x and y in units of 50 ft, heights in feet. The answers for this triangulation (87
triangles) agree between scipy.interpolate.LinearNDInterpolator and startinpy; the profile is scipy's. Its length along
the ground, 399.908 ft, is that of a million heights by scipy: one every tenth of a foot cuts corners and has 399.876.

sources: davis-topo
"""

from __future__ import annotations

import numpy as np
import pytest

from palewright.ground import Source, Tin, lay, surface_pieces, tin
from palewright.layout.grade import Grade, height_at

FOOT = 0.3048
SPOTS = """0.3 6.1 870; 1.4 6.2 793; 2.4 6.1 755; 3.6 6.2 690; 5.7 6.2 800; 1.6 5.2 800; 2.9 5.1 730; 3.4 5.3 728
3.4 5.7 710; 4.8 5.6 780; 5.3 5 804; 6.2 5.2 855; 0.2 4.3 830; 0.9 4.2 813; 2.3 4.8 762; 2.5 4.5 765; 3 4.5 740
3.5 4.5 765; 4.1 4.6 760; 4.9 4.2 790; 6.3 4.3 820; 0.9 3.2 855; 1.7 3.8 812; 2.4 3.8 773; 3.7 3.5 812; 4.5 3.2 827
5.2 3.2 805; 6.3 3.4 840; 0.3 2.4 890; 2 2.7 820; 3.8 2.3 873; 6.3 2.2 875; 0.6 1.7 873; 1.5 1.8 865; 2.1 1.8 841
2.1 1.1 862; 3.1 1.1 908; 4.5 1.8 855; 5.5 1.7 850; 5.7 1 882; 6.2 1 910; 0.4 0.5 940; 1.4 0.6 915; 1.4 0.1 890
2.1 0.7 880; 2.3 0.3 870; 3.1 0 880; 4.1 0.8 960; 5.4 0.4 890; 6 0.1 860; 5.7 3 830; 3.6 6 705"""


@pytest.fixture(scope="module")
def ground() -> Tin:
    rows = np.array([[float(v) for v in row.split()] for row in SPOTS.replace("\n", ";").split(";")])
    assert len(rows) == 52
    return tin(rows * [50.0 * FOOT, 50.0 * FOOT, FOOT], 0.5 * FOOT)


def test_triangles_and_heights(ground: Tin) -> None:
    assert len(ground.faces) == 87
    at = np.array([[150, 150], [100, 200], [250, 100], [50, 250], [300, 25.0]])
    z, _ = ground.heights(at * FOOT)
    assert z / FOOT == pytest.approx([823.7028, 794.5918, 844.5918, 817.3663, 877.2444], abs=5e-5)


def test_profile(ground: Tin) -> None:
    path = np.array([[20.0, 240.0], [300.0, 60.0]]) * FOOT
    profile = lay("diagonal", path, [Source("spots", surface_pieces(ground, path))], [ground]).profile
    assert profile is not None
    assert profile.unknown == ()
    length = profile.stations_m[-1]
    assert length / FOOT == pytest.approx(332.866, abs=5e-4)
    at = np.append(np.arange(0.0, 332.0, 50.0), 332.866)
    wanted = [834.733, 810.509, 792.529, 813.520, 855.737, 845.748, 857.536, 892.857]
    assert [height_at(profile, s) / FOOT for s in at * FOOT] == pytest.approx(wanted, abs=1e-3)
    assert Grade.under(profile, 0.0, length).along(length) / FOOT == pytest.approx(399.9085, abs=5e-4)
