"""A reading to the nearest mark of a tape: JCGM 100:2008, F.2.2.1 and 4.3.7.

A device with a resolution of one unit has a variance of a twelfth of its square, a standard uncertainty of 0.29 of it; a quantity that is
anywhere within a half width a with equal probability has a / sqrt 3. The figures are cited from memory of the guide.

sources: jcgm-100
"""

from __future__ import annotations

import math

import pytest

from palewright.asbuilt.marks import reading_sigma


def test_resolution_of_one_unit() -> None:
    assert round(reading_sigma(1.0), 2) == 0.29
    assert reading_sigma(1.0) ** 2 == pytest.approx(1.0 / 12.0)


def test_half_width_over_the_root_of_three() -> None:
    for mark in (0.0254 / 8, 0.0254 / 16, 0.001, 0.003048):
        assert reading_sigma(mark) == pytest.approx(mark / 2.0 / math.sqrt(3.0))
