"""Parts of a run that follow the ground in their own way."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.test_layout_rising import GAPS, LONG, profile, put
from tests.layout.yard_builder import FT, IN, gate, kind, lay, points, run

from palewright.errors import JobError
from palewright.model import StepSpec, StretchSpec, Zone

SLOPE = profile((0, 0), (100, -6))


def part(start: float, a: str, end: float, b: str, follows: str) -> StretchSpec:
    return StretchSpec((start * FT, a), (end * FT, b), follows)


def stations(design) -> dict[str, float]:
    return {post.label: post.places[0][1] / FT for post in design.posts}


def modes(design) -> list[tuple[str, str, str]]:
    meeting = design.meetings[0]
    bays = design.bays
    return [(bays[met.bay - 1].start, bays[met.bay - 1].end, met.mode) for met in meeting.bays]


def test_the_change_happens_at_a_post_and_each_part_keeps_its_way() -> None:
    design = put(SLOPE, "racked", stretches=(part(0, "A", 42, "A", "stepped"),))
    at = stations(design)
    change = next(post for post in design.posts if post.role == "change")
    assert at[change.label] == pytest.approx(42)
    assert change.why == "stepped to racked"
    for start, end, mode in modes(design):
        assert mode == ("stepped" if at[end] <= 42.001 else "racked"), (start, end)
    asked = {met.asked for met in design.meetings[0].bays if met.mode == "racked"}
    assert asked == {"racked"}
    assert design.runs[0].stretches == ((0.0, pytest.approx(42 * FT), "stepped"),)


def test_bays_are_measured_along_the_slope_only_where_the_fence_lies_along_it() -> None:
    """42 ft level in six bays of 7 ft; 58 ft beyond are longer along a slope of 6 in 100, and none over 8 ft."""
    design = put(profile((0, 0), (100, -50)), "racked", stretches=(part(0, "A", 42, "A", "stepped"),))
    level = [bay.length_m / FT for bay in design.bays if design.meetings[0].bays[bay.number - 1].mode == "stepped"]
    along = [met.along_m / FT for met in design.meetings[0].bays if met.mode == "racked"]
    assert level == pytest.approx([7.0] * 6)
    assert max(along) <= 8.0 + 1e-9
    assert sum(along) == pytest.approx(58 * 1.25**0.5, abs=0.02)


def test_on_level_ground_it_is_the_fence_with_a_post_at_the_change() -> None:
    flat = put(profile((0, 7), (100, 7)), "racked", stretches=(part(0, "A", 42, "A", "stepped"),))
    for bay in flat.meetings[0].bays:
        assert bay.least.gap_m == pytest.approx(flat.meetings[0].bays[0].most.gap_m)
    assert flat.meetings[0].cost == pytest.approx(0.3)  # one change between racked and level


def test_places_are_read_as_those_of_gates() -> None:
    """On from a point; back from the last one; the order of the two does not matter."""
    runs = [run("rear", "A", "B", "C", follows="racked", stretches=(part(0, "C", 20, "C", "level-top"),))]
    design = put(profile((0, 0), (160, -6)), "", runs=runs)
    assert design.runs[0].stretches == ((pytest.approx(140 * FT), pytest.approx(160 * FT), "level-top"),)


def test_a_part_of_a_loop_may_go_over_its_beginning() -> None:
    corners = points(A=(0, 0), B=(60, 0), C=(60, 60), D=(0, 60))
    runs = [run("rear", "A", "B", "C", "D", closed=True, follows="racked",
                stretches=(part(30, "D", 24, "A", "stepped"),))]  # fmt: skip
    design = lay(
        runs,
        corners,
        kinds={"fence": kind(values=GAPS)},
        ground=lambda paths, called: [profile((0, 0), (120, -6), (240, 0), name="rear")],
    )
    assert [(a / FT, b / FT) for a, b, _ in design.runs[0].stretches] == [
        pytest.approx((0, 24)),
        pytest.approx((210, 240)),
    ]


def test_an_end_within_another_post_is_at_that_post() -> None:
    """Two inches beyond the far post of a gate: that post serves."""
    gates = (gate("side", 4, 20, "A"),)
    design = put(SLOPE, "racked", gates=gates, stretches=(part(0, "A", 24.4, "A", "stepped"),))
    assert not any(post.role == "change" for post in design.posts)
    far = stations(design)[design.gates[0].posts[1]]
    assert design.runs[0].stretches == ((0.0, pytest.approx(far * FT), "stepped"),)
    assert {mode for _, end, mode in modes(design) if stations(design)[end] < 20} == {"stepped"}


@pytest.mark.parametrize(
    ("stretches", "slug"),
    [
        ((part(0, "A", 22, "A", "stepped"),), "stretch-in-gate"),
        ((part(0, "A", 42, "A", "stepped"), part(40, "A", 60, "A", "grade")), "stretches-overlap"),
        ((part(42, "A", 42, "A", "stepped"),), "stretch-empty"),
        ((part(0, "A", 142, "A", "stepped"),), "stretch-off-run"),
    ],
)
def test_what_cannot_be_is_a_problem(stretches, slug: str) -> None:
    with pytest.raises(JobError) as caught:
        put(SLOPE, "racked", gates=(gate("side", 4, 20, "A"),), stretches=stretches)
    assert [problem.slug for problem in caught.value.problems] == [slug]


def test_a_post_of_a_change_keeps_out_of_zones_and_says_how_far_to_move() -> None:
    zone = Zone("drain", ((42 * FT, -3.0), (42 * FT, 3.0)), 0.6, "no hole")
    with pytest.raises(JobError, match="change from stepped to racked"):
        lay(
            [run("rear", "A", "B", follows="racked", stretches=(part(0, "A", 42, "A", "stepped"),))],
            LONG,
            kinds={"fence": kind(values=GAPS)},
            zones=(zone,),
        )


def test_the_part_left_to_the_program_is_racked_and_level_beside_another_way() -> None:
    """No level top is proposed beside steps that were asked for; the whole costs what its parts say."""
    design = put(SLOPE, "best", stretches=(part(0, "A", 42, "A", "stepped"),))
    left = {met.mode for met in design.meetings[0].bays if met.asked == "best"}
    assert left <= {"racked", "stepped"}
    assert any(remark.slug == "ground-best-proposed" for remark in design.remarks)


def test_a_run_whose_parts_say_everything_is_not_asked_again() -> None:
    everything = (part(0, "A", 42, "A", "stepped"), part(42, "A", 0, "B", "racked"))
    design = put(SLOPE, "", stretches=everything)
    assert not any(remark.slug in ("follows-not-said", "ground-best-proposed") for remark in design.remarks)


def test_each_part_keeps_steps_of_its_own() -> None:
    """Steps of whole inches in the first part, of 3 in in the second; the rest of the run keeps what the run asks."""
    first = replace(part(0, "A", 40, "A", "stepped"), steps=StepSpec(multiple_m=IN))
    second = replace(part(40, "A", 72, "A", "stepped"), steps=StepSpec(multiple_m=3 * IN, largest_m=6 * IN))
    asked = StepSpec(multiple_m=2 * IN, smallest_m=4 * IN)
    design = put(profile((0, 0), (100, -5)), "stepped", stretches=(first, second), steps=asked)
    at = stations(design)
    assert {40, 72} <= {round(station, 6) for station in at.values()}
    sizes = {round(at[h.post], 6): abs(h.step_m) / IN for h in design.meetings[0].posts if abs(h.step_m) > 1e-9}
    parts = [[size for s, size in sizes.items() if low <= s < high] for low, high in ((0, 40), (40, 72), (72, 100))]
    assert all(parts)
    for sizes_of, whole in zip(parts, (1, 3, 2), strict=True):
        assert [size / whole for size in sizes_of] == pytest.approx(
            [round(size / whole) for size in sizes_of], abs=1e-6
        )
    assert any(size % 3 > 0.01 for size in parts[0])  # the first part is free of what the second keeps
    assert max(parts[1]) <= 6 + 1e-6
    assert min(parts[2]) >= 4 - 1e-6


def test_steps_without_a_common_mark_are_refused() -> None:
    odd = replace(part(0, "A", 40, "A", "stepped"), steps=StepSpec(multiple_m=0.0307))
    with pytest.raises(JobError) as caught:
        put(SLOPE, "stepped", stretches=(odd,), steps=StepSpec(multiple_m=IN))
    assert [problem.slug for problem in caught.value.problems] == ["steps-without-common-mark"]
