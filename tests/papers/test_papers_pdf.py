"""The PDF files as a reader gets them: text extracted page by page, tags, paper size, typed text that is never markup."""

from __future__ import annotations

import ctypes
import functools
import re
from dataclasses import replace

import pypdfium2
import pytest
from tests.sample_plan import sample_plan

from palewright.model import MemberAnswer, Plan
from palewright.notation import show_length
from palewright.papers import (
    boundary_data,
    crew_data,
    decisions_data,
    materials_data,
    pins_data,
    set_paper,
    write_papers,
)
from palewright.papers.clean import MISSING, clean, covered
from palewright.papers.words import table

MAKERS = {
    "boundary": lambda plan: boundary_data(plan, plan.site.ring),
    "crew": crew_data,
    "decisions": decisions_data,
    "materials": materials_data,
    "pins": lambda plan: pins_data(plan, plan.site.ring),
}


def settings(plan: Plan, **changes: object) -> Plan:
    return replace(plan, settings=replace(plan.settings, **changes))


def pages(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [plain(document[k].get_textpage().get_text_bounded()) for k in range(len(document))]


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u200b", ""))


@functools.cache
def made(name: str, language: str = "en", paper: str = "letter") -> bytes:
    return set_paper(name, MAKERS[name](settings(sample_plan(), language=language, paper=paper)))


@pytest.mark.parametrize("language", ["en", "es"])
def test_each_hole_is_on_the_crew_sheets(language):
    text = " ".join(pages(made("crew", language)))
    plan = sample_plan()
    for string in plan.stakeout.strings:
        for mark in string.marks:
            assert f"{mark.post} {show_length(mark.reads_m)}" in text


@pytest.mark.parametrize(
    ("language", "first", "words"),
    [
        ("en", "LOCATE NOT ENTERED: DO NOT DIG", ("Ticket", "Called on", "Legal to dig from", "Expires", "irrigation")),
        (
            "es",
            "SIN LOCALIZACIÓN DE SERVICIOS: NO CAVE",
            ("Boleto", "Se llamó el", "Se puede cavar desde", "Vence", "riego"),
        ),
    ],
)
def test_every_crew_page_begins_with_the_locate(language, first, words):
    form, *bands = pages(made("crew", language))
    for page in (form, *bands):
        assert page.strip().startswith(first)
        assert all(word in page[: page.index(table("common", language)["trial"])] for word in words[:-1])
    assert words[-1] in form[: form.index("Tansy Court lot 7")]
    assert all(table("locate", language)["band_private"] in page[:300] for page in bands)


def test_the_answers_typed_stand_on_every_page():
    plan = sample_plan()
    members = (MemberAnswer("Gas", "marked", "4 Mar"), MemberAnswer("Water"))
    typed = replace(plan.locate.typed, ticket="A-1234567", members=members)
    crew = pages(set_paper("crew", crew_data(replace(plan, locate=replace(plan.locate, typed=typed)))))
    for page in crew:
        assert page.strip().startswith("LOCATE NOT COMPLETE: DO NOT DIG")
        assert all(word in page[:400] for word in ("A-1234567", "Gas: marked 4 Mar", "Water:"))


def test_the_order_of_work_names_pages_that_are_there():
    plan = sample_plan()
    order = ("locate", "points", "corners", "square", "marks", "diagonals", "dig")
    crew = pages(set_paper("crew", crew_data(replace(plan, stakeout=replace(plan.stakeout, order=order)))))
    assert not any("@@" in page or "page –" in page for page in crew)
    at = re.search(r"names \(page (\d+), part 1\)", crew[0])
    assert at is not None
    assert "Corners and checks" in crew[int(at[1]) - 1]
    assert "1. Find the corners" in crew[int(at[1]) - 1]
    proof = re.search(r"hole centres \(page (\d+)\)", " ".join(crew))
    assert proof is not None
    assert "Prove the holes" in crew[int(proof[1]) - 1]


def test_a_locate_entered_is_first_too():
    plan = sample_plan()
    typed = replace(plan.locate.typed, ticket="A-1234567", called_on="3 Mar", legal_from="6 Mar 7:00", expires="20 Mar")
    entered = replace(plan, locate=replace(plan.locate, entered=True, typed=typed, missing=()))
    for page in pages(set_paper("crew", crew_data(entered))):
        assert page.strip().startswith("LOCATE: Ticket")
        assert "DO NOT DIG" not in page[:200]
        assert all(value in page[:400] for value in ("A-1234567", "3 Mar", "6 Mar 7:00", "20 Mar"))


@pytest.mark.parametrize("name", sorted(MAKERS))
@pytest.mark.parametrize(("language", "words"), [("en", "Page {} of {}"), ("es", "Página {} de {}")])
def test_pages_are_numbered(name, language, words):
    texts = pages(made(name, language))
    for k, page in enumerate(texts, start=1):
        assert words.format(k, len(texts)) in page


@pytest.mark.parametrize("name", sorted(MAKERS))
def test_every_page_says_what_is_not_known(name):
    for page in pages(made(name)):
        assert "line not located: 1 of 4 corners found" in page
        assert "TRIAL" in page
        assert "LEVEL GROUND ASSUMED on run rear" in page
        assert "Tansy Court lot 7" in page


@pytest.mark.parametrize(("paper", "size"), [("letter", (612, 792)), ("a4", (595.28, 841.89))])
@pytest.mark.parametrize("name", sorted(MAKERS))
def test_paper_size(name, paper, size):
    document = pypdfium2.PdfDocument(made(name, "en", paper))
    for k in range(len(document)):
        assert document[k].get_size() == pytest.approx(size, abs=0.1)


@pytest.mark.parametrize("name", sorted(MAKERS))
def test_tagged_for_readers(name):
    """PDF/UA: marked, a structure tree, a title shown, the part of the standard named, the language said."""
    pdf = made(name, "es")
    document = pypdfium2.PdfDocument(pdf)
    assert pypdfium2.raw.FPDFCatalog_IsTagged(document)
    assert b"pdfuaid" in pdf
    assert document.get_metadata_dict()["Title"]
    tree = pypdfium2.raw.FPDF_StructTree_GetForPage(document[0])
    assert pypdfium2.raw.FPDF_StructTree_CountChildren(tree) > 0
    size = pypdfium2.raw.FPDFCatalog_GetLanguage(document, None, 0)
    language = (ctypes.c_ushort * (size // 2))()
    pypdfium2.raw.FPDFCatalog_GetLanguage(document, language, size)
    assert bytes(language).decode("utf-16-le").rstrip("\0") == "es"


def test_the_hole_table_is_a_table_with_heads():
    document = pypdfium2.PdfDocument(made("crew"))
    kinds: set[str] = set()
    for k in range(len(document)):
        tree = pypdfium2.raw.FPDF_StructTree_GetForPage(document[k])
        for n in range(pypdfium2.raw.FPDF_StructTree_CountChildren(tree)):
            _kinds(pypdfium2.raw.FPDF_StructTree_GetChildAtIndex(tree, n), kinds)
    assert {"Table", "TH", "TD", "TR", "H1", "H2", "P"} <= kinds


def _kinds(element, found: set[str]) -> None:
    if not element:
        return
    size = pypdfium2.raw.FPDF_StructElement_GetType(element, None, 0)
    buffer = ctypes.create_string_buffer(size)
    pypdfium2.raw.FPDF_StructElement_GetType(element, buffer, size)
    found.add(buffer.raw.decode("utf-16-le").rstrip("\0"))
    for n in range(pypdfium2.raw.FPDF_StructElement_CountChildren(element)):
        _kinds(pypdfium2.raw.FPDF_StructElement_GetChildAtIndex(element, n), found)


NASTY = [
    '#import "x": *; #panic("no") $x^2$ *bold* _it_ `raw` <label> @ref // comment /* c */ \\ ] [ } {',
    "= not a heading",
    "x" * 500,
    "word " * 120,
    "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \U0001f415\u200d\U0001f9ba \u4e2d\u6587 \ue000 \ud83d \x00\x1b\x7f\u202e",
    "\u200b\ufeff",
    "Ñandú ½ ′ ″ ’ “ ” — – … ° × ±",
]


@pytest.mark.parametrize("name", sorted(MAKERS))
@pytest.mark.parametrize("typed", NASTY, ids=range(len(NASTY)))
def test_typed_text_is_never_markup(name, typed):
    plan = sample_plan()
    zones = tuple(replace(z, name=typed) for z in plan.site.zones)
    runs = tuple(replace(r, name=typed) for r in plan.design.runs)
    gates = tuple(replace(g, name=typed) for g in plan.design.gates)
    posts = tuple(
        replace(p, hole=replace(p.hole, hits=tuple(replace(h, zone=typed) for h in p.hole.hits))) if p.hole else p
        for p in plan.design.posts
    )
    nasty = replace(
        plan,
        settings=replace(plan.settings, title=typed, address=typed, client=typed, notes=(typed,), file=typed),
        site=replace(plan.site, zones=zones),
        design=replace(plan.design, runs=runs, gates=gates, posts=posts),
    )
    pdf = set_paper(name, MAKERS[name](nasty))
    text = " ".join(pages(pdf))
    words = clean(typed).split()
    if typed.startswith("#import"):
        assert '#panic("no")' in text
        assert "*bold*" in text
    assert len(words) == 0 or words[0][:10] in text
    for k, page in enumerate(pages(pdf), start=1):
        if name == "crew":
            assert page.strip().startswith("LOCATE NOT ENTERED"), k


def test_nothing_runs_off_the_paper():
    """Every character stands inside the margins, also with long typed words."""
    plan = settings(sample_plan(), title="W" * 500, address="M" * 300, notes=("q" * 400,))
    for name, make in MAKERS.items():
        document = pypdfium2.PdfDocument(set_paper(name, make(plan)))
        for k in range(len(document)):
            page = document[k]
            text = page.get_textpage()
            wide, tall = page.get_size()
            for n in range(text.count_chars()):
                left, bottom, right, top = text.get_charbox(n)
                assert -1 <= left <= right <= wide - 20, (name, k, text.get_text_range(n, 1))
                assert 10 <= bottom <= top <= tall, (name, k)


def test_what_the_font_lacks_is_replaced():
    assert clean("a\u4e2db") == f"a{MISSING}b"
    assert clean("e\u0301") == "é"
    assert clean("a\x07\u202eb\ufe0f") == "ab"
    assert clean("\ud83d") == MISSING
    assert clean([{"k": ("x\ty",)}]) == [{"k": ["x y"]}]
    assert ord("ñ") in covered()
    assert ord("中") not in covered()


def test_covered_agrees_with_the_font_tool():
    """Our reading of the font's table against fontTools."""
    import fontpkg_noto_sans
    from fontTools.ttLib import TTFont

    folder = fontpkg_noto_sans.__path__[0]
    with TTFont(f"{folder}/files/NotoSans[wdth,wght].ttf") as font:
        assert covered() == set(font.getBestCmap())


def test_same_plan_same_bytes():
    data = crew_data(sample_plan())
    assert set_paper("crew", data) == set_paper("crew", data)


def test_write_papers(tmp_path):
    paths = write_papers(sample_plan(), tmp_path)
    assert [path.name for path in paths] == [
        "crew.pdf",
        "materials.pdf",
        "decisions.pdf",
        "boundary.pdf",
        "drawings.pdf",
    ]
    assert all(path.read_bytes()[:5] == b"%PDF-" for path in paths)
    crew = " ".join(pages(paths[0].read_bytes()))
    assert "The strings" in crew
    assert "rear 1 reads 61' 0\"" in crew
