"""``palewright survey``: the misread tape by its name, every reading and point, a page, and a job without measurements."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from palewright.cli.main import cli
from palewright.errors import ProblemError

JOB = """palewright: 1
job: {title: Bramble lot, language: LANGUAGE}
points: {D: {stands: old post, left of: [A, B]}}
measured:
  - {tape: [A, B], reads: 100.02 ft}
  - {tape: [B, C], reads: 60.01 ft}
  - {tape: [C, D], reads: 99.98 ft}
  - {tape: [D, A], reads: 60.03 ft}
  - {tape: [A, C], reads: 117.65 ft}
  - {tape: [B, D], reads: 116.60 ft}
  - {tape: [A, E], reads: 58.31 ft}
  - {tape: [B, E], reads: 58.30 ft}
  - {tape: [C, E], reads: 58.33 ft}
  - {tape: [D, E], reads: 58.33 ft}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "lot.yaml"
    path.write_text(JOB.replace("LANGUAGE", "en"), encoding="utf-8")
    return path


def test_the_misread_tape_comes_first_and_every_reading_and_point_after_it(job: Path):
    said = CliRunner().invoke(cli, ["survey", str(job)], catch_exceptions=False).output
    assert said.startswith("  [caution] The tape from A to C is 12")
    assert said.count(" tape ") >= 10
    assert "DOUBTED" in said
    assert all(f"\n  {name}: " in said for name in "ABCDE")


def test_json_holds_the_network_and_its_adjustment(job: Path):
    data = json.loads(CliRunner().invoke(cli, ["survey", str(job), "--json"], catch_exceptions=False).output)
    assert len(data["network"]["observations"]) == len(data["adjusted"]["fits"]) == 10
    assert data["adjusted"]["dof"] == 3
    assert data["adjusted"]["suspects"][0]["guess"] == "whole feet"


@pytest.mark.parametrize(("language", "word"), [("en", "What was read"), ("es", "Lo que se leyó")])
def test_the_page_is_written_in_the_language_of_the_job(tmp_path: Path, language: str, word: str):
    path = tmp_path / "lot.yaml"
    path.write_text(JOB.replace("LANGUAGE", language), encoding="utf-8")
    out = tmp_path / "page.pdf"
    CliRunner().invoke(cli, ["survey", str(path), "--out", str(out)], catch_exceptions=False)
    pages = pypdfium2.PdfDocument(out)
    assert word in "".join(page.get_textpage().get_text_range() for page in pages)
    assert [p.name for p in tmp_path.iterdir() if p.suffix == ".new"] == []


LEVELS = """palewright: 1
job: {title: Bramble lot, language: LANGUAGE}
points: {BM: {height: 100 ft}}
levels:
  - with: builder's level
    notes:
      - {point: BM, back: 4.32 ft}
      - {point: A, fore: 6.10 ft}
      - {point: TP, fore: 5.10 ft, back: 3.88 ft}
      - {point: BM, fore: 3.11 ft}
"""


def test_heights_alone_are_listed_with_their_notes_and_how_these_close(tmp_path: Path):
    path = tmp_path / "levels.yaml"
    path.write_text(LEVELS.replace("LANGUAGE", "en"), encoding="utf-8")
    said = CliRunner().invoke(cli, ["survey", str(path)], catch_exceptions=False).output
    assert "foresight A: 6.10 ft" in said
    assert "TP: back 3.88 ft, line of sight " in said
    assert "2 set-ups, backsights 8' 2 3/8\", foresights 8' 2 1/2\"" in said
    assert 'Common practice on a small site allows 1/4".' in said
    assert "\n  A: 98' 2 5/8\" ± " in said  # 100 + 4.32 - 6.10 = 98.22 ft
    data = json.loads(CliRunner().invoke(cli, ["survey", str(path), "--json"], catch_exceptions=False).output)
    assert (data["network"], data["adjusted"]) == (None, None)
    assert [point["name"] for point in data["heights"]["points"]] == ["BM", "A", "TP"]


@pytest.mark.parametrize(
    ("language", "words"), [("en", ("Heights", "Foresight")), ("es", ("Alturas", "vista adelante"))]
)
def test_heights_stand_on_the_page(tmp_path: Path, language: str, words: tuple[str, str]):
    path, out = tmp_path / "levels.yaml", tmp_path / "page.pdf"
    path.write_text(LEVELS.replace("LANGUAGE", language), encoding="utf-8")
    CliRunner().invoke(cli, ["survey", str(path), "--out", str(out)], catch_exceptions=False)
    text = "".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(out))
    assert words[0] in text
    assert words[1].lower() in text.lower()
    assert "builder's level" in text


def test_a_job_without_measurements_is_told_so(tmp_path: Path):
    path = tmp_path / "bare.yaml"
    path.write_text("palewright: 1\njob: {title: T}\n", encoding="utf-8")
    with pytest.raises(ProblemError) as caught:
        CliRunner().invoke(cli, ["survey", str(path)], catch_exceptions=False, standalone_mode=False)
    assert [p.slug for p in caught.value.problems] == ["nothing-measured"]


def test_a_fence_that_cannot_be_laid_out_does_not_hide_the_misread_tape(job: Path):
    fence = "fences: {f: {kind: boards, good side: yard}}\n"
    run = "runs: [{name: r, fence: f, through: [A, B], yard: left, follows: racked, gates: [{opening: 200 ft, starts: 1 ft from A}]}]\n"
    job.write_text(job.read_text(encoding="utf-8") + fence + run, encoding="utf-8")
    with pytest.raises(ProblemError):
        CliRunner().invoke(cli, ["check", str(job)], catch_exceptions=False)
    done = CliRunner().invoke(cli, ["survey", str(job)], catch_exceptions=False)
    assert done.exit_code == 0
    assert "cannot be laid out" in done.stderr
    assert done.stdout.startswith("  [caution] The tape from A to C is 12")


OFFSETS = """palewright: 1
job: {title: Offsets, print: PRINT}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [100 ft, 0 ft]}}
measured:
  - {offset from: [A, B], point: P, reads: 20 ft, side: left, at: -12 ft, with: steel tape}
  - {offset from: [A, B], point: Q, reads: 20 ft, side: left, at: 112 ft, with: steel tape}
  - {tape: [P, Q], reads: 124.02 ft, with: steel tape}
  - {angle: [P, A, B], inside angle: 120.9638°, with: total station}
"""


def test_a_foot_behind_the_first_point_is_a_station_like_another(tmp_path: Path):
    path = tmp_path / "offsets.yaml"
    path.write_text(OFFSETS.replace("PRINT", "decimal-feet"), encoding="utf-8")
    data = json.loads(CliRunner().invoke(cli, ["survey", str(path), "--json"], catch_exceptions=False).output)
    at = {point["name"]: point["xy"] for point in data["adjusted"]["points"]}
    assert at["P"] == pytest.approx([-12.0 * 0.3048, 20.0 * 0.3048], abs=0.01)


def test_what_is_off_is_printed_as_the_job_prints_feet_and_never_as_nothing(tmp_path: Path):
    path = tmp_path / "offsets.yaml"
    path.write_text(OFFSETS.replace("PRINT", "decimal-feet"), encoding="utf-8")
    said = CliRunner().invoke(cli, ["survey", str(path)], catch_exceptions=False).output
    assert '"' not in said.partition("corner P")[0]
    assert "tape P – Q: 124.02 ft ± 0.03', off" in said
    assert not re.search(r"± 0\.00[°']", said)
    line = next(line for line in said.splitlines() if "corner P" in line)
    assert re.search(r"120°57'50\" ± 0\.00[1-9]", line)
