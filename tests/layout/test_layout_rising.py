"""Runs put on the ground: post heights, lengths, level strings, and what breaks a rule."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, run

from palewright.errors import JobError
from palewright.model import FenceSpec, Job, Profile, StepSpec, Unknown

GAPS = (("least gap", 0.5 * IN), ("most gap", 14 * IN))
LONG = points(A=(0, 0), B=(100, 0), C=(100, 60))


def profile(*knots_ft: tuple[float, float], name: str = "rear", unknown: tuple[Unknown, ...] = ()) -> Profile:
    stations, heights = zip(*((s * FT, z * FT) for s, z in knots_ft), strict=True)
    return Profile(name, stations, heights, tuple(0.01 for _ in knots_ft), ("spots",), unknown=unknown)


def put(ground: Profile, follows: str, fence=None, runs=None, **more):
    fence = fence or kind(values=GAPS)
    runs = runs or [run("rear", "A", "B", follows=follows, **more)]
    return lay(
        runs,
        LONG,
        kinds={"fence": fence},
        ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
    )


@pytest.mark.parametrize("follows", ["racked", "stepped", "level-top", "grade", "mixed", "best", ""])
def test_level_ground_gives_the_level_answer(follows: str) -> None:
    """Posts, bays and gates are the very same; the room under the fence is the gap of its kind everywhere."""
    gates = (gate("side", 4, 20, "A"),)
    flat = put(profile((0, 7), (13.7, 7), (100, 7)), follows, gates=gates)
    level = lay([run("rear", "A", "B", follows=follows, gates=gates)], LONG, kinds={"fence": kind(values=GAPS)})
    assert flat.posts == level.posts
    assert flat.bays == level.bays
    assert flat.gates == level.gates
    for bay in flat.meetings[0].bays:
        assert bay.least.gap_m == pytest.approx(2 * IN)
        assert bay.most.gap_m == pytest.approx(2 * IN)
        assert bay.breaks == ()
    if follows != "level-top":
        assert flat.meetings[0].cost == pytest.approx(0.0, abs=1e-9)
    assert not any(r.slug in ("level-ground-assumed", "post-lengths-not-final") for r in flat.remarks)


def test_posts_of_a_level_top_end_at_one_height() -> None:
    """And the level string needs no second hanging."""
    design = put(profile((0, 0), (60, -1.5), (100, 0.5)), "level-top")
    meeting = design.meetings[0]
    assert {round(height.top_m, 9) for height in meeting.posts} == {round(meeting.posts[0].top_m, 9)}
    assert len(meeting.strings) == 1
    assert {height.below_string_m for height in meeting.posts} == {0.0}
    for post, height in zip(design.posts, meeting.posts, strict=True):
        assert post.above_m == pytest.approx(height.top_m - height.ground_m)
        assert post.length_m == pytest.approx(height.top_m - height.foot_m)


def test_a_level_string_is_hung_anew_where_tops_lie_two_feet_below_it() -> None:
    """Every top is within a rule's reach, and every post has its string."""
    meeting = put(profile((0, 0), (100, -15)), "racked").meetings[0]
    assert len(meeting.strings) > 5
    assert [label for string in meeting.strings for label in string.posts] == [height.post for height in meeting.posts]
    for height in meeting.posts:
        assert -1e-9 <= height.below_string_m <= 24 * IN + 1e-9
    for string in meeting.strings:
        at = next(height for height in meeting.posts if height.post == string.post)
        assert string.height_m - at.ground_m == pytest.approx(string.above_m)


def test_a_hole_is_as_deep_as_a_taller_post_asks_and_never_shallower() -> None:
    """The depth is asked for with the height that the post has now."""
    asked: list[float] = []
    fence = kind(values=GAPS)

    def embed(kind, role):
        from palewright.model import Embedment

        asked.append(kind.above(role))
        depth = kind.above(role) / 2
        return Embedment(depth, depth, 0.0, "third")

    from palewright.layout.laying import lay_out
    from palewright.model import FenceSpec, Job, Site

    job = Job("t", fences=(FenceSpec("fence", "boards"),), runs=(run("rear", "A", "B", follows="level-top"),))
    site = Site(LONG, None, (), (), (), False)
    ground = profile((0, 0), (50, -2), (100, 0))
    design = lay_out(job, site, {"fence": fence}, embed, lambda paths, called: [ground])
    for post in design.posts:
        more = post.hole.depth_m - max(post.above_m, fence.above(post.role)) / 2
        assert -1e-9 <= more < 1 * IN  # deeper by whole inches
        assert (post.hole.depth_m - fence.above(post.role) / 2) / IN == pytest.approx(
            round((post.hole.depth_m - fence.above(post.role) / 2) / IN)
        )
    assert max(asked) > fence.above("line") + 1.5 * FT


def test_a_post_that_two_runs_share_is_as_high_as_the_higher_asks() -> None:
    """One post, two runs: level top on one side, racked on the other."""
    runs = [
        run("rear", "A", "B", follows="level-top"),
        run("side", "B", "C", follows="racked"),
    ]
    grounds = {"rear": profile((0, 0), (100, -2)), "side": profile((0, 40), (60, 41))}
    design = lay(
        runs,
        LONG,
        kinds={"fence": kind(values=GAPS)},
        ground=lambda paths, called: [replace(ground, run=name) for name, ground in grounds.items()],
    )
    shared = next(post for post in design.posts if len(post.places) == 2)
    heights = [height for meeting in design.meetings for height in meeting.posts if height.post == shared.label]
    assert len(heights) == 2
    assert heights[0].top_m - heights[0].ground_m == pytest.approx(heights[1].top_m - heights[1].ground_m)
    assert shared.above_m > 74 * IN + 1.9 * FT


@pytest.mark.parametrize("dark_ft", [24, 0])
def test_a_shared_post_is_no_shorter_than_its_run_on_ground_not_known_asks(dark_ft: float) -> None:
    """6 ft boards, dark where they end or all along, meet a low fence on known ground: boards 2 in up and 72 in high
    stand 74 in over their post's ground."""
    low = replace(kind(values=GAPS), name="low", height_m=4 * FT, infill_m=46 * IN, post_top_m=(("line", 48 * IN),))
    runs = [run("rear", "A", "B", follows="stepped"), run("side", "B", "C", fence="low", follows="grade")]
    unknown = (Unknown(dark_ft * FT, 100 * FT, "not-measured"),)
    grounds = {
        "rear": profile((0, 0), (24, -0.3), (100, -0.3), unknown=unknown),
        "side": profile((0, -0.5), (60, -0.2)),
    }
    for known in (grounds, {"side": grounds["side"]}):
        design = lay(
            runs,
            LONG,
            kinds={"fence": kind(values=GAPS), "low": low},
            ground=lambda paths, called, known=known: [replace(ground, run=name) for name, ground in known.items()],
        )
        shared = next(post for post in design.posts if len(post.places) == 2)
        assert shared.above_m == pytest.approx(74 * IN)


def test_what_breaks_a_rule_is_told_with_place_and_size() -> None:
    """A hump in the middle of a bay that no racked bottom clears within the gaps."""
    fence = kind(values=(("least gap", 0.5 * IN), ("most gap", 3 * IN)))
    design = put(profile((0, 0), (50, 0), (52, 0.9), (54, 0), (100, 0)), "stepped", fence=fence)
    slugs = [remark.slug for remark in design.remarks]
    assert "ground-least-gap" in slugs or "ground-most-gap" in slugs
    broken = [bay for bay in design.meetings[0].bays if bay.breaks]
    assert broken
    for bay in broken:
        worst = dict(bay.breaks)
        if "least-gap" in worst:
            assert bay.least.gap_m == pytest.approx(0.5 * IN - worst["least-gap"])


def test_only_bays_over_ground_that_is_not_known_are_level() -> None:
    """Never a silent zero: they are named with their posts, and the post between two of them is as on level ground."""
    ground = profile((0, 0), (100, -5), unknown=(Unknown(42 * FT, 49 * FT, "outside"),))
    design = put(ground, "stepped")
    meeting = design.meetings[0]
    dark = [bay for bay in design.bays if not meeting.bays[bay.number - 1].known]
    at = {post.label: post.places[0][1] / FT for post in design.posts}
    assert [(at[bay.start], at[bay.end]) for bay in dark] == [
        pytest.approx((500 / 13, 600 / 13)),
        pytest.approx((600 / 13, 700 / 13)),
    ]
    assert not design.runs[0].level_assumed
    assert design.runs[0].assumed == (pytest.approx((500 / 13 * FT, 700 / 13 * FT)),)
    remark = next(r for r in design.remarks if r.slug == "level-ground-assumed-part")
    assert dict(remark.args)["posts"] == "6, 7, 8"
    assert not any(r.slug == "level-ground-assumed" for r in design.remarks)
    between = next(post for post in design.posts if post.label == "7")
    level = lay([run("rear", "A", "B")], LONG, kinds={"fence": kind(values=GAPS)}).posts[6]
    assert (between.above_m, between.length_m, between.hole) == (level.above_m, level.length_m, level.hole)
    heights = {height.post: height for height in meeting.posts}
    assert not heights["7"].known
    assert heights["7"].below_string_m is None
    assert all(heights[label].known and heights[label].below_string_m is not None for label in ("6", "8"))
    assert not any("7" in string.posts for string in meeting.strings)


def test_bays_on_either_side_of_a_gap_do_not_depend_on_the_ground_in_it() -> None:
    """Whatever the straight line over it may be."""
    gap = (Unknown(42 * FT, 49 * FT, "outside"),)
    one = put(profile((0, 0), (42, -2), (49, -2), (100, -5), unknown=gap), "best").meetings[0]
    other = put(profile((0, 0), (42, -2), (45, 9), (49, -2), (100, -5), unknown=gap), "best").meetings[0]
    assert [bay for bay in one.bays if bay.known] == [bay for bay in other.bays if bay.known]


def test_a_run_without_one_bay_on_known_ground_is_level() -> None:
    design = put(profile((0, 0), (100, -5), unknown=(Unknown(3 * FT, 100 * FT, "outside"),)), "racked")
    assert design.meetings == ()
    assert design.runs[0].level_assumed
    slugs = {remark.slug for remark in design.remarks}
    assert {"level-ground-assumed", "post-lengths-not-final"} <= slugs


def test_a_gate_over_ground_that_is_not_known_hangs_as_on_level_ground() -> None:
    gates = (gate("side", 4, 44, "A"),)
    design = put(profile((0, 0), (100, -5), unknown=(Unknown(42 * FT, 49 * FT, "outside"),)), "racked", gates=gates)
    level = lay([run("rear", "A", "B", gates=gates)], LONG, kinds={"fence": kind(values=GAPS)})
    assert design.meetings[0].bays[design.gates[0].bay - 1].mode == "assumed"
    assert design.gates[0].bottom_m == level.gates[0].bottom_m


def test_steps_are_whole_numbers_of_what_was_asked() -> None:
    """And none smaller than the smallest."""
    steps = StepSpec(smallest_m=3 * IN, multiple_m=1 * IN, largest_m=12 * IN)
    meeting = put(profile((0, 0), (100, -9)), "stepped", steps=steps).meetings[0]
    seen = [abs(height.step_m) for height in meeting.posts if abs(height.step_m) > 1e-9]
    assert seen
    for step in seen:
        assert step / IN == pytest.approx(round(step / IN), abs=1e-6)
        assert 3 * IN - 1e-9 <= step <= 12 * IN + 1e-9


@pytest.mark.parametrize("multiple_m", [0.01, 0.02, 0.003, 1e-5, 1 / 3 * IN, 2.5 * IN])
def test_steps_are_what_was_asked_and_not_the_nearest_quarter_inch(multiple_m: float) -> None:
    meeting = put(profile((0, 0), (100, -9)), "stepped", steps=StepSpec(multiple_m=multiple_m)).meetings[0]
    seen = [abs(height.step_m) / multiple_m for height in meeting.posts if abs(height.step_m) > 1e-9]
    assert seen
    assert seen == pytest.approx([round(step) for step in seen], abs=1e-6)


def test_a_level_top_changes_where_it_was_asked_to() -> None:
    """At a named point of the run, and nowhere else."""
    runs = [run("rear", "A", "B", "C", follows="level-top", breaks=("B",))]
    meeting = put(profile((0, 0), (100, -3), (160, -6)), "", runs=runs).meetings[0]
    tops = [bay.top_m for bay in meeting.bays]
    assert all(low == high for low, high in tops)
    assert len({round(low, 6) for low, _ in tops}) == 2


def test_no_level_top_is_proposed_whose_boards_outgrow_their_rails() -> None:
    """A dip that breaks the gap of one racked bay is no reason for a fence that grows by the fall of its whole run."""
    fence = kind(values=(("least gap", 0.5 * IN), ("most gap", 4 * IN)))
    steep = profile((0, 0), (48, -4), (52, -4.8), (56, -4.6), (100, -10))
    met = put(steep, "best", fence=fence).meetings[0]
    assert "level-top" not in {bay.mode for bay in met.bays}
    assert any(bay.breaks for bay in met.bays)
    assert {bay.mode for bay in put(steep, "level-top", fence=fence).meetings[0].bays} == {"level-top"}
    # where the whole run falls by less than a foot the boards reach, and nothing is broken
    gentle = profile((0, 0), (48, -0.2), (52, -0.8), (56, -0.3), (100, -0.4))
    met = put(gentle, "best", fence=fence).meetings[0]
    assert {bay.mode for bay in met.bays} == {"level-top"}
    panels = kind(values=(("least gap", 0.5 * IN), ("most gap", 4 * IN)), family="panels")
    assert "level-top" not in {bay.mode for bay in put(gentle, "best", fence=panels).meetings[0].bays}


def test_the_ground_is_not_dug_to_spare_a_gap_that_a_board_closes() -> None:
    """Steps of 5.7 in to a bay under a gap of 1/2 to 4 in: too much room is told, too little is not."""
    fence = kind(values=(("least gap", 0.5 * IN), ("most gap", 4 * IN)))
    met = put(profile((0, 0), (100, -80 / 12)), "stepped", fence=fence).meetings[0]
    assert {rule for bay in met.bays for rule, _ in bay.breaks} == {"most-gap"}
    assert min(bay.least.gap_m for bay in met.bays) >= 0.5 * IN - 1e-9


def test_the_post_where_a_loop_begins_hangs_on_the_first_string_there() -> None:
    """A string carries it at each end of the run; both tops are the same, and each is below its own string."""
    corners = points(A=(0, 0), B=(60, 0), C=(60, 60))
    ground = profile((0, 0), (60, 8), (120, -4), (120 + 7200**0.5, 0))
    design = lay(
        [run("rear", "A", "B", "C", closed=True, follows="racked")],
        corners,
        kinds={"fence": kind(values=GAPS)},
        ground=lambda paths, called: [replace(ground, run=name) for name, _ in paths],
    )
    meeting = design.meetings[0]
    first, last = meeting.posts[0], meeting.posts[-1]
    assert first.post == last.post
    assert first.top_m + first.below_string_m == pytest.approx(meeting.strings[0].height_m)
    assert last.top_m + last.below_string_m == pytest.approx(meeting.strings[-1].height_m)
    assert meeting.strings[0].height_m != pytest.approx(meeting.strings[-1].height_m)
    assert all(-1e-9 <= height.below_string_m <= 24 * IN + 1e-9 for height in meeting.posts)


@pytest.mark.parametrize(("style", "grid_m"), [("metric", 0.005), ("feet-inches", 0.25 * IN)])
def test_bottoms_stand_on_marks_of_the_tape_of_the_job(style: str, grid_m: float) -> None:
    """Every bottom is a whole number of marks above the first."""
    ground = profile((0, 0), (37, -3.1), (100, -5.3))
    runs = (run("rear", "A", "B", follows="stepped"),)
    job = Job("t", fences=(FenceSpec("fence", "boards"),), runs=runs, print_style=style)
    design = lay(runs, LONG, kinds={"fence": kind(values=GAPS)}, job=job, ground=lambda paths, called: [ground])
    bottoms = [bottom for bay in design.meetings[0].bays for bottom in bay.bottom_m]
    for bottom in bottoms:
        marks = (bottom - bottoms[0]) / grid_m
        assert marks == pytest.approx(round(marks), abs=1e-6)
    assert len({round(bottom, 6) for bottom in bottoms}) > 3


def test_remedies_stand_on_the_record_by_rule_and_bay() -> None:
    """A hump of 11 in under one bay that may have 3 in of room: cut or fill, and how deep; every remedy has its break."""
    fence = kind(values=(("least gap", 0.5 * IN), ("most gap", 3 * IN)))
    meeting = put(profile((0, 0), (50, 0), (52, 0.9), (54, 0), (100, 0)), "stepped", fence=fence).meetings[0]
    breaks = {(bay.bay, rule): by for bay in meeting.bays for rule, by in bay.breaks}
    assert breaks
    assert {(remedy.bay, remedy.rule) for remedy in meeting.remedies} == set(breaks)
    for remedy in meeting.remedies:
        bay = next(bay for bay in meeting.bays if bay.bay == remedy.bay)
        if remedy.slug in ("fill", "kick-board", "more-gap", "cut", "less-gap"):
            assert remedy.amount_m == pytest.approx(breaks[remedy.bay, remedy.rule])
        place = bay.most if remedy.rule == "most-gap" else bay.least
        assert remedy.from_m - 1e-9 <= place.at_m <= remedy.to_m + 1e-9
    assert meeting.remedies[0].start != meeting.remedies[0].end
    assert put(profile((0, 0), (100, 0)), "stepped", fence=fence).meetings[0].remedies == ()


@pytest.mark.parametrize("family", ["panels", "chain link"])
def test_what_is_made_in_one_height_is_refused_under_a_level_top(family: str) -> None:
    """Only boards are cut one by one; on level ground there is nothing to cut."""
    fence = kind(values=GAPS, family=family)
    with pytest.raises(JobError) as caught:
        put(profile((0, 0), (100, -3)), "level-top", fence=fence)
    assert [problem.slug for problem in caught.value.problems] == ["level-top-not-cut"]
    assert put(profile((0, 7), (100, 7)), "level-top", fence=fence).meetings
