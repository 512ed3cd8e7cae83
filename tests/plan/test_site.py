"""From a job to its site: places, frames, status, zones, old fences, what is said and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from palewright.errors import JobError, Problem, Where
from palewright.model import (
    BoundarySpec,
    Call,
    CornerSpec,
    FallSpec,
    Job,
    Measurement,
    PointRef,
    PointSpec,
    Remark,
    RemovalSpec,
    RunSpec,
    Site,
    Turn,
    Walk,
    ZoneSpec,
)
from palewright.plan.site import PIN_CLEAR_M, build_site

FT = 0.3048
LEFT = math.pi / 2


def go(*steps: float | str) -> tuple[Turn, ...]:
    return tuple(Turn(turn=LEFT, assumed=True) if s == "left" else Turn(length_m=float(s) * FT) for s in steps)


def run(*names: str) -> RunSpec:
    return RunSpec(
        "fence", "boards", through=tuple(PointRef(name, at=Where(line=40)) for name in names), at=Where(line=39)
    )


def said(site: Site) -> dict[str, Remark]:
    return {remark.slug: remark for remark in site.remarks}


def args(site: Site, slug: str) -> dict[str, float | int | str]:
    return dict(said(site)[slug].args)


def problems(job: Job) -> list[Problem]:
    with pytest.raises(JobError) as caught:
        build_site(job)
    return list(caught.value.problems)


def spots(site: Site) -> dict[str, tuple[float, float]]:
    return {point.name: point.xy for point in site.points}


HOUSE = Job(
    "a wall and a tape",
    walks=(Walk("rear left", "rear right", "away", go(18, "left", 46, "left", 60), ("A", "B", "C")),),
    measured=(Measurement("tape", ("rear left", "rear right"), 24 * FT),),
    runs=(run("A", "B", "C", "rear right"),),
)

CALLS = tuple(
    Call(f"{text} {feet} ft", math.radians(deg), feet * FT)
    for text, deg, feet in (("N", 0, 100), ("E", 90, 80), ("S", 180, 100), ("W", 270, 80))
)
LOT = Job(
    "a lot",
    north=True,
    north_basis="plat",
    boundary=BoundarySpec(PointRef("SW"), CALLS, names=("SW", "NW", "NE", "SE")),
)


# ---------------------------------------------------------------- a house and a tape


def test_a_house_wall_and_a_tape() -> None:
    site = build_site(HOUSE)
    assert spots(site)["rear left"] == (0.0, 0.0)
    assert spots(site)["rear right"] == pytest.approx((24 * FT, 0.0))
    assert spots(site)["A"] == pytest.approx((-18 * FT, 0.0))
    assert spots(site)["C"] == pytest.approx((42 * FT, -46 * FT))
    assert not site.north
    assert site.ring is None
    assert {"no-north", "no-boundary", "frame-from-base-line"} <= set(said(site))


def test_right_angles_that_nobody_measured_are_listed_and_drawn_hollow() -> None:
    site = build_site(HOUSE)
    corners = [dict(remark.args)["point"] for remark in site.remarks if remark.slug == "assumed-right-angle"]
    assert corners == ["A", "B"]
    assert all(r.level == "assumption" for r in site.remarks if r.slug == "assumed-right-angle")
    hollow = {point.name for point in site.points if point.assumed_angle}
    assert hollow == {"B", "C"}
    square = Measurement("square", ("rear left", "A", "B"), LEFT, how="9-12-15 ft")
    site = build_site(replace(HOUSE, measured=(*HOUSE.measured, square)))
    assert {point.name for point in site.points if point.assumed_angle} == {"C"}
    both = (*HOUSE.measured, square, Measurement("square", ("A", "B", "C"), math.radians(89.0)))
    site = build_site(replace(HOUSE, measured=both))
    assert not any(point.assumed_angle for point in site.points)
    assert "assumed-right-angle" not in said(site)


def test_a_tape_on_a_slope_and_a_wheel_are_compared_as_what_they_are() -> None:
    """Known points 40 ft and 50 ft apart; sqrt(40^2 + 9^2) = 41 ft along the slope; 7 in are within a wheel on grass."""
    places = {"A": (0.0, 0.0), "B": (40.0, 0.0), "C": (40.0, 50.0)}
    points = tuple(PointSpec(n, "coordinates", xy=(x * FT, y * FT)) for n, (x, y) in places.items())
    slope = Measurement("tape", ("A", "B"), 41 * FT, how="steel tape", rise_m=9 * FT)
    wheel = Measurement("tape", ("B", "C"), 50.6 * FT, how="wheel on grass")
    found = build_site(Job("slope", north=True, points=points, measured=(slope, wheel)))
    assert [r.slug for r in found.remarks if r.slug.startswith("tape-")] == ["tape-agrees"] * 2
    assert [dict(r.args)["computed_m"] for r in found.remarks if r.slug == "tape-agrees"] == pytest.approx(
        [41 * FT, 50 * FT]
    )
    steel = build_site(Job("steel", north=True, points=points, measured=(replace(wheel, how="steel tape"),)))
    assert "tape-agrees" not in said(steel)


def test_a_tape_to_a_known_thing_checks_the_walk() -> None:
    true = math.hypot(42 - 24, 46) * FT
    agrees = build_site(
        replace(HOUSE, measured=(*HOUSE.measured, Measurement("tape", ("C", "rear right"), true + 0.03)))
    )
    assert args(agrees, "tape-agrees")["difference_m"] == pytest.approx(0.03)
    off = replace(
        HOUSE, measured=(*HOUSE.measured, Measurement("tape", ("C", "rear right"), true - 0.0762, at=Where(line=7)))
    )
    site = build_site(off)
    got = args(site, "tape-differs")
    assert got["difference_m"] == pytest.approx(0.0762)
    assert got["computed_m"] == pytest.approx(true)
    assert said(site)["tape-differs"].level == "caution"
    assert said(site)["tape-differs"].at.line == 7


def test_a_walk_that_comes_back() -> None:
    """Round a 24 ft by 10 ft yard and back to the wall."""
    back = go(0, "left", 10, "left", 24, "left", 10)
    names = ("E", "F", "G", "rear right")
    job = replace(HOUSE, walks=(Walk("rear left", "rear right", "away", back, names),), runs=(run("F", "G"),))
    site = build_site(job)
    assert args(site, "walk-closes")["miss_m"] == pytest.approx(0.0, abs=1e-9)
    off = replace(job, measured=(Measurement("tape", ("rear left", "rear right"), 24.5 * FT),))
    assert args(build_site(off), "walk-misses")["miss_m"] == pytest.approx(0.5 * FT)
    far = replace(job, measured=(Measurement("tape", ("rear left", "rear right"), 30 * FT),))
    assert [problem.slug for problem in problems(far)] == ["two-places"]


def test_a_thing_that_nothing_fixes_names_the_tape_that_would() -> None:
    (problem,) = problems(replace(HOUSE, measured=()))
    assert (problem.slug, problem.found) == ("point-not-fixed", "rear right")
    assert problem.hint.startswith("tape from rear left to rear right")
    assert problem.where.line == 40


def test_a_sight_that_nothing_needs_may_stay_without_a_place() -> None:
    site = build_site(replace(HOUSE, measured=(), runs=(run("A", "B", "C"),)))
    assert "rear right" not in spots(site)


def test_only_the_root_is_blamed() -> None:
    job = replace(
        HOUSE,
        points=(
            PointSpec("tree", "coordinates", xy=(1.0, 1.0)),
            PointSpec("M", "on line", line=("A", "B"), distance_m=1.0),
        ),
        runs=(run("M", "C"),),
    )
    found = problems(job)
    assert {(p.slug, p.found) for p in found} == {("point-not-fixed", "rear left"), ("point-not-fixed", "rear right")}


def test_two_points_defined_by_each_other() -> None:
    points = (
        PointSpec("O", "coordinates", xy=(0.0, 0.0)),
        PointSpec("P", "calls", start="Q", calls=CALLS[:1]),
        PointSpec("Q", "calls", start="P", calls=CALLS[:1]),
    )
    assert {p.slug for p in problems(Job("loop", points=points))} == {"point-not-fixed"}


def test_unknown_names_get_the_nearest() -> None:
    found = problems(
        replace(
            HOUSE, runs=(run("A", "rear rihgt"),), measured=(*HOUSE.measured, Measurement("tape", ("A", "BB"), 1.0))
        )
    )
    assert [(p.slug, p.found) for p in found] == [("unknown-point", "rear rihgt"), ("unknown-point", "BB")]
    assert found[0].hint == "nearest: rear right"
    falls = replace(HOUSE, falls=(FallSpec("A", "Z", 0.5),))
    assert [(p.slug, p.found) for p in problems(falls)] == [("unknown-point", "Z")]


def test_north_that_nothing_ties_to_the_base_line() -> None:
    site = build_site(replace(HOUSE, north=True))
    assert not site.north
    assert "north-not-tied" in said(site)
    tied = (*HOUSE.measured, Measurement("direction", ("rear left", "rear right"), math.pi))
    site = build_site(replace(HOUSE, north=True, measured=tied))
    assert site.north
    assert spots(site)["rear right"] == pytest.approx((0.0, -24 * FT), abs=1e-9)


def test_measurements_that_define_nothing_are_checked() -> None:
    points = tuple(
        PointSpec(n, "coordinates", xy=xy) for n, xy in (("A", (0.0, 0.0)), ("B", (10.0, 0.0)), ("C", (10.0, 5.0)))
    )
    measured = (
        Measurement("square", ("A", "B", "C"), math.radians(91.0)),
        Measurement("direction", ("A", "B"), math.radians(90.4)),
        Measurement("tape", ("A", "shed"), 3.0),
    )
    job = Job("checks", north=True, points=(*points, PointSpec("shed")), measured=measured)
    site = build_site(job)
    assert args(site, "angle-differs")["computed_deg"] == pytest.approx(90.0)
    assert args(site, "direction-agrees")["difference_deg"] == pytest.approx(0.4)
    assert args(site, "measurement-not-used")["points"] == "A, shed"
    assert "direction-agrees" not in said(build_site(replace(job, north=False)))
    good = replace(job, measured=(Measurement("square", ("A", "B", "C"), math.radians(90.2)),))
    assert said(build_site(good))["angle-agrees"].level == "note"


# ---------------------------------------------------------------- a deed


def test_a_deed_without_coordinates_begins_at_nothing() -> None:
    site = build_site(LOT)
    assert spots(site)["SW"] == (0.0, 0.0)
    assert spots(site)["NE"] == pytest.approx((80 * FT, 100 * FT))
    assert args(site, "frame-from-corner") == {"corner": "SW"}
    assert args(site, "line-not-located") == {"found": 0, "total": 4}
    assert site.north
    assert {reason.quantity for reason in site.reasons if reason.about == "boundary"} >= {"area", "precision"}


def test_a_deed_from_a_point_with_coordinates_and_from_a_walk() -> None:
    job = replace(LOT, points=(PointSpec("SW", "coordinates", xy=(100.0, 50.0)),))
    site = build_site(job)
    assert spots(site)["NW"] == pytest.approx((100.0, 50.0 + 100 * FT))
    assert "frame-from-corner" not in said(site)
    house = (
        PointSpec("rear left", "coordinates", xy=(0.0, 0.0)),
        PointSpec("rear right", "coordinates", xy=(5.0, 0.0)),
    )
    walked = replace(
        LOT, points=house, walks=(Walk("rear left", "rear right", "away", go(10, "left", 5), ("P", "SW")),)
    )
    site = build_site(walked)
    assert spots(site)["SW"] == pytest.approx((-10 * FT, -5 * FT))
    assert {point.name for point in site.points if point.assumed_angle} == {"SW", "NW", "NE", "SE"}


def test_a_deed_laid_to_another_corner_that_has_coordinates() -> None:
    site = build_site(replace(LOT, points=(PointSpec("NE", "coordinates", xy=(100.0, 50.0)),)))
    assert spots(site)["SW"] == pytest.approx((100.0 - 80 * FT, 50.0 - 100 * FT))
    assert spots(site)["NE"] == (100.0, 50.0)


def test_a_start_that_the_reader_put_at_zero() -> None:
    """Other points have places and nothing ties the deed to them: an assumption, and listed as one."""
    put = replace(LOT, boundary=replace(LOT.boundary, start=PointRef("SW", (0.0, 0.0))))  # type: ignore[type-var]
    assert "frame-from-corner" in said(build_site(put))
    loose = replace(put, points=(PointSpec("shed", "coordinates", xy=(3.0, 4.0)),))
    assert said(build_site(loose))["corner-taken-as-zero"].level == "assumption"
    tied = replace(put, points=(PointSpec("NE", "coordinates", xy=(100.0, 50.0)),))
    assert spots(build_site(tied))["SW"] == pytest.approx((100.0 - 80 * FT, 50.0 - 100 * FT))
    typed = replace(put, boundary=replace(put.boundary, start=PointRef(xy=(7.0, 0.0))))  # type: ignore[type-var]
    assert spots(build_site(typed))["SW"] == (7.0, 0.0)
    assert "frame-from-corner" not in said(build_site(typed))


def test_a_corner_with_two_places() -> None:
    points = (PointSpec("SW", "coordinates", xy=(0.0, 0.0)), PointSpec("NE", "coordinates", xy=(80 * FT, 101 * FT)))
    (problem,) = problems(replace(LOT, points=points))
    assert (problem.slug, problem.found) == ("two-places", "NE")
    assert "1' 0\"" in problem.what
    near = (points[0], PointSpec("NE", "coordinates", xy=(80 * FT, 100 * FT + 0.0005)))
    assert build_site(replace(LOT, points=near)).ring is not None


def test_boundary_by_points_of_any_kind() -> None:
    points = (
        PointSpec("A", "coordinates", xy=(0.0, 0.0)),
        PointSpec("B", "on line", line=("A", "C"), distance_m=4.0),
        PointSpec("C", "coordinates", xy=(8.0, 0.0)),
    )
    through = (PointRef("A"), PointRef("B"), PointRef(xy=(4.0, 3.0)))
    site = build_site(Job("points", points=points, boundary=BoundarySpec(PointRef(), through=through)))
    assert site.ring is not None
    assert site.ring.area_m2 == pytest.approx(6.0)
    assert [corner.name for corner in site.ring.corners] == ["A", "B", "corner 3"]
    assert spots(site)["corner 3"] == (4.0, 3.0)
    missing = replace(through[1], name="D")
    bad = Job("points", points=points, boundary=BoundarySpec(PointRef(), through=(through[0], missing, through[2])))
    assert [(p.slug, p.found) for p in problems(bad)] == [("unknown-point", "D")]


def test_points_on_boundary_lines() -> None:
    job = replace(
        LOT, points=(PointSpec("B", "on line", line=("NE", "NW"), distance_m=62.25 * FT),), runs=(run("B", "NE"),)
    )
    assert spots(build_site(job))["B"] == pytest.approx(((80 - 62.25) * FT, 100 * FT))


def test_a_refused_boundary_does_not_blame_its_corners() -> None:
    boundary = replace(LOT.boundary, calls=(*CALLS[:3], replace(CALLS[3], azimuth=math.pi / 2)))  # type: ignore[type-var]
    assert {p.slug for p in problems(replace(LOT, boundary=boundary, runs=(run("NE", "NW"),)))} == {
        "boundary-does-not-close"
    }
    named = replace(LOT.boundary, names=("SW", "NW", "SW", "SE"))  # type: ignore[type-var]
    found = problems(replace(LOT, boundary=named, runs=(run("NW", "SE"),)))
    assert [p.slug for p in found] == ["corner-named-twice"]


def test_two_found_corners_locate_the_line() -> None:
    corners = (CornerSpec("NE", "5/8 in iron pin, cap 1178", True), CornerSpec("NW", "stone, marked X", True))
    job = replace(LOT, boundary=replace(LOT.boundary, corners=corners))  # type: ignore[type-var]
    site = build_site(job)
    assert site.ring is not None
    assert site.ring.status.located
    assert "corner-distance-not-taped" in said(site)
    taped = build_site(replace(job, measured=(Measurement("tape", ("NW", "NE"), 80.05 * FT),)))
    assert taped.ring is not None
    assert taped.ring.status.why == "two-corners-agree"
    assert "tape-agrees" not in said(taped)
    wrong = build_site(replace(job, measured=(Measurement("tape", ("NW", "NE"), 81 * FT),)))
    assert wrong.ring is not None
    assert not wrong.ring.status.located


# ---------------------------------------------------------------- zones and old fences


def test_a_found_pin_has_a_ring_and_the_job_may_change_it() -> None:
    points = (
        PointSpec("NE", found="iron pin", matches_record=True),
        PointSpec("T", "coordinates", xy=(0.0, 0.0), found="nail", pin_clear_m=0.5),
        PointSpec("U", "coordinates", xy=(1.0, 1.0), found="old stake", pin_clear_m=0.0),
    )
    job = replace(
        LOT, points=points, boundary=replace(LOT.boundary, start=PointRef("T"), names=("SW", "NW", "NE", "SE"))
    )  # type: ignore[type-var]
    site = build_site(job)
    pins = {zone.name: (zone.points[0], zone.half_m) for zone in site.zones if zone.kind == "pin"}
    assert pins == {"pin NE": (pytest.approx((80 * FT, 100 * FT)), PIN_CLEAR_M), "pin T": ((0.0, 0.0), 0.5)}
    assert {point.name: point.found for point in site.points if point.found} == {
        "NE": "iron pin",
        "T": "nail",
        "U": "old stake",
    }


def test_a_zone_is_kept_clear_from_the_outside_of_the_facility() -> None:
    zone = ZoneSpec("gas", (PointRef("SW"), PointRef(xy=(9.0, 9.0))), 0.0254, 0.6096, "hand dig", "gas")
    tank = ZoneSpec(
        "tank", tuple(PointRef(xy=xy) for xy in ((1.0, 1.0), (2.0, 1.0), (2.0, 2.0))), 0.0, 1.0, "no hole", closed=True
    )
    site = build_site(replace(LOT, zones=(zone, tank)))
    assert site.zones[0].half_m == pytest.approx(0.0127 + 0.6096)
    assert site.zones[0].points == ((0.0, 0.0), (9.0, 9.0))
    assert (site.zones[0].kind, site.zones[0].utility, site.zones[0].width_m) == ("hand dig", "gas", 0.0254)
    assert site.zones[1].closed
    empty = replace(LOT, zones=(ZoneSpec("nothing", (), 0.0, 1.0, "no hole"),))
    assert [p.slug for p in problems(empty)] == ["zone-without-place"]


@pytest.mark.parametrize(("then", "kind"), [("pull", "loose ground"), ("leave", "no hole")])
def test_an_old_fence_leaves_its_footings(then: str, kind: str) -> None:
    old = RemovalSpec(
        "old", (PointRef("SW"), PointRef("NW"), PointRef("NE")), 8 * FT, 10 * 0.0254, then, "chain link", 1.2
    )
    site = build_site(replace(LOT, removals=(old,)))
    (removal,) = site.removals
    # 100 ft in 13 parts, 80 ft in 10, three ends with the corner counted once
    assert len(removal.posts) == 13 + 10 + 1
    assert removal.length_m == pytest.approx(180 * FT)
    footings = [zone for zone in site.zones if zone.kind == kind]
    assert len(footings) == 24
    assert [zone.half_m for zone in footings] == pytest.approx([5 * 0.0254] * 24)
    assert args(site, "old-posts-counted") == {"posts": 24, "fence": "old"}


def test_an_old_fence_that_cannot_be_counted() -> None:
    one = RemovalSpec("one", (PointRef("SW"),), 2.0, 0.2, "pull")
    many = RemovalSpec("many", (PointRef("SW"), PointRef("NW")), 1e-6, 0.2, "pull")
    none = RemovalSpec("none", (PointRef("SW"), PointRef("NW")), 0.0, 0.2, "pull")
    job = replace(LOT, removals=(one, many, none))
    assert [p.slug for p in problems(job)] == ["old-fence-without-length", "old-fence-posts", "old-fence-posts"]


def test_buildings_are_resolved() -> None:
    job = replace(LOT, buildings=(("house", (PointRef("SW"), PointRef(xy=(5.0, 0.0)), PointRef(xy=(5.0, 5.0)))),))
    assert build_site(job).buildings == (("house", ((0.0, 0.0), (5.0, 0.0), (5.0, 5.0))),)


def test_an_empty_job_has_a_site() -> None:
    site = build_site(Job("nothing yet"))
    assert site.points == ()
    assert set(said(site)) == {"no-north", "no-boundary"}
