"""Runs of wire on the screen: stretches, one of them from the side, and line posts where somebody looks."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

from palewright import plan
from palewright.drafting import posts_near, read_job, sight, stretch_side
from palewright.model import Plan
from palewright.plane import path_place, path_stations, point_path_distance

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
FILES = ("field-fence-virginia", "field-fence-tennessee")
FAR = (-1e4, -1e4, 1e4, 1e4)


@pytest.fixture(params=FILES)
def made(request: pytest.FixtureRequest) -> Plan:
    return plan.make_plan(read_job((EXAMPLES / f"{request.param}.yaml").read_text("utf-8")), search_cuts=False)


def test_a_stretch_from_the_side_has_its_bays_between_its_posts(made: Plan) -> None:
    """Equal bays between two posts that stand: so many posts as bays and one, each as far from the next."""
    for line in made.lines:
        for one in line.stretches:
            seen = stretch_side(made, f"stretch {line.run} {one.number}")
            assert seen is not None
            assert len(seen.bays) == one.bays
            assert len(seen.posts) == one.bays + 1
            assert seen.length == pytest.approx(one.to_m - one.from_m)
            gaps = {round(b.at - a.at, 6) for a, b in pairwise(seen.posts)}
            assert len(gaps) == 1
            driven = sum(post.hole is None for post in seen.posts[1:-1])
            assert (len(seen.posts) - 2 - driven, driven) == (one.wood, one.steel)
            assert {seen.posts[0].id, seen.posts[-1].id} == {
                f"post {label} of {line.run}" for label in (one.start, one.end)
            }


def test_stretches_and_gates_lie_along_their_run_end_to_end() -> None:
    shown = sight((EXAMPLES / f"{FILES[0]}.yaml").read_text("utf-8"))
    stretches = [item for item in shown.items if item.kind == "stretch"]
    path = next(item.points for item in shown.items if item.kind == "run")
    assert stretches
    for item in stretches:
        assert max(point_path_distance(xy, path) for xy in item.points) < 1e-6
    gate = next(item for item in shown.items if item.kind == "gate")
    assert gate.path.startswith("runs[0].gates[0]")
    assert math.dist(*gate.points) > 16 * 0.3048  # post centres lie beyond the opening


def test_line_posts_are_those_of_the_place_that_is_looked_at(made: Plan) -> None:
    both = posts_near(made, FAR)
    counted = {name: sum(line.count(name) for line in made.lines) for name in ("wood", "steel")}
    assert len(both["steel"]) == counted["steel"]
    assert len(both["wood"]) >= counted["wood"]
    for name in ("wood", "steel"):
        middle = sorted(post.centre for post in both[name])[len(both[name]) // 2][0] + 0.001
        west, east = (posts_near(made, box)[name] for box in ((-1e4, -1e4, middle, 1e4), (middle, -1e4, 1e4, 1e4)))
        assert {post.id for post in west} | {post.id for post in east} == {post.id for post in both[name]}
        assert len(west) + len(east) == len(both[name])
        assert west
        assert east
    path = made.lines[0].path
    assert all(point_path_distance(post.centre, path) < 0.002 for rows in both.values() for post in rows)


def test_a_line_post_has_one_name_on_the_plan_and_from_the_side(made: Plan) -> None:
    """Every post of a stretch that holds no pull is found where somebody looks, at its station, under the same id."""
    there = {post.id: post for rows in posts_near(made, FAR).values() for post in rows}
    seen = 0
    for line in made.lines:
        at = path_stations(line.path)
        for one in line.stretches:
            side = stretch_side(made, f"stretch {line.run} {one.number}")
            assert side is not None
            for post in side.posts[1:-1]:
                assert math.dist(there[post.id].centre, path_place(line.path, at, one.from_m + post.at)) < 0.002
                assert there[post.id].about == side.about
                seen += 1
    assert seen > 50


def test_what_is_no_stretch_has_no_side(made: Plan) -> None:
    assert stretch_side(made, "stretch nowhere 1") is None
    assert stretch_side(made, "post 3") is None
