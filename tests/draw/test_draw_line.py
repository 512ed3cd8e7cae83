"""Runs of wire on the plan drawing: what a builder has to read there."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

from palewright import jobfile
from palewright.draw.line_braces import brace_drafts
from palewright.draw.line_profile import profile_drafts
from palewright.draw.plan_sheet import plan_sheets
from palewright.draw.scene import Line, Polyline, Text
from palewright.draw.words import Words
from palewright.exchange.lines_csv import line_posts_csv
from palewright.papers.stretches import stretches_data
from palewright.plan import make_plan

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def test_a_field_says_its_legs_angles_stations_and_gate() -> None:
    """As the job walks it: 900, 800 and 600 ft, 70 and 110 degrees, a gate of 16 ft."""
    (sheet,) = plan_sheets(make_plan(jobfile.read(EXAMPLES / "field-fence-virginia.yaml")))
    texts = {primitive.text for primitive in sheet.primitives if isinstance(primitive, Text)}
    assert {"900' 0\"", "800' 0\"", "600' 0\"", "70°", "110°", "field gate", "opening 16' 0\""} <= texts
    assert {f"{k}+00" for k in (2, 4, 6, 8, 10, 14, 16, 18, 20, 22)} <= texts
    assert "12+00" not in texts  # in the opening


VALLEY = """
palewright: 1
job: {title: Valley}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [1000 ft, 0 ft]}}
fences: {pasture: {kind: barbed wire, wire side: to the field}}
runs: [{name: field, fence: pasture, through: [A, B]}]
heights:
  - {string: field, drops: [[0 ft, 0 in], [400 ft, 240 in], [1000 ft, 0 in]]}
"""


def test_a_valley_is_drawn_from_the_side_with_a_post_in_its_dip() -> None:
    """The ground falls 20 ft in 400 and rises again: at the stated factor the dip stands 400 ft along, 20 ft down."""
    plan = make_plan(jobfile.read_text(VALLEY))
    (draft,) = profile_drafts(plan, Words(plan.settings))
    times = float(draft.scale_words.split("×")[1])
    (ground,) = (p for p in draft.board.primitives if isinstance(p, Polyline) and p.layer == "ground")
    mm = draft.board.view.mm_per_m * 0.3048
    x, y = max(ground.points, key=lambda point: point[1])
    assert x - ground.points[0][0] == pytest.approx(400 * mm, abs=0.4)  # sampled every 0.4 mm
    assert y - ground.points[0][1] == pytest.approx(20 * mm * times, abs=0.4 * times / 20)  # falls 1 in 20
    draft.board.labels.settle()
    assert "D1" in {p.text for p in draft.board.primitives if isinstance(p, Text)}


UNKNOWN = """
palewright: 1
job: {title: Half known}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [1000 ft, 0 ft]}, C: {at: [1000 ft, 500 ft]}}
fences: {pasture: {kind: barbed wire, wire side: to the field}}
runs: [{name: field, fence: pasture, through: [A, B, C]}]
heights:
  - {string: [A, B], drops: [[0 ft, 0 in], [400 ft, 240 in], [1000 ft, 0 in]]}
"""


def test_ground_that_nothing_reaches_is_dashed_and_named() -> None:
    """The string ends at B, 1,000 ft along the run of 1,500: the last 500 ft are dashed, on drawing and sheet alike."""
    plan = make_plan(jobfile.read_text(UNKNOWN))
    drafts = profile_drafts(plan, Words(plan.settings))
    ground = [p for d in drafts for p in d.board.primitives if isinstance(p, Polyline) and p.layer == "ground"]
    mm = drafts[0].board.view.mm_per_m * 0.3048
    lengths = {
        dashed: sum(p.points[-1][0] - p.points[0][0] for p in ground if bool(p.dash) == dashed)
        for dashed in (True, False)
    }
    assert lengths[True] == pytest.approx(500 * mm, abs=0.1)
    assert lengths[False] == pytest.approx(1000 * mm, abs=0.1)
    for draft in drafts:
        draft.board.labels.settle()
        assert any("DASHED" in note for note in draft.notes.notes)
    assert "GROUND NOT KNOWN" in {p.text for d in drafts for p in d.board.primitives if isinstance(p, Text)}

    (line,) = plan.lines
    (said,) = [dict(remark.args) for remark in line.remarks if remark.slug == "line-ground-unknown"]
    on = [one.number for one in line.stretches if one.to_m > 1000 * 0.3048]
    assert (said["first"], said["last"], said["count"]) == (on[0], on[-1], len(on))
    (data,) = stretches_data(plan)["lines"]
    assert data["off_ground"] == [
        "GROUND NOT KNOWN from 10+00 to 15+00: stretch 3. Bays, dips, rises and lengths along the slope are not final there. Measure first."
    ]
    assert [bool(row["unknown"]) for row in data["stretches"]] == [False, False, True]

    rows = list(csv.DictReader(io.StringIO(line_posts_csv(plan))))
    assert {row["ground_m"] == "" for row in rows if float(row["station_m"]) > 304.8} == {True}
    assert all(row["ground_m"] for row in rows if float(row["station_m"]) <= 304.8)


def test_braces_are_drawn_from_the_foot_of_the_pulled_post_to_the_head_of_the_brace_post() -> None:
    """Double H: an end has two diagonals that lean the same way, a pull assembly crosses both its bays, a corner opens."""
    plan = make_plan(jobfile.read(EXAMPLES / "field-fence-virginia.yaml"))
    (draft,) = brace_drafts(plan, Words(plan.settings))
    posts = {p.id: p.at for p in draft.board.primitives if isinstance(p, Text) and p.role == "post-label"}

    def under(place: tuple[float, float]) -> str:
        """The post whose label stands over a place."""
        over = {label: place[1] - y for label, (x, y) in posts.items() if abs(x - place[0]) < 0.01 and y < place[1]}
        return min(over, key=lambda label: over[label])

    lines = [p for p in draft.board.primitives if isinstance(p, Line) and p.layer == "fence"]
    pairs = [sorted((one.a, one.b), key=lambda place: -place[1]) for one in lines]
    drawn = {(under(low), under(high)) for low, high in pairs}
    assert drawn == {
        ("E1", "B1"), ("B1", "B2"),
        ("P1a", "P1b"), ("P1b", "P1c"), ("P1c", "P1b"), ("P1b", "P1a"),
        ("C1", "B4"), ("B4", "B3"), ("C1", "B5"), ("B5", "B6"),
        ("G1", "B8"), ("B8", "B7"),
    }  # fmt: skip
    texts = [p.text for p in draft.board.primitives if isinstance(p, Text)]
    assert {"E1, E2", "C1, C2", "G1, G2"} <= set(texts)
    assert {"8' 0\"", "4' 6\"", "3' 6\""} <= set(texts)


LOOP = """
palewright: 1
job: {title: Loop}
points: {A: {at: [4000 m, 4000 m]}, B: {at: [14000 m, 5500 m]}, C: {at: [17500 m, 14000 m]}, D: {at: [9000 m, 17000 m]}}
fences: {pasture: {kind: woven wire, wire side: to the field}}
runs: [{name: ranch, fence: pasture, through: [A, B, C, D, A]}]
"""


def test_sheets_of_a_long_run_follow_it_and_lead_from_one_to_the_next() -> None:
    """One walks along the run: each sheet has the next number on a match line, and stations rise from sheet to sheet."""
    plan = make_plan(jobfile.read_text(LOOP))
    index, *tiles = plan_sheets(plan)
    assert {"C1", "C2", "C3", "C4"} <= {p.text for p in index.primitives if isinstance(p, Text)}
    firsts, leads = [], {}
    for number, sheet in enumerate(tiles, 2):
        texts = [p.text for p in sheet.primitives if isinstance(p, Text)]
        leads[number] = {int(text.split()[-1]) for text in texts if text.startswith("match line")}
        firsts.append(min(int(text.split("+")[0]) for text in texts if re.fullmatch(r"\d+\+00", text)))
    assert firsts[1:] == sorted(firsts[1:])  # the first sheet has the end of the loop as well
    for number in range(2, len(tiles) + 1):  # the next one, or one at whose corner the run passes and that leads there
        assert any(number + 1 in {one, *leads[one]} for one in leads[number])
