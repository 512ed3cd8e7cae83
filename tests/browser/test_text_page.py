"""The job file as text, while somebody else saves the same job."""

from __future__ import annotations

from playwright.sync_api import Page
from tests.browser.conftest import Server, ask, new_job


def test_a_text_that_was_changed_elsewhere_can_be_taken_after_it_was_checked(
    page: Page, server: Server, said: list[str]
) -> None:
    job = new_job(page, title="Two writers")
    page.goto(f"{server.base}/jobs/{job}/text")
    page.wait_for_selector("#problems .right")
    theirs = str(ask(page, "GET", f"/jobs/{job}/text")["text"]).replace("Two writers", "Theirs")
    ask(page, "PUT", f"/jobs/{job}/text", {"revision": 1, "text": theirs, "key": "their-text-" + "k" * 16})
    with page.expect_response("**/check"):  # comes after the refusal, and says that the text is right
        page.locator("#text").press("Control+End")
        page.keyboard.type("# mine")
        page.click("#save")
    page.wait_for_selector("#problems button")
    page.wait_for_function("() => document.querySelector('#said').textContent === ''")  # told once, beside the text
    assert page.locator("#problems .right").count() == 0
    assert page.locator("#text").input_value().endswith("# mine")
    page.click("#problems button")
    page.wait_for_selector("#problems button", state="detached")
    assert page.locator("#text").input_value() == theirs
    assert [line for line in said if "409" not in line] == []
    said.clear()


def test_what_is_wrong_with_a_text_is_told_in_the_language_of_the_page(page: Page, server: Server) -> None:
    job = new_job(page, title="Dos idiomas")
    page.goto(f"{server.base}/jobs/{job}/text?lang=es")
    page.wait_for_selector("#problems .right")
    assert page.locator("#problems .right").inner_text() == "No se encontró ningún problema."
    page.fill("#text", "palewright: 1\njob: {title: Patio}\npoints:\n  A: {at: [0 fx, 0 ft]}\n")
    page.wait_for_selector("#problems .problem")
    assert page.locator("#problems .problem button").inner_text() == "línea 4"
    told = page.locator("#problems .problem p").all_inner_texts()
    assert told[0].startswith("esto no es una unidad de largo: se encontró 'fx'; se permite: ft, in")
    assert told[1] == "consejo: un largo se escribe 12 ft, 12' 6 1/2\" o 3.25 m"
    page.goto(f"{server.base}/jobs/{job}/text?lang=en")
    page.wait_for_selector("#problems .right")
    assert page.locator("#problems .right").inner_text() == "No problem found."


def test_a_wrong_code_is_told_once(page: Page, server: Server, said: list[str]) -> None:
    page.goto(f"{server.base}/pair")
    page.fill("#code", "WRONG")
    page.fill("#called", "phone")
    page.click("#pair button")
    page.wait_for_selector("#problems .problem")
    assert page.locator("#said").inner_text() == ""
    assert page.locator("#problems .problem").count() == 1
    said.clear()
