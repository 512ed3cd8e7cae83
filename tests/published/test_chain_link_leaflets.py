"""Leaflets for chain link of home yards.

clhome: terminals stand the height of the fabric and 2 in above ground, line posts end at the height less 2 in; 54 ft between
terminals is 648 in, divided by 6 is 108 in or 9 ft. clhow: holes 8 in across and 18 to 30 in deep for terminals, 6 in and
18 to 24 in for line posts. hb44 (handbook, chapter 44): terminals 2 in above the fabric, line posts 2 in below.
clfleaf (trade body, 2009): 36 in opening with a 32 1/4 in leaf, one leaf 3 3/4 in less than the opening, two leaves 5 1/2 in
less together. Tolerance: none, whole and quarter inches.

sources: clhome, clhow, hb44, clfleaf
"""

import pytest

from palewright.layout.bays_spacing import spacing
from palewright.layout.gates import gate_sizes
from palewright.layout.kinds import resolve
from palewright.model import FenceSpec

IN, FT = 0.0254, 0.3048


def test_54_ft_gives_bays_of_9_ft():
    marks = spacing(54 * FT, 10 * FT)
    assert len(marks) - 1 == 6
    assert marks[1] / IN == pytest.approx(108)


@pytest.mark.parametrize("name", ["chain-link", "chain-link-commercial"])
def test_tops_of_posts(name):
    kind = resolve(FenceSpec("f", name))
    assert (kind.above("end") - kind.top_m) / IN == pytest.approx(2)
    assert (kind.above("gate") - kind.top_m) / IN == pytest.approx(2)
    assert (kind.top_m - kind.above("line")) / IN == pytest.approx(2)


def test_holes_of_the_leaflet_lie_in_its_ranges():
    kind = resolve(FenceSpec("f", "chain-link", (("hole rule", "leaflet"),)))
    assert kind.hole("corner").diameter_m / IN == pytest.approx(8)
    assert 18 <= round(kind.hole("corner").depth_m / IN, 6) <= 30
    assert kind.hole("line").diameter_m / IN == pytest.approx(6)
    assert 18 <= round(kind.hole("line").depth_m / IN, 6) <= 24


def test_single_gate():
    sizes = gate_sizes("chain-link", 36 * IN, None, 1)
    assert sizes.leaf_m / IN == pytest.approx(32.25)
    assert sizes.allowance_m / IN == pytest.approx(3.75)


@pytest.mark.parametrize("feet", [10, 12])
def test_double_gate(feet):
    sizes = gate_sizes("chain-link", feet * FT, None, 2)
    assert (feet * 12 - 2 * sizes.leaf_m / IN) == pytest.approx(5.5)
