"""Set pages as a crew lead sees them: what belongs together stands together, and sketches can be read."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from tests.draw.conftest import plan_named

from palewright.papers import crew_data, set_paper
from palewright.papers.words import table
from palewright.papers.write import write_papers
from palewright.plan import load, make_plan

FIGURES = set("ABCDEFGHKLMNPRSTUVWXYZ023456789")
LEAST_PT = 3.3
"""Height of capitals and figures: 0.714 of 4.6 point, as small as a sketch may make the figures of a drawing."""


@pytest.mark.parametrize(("language", "paper"), [("en", "letter"), ("es", "a4")])
@pytest.mark.parametrize("name", ["tansy-court", "corner-angles", "corner-lot", "chain-link-run"])
def test_crew_sheets_keep_together_and_can_be_read(name: str, language: str, paper: str, tmp_path: Path) -> None:
    plan = plan_named(name)
    plan = replace(plan, settings=replace(plan.settings, language=language, paper=paper))
    (path,) = write_papers(plan, tmp_path, only="crew.pdf")
    words = table("crew", language)
    pages = [page.get_textpage() for page in pypdfium2.PdfDocument(path)]
    texts = [page.get_text_range() for page in pages]
    # the places to sign stand with the cautions
    assert [words["cautions"] in text for text in texts] == [words["signoff"] in text for text in texts]
    # no step of the order of work stands alone on the second page
    steps = [line for line in texts[1].splitlines() if line.split(".")[0].isdigit() and ". " in line]
    assert len(steps) != 1
    for text, page in zip(texts[1:], pages[1:], strict=True):
        for n, char in enumerate(text):
            if char in FIGURES:
                left, bottom, right, top = page.get_charbox(n)
                assert max(right - left, top - bottom) >= LEAST_PT or top == bottom, text[max(0, n - 20) : n + 20]


@pytest.mark.parametrize(("language", "paper"), [("en", "letter"), ("es", "a4")])
@pytest.mark.parametrize("name", ["sloping-yard", "chain-link-run"])
def test_columns_of_the_decision_page_do_not_run_into_each_other(
    name: str, language: str, paper: str, tmp_path: Path
) -> None:
    plan = plan_named(name)
    plan = replace(plan, settings=replace(plan.settings, language=language, paper=paper, print_style="metric"))
    (path,) = write_papers(plan, tmp_path, only="decisions.pdf")
    for page in pypdfium2.PdfDocument(path):
        text = page.get_textpage()
        boxes = [text.get_rect(n) for n in range(text.count_rects())]
        for (l1, b1, r1, t1), (l2, b2, r2, t2) in itertools.combinations(boxes, 2):
            wide, tall = min(r1, r2) - max(l1, l2), min(t1, t2) - max(b1, b2)
            assert wide < 1.0 or tall < 2.0, text.get_text_bounded(max(l1, l2), max(b1, b2), min(r1, r2), min(t1, t2))


def test_strings_are_squared_beside_their_drawing(tmp_path: Path) -> None:
    """Two pins far apart: a tape to a post that shares the sheet of the triangles takes that sheet nowhere else."""
    job = Path(__file__).resolve().parents[2] / "examples" / "proclamation-7647.yaml"
    pins = "\n".join(f"    {name}: {{found: 5/8 in iron pin with cap, matches record: yes}}" for name in ("P1", "P4"))
    text = job.read_text("utf-8").replace("record: 117 Stat. 3003", f"record: 117 Stat. 3003\n  corners:\n{pins}")
    copy = tmp_path / "job.yaml"
    copy.write_text(text.replace("{face: 8 in}", "{footing: 5 in}"), "utf-8")
    (path,) = write_papers(make_plan(*load(copy)), tmp_path, only="crew.pdf")
    words = table("crew", "en")
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(path)]
    (squared,) = (text for text in pages if words["square_head"] in text and words["square_note"] in text)
    assert words["checks_key"] in squared


def test_checks_without_a_drawing_run_over_pages(tmp_path: Path) -> None:
    data = crew_data(plan_named("tansy-court"))
    data["corners"] = data["corners"] * 8
    pages = pypdfium2.PdfDocument(set_paper("crew", data))
    heads = [table("crew", "en")["square_head"] in page.get_textpage().get_text_range() for page in pages]
    assert any(heads)
    assert len(pages) > 10
