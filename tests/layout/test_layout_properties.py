"""Whole layouts of random yards, checked from outside with shapely: no hole in a zone, bays in their limits, posts on
the path, gates clear between faces, every place one post."""

from __future__ import annotations

import itertools
import math
import re
from fractions import Fraction

import pytest
import shapely
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, run

from palewright.errors import JobError
from palewright.model import GivenBay, Zone

COORD = st.integers(-400, 400).map(lambda k: k / 4)
REFUSALS = {"no-room", "post-in-no-hole-zone"}


@st.composite
def yards(draw):
    """A run of one to four legs with up to two gates, and up to six zones, in feet."""
    legs = draw(st.integers(1, 4))
    x, y, heading = 0.0, 0.0, draw(st.floats(0, 6.28))
    path = [(x, y)]
    for _ in range(legs):
        length = draw(st.floats(9, 90))
        x, y = x + length * math.cos(heading), y + length * math.sin(heading)
        path.append((x, y))
        heading += draw(st.sampled_from([1.0, -1.0])) * draw(st.floats(0.3, 1.5))
    gates = []
    for k in range(draw(st.integers(0, 2))):
        corner = draw(st.integers(0, legs - 1))
        gates.append(gate(f"g{k}", draw(st.sampled_from([3.0, 4.0, 10.0])), draw(st.floats(2, 60)), f"P{corner}"))
    zones = []
    for k in range(draw(st.integers(0, 6))):
        leg = draw(st.integers(0, legs - 1))
        at = draw(st.floats(0, 1))
        (ax, ay), (bx, by) = path[leg], path[leg + 1]
        cx, cy = ax + at * (bx - ax) + draw(st.floats(-2, 2)), ay + at * (by - ay) + draw(st.floats(-2, 2))
        turn, reach = draw(st.floats(0, 6.28)), draw(st.floats(0, 15))
        across = (reach * math.cos(turn), reach * math.sin(turn))
        line = [(cx - across[0], cy - across[1]), (cx + across[0], cy + across[1])]
        shape = line if reach > 0.1 else line[:1]
        what = draw(st.sampled_from(["no hole", "hand dig", "pin", "loose ground"]))
        zones.append(Zone(f"z{k}", tuple((a * FT, b * FT) for a, b in shape), draw(st.floats(1, 24)) * IN, what, ""))
    return path, gates, zones


def shape_of(zone):
    return shapely.LineString(zone.points) if len(zone.points) > 1 else shapely.Point(zone.points[0])


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(yards())
def test_a_random_yard(yard):
    path, gates, zones = yard
    line = shapely.LineString([(x * FT, y * FT) for x, y in path])
    assume(line.is_simple)
    places = points(**{f"P{k}": p for k, p in enumerate(path)})
    fence = kind()
    problems = ()
    try:
        design = lay([run("r", *[f"P{k}" for k in range(len(path))], gates=tuple(gates))], places, zones=zones)
    except JobError as error:
        problems = error.problems
    if problems:
        slugs = {problem.slug for problem in problems}
        assert slugs <= REFUSALS | {slug for slug in slugs if slug.startswith("gate")} | {"posts-overlap"}
        assert all(problem.hint for problem in problems)
        event("refused")
        return
    event("laid out")
    check(design, line, zones, fence)
    assert [post.number for post in design.posts] == list(range(1, len(design.posts) + 1))
    assert len(design.bays) == len(design.posts) - 1


def check(design, line, zones, fence):
    by_label = {post.label: post for post in design.posts}
    shapes = [(zone, shape_of(zone)) for zone in zones]
    for post in design.posts:
        spot = shapely.Point(post.xy)
        assert line.distance(spot) < 1e-7
        ((_, station),) = post.places
        assert line.interpolate(station).distance(spot) < 1e-6
        radius = post.hole.diameter_m / 2
        by_hand = False
        told = {hit.zone: hit for hit in post.hole.hits}
        for zone, shape in shapes:
            clear = shape.distance(spot) - zone.half_m - radius
            if zone.kind in ("no hole", "pin"):
                assert clear > -1e-7
            if zone.kind == "hand dig" and clear < -1e-7:
                by_hand = True
            if clear < 0.6 - 1e-6:
                assert told[zone.name].clear_m == pytest.approx(clear, abs=1e-7)
            if clear > 0.6 + 1e-6:
                assert zone.name not in told
        assert post.hole.hand_dig or not by_hand
        assert post.axis == pytest.approx(leg_axis(design, post), abs=1e-9)
    for bay in design.bays:
        one, two = by_label[bay.start], by_label[bay.end]
        assert math.dist(one.xy, two.xy) == pytest.approx(bay.length_m, abs=1e-9)
        if bay.kind == "fence":
            assert bay.length_m <= fence.longest_m + 2e-9
            between_fixed = one.role != "line" and two.role != "line"
            assert bay.length_m >= fence.longest_m / 3 - 2e-9 or between_fixed
    for found in design.gates:
        one, two = (by_label[label] for label in found.posts)
        assert math.dist(one.xy, two.xy) == pytest.approx(
            found.opening_m + reach(design, found, one) + reach(design, found, two)
        )
    for leg in design.legs:
        assert leg.posts == tuple(
            itertools.chain([design.bays[leg.bays[0] - 1].start], (design.bays[n - 1].end for n in leg.bays))
        )


def leg_axis(design, post):
    leg = next(leg for leg in design.legs if post.label in leg.posts)
    return math.atan2(leg.end[1] - leg.start[1], leg.end[0] - leg.start[0])


def reach(design, found, post):
    """Half width of a post's section along a leg by its corners."""
    leg = design.legs[found.leg]
    axis = math.atan2(leg.end[1] - leg.start[1], leg.end[0] - leg.start[0]) - post.axis
    w, h = post.width_m / 2, post.depth_m / 2
    return max(i * w * math.cos(axis) + j * h * math.sin(axis) for i in (-1, 1) for j in (-1, 1))


@settings(max_examples=60, deadline=None)
@given(yards(), st.data())
def test_every_move_keeps_the_bays_and_the_zones(yard, data):
    path, gates, zones = yard
    assume(shapely.LineString(path).is_simple)
    places = points(**{f"P{k}": p for k, p in enumerate(path)})
    fence = kind()
    try:
        design = lay([run("r", *[f"P{k}" for k in range(len(path))], gates=tuple(gates))], places, zones=zones)
    except JobError:
        return
    by_label = {post.label: post for post in design.posts}
    for leg in design.legs:
        d = ((leg.end[0] - leg.start[0]) / leg.length_m, (leg.end[1] - leg.start[1]) / leg.length_m)
        for before, label, after in zip(leg.posts, leg.posts[1:], leg.posts[2:], strict=False):
            post = by_label[label]
            if post.role != "line":
                continue
            for far, sign in ((post.move.back_m, -1), (post.move.on_m, 1)):
                part = data.draw(st.floats(0, 1), label="part of the move")
                xy = (post.xy[0] + sign * part * far * d[0], post.xy[1] + sign * part * far * d[1])
                for other in (before, after):
                    length = math.dist(xy, by_label[other].xy)
                    assert fence.longest_m / 3 - 1e-6 <= length <= fence.longest_m + 1e-6
                for zone in zones:
                    if zone.kind in ("no hole", "pin"):
                        clear = shape_of(zone).distance(shapely.Point(xy)) - zone.half_m - post.hole.diameter_m / 2
                        assert clear > -1e-6


def test_a_zone_costs_a_post_only_where_it_must():
    # a drain square across at 16 ft, 12 in each side, and a 5 in hole: post 2 at 14 ft 7 in or before, so that three
    # bays reach 37 ft: 5 bays still do
    drain = Zone("drain", ((16 * FT, -3), (16 * FT, 3)), 12 * IN, "no hole")
    design = lay([run("r", "A", "B")], points(A=(0, 0), B=(37, 0)), zones=[drain])
    assert len(design.posts) == 6
    assert design.posts[2].xy[0] == pytest.approx(172 * IN)  # and 3 in of paint margin, which costs no post
    # with 39 ft no post may stand before 15 ft, so one more is needed
    assert len(lay([run("r", "A", "B")], points(A=(0, 0), B=(39, 0)), zones=[drain]).posts) == 7
    edges = [abs(post.xy[0] - 16 * FT) - 5 * IN for post in design.posts]
    assert min(edges) >= 12 * IN - 1e-9


def test_the_paint_margin_is_kept_where_it_costs_no_post():
    # bays of 7 ft 9 in would put a hole edge 1 in outside the zone; 3 in are kept by shifting
    at = 7.8 * FT + 18 * IN
    drain = Zone("drain", ((at, -3), (at, 3)), 12 * IN, "hand dig")
    design = lay([run("r", "A", "B")], points(A=(0, 0), B=(39, 0)), zones=[drain])
    assert len(design.posts) == 6
    near = min(abs(post.xy[0] - at) - 17 * IN for post in design.posts)
    assert near >= 3 * IN - 1e-9


# ---------------------------------------------------------------- given bays, short bays, panels


def lengths(design):
    return [bay.length_m / FT for bay in design.bays]


def test_given_bays_at_the_ends_of_a_leg_and_the_rest_divided():
    places = points(A=(0, 0), B=(40, 0), C=(40, 40))
    given_ = (GivenBay("B", 6 * FT, 1, "A", "brace"), GivenBay("B", 5 * FT, 2, "C", "brace"))
    design = lay([run("r", "A", "B", "C", given=given_)], places)
    assert lengths(design) == pytest.approx([6.8] * 5 + [6] + [5, 5] + [7.5] * 4)
    brace = [bay for bay in design.bays if bay.kind == "given"]
    assert [bay.note for bay in brace] == ["brace"] * 3
    held = next(post for post in design.posts if post.label == brace[1].end)
    assert held.move.back_stop == "given bay"


def test_a_given_bay_beside_a_gate():
    places = points(A=(0, 0), B=(60, 0))
    given_ = (GivenBay("walk", 8 * FT, 1, "B", "first panel"),)
    design = lay([run("r", "A", "B", given=given_, gates=(gate("walk", 4, 16, "A"),))], places)
    at = next(k for k, bay in enumerate(design.bays) if bay.kind == "gate")
    assert design.bays[at + 1].length_m == pytest.approx(8 * FT)
    assert design.bays[at + 1].note == "first panel"
    back = lay(
        [run("r", "A", "B", given=(GivenBay("walk", 5 * FT, 1, "A"),), gates=(gate("walk", 4, 16, "A"),))], places
    )
    assert back.bays[at - 1].length_m == pytest.approx(5 * FT) or back.bays[at].length_m == pytest.approx(5 * FT)


def test_a_given_bay_that_starts_nowhere():
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B", given=(GivenBay("Z", 1.0),))], points(A=(0, 0), B=(40, 0)))
    assert [p.slug for p in error.value.problems] == ["given-bay-not-on-run"]


@pytest.mark.parametrize(
    ("divide", "expected"),
    [
        ("even", [7.2] * 5),
        ("short last", [8, 8, 8, 8, 4]),
        ("short first", [4, 8, 8, 8, 8]),
        ("short both", [6, 8, 8, 8, 6]),
    ],
)
def test_the_rule_of_the_run(divide, expected):
    design = lay([run("r", "A", "B", divide=divide)], points(A=(0, 0), B=(36, 0)))
    assert lengths(design) == pytest.approx(expected)


def test_full_panels_fit_between_posts_of_any_width():
    # panels of 72 in between posts: 3 1/2 in line posts make the module 75 1/2 in; a gate post is 5 1/2 in
    module = 75.5 * IN
    panels = {"fence": kind(family="panels", module=module, longest=module)}
    design = lay([run("r", "A", "B", gates=(gate("g", 4, 20, "A"),))], points(A=(0, 0), B=(60, 0)), kinds=panels)
    whole = [bay for bay in design.bays if bay.kind == "fence" and not bay.cut]
    assert len(whole) >= 6
    for bay in whole:
        assert bay.clear_m == pytest.approx(72 * IN, abs=1e-6)
    for bay in design.bays:
        if bay.kind == "fence":
            assert bay.clear_m <= 72 * IN + 1e-6


def test_the_shortest_bay_typed_is_a_hard_rule():
    places = points(A=(0, 0), M=(2, 0), B=(40, 0))
    lay([run("r", "A", "M", "B")], places)
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "M", "B", shortest_m=3 * FT)], places)
    problem = error.value.problems[0]
    assert problem.slug == "no-room"
    assert "1'" in problem.hint


def test_no_room_names_the_zone_and_the_smallest_move():
    # 9 ft of no-hole ground: wider than the longest bay
    rock = Zone("ledge", ((14 * FT, 0), (21 * FT, 0)), 12 * IN, "no hole")
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B")], points(A=(0, 0), B=(40, 0)), zones=[rock])
    problem = error.value.problems[0]
    assert problem.slug == "no-room"
    assert "ledge" in problem.found
    # from 13 ft - 5 in to 22 ft + 5 in is 9 ft 10 in; 8 ft can be spanned
    assert "1' 10\"" in problem.hint


def hinted_moves(hint):
    """Moves of the end post that a hint gives, in inches, shorter negative."""
    found = re.findall(r"so that the piece is (?:(\d+)' )?([\d /]+)\" (shorter|longer)", hint)
    moves = []
    for feet, inches, way in found:
        size = 12 * int(feet or 0) + float(sum(map(Fraction, inches.split())))
        moves.append(-size if way == "shorter" else size)
    return moves


def test_a_move_of_the_end_post_brings_its_own_hole_out_of_the_zone():
    # no hole from 190 to 290 in: with holes of 10 in, centres at most at 185 in or at least at 295 in
    rock = Zone("rock", ((20 * FT, 0),), 50 * IN, "no hole")
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B")], points(A=(0, 0), B=(40, 0)), zones=[rock])
    assert "so that the piece is 24' 7\" shorter" in error.value.problems[0].hint
    assert hinted_moves(error.value.problems[0].hint) == [-295]
    design = lay([run("r", "A", "B")], points(A=(0, 0), B=(185 / 12, 0)), zones=[rock])
    assert len(design.posts) == 3


@settings(max_examples=80, deadline=None)
@given(st.integers(100, 700), st.lists(st.tuples(st.integers(0, 800), st.integers(1, 60)), min_size=1, max_size=4))
def test_every_move_of_the_end_post_that_is_hinted_works(length, rocks):
    zones = [Zone(f"rock {k}", ((at * IN, 0),), half * IN, "no hole") for k, (at, half) in enumerate(rocks)]
    try:
        lay([run("r", "A", "B")], points(A=(0, 0), B=(length / 12, 0)), zones=zones)
    except JobError as error:
        for problem in error.problems:
            start_blocked = any(at - half - 5 < 0 for at, half in rocks)
            if problem.slug != "no-room" or start_blocked:
                continue
            for move in hinted_moves(problem.hint):
                moved = lay([run("r", "A", "B")], points(A=(0, 0), B=((length + move) / 12, 0)), zones=zones)
                assert moved.posts[-1].xy[0] == pytest.approx((length + move) * IN)


def test_where_no_one_move_helps_the_hint_is_to_go_round():
    # two zones over each other from 0 to 8 ft 1 in, and 9 ft in all: no end post can be reached by one bay
    zones = [Zone(name, ((-8 * FT, 0), (8 * FT, 0)), 1 * IN, "no hole") for name in ("z0", "z1")]
    with pytest.raises(JobError) as error:
        lay([run("r", "A", "B")], points(A=(0, 0), B=(9, 0)), zones=zones)
    hints = {problem.slug: problem.hint for problem in error.value.problems}
    assert "round z" in hints["no-room"]
