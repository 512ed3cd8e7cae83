"""A ranch boundary of 40 km in woven wire over the Jacksboro fault: the DEM that matplotlib ships (SRTM, 344 x 403 cells).

Every post is compared with the DEM as scipy reads it, every bay with the rule, every pull with the roll. Counts are told
against the lengths along the ground, not against earlier output.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.ndimage import map_coordinates
from scipy.signal import find_peaks
from tests.layout.wire_builder import FT, rules
from tests.open_data import jacksboro

from palewright.ground import Grid, surface_pieces
from palewright.layout.line import Role, lay_line
from palewright.layout.line_ground import Way
from palewright.layout.line_posts import post_table
from palewright.layout.line_records import line_plan, relaid
from palewright.model import LinePlan, Profile
from palewright.supply.draft import Draft
from palewright.supply.line import take_lines, wire_rolls

EAST, NORTH = 74.6, 92.5
PATH = np.array([[4000, 4000], [14000, 5500], [17500, 14000], [9000, 17000], [3500, 12500], [4000, 4000.0]])


@pytest.fixture(scope="module")
def heights() -> np.ndarray:
    return jacksboro()


@pytest.fixture(scope="module")
def ranch(heights: np.ndarray) -> LinePlan:
    grid = Grid(heights, (EAST, 0.0, 0.0, 0.0, -NORTH, 344 * NORTH), 3.0)
    over = surface_pieces(grid, PATH)
    station, height = np.append(over.start, over.end[-1]), np.append(over.z0, over.z1[-1])
    profile = Profile("ranch", tuple(station.tolist()), tuple(height.tolist()), (3.0,) * len(station), ("grid",))
    which = rules(rules="tennessee 2002, iowa dot 2519", brace="by pull", dip=3 * FT)
    way = Way.of(PATH, station, height)
    return line_plan("ranch", lay_line(way, True, [], which), which, (), True, profile)


def test_every_post_stands_on_the_dem(ranch: LinePlan, heights: np.ndarray) -> None:
    table = post_table(relaid(ranch), ranch.rules)
    row = (344 * NORTH - table["y_m"]) / NORTH - 0.5
    wanted = map_coordinates(heights, [row, table["x_m"] / EAST - 0.5], order=1)
    assert np.abs(table["ground_m"] - wanted).max() < 0.002
    assert len(table) > 9_000


def test_bays_and_pulls_keep_the_rules(ranch: LinePlan) -> None:
    assert 39_000 < ranch.length_m < ranch.along_m
    assert max(one.spacing_m for one in ranch.stretches) <= 14 * FT + 1e-9
    table = post_table(relaid(ranch), ranch.rules)
    gaps = np.diff(table["along_m"])
    assert gaps.max() <= 14 * FT + 1e-9
    assert gaps.sum() + ranch.along_m - table["along_m"][-1] == pytest.approx(ranch.along_m)
    assert [one.role for one in ranch.assemblies].count("corner") == 5
    sides = [ranch.along_m]
    at = [0.0, *np.cumsum(np.hypot(*np.diff(PATH, axis=0).T))]
    station, height = np.array(ranch.profile.stations_m), np.array(ranch.profile.heights_m)  # type: ignore[union-attr]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(station), np.diff(height)))])
    sides = np.diff(np.interp(at, station, along)).tolist()
    pulls = sum(math.ceil(side / (330 * FT)) - 1 for side in sides)
    assert [one.role for one in ranch.assemblies].count("pull") == pulls
    assert ranch.count("rail") == pulls + 2 * 5
    assert len(ranch.pulls_m) == pulls + 5


def test_dips_are_held_down_where_the_ground_is_low(ranch: LinePlan) -> None:
    """Dips are the minima of the profile that scipy finds 3 ft prominent, less those beside another fixed post."""
    table = post_table(relaid(ranch), ranch.rules)
    assert ranch.profile is not None
    station, height = np.array(ranch.profile.stations_m), np.array(ranch.profile.heights_m)
    found = station[find_peaks(-height, prominence=3 * FT)[0]]
    low = table["station_m"][table["role"] == Role.LOW]
    assert len(low) == ranch.count("low") >= 0.8 * len(found)
    assert np.abs(low[:, None] - found).min(axis=1).max() < 0.01
    fixed = table["station_m"][np.isin(table["role"], [Role.CORNER, Role.PULL, Role.BRACE, Role.LOW, Role.HIGH])]
    left_out = [at for at in found if np.abs(low - at).min() > 0.01]
    assert all(np.abs(fixed - at).min() < 14 * FT for at in left_out)


def test_rolls_reach_round(ranch: LinePlan) -> None:
    draft = Draft()
    take_lines(draft, [ranch])
    bought = {item.what: item for item in draft.items}
    woven = bought["woven-wire"]
    wire = math.fsum(ranch.pulls_m) + len(ranch.pulls_m) * 4 * FT
    assert woven.buy * 330 * FT >= wire + (woven.buy - 1) * FT > (woven.buy - 1) * 330 * FT - FT
    rolls = [roll for roll in wire_rolls(ranch) if roll.what == "woven-wire"]
    assert len(rolls) == woven.buy
    apart = np.diff([roll.station_m for roll in rolls])
    assert (apart > 0.0).all()
    assert apart.max() < 340 * FT
    assert bought["steel-post"].need + bought["wood-line-post"].need > 9_000
