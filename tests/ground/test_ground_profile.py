"""Profiles laid from several sources, and the plain functions on them."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.ground import (
    Grid,
    Pieces,
    Source,
    lay,
    line_pieces,
    surface_pieces,
    tin,
)

PATH = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]])
TENTH = np.full(2, 0.01)


def shots(*rows: tuple[float, float], sigma: float = 0.01) -> Pieces:
    s, z = np.array(rows, dtype=float).T
    return line_pieces(s, z, np.full(len(s), sigma))


def test_what_is_trusted_more_goes_first_and_the_rest_is_filled() -> None:
    laid = lay("rear", PATH, [Source("drops", shots((5, 1), (8, 2))), Source("spots", shots((0, 0), (12, 2.4)))])
    assert laid.profile is not None
    assert laid.profile.how == ("drops", "spots")
    assert np.interp(np.array([0.0, 4.9, 6.5, 10.0]), laid.profile.stations_m, laid.profile.heights_m) == pytest.approx(
        [0.0, 0.98, 1.5, 2.0]
    )
    (one,) = laid.conflicts  # at station 8 the two differ by 2.0 - 1.6
    assert (one.taken, one.left, one.most_m, one.at_m) == ("drops", "spots", pytest.approx(-0.4), 8.0)
    assert [(u.from_m, u.to_m, u.why) for u in laid.unknown] == [(12.0, 20.0, "not-measured")]
    assert laid.profile.heights_m[-1] == laid.profile.heights_m[-2] == 2.4
    (jump,) = laid.jumps
    assert (jump.at_m, jump.rise_m, jump.wall) == (8.0, pytest.approx(-0.4), False)


def test_sources_that_agree_are_no_conflict() -> None:
    laid = lay(
        "rear", PATH, [Source("drops", shots((0, 0), (10, 1))), Source("grid", shots((0, 0.5), (20, 2.5), sigma=0.3))]
    )
    assert laid.conflicts == ()
    assert laid.unknown == ()


def test_a_run_that_nothing_reaches_has_no_profile() -> None:
    far = tin(np.array([[100, 100, 1], [110, 100, 1], [100, 110, 1.0]]), 0.1)
    laid = lay("rear", PATH, [Source("spots", surface_pieces(far, PATH))], [far])
    assert laid.profile is None
    assert [(u.from_m, u.to_m, u.why) for u in laid.unknown] == [(0.0, 20.0, "outside")]


def test_a_hole_in_the_data_is_named_and_crossed_straight() -> None:
    values = np.tile(np.arange(12.0), (3, 1))
    values[:, 5] = np.nan
    grid = Grid(values, (1.0, 0.0, -0.5, 0.0, -1.0, 1.5), 0.1)
    path = np.array([[0.0, 0.0], [11.0, 0.0]])
    laid = lay("rear", path, [Source("grid", surface_pieces(grid, path))], [grid])
    assert [(u.from_m, u.to_m, u.why) for u in laid.unknown] == [(4.0, 6.0, "no-data")]
    assert laid.profile is not None
    assert np.interp([5.0], laid.profile.stations_m, laid.profile.heights_m) == pytest.approx([5.0])


def test_a_wall_in_a_surface_stays_and_is_told() -> None:
    points = np.array([[0, -5, 0], [5, -5, 0], [5, 5, 0], [0, 5, 0], [5, -5, 2], [10, -5, 2], [10, 5, 2], [5, 5, 2.0]])
    faces = np.array([[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])
    path = np.array([[0.0, 0.0], [10.0, 0.0]])
    terrace = tin(points, 0.02, faces, "surface")
    laid = lay("rear", path, [Source("surface", surface_pieces(terrace, path))], [terrace])
    assert [(j.at_m, j.rise_m, j.wall) for j in laid.jumps] == [(5.0, 2.0, True)]
    assert laid.profile is not None
    z = np.interp([4.999, 5.002], laid.profile.stations_m, laid.profile.heights_m)
    assert z == pytest.approx([0.0, 2.0])
    assert (np.diff(laid.profile.stations_m) > 0.0).all()


@settings(max_examples=50)
@given(
    st.lists(st.tuples(st.floats(0, 20), st.floats(-3, 3)), min_size=2, max_size=8),
    st.lists(st.tuples(st.floats(0, 20), st.floats(-3, 3)), min_size=2, max_size=8),
)
def test_a_profile_is_whole_and_says_what_its_sources_say(
    one: list[tuple[float, float]], two: list[tuple[float, float]]
) -> None:
    lines = []
    for rows in (one, two):
        kept = {round(s, 2): z for s, z in rows}
        lines.append(shots(*sorted(kept.items())) if len(kept) > 1 else shots((0, 0), (1, 1)))
    laid = lay("rear", PATH, [Source("drops", lines[0]), Source("spots", lines[1])])
    profile = laid.profile
    assert profile is not None
    s = np.array(profile.stations_m)
    assert (s[0], s[-1]) == (0.0, 20.0)
    assert (np.diff(s) > 0.0).all()
    at = np.linspace(0.0, 20.0, 401)
    known = [(at >= p.start[0]) & (at <= p.end[-1]) for p in lines]
    truth = [np.interp(at, np.append(p.start, p.end[-1]), np.append(p.z0, p.z1[-1])) for p in lines]
    edges = np.array([0.0, 20.0, *(edge for p in lines for edge in (p.start[0], p.end[-1]))])
    clear = np.abs(at[:, None] - edges).min(axis=1) > 0.002
    z = np.interp(at, profile.stations_m, profile.heights_m)
    for mine, wanted in ((known[0], truth[0]), (known[1] & ~known[0], truth[1])):
        assert np.allclose(z[mine & clear], wanted[mine & clear], atol=1e-6)  # two heights a micron apart are one
    named = np.zeros(len(at), dtype=bool)
    for u in profile.unknown:
        named |= (at > u.from_m) & (at < u.to_m)
    short = np.zeros(len(at), dtype=bool)  # less than half a post hole of 12 in between edges of what is known
    for a, b in itertools.pairwise(np.unique(edges)):
        short |= (at > a) & (at < b) & (b - a <= 6 * 0.0254)
    assert np.array_equal(named[clear], (~(known[0] | known[1]) & ~short)[clear])


@pytest.mark.parametrize(("short", "named"), [(0.15, False), (0.16, True)])
def test_ground_is_known_half_a_post_hole_beyond_the_last_height(short: float, named: bool) -> None:
    """6 in of a hole of 12 in: a spot a hand short of the corner does not leave a whole bay in the dark."""
    path = np.array([[0.0, 0.0], [20.0, 0.0]])
    laid = lay("rear", path, [Source("spots", shots((short, 1.0), (20 - short, 2.0)))])
    assert bool(laid.unknown) == named
    assert laid.profile is not None
    assert (laid.profile.stations_m[0], laid.profile.heights_m[0]) == (0.0, 1.0)
    assert (laid.profile.stations_m[-1], laid.profile.heights_m[-1]) == (20.0, 2.0)
