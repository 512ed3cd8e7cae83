"""Rises and levelling notes of a job: heights, what is wrong and what is missing in crew words, closure, falls of runs."""

from __future__ import annotations

import pytest

from palewright import jobfile, plan
from palewright.errors import JobError
from palewright.model import Plan

FT, IN = 0.3048, 0.0254
POINTS = "A: {at: [0 ft, 0 ft]}, B: {at: [100 ft, 0 ft]}, C: {at: [100 ft, 60 ft]}"
FENCE = (
    "fences: {f: {kind: boards, good side: yard}}\n"
    "runs: [{name: r, fence: f, through: [A, B, C], yard: left, follows: racked}]\n"
)


def made(body: str, points: str = POINTS, fence: str = FENCE) -> Plan:
    text = f"palewright: 1\njob: {{title: Bramble lot}}\npoints: {{{points}}}\n{body}{fence}"
    return plan.make_plan(jobfile.read_bytes(text.encode(), "job.yaml"))


def rises(**reads: str) -> str:
    rows = (f"  - {{rise: [{', '.join(pair)}], reads: {text}, within: 1/8 in}}\n" for pair, text in reads.items())
    return "measured:\n" + "".join(rows)


def notes(*rows: str, more: str = "within: 0.01 ft") -> str:
    return f"levels:\n  - {more}\n    notes:\n" + "".join(f"      - {{{row}}}\n" for row in rows)


def said(result: Plan, start: str = "") -> dict[str, dict[str, object]]:
    return {r.slug: dict(r.args) for r in result.remarks if r.slug.startswith(start)}


def heights(result: Plan) -> dict[str, float]:
    return {point.name: point.height for point in result.site.heights.points}


LOOP = ("point: BM, back: 4.32 ft", "point: A, fore: 6.10 ft", "point: TP, fore: 5.10 ft, back: 3.88 ft",
        "point: C, fore: 6.40 ft", "point: BM, fore: 3.11 ft")  # fmt: skip


# ---------------------------------------------------------------- heights


def test_without_a_given_height_the_first_point_counts_as_zero():
    result = made(rises(AB="-2 ft", BC="6 in"))
    assert heights(result) == {"A": 0.0, "B": pytest.approx(-2 * FT), "C": pytest.approx(-1.5 * FT)}
    assert result.site.heights.above == "A"
    assert said(result)["heights-relative"] == {"point": "A"}


def test_a_line_of_levels_floats_on_the_point_where_it_begins():
    result = made(rises(AB="-2 ft") + notes(*LOOP))
    assert result.site.heights.above == "BM"


def test_a_given_height_carries_the_rest_and_does_not_move():
    result = made(notes(*LOOP), POINTS + ", BM: {height: 100 ft}")
    assert "heights-relative" not in said(result)
    found = heights(result)
    assert found["BM"] == 100 * FT
    # 100 + 4.32 - 6.10 = 98.22; the loop misses by 4.32 + 3.88 - 5.10 - 3.11 = -0.01 ft, a quarter of it a reading
    assert found["A"] / FT == pytest.approx(98.22 + 0.0025, abs=1e-9)
    assert set(found) == {"BM", "A", "TP", "C"}


def test_the_tool_gives_the_sigma_and_what_is_not_said_is_the_poorer():
    body = "measured: [{rise: [A, B], reads: 1 ft, with: water level}, {rise: [A, C], reads: 1 ft}]\n"
    sigma = {p.name: p.sigma for p in made(body).site.heights.points}
    assert sigma["B"] == pytest.approx(0.125 * IN)
    far = (100.0**2 + 60.0**2) ** 0.5 * FT
    assert sigma["C"] == pytest.approx(((0.25 * IN) ** 2 + (far / 1000.0) ** 2) ** 0.5)


def test_a_tool_nobody_knows_is_a_problem_where_it_stands():
    with pytest.raises(JobError) as caught:
        made("measured: [{rise: [A, B], reads: 1 ft, with: crystal ball}]\n")
    (problem,) = caught.value.problems
    assert (problem.slug, problem.where.line) == ("accuracy-unknown", 4)
    assert "water level" in problem.allowed


def test_a_height_alone_is_a_height():
    result = made("", POINTS + ", BM: {height: 312.5 ft}")
    assert heights(result) == {"BM": 312.5 * FT}
    assert said(result)["heights-missing"] == {"points": "A, B, C", "start": "BM"}


# ---------------------------------------------------------------- what is wrong

CHECKED = {"AB": "-24 in", "BC": "6 in", "CA": "18 in", "AD": "3 in", "BD": "27 in", "CD": "21 in"}


def test_a_wrong_rise_is_named_with_its_size_and_its_slip_and_left_out():
    result = made(rises(**(CHECKED | {"BD": "3 ft 3 in"})))
    args = said(result, "rise-suspect")["rise-suspect"]
    assert (args["start"], args["end"], args["more"], args["guess"]) == ("B", "D", "larger", "whole feet")
    assert (args["by_m"], args["reading_m"]) == (pytest.approx(FT), pytest.approx(27 * IN))
    assert heights(result)["D"] == pytest.approx(3 * IN)


def test_a_rise_written_down_for_a_fall_is_told():
    args = said(made(rises(**(CHECKED | {"BD": "-27 in"}))))["rise-suspect"]
    assert (args["guess"], args["reading_m"]) == ("up for down", pytest.approx(27 * IN))


def test_one_check_cannot_know_which_reading_is_wrong():
    result = made(rises(AB="-24 in", BC="6 in", CA="2 ft 6 in"))
    found = said(result)
    assert found["heights-one-wrong"] == {"count": 3, "readings": "A - B, B - C, C - A"}
    assert found["rise-slip"]["guess"] == "whole feet"
    assert "rise-suspect" not in found
    assert result.site.heights.adjusted.dof == 1


def test_between_two_given_heights_they_are_named_too():
    result = made(
        rises(AB="-24 in"), POINTS.replace("A: {", "A: {height: 10 ft, ").replace("B: {", "B: {height: 9 ft, ")
    )
    assert said(result)["heights-one-wrong"] == {"count": 1, "readings": "A - B", "heights": "A, B"}


def test_a_given_height_that_three_others_contradict_is_let_go():
    given = POINTS.replace("A: {", "A: {height: 10 ft, ").replace("B: {", "B: {height: 9 ft, ")
    given = given.replace("C: {", "C: {height: 8.5 ft, ") + ", D: {height: 10.25 ft}"
    result = made(rises(**CHECKED), given)
    assert said(result)["heights-given-wrong"] == {"points": "B", "by_m": pytest.approx(FT)}
    assert heights(result)["B"] == pytest.approx(8 * FT)


def test_a_rod_misread_by_a_foot_is_named_by_its_point_and_sight():
    levels = notes(*LOOP[:3], "point: C, fore: 5.40 ft", LOOP[4])  # 6.40 ft stood on the rod
    ties = "measured:\n" + "".join(
        f"  - {{rise: [{ends}], reads: {x}, within: 0.01 ft}}\n"
        for ends, x in (("A, C", "-1.52 ft"), ("BM, C", "-3.3 ft"))
    )
    args = said(made(levels + ties, POINTS + ", BM: {height: 100 ft}"))["rod-suspect"]
    assert (args["sight"], args["point"], args["reads"], args["more"]) == ("foresight", "C", "5.40 ft", "smaller")
    assert (args["guess"], args["reading_m"]) == ("whole feet", pytest.approx(6.4 * FT))
    assert args["by_m"] == pytest.approx(FT, abs=0.01 * FT)


def test_points_that_nothing_ties_are_named_with_the_reading_that_would():
    result = made(rises(AB="-24 in", PQ="6 in"))
    assert said(result)["heights-loose"] == {"points": "P, Q", "start": "A", "end": "P"}
    assert result.site.heights.missing[0].names == ("P", "Q")
    assert said(result)["heights-missing"] == {"points": "C", "start": "A"}


# ---------------------------------------------------------------- closure


def test_a_loop_that_closes_says_what_practice_allows():
    args = said(made(notes(*LOOP)))["levels-close"]
    assert (args["start"], args["end"]) == ("BM", "BM")
    assert (args["off_m"], args["allowed_m"]) == (pytest.approx(0.01 * FT), pytest.approx(0.02 * FT))
    assert args["expected_m"] == pytest.approx(1.96 * 0.01 * FT * 2**0.5)


def test_a_loop_that_misses_is_a_caution_and_every_reading_of_it_is_named():
    result = made(notes(*LOOP[:4], "point: BM, fore: 3.31 ft"))
    found = said(result)
    assert found["levels-miss"]["off_m"] == pytest.approx(0.21 * FT)
    assert found["heights-one-wrong"]["readings"] == "BM (4.32 ft), TP (5.10 ft), TP (3.88 ft), BM (3.31 ft)"


def test_a_line_that_ends_anywhere_is_not_checked():
    result = made(notes(*LOOP[:4]))
    assert said(result)["levels-open"] == {"line": 1, "point": "BM"}
    assert result.site.heights.closures == ()
    assert said(result)["heights-unchecked"] == {"count": 5}


def test_standards_are_given_where_the_length_is_known():
    (closure,) = made(notes(*LOOP, more="within: 0.01 ft\n    length: 250 m")).site.heights.closures
    assert {limit.rule: limit.most_m for limit in closure.limits} == {
        "small site": pytest.approx(0.02 * FT), "third order": pytest.approx(0.006),
        "construction layout": pytest.approx(0.012),
    }  # fmt: skip
    placed = ("point: A, back: 4 ft", "point: B, fore: 5 ft, back: 6 ft", "point: A, fore: 5 ft")
    (closure,) = made(notes(*placed)).site.heights.closures
    assert closure.length_m == pytest.approx(200 * FT)


def test_a_reading_still_asked_for_breaks_the_line_and_nothing_else():
    rows = (LOOP[0], LOOP[1], "point: TP, fore: ask, back: 3.88 ft", LOOP[3])
    result = made(notes(*rows))
    assert said(result)["heights-loose"] == {"points": "TP, C", "start": "BM", "end": "TP"}
    assert result.site.heights.closures == ()


# ---------------------------------------------------------------- falls of runs


def test_the_fall_of_a_run_comes_from_the_heights_of_its_ends():
    result = made(rises(AB="-2 ft", BC="6 in"))
    (run,) = result.design.runs
    assert (run.fall_m, run.fall_by, run.level_assumed) == (pytest.approx(1.5 * FT), "levelled", False)
    assert run.profile.heights_m[0] - run.profile.heights_m[-1] == pytest.approx(1.5 * FT)
    assert "ground-straight-assumed" in said(result)


def test_a_typed_fall_that_the_heights_contradict_gives_way_and_is_told():
    result = made(rises(AB="-2 ft", BC="6 in") + "heights: [{falls: 30 in, from: A, to: B}]\n")
    assert said(result)["fall-differs"] == {
        "start": "A", "end": "B", "typed_way": "falls", "typed_m": pytest.approx(30 * IN), "levelled_way": "falls",
        "levelled_m": pytest.approx(24 * IN),
    }  # fmt: skip
    assert "fall-typed" not in said(result)


def test_a_typed_fall_stays_as_typed_where_an_end_has_no_height():
    result = made(rises(AB="-2 ft") + "heights: [{falls: 6 in, from: B, to: C}]\n")
    (run,) = result.design.runs
    assert (run.fall_m, run.fall_by) == (pytest.approx(6 * IN), "typed")
    assert said(result)["fall-typed"]["fall_m"] == pytest.approx(6 * IN)


def test_a_run_without_heights_keeps_level_ground():
    result = made("")
    assert result.site.heights is None
    assert "level-ground-assumed" in said(result)
    assert (result.design.runs[0].fall_m, result.design.runs[0].fall_by) == (None, "")


# ---------------------------------------------------------------- how it came about


def test_every_height_and_closure_is_explained():
    result = made(notes(*LOOP), POINTS + ", BM: {height: 100 ft}")
    reasons = {(r.about, r.quantity): r for r in result.site.reasons}
    assert reasons["point BM", "height"].source == "as typed"
    assert reasons["point A", "height"].value == heights(result)["A"]
    assert reasons["line of levels 1", "misclosure"].value == pytest.approx(-0.01 * FT)
    assert reasons["line of levels 1", "allowed, small site"].source == "common practice"
