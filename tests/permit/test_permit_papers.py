"""The permit paper, the agreement and the plot plan: what stands on them, in both languages, on both papers."""

from __future__ import annotations

import functools
import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.draw.random_jobs import lots
from tests.draw.test_draw_labels import box, overlaps
from tests.permit.lots import LEFT, LOT, TODAY, planned, rule

from palewright import draw, exchange, jobfile, papers
from palewright.draw.scene import Line, Polygon, Scene
from palewright.errors import JobError
from palewright.model import Plan
from palewright.notation import show_inches
from palewright.permit import read_rules
from palewright.plan import load, make_plan

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "corner-lot.yaml"
STYLES = [
    ("en", "letter", "feet-inches"),
    ("es", "a4", "metric"),
    ("es", "letter", "feet-inches"),
    ("en", "a4", "metric"),
]


@functools.cache
def corner_lot(language: str = "en", paper: str = "letter", style: str = "feet-inches") -> Plan:
    job, prices = load(EXAMPLE)
    return make_plan(replace(job, language=language, paper=paper, print_style=style), prices, TODAY)


@functools.cache
def written(language: str, paper: str, style: str, name: str) -> bytes:
    plan = corner_lot(language, paper, style)
    if name == "agreement":
        return papers.set_paper(name, papers.agreement_data(plan))
    drawn = {"scenes": [draw.to_json(scene) for scene in draw.plot_sheets(plan)]}
    return papers.set_paper(name, papers.permit_data(plan) | drawn)


def pages(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    texts = (document[k].get_textpage().get_text_bounded() for k in range(len(document)))
    return [re.sub(r"\s+", " ", text.replace("\u200b", "")) for text in texts]


@functools.cache
def sheet(language: str = "en", paper: str = "letter", style: str = "feet-inches") -> Scene:
    (scene,) = draw.plot_sheets(corner_lot(language, paper, style))
    return scene


# ---------------------------------------------------------------- the plot plan


@pytest.mark.parametrize("style", STYLES)
def test_nothing_overlaps_and_all_is_on_the_page(style: tuple[str, str, str]) -> None:
    scene = sheet(*style)
    assert overlaps(scene) == []
    for text in scene.texts():
        for x, y in box(text).corners():
            assert 8.0 <= x <= scene.width_mm - 8.0, text.text
            assert 8.0 <= y <= scene.height_mm - 8.0, text.text


def test_what_a_desk_asks_for_is_on_the_sheet() -> None:
    said = " ".join(text.text for text in sheet().texts())
    for words in (
        "NOT A SURVEY", "Permit plot plan", "S 89°30'00\" E 92.00 ft", "radius 420 ft", "Wren Street", "Larch Lane",
        "drainage easement, 7' 6\" wide", "yard: boards", "6' 1 1/2\" high", "front: boards",
        "opening 4' 0\"", "sight triangle", "maple", "drive", "house", "SE: record only", "2 of 4 corners found, 1 more",
        "the building office decides", "Which street side counts as front was not said", "does not", "ask", "meets",
    ):  # fmt: skip
        assert words in said, words


def test_the_scale_is_true() -> None:
    """The side of 89.00 ft along Wren Street is as long on the page as its scale says: 1 in = 30 ft."""
    scene = sheet()
    (side,) = [p for p in scene.primitives if isinstance(p, Line) and p.id == "side 3"]
    assert math.dist(side.a, side.b) == pytest.approx(89.0 / 30.0 * 25.4, abs=0.02)


def test_distances_of_the_house_by_hand() -> None:
    """House from x = 18 to 58 ft, y = 30 to 62 ft: rear line falls 92 ft at 89.5 degrees, front line about y = 0."""
    texts = [text.text for text in sheet().texts() if text.role == "dimension"]
    # (58, 62) to the rear line: (112 - 58 tan 0.5 - 62) cos 0.5 = 49.492 ft = 49 ft 5 7/8 in
    assert "49' 5 7/8\"" in texts
    # wall of 40 ft at y = 30 over a line from (0.07, -0.05) at -0.25 degrees: from (18, 30) 30.12 ft
    assert "30' 1 1/2\"" in texts


def test_every_easement_is_hatched_and_every_triangle_drawn() -> None:
    scene, permit = sheet(), corner_lot().permit
    assert permit is not None
    hatched = {p.id for p in scene.primitives if isinstance(p, Polygon) and p.hatch is not None and p.space == "model"}
    assert {easement.name for easement in permit.easements} <= hatched
    drawn = [p for p in scene.primitives if p.layer == "setback" and p.space == "model"]
    assert len(drawn) >= len(permit.triangles) == 3


def test_a_lot_without_north_says_so() -> None:
    plan = planned(LOT + LEFT + "lot: {streets: [{name: High Street, side: 4}]}\n", "")
    (scene,) = draw.plot_sheets(plan)
    said = " ".join(text.text for text in scene.texts())
    assert "NO NORTH" in said
    assert "High Street (front)" in said
    assert "No rules were given" in said
    assert draw.plot_sheets(planned(LOT + LEFT, "")) == []


def test_setback_lines_stand_where_they_should() -> None:
    plan = planned(LOT + LEFT, rule("setback", of='"post"', least='"25 ft"', yards='["front"]'))
    assert plan.permit is not None
    (line,) = plan.permit.setbacks
    ft = 0.3048
    ends = sorted((round(x / ft, 6), round(y / ft, 6)) for x, y in (line.start, line.end))
    assert ends == [(0.0, 25.0), (60.0, 25.0)]


# ---------------------------------------------------------------- the pages


@pytest.mark.parametrize("style", STYLES)
def test_the_rules_page(style: tuple[str, str, str]) -> None:
    first, *rest = pages(written(*style, "permit"))
    text = " ".join(rest)
    spanish = style[0] == "es"
    assert ("NO ES UN LEVANTAMIENTO" if spanish else "NOT A SURVEY") in first
    for words in (
        ("No es consejo legal ni permiso. Decide la oficina de permisos.", "NO CUMPLE", "PREGUNTAR", "cumple")
        if spanish
        else ("It is no legal advice and no permit. The building office decides.", "DOES NOT", "ASK", "meets")
    ):
        assert words in text
    for clause in ("F-3 (a)", "F-3 (b)", "F-4", "F-5 (a)", "F-5 (b)", "F-6", "F-7", "F-8", "F-9", "F-10"):
        assert clause in text
    assert "2025-06-30" in text
    assert not re.search(r"\{\w+\}", text)


@pytest.mark.parametrize("style", STYLES)
def test_the_agreement_is_one_page(style: tuple[str, str, str]) -> None:
    (page,) = pages(written(*style, "agreement"))
    for typed in ("owner of lot 11", "the owner of lot 12", "iron pin and iron pipe", "2026-10-17", "each pays half"):
        assert typed in page
    assert (
        "no mueve, prueba ni resuelve un lindero" if style[0] == "es" else "does not move, prove or settle a boundary"
    ) in page
    assert page.count("Firma" if style[0] == "es" else "Signature") >= 2


@pytest.mark.parametrize("name", ["permit", "agreement"])
def test_tagged_and_of_the_right_size(name: str) -> None:
    for paper, size in (("letter", (612, 792)), ("a4", (595.28, 841.89))):
        pdf = written("en", paper, "feet-inches" if paper == "letter" else "metric", name)
        document = pypdfium2.PdfDocument(pdf)
        assert pypdfium2.raw.FPDFCatalog_IsTagged(document)
        assert b"pdfuaid" in pdf
        assert sorted(document[len(document) - 1].get_size()) == pytest.approx(size, abs=0.1)


NASTY = ['#panic("no") *b* $x$ <l> @r // c', "x" * 300, "word " * 80, "中文 \x00 ½ ñ", "= h"]


@pytest.mark.parametrize("typed", NASTY, ids=range(len(NASTY)))
def test_typed_text_is_never_markup(typed: str) -> None:
    plan = corner_lot()
    permit = plan.permit
    assert permit is not None
    assert permit.rules is not None
    book = replace(
        permit.rules, place=typed, source=typed, answered=typed,
        rules=tuple(replace(rule, note=typed, clause=typed) for rule in permit.rules.rules),
    )  # fmt: skip
    found = tuple(replace(finding, clause=typed, run=typed) for finding in permit.findings)
    agreements = tuple(
        replace(each, spec=replace(each.spec, neighbour=typed, share=typed, upkeep=typed, more=typed, access=typed))
        for each in permit.agreements
    )
    streets = tuple(replace(street, name=typed) for street in permit.streets)
    nasty = replace(plan, permit=replace(permit, rules=book, findings=found, agreements=agreements, streets=streets))
    drawn = {"scenes": [draw.to_json(scene) for scene in draw.plot_sheets(nasty)]}
    text = " ".join(pages(papers.set_paper("permit", papers.permit_data(nasty) | drawn)))
    assert typed.split()[0][:8] in text or typed.startswith("中")
    assert len(pages(papers.set_paper("agreement", papers.agreement_data(nasty)))) >= 1


def test_the_rules_stand_near_the_top_of_the_decisions() -> None:
    data = papers.decisions_data(corner_lot())
    assert [row["verdict"] for row in data["rules"]] == ["does-not", "does-not", "ask", "ask", "ask"]
    assert any("Which street side counts as front: 2, 3" in row["what"] for row in data["asks"])


def test_the_record_survives_plan_json() -> None:
    plan = corner_lot()
    again = exchange.loads(exchange.dumps(plan))
    assert again.permit is not None
    assert plan.permit is not None
    assert again.permit.findings == plan.permit.findings
    assert again.permit.triangles == plan.permit.triangles
    assert again.permit.easements == plan.permit.easements
    assert str(EXAMPLE.parent) not in exchange.dumps(plan)
    assert json.loads(exchange.dumps(plan))["permit"]["findings"][0]["verdict"] == "ask"


def test_the_summary_counts_only_with_rules() -> None:
    from palewright.cli.summary import summary

    assert "rules as typed (Nowhere Township (invented), looked up 2026-11-02): 18 meet, 2 do not, 3 to ask" in summary(
        corner_lot()
    )
    assert "rules as typed" not in summary(planned(LOT + LEFT, ""))


# ---------------------------------------------------------------- random lots

THINGS = """lot:
  streets: [{name: Long Meadow Road, side: 1, curb: 8 ft, pavement: 9 ft}, {name: Elm, side: 2}]
  easements: [{name: drainage and utility easement, side: %d, width: %.2f ft}]
  trees: [{name: oak, at: [150 ft, 150 ft], trunk: 2 ft, crown: 30 ft}]
  pools: [{through: [[155 ft, 155 ft], [165 ft, 155 ft], [165 ft, 165 ft], [155 ft, 165 ft]], barrier: around}]
  retaining walls: [{name: terrace, through: [[140 ft, 140 ft], [150 ft, 138 ft]], height: 3 ft}]
  drives: [{name: drive, through: [P1, [150 ft, 150 ft]], width: 10 ft}]
buildings: {house: [[142 ft, 152 ft], [152 ft, 152 ft], [152 ft, 160 ft], [142 ft, 160 ft]]}
"""


@given(lots(), st.integers(1, 3), st.floats(4.0, 20.0))
@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
def test_plot_plans_of_random_lots(text: str, side: int, width: float) -> None:
    try:
        job = jobfile.read_text(text + THINGS % (side, width))
        rules = read_rules((EXAMPLE.parent / "corner-lot-rules.toml").read_text("utf-8"))
        plan = make_plan(replace(job, rules=rules), today=TODAY)
    except JobError:
        return
    (scene,) = draw.plot_sheets(plan)
    assert overlaps(replace(scene, kind="plan")) == []
    for written in scene.texts():
        assert all(8.0 <= x <= scene.width_mm - 8.0 for x, _ in box(written).corners()), written.text
        assert all(8.0 <= y <= scene.height_mm - 8.0 for _, y in box(written).corners()), written.text


def test_the_agreement_says_how_far_the_fence_stands_and_which_corner_does_not_count():
    """The pipe at SW is not described; the runs of the example keep their fence 7 5/8 in and more off side 4."""
    page = papers.agreement_data(corner_lot())["pages"][0]
    assert page["corners"][0].startswith("SW: iron pipe, and does not count as found yet")
    assert page["corners"][1] == "NW: 5/8 in iron pin"
    (far,) = (field["values"] for field in page["fields"] if field["label"] == "From the line to the fence face")
    rows = [row for row in corner_lot().inside.distances if row.side == 4 and row.run == "yard"]
    assert far == [f"{show_inches(min(row.face_m for row in rows), 8)} where it is least, at post 3"]
    unknown = papers.agreement_data(replace(corner_lot(), inside=None))["pages"][0]
    assert all(field["label"] != "From the line to the fence face" for field in unknown["fields"])


def test_an_easement_of_which_no_rule_says_anything_is_asked_by_its_name() -> None:
    plan = make_plan(replace(load(EXAMPLE)[0], rules=None), None, TODAY)
    (row,) = papers.permit_data(plan)["rows"]
    assert (row["number"], row["required"], row["result"]) == ("–", "nothing", "ask")
    (asks,) = [line for line in papers.crew_data(plan)["stop"] if line.startswith("ASK FIRST")]
    assert "(Ask who holds drainage easement: " in asks
