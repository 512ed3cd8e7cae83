"""Long names, without a blank to break at: nothing runs into anything else, off the page, or down to nothing."""

from __future__ import annotations

import itertools
from pathlib import Path

import pypdfium2
import pytest

from palewright import draw
from palewright import plan as engine
from palewright.draw.scene import Text
from palewright.jobfile import read_text
from palewright.model import Plan
from palewright.papers.words import table
from palewright.papers.write import write_papers

LEAST_PT = 70.0
"""An inch: less than that is no column for sentences."""

JOB = """\
palewright: 1
job: {{title: {title}, language: {language}}}
points: {{A: {{at: [0 ft, 0 ft]}}, B: {{at: [40 ft, 0 ft]}}, C: {{at: [40 ft, 30 ft]}}, D: {{at: [0 ft, 30 ft]}}}}
fences:
  {fence}: {{kind: boards, board: 6 ft, good side: neighbour}}
runs:
  - {{name: {one}, fence: {fence}, through: [A, B], yard: left, follows: racked}}
  - {{name: {two}, fence: {fence}, through: [C, D], yard: left, follows: racked}}
clear of:
  - {{name: {zone}, at: [20 ft, 15 ft], each side: 24 in, inside it: hand dig, utility: gas}}
heights: [{{falls: 10 in, from: A, to: B}}, {{falls: 12 in, from: C, to: D}}]
locate: {{ticket: {ticket}, called on: ask, legal from: ask, expires: ask}}
"""


def planned(length: int, language: str) -> Plan:
    names = {key: (key + "wm" * length)[:length] for key in ("title", "fence", "one", "two", "zone", "ticket")}
    return engine.make_plan(read_text(JOB.format(language=language, **names)))


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("length", [60, 200])
def test_no_name_takes_the_room_of_the_column_beside_it(length: int, language: str, tmp_path: Path) -> None:
    plan = planned(length, language)
    words = table("crew", language)
    pages = []
    for name in ("crew.pdf", "decisions.pdf", "materials.pdf"):
        (path,) = write_papers(plan, tmp_path, only=name)
        pages += pypdfium2.PdfDocument(path)
    for page in pages:
        wide, tall = page.get_size()
        text = page.get_textpage()
        boxes = [text.get_rect(n) for n in range(text.count_rects())]
        assert all(b[0] > 0 and b[2] < wide and b[1] > 0 and b[3] < tall for b in boxes), text.get_text_range()
        for (l1, b1, r1, t1), (l2, b2, r2, t2) in itertools.combinations(boxes, 2):
            over = min(r1, r2) - max(l1, l2) > 1.0 and min(t1, t2) - max(b1, b2) > 2.0
            assert not over or is_drawn(page), (
                text.get_text_bounded(l1, b1, r1, t1),
                text.get_text_bounded(l2, b2, r2, t2),
            )
    first = pages[0].get_textpage()
    fence, length_head = (first.search(words[key], match_case=True).get_next() for key in ("col_fence", "col_length"))
    assert first.get_charbox(length_head[0])[0] - first.get_charbox(fence[0])[0] > LEAST_PT


def test_what_to_settle_first_stays_on_the_first_page(tmp_path: Path) -> None:
    """The flags of every page send there: a title, an address and a client as long as a job file takes do not move it."""
    job = JOB.format(language="en", title="W" * 2000, fence="low", one="a", two="b", zone="gas", ticket="ask")
    job = job.replace("language: en", f"language: en, address: {'W' * 2000}, client: {'W' * 2000}")
    corners = "boundary: {through: [[0 ft, 0 ft], [0 ft, 40 ft], [50 ft, 40 ft], [50 ft, 0 ft]]}\n"
    (path,) = write_papers(engine.make_plan(read_text(job + corners)), tmp_path, only="crew.pdf")
    first, second = (page.get_textpage().get_text_range() for page in list(pypdfium2.PdfDocument(path))[:2])
    assert "STOP box on page 1" in second
    assert table("crew", "en")["stop_head"] in first


def is_drawn(page: pypdfium2.PdfPage) -> bool:
    """Whether a drawing stands on the page, whose edge cuts off words that the text of the page still has."""
    return len(list(page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]))) > 200


def test_the_key_of_a_drawing_stands_above_its_title() -> None:
    job = (Path(__file__).parents[2] / "examples/tansy-court.yaml").read_text("utf-8").replace("prices: prices.csv", "")
    for name in ("rear", "left return", "right return"):
        job = job.replace(f"- name: {name}\n", f"- name: {(name.replace(' ', '') + 'wm' * 100)[:200]}\n")
    for scene in draw.all_sheets(engine.make_plan(read_text(job), search_cuts=False)):
        texts = [one for one in scene.primitives if isinstance(one, Text)]
        title = next(one.at[1] for one in texts if one.role == "title")
        keys = [one.at[1] for one in texts if one.role == "key"]
        assert all(at < title - 5.0 for at in keys), (title, max(keys))
