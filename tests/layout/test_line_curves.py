"""Curves of a line of wire: bays by radius, chords, posts that stand first where a curve begins and ends."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.layout.wire_builder import FT, laid, planned, rules

from palewright.layout.line import Role
from palewright.layout.line_ground import Way
from palewright.layout.line_posts import post_table
from palewright.layout.line_records import relaid


def curved(radius_ft: float, turn_deg: float, step_deg: float, tangent_ft: float = 300.0) -> Way:
    """A tangent, an arc to the left in chords, and a tangent."""
    radius, turn = radius_ft * FT, math.radians(turn_deg)
    centre = np.array([tangent_ft * FT, radius])
    angles = np.linspace(0.0, turn, round(turn_deg / step_deg) + 1)
    arc = centre + radius * np.column_stack([np.sin(angles), -np.cos(angles)])
    far = arc[-1] + tangent_ft * FT * np.array([math.cos(turn), math.sin(turn)])
    return Way.of(np.vstack([[0.0, 0.0], arc, far]))


@pytest.mark.parametrize(("radius_ft", "bay_ft"), [(600, 16.5), (500, 10), (300, 8), (150, 6), (60, 5)])
def test_bays_on_a_curve_are_those_of_its_radius(radius_ft: float, bay_ft: float) -> None:
    plan = planned(curved(radius_ft, 60.0, 2.0), rules())
    (curve,) = plan.curves
    assert curve.radius_m == pytest.approx(radius_ft * FT, abs=1e-3)
    assert curve.bay_m == pytest.approx(bay_ft * FT)
    assert math.degrees(curve.turn) == pytest.approx(60.0)
    assert curve.from_m == pytest.approx(300.0 * FT)
    on = [one for one in plan.stretches if one.from_m >= curve.from_m - 0.01 and one.to_m <= curve.to_m + 0.01]
    assert on
    assert all(one.bays == math.ceil(one.along_m / (bay_ft * FT) - 1e-6) for one in on)
    off = [one for one in plan.stretches if one.to_m <= curve.from_m + 0.01 or one.from_m >= curve.to_m - 0.01]
    assert len(on) + len(off) == len(plan.stretches)
    assert [post.label for post in plan.fixed] == ["S1", "S2"]


@given(st.floats(60.0, 900.0), st.floats(20.0, 150.0), st.floats(0.4, 2.0))
def test_no_post_of_a_curve_stands_farther_off_than_its_chords(radius: float, turn: float, step: float) -> None:
    """Every post lies on a chord of the path, so off the arc by no more than its chord's mid-ordinate."""
    way = curved(radius, turn, step)
    line = laid(way, rules())
    (curve,) = line.curves
    table = post_table(line, rules())
    low, high = way.at[[curve.first, curve.last]]
    on = table[(table["station_m"] > low) & (table["station_m"] < high)]
    away = np.hypot(on["x_m"] - 300.0 * FT, on["y_m"] - radius * FT)
    chord = np.diff(way.at)[curve.first]
    assert (away <= radius * FT + 1e-6).all()
    assert (away >= math.sqrt((radius * FT) ** 2 - chord**2 / 4.0) - 1e-6).all()


def test_the_side_of_the_wire_is_the_outside_of_the_curve() -> None:
    way = curved(300.0, 40.0, 2.0)
    assert [one.outside for one in planned(way, rules()).curves] == ["right"]
    mirrored = Way.of(way.xy * np.array([1.0, -1.0]))
    plan = planned(mirrored, rules())
    assert [one.outside for one in plan.curves] == ["left"]
    assert "line-curve-left" in {remark.slug for remark in plan.remarks}


def test_a_few_bends_far_apart_are_no_curve() -> None:
    plan = planned(Way.of(np.array([[0, 0], [100, 0], [200, 5], [300, 15], [400, 30.0]])), rules())
    assert not plan.curves
    assert all(one.spacing_m > 4.0 for one in plan.stretches)


def test_bends_of_a_curve_are_not_braced_where_every_bend_is() -> None:
    """FG2 braces every change of direction; a curve that is drawn in short chords is no row of them."""
    line = laid(curved(300.0, 40.0, 1.0), rules(rules="fg2 mild"))
    assert len(line.curves) == 1
    assert not (line.role == Role.ANCHOR).any()
    assert not (line.role == Role.CORNER).any()


def test_a_curve_is_laid_out_again_from_its_record() -> None:
    plan = planned(curved(150.0, 90.0, 2.0), rules())
    assert len(post_table(relaid(plan), plan.rules)) == sum(one.bays - 1 for one in plan.stretches) + len(
        plan.fixed
    ) + sum(len(one.posts) for one in plan.assemblies)


def test_how_far_wire_turns_between_two_braced_posts_is_asked_where_nobody_says_it() -> None:
    plan = planned(curved(300.0, 60.0, 2.0), rules(rules="virginia 2007"))
    (said,) = [remark for remark in plan.remarks if remark.slug == "line-curve-ask"]
    assert said.level == "ask"
    assert dict(said.args)["degrees"] == 60


def test_a_document_that_braces_every_change_of_direction_is_against_a_curve() -> None:
    plan = planned(curved(300.0, 60.0, 2.0), rules(rules="fg2 mild"))
    (said,) = [remark for remark in plan.remarks if remark.slug == "line-curve-against"]
    assert dict(said.args)["source"] == "fg2"


@given(st.floats(8.0, 90.0), st.floats(20.0, 150.0), st.floats(150.0, 900.0))
def test_no_pull_turns_more_than_wire_may(most: float, turn: float, radius: float) -> None:
    """Turns are added up here from the corners of the path between the middles of neighbouring assemblies."""
    way = curved(radius, turn, 1.0)
    which = rules(curve_turn=f"{most}°")
    plan = planned(way, which)
    bends = np.abs(np.degrees(np.diff(np.unwrap(np.arctan2(*np.diff(way.xy, axis=0).T[::-1])))))
    at = way.at[1:-1]
    stations = [one.station_m for one in plan.assemblies]
    for a, b in itertools.pairwise(stations):
        inside = bends[(at > a + 1e-6) & (at < b - 1e-6)].sum()
        assert inside <= most + bends.max() + 1e-6
    if turn > most:
        ends = np.array(stations)
        for tip in (plan.curves[0].from_m, plan.curves[0].to_m):
            assert np.abs(ends - tip).min() < 1e-6
    assert max(plan.pulls_m) <= 330 * FT + 8 * FT + 1e-6
