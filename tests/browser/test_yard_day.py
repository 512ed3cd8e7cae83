"""A day in the yard: two phones without a signal, sixty holes, one disagreement; and what a phone of the crew may see."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import SEEN, Server, ask, new_job

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "tansy-court.yaml"
LONG = """palewright: 1
job: {title: Sixty posts}
points:
  A: {at: [0 ft, 0 ft]}
  B: {at: [480 ft, 0 ft]}
fences:
  field: {kind: post-and-rail, longest bay: 8 ft, rails: 3}
runs:
  - {name: long side, fence: field, through: [A, B], yard: left}
"""


def settled(page: Page) -> None:
    page.wait_for_function("() => document.querySelector('#state').dataset.state === 'sent'")


def signed(page: Page, name: str, after: str) -> None:
    """The first entry asks whose hand it is; ``after`` is what shows that the entry was kept."""
    page.wait_for_function(f"before => document.querySelector('#who').open || ({after})(before)", arg="")
    if page.locator("#who").is_visible():
        page.fill("#who-name", name)
        page.click("#who button")


def tick(page: Page, name: str) -> None:
    button = page.locator("#card .tick .huge")
    after = "() => document.querySelector('#card .tick .huge').getAttribute('aria-pressed') === 'true'"
    button.click()
    signed(page, name, after)
    page.wait_for_function(after)


def entries(page: Page, job: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ask(page, "GET", f"/jobs/{job}/yard/entries?after=0")["entries"]
    return found


def keep_place(page: Page, steps: int, name: str) -> None:
    page.locator("#card summary").first.click()
    for _ in range(abs(steps)):
        page.locator("#card .slide .huge", has_text="+" if steps > 0 else "−").click()
    page.locator("#card details[data-key=moved] .wide").click()
    signed(page, name, "() => document.querySelector('#card .last')")
    page.wait_for_selector("#card .last")


@pytest.mark.usefixtures("alone")
def test_two_phones_a_day_without_signal(
    page: Page, server: Server, phone: Callable[[Page, str], Page], said: list[str]
) -> None:
    job = new_job(page, **{"from": "text", "text": LONG})
    first, second = phone(page, job), phone(page, job)
    for one in (first, second):
        one.context.set_offline(True)
        one.reload()  # the page itself comes from the phone
        one.wait_for_function(SEEN)
    count = int(first.locator("#where").inner_text().split("/")[1]) - 1  # the string has a card of its own
    assert count >= 60
    for k in range(count):
        tick(first if k % 2 else second, "one" if k % 2 else "two")
        if k < count - 1:
            first.click("#next")
            second.click("#next")
    for one, steps in ((first, 2), (second, -2)):
        one.click("#back")
        keep_place(one, steps, "somebody")
    assert entries(page, job) == []
    said.clear()  # what pages say of a missing signal
    for one in (first, second):
        one.context.set_offline(False)
        one.evaluate("() => dispatchEvent(new Event('online'))")
        settled(one)
    arrived = entries(page, job)
    done = [entry["about"] for entry in arrived if entry["what"] == "done"]
    assert len(done) == len(set(done)) == count
    assert sorted(entry["number"] for entry in arrived) == list(range(1, count + 3))
    built = ask(page, "GET", f"/jobs/{job}/asbuilt")
    moved = {entry["about"] for entry in arrived if entry["what"] == "moved"}
    assert len(moved) == 1
    assert built["conflicts"], built.keys()
    first.evaluate("() => dispatchEvent(new Event('online'))")
    first.wait_for_selector("#card .conflict", state="attached")
    first.locator("#card .conflict button").first.click()
    first.wait_for_function("() => !document.querySelector('#card .conflict')")
    settled(first)
    first.wait_for_function("() => document.querySelector('#state').dataset.left === '0'")
    assert not ask(page, "GET", f"/jobs/{job}/asbuilt").get("conflicts")


def test_a_post_moved_for_rock_says_at_once_what_becomes_of_its_bays(
    page: Page, server: Server, phone: Callable[[Page, str], Page]
) -> None:
    job = new_job(page, **{"from": "text", "text": LONG})
    one = phone(page, job)
    one.click("#next")
    one.locator("#card summary").first.click()
    verdicts = one.locator("#card details .verdict").first
    assert "✓" not in verdicts.inner_text()  # signs are drawn, words carry the verdict
    assert one.locator("#card .verdict .fits").count() >= 1
    for _ in range(60):
        one.locator("#card .slide .huge", has_text="+").click()
    assert one.locator("#card .verdict .not").count() >= 1


def test_a_phone_of_the_crew_sees_no_price(
    page: Page, server: Server, phone: Callable[[Page, str], Page], said: list[str]
) -> None:
    text = EXAMPLE.read_text("utf-8")
    job = new_job(page, **{"from": "text", "text": text})
    prices = EXAMPLE.with_name("prices.csv").read_text("utf-8")
    page.evaluate(
        """async ([job, prices]) => {
            const api = await import("/static/shared/api.js");
            await api.call("PUT", `/jobs/${job}/files/prices.csv`, new Blob([prices], {type: "text/csv"}));
        }""",
        [job, prices],
    )
    assert ask(page, "GET", f"/jobs/{job}/money")
    one = phone(page, job)
    status = one.evaluate(f"async () => (await fetch('/api/jobs/{job}/money')).status")
    assert status == 403
    assert one.goto(f"{server.base}/jobs/{job}/money").status == 403  # type: ignore[union-attr]
    said.clear()


def test_spanish_at_a_touch(page: Page, server: Server, phone: Callable[[Page, str], Page], said: list[str]) -> None:
    job = new_job(page, **{"from": "text", "text": LONG})
    one = phone(page, job)
    one.click("#language")
    assert one.locator("#next").inner_text() == "Sigue"
    assert one.evaluate("() => document.documentElement.lang") == "es"
    one.context.set_offline(True)
    one.reload()
    one.wait_for_function(SEEN)
    assert one.locator("#next").inner_text() == "Sigue"
    one.context.set_offline(False)
    said.clear()  # what the page said of a missing signal
