"""Names that the program made are printed in the job's language; names that were typed stay as typed."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pypdfium2

from palewright import plan as engine
from palewright.jobfile import read_text
from palewright.papers import in_language

JOB = """\
palewright: 1
job: {title: gate 1 of the yard, print: feet-inches, language: es, notes: [corner 2 is wet]}
boundary: {through: [[0 ft, 0 ft], [0 ft, 100 ft], [150 ft, 100 ft], [150 ft, 0 ft]]}
points: {oak corner 2: {at: [20 ft, 20 ft]}}
fences:
  f: {kind: boards, board: 6 ft, good side: neighbour}
runs:
  - name: todo
    fence: f
    sides: all
    inside boundary: {face: 8 in}
    follows: racked
    gates:
      - {opening: 4 ft, starts: 20 ft from corner 1, hinges: near corner 1, swings: to yard}
      - {name: big door, opening: 10 ft, starts: 20 ft from corner 3, leaves: 2, swings: to yard}
"""


def test_made_names_are_in_the_language_and_typed_names_as_typed():
    plan = engine.make_plan(read_text(JOB))
    shown = in_language(plan)
    assert shown.site.ring is not None
    assert [corner.name for corner in shown.site.ring.corners] == [f"esquina {k}" for k in (1, 2, 3, 4)]
    assert [gate.name for gate in shown.design.gates] == ["portón 1", "big door"]
    assert shown.settings == plan.settings
    english = replace(plan, settings=replace(plan.settings, language="en"))
    assert in_language(english) is english


def test_no_made_name_is_left_in_english_on_any_paper(tmp_path: Path):
    engine.publish(engine.make_plan(read_text(JOB)), tmp_path / "out")
    for name in ("crew", "decisions", "materials", "drawings"):
        document = pypdfium2.PdfDocument(tmp_path / f"out/{name}.pdf")
        text = " ".join(document[k].get_textpage().get_text_bounded() for k in range(len(document)))
        text = text.replace("gate 1 of the yard", "").replace("corner 2 is wet", "").replace("oak corner 2", "")
        assert not re.findall(r"\b(?:gate|corner) \d", text), name
    svg = engine.export(engine.make_plan(read_text(JOB)), "svg").decode()
    assert "esquina 2" in svg
