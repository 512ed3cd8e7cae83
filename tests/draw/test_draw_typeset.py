"""PDF, opened with pdfium: pages, real text, tags, nothing typed becomes markup, missing fonts fail."""

from __future__ import annotations

from dataclasses import replace

import pypdfium2
import pytest
from tests.draw.conftest import sheets

from palewright import draw
from palewright.draw import typeset
from palewright.draw.scene import Scene, Text
from palewright.errors import OutputError
from palewright.model import Plan

HEAD = '#set document(title: "t", date: none)\n#set text(font: "Noto Sans", lang: "en")\n'


def page_texts(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        out = []
        for page in document:
            text = page.get_textpage()
            out.append(text.get_text_bounded())
            text.close()
            page.close()
        return out
    finally:
        document.close()


def test_sheets_have_their_size_and_their_words(any_plan: Plan) -> None:
    scenes = sheets(any_plan)
    pdf = typeset.scene_pdf(scenes)
    document = pypdfium2.PdfDocument(pdf)
    sizes = [page.get_size() for page in document]
    document.close()
    assert len(sizes) == len(scenes)
    for scene, (width, height), text in zip(scenes, sizes, page_texts(pdf), strict=True):
        assert (width, height) == pytest.approx((scene.width_mm / 25.4 * 72, scene.height_mm / 25.4 * 72), abs=0.05)
        flat = "".join(text.split())
        for t in scene.texts():
            assert "".join(t.text.split()) in flat, t.text


def test_pdf_is_tagged_and_says_so(hand_plan: Plan) -> None:
    pdf = typeset.scene_pdf(draw.plan_sheets(hand_plan))
    assert b"/StructTreeRoot" in pdf
    assert b"pdfuaid" in pdf
    assert b"/Alt" in pdf


def test_same_bytes_twice(hand_plan: Plan) -> None:
    scenes = draw.plan_sheets(hand_plan)
    assert typeset.scene_pdf(scenes) == typeset.scene_pdf(scenes)


def test_what_is_typed_stays_words(hand_plan: Plan) -> None:
    nasty = '#panic("x") *b* $1/0$ \\ <l> @r // c'
    plan = replace(hand_plan, settings=replace(hand_plan.settings, title=nasty, address=nasty))
    (text,) = page_texts(typeset.scene_pdf(draw.plan_sheets(plan)))
    assert '#panic("x")' in text


@pytest.mark.parametrize("word", ["漢字", "שלום", "a\u200bb\x00c", "🙂", "\ufeffx"])
def test_what_the_font_lacks_is_a_question_mark(word: str) -> None:
    text = Text(layer="label", text=f"post {word} end", at=(5.0, 10.0), size_mm=3.0)
    (said,) = page_texts(typeset.scene_pdf([Scene(80.0, 20.0, word, (text,), alt=word)]))
    assert said.startswith("post ")
    assert said.rstrip().endswith("end")


def test_a_missing_font_fails() -> None:
    with pytest.raises(OutputError, match="unknown font family"):
        typeset.compile_pdf(
            '#set document(title: "t", date: none)\n#set text(font: ("Nowhere Sans", "Noto Sans"))\nx', {}
        )


def test_bad_markup_fails_with_words() -> None:
    with pytest.raises(OutputError, match="could not be typeset"):
        typeset.compile_pdf(HEAD + "#let x = (", {})


def test_no_scene_is_refused() -> None:
    with pytest.raises(ValueError, match="no scene"):
        typeset.scene_pdf([])


def test_a_picture_a_sheet(hand_plan: Plan) -> None:
    pictures = typeset.compile_png(draw.plan_sheets(hand_plan), ppi=40.0)
    assert len(pictures) == 1
    assert pictures[0].startswith(b"\x89PNG")
