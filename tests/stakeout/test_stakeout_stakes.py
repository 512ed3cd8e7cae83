"""A stake is a hole too: boundary, zones, holes and buildings. Corner triangles, ties and diagonals."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from tests.stakeout.yards import FT, IN, Yard, corner_path, ft, site

from palewright.model import PointSpec, Remark, SitePoint, StakeSpec, Zone
from palewright.plane import distance, distance_to_ring, point_path_distance
from palewright.stakeout import STAKE_RADIUS_M, stake_out

LOOP = ft((0, 0), (80, 0), (80, 60), (0, 60))


def test_stakes_stand_beyond_both_the_crossing_and_the_corner_post() -> None:
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(), yard.design())
    for string in out.strings:
        for stake in string.stakes:
            assert (stake.moved, stake.refused) == ("", "")
            assert stake.beyond_m == pytest.approx(2 * FT + 3 * FT)  # 2 ft from the crossing to the post, then 3 ft


def test_stakes_stay_inside_the_boundary() -> None:
    ring = ft((-1, -1), (81, -1), (81, 61), (-1, 61))
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(ring), yard.design())
    for string in out.strings:
        for stake in string.stakes:
            assert stake.moved == "boundary"
            assert distance_to_ring(stake.xy, ring) >= STAKE_RADIUS_M
            assert stake.beyond_m >= 2 * FT + 6 * IN
    (remark,) = [remark for remark in out.remarks if remark.slug == "stake-moved"]
    assert dict(remark.args) == {"stake": "S1, S2, S3, S4, S5, S6, S7, S8", "why": "boundary"}


def test_a_fence_on_the_line_leaves_no_room_beyond_the_post() -> None:
    ring = ft((-0.05, -0.05), (80.05, -0.05), (80.05, 60.05), (-0.05, 60.05))
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(ring), yard.design())
    for string in out.strings:
        for stake in string.stakes:
            assert not stake.refused
            assert 6 * IN - 1e-6 <= stake.beyond_m < 2 * FT
            assert distance_to_ring(stake.xy, ring) >= STAKE_RADIUS_M
    assert "string-short-of-post" in {remark.slug for remark in out.remarks}


def test_a_fence_outside_the_ring_is_not_bound_by_it() -> None:
    ring = ft((200, 200), (300, 200), (300, 300), (200, 300))
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(ring), yard.design())
    assert all(not stake.moved for string in out.strings for stake in string.stakes)


def test_strings_outside_the_boundary_have_no_stakes() -> None:
    ring = ft((-1, -1), (81, -1), (81, 61), (-1, 61))
    yard = Yard().run("a", LOOP, closed=True, strings="out")
    out = stake_out(yard.job(), site(ring), yard.design())
    assert all(stake.refused == "boundary" for string in out.strings for stake in string.stakes)
    assert "stake-refused" in {remark.slug for remark in out.remarks}


@pytest.mark.parametrize("kind", ["no hole", "hand dig"])
def test_stakes_keep_clear_of_zones(kind: str) -> None:
    zone = Zone("gas", tuple(ft((-3, -20), (-3, 80))), 15 * IN, kind, "gas")
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(zones=(zone,)), yard.design())
    moved = [stake for string in out.strings for stake in string.stakes if stake.moved]
    assert [stake.moved for stake in moved] == ["zone gas", "zone gas"]
    for string in out.strings:
        for stake in string.stakes:
            assert point_path_distance(stake.xy, zone.points) >= 15 * IN + STAKE_RADIUS_M + 3 * IN - 1e-9


def test_a_stake_at_its_usual_place_is_not_said_to_be_moved() -> None:
    """The paint margin of a zone covers every place, the zone itself none: the stake stands where it was meant."""
    zone = Zone("gas", tuple(ft((-10, 2.2), (90, 2.2))), 0.02, "hand dig", "gas")
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(zones=(zone,)), yard.design())
    (string,) = [s for s in out.strings if abs(s.start_xy[1] - 2 * FT) < 1e-6 and abs(s.end_xy[1] - 2 * FT) < 1e-6]
    for stake in string.stakes:
        assert point_path_distance(stake.xy, zone.points) < 0.02 + STAKE_RADIUS_M + 3 * IN
        (near,) = [r for r in out.remarks if r.slug == "stake-near-zone" and dict(r.args)["stake"] == stake.label]
        off = point_path_distance(stake.xy, zone.points) - 0.02 - STAKE_RADIUS_M
        assert dict(near.args)["clear_m"] == pytest.approx(off)
        assert (stake.beyond_m, stake.moved) == (pytest.approx(5 * FT), "")


def test_a_stake_with_no_room_anywhere_is_refused() -> None:
    zone = Zone("field", tuple(ft((-30, -30), (40, -30), (40, 90), (-30, 90))), 0.1, "no hole", closed=True)
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(zones=(zone,)), yard.design())
    refused = [stake for string in out.strings for stake in string.stakes if stake.refused]
    assert {stake.refused for stake in refused} == {"zone field"}
    assert len(refused) == 4
    remarks = [remark for remark in out.remarks if remark.slug == "stake-refused"]
    assert {remark.level for remark in remarks} == {"caution"}
    assert {dict(remark.args)["zone"] for remark in remarks} == {"field"}


def test_stakes_keep_clear_of_holes_and_buildings() -> None:
    yard = Yard().run("a", ft((0, 0), (40, 0))).run("b", ft((43, -10), (43, 26)))
    hole = next(p for p in yard.posts if p.number == 7)
    yard.posts[yard.posts.index(hole)] = replace(hole, xy=(43 * FT, 2 * FT))
    house = (("shed", tuple(ft((-20, -5), (-2, -5), (-2, 5), (-20, 5)))),)
    out = stake_out(yard.job(), site(buildings=house), yard.design())
    first, last = out.strings[0].stakes
    assert (first.moved, last.moved) == ("building", "post 7")
    assert first.xy[0] >= -2 * FT
    assert distance(last.xy, (43 * FT, 2 * FT)) >= 5 * IN + STAKE_RADIUS_M + 6 * IN - 1e-9


def test_a_string_through_a_building_is_said() -> None:
    house = (("shed", tuple(ft((10, 1), (20, 1), (20, 9), (10, 9)))),)
    yard = Yard().run("a", ft((0, 0), (40, 0)))
    out = stake_out(yard.job(), site(buildings=house), yard.design())
    assert "string-meets-building" in {remark.slug for remark in out.remarks}


# ---------------------------------------------------------------- corner checks


@pytest.mark.parametrize(
    ("legs", "tape", "method", "feet"),
    [
        ((40.0, 40.0), 100.0, "3-4-5 by 10", (30, 40)),  # strings held 43 ft past the post; 41 ft from the crossing
        ((40.0, 50.0), 100.0, "3-4-5 by 12", (36, 48)),
        ((50.0, 40.0), 100.0, "3-4-5 by 12", (48, 36)),
        ((200.0, 200.0), 100.0, "3-4-5 by 20", (60, 80)),
        ((200.0, 200.0), 33.0, "3-4-5 by 6", (18, 24)),
        ((6.0, 7.0), 100.0, "3-4-5 by 2", (6, 8)),
    ],
)
def test_the_largest_three_four_five(
    legs: tuple[float, float], tape: float, method: str, feet: tuple[int, int]
) -> None:
    yard = Yard().run("a", corner_path(90, legs))
    out = stake_out(yard.job(tape_m=tape * FT), site(), yard.design())
    (check,) = out.checks
    by_leg = dict(zip(check.strings, check.legs_m, strict=True))
    got = [by_leg[next(s.name for s in out.strings if s.leg == k)] for k in (0, 1)]
    assert check.method == method
    assert sorted(round(x / FT, 9) for x in got) == sorted(feet)
    if legs[0] != legs[1]:
        assert [round(x / FT, 9) for x in got] == list(feet)
    assert check.diagonal_m == pytest.approx(math.hypot(*feet) * FT)
    assert check.diagonal_m <= tape * FT + 1e-9


def test_metric_triangles_go_by_three_decimetres() -> None:
    yard = Yard(2.4).run("a", [(-9.0, 0.0), (0.0, 0.0), (0.0, 9.0)])
    out = stake_out(yard.job(print_style="metric", tape_m=30.0), site(), yard.design())
    (check,) = out.checks
    assert check.method == "3-4-5 by 21"
    assert sorted(round(x, 9) for x in check.legs_m) == [6.3, 8.4]
    assert check.diagonal_m == pytest.approx(10.5)


def test_any_other_angle_has_a_chord_of_whole_feet() -> None:
    yard = Yard().run("a", corner_path(70))
    out = stake_out(yard.job(), site(), yard.design())
    (check,) = out.checks
    assert check.method == "chord"
    a, b = check.legs_m
    assert all(abs(x / FT - round(x / FT)) < 1e-9 for x in (a, b))
    assert check.diagonal_m == pytest.approx(math.sqrt(a * a + b * b - 2 * a * b * math.cos(math.radians(70))))


def test_the_tolerance_moves_the_far_end_half_an_inch() -> None:
    """Turn the corner so that the far end of the 40 ft leg moves 1/2 in: the diagonal changes by the tolerance."""
    for degrees in (70.0, 90.0, 118.0):
        yard = Yard().run("a", corner_path(degrees))
        (check,) = stake_out(yard.job(), site(), yard.design()).checks
        a, b = check.legs_m
        turned = math.radians(degrees) + 0.5 * IN / (40 * FT)
        other = math.sqrt(a * a + b * b - 2 * a * b * math.cos(turned))
        assert other - check.diagonal_m == pytest.approx(check.tolerance_m, rel=2e-3)


def test_no_less_is_asked_of_a_tape_than_it_can_read_and_what_that_proves_is_said() -> None:
    """80 ft and 10 ft legs: 1/2 in at 80 ft asks 0.05 in of a 15 ft diagonal, and a tape is good to 1/16 in there."""
    yard = Yard().run("a", corner_path(90, (80.0, 10.0)))
    (check,) = stake_out(yard.job(), site(), yard.design()).checks
    a, b = check.legs_m
    assert check.tolerance_m == pytest.approx(IN / 16)
    turned = 2 * math.atan(check.far_off_m / 2 / (80 * FT))
    other = math.sqrt(a * a + b * b - 2 * a * b * math.cos(math.pi / 2 + turned))
    assert other - check.diagonal_m == pytest.approx(IN / 16, rel=2e-3)
    assert check.far_off_m > 0.5 * IN


def test_neither_leg_of_a_chord_is_much_the_longer() -> None:
    yard = Yard().run("a", corner_path(80, (90.0, 12.0)))
    (check,) = stake_out(yard.job(), site(), yard.design()).checks
    assert check.method == "chord"
    assert max(check.legs_m) <= min(check.legs_m) * 4 / 3 + FT


def test_only_the_corner_whose_angle_nobody_measured_is_flagged() -> None:
    """The posts beyond it only hang on it."""
    yard = Yard().run("a", LOOP, closed=True)
    yard.posts = [replace(post, assumed=post.xy != LOOP[1]) for post in yard.posts]
    points = (SitePoint("A", LOOP[1], "walk"), SitePoint("B", LOOP[2], "walk", assumed_angle=True))
    guessed = Remark("assumed-right-angle", "assumption", "point A", (("point", "A"),))
    out = stake_out(yard.job(), replace(site(points=points), remarks=(guessed,)), yard.design())
    at = next(post.label for post in yard.posts if post.xy == LOOP[1])
    assert [check.post for check in out.checks if check.assumed] == [at]


def test_a_corner_with_no_room_for_a_triangle_is_said() -> None:
    yard = Yard().run("a", corner_path(90, (1.0, 1.0)))
    out = stake_out(yard.job(stakes=StakeSpec(beyond_m=0.2, offset_m=0.3)), site(), yard.design())
    assert out.checks == () or min(out.checks[0].legs_m) >= FT - 1e-9
    tiny = stake_out(yard.job(tape_m=0.3), site(), yard.design())
    assert tiny.checks == ()
    assert "corner-check-too-small" in {remark.slug for remark in tiny.remarks}


def test_a_triangle_is_made_smaller_where_a_building_stands_in_it() -> None:
    house = (("shed", tuple(ft((-20, 12), (-10, 12), (-10, 22), (-20, 22)))),)
    yard = Yard().run("a", corner_path(90))
    free = stake_out(yard.job(), site(), yard.design()).checks[0]
    (check,) = stake_out(yard.job(), site(buildings=house), yard.design()).checks
    assert check.method.startswith("3-4-5")
    assert check.diagonal_m < free.diagonal_m
    assert check.diagonal_m == pytest.approx(math.hypot(*check.legs_m))


# ---------------------------------------------------------------- ties


def test_diagonals_of_a_rectangle() -> None:
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(), yard.design())
    diagonals = [tie for tie in out.ties if tie.why == "diagonal"]
    assert len(diagonals) == 2
    for tie in diagonals:
        assert tie.length_m == pytest.approx(100 * FT)
        # d(diagonal) = a b / c x 1/2 in / 80 ft = 80 x 60 / 100 / 80 x 1/2 in = 0.3 in
        assert tie.tolerance_m == pytest.approx(0.3 * IN)
    assert sum(tie.why == "overall" for tie in out.ties) == 4


def test_ties_come_from_what_stands_and_cross_well() -> None:
    things = (
        SitePoint("house left", (10 * FT, -20 * FT), "thing"),
        SitePoint("house right", (40 * FT, -20 * FT), "thing"),
        SitePoint("guessed tree", (5 * FT, -5 * FT), "thing", assumed_angle=True),
        SitePoint("pin", (0.0, 0.0), "coordinates", found="iron pin"),
    )
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(points=things), yard.design())
    ties = [tie for tie in out.ties if tie.why == "tie"]
    assert {tie.start for tie in ties} == {"house left", "house right", "pin"}  # a found pin stands too
    assert len(ties) == 8  # two for each corner post
    at = {point.name: point.xy for point in things} | {post.label: post.xy for post in yard.posts}
    for tie in ties:
        assert tie.length_m == pytest.approx(distance(at[tie.start], at[tie.end]))
        assert tie.tolerance_m == pytest.approx(0.5 * IN)


def test_the_same_tape_is_asked_for_once_with_its_least_tolerance() -> None:
    """A bracket on a house corner: the diagonal to the bracket and the tie from the corner are one tape."""
    things = (SitePoint("house corner", (60 * FT, 0.0), "thing"), SitePoint("tree", (0.0, -60 * FT), "thing"))
    yard = Yard().run("a", ft((0, 40), (0, 0), (60, 0)), brackets=(False, True))
    out = stake_out(yard.job(), site(points=things), yard.design())
    at = {point.name: point.xy for point in things} | {post.label: post.xy for post in yard.posts}
    spans = [frozenset(tuple(round(v, 6) for v in at[name]) for name in (tie.start, tie.end)) for tie in out.ties]
    assert len(spans) == len(set(spans))
    (tie,) = [tie for tie in out.ties if tie.length_m == pytest.approx(math.hypot(40, 60) * FT)]
    assert (tie.start, tie.why) == ("house corner", "tie")
    # d(diagonal) = 40 x 60 / 72.1 / 60 x 1/2 in = 0.277 in, less than the 1/2 in asked of a tie
    assert tie.tolerance_m == pytest.approx(40 * 60 / math.hypot(40, 60) / 60 * 0.5 * IN)


def test_a_diagonal_that_proves_next_to_nothing_is_left_out() -> None:
    yard = Yard().run("a", corner_path(90, (90.0, 4.0)))
    assert "diagonal" not in {tie.why for tie in stake_out(yard.job(), site(), yard.design()).ties}


def test_a_job_of_bare_coordinates_says_that_nothing_stands() -> None:
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(points=(SitePoint("A", (0.0, 0.0), "coordinates"),)), yard.design())
    (remark,) = [remark for remark in out.remarks if remark.slug == "nothing-stands"]
    corners = sorted(p.number for p in yard.posts if p.role == "corner")
    assert (remark.level, dict(remark.args)["posts"]) == ("caution", ", ".join(map(str, corners)))
    assert "few-ties" not in {r.slug for r in out.remarks}


def test_a_post_that_things_reach_flat_has_its_second_tape_from_a_post_already_set() -> None:
    things = (SitePoint("wall left", (30 * FT, 0.0), "thing"), SitePoint("wall right", (80 * FT, 0.0), "thing"))
    yard = Yard().run("a", ft((0, 0), (0, 40)))
    out = stake_out(yard.job(), site(points=things), yard.design())
    last = yard.posts[-1].label
    placed = [(tie.end, tie.start) for tie in out.ties if tie.why == "tie"]
    assert placed[:2] == [(last, "wall left"), (last, "wall right")]
    assert placed[2:] == [("1", "wall left"), ("1", last)]  # in order of work
    assert not {"few-ties", "nothing-stands"} & {r.slug for r in out.remarks}


def test_a_post_that_one_thing_alone_reaches_is_said() -> None:
    yard = Yard().run("a", ft((0, 0), (0, 40)))
    out = stake_out(yard.job(), site(points=(SitePoint("pin", (30 * FT, 0.0), "thing"),)), yard.design())
    (remark,) = [remark for remark in out.remarks if remark.slug == "few-ties"]
    assert (remark.level, dict(remark.args)["posts"]) == ("caution", f"1, {yard.posts[-1].label}")
    assert [tie.start for tie in out.ties if tie.end == "1" and tie.why == "tie"] == ["pin"]


def test_a_post_in_line_with_a_wall_has_one_tape_and_the_wall() -> None:
    """A 40 ft wall along y = 0, the fence from 14 ft past its left end: 14 ft from there, in line."""
    ends = ft((14, 0), (54, 0))
    things = (SitePoint("rear left", ends[0], "thing"), SitePoint("rear right", ends[1], "thing"))
    yard = Yard().run("a", ft((0, 0), (0, 40)))
    out = stake_out(yard.job(), site(points=things, buildings=(("wall", tuple(ends)),)), yard.design())
    (remark,) = [remark for remark in out.remarks if remark.slug == "post-in-line"]
    args = dict(remark.args)
    assert (args["post"], args["start"], args["wall"]) == ("1", "rear left", "rear left – rear right")
    assert args["from_m"] == pytest.approx(14 * FT)
    assert [tie.start for tie in out.ties if (tie.end, tie.why) == ("1", "tie")] == ["rear left"]


def test_a_point_part_way_along_a_wall_stands_and_a_bracket_there_has_its_place() -> None:
    """A house from 0, 0 to 40, 30 ft; the fence leaves its left wall 12 ft from the rear corner, 18 ft from the front.

    Who faces that wall from outside looks along +x: the rear (+y) is on the left hand.
    """
    house = (("house", tuple(ft((0, 0), (40, 0), (40, 30), (0, 30)))),)
    things = (SitePoint("house left", (0.0, 18 * FT), "coordinates"), SitePoint("pin", ft((-20, 60))[0], "call", "pin"))
    yard = Yard().run("a", ft((0, 18), (-20, 18), (-20, 60)), brackets=(True, False))
    out = stake_out(yard.job(), site(points=things, buildings=house), yard.design())
    (place,) = [remark for remark in out.remarks if remark.slug == "bracket-place"]
    args = dict(place.args)
    assert (args["bracket"], args["on"], args["wall"]) == ("W1", "house left", "house")
    assert (args["left_m"], args["right_m"]) == (pytest.approx(12 * FT), pytest.approx(18 * FT))
    corner = next(p.label for p in yard.posts if p.xy == ft((-20, 18))[0])
    assert [t.start for t in out.ties if (t.end, t.why) == (corner, "tie")] == ["house left", "pin"]
    string = next(s for s in out.strings if "wall" in (s.zero, s.end_with))
    (tied,) = [remark for remark in out.remarks if remark.slug == "string-at-wall"]
    at = string.zero_xy if string.zero == "wall" else string.end_xy
    assert dict(tied.args)["right_m"] == pytest.approx(at[1])


def test_no_tape_goes_through_a_house() -> None:
    house = (("house", tuple(ft((20, 10), (60, 10), (60, 50), (20, 50)))),)
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(), site(buildings=house), yard.design())
    assert not [tie for tie in out.ties if tie.why == "diagonal"]


def test_a_tie_longer_than_the_tape_is_said() -> None:
    yard = Yard().run("a", LOOP, closed=True)
    out = stake_out(yard.job(tape_m=90 * FT), site(), yard.design())
    (remark,) = [remark for remark in out.remarks if remark.slug == "tie-longer-than-tape"]
    assert dict(remark.args)["ties"].count("-") == 2
    assert "tie-longer-than-tape" not in {r.slug for r in stake_out(yard.job(), site(), yard.design()).remarks}


def test_two_pins_farther_apart_than_the_tape_place_both_ends_over_a_sighted_point() -> None:
    """150 ft from pin to pin, a tape of 100 ft: the far pin is reached in two holds, as long diagonals are."""
    things = (SitePoint("south", (10 * FT, -5 * FT), "thing"), SitePoint("north", (10 * FT, 145 * FT), "thing"))
    yard = Yard().run("a", ft((0, 0), (0, 140)))
    out = stake_out(yard.job(tape_m=100 * FT), site(points=things), yard.design())
    last = yard.posts[-1].label
    placed = {(tie.end, tie.start): tie.length_m for tie in out.ties if tie.why == "tie"}
    assert placed == {
        ("1", "south"): pytest.approx(math.hypot(10, 5) * FT),
        ("1", "north"): pytest.approx(math.hypot(10, 145) * FT),
        (last, "north"): pytest.approx(math.hypot(10, 5) * FT),
        (last, "south"): pytest.approx(math.hypot(10, 145) * FT),
    }
    slugs = {remark.slug for remark in out.remarks}
    assert "few-ties" not in slugs
    assert "tie-longer-than-tape" in slugs


def test_a_point_with_coordinates_where_something_stands_holds_a_tape() -> None:
    points = tuple(SitePoint(name, (x * FT, 0.0), "coordinates") for name, x in (("H", -5), ("K", 25), ("L", 40)))
    yard = Yard().run("a", ft((0, 0), (20, 0)))
    stands = tuple(PointSpec(p.name, "coordinates", xy=p.xy, stands=p.name != "L") for p in points)
    bare = stake_out(
        yard.job(points=tuple(replace(p, stands=False) for p in stands)), site(points=points), yard.design()
    )
    assert "tie" not in {tie.why for tie in bare.ties}
    out = stake_out(yard.job(points=stands), site(points=points), yard.design())
    assert {tie.start for tie in out.ties if tie.why == "tie"} == {"H", "K"}


def test_every_number_has_a_reason() -> None:
    yard = Yard().run("a", corner_path(70))
    out = stake_out(yard.job(), site(), yard.design())
    quantities = {(reason.about, reason.quantity) for reason in out.reasons}
    assert ("corner 6", "diagonal") in quantities
    assert ("corner 6", "diagonal tolerance") in quantities
    assert any(about.startswith("string") for about, _ in quantities)


def test_order_of_work_begins_with_the_locate_and_ends_with_the_shovel() -> None:
    yard = Yard().run("a", LOOP, closed=True)
    order = stake_out(yard.job(), site(), yard.design()).order
    assert order[0] == "locate"
    assert order[-2:] == ("paint", "dig")
    assert order.index("corners") < order.index("square") < order.index("marks") < order.index("diagonals")
    assert "remove" not in order
