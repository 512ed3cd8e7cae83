"""Runs of wire through a whole job: read, laid out beside other fences, written, refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from palewright import jobfile
from palewright.draw.plan_sheet import plan_sheets
from palewright.draw.scene import Text
from palewright.errors import JobError
from palewright.exchange import dumps, loads
from palewright.exchange.features import features
from palewright.exchange.lines_csv import line_posts_csv
from palewright.model import Plan
from palewright.papers.stretches import stretches_data
from palewright.papers.write import write_papers
from palewright.plan import make_plan
from palewright.plan.publishing import publish

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

YARD = """
palewright: 1
job: {title: Both}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [900 ft, 0 ft]}, C: {at: [900 ft, 500 ft]}, D: {at: [0 ft, 60 ft]}}
fences:
  privacy: {kind: boards, board: 6 ft, good side: yard}
  pasture: {kind: woven wire, rules: tennessee 2002, wire side: to the field}
runs:
  - {name: rear, fence: privacy, through: [A, D], yard: left}
"""
WIRE = "  - {name: field, fence: pasture, through: [A, B, C]}\n"


def plan_of(text: str) -> Plan:
    return make_plan(jobfile.read_text(text))


def problems_of(text: str) -> list[str]:
    with pytest.raises(JobError) as caught:
        plan_of(text)
    return [problem.slug for problem in caught.value.problems]


def wire(values: str = "", run: str = "through: [A, B, C]") -> str:
    return YARD.replace("wire side: to the field", f"wire side: to the field{values}") + (
        f"  - {{name: field, fence: pasture, {run}}}\n"
    )


@pytest.mark.parametrize(("name", "bays"), [("tennessee", 160), ("virginia", 132)])
def test_the_field_as_it_was_walked(name: str, bays: int) -> None:
    plan = make_plan(jobfile.read(EXAMPLES / f"field-fence-{name}.yaml"))
    (line,) = plan.lines
    assert line.count("bay") == bays
    assert line.length_m / 0.3048 == pytest.approx(2300)
    rolls = [item for item in plan.takeoff.items if item.what == "woven-wire"]
    assert [item.buy for item in rolls] == [8]
    asked = {remark.slug for remark in plan.remarks if remark.level == "ask"}
    assert ("line-wire-side" in asked) == (name == "virginia")


def test_other_runs_are_as_they_are_without_wire() -> None:
    alone, both = plan_of(YARD), plan_of(YARD + WIRE)
    assert alone.design == both.design
    assert alone.stakeout == both.stakeout
    assert alone.locate.digs == tuple(dig for dig in both.locate.digs if not dig.run)
    assert not alone.lines
    assert [line.run for line in both.lines] == ["field"]
    bought = [item for item in both.takeoff.items if item in alone.takeoff.items]
    assert tuple(bought) == alone.takeoff.items


def test_heights_carry_the_line() -> None:
    """A fall of 200 ft over the first 900 ft, said to be even: bays along the slope are more than on level ground."""
    steep = wire() + "heights: [{falls: 200 ft, from: A, to: B, even: yes}, {falls: 0 ft, from: B, to: C, even: yes}]\n"
    level, sloped = plan_of(wire()).lines[0], plan_of(steep).lines[0]
    assert sloped.profile is not None
    assert sloped.along_m / 0.3048 == pytest.approx((900**2 + 200**2) ** 0.5 + 500)
    assert sloped.count("bay") > level.count("bay")
    assert all(remark.slug != "line-level" for remark in sloped.remarks)


def test_a_plan_with_wire_goes_through_json_and_back() -> None:
    plan = plan_of(wire())
    assert loads(dumps(plan)).lines == plan.lines


def test_maps_show_the_wire_and_the_posts_of_its_assemblies() -> None:
    plan = plan_of(wire(run="through: [A, B, C], gates: [{name: field gate, opening: 16 ft, starts: 300 ft from A}]"))
    shown = [feature for feature in features(plan) if dict(feature.facts).get("fence") == "pasture"]
    assert [f.name for f in shown if f.what == "fence"] == ["field 1", "field 2"]
    assert sum(f.what == "post" for f in shown) == sum(len(one.posts) for one in plan.lines[0].assemblies)
    assert "field gate" in [f.name for f in features(plan) if f.what == "gate"]


def test_every_post_is_in_the_table() -> None:
    plan = plan_of(wire())
    rows = line_posts_csv(plan).splitlines()[1:]
    line = plan.lines[0]
    held = sum(len(one.posts) for one in line.assemblies)
    assert len(rows) == held + sum(one.wood + one.steel for one in line.stretches)
    assert sum(row.endswith(",driven") for row in rows) == line.count("steel")


def test_a_floodgate_and_a_cattle_guard_stand_between_braced_ends(tmp_path: Path) -> None:
    gates = "[{opening: 20 ft, centre: 300 ft from A, what: floodgate}, {opening: 12 ft, starts: 100 ft from B, what: cattle guard}]"
    plan = plan_of(wire(run=f"through: [A, B, C], gates: {gates}"))
    assert [gate.what for gate in plan.lines[0].gates] == ["floodgate", "cattle guard"]
    assert [one.role for one in plan.lines[0].assemblies].count("gate") == 4
    assert {"floodgate", "cattle-guard"} <= {item.what for item in plan.takeoff.items}
    write_papers(plan, tmp_path, only="stretches.pdf")
    with pypdfium2.PdfDocument(tmp_path / "stretches.pdf") as document:
        said = " ".join(page.get_textpage().get_text_bounded() for page in document)
    assert "lets go before it takes the fence along" in " ".join(said.split())


@pytest.mark.parametrize("far", [900, 3000])
def test_no_point_is_sighted_in_a_floodgate(far: int) -> None:
    """Points at every 300 ft; no lath stands in a stream, and the braced posts beside it are in line."""
    text = wire(run="through: [A, B], gates: [{opening: 20 ft, centre: 300 ft from A, what: floodgate}]")
    plan = plan_of(text.replace("B: {at: [900 ft, 0 ft]}", f"B: {{at: [{far} ft, 0 ft]}}"))
    (leg,) = plan.lines[0].legs
    assert [sight / 0.3048 for sight in leg.sights_m] == pytest.approx(range(600, far, 300))
    (said,) = stretches_data(plan)["lines"][0]["sights"]
    assert "6+00" in said if far == 900 else "8 sighted points" in said and "none in an opening" in said


def test_a_floodgate_in_another_fence_is_refused() -> None:
    text = YARD.replace("yard: left}", "yard: left, gates: [{opening: 4 ft, starts: 10 ft from A, what: floodgate}]}")
    assert problems_of(text) == ["gate-what"]


def test_the_sheet_says_to_which_hand_corners_turn_and_what_labels_mean(tmp_path: Path) -> None:
    write_papers(make_plan(jobfile.read(EXAMPLES / "field-fence-virginia.yaml")), tmp_path, only="stretches.pdf")
    with pypdfium2.PdfDocument(tmp_path / "stretches.pdf") as document:
        said = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    assert "corner to the left, 70° between its sides" in said  # walked: inside angle 70° left
    assert "B brace post" in said
    assert "D post in a dip" not in said
    assert "E1, E2; B1 to B16; P1 (a, b, c); C1, C2; G1, G2" in said


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_stretch_sheet_reads(tmp_path: Path, language: str) -> None:
    text = wire().replace("title: Both", f"title: Both, language: {language}")
    write_papers(plan_of(text), tmp_path, only="stretches.pdf")
    with pypdfium2.PdfDocument(tmp_path / "stretches.pdf") as document:
        said = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    words = {"en": "then 21 bays of", "es": "luego 21 vanos de"}
    assert words[language] in said
    assert {"en": "foot of E1 to head of B1", "es": "pie de E1 a cabeza de B1"}[language] in said


@pytest.mark.parametrize(
    ("values", "run", "slug"),
    [
        (", rules: atlantis 1", "", "wire-rules-unknown"),
        (", longest bay: 14", "", "unit-missing"),
        (", brace: triple", "", "wire-value"),
        (", longst pull: 300 ft", "", "kind-key-unknown"),
        (", stays: -1", "", "wire-value"),
        ("", "through: [A, B], shortest bay: 3 ft", "wire-run-key"),
        ("", "through: [A, B], follows: racked", "wire-run-key"),
        ("", "through: [A, B], gates: [{opening: 16 ft, starts: 895 ft from A}]", "gate-off-leg"),
        ("", "through: [A, B], gates: [{opening: 16 ft, starts: 90 ft from A}, {opening: 9 ft, starts: 95 ft from A}]",
         "gates-overlap"),
        ("", "through: [A, C], gates: [{opening: 16 ft, starts: 0 ft from B}]", "not-on-run"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told(values: str, run: str, slug: str) -> None:
    text = wire(values, run or "through: [A, B, C]").replace(
        "rules: tennessee 2002, wire side: to the field, rules", "rules"
    )
    assert slug in problems_of(text)


def test_a_document_about_other_wire_is_told() -> None:
    line = plan_of(wire().replace("tennessee 2002", "'kentucky 2007, tennessee 2002'")).lines[0]
    (said,) = [dict(remark.args) for remark in line.remarks if remark.slug == "line-other-kind"]
    assert (said["document"], said["kinds"], said["kind"]) == ("kentucky 2007", "barbed wire", "woven wire")


def test_nothing_is_said_of_driven_posts_where_there_are_none() -> None:
    line = plan_of(wire(", wood every: 1")).lines[0]
    assert line.count("steel") == 0
    assert "line-driven-posts" not in [remark.slug for remark in line.remarks]


def test_tables_of_posts_that_there_are_none_of_are_left_out(tmp_path: Path) -> None:
    plan = make_plan(jobfile.read(EXAMPLES / "field-fence-virginia.yaml"))
    names = {path.name for path in publish(plan, tmp_path).files}
    assert "line-posts.csv" in names
    assert not names & {"posts.csv", "holes.csv"}


def test_stations_are_told_as_the_tape_of_the_job_is_marked() -> None:
    """Opening from 1200 to 1216 ft, gate posts of 8 in: their centres stand 4 in beside it."""
    job = jobfile.read(EXAMPLES / "field-fence-tennessee.yaml")
    for style, at in (("feet-inches", "11+99' 8\""), ("decimal-feet", "11+99.67"), ("metric", "0+365.66")):
        (data,) = stretches_data(make_plan(replace(job, print_style=style)))["lines"]
        assert next(one["at"] for one in data["assemblies"] if one["label"] == "G1") == at
        assert not [place for roll in data["rolls"] for place in roll["at"] if "." in place or "'" in place]


def test_braces_are_counted_by_the_rule_that_asks_for_them() -> None:
    """By hand: 900 ft make 3 pulls of 330 ft at most, 300 and 483 ft beside the gate 1 and 2, 600 ft make 2."""
    (data,) = stretches_data(make_plan(jobfile.read(EXAMPLES / "field-fence-tennessee.yaml")))["lines"]
    rows = {row["what"]: (row["count"], row["rule"], row["value"]) for row in data["braces"]}
    assert rows["end"][0] == rows["corner"][0] == rows["gate post"][0] == "2"
    assert rows["pull assembly"] == ("4", "longest pull", "330' 0\"")
    assert rows["single H"][0] == "10"
    assert [row["source"] for row in data["braces"] if row["what"] == "pull assembly"] == [
        "USDA NRCS Tennessee, CS-382-3, woven wire fence"
    ]


@pytest.mark.parametrize(
    ("style", "step_m", "count", "name"), [("feet-inches", 1609.344, 3, "mile 3"), ("metric", 1000.0, 5, "km 5")]
)
def test_mileage_posts_stand_every_mile_or_kilometre(style: str, step_m: float, count: int, name: str) -> None:
    text = f"""
palewright: 1
job: {{title: Long, print: {style}}}
points: {{A: {{at: [0 m, 0 m]}}, B: {{at: [5500 m, 0 m]}}}}
fences: {{f: {{kind: barbed wire, wire side: to the field}}}}
runs: [{{name: long, fence: f, through: [A, B]}}]
"""
    plan = make_plan(jobfile.read_text(text))
    assert plan.lines[0].miles_m == pytest.approx([step_m * k for k in range(1, count + 1)])
    assert loads(dumps(plan)).lines[0].miles_m == plan.lines[0].miles_m
    drawn = {p.text for sheet in plan_sheets(plan) for p in sheet.primitives if isinstance(p, Text)}
    assert name in drawn


def test_rails_that_do_not_fit_their_brace_are_told() -> None:
    """Maine braces deer fence 8 ft wide, another state has rails of 12 ft: both are taken, so it is said."""
    text = """
palewright: 1
job: {title: Deer}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [500 ft, 0 ft]}}
fences: {deer: {kind: deer wire, rules: "maine 2014 deer, deer 2012"}}
runs: [{name: orchard, fence: deer, through: [A, B]}]
"""
    slugs = [remark.slug for remark in make_plan(jobfile.read_text(text)).lines[0].remarks]
    assert "line-rail-span" in slugs
    agreed = make_plan(jobfile.read_text(text.replace('deer 2012"', 'deer 2012", span: 12 ft'))).lines[0]
    assert "line-rail-span" not in [remark.slug for remark in agreed.remarks]
