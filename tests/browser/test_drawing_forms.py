"""Forms of the drawing table: evidence at a corner, where a run begins, a gate as it is, what stands in the way."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page
from tests.browser.conftest import PHONE, Server, new_job
from tests.browser.test_drawing_hands import grab, middle
from tests.browser.test_drawing_table import ask_edits, drawn_l, open_table, saved, text_of

from palewright import jobfile

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TANSY = (EXAMPLES / "tansy-court.yaml").read_text("utf-8").replace("prices: prices.csv", "")


@pytest.fixture
def tansy(page: Page, server: Server) -> str:
    job = new_job(page, **{"from": "text", "text": TANSY})
    open_table(page, server, job)
    return job


def press(page: Page, text: str) -> None:
    page.locator("#chosen button", has_text=text).click()


def choose(page: Page, kind: str, thing: str) -> None:
    """A thing chosen from the list of all that is there."""
    for summary in (
        page.locator("summary", has_text="All that is there"),
        page.locator(f'details[data-kind="{kind}"] summary'),
    ):
        if not summary.evaluate("one => one.parentElement.open"):
            summary.click()
    page.locator(f'#things button[data-about="{thing}"]').click()


def test_what_was_found_at_a_corner_is_seen_as_soon_as_it_is_said(page: Page, tansy: str) -> None:
    for corner, revision in (("SE", 2), ("SW", 3)):
        assert page.locator(f'#paper [data-id="corner {corner}"].is-record-only').count() == 1
        page.mouse.click(*middle(page, f'#paper [data-id="corner {corner}"] .spot'))
        press(page, "What was found here")
        page.locator("#ask [name=what]").fill("iron rod")
        page.locator("#ask [name=size]").fill("5/8 in")
        page.locator("#ask [name=agrees]").select_option("yes")
        page.locator("#ask [name=who]").fill("crew lead")
        page.locator("#ask button.main").click()
        saved(page, revision)
        assert page.locator(f'#paper [data-id="corner {corner}"].is-found').count() == 1
    boundary = jobfile.read_text(text_of(page, tansy), "job.yaml").boundary
    assert boundary is not None
    found = {corner.name: corner for corner in boundary.corners}
    assert (found["SE"].found, found["SE"].matches_record, found["SE"].evidence.who) == (
        "5/8 in iron rod",
        True,
        "crew lead",
    )
    assert len(found["SE"].evidence.when) == len("2026-11-26")
    press(page, "What was found here")
    page.wait_for_selector("dialog#ask[open]")
    assert page.locator("#ask [name=size]").input_value() == "5/8 in"
    page.keyboard.press("Escape")


def test_forms_and_what_is_chosen_are_seen_on_a_phone(page: Page, server: Server) -> None:
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    job = new_job(page, **{"from": "text", "text": TANSY})
    open_table(page, server, job)
    choose(page, "run", "run rear")
    button = page.locator("#chosen button", has_text="What is built here")
    box = button.bounding_box()
    assert box is not None
    assert 0 < box["y"] < PHONE["height"]  # without scrolling there by hand
    for name in ("What is built here", "Type the ground"):
        press(page, name)
        page.wait_for_selector("dialog#ask[open]")
        for field in page.locator("#ask :is(input, select, textarea)").all():
            at = field.bounding_box()
            assert at is not None
            assert at["x"] + at["width"] <= PHONE["width"]
        page.keyboard.press("Escape")
        page.wait_for_selector("dialog#ask:not([open])", state="attached")
    choose(page, "corner", "corner SE")
    press(page, "What was found here")
    page.wait_for_selector("dialog#ask[open] [name=agrees]")
    page.locator("#ask button.main").scroll_into_view_if_needed()
    assert page.locator("#ask [name=size]").is_visible()
    assert page.locator("#ask button.main").is_visible()


def test_where_a_run_along_sides_begins(page: Page, tansy: str) -> None:
    choose(page, "run", "run rear")
    press(page, "Where it begins and ends")
    begins = page.locator('#ask [name="begins abreast of"]')
    assert begins.input_value() == "house rear left"
    begins.select_option("")
    page.locator("#ask button.main").click()
    saved(page, 2)
    run = jobfile.read_text(text_of(page, tansy), "job.yaml").runs[0]
    assert run.begins is None
    assert run.finishes is not None


def test_a_gate_is_changed_from_what_it_is(page: Page, tansy: str) -> None:
    choose(page, "gate", "gate side gate")
    press(page, "Change")
    page.wait_for_selector("dialog#ask[open]")
    assert page.locator("#ask [name=opening]").input_value() == "4 ft"
    assert page.locator("#ask select[name=hinges]").input_value() == "near A"
    page.locator("#ask [name=opening]").fill("42 in")
    page.locator("#ask button.main").click()
    saved(page, 2)
    changed = [line for line in text_of(page, tansy).splitlines() if line not in TANSY.splitlines()]
    assert len(changed) == 1
    assert "opening: 42 in" in changed[0]


def test_what_stands_in_the_way_is_lit_and_leads_there(page: Page, tansy: str, said: list[str]) -> None:
    choose(page, "point", "point house rear left")
    press(page, "Remove")
    page.wait_for_selector("#refused:not([hidden])")
    told = page.locator("#refused-text").inner_text()
    assert "runs[" not in told
    assert page.locator("#refused-text button").all_inner_texts()[:2] == ["building house", "tape 2"]
    assert page.locator('#paper [data-id="run rear"].now-needs').count() == 1
    page.locator("#refused-text button", has_text="gate side gate").click()
    assert page.locator("#chosen h3").inner_text().startswith("gate side gate")
    page.click("#refused-close")
    assert page.locator("#paper .now-needs").count() == 0
    assert len(said) == 1
    said.clear()


def test_an_old_fence_is_dragged_by_its_corner(page: Page, server: Server) -> None:
    job = drawn_l(page)
    ask_edits(page, job, [{"kind": "old fence", "name": "wire", "points": [[3, 4], [12, 4], [12, 9]], "every": "8 ft",
                           "footing": "8 in", "then": "pull"}])  # fmt: skip
    open_table(page, server, job)
    choose(page, "old fence", "old fence wire")
    assert page.locator("#chosen h3").inner_text() == "old fence wire"
    page.wait_for_selector("#paper .now-chosen .corner-grip >> nth=2")
    grab(page, middle(page, "#paper .now-chosen .corner-grip >> nth=2"), (40, -10))
    page.mouse.up()
    saved(page, 4)
    old = jobfile.read_text(text_of(page, job), "job.yaml").removals[0].through
    assert old[2].xy is not None
    assert old[2].xy[0] > 12.5
    assert old[0].xy == pytest.approx((3, 4), abs=0.003)


def test_a_deed_that_is_refused_stays_in_its_form_with_what_is_wrong_marked(
    page: Page, server: Server, said: list[str]
) -> None:
    open_table(page, server, new_job(page))
    page.click("#deed")
    deed = "Beginning at a pin; thence North 100 feet;\nthence North 95 degrees East 80 feet; thence South 100 feet"
    page.locator("#ask textarea").fill(deed)
    page.locator("#ask button.main").click()
    page.wait_for_selector("#ask[open] .wrong")
    marked = page.locator("#ask textarea").evaluate("one => one.value.slice(one.selectionStart, one.selectionEnd)")
    assert marked == "95 degrees"
    assert page.locator("#refused").is_hidden()
    page.keyboard.press("Escape")
    page.click("#deed")
    assert page.locator("#ask textarea").input_value() == deed
    page.locator("#ask textarea").fill(deed.replace("95", "85"))
    page.locator("#ask button.main").click()
    saved(page, 2)
    page.wait_for_selector("#ask:not([open])", state="attached")
    assert len(said) == 1  # refused once
    said.clear()


ASKED = """palewright: 1
job: {title: Two questions}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [40 ft, 0 ft]}}
fences: {f: {kind: post-and-rail, longest bay: 8 ft, rails: 3}}
runs:
  - {name: front, fence: f, through: [A, B], yard: left, gates: [{name: walk, opening: 4 ft, starts: 12 ft from A, swings: out}]}
locate: {ticket: A123456, called on: 2026-05-01, legal from: ask, members: {gas: marked, water: ask}}
"""


def settle(page: Page, text: str) -> None:
    page.locator(".notice", has_text=text).locator("button", has_text="Answer").click()
    page.wait_for_selector("#ask[open]")


def test_the_locate_is_answered_until_nothing_is_missing(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": ASKED})
    open_table(page, server, job)
    told = page.locator(".notice", has_text="LOCATE NOT COMPLETE")
    assert "legal to dig from, expires, the answer of each company" in told.inner_text()
    settle(page, "LOCATE NOT COMPLETE")
    values = page.locator("#ask :is(input, textarea)").evaluate_all("all => all.map(one => one.value)")
    assert values == ["A123456", "2026-05-01", "", "", "gas: marked\nwater:"]
    page.locator('#ask [name="legal from"]').fill("5/5/2026")
    page.locator("#ask button.main").click()
    page.wait_for_selector('#ask .wrong ~ .row, #ask [name="legal from"][aria-invalid]')
    page.locator('#ask [name="legal from"]').fill("2026-05-05 07:00")
    page.locator("#ask [name=expires]").fill("2026-05-26")
    page.locator("#ask textarea").fill("gas: marked\nwater: no line here, 2026-05-04 10:00")
    page.locator("#ask button.main").click()
    saved(page, 2)
    assert told.count() == 0
    locate = jobfile.read_text(text_of(page, job), "job.yaml").locate
    assert (locate.ticket, locate.legal_from, locate.expires) == ("A123456", "2026-05-05 07:00", "2026-05-26")
    assert [(one.name, one.answer, one.when) for one in locate.members] == [
        ("gas", "marked", ""),
        ("water", "no line here", "2026-05-04 10:00"),
    ]


def test_which_post_carries_the_hinges_is_chosen_by_its_number(page: Page, server: Server) -> None:
    job = new_job(page, **{"from": "text", "text": ASKED})
    open_table(page, server, job)
    settle(page, "which post carries the hinges")
    near, far = page.locator("#ask .picks button").all_inner_texts()
    assert near == "on post 3, the one nearer to A"
    assert far == "on post 4, the one further from A"
    page.locator("#ask .picks button").last.click()
    saved(page, 2)
    gate = jobfile.read_text(text_of(page, job), "job.yaml").runs[0].gates[0]
    assert (gate.hinges, gate.from_point) == ("far", "A")


def test_the_ground_that_is_shown_is_that_from_the_point_that_is_picked(page: Page, server: Server) -> None:
    """Else lines measured from one corner are taken for those from another."""
    text = """palewright: 1
job: {title: Two strings}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [40 ft, 0 ft]}, C: {at: [40 ft, 30 ft]}}
fences: {boards: {kind: boards, good side: yard}}
runs: [{name: rear, fence: boards, through: [A, B, C], yard: left, follows: racked}]
heights:
  - {string: rear, from: A, drops: [[0 ft, 10 in], [40 ft, 16 in]]}
  - {string: rear, from: B, drops: [[0 ft, 6 in], [30 ft, 20 in]]}
"""
    job = new_job(page, **{"from": "text", "text": text})
    open_table(page, server, job)
    page.locator("summary", has_text="All that is there").click()
    page.locator("details[data-kind=run] summary").click()
    page.locator('#things button[data-about="run rear"]').click()
    press(page, "Type the ground")
    drops, start = page.locator("#ask [name=drops]"), page.locator("#ask [name=start]")
    assert drops.input_value() == "0 ft: 10 in\n40 ft: 16 in"
    start.select_option("B")
    assert drops.input_value() == "0 ft: 6 in\n30 ft: 20 in"
    start.select_option("C")
    assert drops.input_value() == ""
    drops.fill("0 ft: 1 in\n10 ft: 2 in")
    start.select_option("B")
    assert drops.input_value() == "0 ft: 1 in\n10 ft: 2 in"
