"""From what a person measured to the ground under each run."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from palewright.errors import JobError, ProblemError
from palewright.jobfile import read_text
from palewright.model import Job, Profile
from palewright.plan.ground import Ground, ground_under
from palewright.plan.ground_files import read_ground
from palewright.plan.site import build_site

FOOT = 0.3048
HEAD = """palewright: 1
job: {title: A slope, unit: ft}
points:
  A: {at: [0, 0]%s}
  B: {at: [100, 0]}
  C: {at: [100, 60]}
fences: {f: {kind: boards, good side: neighbour}}
runs: [{name: rear, fence: f, through: [A, B, C], yard: left, follows: racked}]
"""
PATHS = [("rear", [(0.0, 0.0), (100 * FOOT, 0.0), (100 * FOOT, 60 * FOOT)])]


def job(heights: str, height: str = ", height: 100", more: str = "") -> Job:
    body = f"heights:\n{heights}" if heights else ""
    return read_text(HEAD % height + more + body)


def ground(heights: str, height: str = ", height: 100", more: str = "") -> Ground:
    made = job(heights, height, more)
    return ground_under(made, build_site(made), PATHS)


def feet(profile: Profile, *at: float) -> list[float]:
    return list(np.interp(np.array(at) * FOOT, profile.stations_m, profile.heights_m) / FOOT)


def slugs(found: Ground) -> list[str]:
    return [remark.slug for remark in found.remarks]


def test_no_heights_no_profile() -> None:
    made = job("", "")
    assert ground_under(made, build_site(made), PATHS) == Ground((), ())


def test_a_string_level_and_a_rule() -> None:
    found = ground("  - {string: [A, B], drops: [[0, 0 in], [8, 3 1/2 in], [50, 24 in], [100, 12 in]]}")
    (rear,) = found.profiles
    assert rear.how == ("drops",)
    assert feet(rear, 0, 8, 29, 50, 100) == pytest.approx([100, 100 - 3.5 / 12, 100 - 13.75 / 12, 98, 99])
    assert slugs(found) == ["ground-not-reached"]
    assert [(u.from_m / FOOT, u.to_m / FOOT, u.why) for u in rear.unknown] == [
        (pytest.approx(100), pytest.approx(160), "not-measured")
    ]
    assert rear.sigmas_m[0] == pytest.approx(0.25 / 12 * FOOT)  # a string level, where nothing is said


def test_a_string_from_its_other_end_and_along_a_bent_run() -> None:
    back = ground("  - {string: [A, B], from: B, drops: [[0, 0 in], [100, 12 in]], with: water level}")
    assert feet(back.profiles[0], 0, 100) == pytest.approx([100, 101])
    bent = ground("  - {string: rear, drops: [[0, 0 in], [100, 12 in], [160, 36 in]]}")
    assert feet(bent.profiles[0], 100, 130, 160) == pytest.approx([99, 98, 97])
    assert slugs(bent) == []
    later = ground("  - {string: rear, from: B, drops: [[0, 6 in], [60, 18 in]]}")
    assert feet(later.profiles[0], 100, 160) == pytest.approx([0, -1])  # tied to nothing: its first point is zero
    assert slugs(later) == ["ground-not-tied", "ground-not-reached"]  # and no line leads from there to A, 100 ft up


def test_a_string_from_the_last_point_of_its_run_counts_back() -> None:
    """As the distance of a gate does."""
    found = ground("  - {string: rear, from: C, drops: [[0, 12 in], [60, 0 in], [160, 24 in]]}")
    assert feet(found.profiles[0], 0, 100, 160) == pytest.approx([100, 102, 101])


def test_strings_that_nothing_ties_to_one_another_are_not_laid_on_one_line() -> None:
    """The part that reaches farthest counts, the ground of the other is not known; no line leads from one to the other."""
    found = ground(
        "  - {string: rear, drops: [[0, 0 in], [40, 12 in]]}\n  - {string: rear, from: B, drops: [[0, 6 in], [60, 18 in]]}"
    )
    (rear,) = found.profiles
    assert [(gap.from_m / FOOT, gap.to_m / FOOT) for gap in rear.unknown] == [pytest.approx((0, 100))]
    assert {"ground-not-tied", "ground-island-left", "ground-not-reached"} == set(slugs(found))


def test_a_string_hung_lower_is_tied_where_both_were_measured_from() -> None:
    """One station under both strings: the ground there is one, with no name."""
    found = ground(
        "  - {string: rear, drops: [[0, 12 in], [50, 30 in]]}\n  - {string: rear, drops: [[50, 6 in], [100, 18 in], [160, 30 in]]}"
    )
    assert feet(found.profiles[0], 0, 50, 100, 160) == pytest.approx([100, 98.5, 97.5, 96.5])
    assert slugs(found) == []


def test_a_gap_between_two_strings_is_straight_from_what_is_known_on_either_side() -> None:
    """Not along the line between two far points, which would leave a step at both its ends."""
    found = ground(
        "  - {spot: B, height: 97 ft}\n"
        "  - {string: rear, drops: [[0, 0 in], [40, 36 in]]}\n"
        "  - {string: [A, B], from: B, drops: [[0, 0 in], [40, 12 in]]}"
    )
    assert feet(found.profiles[0], 0, 40, 50, 60, 100) == pytest.approx([100, 97, 96.5, 96, 97])
    assert "ground-jump" not in slugs(found)
    assert "ground-straight-assumed" in slugs(found)


def test_an_even_fall_is_ground_and_a_bare_one_is_words() -> None:
    found = ground("  - {falls: 14 in, from: A, to: B, even: yes}\n  - {rises: 6 in, from: B, to: C}")
    (rear,) = found.profiles
    assert rear.how == ("story",)
    assert feet(rear, 0, 50, 100) == pytest.approx([100, 100 - 7 / 12, 100 - 14 / 12])
    assert slugs(found) == ["ground-fall-not-even", "ground-not-reached"]
    assert rear.sigmas_m[1] > rear.sigmas_m[0] == 0.0


def test_levels_at_both_ends_are_straight_only_as_assumed() -> None:
    levels = "levels: [{notes: [{point: A, back: 5}, {point: B, fore: 7}]}]\n"
    found = ground("", more=levels)
    assert feet(found.profiles[0], 0, 50, 100) == pytest.approx([100, 99, 98])
    assert "ground-straight-assumed" in slugs(found)
    vouched = ground("  - {falls: 24 in, from: A, to: B, even: yes}", more=levels)
    assert "ground-straight-assumed" not in slugs(vouched)
    assert vouched.profiles[0].how == ("story",)
    assert feet(vouched.profiles[0], 50) == pytest.approx([99])


def test_spots_make_triangles_and_one_near_a_run_bends_it() -> None:
    corners = "  - {spots: [[0, 0, 100], [100, 0, 100], [100, 60, 100], [0, 60, 100]]}\n"
    flat = ground(corners, "")
    assert flat.profiles[0].how == ("spots",)
    assert feet(flat.profiles[0], 0, 50, 160) == pytest.approx([100, 100, 100])
    hump = ground(corners + "  - {spot: [50, 4], height: 102}", "")
    assert feet(hump.profiles[0], 50) == pytest.approx([100])  # the run is a side of the triangles: 4 ft off is off
    on_it = ground(corners + "  - {spot: [50, 0], height: 102}", "")
    assert feet(on_it.profiles[0], 25, 50, 75) == pytest.approx([101, 102, 101])


def test_levels_at_corners_reach_a_run_set_back_from_them() -> None:
    """Four levelled corners, the fence 3 ft inside: the ground comes from triangles over the corners."""
    made = read_text("""palewright: 1
job: {title: A lot, unit: ft}
points:
  NW: {at: [0, 80], height: 104}
  NE: {at: [60, 80], height: 104}
  SE: {at: [60, 0], height: 100}
  SW: {at: [0, 0], height: 100}
  step: {at: [30, 40], height: 120}
boundary: {through: [NW, NE, SE, SW]}
fences: {f: {kind: boards, good side: neighbour}}
runs: [{name: east, fence: f, sides: [2], inside boundary: {post: 3 ft}, follows: racked}]
""")
    path = [(57 * FOOT, 77 * FOOT), (57 * FOOT, 3 * FOOT)]
    (east,) = ground_under(made, build_site(made), [("east", path)]).profiles
    assert east.how == ("spots",)
    assert feet(east, 0, 37, 74) == pytest.approx([103.85, 102, 100.15])  # the step of the house is no ground


def test_a_spot_under_a_string_is_compared_with_it() -> None:
    string = "  - {string: [A, B], drops: [[0, 0 in], [100, 12 in]]}\n"
    off = ground(string + "  - {spot: [50, 0], height: 99}")
    args = next(dict(remark.args) for remark in off.remarks if remark.slug == "ground-spot-off-string")
    assert (args["x_m"], args["most_m"]) == (50 * FOOT, pytest.approx(0.5 * FOOT))
    assert "ground-spot-off-string" not in slugs(ground(string + "  - {spot: [50, 0], height: 99.45}"))


def test_spots_on_one_line() -> None:
    found = ground("  - {spots: [[0, 30, 100], [50, 30, 101], [90, 30, 102]]}", "")
    assert found.profiles == ()
    assert slugs(found) == ["spots-on-a-line", "ground-run-unknown"]
    along = ground("  - {spots: [[0, 0, 100], [20, 0, 101], [40, 0, 100]]}", "")
    assert feet(along.profiles[0], 10, 20, 30) == pytest.approx([100.5, 101, 100.5])


def test_two_ways_that_disagree_are_told() -> None:
    found = ground(
        "  - {string: [A, B], drops: [[0, 0 in], [100, 12 in]]}\n  - {spots: {A: 100, B: 98.4}, within: 0.02}"
    )
    args = next(dict(remark.args) for remark in found.remarks if remark.slug == "ground-heights-differ")
    assert args["point"] == "B"
    both = ground("  - {spots: {A: 103}, within: 0.02}")
    args = dict(both.remarks[0].args)
    assert (both.remarks[0].slug, args["taken"], args["left"]) == (
        "ground-heights-differ",
        "ground levels",
        "ground spots",
    )
    assert args["most_m"] == pytest.approx(3 * FOOT)
    told = ground("  - {falls: 14 in, from: A, to: B, even: yes, within: 1 in}\n  - {spots: {B: 95}}")
    assert "ground-fall-differs" in slugs(told)


@pytest.mark.parametrize(
    ("heights", "slug"),
    [
        ("  - {string: [A, B], drops: [[0, 0 in], [8, 3 in], [4, 1 in]]}", "profile-turns-back"),
        ("  - {string: [A, B], drops: [[0, 0 in], [8, 3 in], [8, 30 in]]}", "profile-wall"),
        ("  - {string: [A, B], drops: [[0, 0 in]]}", "wrong-number"),
        ("  - {string: [A, A], drops: [[0, 0 in], [1, 0 in]]}", "same-point"),
        ("  - {string: rare, drops: [[0, 0 in], [8, 3 in]]}", "unknown-run"),
        ("  - {string: [A, B], from: C, drops: [[0, 0 in], [8, 3 in]]}", "height-way"),
        ("  - {string: [A, B]}", "missing-key"),
        ("  - {falls: 3 in, spot: A}", "height-way"),
        ("  - {falls: 3 in, from: A}", "missing-key"),
        ("  - {with: water level}", "height-way"),
        ("  - {spot: A, drops: [[0, 0 in], [1, 0 in]], height: 3}", "height-way"),
        ("  - {spot: [nan, 3], height: 3}", "length-not-number"),
        ("  - {spots: {Q: 3}}", "unknown-point"),
        ("  - {surface: a.xml, zero at: [400, 3]}", "not-a-number"),
    ],
)
def test_heights_that_cannot_be(heights: str, slug: str) -> None:
    with pytest.raises(JobError) as caught:
        job(heights)
    assert [problem.slug for problem in caught.value.problems] == [slug]


@pytest.mark.parametrize(
    ("style", "found"),
    [
        ("feet-inches", "4' 0\" after 8' 0\""),
        ("decimal-feet", "4.00' after 8.00'"),
        ("metric", "1.219 m after 2.438 m"),
    ],
)
def test_stations_are_said_as_the_job_writes_lengths(style: str, found: str) -> None:
    text = (HEAD % "").replace("unit: ft", f"unit: ft, print: {style}")
    with pytest.raises(JobError) as caught:
        read_text(text + "heights:\n  - {string: [A, B], drops: [[0, 0 in], [8, 3 in], [4, 1 in]]}")
    assert [problem.found for problem in caught.value.problems] == [found]


def test_a_string_between_points_that_nothing_fixes() -> None:
    more = "walls: [{from: P, to: Q, length: 10 ft}]\n"
    made = job("  - {string: [P, Q], drops: [[0, 0 in], [8, 3 in]]}", more=more)
    with pytest.raises(JobError, match="point-not-fixed"):
        build_site(made)


def test_strings_that_do_not_fit_the_site() -> None:
    made = job("  - {string: [A, B], drops: [[0, 0 in], [120, 3 in]]}")
    with pytest.raises(ProblemError, match="string-too-long"):
        ground_under(made, build_site(made), PATHS)
    made = job("  - {spots: {A: 3}, with: crystal ball}", "")
    with pytest.raises(ProblemError) as caught:
        ground_under(made, build_site(made), PATHS)
    assert (caught.value.problems[0].slug, caught.value.problems[0].where.line) == ("accuracy-unknown", 10)
    made = job("  - {spots: [[0, 0, 1], [0, 0, 9], [9, 9, 3], [0, 9, 3]]}", "")
    with pytest.raises(ProblemError, match="spots-two-heights"):
        ground_under(made, build_site(made), PATHS)


def test_files_of_ground(tmp_path: Path) -> None:
    np.savez(tmp_path / "dem.npz", elevation=np.add.outer(np.arange(12.0) * 0, np.arange(16.0)),
             affine=np.array([10.0, 0, -15, 0, -10, 75]))  # fmt: skip
    made = job(
        "  - {grid: dem.npz, unit: ft, within: 0.5 ft}\n  - {string: [A, B], drops: [[0, 0 in], [20, 0 in]]}", ""
    )
    made = read_ground(made, tmp_path)
    found = ground_under(made, build_site(made), PATHS)
    (rear,) = found.profiles
    assert rear.how == ("drops", "grid")  # the string hangs where the grid has its first point
    assert rear.source == "dem.npz"
    assert feet(rear, 0, 20, 50, 130) == pytest.approx([1.0, 1.0, 6.0, 11.0])
    assert slugs(found) == ["ground-conflict", "ground-jump"]
    values = np.ones((12, 16))
    values[:, 6:9] = np.nan
    np.savez(tmp_path / "dem.npz", elevation=values, affine=np.array([10.0, 0, -15, 0, -10, 75]))
    holed = read_ground(job("  - {grid: dem.npz, unit: ft, with: lidar}", ""), tmp_path)
    gap = ground_under(holed, build_site(holed), PATHS)
    assert [
        (r.slug, round(dict(r.args)["from_m"] / FOOT), round(dict(r.args)["to_m"] / FOOT)) for r in gap.remarks
    ] == [("ground-no-data", 40, 80)]
    with pytest.raises(JobError) as caught:
        read_ground(job("  - {grid: none.tif, unit: ft}\n  - {grid: dem.npz}", ""), tmp_path)
    assert [(p.slug, p.where.line) for p in caught.value.problems] == [("file-missing", 10), ("unit-not-said", 11)]


def test_levels_from_zero_lift_the_file(tmp_path: Path) -> None:
    np.savez(tmp_path / "dem.npz", elevation=np.full((12, 16), 700.0), affine=np.array([10.0, 0, -15, 0, -10, 75]))
    levels = "levels: [{notes: [{point: A, back: 5}, {point: B, fore: 5}]}]\n"
    made = read_ground(job("  - {grid: dem.npz, unit: ft, within: 0.3}", "", levels), tmp_path)
    found = ground_under(made, build_site(made), PATHS)
    assert feet(found.profiles[0], 0, 50, 130) == pytest.approx([0, 0, 0], abs=1e-9)
    assert slugs(found) == ["ground-file-lifted"]


def test_a_hump_between_far_spots_is_no_conflict() -> None:
    """A string finds 12 in between two spots 100 ft apart: no fault of either; with a spot in the middle it is one."""
    spots = "  - spots: [[0, 0, 100], [100, 0, 100], [0, 60, 100], [100, 60, 100]MORE]\n"
    string = "  - {string: [A, B], drops: [[0, 12 in], [50, 0 in], [100, 12 in]]}"
    for more, told in (("", []), (", [50, 5, 100]", ["ground-conflict"])):
        found = ground(spots.replace("MORE", more) + string, "")
        conflicts = [remark for remark in found.remarks if remark.slug == "ground-conflict"]
        assert [remark.slug for remark in conflicts] == told
        assert all(dict(remark.args)["from_m"] == 0.0 for remark in conflicts)


def test_a_tape_between_known_heights_counts_as_level_and_both_readings_are_told() -> None:
    """A 50 ft tape whose ends are 5 ft apart in height: along the slope it is 49.749 ft level, 3 in less."""
    tape = "measured: [{tape: [A, B], reads: 50%s}]\n"
    found = ground("  - {spot: B, height: 95}", more=tape % "")
    args = next(dict(r.args) for r in found.remarks if r.slug == "tapes-on-slope")
    assert (args["tapes"], args["most_m"] / FOOT) == ("A - B", pytest.approx(50 - 2475**0.5))
    assert "tapes-on-slope" not in slugs(ground("  - {spot: B, height: 98}", more=tape % ", rises: 2"))
    assert "tapes-on-slope" not in slugs(ground("  - {spot: B, height: 99.5}", more=tape % ""))


def test_a_typed_rise_that_the_heights_contradict_is_told() -> None:
    found = ground("  - {spot: B, height: 95}", more="measured: [{tape: [A, B], reads: 50, rises: 2}]\n")
    args = next(dict(r.args) for r in found.remarks if r.slug == "tape-rise-differs")
    assert (args["typed_m"] / FOOT, args["found_m"] / FOOT) == (pytest.approx(2), pytest.approx(5))
