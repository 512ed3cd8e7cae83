"""The as-built sheet as a reader gets it: the text of its PDF, in both languages and on both papers."""

import io
import struct
import zlib
from dataclasses import replace

import pypdfium2
import pytest
from PIL import Image
from tests.asbuilt.yards import TODAY, day, plan_of, said

from palewright.asbuilt import as_built, check_entries, fold
from palewright.model import Plan, YardEntry
from palewright.papers import asbuilt_data, asbuilt_pdf


def in_language(language: str, paper: str = "letter") -> Plan:
    plan = plan_of()
    return replace(plan, settings=replace(plan.settings, language=language, paper=paper))


def text_of(pdf: bytes) -> str:
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]
    return " ".join(" ".join(pages).split())


def entries_with(*more: YardEntry) -> list[YardEntry]:
    return [*day(), *more]


@pytest.mark.parametrize(
    ("language", "paper", "words"),
    [
        ("en", "letter", ["As built: Tansy Court lot 7", "Entries disagree", '41" (crew hand', "moved 1 1/2\" on: rock",
                          "TOO LONG by", "before: 100' 0 1/4\"", "not measured", "It is no survey", "NOT SET",
                          "26-0412-118: entered as closed", "Not measured at both posts: 27 to 33", "owner of lot 7"]),
        ("es", "a4", ["Como quedó: Tansy Court lot 7", "Anotaciones en desacuerdo", "movido 1 1/2\" adelante: roca",
                      "LARGO por", "antes: 100' 0 1/4\"", "no medido", "No es un levantamiento", "NO PUESTO",
                      "26-0412-118: anotada como cerrada", "27 a 33"]),
    ],
)  # fmt: skip
def test_what_the_sheet_of_the_invented_day_says(language: str, paper: str, words: list[str]) -> None:
    plan = in_language(language, paper)
    pdf = asbuilt_pdf(plan, as_built(plan, fold(day())))
    said_there = text_of(pdf).replace("\u00a0", " ")
    for word in words:
        assert word in said_there, word
    width, height = pypdfium2.PdfDocument(pdf)[0].get_size()
    assert (round(width), round(height)) == ((612, 792) if paper == "letter" else (595, 842))


def test_an_empty_yard_prints_no_planned_figure_as_built() -> None:
    plan = plan_of()
    data = asbuilt_data(plan, as_built(plan, fold([])))
    assert all((row["reads"], row["face_built"]) == ("", "") for row in data["posts"])
    assert {row["along"] for row in data["posts"]} == {row["deep"] for row in data["posts"]} == {"not measured"}
    assert data["bays"] == []
    assert {run["built"] for run in data["runs"]} == {"not measured"}
    assert {check["verdict"] for check in data["checks"]} == {"not done"}
    assert "Not signed." in data["open"]
    assert "The locate ticket was not entered as closed." in data["open"]


def test_what_is_open_stands_first() -> None:
    plan = plan_of()
    rows = [
        ("post 2", "measured", {"offset_m": 0.56515 + 0.30, "back_m": 0.0, "depth_m": 0.9}),
        ("gate side gate", "gate", {"clear_m": 1.15}),
        ("check 9", "checked", {"reads_m": 10.7}),
        ("post 99", "done", {"done": True}),
    ]
    entries = said(*rows)
    entries = [replace(entries[0], made="1970-01-01T00:00:00"), *entries[1:3], replace(entries[3], seq=9)]
    cautions = check_entries(entries, TODAY)
    data = asbuilt_data(plan, as_built(plan, fold(entries)), cautions)
    told = "\n".join(data["open"])
    for word in ("HOLE NOT DEEP ENOUGH (1): post 2", "OVER THE LINE by these measurements (1): post 2", "Check failed (1): 9",
                 "Gate leaves do not fit (1): gate side gate: 3' 9 1/4\" clear, leaves", "its numbers 4 to 8", "clock of phone", "not used: post 99"):  # fmt: skip
        assert word in told, word


def test_a_sheet_with_checks_gates_and_runs_unread_never_says_that_nothing_is_open() -> None:
    plan = plan_of()
    told = asbuilt_data(plan, as_built(plan, fold(said(("check 9", "checked", {"reads_m": 10.668})))))["open"]
    names = [line for line in told if line.startswith("Check not done (16): ")]
    assert "10, Corner at post 12;" in names[0]
    assert "Corner at post 1;" not in names[0]
    unread = next(line for line in told if line.startswith("Not measured (5): "))
    assert "gate side gate: clear opening; " in unread
    assert "run rear: built length, worst room below; " in unread
    made = as_built(plan, fold([]))
    gate = replace(made.gates[0], latch_planned_m=1.3716, latch_m=1.27)  # 54 in asked for, 50 in entered
    low = asbuilt_data(plan, replace(made, gates=(gate, *made.gates[1:])))["open"]
    assert "Latch lower than the rules as typed ask (1): gate side gate: 4' 2\", at least 4' 6\" asked for." in low


def test_signed_length() -> None:
    plan = plan_of()
    plan = replace(plan, settings=replace(plan.settings, signed=(("rear", 75.0),)))
    made = as_built(plan, fold(said(("run rear", "length", {"built_m": 75.3048}))))
    rear = next(run for run in asbuilt_data(plan, made)["runs"] if run["run"] == "rear")
    assert (rear["signed"], rear["built"], rear["by"]) == ("246' 0 3/4\"", "247' 0 3/4\"", '12" longer')


def test_photos_are_printed_small_and_what_is_no_picture_is_only_listed() -> None:
    plan = plan_of()
    made = as_built(plan, fold(day()))
    blob = io.BytesIO()
    Image.new("RGB", (320, 200), (40, 90, 40)).save(blob, "PNG")
    bare = asbuilt_pdf(plan, made)
    shown = asbuilt_pdf(plan, made, {"rock-at-post-7": blob.getvalue()})
    assert count_pictures(shown) == count_pictures(bare) + 1
    broken = asbuilt_pdf(
        plan, made, {"rock-at-post-7": b"\x89PNG\r\n\x1a\nnot a picture", "gas-at-post-18": b"<script>"}
    )
    assert "rock at post 7" in text_of(broken)


def png(width: int, height: int) -> bytes:
    """A PNG of one bit a pixel, all black: a few kilobytes that unpack to many."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress((b"\0" * (1 + (width + 7) // 8)) * height)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_a_spoilt_or_endless_picture_costs_nobody_the_sheet() -> None:
    plan = plan_of()
    made = as_built(plan, fold(said(*(("job", "photo", {"photo": f"p{k}", "shows": "x"}) for k in range(2)))))
    good = png(40, 30)
    bare = count_pictures(asbuilt_pdf(plan, made))
    assert count_pictures(asbuilt_pdf(plan, made, {"p0": good})) == bare + 1
    for bad in (good[:-20], good[:60], png(9000, 9000), b"\x89PNG\r\n\x1a\n" + b"\xff" * 100, b"\0" * 25_000_000):
        assert count_pictures(asbuilt_pdf(plan, made, {"p0": bad, "p1": good})) == bare + 1
    data = zlib.compress(b"short")  # every part is whole, but the picture is not all there
    chunk = struct.pack(">I", len(data)) + b"IDAT" + data + struct.pack(">I", zlib.crc32(b"IDAT" + data))
    forged = good[: good.index(b"IDAT") - 4] + chunk + good[-12:]
    assert count_pictures(asbuilt_pdf(plan, made, {"p0": forged, "p1": good})) >= bare


def count_pictures(pdf: bytes) -> int:
    pages = pypdfium2.PdfDocument(pdf)
    return sum(1 for page in pages for thing in page.get_objects(max_depth=8) if thing.type == 3)


def test_what_a_person_typed_is_never_markup() -> None:
    plan = plan_of()
    nasty = '#panic("x") *b* <script> $1$ \\ @a ' + "w" * 3000
    entries = said(
        ("post 2", "note", {"text": nasty[:2000]}),
        ("job", "signed", {"name": nasty[:500]}),
        ("job", "photo", {"photo": "p1", "shows": nasty[:1500]}),
        ("job", "ticket", {"number": nasty[:300]}),
    )
    assert '#panic("x") *b*' in text_of(asbuilt_pdf(plan, as_built(plan, fold(entries))))


def test_a_signature_as_a_picture() -> None:
    plan = plan_of()
    blob = io.BytesIO()
    Image.new("L", (300, 90), 200).save(blob, "JPEG")
    made = as_built(plan, fold(said(("job", "signed", {"name": "owner", "photo": "sig"}))))
    assert count_pictures(asbuilt_pdf(plan, made, {"sig": blob.getvalue()})) == 1


def test_long_notes_of_the_crew_stand_whole_on_their_pages() -> None:
    plan = plan_of()
    notes = [f"note {n} begins " + "rock and water in the hole, " * 12 + f"ends {n}" for n in range(1, 6)]
    wide = [f"{n}{'W' * 398}{n}" for n in range(1, 6)]
    for texts in (notes, wide):
        entries = said(*[(f"post {n}", "note", {"text": text}) for n, text in enumerate(texts, 1)])
        entries = [replace(entry, who="W" * 60) for entry in entries]
        pages = pypdfium2.PdfDocument(asbuilt_pdf(plan, as_built(plan, fold(entries))))
        for page in pages:
            text = page.get_textpage()
            assert all(text.get_rect(n)[1] > 20.0 for n in range(text.count_rects())), text.get_text_range()[-400:]
        whole = "".join("".join(page.get_textpage().get_text_range().replace("\u200b", "").split()) for page in pages)
        assert all("".join(text.split()) in whole for text in texts)
