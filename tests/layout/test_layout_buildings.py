"""Fences and the buildings on the site: posts inside one, walls met and walked along."""

from __future__ import annotations

import pytest
from tests.layout.yard_builder import FT, kind, lay, points, run

from palewright.errors import JobError, Where
from palewright.model import EndSpec


def house(*corners_ft):
    return (("house", tuple((x * FT, y * FT) for x, y in corners_ft)),)


BOX = house((15, -10), (15, 12), (35, 12), (35, -10))
ENDS = points(A=(0, 0), B=(56, 0))


def through(design):
    return [dict(r.args) for r in design.remarks if r.slug == "fence-through-building"]


@pytest.mark.parametrize("turn", [1, -1])
def test_posts_inside_a_building_are_a_problem_with_where_its_walls_are(turn):
    # 56 ft in seven bays of 8: posts at 16, 24 and 32 ft stand in a house from 15 to 35 ft
    where = Where("job.yaml", 7, 3)
    buildings = tuple((name, outline[::turn]) for name, outline in BOX)
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", at=where)], ENDS, buildings=buildings)
    (problem,) = error.value.problems
    assert (problem.slug, problem.where) == ("post-in-building", where)
    assert problem.what == "posts of run r would stand inside building house"
    assert (
        problem.found == "3 posts inside house, at 16' 0\", 24' 0\", 32' 0\" along the run, up to 9' 0\" from its wall"
    )
    assert problem.hint.endswith("the run meets the outline at 15' 0\", 35' 0\" along it")


def test_one_post_and_a_shared_corner_are_told_once():
    places = points(A=(0, 0), B=(16, 0), C=(16, 40))
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B"), run("s", "B", "C")], places, buildings=house((10, -5), (10, 5), (20, 5), (20, -5)))
    (problem,) = error.value.problems
    assert problem.found.startswith("1 post inside house, at 16' 0\" along the run")
    assert problem.hint.endswith("the run meets the outline at 10' 0\" along it")


def test_a_fence_through_a_building_between_two_posts_is_a_caution():
    shed = house((17, -3), (17, 3), (23, 3), (23, -3))
    assert through(lay([run("r", "A", "B")], ENDS, buildings=shed)) == [
        {"run": "r", "building": "house", "length_m": pytest.approx(6 * FT)}
    ]


@pytest.mark.parametrize("how", ["bracket", "post", "post at wall", "post clear"])
@pytest.mark.parametrize("slip", [0.0, 0.02, 0.04])
def test_an_end_at_a_wall_is_fine(how, slip):
    # the wall as measured may lie a little before the point where the run ends
    wall = house((56 - slip, -20), (56 - slip, 20), (80, 20), (80, -20))
    design = lay([run("r", "A", "B", ends=(EndSpec("B", how),))], ENDS, buildings=wall)
    assert through(design) == []


def test_a_fence_along_a_wall_is_fine_and_one_deep_behind_it_is_not():
    wall = house((-5, 0), (-5, 20), (60, 20), (60, 0))
    assert through(lay([run("r", "A", "B")], ENDS, buildings=wall)) == []
    behind = points(A=(0, 0.1), B=(56, 0.1))
    assert through(lay([run("r", "A", "B")], behind, buildings=wall)) == []
    deep = points(A=(0, 1), B=(56, 1))
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B")], deep, buildings=wall)
    assert error.value.problems[0].found.startswith("8 posts inside house")


def test_a_post_is_at_the_wall_up_to_half_its_section():
    # 3 1/2 in posts: 1 3/4 in and the 1 mm for rounding
    wall = house((-5, 0), (-5, 20), (60, 20), (60, 0))
    for inches, sound in ((1.75, True), (1.80, False)):
        line = points(A=(0, inches / 12), B=(56, inches / 12))
        if sound:
            assert kind().post("line").width_m / 2 == pytest.approx(1.75 * FT / 12)
            lay([run("r", "A", "B")], line, buildings=wall)
        else:
            with pytest.raises(JobError):
                lay([run("r", "A", "B")], line, buildings=wall)
