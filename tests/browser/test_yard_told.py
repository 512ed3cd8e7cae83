"""The phone never says two things of one reading: the list, the card, and what is said before the crew leaves."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import ask
from tests.browser.test_yard_words import ADD
from tests.browser.yards import Phone, view

FT = 0.3048


@pytest.fixture(autouse=True)
def quiet(said: list[str]) -> Iterator[None]:
    """Nothing that a page complained of goes by unseen."""
    yield
    assert said == []


def listed(page: Page, name: str) -> dict[str, str]:
    """The mark of each line of the list behind the place, as it is read aloud."""
    page.click(f"#view-{name}")
    page.click("#where")
    lines = page.locator("#sheet .things button").all()
    found = {
        one.locator("span").first.inner_text(): one.locator(".mark").get_attribute("aria-label") or ""
        for one in lines
        if one.locator(".mark").count()
    }
    page.click("#sheet-close")
    return found


def test_a_check_that_fails_is_no_check_that_is_done(owner: Page, opened: Phone, job: str) -> None:
    """A corner 2 in off, a gate 1 in narrow, a run 3 in long and a hole 6 in deep are entered: none of them is good."""
    pack = ask(owner, "GET", f"/jobs/{job}/yard")["pack"]
    check, gate, run = pack["checks"][0], pack["gates"][0], pack["runs"][0]
    hole, ticked = pack["holes"][0], pack["holes"][1]
    tick = pack["units"]["tick_m"]
    page = opened(job)
    rows: list[tuple[str, str, dict[str, object]]] = [
        (check["about"], "checked", {"reads_m": check["ticks"] * tick - FT / 6}),
        (gate["about"], "gate", {"clear_m": 4 * FT - FT / 12}),
        (run["about"], "length", {"built_m": 52 * FT + FT / 4}),
        (hole["about"], "done", {"done": True}),
        (hole["about"], "measured", {"depth_m": FT / 2}),
        (ticked["about"], "done", {"done": True}),
    ]
    page.evaluate(ADD, [job, rows])
    page.reload()
    page.wait_for_selector("#card article")
    last = listed(page, "last")
    assert listed(page, "checks")[check["title"]] == "does not pass"
    assert (last[gate["title"]], last[run["title"]]) == ("does not pass", "does not pass")
    holes = listed(page, "holes")
    assert (holes[hole["title"]], holes[ticked["title"]]) == ("does not pass", "done, and good")
    view(page, "last", list(last).index("Before you leave"))
    card = page.locator("#card").inner_text()
    unread = len(pack["checks"]) - 1
    assert page.locator("#card .reads").inner_text() == str(len(pack["holes"]) - 2 + 4 + unread)
    assert "; ".join([check["title"], gate["title"], run["title"], hole["title"]]) in card
    page.click("#language")
    assert listed(page, "last")[run["title"].replace("run", "tramo")] == "no pasa"
