"""Unified Facilities Guide Specification 02821A, Fencing (text of 2002 and April 2004), part 3, chain link fabric.

Bands and ties on line posts about 15 in, rails and tension wires 24 in; bottom of the fabric 2 in above ground.
Tolerance: spacing of bands up to 15 in, the printed "approximately" taken as a limit.

sources: ufgs-02821a
"""

import pytest

from palewright.layout.kinds import resolve
from palewright.model import FenceSpec
from palewright.supply import tension_bands, ties_on_post

IN, FT = 0.0254, 0.3048


@pytest.mark.parametrize("feet", [3, 4, 5, 6, 7, 8, 10, 12])
def test_bands_spread_over_the_fabric_are_at_most_15_in_apart(feet):
    """Bands at equal distances from each other and from both edges."""
    bands = tension_bands(feet * FT)
    assert feet * 12 / (bands + 1) <= 15


@pytest.mark.parametrize(("feet", "ties"), [(4, 4), (6, 5), (8, 7)])
def test_ties_on_line_posts(feet, ties):
    assert ties_on_post(feet * FT) == ties


def test_bottom_of_the_fabric():
    assert resolve(FenceSpec("f", "chain-link")).bottom_gap_m / IN == pytest.approx(2)
