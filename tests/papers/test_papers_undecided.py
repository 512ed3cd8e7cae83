"""What nobody has answered is no fact on any paper."""

from __future__ import annotations

import json

import pytest

from palewright import draw, jobfile
from palewright.model import Plan
from palewright.papers.agreement import agreement_data
from palewright.papers.crew import crew_data
from palewright.papers.decisions import decisions_data
from palewright.papers.names import in_language
from palewright.papers.words import text
from palewright.plan import make_plan

JOB = """palewright: 1
job: {{title: T, language: {language}}}
points: {{A: {{at: [0 ft, 0 ft]}}, B: {{at: [0 ft, 40 ft]}}, C: {{at: [40 ft, 40 ft]}}, D: {{at: [40 ft, 0 ft]}}}}
{boundary}
fences:
  privacy: {{kind: boards, good side: ask}}
  mesh: {{kind: chain-link, good side: ask}}
  panel: {{kind: vinyl-panels, good side: ask}}
runs:
  - {{name: west, fence: privacy, through: [A, B], yard: ask,
     gates: [{{name: garden gate, opening: 4 ft, starts: 12 ft from A, hinges: ask, swings: ask}}]}}
  - {{name: north, fence: mesh, through: [B, C], yard: right}}
  - {{name: east, fence: panel, through: [C, D], yard: right}}
"""
BOUNDARY = (
    "boundary: {record: ask, start: A, calls: [N 00°00'00\" E 40.00 ft, N 90°00'00\" E 40.00 ft, "
    "S 00°00'00\" E 40.00 ft, S 90°00'00\" W 40.00 ft]}"
)


def made(language: str = "en", boundary: str = "") -> Plan:
    return in_language(make_plan(jobfile.read_text(JOB.format(language=language, boundary=boundary))))


@pytest.mark.parametrize("boundary", ["", BOUNDARY])
@pytest.mark.parametrize(("language", "word", "facts"), [
    ("en", "ASK", ("good side: ", "Hinges on", "Swings into", "Latch on")),
    ("es", "PREGUNTE", ("cara buena: ", "Bisagras en", "Abre hacia", "Pestillo en")),
])  # fmt: skip
def test_the_crew_reads_what_is_not_decided_as_such(
    boundary: str, language: str, word: str, facts: tuple[str, ...]
) -> None:
    data = crew_data(made(language, boundary))
    west, north, east = data["runs"]
    assert west["facts"] == []
    assert [ask.partition(":")[0] for ask in west["asks"]] == [word] * 3
    assert len(north["facts"]) == 1
    assert [ask.partition(":")[0] for ask in north["asks"]] == [word]
    assert len(east["facts"]) == 1
    assert east["asks"] == []
    (gate,) = data["gates"]
    assert sum(line.startswith(word) for line in gate["lines"]) == 3
    said = json.dumps([data["runs"], data["gates"]], ensure_ascii=False)
    assert not any(fact in said for fact in facts)
    assert [bool(string["asks"]) for string in data["strings"]].count(True) == 1
    assert any("west" in line for line in data["stop"]), "strings hang on the yard side"


def test_the_decision_page_asks_of_fabric_and_not_of_panels() -> None:
    plan = made()
    asks = [ask["what"] for ask in decisions_data(plan)["asks"]]
    assert any("mesh" in ask and "fabric" in ask for ask in asks)
    assert not any("panel" in ask for ask in asks)
    (gate,) = decisions_data(plan)["gates"]
    assert "ASK" in gate["hinge"]
    assert "ASK" in gate["swings"]


def test_drawings_say_that_a_gate_is_only_drawn_so() -> None:
    plan = made()
    for sheets in (draw.plan_sheets(plan), draw.elevation_sheets(plan)):
        words = [p.text for sheet in sheets for p in sheet.primitives if isinstance(p, draw.Text)]
        assert "ASK: hinges, swing not decided" in words
        assert "swings to yard" not in words


def test_a_key_of_the_job_file_is_no_question() -> None:
    asks = [ask["what"] for ask in decisions_data(made(boundary=BOUNDARY))["asks"]]
    assert not any("boundary.record" in ask for ask in asks)
    assert any("plat or deed" in ask for ask in asks)


def test_neighbours_do_not_sign_a_side_that_was_only_taken() -> None:
    lot = "agreements: [{neighbour: owner of the next lot, side: 2}]\n"
    plan = in_language(make_plan(jobfile.read_text(JOB.format(language="en", boundary=BOUNDARY) + lot)))
    (page,) = agreement_data(plan)["pages"]
    said = json.dumps(page)
    assert "mesh" in said
    assert text("agreement.good_neighbour") not in said
