"""A job that begins with a file: of our own, of another program, or of a kind that nobody here reads."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import Server, ask, new_job
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


@pytest.mark.usefixtures("alone")
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


@pytest.mark.usefixtures("alone")
def test_a_job_that_was_taken_off_the_list_comes_back_as_it_was(page: Page, server: Server, said: list[str]) -> None:
    job, kept = new_job(page, title="Back yard"), new_job(page, title="Front yard")
    text = text_of(page, job)
    page.reload()
    page.once("dialog", lambda dialog: dialog.accept())
    page.click(f"[data-remove='{job}']")
    page.wait_for_selector("details.gone")
    assert [one["id"] for one in ask(page, "GET", "/jobs")] == [kept]
    page.goto(f"{server.base}/jobs/{job}")
    assert "bring it back" in page.locator("main").inner_text()
    page.goto(server.base)
    page.click("details.gone summary")
    page.click(f"[data-back='{job}']")
    page.wait_for_selector(f"a.go[href='/jobs/{job}']")
    assert page.locator("details.gone").count() == 0
    assert {one["id"] for one in ask(page, "GET", "/jobs")} == {job, kept}
    assert text_of(page, job) == text
    assert all("410" in line for line in said)
    said.clear()


def test_first_steps_do_not_end_while_readings_contradict_each_other(page: Page, server: Server) -> None:
    """A triangle of tapes that cannot be: three sides fix it, a fourth reading is the first again, ten feet longer."""
    rows = (("A", "B", "30 ft"), ("A", "C", "40 ft"), ("B", "C", "50 ft"), ("A", "D", "40 ft"), ("B", "D", "50 ft"))
    tapes = "\n".join(f"  - {{tape: [{a}, {b}], reads: {r}}}" for a, b, r in (*rows, ("C", "D", "90 ft")))
    fence = "fences: {f: {kind: post-and-rail, longest bay: 8 ft, rails: 3}}\nruns:\n  - {name: side, fence: f, through: [A, B], yard: left, gates: []}\n"
    text = "palewright: 1\njob: {title: Wrong}\npoints: {A: {at: [0 ft, 0 ft]}, B: {at: [30 ft, 0 ft]}, C: {left of: [A, B]}, D: {right of: [A, B]}}\n"
    job = new_job(page, **{"from": "text", "text": f"{text}measured:\n{tapes}\n{fence}"})
    page.goto(f"{server.base}/jobs/{job}")
    page.wait_for_selector("#paper .kind-point", state="attached")
    page.click("#walk-part summary")
    page.wait_for_selector("#walk .doubts li")
    asked = page.locator("#walk .asked").first.inner_text()
    assert asked.startswith("What was measured contradicts itself")
    assert "from D to C do not meet" in page.locator("#walk .doubts").inner_text()
    assert "Nothing more to ask" not in page.locator("#walk").inner_text()


def test_the_next_question_is_in_sight_and_the_keyboard_in_it(page: Page, server: Server) -> None:
    """Also where the answer was given by its button."""
    job = new_job(page, title="Steps")
    page.goto(f"{server.base}/jobs/{job}")
    for number, length in enumerate(("40 ft", "12 ft", "60 ft"), 2):
        page.locator("#walk [name=length]").fill(length)
        page.locator("#walk button[value=go]").press("Enter")
        saved(page, number)
        page.wait_for_function("() => document.activeElement.closest('#walk') && !document.activeElement.value")
        top, bar = (page.locator(one).bounding_box() for one in ("#walk-part", "#beside > .acts"))
        assert top is not None
        assert bar is not None
        assert abs(top["y"] - bar["y"] - bar["height"]) < 20
