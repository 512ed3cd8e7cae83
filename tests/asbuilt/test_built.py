"""As built beside the plan: differences, bays, distances to the line, and nothing that nobody measured."""

import math
from dataclasses import replace

import pytest
from tests.asbuilt.yards import EIGHTH, day, plan_of, said

from palewright.asbuilt import as_built, fold
from palewright.asbuilt.line import measured_sigma
from palewright.model import AsBuilt, LineDistance
from palewright.papers import asbuilt_data, yard_pack


def built(*rows: tuple[str, str, dict[str, object]], name: str = "tansy-court") -> AsBuilt:
    return as_built(plan_of(name), fold(said(*rows)))


def post(made: AsBuilt, label: str):
    return next(post for post in made.posts if post.post == label)


def bay(made: AsBuilt, start: str, end: str):
    return next(bay for bay in made.bays if (bay.start, bay.end) == (start, end))


def test_nothing_entered_is_nothing_known() -> None:
    made = built()
    assert all((p.along_m, p.aside_m, p.depth_m, p.xy, p.line, p.done) == (None,) * 5 + (False,) for p in made.posts)
    assert all((b.built_m, b.clear_m, b.verdict) == (None, None, "") for b in made.bays)
    assert all((g.clear_m, g.latch_m, g.fits) == (None,) * 3 for g in made.gates)
    assert all((r.built_m, r.bays_m, r.gap_m) == (None,) * 3 for r in made.runs)
    assert len(made.open_holes) == len(made.posts)
    assert made.ticket_closed is None


def test_a_tick_is_not_a_measurement() -> None:
    made = built(("post 4", "done", {"done": True}))
    assert post(made, "4").done
    assert post(made, "4").along_m is None


def test_a_moved_post_makes_one_bay_longer_and_the_next_shorter() -> None:
    rows = [(f"post {n}", "measured", {"offset_m": 0.56515, "back_m": 0.0}) for n in (5, 6, 8)]
    made = built(*rows, ("post 7", "moved", {"along_m": 12 * EIGHTH, "why": "rock"}))
    one, two = bay(made, "6", "7"), bay(made, "7", "8")
    assert one.built_m - one.planned_m == pytest.approx(12 * EIGHTH, abs=1e-9)
    assert two.built_m - two.planned_m == pytest.approx(-12 * EIGHTH, abs=1e-9)
    assert one.verdict == two.verdict == "fits"
    assert (post(made, "7").why, post(made, "7").aside_m) == ("rock", None)
    assert post(made, "7").line is None


def test_a_bay_beyond_the_longest_is_told_with_by_how_much() -> None:
    rows = [(f"post {n}", "measured", {"back_m": 0.0}) for n in (5, 7)]
    made = built(*rows, ("post 6", "measured", {"back_m": 0.15}))
    long = bay(made, "5", "6")
    assert (long.verdict, long.remake) == ("too-long", "post")
    assert long.by_m == pytest.approx(long.planned_m + 0.15 - 8 * 0.3048)


def test_a_moved_post_is_judged_with_its_neighbours_as_planned_until_they_are_measured() -> None:
    """Bays of tansy-court are planned evenly; moved 6 in on, the bay behind is 6 in longer, the next 6 in shorter."""
    made = built(("post 6", "moved", {"along_m": 6 * 0.0254, "why": "root"}))
    long, next_one = bay(made, "5", "6"), bay(made, "6", "7")
    assert (long.verdict, long.remake, long.unmeasured) == ("too-long", "post", "5")
    assert long.by_m == pytest.approx(long.planned_m + 6 * 0.0254 - 8 * 0.3048)
    assert (next_one.verdict, next_one.remake, next_one.unmeasured) == ("fits", "", "7")
    assert next_one.built_m == pytest.approx(next_one.planned_m - 6 * 0.0254)
    assert {b.bay for b in made.bays if b.built_m is not None} == {long.bay, next_one.bay}
    open_now, shown = asbuilt_data(plan_of(), made)["open"], asbuilt_data(plan_of(), made)["bays"]
    assert any("5-6" in line and "6-7" not in line for line in open_now)
    assert [row["make"] for row in shown] == [
        "set a post anew or ask the office; post 5 taken as planned: nobody measured it",
        "post 7 taken as planned: nobody measured it",
    ]
    told = bay(
        built(("post 6", "moved", {"along_m": 6 * 0.0254}), ("post 5", "measured", {"back_m": 0.0254})), "5", "6"
    )
    assert (told.unmeasured, told.built_m) == ("", pytest.approx(long.built_m - 0.0254))
    assert bay(built(("post 6", "measured", {"back_m": 0.0254})), "5", "6").built_m is None


def test_a_corner_measured_from_both_strings_is_a_place() -> None:
    """Offsets from two strings that cross give both coordinates: the place is off by both, square to each string."""
    plan = plan_of()
    strings = {string.name: string for string in plan.stakeout.strings}
    rows = [("post 1", "measured", {"offset_m": strings["A"].face_m + 0.02}),
            ("post 1", "measured", {"offset_m": strings["D"].face_m - 0.01, "string": "D"})]  # fmt: skip
    made = built(*rows)
    here, there = next(p.xy for p in plan.design.posts if p.label == "1"), post(made, "1").xy
    for name, by in (("A", 0.02), ("D", -0.01)):
        (ax, ay), (bx, by_) = strings[name].start_xy, strings[name].end_xy
        size = math.dist((ax, ay), (bx, by_))

        def off(p: tuple[float, float], a=(ax, ay), d=((bx - ax) / size, (by_ - ay) / size)) -> float:
            return abs(d[0] * (p[1] - a[1]) - d[1] * (p[0] - a[0]))

        assert off(there) - off(here) == pytest.approx(by, abs=1e-9)


def test_a_post_away_from_the_string_is_nearer_to_the_line_by_as_much() -> None:
    made = built(("post 15", "measured", {"offset_m": 0.56515 + 0.01, "back_m": 0.0}))
    line, planned = post(made, "15").line, post(made, "15").planned_line
    assert line.face_m - planned.face_m == pytest.approx(-0.01, abs=1e-6)
    assert line.footing_m - planned.footing_m == pytest.approx(-0.01, abs=1e-6)
    assert line.sigma_m < planned.sigma_m


def test_uncertainty_of_a_measured_post() -> None:
    """Root of the sum of squares without the setting of the post, with one reading: 1/8 in / (2 sqrt 3), JCGM 100."""
    parts = (
        ("line", 0.003),
        ("network", 0.004),
        ("corner tapes", 0.0),
        ("string", 0.00635),
        ("post", 0.00635),
        ("hole", 0.0254),
    )
    row = LineDistance("2", "rear", 1, 0.2, 0.2, 0.1, 0.01, 0.03, parts=parts)
    upper, lower = measured_sigma(row, EIGHTH)
    assert upper == pytest.approx(math.sqrt(0.003**2 + 0.004**2 + 0.00635**2 + (EIGHTH**2 / 12.0)))
    assert lower == pytest.approx(math.sqrt(upper**2 + 0.0254**2))


def test_what_entries_disagree_on_is_not_used() -> None:
    two = [*said(("post 3", "measured", {"offset_m": 0.56, "depth_m": 1.1}))]
    two.append(
        replace(two[0], id="x", device="other", seq=1, saw=0, number=2, value={"offset_m": 0.60, "depth_m": 1.1})
    )
    made = as_built(plan_of(), fold(two))
    assert (post(made, "3").aside_m, post(made, "3").line, post(made, "3").depth_m) == (None, None, 1.1)
    assert post(made, "3").disputed == ("measured.offset_m",)
    assert len(made.conflicts) == 1


def test_one_string_under_two_names_that_disagree() -> None:
    made = built(("post 3", "measured", {"offset_m": 0.56}), ("post 3", "measured", {"offset_m": 0.60, "string": "A"}))
    assert post(made, "3").aside_m is None
    assert post(made, "3").disputed


def test_the_invented_day() -> None:
    made = as_built(plan_of(), fold(day()))
    assert [state.about for state in made.conflicts] == ["post 20"]
    assert (post(made, "7").why, post(made, "7").moved_m) == ("rock", pytest.approx(0.0381))
    assert made.open_holes == ("28",)
    check = next(check for check in made.checks if check.check == "check 10")
    assert (check.verdict, len(check.tries_m)) == ("passed", 1)
    assert [(b.start, b.verdict) for b in made.bays if b.verdict not in ("", "fits")] == [("15", "too-long")]
    assert (made.ticket_closed, made.ticket, made.signed) == (True, "26-0412-118", "owner of lot 7")
    rear = next(run for run in made.runs if run.run == "rear")
    assert rear.gap_m > rear.gap_limit_m
    assert made.unknown == ()


def test_an_entry_about_what_the_plan_does_not_have_is_named_and_not_used() -> None:
    made = built(("post 99", "done", {"done": True}), ("gate barn", "gate", {"clear_m": 3.0}))
    assert set(made.unknown) == {"post 99", "gate barn"}


def test_stretches_of_wire() -> None:
    name = "field-fence-virginia"
    run = plan_of(name).lines[0].run
    made = built((f"stretch {run}/1", "done", {"done": True}), (f"run {run}", "length", {"built_m": 400.0}), name=name)
    assert made.wire[0][:2] == (run, 1)
    assert made.runs[-1].built_m == 400.0


def test_panels_are_cut_to_the_bays_as_built() -> None:
    made = built(
        *[(f"post {n}", "measured", {"back_m": by}) for n, by in ((2, 0.0), (3, -0.02), (4, 0.0))], name="corner-lot"
    )
    changed = [b for b in made.bays if b.built_m is not None]
    assert changed
    for b in changed:
        assert b.clear_m - b.planned_clear_m == pytest.approx(b.built_m - b.planned_m)


def test_a_signed_length_comes_from_the_job_file(tmp_path) -> None:
    from tests.asbuilt.yards import EXAMPLES

    from palewright import plan as engine

    text = (
        (EXAMPLES / "chain-link-run.yaml")
        .read_text("utf-8")
        .replace("runs:\n  - name:", "runs:\n  - signed: 205 ft\n    name:")
    )
    (tmp_path / "job.yaml").write_text(text, "utf-8")
    plan = engine.make_plan(*engine.load(tmp_path / "job.yaml"), search_cuts=False)
    made = as_built(plan, fold([]))
    assert [run.signed_m for run in made.runs][:1] == [pytest.approx(205 * 0.3048)]


def test_posts_of_wire_that_were_set_and_one_that_is_too_shallow() -> None:
    """E1 stands 42 in deep by the plan; 40 in is too shallow, 42 in of B1 is not."""
    name = "field-fence-virginia"
    run = plan_of(name).lines[0].run
    made = built(
        (f"post {run}/E1", "done", {"done": True}),
        (f"post {run}/E1", "measured", {"depth_m": 40 * 0.0254}),
        (f"post {run}/B1", "measured", {"depth_m": 42 * 0.0254}),
        ("gate field gate", "gate", {"clear_m": 4.8}),
        name=name,
    )
    posts = made.wire_posts[0]
    assert (posts.run, posts.done) == (run, 1)
    assert posts.count == sum(len(one.posts) for one in plan_of(name).lines[0].assemblies)
    assert [label for label, deep, needed in posts.depths if deep < needed - 1e-6] == ["E1"]
    assert (made.gates[-1].clear_m, made.gates[-1].fits, made.unknown) == (4.8, None, ())


def test_the_room_below_a_run_is_judged_alike_on_the_phone_and_on_the_sheet() -> None:
    """The rules of the corner lot as typed allow 2 in below a pool barrier; its boards are planned 1 1/2 in up."""
    plan = plan_of("corner-lot")
    made = {f"run {run.run}": run for run in built(name="corner-lot").runs}
    for run in yard_pack(plan)["runs"]:
        last_good = next(row["to"] for row in run["gap"]["rows"] if row["ok"])
        assert last_good == int(made[run["about"]].gap_limit_m / (0.0254 / 8) + 1e-6)
    assert {name: (round(run.gap_limit_m / 0.0254, 3), run.limit_by) for name, run in made.items()} == {
        "run yard": (2.0, "rule"),
        "run front": (2.0, "planned"),
    }


@pytest.mark.parametrize(
    ("name", "label", "face_in"),
    [
        ("proclamation-7647", "3", 24 - 3.5 / 2),
        ("proclamation-7647", "4", 24 - 5.5 / 2),
        ("chain-link-run", "2", 24 - 1.625 / 2),
        ("chain-link-run", "1", 24 - 2.375 / 2),
    ],
)
def test_a_thicker_post_is_measured_to_its_own_face(name: str, label: str, face_in: float) -> None:
    """Post centres stand 24 in from the string: what is read to a face is less by half the section of that post."""
    plan = plan_of(name)
    hole = next(hole for hole in yard_pack(plan)["holes"] if hole["label"] == label)
    ticks = math.floor(face_in * 8 + 0.5)
    said = next(row for row in hole["offset"]["rows"] if row["from"] <= ticks <= row["to"])
    assert (hole["offset"]["ticks"], said["ok"]) == (ticks, True)
    usual = {string.name: string.face_m for string in plan.stakeout.strings}[hole["string"].removeprefix("string ")]
    assert (hole["face_note"] != "") == (abs(usual - face_in * 0.0254) > 1e-6)
    made = post(built((f"post {label}", "measured", {"offset_m": (face_in + 1) * 0.0254}), name=name), label)
    assert made.offset_m == pytest.approx(face_in * 0.0254)
    assert made.aside_m == pytest.approx(0.0254)
    if name == "proclamation-7647":
        assert made.planned_line.face_m - made.line.face_m == pytest.approx(0.0254, abs=1e-5)
