"""Distances from a line and how well they are known, judged by simulation with numpy and by shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from palewright.plane import Side, side_between, side_points
from palewright.survey import (
    crossing_chance,
    inset_for_risk,
    line_offset,
    nearest_sides,
    offset_rows,
    propagate,
    record_line_sigma,
    share_sigma,
    string_sigma,
)

FT = 0.3048
A, B = (3.0, 1.0), (31.0, 9.0)
DRAWS = 40_000


def spread(values: np.ndarray) -> float:
    return float(np.std(values))


def covariance(rng: np.random.Generator, size: int) -> np.ndarray:
    """Of correlated coordinates, centimetres."""
    half = rng.normal(0.0, 0.004, (size, size))
    return half @ half.T


@pytest.mark.parametrize("share", [0.0, 0.3, 0.8, 1.0])
def test_spread_of_a_distance_from_a_straight_side(share):
    rng = np.random.default_rng(7)
    a, b = np.array(A), np.array(B)
    normal = np.array([-(b - a)[1], (b - a)[0]]) / np.linalg.norm(b - a)
    foot = a + share * (b - a)
    point = foot + 0.4 * normal
    cov = covariance(rng, 6)
    rows = np.hstack(offset_rows(point[None], foot[None], Side(A, B)))
    sigma = propagate(rows, cov)[0]
    drawn = rng.multivariate_normal(np.concatenate((point, a, b)), cov, DRAWS)
    p, start, end = drawn[:, :2], drawn[:, 2:4], drawn[:, 4:]
    d = end - start
    off = (d[:, 0] * (p - start)[:, 1] - d[:, 1] * (p - start)[:, 0]) / np.hypot(d[:, 0], d[:, 1])
    assert spread(off) == pytest.approx(sigma, rel=0.02)
    assert line_offset(tuple(point), A, B, cov).sigma == pytest.approx(sigma, rel=1e-9)


@pytest.mark.parametrize(("sweep", "turn"), [(1.2, 0.5), (1.2, 0.1), (-2.2, 0.8)])
def test_spread_of_a_distance_from_an_arc_that_keeps_its_central_angle(sweep, turn):
    """The centre of each drawn arc is found from its chord: middle + chord turned / (2 tan(sweep / 2))."""
    rng = np.random.default_rng(8)

    def circle(start: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        chord = end - start
        left = np.stack((-chord[..., 1], chord[..., 0]), axis=-1)
        size = np.hypot(chord[..., 0], chord[..., 1])
        return (start + end) / 2 + left / (2 * math.tan(sweep / 2)), size / (2 * abs(math.sin(sweep / 2)))

    a, b = np.array(A), np.array(B)
    centre, radius = circle(a, b)
    out = math.atan2(*(a - centre)[::-1]) + sweep * turn
    ray = np.array([math.cos(out), math.sin(out)])
    point, foot = centre + ray * (radius - 0.5), centre + ray * radius
    cov = covariance(rng, 6)
    sigma = propagate(np.hstack(offset_rows(point[None], foot[None], side_between(A, B, sweep))), cov)[0]
    drawn = rng.multivariate_normal(np.concatenate((point, a, b)), cov, DRAWS)
    centres, radii = circle(drawn[:, 2:4], drawn[:, 4:])
    off = radii - np.hypot(*(drawn[:, :2] - centres).T)
    assert spread(off) == pytest.approx(sigma, rel=0.02)


def test_nearest_side_agrees_with_shapely():
    ring = [side_between((0, 0), (40, 0), 0.9), Side((40, 0), (45, 30)), side_between((45, 30), (0, 28), -0.7)]
    ring.append(Side((0.0, 28.0), (0.0, 0.0)))
    lines = [shapely.LineString(side_points(side, 1e-7)) for side in ring]
    points = np.random.default_rng(9).uniform(-15, 60, (400, 2))
    found = nearest_sides(points, ring)
    far = np.array([[line.distance(shapely.Point(p)) for line in lines] for p in points])
    assert found.far == pytest.approx(far.min(axis=1), abs=1e-5)
    second = np.sort(far, axis=1)[:, 1]
    clear = second - far.min(axis=1) > 1e-4
    assert clear.sum() > 250
    assert (found.side[clear] == far.argmin(axis=1)[clear]).all()
    assert np.hypot(*(points - found.foot).T) == pytest.approx(found.far, abs=1e-12)


def test_a_line_at_the_limit_of_the_standard():
    """0.07 ft + 50 ppm of 100 ft is 0.075 ft; by 2.4477 that is 0.03064 ft, and with a tape of 0.02 ft 0.0366 ft."""
    line = record_line_sigma(100 * FT) / FT
    assert line == pytest.approx(0.075 / 2.4477, rel=1e-4)
    assert math.hypot(line, 0.02) == pytest.approx(0.0366, abs=5e-5)


def test_a_mark_on_a_string_by_simulation():
    """A string at 30 degrees to the line, its ends set to 2 and 1 cm, a mark taped to 3 cm and 5 mm beside it."""
    rng = np.random.default_rng(10)
    turn, v = math.radians(30.0), 0.25
    u, w = np.array([math.cos(turn), math.sin(turn)]), np.array([-math.sin(turn), math.cos(turn)])
    ends = rng.normal(0, 1, (2, DRAWS, 2)) * np.array([0.02, 0.01])[:, None, None]
    place = (1 - v) * ends[0] + v * ends[1]
    place += rng.normal(0, 0.03, DRAWS)[:, None] * u + rng.normal(0, 0.005, DRAWS)[:, None] * w
    along = np.array([math.sin(turn)])
    sigma = math.hypot(
        share_sigma(np.array([v]), np.array([0.02]), np.array([0.01]))[0],
        string_sigma(along, 0.005, np.array([0.03]))[0],
    )
    assert spread(place[:, 1]) == pytest.approx(sigma, rel=0.02)


@given(st.floats(0.001, 2.0), st.floats(0.0, 1.0), st.floats(0.001, 0.5))
def test_chance_falls_with_the_inset(inside, more, sigma):
    assert crossing_chance(inside + more, sigma) <= crossing_chance(inside, sigma) <= 0.5


@given(st.floats(0.001, 2.0), st.floats(0.001, 0.5), st.floats(0.0, 1.0))
def test_chance_of_what_stands_inside_rises_with_the_spread(inside, sigma, more):
    assert crossing_chance(inside, sigma + more) >= crossing_chance(inside, sigma)


@given(st.floats(1e-4, 0.49), st.floats(0.001, 5.0))
def test_the_inset_for_a_risk_has_that_chance(risk, sigma):
    assert crossing_chance(inset_for_risk(risk, sigma), sigma) == pytest.approx(risk, rel=1e-6)


def test_what_makes_no_sense_is_refused():
    one = np.zeros((1, 2))
    for call in (
        lambda: nearest_sides(one, []),
        lambda: nearest_sides(np.zeros(2), [Side(A, B)]),
        lambda: offset_rows(one, one, Side(A, A)),
        lambda: propagate(one, np.eye(3)),
        lambda: record_line_sigma(-1.0),
        lambda: share_sigma(np.zeros(1), -np.ones(1), np.ones(1)),
        lambda: string_sigma(np.zeros(1), -1.0, np.ones(1)),
    ):
        with pytest.raises(ValueError):
            call()
