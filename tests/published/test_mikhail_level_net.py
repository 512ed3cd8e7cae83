"""The level net of E. Mikhail, Observations and Least Squares, 1976, example 7.4 (p. 147).

Eight rises between five points, weights 1 over the distance in kilometres. The book prints B 825.220, C 835.535, D
809.535, E 830.846, to the millimetre; the readings are also kept in the public tests of GNU Gama
(tests/gama-local/input/mikhail-7.4.gkf). Solving its normal equations again gives D 809.534, one millimetre below the
book; the unrounded answer, from numpy outside this project, is what is held here.

sources: mikhail-1976
"""

from __future__ import annotations

import math

import pytest

from palewright import jobfile
from palewright.model import Rise
from palewright.plan.heights import job_heights
from palewright.survey import adjust_levels

RISES = [
    ("A", "B", 25.42, 18.1),
    ("B", "C", 10.34, 9.4),
    ("C", "A", -35.20, 14.2),
    ("B", "D", -15.54, 17.6),
    ("D", "E", 21.32, 13.5),
    ("E", "C", 4.82, 9.9),
    ("E", "A", -31.02, 13.8),
    ("C", "D", -26.11, 14.0),
]


def test_heights() -> None:
    done = adjust_levels({"A": 800.0}, [Rise(a, b, value, math.sqrt(km)) for a, b, value, km in RISES])
    heights = {point.name: point.height for point in done.points}
    printed = {"B": 825.220, "C": 835.535, "D": 809.535, "E": 830.846}
    right = {"B": 825.2206, "C": 835.5354, "D": 809.5339, "E": 830.8460}
    for name in printed:
        assert heights[name] == pytest.approx(right[name], abs=5e-5)
        assert heights[name] == pytest.approx(printed[name], abs=0.00115)
    assert done.dof == 4
    assert done.weighted_squares == pytest.approx(0.016171, abs=5e-7)
    assert done.sigma0 == pytest.approx(0.06358, abs=5e-6)


def test_the_same_net_as_a_job() -> None:
    """Written as rises of a job file, each with its own standard deviation: the root of its kilometres."""
    rows = "".join(
        f"  - {{rise: [{a}, {b}], reads: {value} m, within: {math.sqrt(km):.9f} m}}\n" for a, b, value, km in RISES
    )
    head = "palewright: 1\njob: {title: net}\npoints: {A: {height: 800 m}}\nmeasured:\n"
    found = job_heights(jobfile.read_text(head + rows), {})
    assert found is not None
    heights = {point.name: point.height for point in found.points}
    right = {"A": 800.0, "B": 825.2206, "C": 835.5354, "D": 809.5339, "E": 830.8460}
    assert heights == pytest.approx(right, abs=5e-5)
    assert (found.above, found.missing) == ("", ())
