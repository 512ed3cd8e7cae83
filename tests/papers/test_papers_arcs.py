"""The crew sheet of a curved side: one string, and how far each post stands off it."""

from __future__ import annotations

import re
from dataclasses import replace

import pypdfium2
import pytest

from palewright import plan as engine
from palewright.jobfile import read_text
from palewright.model import Plan
from palewright.papers import crew_data, set_paper

JOB = """\
palewright: 1
job: {title: Corner lot with a curve, print: feet-inches, tape: 100 ft}
boundary:
  start: SW
  names: [SW, NW, C1, C2, SE]
  calls: [N 100.00 ft, E 80.00 ft, {curve: right, radius: 20 ft, arc: 31.42 ft, joins: tangent}, S 80.00 ft, to beginning]
fences:
  privacy: {kind: boards, board: 6 ft, bottom gap: 2 in, good side: neighbour}
runs:
  - {name: round, fence: privacy, sides: all, yard: right, follows: racked, inside boundary: {face: 8 in}}
"""


def planned(language: str) -> Plan:
    made = engine.make_plan(read_text(JOB))
    return replace(made, settings=replace(made.settings, language=language))


def test_each_post_of_the_curve_has_its_own_offset() -> None:
    """Radius of the posts 19.00 ft: 20 ft less 8 in, less a board, a rail and half a post. Worked by hand at 45 degrees."""
    data = crew_data(planned("en"))
    (string,) = [string for string in data["strings"] if string["arc"]]
    assert string["centre"] == "2' 0\" to 7' 6 3/4\""
    rows = string["rows"]
    assert [row["off"] for row in rows] == ["2' 0\"", "6' 1 1/2\"", "7' 6 3/4\"", "6' 1 1/2\"", "2' 0\""]
    assert [row["gap"] for row in rows] == ["", *["7' 5\""] * 4]
    assert string["arc"]["off"] == "7' 6 3/4\""
    assert "5' 6 3/4\"" in string["arc"]["middle"]
    assert all(not row["off"] for other in data["strings"] if not other["arc"] for row in other["rows"])


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", ["CURVE: the string is straight", "Check the curve: at", "Square off the string, to centre", "face 7' 5\""]),
        ("es", ["CURVA: el hilo es recto", "Compruebe la curva: a", "A escuadra del hilo, al centro", "cara 7' 5\""]),
    ],
)  # fmt: skip
def test_the_sheet_says_how_the_curve_is_set(language: str, words: list[str]) -> None:
    document = pypdfium2.PdfDocument(set_paper("crew", crew_data(planned(language))))
    pages = [document[k].get_textpage().get_text_bounded() for k in range(len(document))]
    whole = " ".join(re.sub(r"\s+", " ", page.replace("\u200b", "")) for page in pages)
    for said in words:
        assert said in whole


def test_a_word_of_one_column_does_not_run_into_the_next() -> None:
    data = crew_data(planned("es"))
    for string in data["strings"]:
        for row in string["rows"]:
            row |= {"dig": "máquinaz"} if row["kind"] == "mark" else {}
    document = pypdfium2.PdfDocument(set_paper("crew", data))
    seen = 0
    for page in document:
        text = page.get_textpage()
        boxes = [text.get_charbox(k) for k in range(text.count_chars())]
        found = text.search("máquinaz")
        while (at := found.get_next()) is not None:
            last, low, high = boxes[at[0] + 7][2], boxes[at[0]][1], boxes[at[0]][3]
            right = [box[0] for box in boxes if box[1] < high and box[3] > low and box[0] > boxes[at[0] + 7][0]]
            seen += 1
            assert min(right) > last + 1.0
    assert seen > 10


def test_a_new_zero_stands_on_one_page_with_the_row_that_is_read_from_it() -> None:
    data = crew_data(planned("en"))
    string = next(string for string in data["strings"] if not string["arc"] and len(string["rows"]) > 6)
    rezero = {"kind": "rezero", "text": "NEW ZERO HERE"}
    after = [row | {"reads": "AFTER"} for row in string["rows"][:3]]
    marks = string["rows"] * 4
    data["strings"] = [string | {"rows": [*marks[:k], rezero, *after]} for k in range(8, 20)]
    document = pypdfium2.PdfDocument(set_paper("crew", data))
    pages = [text for page in document if "NEW ZERO HERE" in (text := page.get_textpage().get_text_bounded())]
    assert sum(text.count("NEW ZERO HERE") for text in pages) == 12
    assert all(text.count("AFTER") >= text.count("NEW ZERO HERE") for text in pages)
    assert not [text for text in pages if text.rpartition("NEW ZERO HERE")[2].count("AFTER") == 0]
