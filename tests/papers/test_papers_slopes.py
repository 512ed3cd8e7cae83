"""Slopes on the papers: post tops under level strings, bays on the ground, level tapes; nothing of it on level ground."""

from __future__ import annotations

import functools
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from palewright import jobfile
from palewright.layout.grade import height_at
from palewright.model import Plan
from palewright.notation import show_length
from palewright.papers import crew_data, decisions_data
from palewright.papers.sheet import Sheet
from palewright.papers.write import set_paper
from palewright.plan import make_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
EIGHTH = 0.0254 / 8


@functools.cache
def plan_of(name: str) -> Plan:
    return make_plan(jobfile.read(EXAMPLES / f"{name}.yaml"))


@pytest.fixture(scope="module")
def yard() -> Plan:
    return plan_of("sloping-yard")


def test_what_hangs_on_a_string_adds_up(yard: Plan) -> None:
    """Ground below string = top below string + post above ground; the post is as long as from its top to its foot."""
    show = Sheet.of(yard).measures
    pages = crew_data(yard)["heights"]
    posts = {post.label: post for post in yard.design.posts}
    assert [page["title"] for page in pages] == [f"Heights: run {run.name}" for run in yard.design.runs]
    for meeting, page in zip(yard.design.meetings, pages, strict=True):
        assert [row["post"] for row in page["posts"]] == [height.post for height in meeting.posts]
        for height, row in zip(meeting.posts, page["posts"], strict=True):
            string = meeting.strings[int(row["string"]) - 1]
            post = posts[height.post]
            below = string.height_m - height.ground_m - post.above_m
            assert row["top"] == show.small(below)
            assert row["ground"] == show_length(below + post.above_m)
            assert row["length"] == show_length(post.above_m + post.hole.in_ground_m)
        for string, box in zip(meeting.strings, page["strings"], strict=True):
            ground = next(height.ground_m for height in meeting.posts if height.post == string.post)
            assert box["above"] == show_length(string.height_m - ground)
            assert box["at"].startswith(f"above the ground at post {string.post}")


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(("style", "said", "other"), [("metric", "6 mm", '1/4"'), ("feet-inches", '1/4"', "6 mm")])
def test_how_good_a_line_level_is_stands_in_the_units_of_the_job(
    yard: Plan, language: str, style: str, said: str, other: str
) -> None:
    settings = replace(yard.settings, language=language, print_style=style)
    text = crew_data(replace(yard, settings=settings))["heights"][0]["set_how"]
    assert said in text
    assert other not in text


def test_bays_have_their_marks_under_the_string(yard: Plan) -> None:
    """Bottom below string + gap at the post = ground below string, for racked bays by hand."""
    meeting = next(m for m in yard.design.meetings if m.run == "rear")
    page = next(p for p in crew_data(yard)["heights"] if p["title"].endswith("rear"))
    assert len(page["bays"]) == len(meeting.bays)
    first = meeting.bays[0]
    string = meeting.strings[0]
    assert page["bays"][0]["low"][0] == show_length(string.height_m - first.bottom_m[0])
    assert page["bays"][0]["rise"] == "down " + Sheet.of(yard).measures.small(first.bottom_m[0] - first.bottom_m[1])


def test_a_broken_rule_says_what_to_do_and_the_level_top_its_boards(yard: Plan) -> None:
    """Every broken bay asks the office; a gap too large says its kick board; level-top bays say their boards."""
    pages = crew_data(yard)["heights"]
    for meeting, page in zip(yard.design.meetings, pages, strict=True):
        for met, row in zip(meeting.bays, page["bays"], strict=True):
            said = " ".join(row["do"])
            assert said.count("ask the office") == len(met.breaks)
            assert ("kick board" in said) == any(rule == "most-gap" for rule, _ in met.breaks)
            assert ("boards" in said and "scribe" in said) == (met.mode == "level-top")
    assert any(row["broken"] for page in pages for row in page["bays"])


def test_remedies_are_named_on_the_crew_sheet_and_on_the_decision_page(yard: Plan) -> None:
    """Each remedy of the record, with its amount; the decision page has the first six of a run and says how many more."""
    show = Sheet.of(yard).measures
    words = {"fill": "fill from", "cut": "cut the ground", "kick-board": "kick board", "another-bay": "bays instead of"}
    told = 0
    for meeting, page, row in zip(
        yard.design.meetings, crew_data(yard)["heights"], decisions_data(yard)["ground"], strict=True
    ):
        for met, line in zip(meeting.bays, page["bays"], strict=True):
            said = " ".join(line["do"])
            for remedy in (remedy for remedy in meeting.remedies if remedy.bay == met.bay):
                assert words.get(remedy.slug, "") in said
                if remedy.slug in ("fill", "cut"):
                    assert show.up(remedy.amount_m) in said
                    told += 1
                if remedy.slug == "another-bay":
                    assert f"{remedy.count} bays instead of one" in said
        breaks = sum(len(met.breaks) for met in meeting.bays)
        assert len(row["remedies"]) == min(breaks, 6) + (breaks > 6)
    assert told


def test_a_moved_post_says_what_its_top_does(yard: Plan) -> None:
    """The number is the slope of the racked bay it moves into, over a foot: by hand from the record; none beside steps."""
    show = Sheet.of(yard).measures
    mode = {met.bay: met for meeting in yard.design.meetings for met in meeting.bays}
    legs, bays = yard.design.legs, {bay.number: bay for bay in yard.design.bays}
    posts = {post.label: post for post in yard.design.posts}
    told = 0
    for page in crew_data(yard)["strings"]:
        assert any("MOVED" in note for note in page["slope"]) == bool(page["slope"])
        for row in (row for row in page["rows"] if row["kind"] == "mark" and len(row["move"]) == 2):
            leg = legs[posts[row["post"]].legs[0]]
            on = mode[leg.bays[leg.posts.index(row["post"])]]
            small = row["move"][1]["small"]
            rise = 12 * (on.top_m[1] - on.top_m[0]) / bays[on.bay].length_m  # inches in a foot
            if on.mode == "racked" and abs(rise) > 0.1 and not row["move"][1]["big"].startswith("not"):
                assert f"top {show.small(abs(rise) * 0.0254)} {'higher' if rise > 0 else 'lower'} for each 1'" in small
                told += 1
            elif on.mode in ("stepped", "level-top", "gate"):
                assert "top" not in small
    assert told > 3


def test_what_best_weighed_is_printed_where_it_proposed(yard: Plan) -> None:
    """And nowhere else, on the crew sheets and on the decision page."""
    for rows in (crew_data(yard)["heights"], decisions_data(yard)["ground"]):
        for meeting, row in zip(yard.design.meetings, rows, strict=True):
            assert bool(row["proposed"]) == (meeting.follows == "best")
            if row["proposed"]:
                assert all(f" {value:g}" in row["proposed"] for _, value in meeting.weights)


def test_the_slope_is_told_where_it_is_more_than_a_mark_longer(yard: Plan) -> None:
    """From mark to mark over the ground at both, and only where it differs by more than an eighth."""
    profiles = {run.name: run.profile for run in yard.design.runs}
    posts = {post.label: post for post in yard.design.posts}
    told = 0
    for string, page in zip(yard.stakeout.strings, crew_data(yard)["strings"], strict=True):
        rows = [row for row in page["rows"] if row["kind"] == "mark"]
        for before, mark, row in zip(string.marks, string.marks[1:], rows[1:], strict=False):
            at = [height_at(profiles[string.run], dict(posts[m.post].places)[string.run]) for m in (before, mark)]
            along = math.hypot(mark.gap_m, at[1] - at[0])
            assert ("slope" in row["gap_note"]) == (along - mark.gap_m > EIGHTH)
            if "slope" in row["gap_note"]:
                assert show_length(along) in row["gap_note"]
                told += 1
    assert told > 10


def test_a_tape_that_is_too_steep_is_broken_within_reach(yard: Plan) -> None:
    """The rear falls 5 ft 6 in: more than one level pull of 5 ft; the front falls 20 in: no break."""
    pages = {page["run"]: page for page in crew_data(yard)["strings"]}
    rear, front = " ".join(pages["run rear"]["slope"]), " ".join(pages["run front"]["slope"])
    assert "LEVEL" in rear
    assert re.search(r"Tape from zero: one break, at \d+'", rear)
    assert "break" not in front


def test_a_string_over_two_runs_tells_the_slope_of_both(tmp_path: Path) -> None:
    """Two runs in line share a string; the second alone falls: 10 ft in 64, so 9 bays of 7.11 ft are 7.20 ft along it."""
    job = tmp_path / "two.yaml"
    job.write_text(
        """palewright: 1
job: {title: two, tape: 100 ft}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [40 ft, 0 ft]}, C: {at: [104 ft, 0 ft]}}
fences: {p: {kind: boards, good side: neighbour}}
runs:
  - {name: one, fence: p, through: [A, B], yard: left, follows: racked}
  - {name: two, fence: p, through: [B, C], yard: left, follows: racked}
heights: [{string: one, drops: [[0 ft, 6 in], [40 ft, 6 in]]}, {falls: 10 ft, from: B, to: C, even: yes}]
""",
        encoding="utf-8",
    )
    (page,) = crew_data(make_plan(jobfile.read(job)))["strings"]
    notes = [row["gap_note"] for row in page["rows"] if row["kind"] == "mark"]
    assert notes[:6] == [""] * 6
    assert len(notes) == 15
    along = show_length(math.hypot(64 / 9, 10 / 9) * 0.3048)
    assert all("slope" in note and along in note for note in notes[6:])
    assert "break" in " ".join(page["slope"])


@pytest.mark.parametrize("name", ["tansy-court", "chain-link-run"])
def test_level_ground_has_none_of_it(name: str) -> None:
    """No page of heights, no slope under a gap, no step in the order of work."""
    data = crew_data(plan_of(name))
    assert data["heights"] == []
    assert all(page["slope"] == [] for page in data["strings"])
    assert not any("slope" in row.get("gap_note", "") for page in data["strings"] for row in page["rows"])
    assert not any("level strings" in step for step in data["order"])
    assert decisions_data(plan_of(name))["ground"] == []


@pytest.mark.parametrize(("language", "paper", "style"), [("en", "letter", "feet-inches"), ("es", "a4", "metric")])
def test_the_papers_are_set(yard: Plan, language: str, paper: str, style: str) -> None:
    """In both languages and on both papers; the order of work finds the page of heights."""
    import pypdfium2

    plan = replace(yard, settings=replace(yard.settings, language=language, paper=paper, print_style=style))
    document = pypdfium2.PdfDocument(set_paper("crew", crew_data(plan)))
    pages = [document[k].get_textpage().get_text_range() for k in range(len(document))]
    title = {"en": "Heights: run left", "es": "Alturas: tramo left"}[language]
    number = next(k for k, text in enumerate(pages, 1) if title in text)
    word = {"en": "page", "es": "hoja"}[language]
    assert f"({word} {number})" in re.sub(r"\s+", " ", pages[0] + pages[1])


PARTLY = """
palewright: 1
job: {title: partly known}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [80 ft, 0 ft]}}
fences: {f: {kind: boards, board: 6 ft, good side: neighbour}}
runs: [{name: r, fence: f, through: [A, B], yard: left, follows: racked, stretches: [{from: A, to: 16 ft from A, follows: stepped}]}]
heights:
  - {spot: A, height: 100 ft}
  - {string: r, drops: [[0 ft, 10 in], [40 ft, 26 in]]}
"""


def test_posts_over_ground_that_nobody_knows_have_no_figure_from_a_string() -> None:
    """The crew measures there first: no top below a string, no gap; one row for the bays."""
    plan = make_plan(jobfile.read_text(PARTLY))
    (page,) = crew_data(plan)["heights"]
    dark = {height.post for height in plan.design.meetings[0].posts if not height.known}
    assert dark
    for row in page["posts"]:
        assert (row["top"] == row["ground"] == row["string"] == "") == (row["post"] in dark)
        assert ("NOT FINAL" in row["cut"]) == (row["post"] in dark or row["post"] == page["bays"][-1]["bay"].split()[0])
    assert page["bays"][-1]["mode"] == "GROUND NOT KNOWN"
    assert sum(row["mode"] == "GROUND NOT KNOWN" for row in page["bays"]) == 1
    (row,) = decisions_data(plan)["ground"]
    last = plan.design.posts[-1].label
    assert row["asked"] == f"1 – 3 stepped, 3 – {last} racked"
    assert "on ground not known" in row["bays"]
    assert any("LEVEL GROUND ASSUMED on run r" in flag for flag in crew_data(plan)["flags"])
