"""Taped figures worked outside this project: a quadrilateral with both diagonals, the same with a middle point, a point
tied by three tapes. Feet.

Every number was computed with numpy's linear algebra and again with scipy.optimize.least_squares (the quadrilateral),
lmfit (with the middle point) or scipy's Huber and Cauchy losses (the wrong diagonal).

sources: taped-figures
"""

from __future__ import annotations

import math

import pytest

from palewright.model import Adjusted, NetPoint, Network, Observation
from palewright.survey import adjust, ellipse_factor, residual_limit, robust

SIDES = {"AB": 100.02, "BC": 60.01, "CD": 99.98, "DA": 60.03, "AC": 116.65, "BD": 116.60}
SPOKES = {"AE": 58.31, "BE": 58.30, "CE": 58.33, "DE": 58.33}
ROUGH = {"A": (0.0, 0.0), "B": (100.0, 0.0), "C": (100.0, 60.0), "D": (0.0, 60.0), "E": (50.0, 30.0)}


def _net(tapes: dict[str, float]) -> Network:
    points = tuple(NetPoint(name, xy) for name, xy in ROUGH.items() if any(name in pair for pair in tapes))
    read = tuple(Observation("distance", (pair[0], pair[1]), length, 0.02) for pair, length in tapes.items())
    return Network(points, read, "least")


def _place(done: Adjusted, name: str) -> tuple[float, float]:
    return next(point.xy for point in done.points if point.name == name)


def test_quadrilateral() -> None:
    done = adjust(_net(SIDES))
    assert _place(done, "A") == pytest.approx((0.0, 0.0), abs=1e-12)
    assert _place(done, "B") == pytest.approx((100.01815, 0.0), abs=5e-6)
    assert _place(done, "C") == pytest.approx((100.03330, 60.00889), abs=6e-6)
    assert _place(done, "D") == pytest.approx((0.05515, 60.02886), abs=6e-6)
    assert done.dof == 1
    assert done.weighted_squares == pytest.approx(0.04675, abs=5e-6)
    assert [fit.redundancy for fit in done.fits] == pytest.approx([0.184, 0.066, 0.184, 0.066, 0.250, 0.250], abs=5e-4)
    sigmas = {point.name: (math.sqrt(point.var_east), math.sqrt(point.var_north)) for point in done.points}
    assert sigmas["B"] == pytest.approx((0.01807, 0.0), abs=5e-6)
    assert sigmas["C"] == pytest.approx((0.02169, 0.01933), abs=5e-6)


def test_one_check_detects_but_cannot_locate() -> None:
    """With one degree of freedom every |w| is 0.216; the smallest blunder found in BC is 0.32 ft."""
    done = adjust(_net(SIDES))
    assert [abs(fit.test or 0.0) for fit in done.fits] == pytest.approx([0.216] * 6, abs=5e-4)
    assert done.fits[1].least_blunder == pytest.approx(0.32, abs=0.005)


def test_quadrilateral_with_a_middle_point() -> None:
    done = adjust(_net(SIDES | SPOKES))
    assert done.dof == 3
    assert done.weighted_squares == pytest.approx(0.83501, abs=5e-6)
    right = {"B": (100.01949, 0.0), "C": (100.02687, 60.00968), "D": (0.04739, 60.02968), "E": (50.02334, 29.96888)}
    sigmas = {"B": (0.01766, 0.0), "C": (0.01911, 0.01919), "D": (0.02129, 0.01918), "E": (0.01610, 0.02364)}
    for point in done.points[1:]:
        assert point.xy == pytest.approx(right[point.name], abs=6e-6)
        assert (math.sqrt(point.var_east), math.sqrt(point.var_north)) == pytest.approx(sigmas[point.name], abs=6e-6)
    c = done.points[2]
    assert (c.semi_major, c.semi_minor) == pytest.approx((0.02323, 0.01392), abs=5e-6)
    assert math.degrees(c.tilt) == pytest.approx(135.3, abs=0.05)


def test_a_diagonal_read_a_foot_long() -> None:
    done = adjust(_net(SIDES | SPOKES | {"AC": 117.65}))
    assert done.weighted_squares == pytest.approx(1183.25, abs=0.005)
    assert done.passes is False
    [suspect] = done.suspects
    assert suspect.index == 4
    assert suspect.alone
    assert suspect.by == pytest.approx(1.006, abs=5e-4)
    assert abs(done.fits[4].test or 0.0) == max(abs(fit.test or 0.0) for fit in done.fits)
    assert abs(done.fits[4].test or 0.0) == pytest.approx(34.39, abs=0.005)
    assert done.without is not None
    assert done.without.weighted_squares == pytest.approx(0.78871, abs=5e-6)
    assert done.without.fits[4].adjusted == pytest.approx(116.6437, abs=5e-5)


def test_robust_losses_on_that_diagonal() -> None:
    net = _net(SIDES | SPOKES | {"AC": 117.65})
    cauchy, huber = robust(net, "cauchy"), robust(net, "huber")
    assert cauchy.places["C"] == pytest.approx((100.0232, 60.0093), abs=6e-5)
    assert cauchy.residuals[4] == pytest.approx(-1.006, abs=5e-4)
    assert huber.places["C"] == pytest.approx((100.0556, 60.0150), abs=6e-5)
    assert min(huber.weights) == huber.weights[4]


PINS = {"A": (0.0, 0.0), "B": (200.0, 0.0), "C": (60.0, 150.0)}


def _tied(to_c: float) -> Adjusted:
    points = tuple(NetPoint(name, xy, True) for name, xy in PINS.items())
    tapes = {"A": 114.03, "B": 130.40, "C": to_c}
    read = tuple(Observation("distance", (name, "P"), length, 0.03) for name, length in tapes.items())
    return adjust(Network((*points, NetPoint("P", (90.0, 70.0))), read))


def test_a_point_tied_by_three_tapes() -> None:
    done = _tied(85.42)
    p = done.points[3]
    assert p.xy == pytest.approx((89.99720, 70.02214), abs=6e-6)
    assert done.weighted_squares == pytest.approx(0.0076, abs=5e-5)
    assert (p.semi_major, p.semi_minor) == pytest.approx((0.02739, 0.02236), abs=5e-6)
    assert math.degrees(p.tilt) == pytest.approx(49.0, abs=0.05)


def test_three_tapes_one_of_them_wrong() -> None:
    """All |w| are 4.358: something is wrong, and nothing says which tape."""
    done = _tied(85.62)
    assert done.points[3].xy == pytest.approx((90.02154, 69.90531), abs=6e-6)
    assert done.weighted_squares == pytest.approx(18.99, abs=0.005)
    assert done.passes is False
    assert [abs(fit.test or 0.0) for fit in done.fits] == pytest.approx([4.358] * 3, abs=5e-4)
    assert not done.suspects[0].alone
    assert done.suspects[0].among == (0, 1, 2)


def test_factors() -> None:
    """95 % factors with the sigma estimated from 1, 2, 3, 5, 10 degrees of freedom, from tables of F; and known."""
    factors = [ellipse_factor(dof) for dof in (1, 2, 3, 5, 10)]
    assert factors == pytest.approx([19.98, 6.164, 4.371, 3.402, 2.865], abs=0.006)
    assert ellipse_factor() == pytest.approx(2.4477, abs=5e-5)


def test_residual_screen() -> None:
    """Sigma 4.0 seconds of 9 degrees of freedom: Student's t for 95 and 99 %."""
    assert residual_limit(4.0, 9) == pytest.approx(9.05, abs=0.005)
    assert residual_limit(4.0, 9, 0.99) == pytest.approx(13.0, abs=0.05)
