"""The boundary page and the pin search sheet, as data and as a reader gets them."""

from __future__ import annotations

import functools
import re
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from palewright import plan as engine
from palewright.jobfile import read_text
from palewright.model import Plan
from palewright.papers import boundary_data, decisions_data, pins_data, set_paper
from palewright.papers.words import table

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
JOB = """\
palewright: 1
job: {title: Sorrel Lane lot 3, print: feet-inches, tape: 100 ft, north: bearings of the plat}
boundary:
  start: SW
  names: [SW, NW, NE, SE]
  calls:
    - N 01°05'00" W 91.40 ft
    - N 87°50'00" E 80.35 ft
    - {curve: right, radius: 300 ft, arc: 88.60 ft, chord: S 02°10' E}
    - S 85°39'15" W 81.94 ft
  corners:
    SW: {what: iron rod, size: 1/2 in, cap: cap 2207, matches record: yes, who: crew lead, when: 2026-05-04}
    NW: {found: 1 in iron pipe, matches record: yes}
    NE: {found: wood lath with ribbon, who: owner}
    SE: {rests on: gnss, who: phone of the owner, record: 5/8 in iron rod}
  record: plat book 20, page 3
measured:
  - {tape: [SW, NW], reads: 91.47 ft, with: steel tape}
  - {position: SE, coordinates: [85 ft, -2 ft], with: phone}
"""


@functools.cache
def planned(name: str = "", language: str = "en", paper: str = "letter") -> Plan:
    made = engine.make_plan(*engine.load(EXAMPLES / f"{name}.yaml")) if name else engine.make_plan(read_text(JOB))
    return replace(made, settings=replace(made.settings, language=language, paper=paper))


def text(name: str, plan: Plan) -> list[str]:
    assert plan.site.ring is not None
    data = (boundary_data if name == "boundary" else pins_data)(plan, plan.site.ring)
    document = pypdfium2.PdfDocument(set_paper(name, data))
    pages = [document[k].get_textpage().get_text_bounded() for k in range(len(document))]
    return [re.sub(r"\s+", " ", page.replace("\u200b", "")) for page in pages]


@pytest.mark.parametrize(("language", "big"), [("en", "LINE NOT LOCATED"), ("es", "LINDERO NO LOCALIZADO")])
def test_the_status_is_the_first_thing_on_the_boundary_page(language: str, big: str) -> None:
    page = text("boundary", planned("proclamation-7647", language))[0]
    assert page.index(big) < 250
    assert "1:31,704" in page


def test_a_located_line_is_never_called_proven() -> None:
    page = text("boundary", planned("tansy-court"))[0]
    assert "LINE DRAWN BY FOUND PINS, NOT PROVEN" in page


def test_a_deed_that_closes_poorly_is_told_at_once() -> None:
    page = text("boundary", planned())[0]
    assert "close only 1:1,732, worse than 1:5,000" in page
    assert "Something below differs by more than the tools explain" in page


def test_record_measured_and_difference_stand_side_by_side() -> None:
    plan = planned()
    assert plan.site.ring is not None
    rows = boundary_data(plan, plan.site.ring)["checks"]
    assert [(r["what"], r["record"], r["measured"], r["difference"], r["beyond"]) for r in rows] == [
        # 91.40 ft = 91' 4.8"; 91.47 ft = 91' 5.64"; 0.07 ft = 0.84"
        ("SW to NW", "91' 4 3/4\"", "91' 5 5/8\"", '7/8" longer', True),
        ("Place of SE", "", "", rows[1]["difference"], False),
    ]
    assert rows[1]["difference"].endswith("toward S 21° E")


def test_each_corner_says_what_it_rests_on_and_what_is_missing() -> None:
    plan = planned()
    assert plan.site.ring is not None
    rows = {row["name"]: row for row in boundary_data(plan, plan.site.ring)["corners"]}
    assert rows["SW"]["counts"] == ["yes"]
    assert rows["NE"]["counts"] == ["NO: that is no pin"]
    assert rows["NE"]["seen"] == "wood lath with ribbon"
    assert (rows["SE"]["rests"], rows["SE"]["counts"]) == ("a phone or GNSS fix", ["NO: names the lot, not the corner"])


def test_a_curve_stands_with_all_its_parts() -> None:
    plan = planned()
    assert plan.site.ring is not None
    (row,) = boundary_data(plan, plan.site.ring)["curves"]
    # R 300 ft, L 88.60 ft: delta = L / R = 16.9213 degrees, C = 2 R sin(delta / 2) = 88.278 ft, T = R tan(delta / 2) =
    # 44.625 ft, M = R (1 - cos(delta / 2)) = 3.265 ft
    assert (row["turns"], row["radius"], row["delta"], row["arc"]) == ("right", "300' 0\"", "16°55'17\"", "88' 7 1/4\"")
    assert (row["chord"], row["tangent"], row["middle"]) == ("S 02°10'00\" E  88' 3 3/8\"", "44' 7 1/2\"", "3' 3 1/8\"")


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_order_of_weight_has_its_sources_and_decides_nothing(language: str) -> None:
    page = " ".join(text("boundary", planned("tansy-court", language)))
    words = table("boundary", language)
    for key in ("weight_order", "weight_states", "weight_not", "standing_encroach", "proves"):
        assert words[key] in page
    assert "Tiffany" in page
    assert table("common", language)["survey"] in page


@pytest.mark.parametrize(("language", "dig"), [("en", "LOCATE NOT ENTERED: DO NOT DIG"), ("es", "SIN LOCALIZACIÓN")])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_page_of_the_pin_search_begins_with_the_locate(language: str, dig: str, paper: str) -> None:
    pages = text("pins", planned("proclamation-7647", language, paper))
    assert all(page.strip().startswith(dig) for page in pages)
    found = sum(page.count(table("pins", language)["no_radius"]) for page in pages)
    assert found == 8
    assert len(pages) == 3


def test_a_search_with_a_radius_has_two_tapes_and_says_how_it_was_made() -> None:
    (page,) = text("pins", planned("tansy-court"))
    assert page.count("SEARCH WITHIN") == 2
    assert "172' 8 7/8\"" in page  # from NE to SW across the lot: by the calls, 172.74 ft
    assert "95 %" in page
    assert "Never pull, straighten, move or bury a pin" in page
    assert "witness" in page


def test_a_radius_is_rounded_up() -> None:
    plan = planned("tansy-court")
    assert plan.site.ring is not None
    assert plan.site.evidence is not None
    for row, search in zip(pins_data(plan, plan.site.ring)["corners"], plan.site.evidence.searches, strict=True):
        assert search.radius_m is not None
        inches = int(re.search(r"(\d+)\"", row["radius"])[1])  # type: ignore[index]
        assert 0.0 <= inches - search.radius_m / 0.0254 < 1.0


def test_the_papers_are_published_where_they_have_something_to_say(tmp_path: Path) -> None:
    names = {path.name for path in engine.publish(planned(), tmp_path / "a").files}
    assert {"boundary.pdf", "pins.pdf"} <= names
    names = {path.name for path in engine.publish(planned("house-and-tape"), tmp_path / "b").files}
    assert not {"boundary.pdf", "pins.pdf"} & names


def test_a_part_of_a_pin_left_open_is_asked_of_its_corner() -> None:
    made = engine.make_plan(read_text(JOB.replace("cap: cap 2207", "cap: ask")))
    asked = [row["what"] for row in decisions_data(made)["asks"]]
    assert any(what.endswith("corner SW") for what in asked)
    assert not any("SW.cap" in what for what in asked)


PASTED = """\
palewright: 1
job: {title: Pasted deed, print: feet-inches, tape: 100 ft}
boundary:
  names: [A, B, C]
  deed: |
    Commencing at the corner of Lot 7; thence N 5.00 feet to the POINT OF BEGINNING; thence N 80.00 feet along Mill Road
    to a 1/2 inch pipe; thence E 60.00 feet past an old gate; thence S 36°52'12" W 100.00 feet to the POINT OF BEGINNING,
    containing 2,400 square feet.
"""


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", ["as pasted and as read", "The record calls for: 1/2 inch pipe", "Passed by: past an old gate", "Noted: Lot 7"]),
        ("es", ["como se pegó y como se leyó", "El registro menciona: 1/2 inch pipe", "Anotado: Lot 7"]),
    ],
)  # fmt: skip
def test_a_pasted_description_stands_beside_what_was_read(language: str, words: list[str]) -> None:
    made = engine.make_plan(read_text(PASTED))
    pages = " ".join(text("boundary", replace(made, settings=replace(made.settings, language=language))))
    for said in (*words, "N 80.00 feet along Mill Road to a 1/2 inch pipe", "N 00°00'00\" E 80.00'"):
        assert said in pages
    assert ("LINE NOT LOCATED" in pages) == (language == "en")
