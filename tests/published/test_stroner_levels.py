"""Levelling demo A in the public tests of GNU Gama (repository kbevers/gama, tests/gama-local/input/stroner-levelling-a).

One bench mark, seven points, fifteen rises with sigma 3 mm times the root of the length in kilometres. The answers are
the printed ones of version 2.02 of that program; the numbers are used here as facts.

sources: stroner-levels
"""

from __future__ import annotations

import math

import pytest

from palewright.model import AdjustedLevels, Rise
from palewright.survey import adjust_levels

RISES = """51 11 15.4974 1.045; 51 38 33.9788 .929; 51 1 16.3779 1.162; 51 17 10.4647 1.169; 51 34 33.6054 1.064
51 32 19.3166 .904; 51 43 2.0043 .969; 11 38 18.4828 1.322; 38 1 -17.5951 .972; 1 17 -5.9218 1.288
17 34 23.1419 1.094; 34 32 -14.2892 1.042; 32 43 -17.3147 .896; 11 17 -5.0329 1.230; 17 43 -8.4571 .867"""
PRINTED = {
    "1": 250.6962377763540,
    "11": 249.8106300937260,
    "17": 244.7769807699726,
    "32": 253.6317554477261,
    "34": 267.9199288778169,
    "38": 268.2926289418810,
    "43": 236.3185878269286,
}


@pytest.fixture(scope="module")
def adjusted() -> AdjustedLevels:
    rows = [row.split() for row in RISES.replace("\n", ";").split(";")]
    rises = [Rise(a, b, float(value), 0.003 * math.sqrt(float(km))) for a, b, value, km in rows]
    return adjust_levels({"51": 234.3145}, rises)


def test_heights(adjusted: AdjustedLevels) -> None:
    heights = {point.name: point.height for point in adjusted.points}
    for name, printed in PRINTED.items():
        assert heights[name] == pytest.approx(printed, abs=1e-9)


def test_statistics(adjusted: AdjustedLevels) -> None:
    """Printed: sum of squares 33.680920 and sigma0 2.0518565 in millimetres, reference sigma 3 mm; limits of their ratio."""
    assert adjusted.dof == 8
    assert adjusted.weighted_squares * 9.0 == pytest.approx(33.680920, abs=5e-7)
    assert adjusted.sigma0 is not None
    assert adjusted.sigma0 * 3.0 == pytest.approx(2.0518565, abs=5e-8)
    assert adjusted.chi_low is not None
    assert adjusted.chi_high is not None
    limits = [math.sqrt(limit / 8) for limit in (adjusted.chi_low, adjusted.chi_high)]
    assert limits == pytest.approx([0.522, 1.480], abs=0.0005)
    assert adjusted.passes


def test_standard_deviations(adjusted: AdjustedLevels) -> None:
    """Printed standard deviations of adjusted rises from the bench mark, so of the heights [mm], a priori."""
    sigma = {point.name: 1000.0 * point.sigma for point in adjusted.points}
    assert sigma["11"] == pytest.approx(2.0953796, abs=5e-7)
    assert sigma["1"] == pytest.approx(2.1024560, abs=5e-7)
    assert sigma["17"] == pytest.approx(1.7337484, abs=5e-7)


def test_residuals(adjusted: AdjustedLevels) -> None:
    """Printed for 51-1: residual over its standard deviation 1.562, likely error of the reading 6.647 mm; 51-17: 0.810."""
    size = [abs(fit.test or 0.0) for fit in adjusted.fits]
    assert max(size) == size[2] == pytest.approx(1.562, abs=0.0005)
    assert size[3] == pytest.approx(0.810, abs=0.0005)
    assert adjusted.fits[2].blunder == pytest.approx(-0.006647, abs=5e-7)
