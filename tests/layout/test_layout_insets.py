"""Runs inside boundary sides: every face, post and footing keeps the inset; checked apart from the code with shapely."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from tests.layout.yard_builder import FT, IN, gate, inset, kind, lay, points, posts_by_role, ring, run

from palewright.errors import JobError
from palewright.model import PostSize, RunSpec
from palewright.plane import signed_area

# The tract of Presidential Proclamation 7647 (117 Stat. 3003), corners by compass rule from its eight calls [N, E in
# survey feet, taken as feet here: only the shape matters]. Non-convex.
TRACT = [
    (0.0, 0.0),
    (84.255, -2.345),
    (83.618, -25.156),
    (183.780, -29.526),
    (183.076, -48.782),
    (81.228, -44.389),
    (81.201, -50.729),
    (0.513, -51.528),
]
YARD = [(0, 0), (0, 100), (150, 100), (150, 0)]


def section(post):
    """A post's outline as a shapely shape."""
    if post.round:
        return shapely.Point(post.xy).buffer(post.width_m / 2, 256)
    c, s = math.cos(post.axis), math.sin(post.axis)
    w, h = post.width_m / 2, post.depth_m / 2
    return shapely.Polygon(
        [
            (post.xy[0] + c * i * w - s * j * h, post.xy[1] + s * i * w + c * j * h)
            for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
    )


def measured(design, corners_ft):
    """Least distance to the boundary of any post, footing edge and fence face, each leg's face line taken whole [m]."""
    line = shapely.LinearRing([(x * FT, y * FT) for x, y in corners_ft])
    lot = shapely.Polygon(line)
    grown = lot.buffer(1e-9)  # a face may touch the line: rounding must not count
    assert all(grown.covers(section(post)) for post in design.posts)
    post = min(section(p).distance(line) for p in design.posts)
    footing = min(shapely.Point(p.xy).distance(line) - p.hole.diameter_m / 2 for p in design.posts)
    return post, footing


def face_distance(design, corners_ft, out_m):
    """Least distance from the fence's outer face to the boundary: the loop of post centres grown outward, mitred [m]."""
    line = shapely.LinearRing([(x * FT, y * FT) for x, y in corners_ft])
    loop = shapely.Polygon([leg.start for leg in design.legs])
    return loop.buffer(out_m, join_style="mitre", mitre_limit=50).exterior.distance(line)


@pytest.mark.parametrize("of", ["face", "post", "footing"])
@pytest.mark.parametrize(
    "corners", [YARD, YARD[::-1], TRACT, TRACT[::-1]], ids=["yard", "yard back", "tract", "tract back"]
)
def test_all_sides_of_a_boundary_keep_the_inset_exactly(of, corners):
    lot = ring(corners)
    loop = RunSpec("all", "fence", sides=tuple(range(1, len(corners) + 1)), closed=True, inset=inset(of, 8))
    design = lay([loop], boundary=lot)
    post, footing = measured(design, corners)
    face = face_distance(design, corners, kind().front_m)
    found = {"face": face, "post": post, "footing": footing}
    assert found[of] == pytest.approx(8 * IN, abs=1e-7)
    assert len(design.posts) == len(design.bays)
    for p in design.posts:
        values = dict(p.inset)
        assert values[of] >= 8 * IN - 1e-7
    assert min(dict(p.inset)["post"] for p in design.posts) == pytest.approx(post, abs=1e-9)
    assert min(dict(p.inset)["footing"] for p in design.posts) == pytest.approx(footing, abs=1e-9)
    assert min(dict(p.inset)["face"] for p in design.posts) == pytest.approx(face, abs=1e-6)


@pytest.mark.parametrize("of", ["face", "post", "footing"])
@pytest.mark.parametrize("corners", [YARD, TRACT], ids=["yard", "tract"])
def test_a_loop_walked_backward_is_the_loop_of_the_boundary_numbered_the_other_way_round(corners, of):
    count = len(corners)
    back = RunSpec("all", "fence", sides=tuple(range(count, 0, -1)), closed=True, inset=inset(of, 8))
    onward = RunSpec("all", "fence", sides=tuple(range(1, count + 1)), closed=True, inset=inset(of, 8))
    one = lay([back], boundary=ring(corners))
    two = lay([onward], boundary=ring([corners[0], *corners[:0:-1]]))
    assert [post.xy for post in one.posts] == [pytest.approx(post.xy, abs=1e-9) for post in two.posts]
    assert [(leg.yard, leg.posts) for leg in one.legs] == [(leg.yard, leg.posts) for leg in two.legs]


def test_the_tract_is_fenced_with_boards_and_one_gate_inside_its_line():
    lot = ring(TRACT)
    loop = RunSpec(
        "all",
        "fence",
        sides=tuple(range(1, 9)),
        closed=True,
        inset=inset("footing", 6),
        gates=(gate("walk", 4, 20, "corner 1"),),
    )
    design = lay([loop], boundary=lot)
    post, footing = measured(design, TRACT)
    assert footing == pytest.approx(6 * IN, abs=1e-7)
    assert post > footing
    assert posts_by_role(design)["gate"] == 2
    assert posts_by_role(design)["corner"] == 8
    assert design.runs[0].trial
    assert all(bay.length_m <= 8 * FT + 1e-9 for bay in design.bays)


def test_yard_side_of_the_fence_faces_the_line_when_the_good_side_is_the_yards():
    lot = ring(YARD)
    loop = RunSpec("all", "fence", sides=(1, 2, 3, 4), closed=True, inset=inset("face", 8))
    thin = kind(good_side="yard", posts=(("line", PostSize("4x4", 3.5 * IN, 3.5 * IN)),))
    design = lay([loop], boundary=lot, kinds={"fence": thin})
    # back 1 3/4 in from the centres, as far as the post face
    assert min(p.xy[0] for p in design.posts) == pytest.approx(9.75 * IN)


def test_an_open_chain_ends_where_the_next_sides_own_inset_line_is_met():
    lot = ring(YARD)
    design = lay([RunSpec("two", "fence", sides=(1, 2), inset=inset("post", 10))], boundary=lot)
    # side 1 runs north along x = 0, side 2 east along y = 100 ft; a 6x6 never stands here, so 1 3/4 in to the face
    d = 11.75 * IN
    assert design.legs[0].start == pytest.approx((d, d))
    assert design.legs[-1].end == pytest.approx((150 * FT - d, 100 * FT - d))
    assert design.runs[0].closed is False


def test_two_runs_by_sides_meet_in_one_post_though_their_kinds_differ():
    lot = ring(YARD)
    thick = kind("thick", front_m=6 * IN)
    runs = [
        RunSpec("a", "fence", sides=(1, 2), inset=inset("face", 8)),
        RunSpec("b", "thick", sides=(3, 4), inset=inset("face", 8)),
    ]
    design = lay(runs, boundary=lot, kinds={"fence": kind(), "thick": thick})
    assert posts_by_role(design).keys() == {"corner", "line"}
    assert len(design.posts) == len(design.bays)


def test_sides_may_be_walked_backwards_and_round_the_first_corner():
    lot = ring(YARD)
    there = lay([RunSpec("r", "fence", sides=(4, 1), inset=inset("post", 10))], boundary=lot)
    back = lay([RunSpec("r", "fence", sides=(1, 4), inset=inset("post", 10))], boundary=lot)
    assert there.legs[0].start == pytest.approx(back.legs[-1].end)
    assert there.legs[0].yard == "right"  # the boundary runs clockwise: the yard is on the right
    assert back.legs[0].yard == "left"


def test_a_point_in_a_straight_boundary_line_ends_a_chain_abreast_of_it():
    lot = ring([(0, 0), (0, 50), (0, 100), (150, 100), (150, 0)])
    design = lay([RunSpec("r", "fence", sides=(1,), inset=inset("post", 10))], boundary=lot)
    assert design.legs[0].end == pytest.approx((11.75 * IN, 50 * FT))


@pytest.mark.parametrize(
    ("sides", "slug"),
    [((1, 3), "sides-not-consecutive"), ((1, 5), "unknown-side"), ((2, 2), "side-taken-twice"), ((0,), "unknown-side")],
)
def test_sides_that_cannot_be(sides, slug):
    with pytest.raises(JobError) as error:
        lay([RunSpec("r", "fence", sides=sides, inset=inset("face", 8))], boundary=ring(YARD))
    assert slug in [problem.slug for problem in error.value.problems]


def test_sides_without_a_boundary():
    with pytest.raises(JobError) as error:
        lay([RunSpec("r", "fence", sides=(1,), inset=inset("face", 8))])
    assert [problem.slug for problem in error.value.problems] == ["no-boundary"]


def test_an_inset_that_eats_a_side_is_told_with_the_side():
    narrow = [(0, 0), (0, 100), (3, 100), (3, 0)]
    with pytest.raises(JobError) as error:
        lay([RunSpec("r", "fence", sides=(1, 2, 3, 4), inset=inset("face", 20))], boundary=ring(narrow))
    problem = error.value.problems[0]
    assert problem.slug == "inset-collapses"
    assert "side 2" in problem.what


# ---------------------------------------------------------------- an inset as a requirement of points


def test_points_too_near_to_the_line_are_told_the_smallest_move():
    places = points(A=(1, 10), B=(1, 90))
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", yard="right", inset=inset("face", 10))], places, boundary=ring(YARD))
    problem = error.value.problems[0]
    assert problem.slug == "inset-too-small"
    # 12 in to the centres, 3 7/8 in to the face: 8 1/8 in, 1 7/8 in short
    assert '8 1/8"' in problem.found
    assert '10"' in problem.allowed
    assert '1 7/8"' in problem.hint
    assert "side 1" in problem.hint


def test_points_far_enough_pass_and_all_three_distances_are_kept():
    places = points(A=(1, 10), B=(1, 90))
    design = lay([run("r", "A", "B", yard="right", inset=inset("face", 8))], places, boundary=ring(YARD))
    values = dict(design.posts[1].inset)
    assert values["face"] == pytest.approx((12 - 3.875) * IN)
    assert values["post"] == pytest.approx((12 - 1.75) * IN)
    assert values["footing"] == pytest.approx((12 - 5) * IN)


def test_a_footing_over_the_line_is_a_caution_with_how_far():
    places = points(A=(0.25, 10), B=(0.25, 90))
    design = lay([run("r", "A", "B", yard="right")], places, boundary=ring(YARD))
    over = {r.slug: dict(r.args)["over_m"] for r in design.remarks if r.slug.endswith("-over-line")}
    assert over == {"face-over-line": pytest.approx(0.875 * IN), "footing-over-line": pytest.approx(2 * IN)}


def over_args(design):
    return {r.slug: dict(r.args) for r in design.remarks if r.slug.endswith("-over-line")}


def test_a_run_that_begins_outside_the_boundary_is_told_of_every_post_outside():
    # side x = 0; posts every 7 1/2 ft from x = -20: three stand outside; the fourth, at 2 1/2 ft, clears it
    lot = ring([(0, 0), (0, 50), (60, 50), (60, 0)])
    over = over_args(lay([run("r", "A", "B")], points(A=(-20, 10), B=(40, 10)), boundary=lot))
    assert over["post-over-line"]["posts"] == "1, 2, 3"
    assert (over["post-over-line"]["count"], over["post-over-line"]["post"]) == (3, "1")
    assert over["post-over-line"]["over_m"] == pytest.approx(20 * FT + 1.75 * IN)
    assert over["footing-over-line"]["posts"] == "1, 2, 3"
    assert over["footing-over-line"]["over_m"] == pytest.approx(20 * FT + 5 * IN)
    assert over["face-over-line"]["posts"] == "1, 2, 3"


def test_a_run_wholly_outside_the_boundary_is_told_of_all_its_posts():
    lot = ring([(0, 0), (0, 50), (60, 50), (60, 0)])
    over = over_args(lay([run("r", "A", "B")], points(A=(10, -3), B=(34, -3)), boundary=lot))
    assert {slug: args["posts"] for slug, args in over.items()} == dict.fromkeys(
        ["face-over-line", "post-over-line", "footing-over-line"], "1, 2, 3, 4"
    )
    assert over["post-over-line"]["over_m"] == pytest.approx(3 * FT + 1.75 * IN)


@st.composite
def lots(draw):
    """Star-shaped lots of 4 to 9 corners, 60 to 150 ft from the middle, so often not convex."""
    n = draw(st.integers(4, 9))
    turns = sorted(draw(st.lists(st.floats(0, 2 * math.pi - 0.01), min_size=n, max_size=n, unique=True)))
    assume(all(b - a > 0.25 for a, b in itertools.pairwise([*turns, turns[0] + 2 * math.pi])))
    assume(max(b - a for a, b in itertools.pairwise([*turns, turns[0] + 2 * math.pi])) < 3.0)
    radii = draw(st.lists(st.floats(60, 150), min_size=n, max_size=n))
    corners = [(r * math.cos(t), r * math.sin(t)) for r, t in zip(radii, turns, strict=True)]
    return corners[::-1] if draw(st.booleans()) else corners


@pytest.mark.parametrize("bend_ft", [0.0, 1e-9, 0.001, 0.05, 0.5, 3.0, -0.001, -0.5, -3.0])
@pytest.mark.parametrize("of", ["face", "post", "footing"])
def test_a_corner_that_hardly_turns_keeps_the_inset_beside_it(bend_ft, of):
    # the slanting side makes a corner post reach farther, so the two nearly straight sides ask different offsets
    lot = ring([(0, 0), (bend_ft, 50), (0, 100), (130, 140), (150, 0)])
    loop = RunSpec("all", "fence", sides=(1, 2, 3, 4, 5), closed=True, inset=inset(of, 8))
    design = lay([loop], boundary=lot)
    middle = design.legs[1].start
    assert math.dist(middle, (bend_ft * FT, 50 * FT)) < 1.1 * (8 + 5 + 4) * IN
    for post in design.posts:
        assert dict(post.inset)[of] >= 8 * IN - 1e-7
    for sides in ((1,), (2,), (2, 3)):
        part = lay([RunSpec("part", "fence", sides=sides, inset=inset(of, 8))], boundary=lot)
        assert all(dict(post.inset)[of] >= 8 * IN - 1e-7 for post in part.posts)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(lots(), st.sampled_from(["face", "post", "footing"]), st.floats(0, 24))
def test_any_lot_keeps_any_inset(corners, of, inches):
    lot = ring(corners)
    assert lot.clockwise == (signed_area(corners) < 0)
    loop = RunSpec("all", "fence", sides=tuple(range(1, len(corners) + 1)), closed=True, inset=inset(of, inches))
    design = lay([loop], boundary=lot)
    post, footing = measured(design, corners)
    asked = inches * IN
    if of == "post":
        assert post >= asked - 1e-7
    if of == "footing":
        assert footing >= asked - 1e-7
    if of == "face":
        assert face_distance(design, corners, kind().front_m) >= asked - 1e-6
    for p in design.posts:
        assert dict(p.inset)[of] >= asked - 1e-6


@st.composite
def chains(draw):
    """A lot with some corners that hardly turn, one chain of its sides either way round, and maybe a run on the rest."""
    corners = draw(lots())
    bent = []
    for a, b in itertools.pairwise([*corners, corners[0]]):
        bent.append(a)
        if draw(st.booleans()):
            along, off = draw(st.floats(0.2, 0.8)), draw(st.sampled_from([0, 1e-6, 1e-3, 0.1, 1, -1e-3, -0.1, -1]))
            size = math.dist(a, b)
            u = ((b[0] - a[0]) / size, (b[1] - a[1]) / size)
            bent.append((a[0] + along * (b[0] - a[0]) - u[1] * off, a[1] + along * (b[1] - a[1]) + u[0] * off))
    n = len(bent)
    first, count = draw(st.integers(1, n)), draw(st.integers(1, n))
    sides = tuple((first - 1 + k) % n + 1 for k in range(n))
    chain, rest = sides[:count], sides[count:]
    if draw(st.booleans()):
        chain = chain[::-1]
    return bent, chain, rest if draw(st.booleans()) else ()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(chains(), st.sampled_from(["face", "post", "footing"]), st.floats(0, 24))
def test_any_chain_of_sides_keeps_any_inset_even_beside_corners_that_hardly_turn(case, of, inches):
    corners, chain, rest = case
    closed = len(chain) == len(corners)
    runs = [RunSpec("a", "fence", sides=chain, inset=inset(of, inches), closed=closed)]
    if rest:
        runs.append(RunSpec("b", "fence", sides=rest, inset=inset(of, inches)))
    design = lay(runs, boundary=ring(corners))
    post, footing = measured(design, corners)
    asked = inches * IN
    assert {"post": post, "footing": footing, "face": post}[of] >= asked - 1e-6
    if rest:
        assert len(design.posts) == len(design.bays)  # the two chains share both posts where they meet
