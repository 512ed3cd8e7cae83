"""A job that begins with a file: of our own, of another program, or of a kind that nobody here reads."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page
from tests.browser.conftest import Server, ask
from tests.browser.test_drawing_table import saved, text_of

from palewright import jobfile

PINS = "1,5000.00,2000.00,,FOUND PIN\n2,5100.00,2000.00,,\n3,5100.00,2080.00,,\n"


def test_a_list_of_points_begins_a_job_and_asks_what_it_leaves_open(
    page: Page, server: Server, said: list[str], tmp_path: Path
) -> None:
    (tmp_path / "pins of #7.csv").write_text(PINS)
    page.fill("#title", "Seven pins")
    page.set_input_files("#file", tmp_path / "pins of #7.csv")
    page.wait_for_url("**/jobs/*")
    page.wait_for_selector("#ask select[name=order]")
    page.locator("#ask select").select_option("PNEZD")
    page.locator("#ask button.main").click()
    page.wait_for_function("() => document.querySelector('#ask select[name=unit]')")
    page.locator("#ask select[name=unit]").select_option("ft")
    page.locator("#ask button.main").click()
    saved(page, 2)
    assert "bring" not in page.url
    job = page.url.rpartition("/")[2]
    read = jobfile.read_text(text_of(page, job), "job.yaml")
    assert ([point.name for point in read.points], read.title) == (["1", "2", "3"], "Seven pins")
    page.reload()
    page.wait_for_selector("#state:not(:empty)")
    assert ask(page, "GET", f"/jobs/{job}")["revision"] == 2
    assert all("422" in line for line in said)
    said.clear()


def test_a_picture_is_refused_in_words_before_a_job_is_made(page: Page, server: Server, tmp_path: Path) -> None:
    (tmp_path / "plat.pdf").write_bytes(b"%PDF-1.4\n")
    page.set_input_files("#file", tmp_path / "plat.pdf")
    page.wait_for_selector("#problems .problem")
    assert "type the words on the drawing table" in page.locator("#problems").inner_text()
    assert "plat.pdf" in page.locator("#problems").inner_text()
    assert ask(page, "GET", "/jobs") == []


def test_a_job_file_begins_a_job_as_it_stands(page: Page, server: Server, tmp_path: Path) -> None:
    text = "palewright: 1\njob: {title: As typed}   # kept\n"
    (tmp_path / "yard.yaml").write_text(text)
    page.set_input_files("#file", tmp_path / "yard.yaml")
    page.wait_for_url("**/text")
    assert page.locator("#text").input_value() == text
